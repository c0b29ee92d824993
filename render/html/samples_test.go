package html

import (
	"benchproof/compiler/document"
	"benchproof/render/rendertest"
)

// samples are the documents that pages are tried on.
func samples() map[string]*document.Document {
	return map[string]*document.Document{
		"sample": rendertest.Document(),
		"draft":  rendertest.Draft(),
		"long":   rendertest.Long(120),
		"short":  rendertest.Long(1),
	}
}
