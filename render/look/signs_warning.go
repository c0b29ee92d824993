package look

// A picture draws a sign inside its frame: ink is the colour of the figure,
// ground the colour behind it.
type picture func(ink, ground Paint) []Shape

var pictures = map[string]picture{
	"W001": func(k, _ Paint) []Shape { return exclamation(k) },
	"W012": func(k, _ Paint) []Shape {
		return group(fill(k, "M55 20L38 50H48L41 66L37 63L40 80L53 68L48 66L62 44H51L60 24Z"))
	},
}
