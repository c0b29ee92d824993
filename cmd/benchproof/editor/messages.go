package editor

import (
	"slices"
	"strings"

	"github.com/charmbracelet/x/powernap/pkg/lsp/protocol"

	"benchproof/dsl/message"
	"benchproof/dsl/source"
)

// diagnostics puts messages into the protocol's words.
func (f *folder) diagnostics(list []*message.Message, pos positions) []protocol.Diagnostic {
	out := make([]protocol.Diagnostic, 0, len(list))
	for _, m := range list {
		out = append(out, f.diagnostic(m, pos))
	}
	return out
}

func (f *folder) diagnostic(m *message.Message, pos positions) protocol.Diagnostic {
	d := protocol.Diagnostic{
		Range: pos.rangeOf(m.Span), Severity: protocol.SeverityWarning, Code: string(m.Code), Source: "benchproof", Message: said(m),
	}
	if m.IsError() {
		d.Severity = protocol.SeverityError
	}
	switch m.Code {
	case "BP204", "BP505": // never used, never reached
		d.Tags = []protocol.DiagnosticTag{protocol.Unnecessary}
	case "BP205": // replaced
		d.Tags = []protocol.DiagnosticTag{protocol.Deprecated}
	}
	for _, r := range m.Related {
		if f.server.client.relatedInformation {
			d.RelatedInformation = append(d.RelatedInformation, protocol.DiagnosticRelatedInformation{
				Location: protocol.Location{URI: f.uri(r.Span.File.Path), Range: pos.rangeOf(r.Span)}, Message: r.Text,
			})
		}
	}
	return d
}

// said is a message with its notes and what to do, a line each.
func said(m *message.Message) string {
	lines := append([]string{m.Text}, m.Notes...)
	if m.Help != "" {
		lines = append(lines, "help: "+m.Help)
	}
	return strings.Join(lines, "\n")
}

// codeActions offers the mends that messages within a range have.
func (s *server) codeActions(p *protocol.CodeActionParams) (any, error) {
	actions := []protocol.CodeAction{}
	if len(p.Context.Only) > 0 && !slices.ContainsFunc(p.Context.Only, func(k protocol.CodeActionKind) bool {
		return k == protocol.Empty || k == protocol.QuickFix
	}) {
		return actions, nil
	}
	s.look(p.TextDocument.URI, func(sc *scene) {
		start, end := sc.lines.offset(p.Range.Start), sc.lines.offset(p.Range.End)
		for _, m := range sc.folder.messages(sc.name) {
			if len(m.Edits) == 0 || m.Span.Start > end || m.Span.End < start || !sc.current(m) {
				continue
			}
			edit, ok := sc.edit(m.Edits)
			if !ok {
				continue
			}
			actions = append(actions, protocol.CodeAction{
				Title: title(m), Kind: protocol.QuickFix, IsPreferred: true, Edit: edit,
				Diagnostics: []protocol.Diagnostic{sc.folder.diagnostic(m, sc.pos)},
			})
		}
	})
	return actions, nil
}

// messages gives what the last check found of a file.
func (f *folder) messages(name string) []*message.Message {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.found[name]
}

// current tells whether a message speaks of the text as it now is.
func (sc *scene) current(m *message.Message) bool {
	is := func(s source.Span) bool {
		f := sc.File(s.File.Path)
		return f != nil && (f.Source == s.File || f.Source.Text == s.File.Text)
	}
	return is(m.Span) && !slices.ContainsFunc(m.Edits, func(e message.Edit) bool { return !is(e.Span) })
}

// title says what a mend does.
func title(m *message.Message) string {
	if m.Help != "" && !strings.HasSuffix(m.Help, "?") {
		return m.Help
	}
	e := m.Edits[0]
	switch old := e.Span.Text(); {
	case e.Text == "":
		return "leave out " + short(old)
	case old == "":
		return "write " + short(e.Text)
	default:
		return "write " + short(e.Text) + " instead of " + short(old)
	}
}

func short(s string) string {
	s = strings.Join(strings.Fields(s), " ")
	if r := []rune(s); len(r) > 40 {
		s = string(r[:39]) + "…"
	}
	return "“" + s + "”"
}

// edit makes an edit of the workspace, files and places in order. Edits that
// overlap cannot be made together.
func (sc *scene) edit(list []message.Edit) (*protocol.WorkspaceEdit, bool) {
	list = slices.Clone(list)
	slices.SortStableFunc(list, func(a, b message.Edit) int {
		switch {
		case a.Span.Less(b.Span):
			return -1
		case b.Span.Less(a.Span):
			return 1
		}
		return 0
	})
	var files []*source.File
	edits := map[*source.File][]protocol.TextEdit{}
	for i, e := range list {
		if i > 0 && list[i-1].Span.File == e.Span.File && list[i-1].Span.End > e.Span.Start {
			return nil, false
		}
		if edits[e.Span.File] == nil {
			files = append(files, e.Span.File)
		}
		edits[e.Span.File] = append(edits[e.Span.File], protocol.TextEdit{Range: sc.pos.rangeOf(e.Span), NewText: e.Text})
	}
	out := &protocol.WorkspaceEdit{}
	if !sc.server.client.versionedEdits {
		out.Changes = map[protocol.DocumentURI][]protocol.TextEdit{}
		for _, file := range files {
			out.Changes[sc.folder.uri(file.Path)] = edits[file]
		}
		return out, true
	}
	versions := sc.folder.versions()
	for _, file := range files {
		change := protocol.TextDocumentEdit{}
		change.TextDocument.URI = sc.folder.uri(file.Path)
		change.TextDocument.Version = versions[file.Path]
		for _, e := range edits[file] {
			change.Edits = append(change.Edits, protocol.Or_TextDocumentEdit_edits_Elem{Value: e})
		}
		out.DocumentChanges = append(out.DocumentChanges, protocol.DocumentChange{TextDocumentEdit: &change})
	}
	return out, true
}
