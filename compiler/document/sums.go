package document

// SumWords are the words of the page that puts the readings of many records
// together.
type SumWords struct {
	// Records to Untold take {count} or {files}; what of it is not so is left out.
	Title, Records, NotInOrder, LeftOut, Untold, NoReading, Contents string
	// Signals take {points} in a row, the values {from} and {to}, and their days.
	Shift, Rise, Fall string
	// Sums.
	Of, RecordCount, Values, Turns, Mean, Spread, Least, Most, Median, OutsideLimits, OutsideOf, NoMember, NoInstrument, Caption string
	// Values.
	InTime, No, WhenUTC, By, Instrument, Value, Limits, Outside, Within string
	// The chart, and what is said of it. Marks stand beside lines.
	RunChart, Chart, ChartSays, DifferentLimits, NoLimits, LimitsAre, OfDrawing string
	DrawingMark, LimitMark, MedianMark, ShiftMark, TrendMark, Axis              string
	// What stands below.
	Exact, LimitsFoot, RulesFoot string
}

// LimitsText says limits as documents do: exact values, empty where open.
func (w *Words) LimitsText(low, high string, lowOpen, highOpen bool) string {
	_, ph := phrasesOf(w.Tag)
	pattern := ph.between
	switch {
	case low == "" && high == "":
		return ph.anyValue
	case low == "" && highOpen:
		pattern = ph.below
	case low == "":
		pattern = ph.atMost
	case high == "" && lowOpen:
		pattern = ph.above
	case high == "":
		pattern = ph.atLeast
	case lowOpen && highOpen:
		pattern = ph.aboveToBelow
	case lowOpen:
		pattern = ph.aboveTo
	case highOpen:
		pattern = ph.betweenBelow
	}
	return fill(pattern, "low", w.Numeral(low), "high", w.Numeral(high))
}

// englishSums are the words of sums in English.
var englishSums = &SumWords{
	Title: "Readings of jobs", Records: "Records: {count}.", NotInOrder: "Not in order, and among the readings all the same: {count}.", LeftOut: "Left out, since the same job was saved again later: {files}.",
	Untold: "Readings without a value that can be told: {count}.", NoReading: "There is no reading in these records.", Contents: "Contents",
	Shift: "Shift: {points} in a row on one side of the median (values {from} to {to}, {first} to {last})",
	Rise:  "Trend: {points} in a row rise (values {from} to {to}, {first} to {last})",
	Fall:  "Trend: {points} in a row fall (values {from} to {to}, {first} to {last})",
	Of:    "Of", RecordCount: "Records", Values: "Values", Turns: "Turns", Mean: "Mean", Spread: "Spread", Least: "Least", Most: "Most",
	Median: "Median", OutsideLimits: "Outside limits", OutsideOf: "{outside} of {judged}", NoMember: "no member", NoInstrument: "no instrument", Caption: "Sums, in {unit}",
	InTime: "Values in order of time", No: "No.", WhenUTC: "When (UTC)", By: "By", Instrument: "Instrument", Value: "Value, {unit}", Limits: "Limits", Outside: "outside", Within: "within",
	RunChart: "Run chart", Chart: "Run chart of {reading}, {unit}",
	ChartSays:       "{count} values in order of time, from {least} to {most} {unit}, median {median}.",
	DifferentLimits: "Their limits differ and are not drawn", NoLimits: "They have no limits", LimitsAre: "Limits: {limits}", OfDrawing: "of the drawing: {limits}",
	DrawingMark: "drawing", LimitMark: "limit", MedianMark: "median", ShiftMark: "shift", TrendMark: "trend", Axis: "values in order of time; a square lies outside its limits",
	Exact:      "Values are exact. Of a reading that is taken in several turns the last counts, unless the page was made with every turn. Mean and median are rounded to two decimals more than the finest value has, and so is the spread: halves to the even digit (ISO 80000-1, rule A). The spread is the sample standard deviation, with n − 1.",
	LimitsFoot: "Limits are those to act by as each record carries them; where a guard band moved one, the limit of the drawing is drawn, too. They are limits of the part, not of the process: this page reckons no control limits.",
	RulesFoot:  "Shift and trend are the rules of Perla, Provost and Murray, “The run chart”, BMJ Quality & Safety 20 (2011) 46–51: six or more points in a row on one side of the median, points on it left out; five or more in a row that rise or fall, like points counted once. Here they are looked for from ten points on (common practice). A trend is a weak sign (Anhøj and Olesen, PLoS ONE 9 (2014) e113825). A signal says where to ask, not what is wrong.",
}
