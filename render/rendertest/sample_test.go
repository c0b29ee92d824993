package rendertest

import (
	"testing"

	"benchproof/compiler/document"
)

// The sample is what renderers are judged by, so it must be counted as the
// lowering counts and hold every kind of block and box.
func TestSampleIsWellFormed(t *testing.T) {
	for _, d := range []*document.Document{Document(), Draft(), Long(120), Long(1)} {
		for i, s := range d.Steps {
			if s.Number != i+1 || s.ID != "step-"+itoa(i+1) || len(s.Boxes) == 0 || len(s.Text) == 0 {
				t.Errorf("%s: step %d is %d %q with %d boxes", d.Name, i+1, s.Number, s.ID, len(s.Boxes))
			}
		}
		var order []int
		walk(d.Body, func(b document.Block) {
			if s, ok := b.(*document.Step); ok {
				order = append(order, s.Number)
			}
		})
		if len(order) != len(d.Steps) {
			t.Fatalf("%s: body holds %d steps of %d", d.Name, len(order), len(d.Steps))
		}
		for i, n := range order {
			if n != i+1 {
				t.Fatalf("%s: step %d stands at place %d", d.Name, n, i+1)
			}
		}
	}
}

func TestSampleHoldsEveryKind(t *testing.T) {
	blocks, boxes := map[string]bool{}, map[string]bool{}
	d := Document()
	walk(d.Body, func(b document.Block) {
		switch b := b.(type) {
		case *document.Stage:
			blocks["stage"] = true
		case *document.Routine:
			blocks["routine"] = true
		case *document.Decision:
			blocks["decision by "+string(b.Kind)] = true
		case *document.Repeat:
			blocks["repeat"] = true
		case *document.Until:
			blocks["until"] = true
		case *document.Finish:
			blocks["finish"] = true
		case *document.Step:
			blocks["step"] = true
			for _, x := range b.Boxes {
				switch x.(type) {
				case *document.Tick:
					boxes["tick"] = true
				case *document.ReadingBox:
					boxes["reading"] = true
				case *document.RoundBox:
					boxes["round"] = true
				case *document.AnswerBox:
					boxes["answer"] = true
				case *document.HoldBox:
					boxes["hold"] = true
				case *document.RecordBox:
					boxes["record"] = true
				case *document.WaitBox:
					boxes["wait"] = true
				case *document.StateBox:
					boxes["state"] = true
				default:
					t.Errorf("a box of kind %T", x)
				}
			}
		default:
			t.Errorf("a block of kind %T", b)
		}
	})
	if len(blocks) != 9 || len(boxes) != 8 {
		t.Errorf("blocks %v, boxes %v", blocks, boxes)
	}
}

func walk(body []document.Block, visit func(document.Block)) {
	for _, b := range body {
		visit(b)
		switch b := b.(type) {
		case *document.Stage:
			walk(b.Body, visit)
		case *document.Routine:
			walk(b.Body, visit)
		case *document.Decision:
			for _, x := range b.Branches {
				walk(x.Body, visit)
			}
		case *document.Repeat:
			walk(b.Body, visit)
			walk(b.Otherwise, visit)
		}
	}
}
