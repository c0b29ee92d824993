package rules

import (
	"io/fs"

	"benchproof/compiler/library"
	"benchproof/dsl/message"
)

// CheckFigures judges the files of all figures; fsys is the library's folder.
func CheckFigures(lib *library.Library, fsys fs.FS) []*message.Message {
	return nil
}
