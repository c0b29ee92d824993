package syntax

import (
	"fmt"
	"reflect"
	"strings"
)

// Dump writes a tree as text, one node a line: its kind, its span in bytes
// where spans is true, and its own words. It is for looking at and for tests;
// the form may change.
func Dump(f *File, spans bool) string {
	var b strings.Builder
	for _, d := range f.Declarations {
		dump(&b, reflect.ValueOf(d), "", 0, spans)
	}
	return b.String()
}

func dump(b *strings.Builder, v reflect.Value, label string, depth int, spans bool) {
	for v.Kind() == reflect.Pointer || v.Kind() == reflect.Interface {
		if v.IsNil() {
			return
		}
		if n, ok := v.Interface().(Place); ok && v.Kind() == reflect.Pointer {
			dumpNode(b, n, v.Elem(), label, depth, spans)
			return
		}
		v = v.Elem()
	}
}

func dumpNode(b *strings.Builder, n Place, v reflect.Value, label string, depth int, spans bool) {
	b.WriteString(strings.Repeat("  ", depth))
	if label != "" {
		b.WriteString(label + ": ")
	}
	b.WriteString(v.Type().Name())
	if spans {
		fmt.Fprintf(b, " %d-%d", n.Start(), n.End())
	}
	var later []func()
	fields(v, func(name string, f reflect.Value) {
		switch f.Kind() {
		case reflect.String:
			fmt.Fprintf(b, " %s", f.String())
		case reflect.Bool:
			if f.Bool() {
				fmt.Fprintf(b, " %s", strings.ToLower(name))
			}
		case reflect.Uint8:
			if f.Type() == reflect.TypeFor[RangeKind]() {
				fmt.Fprintf(b, " %s", RangeKind(f.Uint()))
			}
		case reflect.Pointer, reflect.Interface:
			later = append(later, func() { dump(b, f, name, depth+1, spans) })
		case reflect.Slice:
			later = append(later, func() {
				for i := range f.Len() {
					dump(b, f.Index(i), name, depth+1, spans)
				}
			})
		}
	})
	b.WriteByte('\n')
	for _, write := range later {
		write()
	}
}

// fields calls f for each field of a node that is not its place, those of
// Keyed among them.
func fields(v reflect.Value, f func(name string, v reflect.Value)) {
	for i := range v.NumField() {
		t := v.Type().Field(i)
		switch {
		case t.Type == reflect.TypeFor[Node]():
		case t.Type == reflect.TypeFor[Keyed]():
			fields(v.Field(i), f)
		case t.Name != "Pos" && t.Name != "EndPos":
			f(t.Name, v.Field(i))
		}
	}
}

var rangeNames = [...]string{AtLeast: "at least", Above: "above", AtMost: "at most", Below: "below", FromTo: "from to",
	FromToBelow: "from to below", AboveTo: "above to", AboveToBelow: "above to below", Limits: "limits",
	BelowLimits: "below limits", AboveLimits: "above limits"}

// String gives the words of the range.
func (k RangeKind) String() string {
	if int(k) >= len(rangeNames) {
		return ""
	}
	return rangeNames[k]
}
