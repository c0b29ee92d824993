package document

import "reflect"

// EachString puts every text of a document through a function, the fixed words
// apart: they are shared by all documents.
func (d *Document) EachString(f func(string) string) {
	w := stringWalker{f: f, met: map[any]bool{}}
	w.value(reflect.ValueOf(d).Elem())
}

type stringWalker struct {
	f   func(string) string
	met map[any]bool
}

func (w *stringWalker) value(v reflect.Value) {
	switch v.Kind() {
	case reflect.String:
		if v.CanSet() {
			if s := v.String(); s != "" {
				if now := w.f(s); now != s {
					v.SetString(now)
				}
			}
		}
	case reflect.Pointer:
		if v.IsNil() || v.Type() == reflect.TypeFor[*Words]() || w.met[v.Interface()] {
			return
		}
		w.met[v.Interface()] = true
		w.value(v.Elem())
	case reflect.Interface:
		if !v.IsNil() {
			w.value(v.Elem())
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				w.value(v.Field(i))
			}
		}
	case reflect.Slice:
		if v.Type().Elem().Kind() == reflect.Uint8 {
			return
		}
		for i := range v.Len() {
			w.value(v.Index(i))
		}
	}
}
