package look

// Safe condition signs, white on a green square, and fire equipment signs,
// white on a red one.
var safety = map[string]picture{
	// First aid.
	"E003": func(k, _ Paint) []Shape { return group(fill(k, "M38 16H62V38H84V62H62V84H38V62H16V38H38Z")) },
	// Emergency telephone.
	"E004": func(k, g Paint) []Shape { return join(handset(k), place(70, 18, 0.5, 0, cross(k)...)) },
	// Evacuation assembly point.
	"E007": func(k, _ Paint) []Shape {
		corner := group(line(k, 5, "M14 14L28 28"), fill(k, "M33 33L21 30L30 21Z"))
		return join(
			place(41, 34, 0.56, 0, stander(k)...), place(28, 40, 0.46, 0, stander(k)...), place(57, 40, 0.46, 0, stander(k)...),
			corner, mirror(50, corner...), turned(corner), mirror(50, turned(corner)...),
		)
	},
	// Doctor.
	"E009": func(k, g Paint) []Shape {
		return join(place(20, 16, 1.14, 0, stander(k)...), place(62, 22, 0.9, 0, cross(k)...), group(line(g, 2.6, "M33 32L38 42L43 32"), disc(g, 38, 45, 2.6)))
	},
	// Automated external defibrillator.
	"E010": func(k, g Paint) []Shape {
		return join(group(fill(k, "M50 84C20 64 14 48 17 38C21 22 42 20 50 36C58 20 79 22 83 38C86 48 80 64 50 84Z")), place(41, 32, 0.84, 0, bolt(g)...))
	},
	// Eyewash station.
	"E011": func(k, g Paint) []Shape {
		return group(
			fill(k, "M14 38C26 20 50 14 64 26C70 31 74 36 78 38C70 48 60 54 46 54S22 48 14 38Z"), disc(g, 47, 36, 12), disc(k, 47, 36, 6),
			line(k, 4.4, "M30 66V58"), line(k, 4.4, "M47 68V60"), line(k, 4.4, "M64 66V58"), disc(k, 38, 66, 2.6), disc(k, 56, 66, 2.6),
			fill(k, "M22 72H72C72 82 64 88 47 88S22 82 22 72Z"),
			line(k, 3.4, "M70 18V26"), line(k, 3.4, "M78 22V30"), disc(k, 84, 30, 2.4),
		)
	},
	// Safety shower.
	"E012": func(k, _ Paint) []Shape {
		return join(
			group(fill(k, "M34 22C34 14 66 14 66 22Z"), box(k, 47.6, 8, 4.8, 8, 0), box(k, 32, 22, 36, 3.4, 0)),
			place(33, 38, 0.92, 0, stander(k)...),
			group(line(k, 2.6, "M36 29L32 36"), line(k, 2.6, "M44 29L43 35"), line(k, 2.6, "M56 29L57 35"), line(k, 2.6, "M64 29L68 36"),
				line(k, 2.6, "M28 44L25 52"), line(k, 2.6, "M72 44L75 52"), line(k, 2.6, "M23 60L21 68"), line(k, 2.6, "M77 60L79 68")),
		)
	},
	// Stretcher.
	"E013": func(k, _ Paint) []Shape {
		return group(line(k, 5, "M10 66H90"), disc(k, 24, 50, 7.4), fill(k, "M34 46H60L84 54V61H34Z"), line(k, 4, "M24 67V78"), line(k, 4, "M76 67V78"), disc(k, 24, 80, 3.4), disc(k, 76, 80, 3.4))
	},
	// Drinking water.
	"E015": func(k, g Paint) []Shape {
		return join(
			group(fill(k, "M18 22H54C62 22 67 27 67 36H57C57 33 56 32 53 32H18Z"), box(k, 34, 13, 6, 10, 0), line(k, 4, "M28 13H46")),
			place(62, 39, 0.9, 0, drop(k)...),
			group(fill(k, "M46 54H78L74 88H50Z"), fill(g, "M49.4 57.4H74.6L73.6 66H50.4Z")),
		)
	},
	// Emergency stop button: a mushroom button pressed from above.
	"E020": func(k, g Paint) []Shape {
		return join(
			group(fill(k, "M28 66C28 52 72 52 72 66Z"), box(k, 42, 65, 16, 8, 0), box(k, 18, 73, 64, 13, 3), line(g, 2.4, "M30 79.5H70")),
			place(62, 3, 1.05, 90, pointer(k, g)...),
		)
	},
	// Fire extinguisher.
	"F001": func(k, g Paint) []Shape {
		return join(
			group(
				fill(k, "M28 42C28 34 32 30 39 30S50 34 50 42V86H28Z"), box(k, 35, 22, 8, 9, 0), line(k, 4, "M34 22H50"), line(k, 3.4, "M44 25C58 24 60 34 57 48"), fill(k, "M53.6 47H61L63 58H51Z"),
				line(k, 3.4, "M46 22L52 16"),
			),
			place(64, 50, 0.74, 0, flame(k, g)...),
		)
	},
	// Fire hose reel.
	"F002": func(k, g Paint) []Shape {
		return join(
			group(ring(k, 5, 40, 44, 23), ring(k, 4, 40, 44, 14), disc(k, 40, 44, 5), line(k, 5, "M63 44V72C63 80 74 80 74 72"), fill(k, "M70.6 72H77.4L79 58H69Z")),
			place(14, 68, 0.52, 0, flame(k, g)...),
		)
	},
	// Fire ladder.
	"F003": func(k, g Paint) []Shape {
		return join(
			group(line(k, 4.4, "M26 88L42 12"), line(k, 4.4, "M46 88L62 12"), line(k, 4, "M29 76H49"), line(k, 4, "M32 62H52"), line(k, 4, "M35 48H55"), line(k, 4, "M38 34H58"), line(k, 4, "M41 20H60")),
			place(60, 48, 0.82, 0, flame(k, g)...),
		)
	},
	// Collection of fire-fighting equipment.
	"F004": func(k, g Paint) []Shape {
		return join(
			group(fill(k, "M18 36C20 22 30 16 40 16S60 22 62 36L68 40V44H12V40Z"), line(g, 2.4, "M40 18V34"),
				fill(k, "M24 52H54L50 86H28Z"), line(k, 3, "M24 54C26 46 52 46 54 54")),
			place(60, 46, 0.84, 0, flame(k, g)...),
		)
	},
	// Fire alarm call point.
	"F005": func(k, g Paint) []Shape {
		return join(
			group(frame(k, 4, 14, 14, 40, 40, 3), disc(k, 34, 34, 9.6)),
			mirror(50, place(8, 44, 1.1, -8, pointer(k, g)...)...),
			place(24, 60, 0.66, 0, flame(k, g)...),
		)
	},
	// Fire emergency telephone.
	"F006": func(k, g Paint) []Shape { return join(handset(k), place(62, 14, 0.74, 0, flame(k, g)...)) },
	// Fire blanket.
	"F016": func(k, g Paint) []Shape {
		return join(
			group(box(k, 22, 12, 36, 12, 2), fill(k, "M24 26H56L60 66C52 60 46 70 38 64S26 68 20 64Z"), line(g, 2, "M32 32L30 58"), line(g, 2, "M46 32L48 58")),
			place(58, 50, 0.78, 0, flame(k, g)...),
		)
	},
}

// handset is a telephone receiver.
func handset(k Paint) []Shape {
	return group(
		line(k, 10, "M30 36C30 60 42 72 66 72"),
		fill(k, "M18 26C16 22 18 19 22 18L32 16C36 16 37 18 38 22L39 32C39 36 37 38 33 38L24 40C20 40 19 36 18 26Z"),
		fill(k, "M76 84C80 86 83 84 84 80L86 70C86 66 84 65 80 64L70 63C66 63 64 65 64 69L62 78C62 82 66 83 76 84Z"),
	)
}

// cross is a cross in a field 26 wide and high.
func cross(k Paint) []Shape {
	return group(fill(k, "M9 0H17V9H26V17H17V26H9V17H0V9H9Z"))
}

// turned turns a corner of a square sign upside down.
func turned(shapes []Shape) []Shape {
	return transform(shapes, 1, func(p Point) Point { return Point{p.X, 100 - p.Y} })
}
