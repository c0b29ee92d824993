// Package procedures holds the demonstration library: the bench procedures of
// an invented waterworks, with their figures and sheets. It has no logic and
// takes no input. Files is the library folder as the compiler reads any other:
// sources at the top, drawings under figures, lists of tools under sheets. The
// links of its videos lead nowhere and need no files.
package procedures

import "embed"

// Files is the library folder: every *.proc source, the figures they show
// and the sheets they read.
//
//go:embed *.proc figures sheets
var Files embed.FS
