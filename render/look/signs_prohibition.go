package look

// Prohibition signs, black on white under the red bar. The bar falls from the
// top left, so what tells the signs apart stands at the top right and the
// bottom left or is large enough to be seen on both sides of it.
var prohibitions = map[string]picture{
	// General prohibition: ring and bar alone.
	"P001": func(_, _ Paint) []Shape { return nil },
	// No smoking.
	"P002": func(k, g Paint) []Shape {
		return group(
			box(k, 18, 55, 52, 9, 0), box(g, 60, 55, 1.6, 9, 0), box(k, 72, 55, 3, 9, 0), box(k, 77, 55, 3, 9, 0),
			line(k, 3.4, "M74 50C74 42 66 46 66 38S58 36 60 28"), line(k, 3.4, "M80 50C81 38 72 42 73 33"),
		)
	},
	// No open flame.
	"P003": func(k, g Paint) []Shape {
		return join(group(line(k, 6, "M26 80L44 58")), place(38, 16, 0.98, 12, flame(k, g)...))
	},
	// No thoroughfare.
	"P004": func(k, _ Paint) []Shape { return place(33, 19, 1.05, 0, walker(k)...) },
	// Not drinking water.
	"P005": func(k, g Paint) []Shape {
		return shrink(0.88, 50, 50, join(
			group(fill(k, "M24 22H58C66 22 71 27 71 35H61C61 32 60 31 57 31H24Z"), box(k, 40, 14, 6, 10, 0), line(k, 4, "M34 14H52")),
			place(66, 38, 0.8, 0, drop(k)...),
			group(fill(k, "M52 52H80L76 80H56Z"), fill(g, "M55 55H77L76 63H56Z")),
		))
	},
	// No access for industrial vehicles.
	"P006": func(k, g Paint) []Shape { return place(20, 25, 1.04, 0, truck(k, g)...) },
	// No access for people with active implanted cardiac devices.
	"P007": func(k, g Paint) []Shape {
		return group(
			fill(k, "M46 78C22 62 18 48 20 40C23 28 38 26 46 38C54 26 69 28 72 40C74 48 70 62 46 78Z"),
			box(g, 50, 40, 13, 11, 3), box(k, 52, 42, 9, 7, 2), line(g, 2, "M52 50C48 54 46 60 47 66"),
			line(k, 3.4, "M74 24L80 18"), line(k, 3.4, "M77 32L84 30"),
		)
	},
	// No metallic articles or watches.
	"P008": func(k, g Paint) []Shape {
		return group(
			disc(k, 62, 40, 15), disc(g, 62, 40, 11), line(k, 2.6, "M62 32V40H68"), box(k, 56, 16, 12, 9, 0), box(k, 56, 55, 12, 12, 0),
			ring(k, 5, 32, 54, 7), line(k, 5, "M32 62V80"), line(k, 4, "M33 72H40"), line(k, 4, "M33 79H40"),
		)
	},
	// Do not touch.
	"P010": func(k, _ Paint) []Shape { return place(25, 22, 1.1, 0, hand(k)...) },
	// Do not extinguish with water.
	"P011": func(k, g Paint) []Shape {
		return join(
			place(22, 46, 0.72, 0, flame(k, g)...),
			group(fill(k, "M54 22L80 30L74 50L52 42Z"), line(k, 2.6, "M56 20C64 14 76 18 80 28")),
			place(49, 41, 0.8, 20, drop(k)...), place(43, 32, 0.8, 20, drop(k)...), place(57, 50, 0.8, 20, drop(k)...),
		)
	},
	// No heavy load.
	"P012": func(k, g Paint) []Shape {
		return group(fill(k, "M36 42H64L76 80H24Z"), ring(k, 6, 50, 31, 9), line(g, 3.4, "M38 57V72"), line(g, 3.4, "M46 57L39 64L46 72"),
			fill(g, "M64 64.6V71C62 73 54 75 52 66C51 56 60 54 64 59L61.4 61.6C58 58 55 61 55.4 65.6C56 71 59.4 71 60.8 69.8V67.6H58V64.6Z"))
	},
	// No activated mobile phone.
	"P013": func(k, g Paint) []Shape {
		return group(box(k, 36, 22, 28, 58, 5), box(g, 39.4, 29, 21.2, 40, 0), disc(g, 50, 74.4, 2.4),
			line(k, 3, "M70 24C74 28 74 33 71 37"), line(k, 3, "M76 19C83 26 82 36 77 42"))
	},
	// No access for people with metallic implants.
	"P014": func(k, g Paint) []Shape {
		return join(place(33, 18, 1.06, 0, stander(k)...), group(disc(g, 44.4, 58, 3), line(g, 3.2, "M44.4 58V72"), box(g, 52, 34, 8, 3.2, 0)))
	},
	// No reaching in.
	"P015": func(k, _ Paint) []Shape {
		return join(
			group(box(k, 60, 15, 8, 25, 0), box(k, 60, 62, 8, 23, 0)),
			place(20, 40, 1.22, 0, flatHand(k)...),
		)
	},
	// No pushing.
	"P017": func(k, _ Paint) []Shape {
		return join(group(
			disc(k, 37, 28, 6.6), line(k, 9, "M36 41L30 56"), line(k, 5.6, "M38 40L50 44L60 42"), line(k, 6.6, "M31 58L40 66L38 80"), line(k, 6.6, "M29 58L25 69L18 76"),
			box(k, 63, 24, 17, 54, 1),
		))
	},
	// No sitting.
	"P018": func(k, _ Paint) []Shape {
		return group(disc(k, 42, 25, 7.4), line(k, 11, "M40 40L41 54"), line(k, 7.4, "M43 58H60"), line(k, 7, "M61 59V78"), line(k, 5, "M42 40L52 48H60"), box(k, 26, 63, 30, 5, 0), box(k, 26, 63, 5, 18, 0))
	},
	// No stepping on surface.
	"P019": func(k, g Paint) []Shape {
		return group(
			fill(k, "M40 16H58V40C58 46 66 48 74 51C80 53 82 56 82 62H38C36 62 35 61 35 58C36 46 40 36 40 16Z"), line(k, 6, "M24 73H80"),
			line(g, 2.4, "M58 30H50"), line(g, 2.4, "M58 37H50"),
		)
	},
	// Do not use lift in the event of fire.
	"P020": func(k, g Paint) []Shape {
		return join(
			group(box(k, 34, 28, 34, 50, 0), box(g, 38, 33, 12, 45, 0), box(g, 52, 33, 12, 45, 0)),
			group(fill(k, "M44 24L50 15L56 24Z")),
			place(66, 36, 0.6, 0, flame(k, g)...), place(18, 46, 0.6, 0, flame(k, g)...),
		)
	},
	// No eating or drinking.
	"P022": func(k, g Paint) []Shape {
		return group(
			fill(k, "M50 26H76L72 52H54Z"), line(k, 2.6, "M66 26L70 14L76 13"),
			fill(k, "M18 60C18 48 54 48 54 60Z"), box(k, 17, 62, 38, 5, 2), fill(k, "M18 69H54C54 78 50 80 46 80H26C22 80 18 78 18 69Z"),
			line(g, 1.8, "M28 55L29 56"), line(g, 1.8, "M38 54L39 55"),
		)
	},
	// Do not obstruct.
	"P023": func(k, g Paint) []Shape {
		return join(
			group(box(k, 50, 48, 30, 30, 0), line(g, 2.4, "M54 52L76 74"), line(g, 2.4, "M76 52L54 74"), frame(g, 2.4, 54, 52, 22, 22, 0)),
			group(box(k, 20, 50, 26, 28, 0), line(g, 2.2, "M33 50V78"), box(k, 38, 24, 26, 22, 0), line(g, 2.2, "M38 32H64")),
		)
	},
	// No walking or standing here.
	"P024": func(k, _ Paint) []Shape {
		sole := group(
			fill(k, "M0 14C0 4 4 0 8 0S17 5 16 16C15 24 14 26 14 32H3C3 25 0 22 0 14Z"), fill(k, "M3.4 35H13.6C14 43 12 48 8.4 48S3 43 3.4 35Z"))
		return join(place(32, 29, 1, -4, sole...), mirror(50, place(32, 21, 1, -4, sole...)...))
	},
	// Do not use this incomplete scaffold.
	"P025": func(k, _ Paint) []Shape {
		return group(
			line(k, 4, "M28 22V80"), line(k, 4, "M72 22V80"), line(k, 4, "M28 42H72"), line(k, 4, "M28 64H54"), line(k, 3, "M28 64L72 42"), line(k, 3, "M28 80L50 64"),
			disc(k, 58, 25, 4.4), line(k, 6, "M57 32V38"),
		)
	},
	// Do not use this lift for people.
	"P027": func(k, g Paint) []Shape {
		return join(
			group(line(k, 3.4, "M50 14V24"), frame(k, 4.4, 28, 26, 44, 54, 0)),
			place(36.5, 32, 0.78, 0, stander(k)...),
		)
	},
	// Do not wear gloves.
	"P028": func(k, g Paint) []Shape {
		return join(place(27, 17, 1.06, 0, join(hand(k), group(box(g, 8, 46, 34, 2.6, 0), fill(k, "M10 48.8H37L41 64H6Z")))...))
	},
	// No photography.
	"P029": func(k, g Paint) []Shape {
		return group(box(k, 20, 36, 60, 38, 5), box(k, 38, 28, 24, 12, 2), disc(g, 50, 55, 14), disc(k, 50, 55, 10), disc(g, 50, 55, 4), box(g, 68, 42, 7, 5, 0))
	},
	// Do not tie knots in rope.
	"P030": func(k, g Paint) []Shape {
		return group(
			line(k, 6, "M16 60C34 60 36 30 52 30S66 52 50 54S30 40 44 36"), line(k, 6, "M84 44C70 44 66 70 52 70S36 56 44 50"),
			line(g, 2, "M50 54C40 54 34 46 38 40"),
		)
	},
	// Do not alter the state of the switch.
	"P031": func(k, g Paint) []Shape {
		return join(
			group(box(k, 58, 18, 20, 34, 3), box(g, 62, 23, 12, 24, 1), fill(k, "M64 36H72L74 25H62Z")),
			place(15, 66, 1.08, -24, pointer(k, g)...),
		)
	},
	// Do not use for face grinding: work held to the side of the wheel.
	"P032": func(k, g Paint) []Shape {
		return group(
			box(k, 40, 20, 12, 60, 3), box(k, 20, 45, 20, 10, 0), line(g, 1.6, "M40 20V80"),
			box(k, 55, 56, 28, 12, 1), line(k, 2.6, "M57 50L63 43"), line(k, 2.6, "M63 51L71 46"), line(k, 2.6, "M56 48L58 40"),
		)
	},
	// Do not use for wet grinding: drops on the rim of the wheel.
	"P033": func(k, g Paint) []Shape {
		return join(
			group(disc(k, 42, 58, 21), disc(g, 42, 58, 5.4), disc(k, 42, 58, 2.6)),
			place(58, 17, 1.2, 0, drop(k)...), place(69, 27, 1.2, 0, drop(k)...), place(77, 41, 1.2, 0, drop(k)...), place(61, 32, 1.2, 0, drop(k)...),
		)
	},
	// Do not use with hand-held grinder: an angle grinder on work.
	"P034": func(k, g Paint) []Shape {
		return join(
			group(fill(k, "M16 46C16 41 19 39 23 39H54L62 42V56H54L50 53H23C19 53 16 51 16 46Z"), box(k, 60, 39, 13, 19, 3), box(k, 63, 57, 7, 7, 0), box(k, 48, 63, 37, 4.6, 2), line(k, 5.4, "M66 39V25"),
				line(g, 1.6, "M48 42V51"), line(g, 1.6, "M44 42V51")),
			group(line(k, 2.4, "M80 72L84 76"), line(k, 2.4, "M74 72L76 78"), line(k, 4, "M30 76H62")),
		)
	},
	// Not to be serviced by users.
	"P069": func(k, g Paint) []Shape {
		return join(
			place(20, 22, 0.98, 0, stander(k)...),
			place(70, 30, 1, 100, group(line(k, 7, "M0 0H30"), disc(k, -5, 0, 9), box(g, -17, -3.6, 12, 7.2, 0), disc(k, 34, 0, 6.6), disc(g, 34, 0, 2.8))...),
		)
	},
}
