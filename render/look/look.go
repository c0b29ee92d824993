// Package look holds what the renderers share about how a page looks: the
// type scale, line weights, margins, safety colours, signal panels and the
// drawings of safety signs.
//
// Input is a code or a role, output is plain data in points or in the grid of
// a drawing; nothing here writes HTML or PDF, apart from the SVG form of a
// drawing, which HTML and stand-alone files have in common. Colour is used
// for safety only: everything else on a sheet is black, white or [Grey].
package look

import "fmt"

// Lengths are in points of 1/72 inch unless a name says otherwise.
const (
	// PointsPerMillimetre converts millimetres to points (1 inch = 25.4 mm,
	// exact; 1 point = 1/72 inch).
	PointsPerMillimetre = 72 / 25.4
)

// Type scale. Steps stand at 11 to 12 pt and nothing is under 10 pt, so that
// a sheet reads at arm's length on a bench.
const (
	TitleSize      = 19.0 // title and number of the document
	StepNumberSize = 15.0 // the number in front of a step
	HeadingSize    = 13.0 // stages and the parts of the front matter
	StepSize       = 11.5 // what the technician does
	TextSize       = 10.5 // tables, notes, panels
	SmallSize      = 10.0 // footnotes, field names, running head and foot
	SignalSize     = 13.0 // the signal word in its panel
	// LineSpacing is the distance of base lines as a multiple of the size.
	LineSpacing = 1.35
)

// Line weights. ISO 128-2 fixes the ratio of thick to thin lines at 2:1;
// these are line group 0.5 of that standard (0.5 mm and 0.25 mm).
const (
	ThickLine = 0.5 * PointsPerMillimetre
	ThinLine  = 0.25 * PointsPerMillimetre
	// ChangeBarLine is the bar beside a changed step, the next wider pair of
	// the series (1 mm).
	ChangeBarLine = 1.0 * PointsPerMillimetre
)

// Paper is a page size in points.
type Paper struct {
	Name          string
	Width, Height float64
}

// The two paper sizes documents are made for: ISO 216 A4 (210 mm × 297 mm)
// and ANSI/ASME Y14.1 A (8.5 in × 11 in).
var (
	A4     = Paper{Name: "A4", Width: 210 * PointsPerMillimetre, Height: 297 * PointsPerMillimetre}
	Letter = Paper{Name: "Letter", Width: 8.5 * 72, Height: 11 * 72}
)

// Margins and columns of a sheet.
const (
	MarginLeft   = 15 * PointsPerMillimetre
	MarginRight  = 15 * PointsPerMillimetre
	MarginTop    = 14 * PointsPerMillimetre
	MarginBottom = 14 * PointsPerMillimetre
	// NumberColumn is the room a step number takes left of the text.
	NumberColumn = 11 * PointsPerMillimetre
	// HandColumn is the column down the right edge that holds every tick,
	// box and answer.
	HandColumn = 46 * PointsPerMillimetre
	// TickBox is the side of a tick box; a pen needs about 5 mm.
	TickBox = 5 * PointsPerMillimetre
)

// RGB is a colour in sRGB.
type RGB struct{ R, G, B uint8 }

// Hex returns the colour as #rrggbb.
func (c RGB) Hex() string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

// Safety colours. The standards define areas in the CIE chart (ISO 3864-4) or
// Munsell notations (ANSI Z535.1), which sRGB can only approach. The values
// here are the usual screen and four-colour matches of the ANSI Z535.1 colours
// (from memory: red PMS 186, orange PMS 151, yellow PMS 109, green PMS 3415,
// blue PMS 2945); each keeps the hue of the ISO 3864-4 colour of the same name.
var (
	SafetyRed    = RGB{0xc8, 0x10, 0x2e}
	SafetyOrange = RGB{0xff, 0x82, 0x00}
	SafetyYellow = RGB{0xff, 0xd1, 0x00}
	SafetyGreen  = RGB{0x00, 0x77, 0x49}
	SafetyBlue   = RGB{0x00, 0x4c, 0x97}
	Black        = RGB{0x00, 0x00, 0x00}
	White        = RGB{0xff, 0xff, 0xff}
	// Grey is the one neutral grey of the sheet: units in empty boxes, shading
	// in figures. On white it has a contrast of 7:1.
	Grey = RGB{0x59, 0x59, 0x59}
)
