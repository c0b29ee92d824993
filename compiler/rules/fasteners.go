package rules

import (
	"errors"
	"fmt"
	"strings"

	"benchproof/compiler/library"
	"benchproof/compiler/quantity"
	"benchproof/compiler/trade"
	"benchproof/dsl/message"
)

// class judges that a part's property class is one that the standards know.
func (c *checker) class(p *library.Part) {
	if p.Broken || p.Thread == "" || p.Class == "" {
		return
	}
	thread, err := trade.ParseThread(p.Thread)
	if err != nil {
		return
	}
	_, err = trade.ParseFastener(thread, p.Class)
	var unknown *trade.UnknownError
	// A thread that the standards have no proof load for is no fault of the writer's.
	if !errors.As(err, &unknown) || unknown.Found != p.Class {
		return
	}
	m := c.wrong("BP201", p.Props["thread"], "%v", err)
	if len(unknown.Near) > 0 {
		m.Helped("did you mean %s?", strings.Join(unknown.Near, " or "))
	}
}

// fastenerOf looks up what a torque on a part is judged by.
func fastenerOf(p *library.Part) (trade.Fastener, bool) {
	name, class := p.Thread, p.Class
	if p.Kind != nil && (name == "" || class == "") {
		name, class = p.Kind.Thread, p.Kind.Class
	}
	if name == "" || class == "" {
		return trade.Fastener{}, false
	}
	thread, err := trade.ParseThread(name)
	if err != nil {
		return trade.Fastener{}, false
	}
	f, err := trade.ParseFastener(thread, class)
	return f, err == nil
}

// torque judges the greatest round of a tightening against the proof load of
// the fastener.
func (c *checker) torque(a *library.Tighten, w crowd) {
	variants := variantsOf(a.To...)
	for _, v := range itemVariants(a.Item) {
		variants = addVariant(variants, v)
	}
	var found findings
	var help string
	c.each(w, variants, func(as library.Assignment) {
		p, ok := a.Item.For(as).(*library.Part)
		if !ok {
			return
		}
		f, ok := fastenerOf(p)
		if !ok {
			return
		}
		var most quantity.Number
		var written quantity.Quantity
		for _, to := range a.To {
			q, ok := to.For(as)
			if !ok {
				return
			}
			n, err := q.In(newtonMetre)
			if err != nil {
				return
			}
			if n.Cmp(most) > 0 {
				most, written = n, q
			}
		}
		load := f.TorqueLoad(most, trade.Friction)
		if !load.TooMuch {
			return
		}
		hundred := quantity.NewInt(100)
		found.add(0, as, p, fmt.Sprintf("%s loads %s class %s to %s %% of its proof load, %s",
			plain(written), f.Thread, f.Class, load.Share.Mul(hundred).Round(0), plain(quantity.New(f.Proof, kilonewton))))
		if help == "" {
			help = fmt.Sprintf("at that friction it takes %s at most", floored(f.MostTorque(trade.Friction)))
		}
	})
	for _, f := range found.list {
		at := a.To[len(a.To)-1].Span
		m := f.noted(c.wrong("BP704", at, "the torque is too much for %s: %s", quoted(f.first.(*library.Part).Name), f.text())).
			Note("the limit is 90 %% of proof load at a friction of %s in the thread and under the head", trade.Friction)
		relateThread(m, f.first.(*library.Part))
		m.Helped("%s", help)
	}
}

var kilonewton, _ = quantity.LookUp("kN")

func relateThread(m *message.Message, p *library.Part) {
	if p.Thread == "" && p.Kind != nil {
		p = p.Kind
	}
	m.Relate(p.Props["thread"], "its thread and class")
}

// floored prints a torque rounded down to two digits, so that it still holds.
func floored(n quantity.Number) string {
	step := quantity.NewInt(1)
	ten := quantity.NewInt(10)
	for n.Quo(step).Cmp(quantity.NewInt(100)) >= 0 {
		step = step.Mul(ten)
	}
	for n.Quo(step).Cmp(ten) < 0 && step.Cmp(quantity.NewFrac(1, 1000)) > 0 {
		step = step.Quo(ten)
	}
	return plain(quantity.New(n.Floor(step), newtonMetre))
}

// itemVariants gives the variant an item differs by.
func itemVariants(items ...library.Item) []*library.Variant {
	var out []*library.Variant
	for _, it := range items {
		if it.Column != nil && it.Column.Table.Variant != nil {
			out = addVariant(out, it.Column.Table.Variant)
		}
	}
	return out
}

func addVariant(list []*library.Variant, v *library.Variant) []*library.Variant {
	for _, o := range list {
		if o == v {
			return list
		}
	}
	return append(list, v)
}
