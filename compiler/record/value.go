package record

import (
	"fmt"
	"regexp"
	"strings"

	"benchproof/compiler/document"
	"benchproof/compiler/quantity"
)

// A number as a hand types it: a comma is a point, a sign may stand before it.
var typedShape = regexp.MustCompile(`^[+-]?([0-9]+([.,][0-9]*)?|[.,][0-9]+)$`)

// maxTyped is how long a reading may be; the page takes no more.
const maxTyped = 40

// readTyped reads what a hand typed as the page does: the unit may stand behind
// it, a minus may be a true minus sign.
func readTyped(typed, unit string) (quantity.Number, bool) {
	text := strings.TrimSpace(typed)
	if len(text) > maxTyped {
		return quantity.Number{}, false
	}
	text = strings.NewReplacer("\u2212", "-", "\u2013", "-", "\u00a0", " ", "\u2009", " ", "\u202f", " ").Replace(text)
	if unit != "" {
		text = strings.TrimSpace(strings.TrimSuffix(text, unit))
	}
	if !typedShape.MatchString(text) {
		return quantity.Number{}, false
	}
	text = strings.TrimPrefix(strings.Replace(text, ",", ".", 1), "+")
	negative := strings.HasPrefix(text, "-")
	text = strings.TrimPrefix(text, "-")
	if strings.HasPrefix(text, ".") {
		text = "0" + text
	}
	n, err := quantity.ParseNumber(strings.TrimSuffix(text, "."))
	if negative {
		n = n.Neg()
	}
	return n, err == nil
}

// exactNumber reads a value as a document writes it: a decimal, or a fraction.
func exactNumber(s string) (quantity.Number, bool) {
	if len(s) > 2*quantity.MaxDigits {
		return quantity.Number{}, false
	}
	if a, b, is := strings.Cut(s, "/"); is {
		n, err := quantity.ParseNumber(a)
		m, err2 := quantity.ParseNumber(b)
		if err != nil || err2 != nil || m.Sign() == 0 {
			return quantity.Number{}, false
		}
		return n.Quo(m), true
	}
	n, err := quantity.ParseNumber(s)
	return n, err == nil
}

// scaleOf is what the instrument of a reading can show.
func scaleOf(r *document.Reading) quantity.Scale {
	var s quantity.Scale
	from, ok := exactNumber(r.From)
	to, ok2 := exactNumber(r.To)
	s.From, s.To, s.Endless = from, to, !ok || !ok2
	s.Step, _ = exactNumber(r.Step)
	s.Origin, _ = exactNumber(r.Origin)
	return s
}

// cell judges one typed value as the page does; fault says what is wrong.
func cell(typed string, r *document.Reading) (n quantity.Number, fault string) {
	n, ok := readTyped(typed, r.Unit)
	scale := scaleOf(r)
	switch {
	case !ok:
		return n, fmt.Sprintf("“%s” is not a number", short(typed))
	case !scale.Reaches(n):
		return n, fmt.Sprintf("%s %s is outside what the instrument can show, %s", short(typed), r.Unit, r.RangeText)
	case !scale.Resolves(n):
		return n, fmt.Sprintf("%s is finer than the instrument shows: steps of %s %s", short(typed), r.Step, r.Unit)
	}
	return n, ""
}

// combine makes one value of several places.
func combine(of string, values []quantity.Number) quantity.Number {
	out := values[0]
	for _, v := range values[1:] {
		switch c := v.Cmp(out); {
		case of == "smallest" && c < 0, of == "largest" && c > 0, of == "":
			out = v
		case of == "mean":
			out = out.Add(v)
		}
	}
	if of == "mean" {
		out = out.Quo(quantity.NewInt(int64(len(values))))
	}
	return out
}

// toScale rounds a mean to what the instrument shows, halves to the even step
// (ISO 80000-1, rule A), as the page does.
func toScale(n quantity.Number, s quantity.Scale) quantity.Number {
	if s.Continuous() {
		return n
	}
	step := s.Step.Abs()
	return roundEven(n.Sub(s.Origin).Quo(step)).Mul(step).Add(s.Origin)
}

// roundEven rounds to a whole number, halves to the even one.
func roundEven(n quantity.Number) quantity.Number {
	one, two := quantity.NewInt(1), quantity.NewInt(2)
	low := n.Floor(one)
	switch twice := n.Sub(low).Mul(two); twice.Cmp(one) {
	case 1:
		return low.Add(one)
	case 0:
		if !low.Quo(two).IsInt() {
			return low.Add(one)
		}
	}
	return low
}

// holds tells whether a value lies within limits of a document.
func holds(l document.Limits, v quantity.Number) bool {
	if l.Impossible {
		return false
	}
	return limitsOf(l).take(v)
}

func limitsOf(l document.Limits) *Limits {
	return &Limits{Low: l.Low, High: l.High, LowOpen: l.LowOpen, HighOpen: l.HighOpen}
}

// take tells whether a value lies within limits. An end that is no number takes
// nothing.
func (l *Limits) take(v quantity.Number) bool {
	if l.Low != "" {
		low, ok := exactNumber(l.Low)
		if c := v.Cmp(low); !ok || c < 0 || c == 0 && l.LowOpen {
			return false
		}
	}
	if l.High != "" {
		high, ok := exactNumber(l.High)
		if c := v.Cmp(high); !ok || c > 0 || c == 0 && l.HighOpen {
			return false
		}
	}
	return true
}

// Ends are the ends of limits that are numbers, the lower first; none where
// there are no limits.
func (l *Limits) Ends() (out []quantity.Number) {
	if l == nil {
		return nil
	}
	for _, s := range []string{l.Low, l.High} {
		if v, ok := exactNumber(s); ok {
			out = append(out, v)
		}
	}
	return out
}

// Words prints limits: "from 19.954 to 20.006".
func (l *Limits) Words() string {
	if l == nil {
		return "none"
	}
	pick := func(open bool, yes, no string) string {
		if open {
			return yes
		}
		return no
	}
	switch {
	case l.Low == "" && l.High == "":
		return "any value"
	case l.Low == "":
		return pick(l.HighOpen, "below ", "at most ") + short(l.High)
	case l.High == "":
		return pick(l.LowOpen, "above ", "at least ") + short(l.Low)
	}
	return pick(l.LowOpen, "above ", "from ") + short(l.Low) + pick(l.HighOpen, " to below ", " to ") + short(l.High)
}

func sameLimits(a, b *Limits) bool {
	if a == nil || b == nil {
		return a == b
	}
	return *a == *b
}

// acting gives the limits that make a reading good for the members at hand; nil
// where there are none.
func (j *judge) acting(list []document.MemberLimits) *Limits {
	l := j.forMembers(list)
	if l == nil || l.Impossible {
		return nil
	}
	return limitsOf(*l)
}

func (j *judge) drawn(list []document.MemberLimits) *Limits {
	l := j.forMembers(list)
	if l == nil || l.DrawnLow == "" && l.DrawnHigh == "" {
		return nil
	}
	return &Limits{Low: l.DrawnLow, High: l.DrawnHigh}
}

func (j *judge) forMembers(list []document.MemberLimits) *document.Limits {
	var found *document.Limits
	for i := range list {
		if j.isFor(list[i].Members) {
			if found != nil {
				return nil
			}
			found = &list[i].Limits
		}
	}
	return found
}

// takes tells whether one of several limits takes a value for the members.
func (j *judge) takes(list []document.MemberLimits, v quantity.Number) bool {
	for i := range list {
		if j.isFor(list[i].Members) && holds(list[i].Limits, v) {
			return true
		}
	}
	return false
}
