package pdf

import (
	"slices"
	"strconv"

	"benchproof/compiler/document"
	"benchproof/render/look"
)

// need is what the job needs: tools, instruments with room for their serial
// numbers, parts, consumables, and the boxes that hold them.
func (g *galley) need() {
	d := g.doc
	if len(d.Tools)+len(d.Parts)+len(d.Consumables) == 0 {
		return
	}
	g.part(g.w.WhatYouNeed, "")
	var tools, instruments []document.Need
	for _, n := range d.Tools {
		if n.Thing.Instrument {
			instruments = append(instruments, n)
		} else {
			tools = append(tools, n)
		}
	}
	g.tools(tools)
	g.instruments(instruments)
	g.supplies(g.w.Parts, d.Parts)
	g.supplies(g.w.Consumables, d.Consumables)
	g.kits()
}

func name(n document.Need) []piece { return []piece{plain(titled(n.Thing.Title, n.Thing.Detail))} }

// titled is a title with its detail.
func titled(title, detail string) string {
	if detail == "" {
		return title
	}
	return title + ", " + detail
}

func number(n document.Need) piece { return piece{text: n.Thing.Number, style: bold} }

func (g *galley) tools(needs []document.Need) {
	if len(needs) == 0 {
		return
	}
	t := g.table(g.left, g.right, false, g.columns(g.left, g.right,
		[]string{g.w.Tools, g.w.Number, g.w.UsedFor, g.w.Kit, g.w.Steps}, -1.5, 58, -1.25, 58, -1.1))
	for _, n := range needs {
		what := name(n)
		if n.Count > 1 {
			what = append([]piece{plain(strconv.Itoa(n.Count) + "\u00a0×\u00a0")}, what...)
		}
		var kit filling
		if n.Kit != nil {
			kit = g.text(plain(n.Kit.Number))
		}
		t.row(stacked(g.text(what...), g.text(g.when(n.Always, n.Only)...)), g.text(number(n)), g.text(plain(n.For)), kit,
			g.text(g.stepList(n.Steps)...))
	}
}

func (g *galley) instruments(needs []document.Need) {
	if len(needs) == 0 {
		return
	}
	t := g.table(g.left, g.right, false, g.columns(g.left, g.right,
		[]string{g.w.Instruments, g.w.Number, g.w.UsedFor, g.w.SerialNumber, g.w.Calibrated, g.w.Steps}, -1.5, 58, -1.35, 76, 82, -0.6))
	for _, n := range needs {
		what := name(n)
		if n.Thing.Range != "" {
			what = append(what, plain("; "), piece{text: n.Thing.Range})
		}
		if n.Thing.Scale != "" {
			what = append(what, plain(", "), piece{text: n.Thing.Scale, whole: true})
		}
		box := func(kind, title string) filling {
			return func(e *elem, w float64) []atom {
				if g.doc.Barred() {
					return nil
				}
				return []atom{g.entry(e, n.Thing.Name+"-"+kind, n.Thing.Title+" "+n.Thing.Number+g.w.Colon()+title, w, boxHeight-2, "", false)}
			}
		}
		t.row(stacked(g.text(what...), g.text(g.when(n.Always, n.Only)...)), g.text(number(n)), g.text(plain(n.For)),
			box("serial", g.w.SerialNumber), box("calibrated", g.w.Calibrated), g.text(g.stepList(n.Steps)...))
	}
}

func (g *galley) supplies(title string, needs []document.Need) {
	if len(needs) == 0 {
		return
	}
	titles, shares := []string{title, g.w.Number, g.w.Quantity, g.w.Steps}, []float64{-1.5, 66, -1.2, -0.8}
	used := slices.ContainsFunc(needs, func(n document.Need) bool { return n.For != "" })
	if used {
		titles, shares = slices.Insert(titles, 2, g.w.UsedFor), []float64{-1.3, 66, -1, -1, -0.6}
	}
	t := g.table(g.left, g.right, false, g.columns(g.left, g.right, titles, shares...))
	for _, n := range needs {
		quantity := []piece{{text: strconv.Itoa(max(1, n.Count)), style: bold}}
		if n.Always || n.Only == "" {
			quantity = append(quantity, plain(", "+g.w.Always))
		} else {
			quantity = append(quantity, plain(", "+n.Only))
		}
		cells := []filling{g.text(name(n)...), g.text(number(n)), g.text(quantity...), g.text(g.stepList(n.Steps)...)}
		if used {
			cells = slices.Insert(cells, 2, g.text(plain(n.For)))
		}
		t.row(cells...)
	}
}

func (g *galley) kits() {
	for _, k := range g.doc.Kits {
		line := []piece{plain(g.w.Kit + " "), {text: k.Number, style: bold, whole: true}, plain(" " + titled(k.Title, k.Detail) + g.w.Colon())}
		for i, t := range k.Holds {
			if i > 0 {
				line = append(line, plain(", "))
			}
			line = append(line, g.thing(t, 1)...)
		}
		g.add(row{left: g.left, right: g.right, above: look.ThinLine, padTop: 4, padUnder: 4,
			cells: []cell{{x: g.left, atoms: g.para(g.sect.child("P"), look.TextSize, g.right-g.left, line...)}}})
	}
}
