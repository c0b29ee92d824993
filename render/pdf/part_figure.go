package pdf

import (
	"strings"

	"benchproof/compiler/document"
)

func outside(link string) bool {
	l := strings.ToLower(link)
	return strings.HasPrefix(l, "https://") || strings.HasPrefix(l, "http://")
}

func (g *galley) figure(body *elem, f *document.Figure) []atom { return nil }
