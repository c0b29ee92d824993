package trade

// SignalWord is a signal word of ANSI Z535.4 and Z535.6 and of the hazard
// severity panels of ISO 3864-2.
type SignalWord struct {
	Word string // in capitals
	Rank int    // 1 is the most serious
	// Consequence and Probability are the definition: DANGER, a hazard that, if
	// not avoided, will result in death or serious injury. NOTICE has no
	// probability.
	Consequence, Probability string
	AlertSymbol              bool   // the safety alert symbol is required; without, it is not allowed
	Panel, Letters           string // colours of the panel and of its letters
	Italic                   bool   // the letters are italic
	ANSIColour               string // name in ANSI Z535.1
	Munsell                  string // notation of that colour in ANSI Z535.1 (from memory)
	RAL                      string // ISO 3864-4 example colour
	SRGB                     string // widely used approximation of the RAL colour, not normative
}

// Severities of the signal word definitions.
const (
	DeathOrSeriousInjury  = "death or serious injury"
	MinorOrModerateInjury = "minor or moderate injury"
	NoInjury              = "not related to personal injury (e.g. property damage)"
)

// SignalWords lists the signal words, the most serious first.
func SignalWords() []SignalWord {
	return []SignalWord{
		{Word: "DANGER", Rank: 1, Consequence: DeathOrSeriousInjury, Probability: "will", AlertSymbol: true,
			Panel: "red", Letters: "white", ANSIColour: "safety red", Munsell: "7.5R 4.0/14", RAL: "RAL 3001", SRGB: "#9B2423"},
		{Word: "WARNING", Rank: 2, Consequence: DeathOrSeriousInjury, Probability: "could", AlertSymbol: true,
			Panel: "orange", Letters: "black", ANSIColour: "safety orange", Munsell: "5.0YR 6.0/15", RAL: "RAL 2010", SRGB: "#D05D29"},
		{Word: "CAUTION", Rank: 3, Consequence: MinorOrModerateInjury, Probability: "could", AlertSymbol: true,
			Panel: "yellow", Letters: "black", ANSIColour: "safety yellow", Munsell: "5.0Y 8.0/12", RAL: "RAL 1003", SRGB: "#F9A800"},
		{Word: "NOTICE", Rank: 4, Consequence: NoInjury, Probability: "n/a",
			Panel: "blue", Letters: "white", Italic: true, ANSIColour: "safety blue", Munsell: "2.5PB 3.5/10", RAL: "RAL 5005", SRGB: "#005387"},
	}
}

// LookUpSignalWord finds a signal word written in capitals.
func LookUpSignalWord(word string) (SignalWord, bool) {
	for _, w := range SignalWords() {
		if w.Word == word {
			return w, true
		}
	}
	return SignalWord{}, false
}

// SignalFor is the signal word that the definitions ask for: by the worst
// credible consequence and by whether it will or could happen. Minor injury is
// CAUTION either way, as no higher word exists for it.
func SignalFor(consequence string, certain bool) SignalWord {
	words := SignalWords()
	switch {
	case consequence == DeathOrSeriousInjury && certain:
		return words[0]
	case consequence == DeathOrSeriousInjury:
		return words[1]
	case consequence == MinorOrModerateInjury:
		return words[2]
	}
	return words[3]
}

// SafetyColour is a colour of ISO 3864-4 with its example in the RAL register and
// the approximation on a screen that is in wide use.
type SafetyColour struct{ RAL, Name, Use, SRGB string }

// SafetyColours lists the safety and contrast colours of ISO 3864-4.
func SafetyColours() []SafetyColour {
	return []SafetyColour{
		{"RAL 3001", "Signal red", "prohibition and fire equipment", "#9B2423"},
		{"RAL 2010", "Signal orange", "warning panel", "#D05D29"},
		{"RAL 1003", "Signal yellow", "warning", "#F9A800"},
		{"RAL 5005", "Signal blue", "mandatory", "#005387"},
		{"RAL 6032", "Signal green", "safe condition", "#237F52"},
		{"RAL 9003", "Signal white", "contrast white", "#ECECE7"},
		{"RAL 9004", "Signal black", "contrast black", "#2B2B2C"},
	}
}

// MessageParts are the parts of a safety message in the order of ANSI Z535.6,
// ISO 3864-2 and IEC/IEEE 82079-1; the standard lets the last three stand in
// another order where that is clear.
func MessageParts() []string {
	return []string{"signal word", "type and source of the hazard", "consequence of not avoiding it", "how to avoid it"}
}
