package pdf

// An elem is an element of the structure tree, which tells a reading machine
// what the marks on the sheet are. Elements hang themselves into the tree in
// the order in which they are first used on a page, so reading order is the
// order of the sheet.
type elem struct {
	tag    string
	parent *elem
	alt    string
	// attr is the attribute dictionary, without its brackets.
	attr string
	// id must be given to a Note (ISO 14289-1, 7.9).
	id   string
	kids []kid
	hung bool
	num  int // object number
}

// What repeats on every page is an artifact of the pagination.
var runningHead, runningFoot = &elem{tag: "/Subtype/Header"}, &elem{tag: "/Subtype/Footer"}

// A kid is an element, marked content on a page or an annotation.
type kid struct {
	elem *elem
	page int
	mcid int // -1: an annotation
	obj  int
}

func (e *elem) child(tag string) *elem { return &elem{tag: tag, parent: e} }

// hang puts an element into the tree, after its parents.
func (e *elem) hang() {
	if e.hung || e.parent == nil {
		return
	}
	e.hung = true
	e.parent.hang()
	e.parent.kids = append(e.parent.kids, kid{elem: e})
}

func (e *elem) mark(page, mcid int) {
	e.hang()
	e.kids = append(e.kids, kid{page: page, mcid: mcid})
}

func (e *elem) annot(page, obj int) {
	e.hang()
	e.kids = append(e.kids, kid{page: page, mcid: -1, obj: obj})
}

// Attribute dictionaries of ISO 32000-1, 14.8.5.
const (
	columnHead = "/O/Table/Scope/Column"
	rowHead    = "/O/Table/Scope/Row"
	numbered   = "/O/List/ListNumbering/Decimal"
	unordered  = "/O/List/ListNumbering/None"
)
