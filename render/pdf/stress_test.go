package pdf

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"strings"
	"testing"

	"benchproof/compiler/document"
	"benchproof/render/look"
	"benchproof/render/rendertest"
)

// fits checks that nothing of a sheet reaches outside its page, that no text is
// under 10 pt, and that bands do not run into the foot.
func fits(t *testing.T, s *sheet) {
	t.Helper()
	const slack = 0.6 // half a line on an edge
	left, right := look.MarginLeft-changeBarGap-2, s.paper.Width-look.MarginRight+slack
	for n, p := range s.pages {
		for _, it := range p.items {
			if it.kind == openItem {
				continue
			}
			y0, y1 := it.y, it.y+it.h
			if it.kind == textItem {
				y0, y1 = it.y-it.size, it.y+it.size*0.25
				if it.size < look.SmallSize && (it.elem == nil || it.elem.tag != "Figure") {
					t.Errorf("page %d: text of %.1f pt: %q", n+1, it.size, it.text)
				}
			}
			w := it.w
			if it.kind == textItem { // the space at a line's end does not count
				w = 0
				st := style(it.face % fallback)
				w = textWidth(st, it.size, strings.TrimRight(it.text, " "))
			}
			if it.x < left || it.x+w > right || y0 < look.MarginTop-8 || y1 > s.paper.Height-22 {
				t.Errorf("page %d: item of kind %d at %.1f,%.1f, %.1f by %.1f, reaches outside: %q", n+1, it.kind, it.x, it.y, w, it.h, it.text)
			}
		}
	}
}

// bandsDoNotOverlap looks at words: no two texts of a page stand on each other.
func wordsDoNotOverlap(t *testing.T, s *sheet) {
	t.Helper()
	for n, p := range s.pages {
		var texts []item
		for _, it := range p.items {
			if it.kind == textItem && (it.elem == nil || it.elem.tag != "Figure") && strings.TrimSpace(it.text) != "" {
				texts = append(texts, it)
			}
		}
		for i, a := range texts {
			aw := textWidth(style(a.face%fallback), a.size, strings.TrimRight(a.text, " "))
			for _, b := range texts[i+1:] {
				bw := textWidth(style(b.face%fallback), b.size, strings.TrimRight(b.text, " "))
				if a.x+aw > b.x+0.5 && b.x+bw > a.x+0.5 && a.y-a.size*0.65 < b.y && b.y-b.size*0.65 < a.y {
					t.Errorf("page %d: %q and %q stand on each other", n+1, a.text, b.text)
				}
			}
		}
	}
}

// keeps checks what must stand together: a hazard with its step, a heading
// with what follows, the number of a step with its words.
func keeps(t *testing.T, s *sheet) {
	t.Helper()
	for _, m := range s.marks {
		if m.level == 1 && m.at.y > s.paper.Height-look.MarginBottom-60 {
			t.Errorf("page %d: %q stands alone at the foot", m.at.page+1, m.title)
		}
	}
	for _, st := range s.doc.Steps {
		if len(st.Hazards) == 0 {
			continue
		}
		at := s.anchors[stepAnchor(st.Number)]
		h := st.Hazards[len(st.Hazards)-1]
		var b strings.Builder
		for _, it := range s.pages[at.page].items {
			if it.kind == textItem && it.y < at.y+1 {
				b.WriteString(strings.ReplaceAll(it.text, " ", ""))
			}
		}
		title := strings.ReplaceAll(h.Title, " ", "")
		seen := strings.Contains(b.String(), title[:min(len(title), 12)])
		if !seen {
			t.Errorf("step %d is on page %d without its hazard %q before it", st.Number, at.page+1, h.Title)
		}
	}
}

func checkSheet(t *testing.T, doc *document.Document) {
	t.Helper()
	for _, p := range []Paper{A4, Letter} {
		s, err := place(doc, p.size())
		if err != nil {
			t.Fatal(err)
		}
		fits(t, s)
		wordsDoNotOverlap(t, s)
		keeps(t, s)
	}
}

func TestNothingFallsOff(t *testing.T) {
	for _, doc := range []*document.Document{rendertest.Document(), rendertest.Draft(), rendertest.Long(700)} {
		checkSheet(t, doc)
	}
}

// monstrous is a document in which every text is as long as it can get.
func monstrous() *document.Document {
	d := rendertest.Document()
	word := strings.Repeat("Donaudampfschifffahrtselektrizitätenhauptbetriebswerkbauunterbeamtengesellschaft", 3)
	name := strings.TrimSpace(strings.Repeat("very long adjustable two-legged seal puller with extension ", 4))[:200]
	d.Title = "Replace " + word + " and " + name
	d.Number = "WI-" + strings.Repeat("0114-", 12)
	d.Owner, d.Skill = name, name
	d.Purpose = strings.Repeat("Stops a leak. ", 30)
	d.Revisions[0].Note = strings.Repeat(word+" ", 3)
	d.Begins[0].ConditionTitle = word
	for _, n := range d.Tools {
		n.Thing.Title, n.Thing.Detail, n.Thing.Number = name, word, "T-"+strings.Repeat("0", 40)
	}
	for i := range d.Tools {
		d.Tools[i].For = name
		for k := range 80 {
			d.Tools[i].Steps = append(d.Tools[i].Steps, k%len(d.Steps)+1)
		}
	}
	d.Kits[0].Number = "K-" + strings.Repeat("1", 30)
	for _, s := range d.Steps {
		s.By = name
		s.Time = "23 h 59 min"
		s.Notes = append(s.Notes, document.Text{{Kind: document.Plain, Text: word}})
	}
	d.Steps[3].Text = document.Text{{Kind: document.Plain, Text: strings.Repeat(name+". ", 60)}}
	d.Steps[4].Text = document.Text{{Kind: document.Value, Text: strings.Repeat("31.954 mm ", 40)}, {Kind: document.Mark, Text: "*"}}
	d.Steps[5].Text = document.Text{{Kind: document.ID, Text: strings.Repeat("P-2132/", 60)}}
	for _, h := range d.Hazards {
		h.Hazard.Title = word
		h.Hazard.Consequence = strings.Repeat("A jet of hot water can scald you badly. ", 20)
	}
	for _, dec := range d.Decisions {
		dec.Title = name
		for _, b := range dec.Branches {
			b.Meaning = word + " " + name
			for i := range b.Cases {
				b.Cases[i].Title = word
			}
		}
	}
	for _, f := range d.Finishes {
		f.Title, f.Text = name, strings.Repeat(name+" ", 4)
	}
	for i := range d.Record {
		d.Record[i].Label = word
		d.Record[i].Unit = "µV/(m·K)"
	}
	for i := range d.CloseUp {
		d.CloseUp[i].Only = name
	}
	return d
}

// absurd is a document in which each text is longer than a page.
func absurd() *document.Document {
	d := rendertest.Document()
	long := strings.TrimSpace(strings.Repeat("one word after the other, ", 320))
	d.Title, d.Purpose, d.Owner, d.Skill = long, long, long, long
	d.AppliesTo[0].Members[0].Title = long[:400]
	d.Begins[0].StateTitle = long
	d.Isolation[0].MadeBy = long
	d.Revisions[1].Note = long
	d.Kits[0].Title = long
	d.Tools[0].Thing.Title, d.Tools[1].Only, d.Tools[1].Always = long, long, false
	d.Hazards[0].Hazard.Avoid = long
	d.Hazards[1].Hazard.Title = long
	d.Hazards[2].Hazard.Signs[0].Referent = long
	d.Figures[0].Title = long
	d.Figures[0].Marks[1].Label = long
	d.Decisions[0].Title, d.Decisions[1].Title = long, long
	d.Decisions[1].Branches[0].Meaning = long
	d.Decisions[1].Branches[1].Limits[0].Members[0].MemberTitle = long
	d.Finishes[0].Title, d.Finishes[0].Text = long, long
	d.CloseUp[0].Only = long
	d.Record[0].Label, d.Record[11].Who = long, long
	for _, s := range d.Steps {
		for _, b := range s.Boxes {
			switch b := b.(type) {
			case *document.Tick:
				b.Label = long
			case *document.RecordBox:
				b.Label = long
			case *document.ReadingBox:
				b.Reading.Title = long
			case *document.RoundBox:
				b.Values[0].Text = long
			case *document.HoldBox:
				b.What = long
			case *document.AnswerBox:
				b.Question = long
				b.Answers[0].Title = long
			case *document.WaitBox:
				b.Label = long
			case *document.StateBox:
				b.Label = long
			}
		}
	}
	for _, b := range d.Body {
		if s, ok := b.(*document.Stage); ok {
			s.Title = long
			for i := range s.Holds {
				s.Holds[i].StateTitle = long
			}
		}
	}
	return d
}

func TestTextsLongerThanAPage(t *testing.T) {
	for _, draft := range []bool{false, true} {
		d := absurd()
		d.Draft = draft
		d.Messages = []string{d.Title}
		for _, p := range []Paper{A4, Letter} {
			s, err := place(d, p.size())
			if err != nil {
				t.Fatal(err)
			}
			fits(t, s)
			wordsDoNotOverlap(t, s)
		}
		valid(t, render(t, "absurd", d, Options{}))
	}
}

func TestLongWordsEverywhere(t *testing.T) {
	d := monstrous()
	checkSheet(t, d)
	file := render(t, "monstrous", d, Options{})
	valid(t, file)
	text := strings.Join(words(tool(t, file, "pdftotext", "-raw", "FILE", "-")), "")
	for _, s := range d.Steps {
		if want := strings.Join(words(flat(s.Text)), ""); len(want) < 2000 && !strings.Contains(text, want) {
			t.Errorf("step %d has lost words: %.80q", s.Number, want)
		}
	}
	if n := strings.Count(text, "AjetofhotwatercanscaldYoubadly"); n != 0 {
		t.Error("the test looks for what is not there")
	}
}

// A hazard longer than a page is cut, its signal word is repeated, and every
// word of it is there.
func TestHazardLongerThanAPage(t *testing.T) {
	d := rendertest.Document()
	h := *d.Steps[6].Hazards[0]
	var b strings.Builder
	for i := range 900 {
		fmt.Fprintf(&b, "sentence%d says what can happen. ", i)
	}
	h.Consequence = b.String()
	d.Steps[6].Hazards = []*document.Hazard{&h}
	s, err := place(d, A4.size())
	if err != nil {
		t.Fatal(err)
	}
	fits(t, s)
	wordsDoNotOverlap(t, s)
	file := render(t, "long-hazard", d, Options{})
	valid(t, file)
	text := tool(t, file, "pdftotext", "-raw", "FILE", "-")
	if find(words(text), 0, words(h.Consequence)) < 0 {
		at := 0
		for i := range 900 {
			if at = strings.Index(text, fmt.Sprintf("sentence%d ", i)); at < 0 {
				t.Fatalf("sentence %d is lost", i)
			}
		}
	}
	for n, p := range strings.Split(text, "\f") {
		if strings.Contains(p, "says what can happen") && !strings.Contains(p, "WARNING") {
			t.Errorf("page %d goes on without the signal word", n+1)
		}
	}
}

// A table of 500 rows runs over pages with its head on each and no row cut.
func TestTableOf500Rows(t *testing.T) {
	d := rendertest.Document()
	d.Tools = nil
	for i := range 500 {
		d.Tools = append(d.Tools, document.Need{Always: true, Count: 1, Steps: []int{1, 2}, For: "everything",
			Thing: &document.Thing{Kind: document.Tool, Name: fmt.Sprintf("tool-%d", i), Title: fmt.Sprintf("tool number %d with a name of two lines", i), Number: fmt.Sprintf("T-%04d", i)}})
	}
	checkSheet(t, d)
	file := render(t, "table", d, Options{})
	valid(t, file)
	text := tool(t, file, "pdftotext", "-raw", "FILE", "-")
	for n, p := range strings.Split(text, "\f") {
		first := strings.Index(p, "with a name of two lines")
		if first >= 0 && !strings.Contains(p[:first], "Number") {
			t.Errorf("page %d has rows without the head of the table", n+1)
		}
	}
	at := 0
	for i := range 500 {
		k := strings.Index(text[at:], fmt.Sprintf("T-%04d", i))
		if k < 0 {
			t.Fatalf("row %d is lost or out of order", i)
		}
		at += k
	}
}

func TestStepLongerThanAPage(t *testing.T) {
	d := rendertest.Document()
	var b strings.Builder
	for i := range 1500 {
		fmt.Fprintf(&b, "word%d ", i)
	}
	d.Steps[8].Text = document.Text{{Kind: document.Plain, Text: b.String()}}
	for i := range 90 {
		d.Steps[8].Boxes = append(d.Steps[8].Boxes, &document.Tick{ID: fmt.Sprintf("step-9-more-%d", i), Label: fmt.Sprintf("nut %d off", i)})
	}
	s, err := place(d, A4.size())
	if err != nil {
		t.Fatal(err)
	}
	fits(t, s)
	wordsDoNotOverlap(t, s)
	text := words(tool(t, render(t, "long-step", d, Options{}), "pdftotext", "-raw", "FILE", "-"))
	at := 0
	for i := range 1500 {
		if at = find(text, at, []string{fmt.Sprintf("word%d", i)}); at < 0 {
			t.Fatalf("word %d is lost or out of order", i)
		}
	}
	for i := range 90 {
		if find(text, 0, []string{"nut", fmt.Sprint(i), "off"}) < 0 {
			t.Errorf("box %d is lost", i)
		}
	}
}

func picturePNG(w, h int, c color.Color) []byte {
	im := image.NewNRGBA(image.Rect(0, 0, w, h))
	for y := 0; y < h; y += 3 {
		for x := range w {
			im.Set(x, y, c)
		}
	}
	var b bytes.Buffer
	if err := png.Encode(&b, im); err != nil {
		panic(err)
	}
	return b.Bytes()
}

func TestFiguresOfAllKinds(t *testing.T) {
	d := rendertest.Document()
	var jpg bytes.Buffer
	if err := jpeg.Encode(&jpg, image.NewRGBA(image.Rect(0, 0, 300, 200)), nil); err != nil {
		t.Fatal(err)
	}
	marks := func(n int) []document.FigureMark {
		var out []document.FigureMark
		for i := range n {
			out = append(out, document.FigureMark{Number: i + 1, X: (i*367 + 40) % 1000, Y: (i*211 + 90) % 1000, Label: fmt.Sprintf("place %d", i+1)})
		}
		return out
	}
	figure := func(name, format string, data []byte, w, h, n int) *document.Figure {
		return &document.Figure{Name: name, Title: "The " + name, File: name, Format: format, Data: data, Width: w, Height: h, Marks: marks(n)}
	}
	d.Steps[0].Figures = []*document.Figure{
		figure("wide", "png", picturePNG(4000, 100, color.NRGBA{200, 0, 0, 90}), 4000, 100, 5),
		figure("high", "png", picturePNG(100, 4000, color.Black), 100, 4000, 5),
		figure("photo", "jpeg", jpg.Bytes(), 300, 200, 24),
		figure("one", "png", picturePNG(1, 1, color.Black), 1, 1, 1),
		figure("words", "svg", []byte(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 200 100"><g transform="rotate(90 100 50)"><text x="100" y="50" text-anchor="middle" font-size="14" font-weight="bold">Ø 25 k6</text></g><path d="M10 10A20 20 0 0 1 50 50" stroke="red" fill="none" stroke-width="2"/></svg>`), 200, 100, 2),
	}
	d.Steps[1].Figures = []*document.Figure{figure("broken", "png", []byte("no picture"), 10, 10, 3)}
	s, err := place(d, A4.size())
	if err != nil {
		t.Fatal(err)
	}
	fits(t, s)
	file, missing := renderAll(t, "figures", d, Options{})
	valid(t, file)
	if len(missing) != 1 || missing[0].Text != "broken" || missing[0].Rune != 0 {
		t.Errorf("missing: %v", missing)
	}
	text := strings.Join(words(tool(t, file, "pdftotext", "-raw", "FILE", "-")), " ")
	for _, want := range []string{"The broken cannot be shown", "Ø 25 k6", "place 24"} {
		if !strings.Contains(text, want) {
			t.Errorf("the file does not say %q", want)
		}
	}
	images := tool(t, file, "pdfimages", "-list", "FILE")
	if n := strings.Count(images, "image"); n < 4 {
		t.Errorf("%d pictures in the file:\n%s", n, images)
	}
}

func TestScripts(t *testing.T) {
	d := rendertest.Document()
	greek, cyrillic := "Αντικατάσταση του δακτυλίου στεγανότητας", "Замена торцового уплотнения насоса, проверьте вал"
	signs := "⌀ 25 ± 0,5 µm ≤ 10 Ω ½ → ☐ ☑ ⚠ ∅ №"
	d.Steps[0].Text = document.Text{{Kind: document.Plain, Text: greek}, {Kind: document.Plain, Text: " "}, {Kind: document.Strong, Text: cyrillic}}
	d.Steps[1].Text = document.Text{{Kind: document.Plain, Text: signs}}
	d.Title = cyrillic
	file := render(t, "scripts", d, Options{})
	valid(t, file)
	text := words(tool(t, file, "pdftotext", "-raw", "FILE", "-"))
	for _, want := range []string{greek, cyrillic, signs} {
		if find(text, 0, words(want)) < 0 {
			t.Errorf("the file does not say %q", want)
		}
	}
}

func TestMissingCharactersAreReported(t *testing.T) {
	d := rendertest.Document()
	d.Steps[0].Text = document.Text{{Kind: document.Plain, Text: "Stop 停止 the pump, توقف, then עצור. 停 A\u0301 \U0001F527"}}
	file, missing := renderAll(t, "missing", d, Options{})
	valid(t, file)
	found := map[rune]Missing{}
	for _, m := range missing {
		found[m.Rune] = m
	}
	for _, r := range "停止توقفעצור🔧" {
		if found[r].Count == 0 || found[r].Reason == "" {
			t.Errorf("%s is not reported", string(r))
		}
	}
	if found['停'].Count < 2 || !strings.Contains(found['停'].Text, "Stop") {
		t.Errorf("report %+v", found['停'])
	}
	if found['A'].Count+found['\u0301'].Count != 0 {
		t.Error("what can be shown is reported")
	}
	// The sheet shows a mark, and the character is what is copied.
	text := tool(t, file, "pdftotext", "-raw", "FILE", "-")
	if !strings.Contains(text, "停止") {
		t.Error("the characters cannot be copied out of the file")
	}
	s, err := place(d, A4.size())
	if err != nil {
		t.Fatal(err)
	}
	shown := 0
	for _, it := range s.pages[s.anchors["step-1"].page].items {
		shown += strings.Count(it.text, string(replacement))
	}
	if shown < 10 {
		t.Errorf("%d marks for missing characters", shown)
	}
}

// Text can never become syntax of the file.
func TestHostileText(t *testing.T) {
	d := rendertest.Document()
	evil := ") Tj ET endstream endobj 1 0 obj <</JS (app.alert(1)) /S /JavaScript>> \\) \x00\x01\r\n\t <FEFF> %% trailer ((((\\"
	d.Title, d.Number, d.Owner, d.Purpose, d.Revision, d.Fingerprint = evil, evil, evil, evil, evil, evil
	d.Language = "en) /Evil true"
	d.Date = "2026-1)02"
	for _, s := range d.Steps {
		s.Text = append(s.Text, document.Span{Kind: document.Link, Text: evil, Href: "https://example.org/)" + evil + "ü"})
		for _, b := range s.Boxes {
			switch b := b.(type) {
			case *document.Tick:
				b.Label, b.ID = evil, evil
			case *document.RecordBox:
				b.Name, b.Label = evil, evil
			}
		}
	}
	for _, f := range d.Figures {
		f.Title, f.Name = evil, evil
	}
	file := render(t, "hostile", d, Options{})
	valid(t, file)
	if out := tool(t, file, "pdfinfo", "FILE"); !strings.Contains(out, "JavaScript:      no") {
		t.Error("the file holds script")
	}
	// In qpdf's JSON a name is a string of its own; what is text begins with u:.
	flat := tool(t, file, "qpdf", "--json", "FILE")
	if !strings.Contains(flat, `"/StructTreeRoot"`) {
		t.Error("names do not look as expected")
	}
	for _, bad := range []string{`"/JavaScript"`, `"/JS"`, `"/Evil"`} {
		if strings.Contains(flat, bad) {
			t.Errorf("%s is in the file", bad)
		}
	}
}

func TestEmptyDocument(t *testing.T) {
	for _, d := range []*document.Document{{}, {Draft: true}, {Words: document.English, Title: "x"}} {
		checkSheet(t, d)
		valid(t, render(t, "empty", d, Options{}))
	}
}

// Leader lines of a figure do not cross.
func TestLeaderLinesDoNotCross(t *testing.T) {
	for n := 1; n <= 20; n++ {
		var marks []document.FigureMark
		for i := range n {
			marks = append(marks, document.FigureMark{Number: i + 1, X: (i*619 + n*37) % 1000, Y: (i*283 + n*91) % 1000})
		}
		bs := placeBalloons(marks, 300, 180)
		spread(bs, 300, 180, 30, 30)
		uncross(bs)
		for i := range bs {
			for j := i + 1; j < len(bs); j++ {
				if crosses(bs[i], bs[j]) {
					t.Errorf("%d marks: the lines of %d and %d cross", n, i+1, j+1)
				}
				if dx, dy := bs[i].bx-bs[j].bx, bs[i].by-bs[j].by; dx*dx+dy*dy < 4*balloonRadius*balloonRadius-0.01 {
					t.Errorf("%d marks: balloons %d and %d overlap", n, i+1, j+1)
				}
			}
		}
	}
}
