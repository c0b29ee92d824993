package look

import "math"

// Figures that several signs share. Those with k and g take the colour of the
// figure and of the ground; each says in what field it is drawn.

// hand is an open right hand seen from the palm, in a field 40 wide and 52
// high.
func hand(k Paint) []Shape {
	return group(
		line(k, 6.4, "M13.4 26V8.6"),
		line(k, 6.4, "M20.8 26V4"),
		line(k, 6.4, "M28.2 26V6"),
		line(k, 6.4, "M35.4 28V13"),
		line(k, 7, "M13 42L3.6 28"),
		fill(k, "M10.2 23H38.6V36C38.6 46 34 52 26 52H20C15 52 12 49 9.4 44.4L8.6 38Z"),
	)
}

// flatHand is a hand seen from the side with the fingers to the right and the
// thumb below, in a field 48 wide and 20 high, with the cuff on the left.
func flatHand(k Paint) []Shape {
	return group(
		box(k, 0, 1.4, 7, 17.6, 0.8),
		fill(k, "M9 4C14 2.6 19 0.6 24 0.6L44 1.6C48.6 2 48.6 8 44 8H31C34.6 9.6 38 10.6 41 12C44.4 13.8 42.6 18 39 17L27 14.4C22 17.6 16 17.6 9 17Z"),
	)
}

// pointer is a fist with the forefinger stretched out to the right, in a field
// 46 wide and 26 high, with the cuff on the left.
func pointer(k, g Paint) []Shape {
	return group(
		box(k, 0, 3, 7, 20, 0.8),
		fill(k, "M9 6C13 6 15 2 20 2H43C47.4 2 47.4 8.6 43 8.6H30.6C32.6 10 32.6 12.6 30.8 13.8C32.2 15.2 31.8 17.8 30 18.6C30.8 21 29.4 23.4 26.6 23.4H20C15 23.4 14 20.6 9 20.6Z"),
		line(g, 1.3, "M23 8.8H30"), line(g, 1.3, "M24 13.8H30"), line(g, 1.3, "M24 18.6H29.4"),
	)
}

// flame is a flame standing in a field 36 wide and 46 high.
func flame(k, g Paint) []Shape {
	return group(
		fill(k, "M17 0C20 9 34 15 35 30C35.6 40 28 46 18 46C7 46 0 39 1 29C1.6 21 7 19 8 11C12 14 13 18 13 21C17 16 19 8 17 0Z"),
		fill(g, "M19 22C22 27 27 29 27 36C27 40.6 23.4 43 18.6 43C13 43 10 40 10.4 35C10.8 31 13.4 30 14.4 26C17 28 17.4 30 17.4 32C19 29 19.6 26 19 22Z"),
	)
}

// bolt is the arrow of electricity in a field 22 wide and 52 high.
func bolt(k Paint) []Shape {
	return group(fill(k, "M16 0L1 28H10L4.4 42L1 39L3 53L14 43.6L10 42L19.6 22H10.4L19 3Z"))
}

// face is a head with shoulders seen from the front, filling a round sign from
// the chin down: the head is centred at 50, 44 and 36 wide.
func face(k Paint) []Shape {
	return group(
		fill(k, "M50 19C62 19 68 27 68 40C68 54 60 66 50 66S32 54 32 40C32 27 38 19 50 19Z"),
		fill(k, "M41 60H59V70C70 72 79 75 83 80C75 90 63 96 50 96S25 90 17 80C21 75 30 72 41 70Z"),
	)
}

// profile is a head with neck and shoulder seen from the side, looking left.
func profile(k Paint) []Shape {
	return group(fill(k, "M56 17C70 17 78 27 78 40C78 50 74 56 72 62L73 70C80 73 85 76 87 79C80 89 68 96 52 97C44 97 36 95 30 92C33 86 36 80 43 77V72H38C35 72 34 70 34.6 67L35 63L32.6 61L34 57L29.6 54C29 53 29 52 30 51L34 43C34 28 42 17 56 17Z"))
}

// walker is a person walking to the right, in a field 34 wide and 60 high.
func walker(k Paint) []Shape {
	return group(
		disc(k, 18, 5.6, 5.6),
		line(k, 8.6, "M17 18L16 34"),
		line(k, 5.4, "M19 17L26 25L32 28"),
		line(k, 5.4, "M14 17L7 25L3 33"),
		line(k, 6.4, "M17 35L24 45L25 57"),
		line(k, 6.4, "M15 35L12 47L4 57"),
	)
}

// stander is a person seen from the front with arms hanging, in a field 32
// wide and 60 high.
func stander(k Paint) []Shape {
	return group(
		disc(k, 16, 5.6, 5.6),
		fill(k, "M8 13H24C28 13 30 15 30 18V35C30 39 25 39 25 35V22H24V57C24 61 17.4 61 17.4 57V38H14.6V57C14.6 61 8 61 8 57V22H7V35C7 39 2 39 2 35V18C2 15 4 13 8 13Z"),
	)
}

// gear is a toothed wheel about the origin.
func gear(k, g Paint, radius float64, teeth int, turn float64) []Shape {
	out := group(disc(k, 0, 0, radius*0.8))
	for i := range teeth {
		a := turn + 360*float64(i)/float64(teeth)
		out = append(out, place(0, 0, 1, a, box(k, -radius*0.17, -radius, radius*0.34, radius*0.5, radius*0.05))...)
	}
	return append(out, disc(g, 0, 0, radius*0.3))
}

// around repeats shapes drawn upwards from the origin, count times in a full
// turn about x, y.
func around(x, y float64, count int, turn float64, shapes ...Shape) []Shape {
	var out []Shape
	for i := range count {
		out = append(out, place(x, y, 1, turn+360*float64(i)/float64(count), shapes...)...)
	}
	return out
}

// arc is an open part of a circle, clockwise from one angle to another in
// degrees, 0 to the right.
func arc(p Paint, width, x, y, r, from, to float64) Shape {
	steps := int(math.Ceil((to - from) / 90))
	d := (to - from) / float64(steps) * math.Pi / 180
	k := r * 4 / 3 * math.Tan(d/4)
	var segments []Segment
	for i := range steps + 1 {
		sin, cos := math.Sincos(from*math.Pi/180 + float64(i)*d)
		at := Point{x + r*cos, y + r*sin}
		if i == 0 {
			segments = append(segments, Segment{Op: Move, P: [3]Point{at}})
			continue
		}
		sin0, cos0 := math.Sincos(from*math.Pi/180 + float64(i-1)*d)
		last := Point{x + r*cos0, y + r*sin0}
		segments = append(segments, Segment{Op: Cubic, P: [3]Point{
			{last.X - k*sin0, last.Y + k*cos0}, {at.X + k*sin, at.Y - k*cos}, at}})
	}
	return Shape{Path: segments, Stroke: p, StrokeWidth: width}
}

// arrowHead is a filled head with its tip at x, y, pointing along deg, 0 to
// the right.
func arrowHead(p Paint, x, y, size, deg float64) []Shape {
	return place(x, y, size, deg, fill(p, "M0 0L-1 -0.62V0.62Z"))
}

// cylinder is an upright gas bottle in a field 18 wide and 52 high.
func cylinder(k, g Paint) []Shape {
	return group(
		box(k, 5, 0, 8, 4, 1), box(k, 6.6, 3, 4.8, 6, 0),
		fill(k, "M9 7C15 7 18 11 18 16V50C18 51.4 17.4 52 16 52H2C0.6 52 0 51.4 0 50V16C0 11 3 7 9 7Z"),
		line(g, 1.6, "M0 19H18"),
	)
}

// truck is a fork-lift truck looking left, in a field 56 wide and 50 high.
func truck(k, g Paint) []Shape {
	return group(
		fill(k, "M22 26H38L40 30H52C54 30 55 31 55 33V42H18V30C18 28 19 26 22 26Z"),
		line(k, 3.4, "M22 27L25 5H42L47 30"),
		disc(k, 33, 14, 4), line(k, 5, "M33 20V27"),
		line(k, 4, "M13 2V44"), line(k, 3.4, "M13 44H0"),
		box(k, 0, 26, 10, 15, 0),
		disc(k, 25, 44, 6), disc(g, 25, 44, 2.4), disc(k, 47, 44, 6), disc(g, 47, 44, 2.4),
	)
}

// drop is a falling drop with its tip at the origin, 6 wide and 10 high.
func drop(k Paint) []Shape {
	return group(fill(k, "M0 0C1 3 3 4.6 3 7C3 9 1.6 10 0 10S-3 9 -3 7C-3 4.6 -1 3 0 0Z"))
}
