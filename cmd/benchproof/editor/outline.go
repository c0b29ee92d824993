package editor

import (
	"slices"
	"strings"

	"github.com/alecthomas/participle/v2/lexer"
	"github.com/charmbracelet/x/powernap/pkg/lsp/protocol"

	"benchproof/compiler/library"
	"benchproof/dsl/syntax"
)

// kinds of the outline by the word of a declaration.
var outlineKinds = map[string]protocol.SymbolKind{
	"library": protocol.Package, "variant": protocol.Enum, "condition": protocol.Enum, "hazard": protocol.Event,
	"tool": protocol.Class, "kit": protocol.Array, "part": protocol.Struct, "consumable": protocol.Object, "table": protocol.Array,
	"figure": protocol.File, "video": protocol.File, "routine": protocol.Function, "procedure": protocol.Function, "trial": protocol.Method,
	"released": protocol.Event, "withdrawn": protocol.Event,
}

// outline gives the declarations of a file, and the flow of procedures and routines.
func (s *server) outline(p *protocol.DocumentSymbolParams) (any, error) {
	out := []protocol.DocumentSymbol{}
	s.look(p.TextDocument.URI, func(sc *scene) {
		for _, d := range sc.file.Declarations {
			out = append(out, sc.declared(d))
		}
	})
	return out, nil
}

func (sc *scene) entry(name, detail string, kind protocol.SymbolKind, whole, at syntax.Place, children []protocol.DocumentSymbol) protocol.DocumentSymbol {
	if strings.TrimSpace(name) == "" {
		name = "…" // the protocol wants a name
	}
	return protocol.DocumentSymbol{
		Name: name, Detail: detail, Kind: kind, Children: children,
		Range: sc.lines.rangeOf(whole.Start(), whole.End()), SelectionRange: sc.lines.rangeOf(at.Start(), min(at.End(), whole.End())),
	}
}

func (sc *scene) declared(d syntax.Declaration) protocol.DocumentSymbol {
	kind := outlineKinds[d.Keyword()]
	named := func(name *syntax.Name, title *syntax.Text, children []protocol.DocumentSymbol) protocol.DocumentSymbol {
		return sc.entry(name.Text, d.Keyword()+" "+title.Raw, kind, d, name, children)
	}
	switch d := d.(type) {
	case *syntax.Thing:
		switch {
		case d.Name == nil:
			return sc.entry(d.Title.Value(), "library", kind, d, d.Title, nil)
		case d.Title == nil:
			return sc.entry(d.Name.Text, "table by "+d.By.Text, kind, d, d.Name, nil)
		}
		return named(d.Name, d.Title, nil)
	case *syntax.Routine:
		return named(d.Name, d.Title, sc.flow(d.Body))
	case *syntax.Procedure:
		return named(d.Name, d.Title, sc.flow(d.Body))
	case *syntax.Trial:
		return sc.entry(d.Title.Value(), "trial of "+d.Of.Text, kind, d, d.Title, nil)
	case *syntax.Released:
		return sc.entry(d.Of.Text+" "+d.Revision.Text, d.Keyword(), kind, d, d.Of, nil)
	}
	return sc.entry("", "", protocol.Null, d, d, nil)
}

func (sc *scene) flow(list []syntax.Statement) (out []protocol.DocumentSymbol) {
	for _, st := range list {
		switch st := st.(type) {
		case *syntax.Stage:
			out = append(out, sc.entry(st.Title.Value(), "stage", protocol.Namespace, st, st.Title, sc.flow(st.Body)))
		case *syntax.Step:
			out = append(out, sc.entry(st.Text.Value(), "step", protocol.Key, st, st.Text, nil))
		case *syntax.Decide:
			var branches []protocol.DocumentSymbol
			for _, b := range st.Branches {
				name := sc.file.Source.Text[b.Start():b.End()]
				name, _, _ = strings.Cut(name, "{")
				branches = append(branches, sc.entry(strings.Join(strings.Fields(name), " "), "branch", protocol.EnumMember, b, b, sc.flow(b.Body)))
			}
			out = append(out, sc.entry("decide "+st.On.Text, "", protocol.Operator, st, st.On, branches))
		case *syntax.Repeat:
			children := sc.flow(st.Body)
			if st.Otherwise != nil {
				children = append(children, sc.entry("otherwise", "", protocol.EnumMember, st.Otherwise, st.Otherwise, sc.flow(st.Otherwise.Body)))
			}
			out = append(out, sc.entry("repeat at most "+st.Times.Text+" times", "", protocol.Operator, st, st.Times, children))
		case *syntax.Perform:
			out = append(out, sc.entry("perform "+st.Routine.Text, "", protocol.Function, st, st.Routine, nil))
		case *syntax.Finish:
			out = append(out, sc.entry("finish "+st.Outcome.Text, "", protocol.Event, st, st.Outcome, nil))
		}
	}
	return out
}

// most is how many symbols one search of the library gives.
const most = 200

// find gives the declared things of all open libraries whose name or title
// holds the words asked for.
func (s *server) find(p *protocol.WorkspaceSymbolParams) (any, error) {
	out := []protocol.SymbolInformation{}
	words := strings.Fields(strings.ToLower(p.Query))
	s.mu.Lock()
	docs := map[*folder]protocol.DocumentURI{}
	for _, d := range s.docs {
		docs[d.folder] = d.folder.uri(d.name)
	}
	s.mu.Unlock()
	for _, f := range s.inOrder() {
		if docs[f] == "" {
			continue
		}
		s.look(docs[f], func(sc *scene) {
			each(sc.Library, func(sym library.Symbol) {
				kind, global := outlineKinds[sym.Sort()]
				d := sym.Declared()
				text := strings.ToLower(d.Name + " " + d.Title)
				for _, w := range words {
					global = global && strings.Contains(text, w)
				}
				if !global || len(out) >= most {
					return
				}
				out = append(out, protocol.SymbolInformation{Name: d.Name, Kind: kind, ContainerName: d.Title, Location: sc.location(d.Span)})
			})
		})
	}
	return out, nil
}

// folding gives the blocks of more than one line, and the comments above one another.
func (s *server) folding(p *protocol.FoldingRangeParams) (any, error) {
	out := []protocol.FoldingRange{}
	s.look(p.TextDocument.URI, func(sc *scene) {
		var open []lexer.Token
		tokens := sc.file.Tokens
		for i, t := range tokens {
			switch {
			case t.Value == "{" && t.Type == syntax.PunctToken:
				open = append(open, t)
			case t.Value == "}" && t.Type == syntax.PunctToken && len(open) > 0:
				brace := open[len(open)-1]
				open = open[:len(open)-1]
				if t.Pos.Line > brace.Pos.Line+1 {
					out = append(out, sc.fold(brace.Pos.Line, t.Pos.Line-1, ""))
				}
			case t.Type == syntax.CommentToken && (i == 0 || tokens[i-1].Pos.Line != t.Pos.Line):
				last := i
				for last+1 < len(tokens) && tokens[last+1].Type == syntax.CommentToken && tokens[last+1].Pos.Line == tokens[last].Pos.Line+1 {
					last++
				}
				alone := i == 0 || tokens[i-1].Type != syntax.CommentToken || tokens[i-1].Pos.Line != t.Pos.Line-1
				if last > i && alone {
					out = append(out, sc.fold(t.Pos.Line, tokens[last].Pos.Line, string(protocol.Comment)))
				}
			}
		}
	})
	return out, nil
}

// fold folds from one line of the source to another, both from one.
func (sc *scene) fold(from, to int, kind string) protocol.FoldingRange {
	line := func(n int) uint32 {
		_, start := sc.file.Source.Line(n)
		return sc.lines.position(start).Line
	}
	return protocol.FoldingRange{StartLine: line(from), EndLine: line(to), Kind: kind}
}

// inOrder gives the folders by their paths.
func (s *server) inOrder() []*folder {
	s.mu.Lock()
	defer s.mu.Unlock()
	out := make([]*folder, 0, len(s.folders))
	for _, f := range s.folders {
		out = append(out, f)
	}
	slices.SortFunc(out, func(a, b *folder) int { return strings.Compare(a.dir, b.dir) })
	return out
}
