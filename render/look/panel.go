package look

// Panel is the head of a hazard message: the signal word on its colour.
type Panel struct {
	// Word is the signal word in capitals, as ANSI Z535.6 prints it.
	Word string
	// Ground is the colour of the panel, Letters the colour of the word.
	Ground, Letters RGB
	// Alert tells whether the safety alert symbol stands before the word:
	// on the three words about injury, never on NOTICE.
	Alert bool
	// Italic letters are what ANSI Z535.4 asks of NOTICE.
	Italic bool
}

// The four panels of ANSI Z535.4 and Z535.6 (ISO 3864-2 has the same colours
// for its three).
var (
	DangerPanel  = Panel{Word: "DANGER", Ground: SafetyRed, Letters: White, Alert: true}
	WarningPanel = Panel{Word: "WARNING", Ground: SafetyOrange, Letters: Black, Alert: true}
	CautionPanel = Panel{Word: "CAUTION", Ground: SafetyYellow, Letters: Black, Alert: true}
	NoticePanel  = Panel{Word: "NOTICE", Ground: SafetyBlue, Letters: White, Italic: true}
)

// PanelFor returns the panel of a signal word in lower case as the language
// writes it: danger, warning, caution or notice.
func PanelFor(word string) (Panel, bool) {
	switch word {
	case "danger":
		return DangerPanel, true
	case "warning":
		return WarningPanel, true
	case "caution":
		return CautionPanel, true
	case "notice":
		return NoticePanel, true
	}
	return Panel{}, false
}

// AlertSymbol is the safety alert symbol of the panel: a triangle in the
// colour of the letters with the exclamation mark in the colour of the ground.
// It has no shapes where the panel carries no alert.
func (p Panel) AlertSymbol() Drawing {
	d := Drawing{Width: 100, Height: triangleHeight, Safety: p.Ground, Contrast: p.Letters}
	if !p.Alert {
		return d
	}
	d.Shapes = append(d.Shapes, triangleOuter(PaintContrast)...)
	d.Shapes = append(d.Shapes, exclamation(PaintSafety)...)
	return d
}
