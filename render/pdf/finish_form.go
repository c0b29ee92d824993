package pdf

import "strconv"

// form writes the fields that can be filled in on a screen. The boxes are
// painted on the page; a field adds nothing until it is filled in.
func (f *finisher) form() error {
	if len(f.w.fields) == 0 {
		return nil
	}
	font, err := f.addFormFont()
	if err != nil {
		return err
	}
	appearances := map[string]int{}
	appearance := func(r [4]float64, ops string) int {
		w, h := num(r[2]-r[0]), num(r[3]-r[1])
		key := w + " " + h + " " + ops
		n := appearances[key]
		if n == 0 {
			n = f.addStream(stream{dict: "/Type/XObject/Subtype/Form/BBox[0 0 " + w + " " + h + "]/Resources<<>>", data: []byte(ops)})
			appearances[key] = n
		}
		return n
	}
	fields := []byte("/AcroForm<</Fields[")
	// Places of one field hang under an object that is the field.
	shared := map[string]int{}
	places := map[string][]byte{}
	var order []string
	for _, m := range f.w.fields {
		n := f.reserve()
		key := f.annot(m.page, n, m.elem)
		b := []byte("<</Type/Annot/Subtype/Widget/F 4/P ")
		b = appendRef(b, f.w.pages[m.page])
		b = appendRect(b, m.rect)
		if name := m.field.name; m.field.shared {
			if shared[name] == 0 {
				shared[name] = f.reserve()
				order = append(order, name)
				fields = appendRef(fields, shared[name])
			}
			places[name] = appendRef(places[name], n)
			b = append(b, "/Parent "...)
			b = appendRef(b, shared[name])
		} else {
			b = append(b, "/T"...)
			b = appendText(b, name)
			fields = appendRef(fields, n)
		}
		b = append(b, "/TU"...)
		b = appendText(b, m.field.tip)
		b = append(b, "/StructParent "...)
		b = strconv.AppendInt(b, int64(key), 10)
		if m.field.check {
			// The tick is a path, so no font is needed for it.
			w, h := m.rect[2]-m.rect[0], m.rect[3]-m.rect[1]
			tick := "2 w 1 J 1 j " + num(w*0.2) + " " + num(h*0.5) + " m " + num(w*0.42) + " " + num(h*0.22) + " l " + num(w*0.82) + " " + num(h*0.8) + " l S"
			b = append(b, "/FT/Btn/V/Off/AS/Off/AP<</N<</Yes "...)
			b = appendRef(b, appearance(m.rect, tick))
			b = append(b, "/Off "...)
			b = appendRef(b, appearance(m.rect, ""))
			b = append(b, ">>>>"...)
		} else {
			if !m.field.shared {
				b = append(b, "/FT/Tx"...)
			}
			if m.field.lines {
				b = append(b, "/Ff 4096"...)
			}
			b = append(b, "/DA(/Form 11 Tf 0 g)"...)
			if !m.field.shared {
				b = append(b, "/V()"...)
			}
			b = append(b, "/AP<</N "...)
			b = appendRef(b, appearance(m.rect, "/Tx BMC EMC"))
			b = append(b, ">>"...)
		}
		f.objects[n] = append(b, ">>\n"...)
	}
	for _, name := range order {
		b := append([]byte("<</FT/Tx/V()/T"), appendText(nil, name)...)
		b = append(b, "/Kids["...)
		b = append(b, places[name]...)
		f.objects[shared[name]] = append(b, "]>>\n"...)
	}
	fields = append(fields, "]/DA(/Form 11 Tf 0 g)/DR<</Font<</Form "...)
	fields = appendRef(fields, font)
	f.catalog = append(f.catalog, append(fields, ">>>>>>"...)...)
	return nil
}
