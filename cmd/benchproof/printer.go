package main

import (
	"fmt"
	"io"
	"reflect"
	"sort"
	"strings"

	"github.com/alecthomas/participle/v2/lexer"

	"benchproof/compiler/document"
	"benchproof/dsl/source"
)

// A printer writes any value of the compiler as indented text: a type's name,
// then its fields that are not empty. A thing that is met again inside itself,
// or that has a name and was printed before, is named and not set out again.
type printer struct {
	w    io.Writer
	done map[uintptr]bool
}

func (p *printer) print(v any) {
	p.done = map[uintptr]bool{}
	p.value(reflect.ValueOf(v), 0)
	fmt.Fprintln(p.w)
}

func (p *printer) line(depth int, text string) {
	fmt.Fprintf(p.w, "\n%s%s", strings.Repeat("  ", depth), text)
}

// hidden are types that say nothing to a reader.
var hidden = map[reflect.Type]bool{
	reflect.TypeFor[lexer.Position]():  true,
	reflect.TypeFor[*document.Words](): true,
	reflect.TypeFor[*source.File]():    true,
}

func (p *printer) value(v reflect.Value, depth int) {
	if !v.IsValid() {
		fmt.Fprint(p.w, "nothing")
		return
	}
	if v.CanInterface() {
		switch x := v.Interface().(type) {
		case source.Span:
			fmt.Fprint(p.w, place(x))
			return
		case fmt.Stringer:
			if v.Kind() != reflect.Pointer || !v.IsNil() {
				fmt.Fprintf(p.w, "%q", x.String())
				return
			}
		}
	}
	switch v.Kind() {
	case reflect.Interface:
		p.value(v.Elem(), depth)
	case reflect.Pointer:
		if v.IsNil() {
			fmt.Fprint(p.w, "nothing")
			return
		}
		if p.done[v.Pointer()] {
			fmt.Fprintf(p.w, "%s %s", v.Elem().Type().Name(), nameOf(v.Elem()))
			return
		}
		p.done[v.Pointer()] = true
		p.value(v.Elem(), depth)
	case reflect.Struct:
		fmt.Fprint(p.w, v.Type().Name())
		p.fields(v, depth+1)
	case reflect.Slice, reflect.Array:
		if v.Type().Elem().Kind() == reflect.Uint8 {
			fmt.Fprintf(p.w, "%d bytes", v.Len())
			return
		}
		for i := range v.Len() {
			p.line(depth, "- ")
			p.value(v.Index(i), depth+1)
		}
	case reflect.Map:
		// In the order of what the keys print as: the same every time.
		type pair struct {
			key   string
			value reflect.Value
		}
		var pairs []pair
		for _, k := range v.MapKeys() {
			pairs = append(pairs, pair{p.key(k), v.MapIndex(k)})
		}
		sort.Slice(pairs, func(i, j int) bool { return pairs[i].key < pairs[j].key })
		for _, x := range pairs {
			p.line(depth, x.key+": ")
			p.value(x.value, depth+1)
		}
	case reflect.String:
		fmt.Fprintf(p.w, "%q", v.String())
	case reflect.Func, reflect.Chan:
		fmt.Fprint(p.w, v.Type())
	case reflect.Bool:
		fmt.Fprint(p.w, v.Bool())
	default:
		switch {
		case v.CanInt():
			fmt.Fprint(p.w, v.Int())
		case v.CanUint():
			fmt.Fprint(p.w, v.Uint())
		case v.CanFloat():
			fmt.Fprint(p.w, v.Float())
		default:
			fmt.Fprint(p.w, v.Type())
		}
	}
}

// key names a key of a map: a thing by its name and place, which no other has.
func (p *printer) key(k reflect.Value) string {
	if k.Kind() != reflect.Pointer || k.IsNil() {
		var b strings.Builder
		inner := printer{w: &b, done: p.done}
		inner.value(k, 0)
		return b.String()
	}
	label := k.Elem().Type().Name() + " " + nameOf(k.Elem())
	if f := k.Elem().FieldByName("Span"); f.IsValid() && f.Type() == reflect.TypeFor[source.Span]() {
		label += " " + place(f.Interface().(source.Span))
	}
	return label
}

// fields prints the exported fields that are not empty; those of an embedded
// type as if they were the type's own.
func (p *printer) fields(v reflect.Value, depth int) {
	for i := range v.NumField() {
		f, x := v.Type().Field(i), v.Field(i)
		if !f.IsExported() || x.IsZero() || hidden[f.Type] {
			continue
		}
		if f.Anonymous && x.Kind() == reflect.Struct {
			p.fields(x, depth)
			continue
		}
		p.line(depth, f.Name+":")
		if k := x.Kind(); k != reflect.Slice && k != reflect.Map {
			fmt.Fprint(p.w, " ")
		}
		p.value(x, depth+1)
	}
}

// nameOf gives what a thing is called, where it is called anything.
func nameOf(v reflect.Value) string {
	if v.Kind() != reflect.Struct {
		return ""
	}
	for _, field := range []string{"Name", "ID", "Title", "Text"} {
		if f := v.FieldByName(field); f.IsValid() && f.Kind() == reflect.String && f.Len() > 0 {
			return f.String()
		}
	}
	return "(above)"
}

func place(s source.Span) string {
	if s.IsZero() {
		return "nowhere"
	}
	line, column := s.File.Position(s.Start)
	return fmt.Sprintf("%s:%d:%d", s.File.Path, line, column)
}
