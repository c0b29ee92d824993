package html

import (
	"slices"

	"benchproof/compiler/document"
)

// A reading or an answer may be taken at several steps; a decision goes by the
// last one taken. Which step that can be follows from the order of the work:
// these are the takings that reach the decision on some path, as reaching
// definitions of a structured program.

// takings are the steps whose taking may decide, by decision ID or repeat ID
// (for its until), in order.
type takings map[string][]int

// reach is, by name of a reading or question, the steps that may have taken it
// last. Its lists are never written to, so copies share them.
type reach map[string][]int

func (r reach) clone() reach {
	out := make(reach, len(r))
	for k, v := range r {
		out[k] = v
	}
	return out
}

// join adds what another path brings.
func (r reach) join(other reach) reach {
	if r == nil {
		return other
	}
	for name, steps := range other {
		r[name] = union(r[name], steps)
	}
	return r
}

func union(a, b []int) []int {
	if len(a) == 0 {
		return b
	}
	out := a
	for _, n := range b {
		if !slices.Contains(out, n) {
			out = append(slices.Clip(out), n)
		}
	}
	if len(out) > len(a) {
		slices.Sort(out)
	}
	return out
}

// takingsOf follows the work of a document.
func takingsOf(body []document.Block) takings {
	t := takings{}
	t.follow(body, reach{}, "")
	return t
}

// follow goes through blocks and returns what reaches their end; nil where no
// path does. Repeat is the one that an until directly among them ends.
func (t takings) follow(body []document.Block, in reach, repeat string) reach {
	for _, b := range body {
		if in == nil {
			return nil
		}
		switch b := b.(type) {
		case *document.Stage:
			in = t.follow(b.Body, in, repeat)
		case *document.Routine:
			in = t.follow(b.Body, in, repeat)
		case *document.Step:
			for _, box := range b.Boxes {
				switch box := box.(type) {
				case *document.ReadingBox:
					in[box.Reading.Name] = []int{b.Number}
				case *document.AnswerBox:
					in[box.Name] = []int{b.Number}
				}
			}
		case *document.Decision:
			t[b.ID] = union(t[b.ID], in[b.On])
			var out reach
			for _, x := range b.Branches {
				if end := t.follow(x.Body, in.clone(), repeat); end != nil {
					out = out.join(end)
				}
			}
			in = out
		case *document.Repeat:
			in = t.repeat(b, in)
		case *document.Finish:
			return nil
		}
	}
	return in
}

func (t takings) repeat(r *document.Repeat, in reach) reach {
	before, rest := r.Body, []document.Block(nil)
	var until *document.Until
	for i, b := range r.Body {
		if u, ok := b.(*document.Until); ok {
			before, rest, until = r.Body[:i], r.Body[i+1:], u
			break
		}
	}
	var out reach
	for range 2 { // what a turn brings reaches the next one
		at := t.follow(before, in.clone(), r.ID)
		if at == nil {
			break
		}
		if until != nil {
			t[r.ID] = union(t[r.ID], at[until.On])
		}
		out = at.clone().join(out)
		if end := t.follow(rest, at, r.ID); end != nil {
			in = in.clone().join(end)
		}
	}
	if out != nil && len(r.Otherwise) > 0 {
		if end := t.follow(r.Otherwise, out.clone(), ""); end != nil {
			out = out.join(end)
		}
	}
	return out
}
