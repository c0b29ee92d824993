package editor

import (
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/charmbracelet/x/powernap/pkg/lsp/protocol"

	"benchproof/compiler/library"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
	"benchproof/dsl/syntax"
)

// prepareRename tells which name a rename would change.
func (s *server) prepareRename(p *protocol.PrepareRenameParams) (any, error) {
	var out any
	s.look(p.TextDocument.URI, func(sc *scene) {
		if sym, at := sc.symbolAt(sc.lines.offset(p.Position)); sym != nil {
			out = protocol.PrepareRenamePlaceholder{Range: sc.lines.rangeOf(at.Start, at.End), Placeholder: bare(sym)}
		}
	})
	return out, nil
}

// bare gives the name that a declaration has; that of a column without its table.
func bare(s library.Symbol) string {
	name := s.Declared().Name
	if c, ok := s.(*library.Column); ok {
		name = strings.TrimPrefix(name, c.Table.Name+".")
	}
	return name
}

// rename gives the edits that change a name everywhere: in declarations, in
// statements, in mentions in texts and in trials.
func (s *server) rename(p *protocol.RenameParams) (any, error) {
	var out *protocol.WorkspaceEdit
	err := refused("nothing here has a name that can be changed")
	s.look(p.TextDocument.URI, func(sc *scene) {
		sym, _ := sc.symbolAt(sc.lines.offset(p.Position))
		if sym == nil {
			return
		}
		out, err = sc.renamed(sym, p.NewName)
	})
	if err != nil {
		return nil, err
	}
	return out, nil
}

func (sc *scene) renamed(sym library.Symbol, name string) (*protocol.WorkspaceEdit, error) {
	if f := sym.Declared().Span.File; f != nil && f.Sheet != nil {
		return nil, refused("“%s” stands in %s%s: change it there", bare(sym), f.Path, message.Cell(sym.Declared().Span))
	}
	old := bare(sym)
	if name == old {
		return &protocol.WorkspaceEdit{}, nil
	}
	if why := malformed(name); why != "" {
		return nil, refused("%s", why)
	}
	if why := sc.taken(sym, name); why != "" {
		return nil, refused("%s", why)
	}
	places := sc.places(sym)
	edits := make([]message.Edit, len(places))
	byFile := map[*source.File][]message.Edit{}
	for i, at := range places {
		if at.Text() != old {
			return nil, refused("“%s” is written as “%s” in %s: mend that first", old, at.Text(), at.File.Path)
		}
		edits[i] = message.Edit{Span: at, Text: name}
		byFile[at.File] = append(byFile[at.File], edits[i])
	}
	for _, f := range sc.Library.Files {
		if err := sc.safe(f, byFile[f.Source], old); err != nil {
			return nil, err
		}
	}
	out, ok := sc.edit(edits)
	if !ok {
		return nil, refused("“%s” cannot be changed here", old)
	}
	return out, nil
}

// malformed tells what is wrong with the form of a name.
func malformed(name string) string {
	letter := false
	for i, r := range name {
		good := unicode.IsLower(r) || unicode.IsDigit(r) || unicode.Is(unicode.Lo, r)
		if i == 0 {
			letter = unicode.IsLetter(r) && good
		}
		if !good && r != '-' {
			letter = false
			break
		}
	}
	if !letter || strings.HasSuffix(name, "-") || strings.Contains(name, "--") {
		return "“" + message.Printable(name) + "” is no name: a name starts with a letter and is written in lower case with hyphens"
	}
	return ""
}

// taken tells who has a name already where it would be declared.
func (sc *scene) taken(sym library.Symbol, name string) string {
	var others []library.Symbol
	switch s := sym.(type) {
	case *library.Member:
		others = symbols(s.Variant.Members)
	case *library.State:
		others = symbols(s.Condition.States)
	case *library.Column:
		others = symbols(s.Table.Columns)
	case *library.Answer:
		others = symbols(s.Question.Answers)
	default:
		each(sc.Library, func(o library.Symbol) {
			switch o.(type) {
			case *library.Member, *library.State, *library.Column, *library.Answer:
				return
			}
			others = append(others, o)
		})
		// A name of a procedure's own would hide a thing of the library, and the
		// other way round.
		sc.Library.EachReference(func(r library.Reference) {
			if _, answer := r.To.(*library.Answer); answer || !isLocal(r.To) || bare(r.To) != name {
				return
			}
			if !isLocal(sym) || sc.together(sym, r.To) {
				others = append(others, r.To)
			}
		})
	}
	for _, o := range others {
		if bare(o) == name {
			at := o.Declared().Span
			line, _ := at.File.Position(at.Start)
			return "“" + name + "” is taken: " + sortWords(o) + " has this name (" + at.File.Path + ", line " + strconv.Itoa(line) + ")"
		}
	}
	if syntax.Reserved(name) {
		switch sym.(type) {
		case *library.Member, *library.State, *library.Answer:
		default:
			return "“" + name + "” is a word of the language"
		}
	}
	return ""
}

func sortWords(s library.Symbol) string {
	sort := s.Sort()
	if strings.ContainsRune("aeiou", rune(sort[0])) {
		return "an " + sort
	}
	return "a " + sort
}

func symbols[T library.Symbol](list []T) []library.Symbol {
	out := make([]library.Symbol, len(list))
	for i, s := range list {
		out[i] = s
	}
	return out
}

// together tells whether two names of procedures meet in one procedure or routine.
func (sc *scene) together(a, b library.Symbol) bool {
	for _, x := range sc.places(a) {
		for _, y := range sc.places(b) {
			if x.File == y.File {
				return true
			}
		}
	}
	return false
}

// safe tells whether a name can be changed in a file: where the file is broken,
// what could not be read may name the thing as well; and the changed file must
// still read as it did.
func (sc *scene) safe(f *syntax.File, edits []message.Edit, old string) error {
	if len(f.Messages) > 0 && countWord(f.Source.Text, old) > len(edits) {
		return refused("%s has mistakes, and “%s” may stand in what cannot be read: mend it first", f.Source.Path, old)
	}
	if len(edits) == 0 || !syntax.Reserved(edits[0].Text) {
		return nil // one name is read like another
	}
	var b strings.Builder
	at := 0
	for _, e := range edits {
		b.WriteString(f.Source.Text[at:e.Span.Start])
		b.WriteString(e.Text)
		at = e.Span.End
	}
	b.WriteString(f.Source.Text[at:])
	changed := syntax.Parse(source.NewFile(f.Source.Path, b.String()))
	if len(changed.Tokens) != len(f.Tokens) || len(changed.Messages) > len(f.Messages) || len(changed.Declarations) != len(f.Declarations) {
		return refused("“%s” cannot stand where “%s” stands in %s", edits[0].Text, old, f.Source.Path)
	}
	return nil
}

// countWord counts where a word stands in a text by itself.
func countWord(text, word string) int {
	n := 0
	for i := 0; ; {
		k := strings.Index(text[i:], word)
		if k < 0 {
			return n
		}
		start, end := i+k, i+k+len(word)
		before, _ := utf8.DecodeLastRuneInString(text[:start])
		after, _ := utf8.DecodeRuneInString(text[end:])
		if !partOfName(before) && !partOfName(after) {
			n++
		}
		i = end
	}
}

func partOfName(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) || r == '-' }
