package pdf

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
)

func sortPairs[T any, K cmp.Ordered](s []T, key func(T) K) {
	slices.SortFunc(s, func(a, b T) int { return cmp.Compare(key(a), key(b)) })
}

func faceByFamily(name string) *face {
	for i := range fonts {
		if family(faceID(i)) == name {
			return fonts[i]
		}
	}
	panic("pdf: no face is named " + name)
}

// annot files an annotation under its page and element and returns its key in
// the parent tree.
func (f *finisher) annot(page, n int, e *elem) int {
	f.annots[page] = append(f.annots[page], n)
	e.annot(page, n)
	f.parents = append(f.parents, e)
	return len(f.w.pages) + len(f.parents) - 1
}

func (f *finisher) linkAnnots() error {
	for _, l := range f.w.links {
		n := f.reserve()
		key := f.annot(l.page, n, l.elem)
		b := []byte("<</Type/Annot/Subtype/Link/F 4/Border[0 0 0]")
		b = appendRect(b, l.rect)
		b = append(b, "/StructParent "...)
		b = strconv.AppendInt(b, int64(key), 10)
		b = append(b, "/Contents"...)
		b = appendText(b, l.to.says)
		if l.to.uri != "" {
			b = append(b, "/A<</S/URI/URI"...)
			b = appendBytes(b, asciiURI(l.to.uri))
			b = append(b, ">>"...)
		} else {
			b = append(b, "/Dest"...)
			b = f.dest(b, f.s.anchors[l.to.anchor])
		}
		f.objects[n] = append(b, ">>\n"...)
	}
	return nil
}

// dest is a place on a page, the top of the window at its height.
func (f *finisher) dest(b []byte, at spot) []byte {
	b = append(b, '[')
	b = appendRef(b, f.w.pages[at.page])
	b = append(b, "/XYZ 0 "...)
	b = appendNumber(b, f.s.paper.Height-at.y+6)
	return append(b, " null]"...)
}

// asciiURI writes what is not ASCII as percent signs and digits (RFC 3987,
// 3.1), as a URI action asks for.
func asciiURI(s string) string {
	var b strings.Builder
	for i := range len(s) {
		if c := s[i]; c <= 0x20 || c >= 0x7F {
			b.WriteByte('%')
			b.WriteByte(digits[c>>4])
			b.WriteByte(digits[c&15])
		} else {
			b.WriteByte(c)
		}
	}
	return b.String()
}

// tree writes the structure tree and the tree that leads back to it.
func (f *finisher) tree() error {
	root := f.reserve()
	parentTree := f.reserve()
	var number func(e *elem)
	number = func(e *elem) {
		e.num = f.reserve()
		for _, k := range e.kids {
			if k.elem != nil {
				number(k.elem)
			}
		}
	}
	number(f.s.root)
	f.element(f.s.root, root)

	b := []byte("<</Nums[")
	for p, owners := range f.w.owners {
		b = strconv.AppendInt(b, int64(p), 10)
		b = append(b, '[')
		for _, e := range owners {
			b = appendRef(b, e.num)
		}
		b = append(b, ']')
	}
	for i, e := range f.parents {
		b = strconv.AppendInt(b, int64(len(f.w.pages)+i), 10)
		b = append(b, ' ')
		b = appendRef(b, e.num)
	}
	f.objects[parentTree] = append(b, "]>>\n"...)

	b = append([]byte(nil), "<</Type/StructTreeRoot/K["...)
	b = appendRef(b, f.s.root.num)
	b = append(b, "]/ParentTree "...)
	b = appendRef(b, parentTree)
	b = append(b, "/ParentTreeNextKey "...)
	b = strconv.AppendInt(b, int64(len(f.w.pages)+len(f.parents)), 10)
	f.objects[root] = append(b, ">>\n"...)

	f.catalog = append(f.catalog, "/StructTreeRoot "...)
	f.catalog = appendRef(f.catalog, root)
	return nil
}

func (f *finisher) element(e *elem, parent int) {
	b := make([]byte, 0, 96+12*len(e.kids))
	b = append(b, "<</S/"...)
	b = append(b, e.tag...)
	b = append(b, "/P "...)
	b = appendRef(b, parent)
	if e.alt != "" {
		b = append(b, "/Alt"...)
		b = appendText(b, e.alt)
	}
	if e.id != "" {
		b = append(b, "/ID"...)
		b = appendBytes(b, e.id)
	}
	if e.attr != "" {
		b = append(b, "/A<<"...)
		b = append(b, e.attr...)
		b = append(b, ">>"...)
	}
	page := -1
	for _, k := range e.kids {
		if k.elem == nil && k.mcid >= 0 {
			page = k.page
			b = append(b, "/Pg "...)
			b = appendRef(b, f.w.pages[page])
			break
		}
	}
	if len(e.kids) > 0 {
		b = append(b, "/K["...)
		for _, k := range e.kids {
			switch {
			case k.elem != nil:
				b = appendRef(b, k.elem.num)
			case k.mcid < 0:
				b = append(b, "<</Type/OBJR/Pg "...)
				b = appendRef(b, f.w.pages[k.page])
				b = append(b, "/Obj "...)
				b = appendRef(b, k.obj)
				b = append(b, ">>"...)
			case k.page == page:
				b = strconv.AppendInt(b, int64(k.mcid), 10)
				b = append(b, ' ')
			default:
				b = append(b, "<</Type/MCR/Pg "...)
				b = appendRef(b, f.w.pages[k.page])
				b = append(b, "/MCID "...)
				b = strconv.AppendInt(b, int64(k.mcid), 10)
				b = append(b, ">>"...)
			}
		}
		b = append(b, ']')
	}
	f.objects[e.num] = append(b, ">>\n"...)
	for _, k := range e.kids {
		if k.elem != nil {
			f.element(k.elem, e.num)
		}
	}
}

// An outlineNode is a bookmark with those under it.
type outlineNode struct {
	mark outlineMark
	kids []*outlineNode
	num  int
}

// outline writes the bookmarks: the parts of the document, under each stage its
// steps. Only the first level is open.
func (f *finisher) outline() error {
	root := &outlineNode{}
	stack := []*outlineNode{root}
	for _, m := range f.s.marks {
		n := &outlineNode{mark: m}
		depth := min(max(m.level, 1), len(stack))
		stack = stack[:depth]
		stack[depth-1].kids = append(stack[depth-1].kids, n)
		stack = append(stack, n)
	}
	if len(root.kids) == 0 {
		return nil
	}
	root.num = f.reserve()
	var write func(n *outlineNode)
	write = func(n *outlineNode) {
		for _, k := range n.kids {
			k.num = f.reserve()
		}
		for i, k := range n.kids {
			write(k)
			b := []byte("<</Title")
			b = appendText(b, shortTitle(k.mark.title))
			b = append(b, "/Parent "...)
			b = appendRef(b, n.num)
			b = append(b, "/Dest"...)
			b = f.dest(b, k.mark.at)
			if i > 0 {
				b = append(b, "/Prev "...)
				b = appendRef(b, n.kids[i-1].num)
			}
			if i+1 < len(n.kids) {
				b = append(b, "/Next "...)
				b = appendRef(b, n.kids[i+1].num)
			}
			b = outlineSpan(b, k, true)
			f.objects[k.num] = append(b, ">>\n"...)
		}
	}
	write(root)
	b := outlineSpan([]byte("<</Type/Outlines"), root, false)
	f.objects[root.num] = append(b, ">>\n"...)
	f.catalog = append(f.catalog, "/Outlines "...)
	f.catalog = appendRef(f.catalog, root.num)
	return nil
}

// outlineSpan writes the first and last bookmark under one; a negative count
// means that they are folded away.
func outlineSpan(b []byte, n *outlineNode, folded bool) []byte {
	if len(n.kids) == 0 {
		return b
	}
	b = append(b, "/First "...)
	b = appendRef(b, n.kids[0].num)
	b = append(b, "/Last "...)
	b = appendRef(b, n.kids[len(n.kids)-1].num)
	b = append(b, "/Count "...)
	count := len(n.kids)
	if folded {
		count = -count
	}
	return strconv.AppendInt(b, int64(count), 10)
}

func shortTitle(s string) string {
	const most = 90
	r := []rune(strings.Join(strings.Fields(s), " "))
	if len(r) <= most {
		return string(r)
	}
	return strings.TrimRight(string(r[:most-1]), " ") + "…"
}

// destinations names the steps, stages, decisions and finishes, so that a link
// from outside can end in file.pdf#step-14.
func (f *finisher) destinations() error {
	var names []string
	for n := range f.s.anchors {
		names = append(names, n)
	}
	if len(names) == 0 {
		return nil
	}
	slices.Sort(names)
	b := []byte("<</Names[")
	for _, n := range names {
		b = appendBytes(b, n)
		b = f.dest(b, f.s.anchors[n])
	}
	n := f.add(append(b, "]>>\n"...))
	f.catalog = append(f.catalog, "/Names<</Dests "...)
	f.catalog = appendRef(f.catalog, n)
	f.catalog = append(f.catalog, ">>"...)
	return nil
}
