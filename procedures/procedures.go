// Package procedures holds the demonstration library: the bench procedures of
// an invented waterworks, with their figures, sheets and translations. It has no
// logic and takes no input. Files is the library folder as the compiler reads any
// other: sources at the top, drawings under figures, lists of tools under sheets,
// translations under translations. The links of its videos lead nowhere and need no
// files.
package procedures

import "embed"

// Files is the library folder: every *.proc source, the figures they show, the
// sheets they read and the translations.
//
//go:embed *.proc figures sheets translations
var Files embed.FS
