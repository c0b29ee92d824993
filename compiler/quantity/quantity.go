package quantity

import (
	"fmt"
	"strings"
)

// NBSP is the space between a number and its unit, at which no line may break.
const NBSP = "\u00a0"

// Quantity is a number with a unit, or a bare number where Unit is nil.
type Quantity struct {
	Value Number
	Unit  *Unit
}

// New returns the quantity of value in the unit; unit may be nil.
func New(value Number, unit *Unit) Quantity { return Quantity{Value: value, Unit: unit} }

// Dimension returns the dimension of the unit; Count for a bare number.
func (q Quantity) Dimension() Dimension { return dimensionOf(q.Unit) }

func dimensionOf(u *Unit) Dimension {
	if u == nil {
		return Count
	}
	return u.Dimension
}

// In returns the value of q in the unit u, exactly. It is an error, in words
// fit for a message, where the dimensions differ.
func (q Quantity) In(u *Unit) (Number, error) {
	if q.Unit == u {
		return q.Value, nil
	}
	if err := commensurable(q.Unit, u); err != nil {
		return Number{}, err
	}
	return q.Unit.fromBase(q.Unit.toBase(q.Value), u), nil
}

// SpanIn returns q as a difference in the unit u, exactly: an uncertainty of
// 2 °C is 3.6 °F, though a temperature of 2 °C is 35.6 °F. It differs from In
// only for units with an offset.
func (q Quantity) SpanIn(u *Unit) (Number, error) {
	if q.Unit == u {
		return q.Value, nil
	}
	if err := commensurable(q.Unit, u); err != nil {
		return Number{}, err
	}
	return q.Value.Mul(q.Unit.factorTo(u)), nil
}

func commensurable(a, b *Unit) error {
	da, db := dimensionOf(a), dimensionOf(b)
	if da != db || a == nil || b == nil {
		return fmt.Errorf("%s is no %s", describe(a, da), db)
	}
	return nil
}

func describe(u *Unit, d Dimension) string {
	if u == nil {
		return "a bare number"
	}
	return fmt.Sprintf("%s (%s)", u.Code, d)
}

// Cmp compares two quantities of one dimension; the error is that of In.
func (q Quantity) Cmp(other Quantity) (int, error) {
	v, err := other.In(q.Unit)
	if err != nil {
		return 0, err
	}
	return q.Value.Cmp(v), nil
}

// String writes the shortest exact decimal and the unit's symbol, with a space
// between them that does not break.
func (q Quantity) String() string { return withUnit(q.Value.String(), q.Unit) }

// Format writes the value with the given decimal places, rounded half away
// from zero, and the unit's symbol.
func (q Quantity) Format(places int) string { return withUnit(q.Value.Decimal(places), q.Unit) }

func withUnit(number string, u *Unit) string {
	switch {
	case u == nil:
		return number
	case strings.HasPrefix(u.Symbol, "°") && u.Dimension == Angle, u.Symbol == "′", u.Symbol == "″":
		return number + u.Symbol // ISO 80000-1, 7.1.4: no space before °, ′ and ″
	}
	return number + NBSP + u.Symbol
}
