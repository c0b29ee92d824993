package quantity

import (
	"fmt"
	"math"
	"math/big"
	"math/bits"
	"strconv"
	"strings"
)

// MaxDigits is the greatest number of digits ParseNumber accepts: far more than
// any instrument shows, few enough that no input makes arithmetic slow.
const MaxDigits = 60

// Number is an exact rational number. It is a value: copy it freely, never
// modify it; the zero value is 0. Two equal Numbers need not be equal under
// ==, so compare with Equal or Cmp.
type Number struct {
	// A fraction in lowest terms, while both parts fit. The denominator is
	// kept less one so that the zero value reads 0/1.
	num  int64
	den1 int64
	// Set instead where the fraction does not fit; never modified.
	wide *big.Rat
}

// NewInt returns the integer n.
func NewInt(n int64) Number {
	if n == math.MinInt64 {
		return Number{wide: new(big.Rat).SetInt64(n)}
	}
	return Number{num: n}
}

// NewFrac returns a/b. It panics where b is zero, as integer division does.
func NewFrac(a, b int64) Number {
	if b == 0 {
		panic("quantity: fraction with denominator zero")
	}
	if a == math.MinInt64 || b == math.MinInt64 {
		return fromRat(big.NewRat(a, b))
	}
	if b < 0 {
		a, b = -a, -b
	}
	return reduced(a, b)
}

// ParseNumber reads a decimal as the language writes it: an optional minus,
// digits, and optionally a point with digits after it. There is no exponent.
// The error says what was found in words that can go into a message.
func ParseNumber(s string) (Number, error) {
	rest, negative := strings.CutPrefix(s, "-")
	if rest == "" {
		return Number{}, fmt.Errorf("a number was expected, such as 31.95")
	}
	digits, point := 0, -1
	var small int64
	fits := true
	for i := 0; i < len(rest); i++ {
		c := rest[i]
		switch {
		case c >= '0' && c <= '9':
			digits++
			if digits > MaxDigits {
				return Number{}, fmt.Errorf("the number has more than %d digits", MaxDigits)
			}
			if small > (math.MaxInt64-9)/10 {
				fits = false
			}
			if fits {
				small = small*10 + int64(c-'0')
			}
		case c == '.' && point < 0:
			point = i
		case c == ',':
			return Number{}, fmt.Errorf("a number has a point, not a comma: 31.95")
		case c == 'e' || c == 'E':
			return Number{}, fmt.Errorf("a number has no exponent: write it out")
		default:
			return Number{}, fmt.Errorf("%s is not a number", shorten(s))
		}
	}
	switch {
	case point == 0:
		return Number{}, fmt.Errorf("a digit was expected before the point: write 0%s", shorten(rest))
	case point == len(rest)-1:
		return Number{}, fmt.Errorf("a digit was expected after the point")
	}
	places := 0
	if point >= 0 {
		places = len(rest) - 1 - point
	}
	if fits && places < len(powersOfTen) {
		if negative {
			small = -small
		}
		return reduced(small, powersOfTen[places]), nil
	}
	r, ok := new(big.Rat).SetString(s)
	if !ok {
		return Number{}, fmt.Errorf("%s is not a number", shorten(s))
	}
	return fromRat(r), nil
}

// MustNumber is ParseNumber for constants in the program; it panics where s is
// not a number.
func MustNumber(s string) Number {
	n, err := ParseNumber(s)
	if err != nil {
		panic("quantity: " + err.Error())
	}
	return n
}

// shorten keeps a message about unreadable text readable.
func shorten(s string) string {
	const most = 24
	n := 0
	for i := range s {
		if n == most {
			return strconv.Quote(s[:i] + "…")
		}
		n++
	}
	return strconv.Quote(s)
}

var powersOfTen = func() (p [19]int64) {
	p[0] = 1
	for i := 1; i < len(p); i++ {
		p[i] = p[i-1] * 10
	}
	return p
}()

// powerOfTen returns 10^n; n may be negative.
func powerOfTen(n int) Number {
	switch {
	case n >= 0 && n < len(powersOfTen):
		return Number{num: powersOfTen[n]}
	case n < 0 && -n < len(powersOfTen):
		return Number{num: 1, den1: powersOfTen[-n] - 1}
	}
	p := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(max(n, -n))), nil)
	if n < 0 {
		return fromRat(new(big.Rat).SetFrac(big.NewInt(1), p))
	}
	return fromRat(new(big.Rat).SetInt(p))
}

// reduced returns a/b in lowest terms; b is positive and neither is the least int64.
func reduced(a, b int64) Number {
	if b == 1 {
		return Number{num: a}
	}
	if g := gcd(a, b); g > 1 {
		a, b = a/g, b/g
	}
	return Number{num: a, den1: b - 1}
}

// gcd is Stein's: shifts and subtractions, several times faster than dividing.
func gcd(a, b int64) int64 {
	if a < 0 {
		a = -a
	}
	x, y := uint64(a), uint64(b)
	if x == 0 {
		return int64(y)
	}
	if y == 0 {
		return int64(x)
	}
	shift := bits.TrailingZeros64(x | y)
	x >>= bits.TrailingZeros64(x)
	for y != 0 {
		y >>= bits.TrailingZeros64(y)
		if x > y {
			x, y = y, x
		}
		y -= x
	}
	return int64(x << shift)
}

func fromRat(r *big.Rat) Number {
	if r.Num().IsInt64() && r.Denom().IsInt64() {
		if n := r.Num().Int64(); n != math.MinInt64 {
			return Number{num: n, den1: r.Denom().Int64() - 1}
		}
	}
	return Number{wide: r}
}

// rat returns the number as a big.Rat that the caller must not modify.
func (n Number) rat() *big.Rat {
	if n.wide != nil {
		return n.wide
	}
	return big.NewRat(n.num, n.den1+1)
}

// add64 and mul64 report false where the result does not fit.
func add64(a, b int64) (int64, bool) {
	c := a + b
	return c, (a^c)&(b^c) >= 0 && c != math.MinInt64
}

func mul64(a, b int64) (int64, bool) {
	hi, lo := bits.Mul64(magnitude(a), magnitude(b))
	if hi != 0 || lo > math.MaxInt64 {
		return 0, false
	}
	if (a < 0) != (b < 0) {
		return -int64(lo), true
	}
	return int64(lo), true
}

func magnitude(a int64) uint64 {
	if a < 0 {
		return uint64(-a)
	}
	return uint64(a)
}

// Add returns n + m.
func (n Number) Add(m Number) Number {
	if n.wide == nil && m.wide == nil {
		if n.den1 == m.den1 {
			if sum, ok := add64(n.num, m.num); ok {
				return reduced(sum, n.den1+1)
			}
		} else if sum, ok := addFractions(n, m); ok {
			return sum
		}
	}
	return fromRat(new(big.Rat).Add(n.rat(), m.rat()))
}

// addFractions adds over the least common denominator; after that the sum can
// only share a factor with the common part of the denominators (Knuth, The Art
// of Computer Programming, 4.5.1).
func addFractions(n, m Number) (Number, bool) {
	b, d := n.den1+1, m.den1+1
	g := gcd(b, d)
	left, ok1 := mul64(n.num, d/g)
	right, ok2 := mul64(m.num, b/g)
	if !ok1 || !ok2 {
		return Number{}, false
	}
	sum, ok := add64(left, right)
	if !ok {
		return Number{}, false
	}
	h := int64(1)
	if g > 1 {
		h = gcd(sum, g)
	}
	den, ok := mul64(b/g, d/h)
	if !ok {
		return Number{}, false
	}
	return Number{num: sum / h, den1: den - 1}, true
}

// Sub returns n − m.
func (n Number) Sub(m Number) Number { return n.Add(m.Neg()) }

// Neg returns −n.
func (n Number) Neg() Number {
	if n.wide != nil {
		return fromRat(new(big.Rat).Neg(n.wide))
	}
	n.num = -n.num
	return n
}

// Abs returns n without its sign.
func (n Number) Abs() Number {
	if n.Sign() < 0 {
		return n.Neg()
	}
	return n
}

// Mul returns n × m.
func (n Number) Mul(m Number) Number {
	if n.wide == nil && m.wide == nil {
		a, b, c, d := n.num, n.den1+1, m.num, m.den1+1
		if d != 1 {
			if g := gcd(a, d); g > 1 {
				a, d = a/g, d/g
			}
		}
		if b != 1 {
			if g := gcd(c, b); g > 1 {
				c, b = c/g, b/g
			}
		}
		num, ok1 := mul64(a, c)
		den, ok2 := mul64(b, d)
		if ok1 && ok2 {
			return Number{num: num, den1: den - 1}
		}
	}
	return fromRat(new(big.Rat).Mul(n.rat(), m.rat()))
}

// Quo returns n ÷ m. It panics where m is zero, as integer division does.
func (n Number) Quo(m Number) Number { return n.Mul(m.inverse()) }

func (n Number) inverse() Number {
	switch {
	case n.Sign() == 0:
		panic("quantity: division by zero")
	case n.wide != nil:
		return fromRat(new(big.Rat).Inv(n.wide))
	case n.num < 0:
		return Number{num: -(n.den1 + 1), den1: -n.num - 1}
	}
	return Number{num: n.den1 + 1, den1: n.num - 1}
}

// Cmp returns −1, 0 or 1 as n is less than, equal to or greater than m.
func (n Number) Cmp(m Number) int {
	if n.wide != nil || m.wide != nil {
		return n.rat().Cmp(m.rat())
	}
	if n.den1 == m.den1 {
		switch {
		case n.num < m.num:
			return -1
		case n.num > m.num:
			return 1
		}
		return 0
	}
	s, t := n.Sign(), m.Sign()
	switch {
	case s < t:
		return -1
	case s > t:
		return 1
	}
	hi1, lo1 := bits.Mul64(magnitude(n.num), uint64(m.den1+1))
	hi2, lo2 := bits.Mul64(magnitude(m.num), uint64(n.den1+1))
	switch {
	case hi1 < hi2 || hi1 == hi2 && lo1 < lo2:
		return -s
	case hi1 > hi2 || lo1 > lo2:
		return s
	}
	return 0
}

// Equal reports whether n and m are the same number.
func (n Number) Equal(m Number) bool {
	if n.wide == nil && m.wide == nil {
		return n.num == m.num && n.den1 == m.den1
	}
	return n.Cmp(m) == 0
}

// Sign returns −1, 0 or 1.
func (n Number) Sign() int {
	switch {
	case n.wide != nil:
		return n.wide.Sign()
	case n.num < 0:
		return -1
	case n.num > 0:
		return 1
	}
	return 0
}

// IsInt reports whether n is an integer.
func (n Number) IsInt() bool {
	if n.wide != nil {
		return n.wide.IsInt()
	}
	return n.den1 == 0
}

// Int returns n as an int, and whether it is one.
func (n Number) Int() (int, bool) {
	if n.wide != nil || n.den1 != 0 || int64(int(n.num)) != n.num {
		return 0, false
	}
	return int(n.num), true
}

// Float64 returns the nearest binary float. It is for drawing and plotting
// only: nothing that is decided or printed may go through it.
func (n Number) Float64() float64 {
	f, _ := n.rat().Float64()
	return f
}

// floor returns the greatest integer that is not above n.
func (n Number) floor() Number {
	if n.wide != nil {
		// Euclidean division rounds down, as the denominator is positive.
		q := new(big.Int).Div(n.wide.Num(), n.wide.Denom())
		return fromRat(new(big.Rat).SetInt(q))
	}
	if n.den1 == 0 {
		return n
	}
	q := n.num / (n.den1 + 1)
	if n.num < 0 {
		q-- // n is no integer here, and division rounds towards zero
	}
	return Number{num: q}
}

func (n Number) ceil() Number {
	f := n.floor()
	if f.Equal(n) {
		return f
	}
	return f.Add(NewInt(1))
}

// Floor returns the greatest multiple of step that is not above n; n itself
// where step is zero.
func (n Number) Floor(step Number) Number {
	if step.Sign() == 0 {
		return n
	}
	step = step.Abs()
	return n.Quo(step).floor().Mul(step)
}

// Ceil returns the least multiple of step that is not below n; n itself where
// step is zero.
func (n Number) Ceil(step Number) Number {
	if step.Sign() == 0 {
		return n
	}
	step = step.Abs()
	return n.Quo(step).ceil().Mul(step)
}

// Round returns n rounded to the given decimal places, halves away from zero.
// Negative places round to tens, hundreds and so on.
func (n Number) Round(places int) Number {
	if n.wide == nil && n.den1 == 0 && places >= 0 {
		return n
	}
	unit := powerOfTen(-places)
	half := NewFrac(1, 2)
	r := n.Abs().Quo(unit).Add(half).floor().Mul(unit)
	if n.Sign() < 0 {
		return r.Neg()
	}
	return r
}

// Finite reports whether n can be written as a decimal that ends.
func (n Number) Finite() bool { return n.Places() >= 0 }

// Places returns how many decimals n needs to be written exactly, or −1 where
// no number of decimals is enough.
func (n Number) Places() int {
	if n.wide != nil {
		return placesOfWide(n.wide.Denom())
	}
	den := n.den1 + 1
	twos := bits.TrailingZeros64(uint64(den))
	den >>= twos
	fives := 0
	for den%5 == 0 {
		den /= 5
		fives++
	}
	if den != 1 {
		return -1
	}
	return max(twos, fives)
}

func placesOfWide(den *big.Int) int {
	twos := int(den.TrailingZeroBits())
	rest := new(big.Int).Rsh(den, uint(twos))
	five, q, r := big.NewInt(5), new(big.Int), new(big.Int)
	fives := 0
	for {
		q.QuoRem(rest, five, r)
		if r.Sign() != 0 {
			break
		}
		rest, q = q, rest
		fives++
	}
	if rest.Cmp(big.NewInt(1)) != 0 {
		return -1
	}
	return max(twos, fives)
}

// Decimal writes n with exactly the given decimal places (none where places is
// negative), rounded half away from zero. A number that rounds to zero has no
// minus.
func (n Number) Decimal(places int) string {
	places = max(places, 0)
	r := n.Round(places)
	scaled := r.Abs().Mul(powerOfTen(places))
	var digits string
	if scaled.wide != nil {
		digits = scaled.wide.Num().String()
	} else {
		digits = strconv.FormatInt(scaled.num, 10)
	}
	if len(digits) <= places {
		digits = strings.Repeat("0", places+1-len(digits)) + digits
	}
	if places > 0 {
		at := len(digits) - places
		digits = digits[:at] + "." + digits[at:]
	}
	if r.Sign() < 0 {
		return "-" + digits
	}
	return digits
}

// significant is how many digits String keeps of a number that has no end.
const significant = 12

// String writes n as the shortest exact decimal; a number whose decimals do
// not end is rounded to 12 significant digits.
func (n Number) String() string {
	if p := n.Places(); p >= 0 {
		return n.Decimal(p)
	}
	places := significant - 1 - n.magnitude()
	r := n.Round(places)
	return r.Decimal(max(r.Places(), 0))
}

// Exact writes n without rounding: as the shortest decimal, or as a fraction
// a/b in lowest terms where no decimal ends.
func (n Number) Exact() string {
	if p := n.Places(); p >= 0 {
		return n.Decimal(p)
	}
	return n.rat().String()
}

// magnitude returns the power of ten of n's first digit: 2 for 100 and 999,
// −1 for 0.5. It is 0 for 0.
func (n Number) magnitude() int {
	a := n.Abs()
	if a.Sign() == 0 {
		return 0
	}
	// A first guess from the bit lengths is at most one off either way.
	var bitsOf int
	if a.wide != nil {
		bitsOf = a.wide.Num().BitLen() - a.wide.Denom().BitLen()
	} else {
		bitsOf = bits.Len64(uint64(a.num)) - bits.Len64(uint64(a.den1+1))
	}
	m := int(math.Floor(float64(bitsOf) * math.Log10(2)))
	for a.Cmp(powerOfTen(m)) < 0 {
		m--
	}
	for a.Cmp(powerOfTen(m+1)) >= 0 {
		m++
	}
	return m
}

// append adds a canonical, self-delimiting form of n to b: equal numbers give
// equal bytes.
func (n Number) append(b []byte) []byte {
	if n.wide != nil {
		return append(append(b, n.wide.String()...), ';')
	}
	b = strconv.AppendInt(b, n.num, 36)
	if n.den1 != 0 {
		b = append(b, '/')
		b = strconv.AppendInt(b, n.den1+1, 36)
	}
	return append(b, ';')
}
