package look

import (
	"encoding/csv"
	"encoding/xml"
	"io"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// signalRows are the rows of testdata/signals.csv: signal words, colours and
// sign numbers of ISO 7010, ISO 3864 and ANSI Z535, each with its source.
func signalRows(t *testing.T) []map[string]string {
	t.Helper()
	f, err := os.Open("testdata/signals.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []map[string]string
	for _, record := range all[1:] {
		row := map[string]string{}
		for i, name := range all[0] {
			row[name] = record[i]
		}
		rows = append(rows, row)
	}
	return rows
}

func TestSignsOfTheReference(t *testing.T) {
	signs := 0
	for _, row := range signalRows(t) {
		if row["kind"] != "sign" {
			continue
		}
		signs++
		d, ok := SignFor(row["code"])
		if !ok || len(d.Shapes) == 0 {
			t.Errorf("%s %s: no drawing", row["code"], row["referent"])
		}
		if _, own := pictures[row["code"]]; !own && row["certainty"] == "sure" {
			t.Errorf("%s %s: no drawing of its own", row["code"], row["referent"])
		}
	}
	if signs < 50 {
		t.Errorf("only %d signs in the reference", signs)
	}
	if len(pictures) < 90 {
		t.Errorf("only %d drawings", len(pictures))
	}
}

// TestPanels compares with the signal words of ANSI Z535.4 and Z535.6 as the
// reference has them.
func TestPanels(t *testing.T) {
	checked := 0
	for _, row := range signalRows(t) {
		if row["certainty"] != "sure" {
			continue
		}
		p, ok := PanelFor(strings.ToLower(row["code"]))
		switch {
		case row["kind"] == "signal-word" && row["attribute"] == "alert_symbol":
			if want := row["value"] == "required"; !ok || p.Alert != want || len(p.AlertSymbol().Shapes) > 0 != want {
				t.Errorf("%s: alert symbol %v, the standard says %s", row["code"], p.Alert, row["value"])
			}
			checked++
		case row["kind"] == "colour" && row["attribute"] == "letters":
			want := map[string]RGB{"black": Black, "white": White}[row["value"]]
			if !ok || p.Letters != want {
				t.Errorf("%s: letters %s, the standard says %s", row["code"], p.Letters.Hex(), row["value"])
			}
			checked++
		case row["kind"] == "colour" && row["attribute"] == "panel":
			want := map[string]RGB{"red": SafetyRed, "orange": SafetyOrange, "yellow": SafetyYellow}[row["value"]]
			if !ok || p.Ground != want {
				t.Errorf("%s: panel %s, the standard says %s", row["code"], p.Ground.Hex(), row["value"])
			}
			checked++
		}
		if ok && p.Word != row["code"] {
			t.Errorf("%s: the panel says %s", row["code"], p.Word)
		}
	}
	if checked < 8 {
		t.Errorf("only %d rows compared", checked)
	}
	if _, ok := PanelFor("DANGER"); ok {
		t.Error("a word in capitals is not the language's")
	}
}

// TestColoursKeepTheHueOfTheStandard compares with the published sRGB
// approximations of the RAL colours of ISO 3864-4. Those are duller than print
// and ANSI colours, so the hue is compared.
func TestColoursKeepTheHueOfTheStandard(t *testing.T) {
	ours := map[string]RGB{
		"DANGER": SafetyRed, "WARNING": SafetyOrange, "RAL 1003": SafetyYellow, "RAL 3001": SafetyRed, "RAL 5005": SafetyBlue,
	}
	checked := 0
	for _, row := range signalRows(t) {
		c, ok := ours[row["code"]]
		if row["attribute"] != "srgb" || !ok {
			continue
		}
		checked++
		v, err := strconv.ParseUint(row["value"][1:], 16, 32)
		if err != nil {
			t.Fatal(err)
		}
		a, b := hue(c), hue(RGB{uint8(v >> 16), uint8(v >> 8), uint8(v)})
		if d := math.Abs(math.Mod(a-b+540, 360) - 180); d > 16 {
			t.Errorf("%s: hue %.0f°, the standard's is %.0f°", row["code"], a, b)
		}
	}
	if checked != len(ours) {
		t.Errorf("%d colours compared, want %d", checked, len(ours))
	}
}

// hue is the angle of a colour on the colour wheel in degrees.
func hue(c RGB) float64 {
	r, g, b := float64(c.R), float64(c.G), float64(c.B)
	return math.Mod(math.Atan2(math.Sqrt(3)*(g-b), 2*r-g-b)*180/math.Pi+360, 360)
}

// contrast is the contrast ratio of WCAG 2.2.
func contrast(a, b RGB) float64 {
	l := func(c RGB) float64 {
		f := func(v uint8) float64 {
			x := float64(v) / 255
			if x <= 0.04045 {
				return x / 12.92
			}
			return math.Pow((x+0.055)/1.055, 2.4)
		}
		return 0.2126*f(c.R) + 0.7152*f(c.G) + 0.0722*f(c.B)
	}
	x, y := l(a)+0.05, l(b)+0.05
	return max(x, y) / min(x, y)
}

func TestContrast(t *testing.T) {
	for name, pair := range map[string][2]RGB{
		"danger": {DangerPanel.Ground, DangerPanel.Letters}, "warning": {WarningPanel.Ground, WarningPanel.Letters},
		"caution": {CautionPanel.Ground, CautionPanel.Letters}, "notice": {NoticePanel.Ground, NoticePanel.Letters},
		"grey": {Grey, White}, "mandatory": {SafetyBlue, White}, "safe": {SafetyGreen, White}, "warning sign": {SafetyYellow, Black},
	} {
		// WCAG 2.2, 1.4.3: 4.5:1 for text.
		if c := contrast(pair[0], pair[1]); c < 4.5 {
			t.Errorf("%s: contrast %.2f", name, c)
		}
	}
}

func TestLineWeights(t *testing.T) {
	// ISO 128-2: thick to thin is 2:1.
	if ThickLine/ThinLine != 2 {
		t.Errorf("thick to thin is %v", ThickLine/ThinLine)
	}
	for _, size := range []float64{TitleSize, StepNumberSize, HeadingSize, StepSize, TextSize, SmallSize, SignalSize} {
		if size < 10 {
			t.Errorf("a type size of %g pt", size)
		}
	}
}

func TestNumbersWithoutADrawing(t *testing.T) {
	for code, safety := range map[string]RGB{"W999": SafetyYellow, "P998": SafetyRed, "M997": SafetyBlue, "E996": SafetyGreen, "F995": SafetyRed} {
		d, ok := SignFor(code)
		if !ok || d.Safety != safety || len(d.Shapes) < 5 {
			t.Errorf("%s: ok %v, colour %s, %d shapes", code, ok, d.Safety.Hex(), len(d.Shapes))
		}
	}
	for _, code := range []string{"", "W", "W1", "W01", "W0012", "w012", "X012", "W01a", "Ж01", "WWWW", strings.Repeat("W", 1000)} {
		if _, ok := SignFor(code); ok {
			t.Errorf("%q counts as a sign number", code)
		}
	}
}

// outline samples a shape's path, each point with half the width of its line.
func outline(s Shape, visit func(p Point, room float64)) {
	var at Point
	for _, seg := range s.Path {
		switch seg.Op {
		case Move, Line:
			at = seg.P[0]
			visit(at, s.StrokeWidth/2)
		case Cubic:
			for i := 1; i <= 8; i++ {
				u := float64(i) / 8
				v := 1 - u
				visit(Point{
					v*v*v*at.X + 3*v*v*u*seg.P[0].X + 3*v*u*u*seg.P[1].X + u*u*u*seg.P[2].X,
					v*v*v*at.Y + 3*v*v*u*seg.P[0].Y + 3*v*u*u*seg.P[1].Y + u*u*u*seg.P[2].Y,
				}, s.StrokeWidth/2)
			}
			at = seg.P[2]
		}
	}
}

func TestPicturesStayInTheirFrames(t *testing.T) {
	const slack = 0.05
	for code, picture := range pictures {
		f, _ := familyOf(code[0])
		over := 0.0
		for _, s := range picture(f.ink, f.ground) {
			// What is painted in the colour of the ground shows only on the figure.
			if s.Fill == f.ground || s.Fill == PaintNone && s.Stroke == f.ground {
				continue
			}
			outline(s, func(p Point, room float64) {
				switch code[0] {
				case 'M', 'P':
					over = max(over, math.Hypot(p.X-50, p.Y-50)+room-49)
				case 'E', 'F':
					over = max(over, math.Abs(p.X-50)+room-49, math.Abs(p.Y-50)+room-49)
				case 'W':
					// Distances to the three sides of the yellow field.
					over = max(over, p.Y+room-(triangleBorder+triangleRise))
					side := (math.Abs(p.X-50)*1.7320508075688772 - (p.Y - triangleBorder)) / 2
					over = max(over, side+room)
				}
			})
		}
		if over > slack {
			t.Errorf("%s reaches %.1f beyond its frame", code, over)
		}
	}
}

func TestDrawingsStayInTheirSize(t *testing.T) {
	codes := []string{"W999", "P999", "M999", "E999", "F999"}
	for code := range pictures {
		codes = append(codes, code)
	}
	slices.Sort(codes)
	for _, code := range codes {
		d, _ := SignFor(code)
		for _, s := range d.Shapes {
			outline(s, func(p Point, room float64) {
				if p.X-room < -0.01 || p.Y-room < -0.01 || p.X+room > d.Width+0.01 || p.Y+room > d.Height+0.01 {
					t.Errorf("%s reaches beyond its size at %v", code, p)
				}
			})
		}
	}
}

func TestSVG(t *testing.T) {
	for code := range pictures {
		d, _ := SignFor(code)
		out := d.SVG(`<b>"hot" & 'cold'</b>`)
		dec := xml.NewDecoder(strings.NewReader(out))
		title := ""
		for {
			tok, err := dec.Token()
			if err == io.EOF {
				break
			}
			if err != nil {
				t.Fatalf("%s: %v", code, err)
			}
			if c, ok := tok.(xml.CharData); ok {
				title += string(c)
			}
		}
		if title != `<b>"hot" & 'cold'</b>` {
			t.Errorf("%s: title %q", code, title)
		}
		if !strings.Contains(out, `role="img"`) || strings.Contains(out, "NaN") || strings.Contains(out, "style=") {
			t.Errorf("%s: %s", code, out)
		}
		if again := d.SVG(`<b>"hot" & 'cold'</b>`); again != out {
			t.Errorf("%s: two drawings differ", code)
		}
	}
	d, _ := SignFor("W001")
	if out := d.SVG(""); !strings.Contains(out, `aria-hidden="true"`) || strings.Contains(out, "<title>") {
		t.Errorf("decoration: %s", out)
	}
}

func TestPathNotation(t *testing.T) {
	got := pathData(path("M10 10h5v-5l-5,0zM0 0C1 1 2 1 3 0S5 -1 6 0q3 3 6 0"))
	if want := "M10 10L15 10L15 5L10 5ZM0 0C1 1 2 1 3 0C4 -1 5 -1 6 0C8 2 10 2 12 0"; got != want {
		t.Errorf("got %s\nwant %s", got, want)
	}
	for _, bad := range []string{"10 10", "M1", "M1 x", "A1 1 0 0 0 2 2", "M1 1Z2"} {
		if _, err := parsePath(bad); err == nil {
			t.Errorf("%q was read", bad)
		}
	}
}

// Against strconv: the shortest decimal that is nearest to the rounded number.
func TestNumbersAreThoseOfStrconv(t *testing.T) {
	values := []float64{0, math.Copysign(0, -1), 0.004, -0.004, 0.005, 0.1, 0.25, 1, -1, 9.999, 10.01, 100, 1e6 + 0.07, 1e17, -1e300, math.Inf(1), math.NaN()}
	for i := range 20000 {
		values = append(values, float64(i-10000)*1.2345678+float64(i%7)/100)
	}
	for _, v := range values {
		want := math.Round(v*100) / 100
		if want == 0 {
			want = 0
		}
		if got := Number(v); got != strconv.FormatFloat(want, 'f', -1, 64) {
			t.Errorf("%v: %s", v, got)
		}
	}
}
