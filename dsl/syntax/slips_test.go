package syntax

import (
	"os"
	"path/filepath"
	"testing"
)

// One slip of the pen in the example library — a keyword with two letters
// swapped or one left out, a word, a brace, a comma or a quote left out — is
// one mistake: it gives one message, on its line or the next (a closing brace
// apart, which may lack anywhere up to the next block), and where the message
// offers an edit, the edit mends it.
func TestOneSlipOneMessage(t *testing.T) {
	paths, _ := filepath.Glob("testdata/pump-bench/*.proc")
	slips := 0
	for _, path := range paths {
		b, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		text := string(b)
		tree, _ := load(text, path)
		for _, tok := range tree.Tokens {
			from, to := tok.Pos.Offset, tok.Pos.Offset+len(tok.Value)
			var bad []string
			switch {
			case tok.Type == WordToken && Reserved(tok.Value) && len(tok.Value) > 3:
				v := tok.Value
				bad = append(bad, v[:1]+v[2:3]+v[1:2]+v[3:], v[:2]+v[3:])
			case tok.Type == PunctToken:
				bad = append(bad, "")
			case tok.Type == StringToken:
				bad = append(bad, tok.Value[1:], tok.Value[:len(tok.Value)-1])
			}
			for _, word := range bad {
				if word == tok.Value {
					continue
				}
				slips++
				wrong := text[:from] + word + text[to:]
				got, list := load(wrong, path)
				switch {
				case len(list) != 1:
					t.Errorf("%s:%d: %q for %q gives %d messages\n%s", path, tok.Pos.Line, word, tok.Value, len(list), show(list))
				default:
					m := list[0]
					line, _ := got.Source.Position(m.Span.Start)
					if tok.Value != "}" && (line < tok.Pos.Line || line > tok.Pos.Line+1) {
						t.Errorf("%s:%d: %q for %q is told on line %d\n%s", path, tok.Pos.Line, word, tok.Value, line, show(list))
					}
					if len(m.Edits) == 1 {
						e := m.Edits[0]
						if _, again := load(wrong[:e.Span.Start]+e.Text+wrong[e.Span.End:], path); len(again) > 0 {
							t.Errorf("%s:%d: %q for %q: the edit does not mend\n%s%s", path, tok.Pos.Line, word, tok.Value, show(list), show(again))
						}
					}
				}
			}
		}
	}
	if slips < 1000 {
		t.Errorf("only %d slips tried", slips)
	}
}
