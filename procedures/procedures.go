// Package procedures holds the demonstration library: the bench procedures of
// an invented waterworks, with their figures. It has no logic and takes no
// input. Files is the library folder as the compiler reads any other: sources
// at the top, drawings under figures. The links of its videos lead nowhere and
// need no files.
package procedures

import "embed"

// Files is the library folder: every *.proc source, and the figures they show.
//
//go:embed *.proc figures
var Files embed.FS
