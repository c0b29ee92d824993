package look

// SignFor returns the drawing of a safety sign by its ISO 7010 number, such as
// W012. A number without a drawing of its own gets the shape and colours of
// its family with the number inside, so that a page is never left without a
// sign. False means that the text is no sign number at all; whether a number
// is registered is for the compiler to judge, not for the page.
//
// The drawings are the project's own, after the meaning that the standard
// registers; frames have the proportions of ISO 3864-1.
func SignFor(code string) (Drawing, bool) {
	if len(code) != 4 {
		return Drawing{}, false
	}
	for _, c := range code[1:] {
		if c < '0' || c > '9' {
			return Drawing{}, false
		}
	}
	family, ok := familyOf(code[0])
	if !ok {
		return Drawing{}, false
	}
	d := Drawing{Width: 100, Height: family.height, Safety: family.safety, Contrast: family.contrast}
	picture, drawn := pictures[code]
	if !drawn {
		d.Shapes = join(family.back(), family.front(), family.plate(code))
		return d, true
	}
	d.Shapes = join(family.back(), picture(family.ink, family.ground), family.front())
	return d, true
}

// family is what all signs of one letter have in common.
type family struct {
	height           float64
	safety, contrast RGB
	ink, ground      Paint          // of the picture
	back, front      func() []Shape // painted before and after the picture
	plate            func(code string) []Shape
}

func familyOf(letter byte) (family, bool) {
	none := func() []Shape { return nil }
	switch letter {
	case 'W':
		return family{triangleHeight, SafetyYellow, Black, PaintContrast, PaintSafety, warningFrame, none,
			func(code string) []Shape { return place(50, 65, 1.4, 0, lettering(PaintContrast, code)...) }}, true
	case 'P':
		return family{100, SafetyRed, White, PaintBlack, PaintContrast,
			func() []Shape { return group(disc(PaintContrast, 50, 50, 46)) }, prohibitionFrame,
			func(code string) []Shape {
				return join(group(box(PaintContrast, 16, 39, 68, 22, 3)), place(50, 50, 1.35, 0, lettering(PaintBlack, code)...))
			}}, true
	case 'M':
		return family{100, SafetyBlue, White, PaintContrast, PaintSafety,
			func() []Shape { return group(disc(PaintSafety, 50, 50, 50)) }, none, whitePlate}, true
	case 'E':
		return family{100, SafetyGreen, White, PaintContrast, PaintSafety, squareFrame, none, whitePlate}, true
	case 'F':
		return family{100, SafetyRed, White, PaintContrast, PaintSafety, squareFrame, none, whitePlate}, true
	}
	return family{}, false
}

func whitePlate(code string) []Shape {
	return place(50, 50, 1.7, 0, lettering(PaintContrast, code)...)
}

// Frames in a field 100 wide. ISO 3864-1 gives the prohibition sign a ring of
// a tenth and a bar of 0.08 of the diameter, falling from the top left at 45°;
// the warning sign a border of 0.06 of its base with corners of the same
// radius.
const (
	triangleBorder = 6.0
	triangleSide   = 100 - 2*triangleBorder            // between the centres of the corners
	triangleRise   = triangleSide * 0.8660254037844386 // √3/2
	triangleHeight = triangleRise + 2*triangleBorder
)

func triangle(p Paint, inset, radius float64) []Shape {
	// The centres of the rounded corners, moved in from the outer ones.
	x, top, bottom := triangleBorder, triangleBorder, triangleBorder+triangleRise
	in := inset
	points := []Segment{
		{Op: Move, P: [3]Point{{50, top + 2*in}}},
		{Op: Line, P: [3]Point{{100 - x - in*1.7320508075688772, bottom - in}}},
		{Op: Line, P: [3]Point{{x + in*1.7320508075688772, bottom - in}}},
		{Op: Close},
	}
	return group(Shape{Path: points, Fill: p, Stroke: p, StrokeWidth: 2 * radius})
}

func triangleOuter(p Paint) []Shape { return triangle(p, 0, triangleBorder) }

func warningFrame() []Shape {
	return join(triangleOuter(PaintContrast), triangle(PaintSafety, 2, 2))
}

func prohibitionFrame() []Shape {
	// The bar ends under the ring: 45 − 4 from the centre, at 45°.
	const end = 45 * 0.7071067811865476
	return group(
		Shape{Path: []Segment{
			{Op: Move, P: [3]Point{{50 - end, 50 - end}}},
			{Op: Line, P: [3]Point{{50 + end, 50 + end}}},
		}, Stroke: PaintSafety, StrokeWidth: 8},
		ring(PaintSafety, 10, 50, 50, 45),
	)
}

func squareFrame() []Shape { return group(box(PaintSafety, 0, 0, 100, 100, 5)) }

// exclamation is the mark of the general warning sign and the alert symbol.
func exclamation(p Paint) []Shape {
	return group(
		fill(p, "M43.5 32 C43.5 24 56.5 24 56.5 32 L53.6 58 C53.2 61.5 46.8 61.5 46.4 58 Z"),
		disc(p, 50, 70, 5.6),
	)
}

// lettering writes a sign number in single strokes after the manner of
// ISO 3098, centred on the origin and 10 units high.
func lettering(p Paint, code string) []Shape {
	const advance = 9.2
	var out []Shape
	x := -advance * float64(len(code)-1) / 2
	for i := range len(code) {
		if data, ok := strokes[code[i]]; ok {
			out = append(out, place(x, 0, 1, 0, line(p, 1.5, data))...)
		}
		x += advance
	}
	return out
}

var strokes = map[byte]string{
	'0': "M0 -5C3 -5 3 -2 3 0S3 5 0 5S-3 2 -3 0S-3 -5 0 -5Z",
	'1': "M-2 -3L0.5 -5V5",
	'2': "M-3 -3C-2.6 -5 2.8 -5.8 3 -2.4C3 0.4 -2 2 -3 5H3",
	'3': "M-2.8 -4C-1 -5.6 2.8 -5.2 2.8 -2.6C2.8 -0.6 1 -0.2 -0.6 -0.2C1 -0.2 3.2 0.2 3.2 2.4C3.2 5.4 -1 5.8 -3 3.8",
	'4': "M1.2 5V-5L-3.2 2H3",
	'5': "M2.6 -5H-2.2L-2.6 -0.6C-0.6 -1.8 3 -1.4 3 1.8C3 5.2 -1 5.8 -3 4",
	'6': "M2.2 -5C-1.4 -4 -3 -1 -3 2C-3 6 3 6 3 2C3 -1.4 -2.2 -1.4 -3 2",
	'7': "M-3 -5H3C1 -2 -0.4 1.4 -0.8 5",
	'8': "M0 -0.4C-3.4 -1 -3.2 -5 0 -5S3.4 -1 0 -0.4C-4 0.2 -3.8 5 0 5S4 0.2 0 -0.4Z",
	'9': "M-2.2 5C1.4 4 3 1 3 -2C3 -6 -3 -6 -3 -2C-3 1.4 2.2 1.4 3 -2",
	'W': "M-4 -5L-2 5L0 -3L2 5L4 -5",
	'M': "M-3.4 5V-5L0 2L3.4 -5V5",
	'P': "M-2.6 5V-5H0.4C4 -5 4 0.4 0.4 0.4H-2.6",
	'E': "M3 -5H-2.6V5H3M-2.6 0H2",
	'F': "M3 -5H-2.6V5M-2.6 0H2",
}
