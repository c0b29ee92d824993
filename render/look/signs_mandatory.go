package look

// Mandatory signs, white on a blue disc.
var mandatory = map[string]picture{
	// General mandatory action.
	"M001": func(k, _ Paint) []Shape {
		return group(fill(k, "M40 24C40 13 60 13 60 24L55.4 63C54.8 67.6 45.2 67.6 44.6 63Z"), disc(k, 50, 79, 7.4))
	},
	// Refer to instruction manual: an open book read by a person.
	"M002": func(k, g Paint) []Shape {
		return group(
			disc(k, 50, 25, 10.5),
			fill(k, "M50 38C64 38 72 44 74 56L50 66L26 56C28 44 36 38 50 38Z"),
			fill(g, "M16 52C28 48 42 51 50 57C58 51 72 48 84 52V84C72 80 58 82 50 88C42 82 28 80 16 84Z"),
			fill(k, "M19 55C30 52 41 54.6 48.4 60V83.6C41 78.6 30 76.6 19 79.6Z"),
			fill(k, "M81 55C70 52 59 54.6 51.6 60V83.6C59 78.6 70 76.6 81 79.6Z"),
			line(g, 2, "M25 61C32 59.6 38 61 43 64"), line(g, 2, "M25 67.6C32 66 38 67.4 43 70.4"),
			line(g, 2, "M75 61C68 59.6 62 61 57 64"), line(g, 2, "M75 67.6C68 66 62 67.4 57 70.4"),
		)
	},
	// Wear ear protection.
	"M003": func(k, g Paint) []Shape {
		return join(face(k), group(
			line(g, 9, "M30 44C28 22 40 13 50 13S72 22 70 44"), line(k, 5, "M30 42C28 22 40 13.6 50 13.6S72 22 70 42"),
			box(g, 22.6, 34, 15, 26, 6), box(g, 62.4, 34, 15, 26, 6), box(k, 24.4, 36, 11, 22, 5), box(k, 64.6, 36, 11, 22, 5),
		))
	},
	// Wear eye protection.
	"M004": func(k, g Paint) []Shape {
		return join(face(k), group(
			line(g, 5, "M31 39H69"),
			fill(g, "M33 34H48L50 37L52 34H67V43C67 49 63 51 59 51S52 48 50.6 44H49.4C48 48 45 51 41 51S33 49 33 43Z"),
		))
	},
	// Connect an earth terminal to the ground.
	"M005": func(k, _ Paint) []Shape {
		return group(
			line(k, 6, "M50 17V52"), line(k, 6, "M26 54H74"), line(k, 6, "M34 66H66"), line(k, 6, "M42 78H58"),
		)
	},
	// Disconnect mains plug from outlet.
	"M006": func(k, g Paint) []Shape {
		return group(
			fill(k, "M12 38H27C35 38 40 43 40 50S35 62 27 62H12Z"), line(k, 4.4, "M40 44H52"), line(k, 4.4, "M40 56H52"),
			line(k, 5, "M5 50H14"),
			box(k, 62, 32, 27, 36, 4), disc(g, 70, 44, 3), disc(g, 70, 56, 3),
			line(k, 4, "M43 74H26"), fill(k, "M17 74L28 67.6V80.4Z"), line(k, 4, "M57 74H70"), fill(k, "M79 74L68 67.6V80.4Z"),
		)
	},
	// Wear opaque eye protection.
	"M007": func(k, g Paint) []Shape {
		return join(face(k), group(
			line(g, 5, "M31 38H69"), disc(g, 41.6, 40, 9.4), disc(g, 58.4, 40, 9.4),
			ring(k, 1.6, 41.6, 40, 6.2), ring(k, 1.6, 58.4, 40, 6.2),
		))
	},
	// Wear safety footwear.
	"M008": func(k, g Paint) []Shape {
		boot := group(
			fill(k, "M8 0H27V20C27 25 33 28 41 31C46 33 48 36 48 41H8C6 41 5 40 5 38C5 28 8 20 8 0Z"), box(k, 5, 42.6, 43, 5.4, 2),
			line(g, 2, "M27.6 12H21"), line(g, 2, "M27.6 18H21"),
		)
		return join(place(14, 19, 0.92, 0, boot...), place(40, 38, 0.92, 0, group(fill(g, "M5 -3H30V19C30 23 36 26 43 28.6C49 31 51 35 51 41V51H2V38C2 28 5 20 5 -3Z"))...), place(40, 38, 0.92, 0, boot...))
	},
	// Wear protective gloves.
	"M009": func(k, g Paint) []Shape {
		glove := join(hand(k), group(box(g, 8, 46, 34, 2.4, 0), fill(k, "M10 48.6H37L40 62H7Z")))
		return join(place(9, 17, 0.94, -8, glove...), mirror(50, place(9, 26, 0.94, -8, glove...)...))
	},
	// Wear protective clothing.
	"M010": func(k, g Paint) []Shape {
		return group(
			disc(k, 50, 20, 8.4),
			fill(k, "M38 30H62C69 30 73 34 73.6 40L78 66L70 68L65 46V54H35V46L30 68L22 66L26.4 40C27 34 31 30 38 30Z"),
			fill(k, "M35 56H65L67 92H53.6L50 66L46.4 92H33Z"),
			line(g, 2, "M50 31V54"), line(g, 2, "M43 30L50 38L57 30"),
		)
	},
	// Wash your hands.
	"M011": func(k, g Paint) []Shape {
		return shrink(0.85, 50, 50, join(
			group(fill(k, "M20 20H54C62 20 66 25 66 32H55C55 30 54 29 52 29H20Z"), box(k, 32, 12, 6, 10, 0), box(k, 26, 11, 18, 4, 2)),
			place(60.5, 36, 0.9, 0, drop(k)...), place(57, 48, 0.8, 0, drop(k)...), place(64, 48, 0.8, 0, drop(k)...),
			place(10, 58, 1.3, 8, flatHand(k)...), mirror(50, place(9, 62, 1.34, 6, join(place(0, 0, 1.14, 0, flatHand(g)...), place(1.6, 1.2, 1, 0, flatHand(k)...))...)...),
		))
	},
	// Use handrail.
	"M012": func(k, _ Paint) []Shape {
		return group(
			disc(k, 43, 24, 6.6), line(k, 10, "M41 39L40 52"), line(k, 5.6, "M43 38L52 47L62 48"), line(k, 5.6, "M38 39L31 50"),
			line(k, 7, "M40 54L48 61L48 70"), line(k, 7, "M39 54L36 66L27 73"),
			line(k, 4, "M26 78H38V72H50V74H54V66H66V60H80"), line(k, 4.4, "M48 58L84 36"), line(k, 3.4, "M78 40V58"), line(k, 3.4, "M62 49V64"),
		)
	},
	// Wear a face shield.
	"M013": func(k, g Paint) []Shape {
		return join(profile(k), group(
			line(g, 8, "M80 36C70 30 54 28 34 31"), line(k, 4.4, "M79 35C70 30 54 28 33 31"),
			fill(g, "M37 26L22 30C19 42 19 58 24 74L40 70C37 56 36 40 37 26Z"), fill(k, "M34 29L24.6 31.6C22 43 22.4 58 26 70.6L36.4 68C33.6 56 33 42 34 29Z"),
			disc(g, 62, 31, 3.4),
		))
	},
	// Wear head protection.
	"M014": func(k, g Paint) []Shape {
		return join(profile(k), group(
			fill(g, "M22 42C22 20 38 8 56 8C74 8 86 20 86 40V46H20Z"),
			fill(k, "M27 37C28 21 40 12 56 12C71 12 81 22 81.6 37Z"), line(k, 5, "M20 40H82"),
			line(g, 2.4, "M50 14C46 20 45 28 45 36"),
		))
	},
	// Wear high-visibility clothing.
	"M015": func(k, g Paint) []Shape {
		return group(
			fill(k, "M34 22L42 18C46 24 54 24 58 18L66 22L70 44L68 82H32L30 44Z"),
			line(g, 4, "M40 20L42 56"), line(g, 4, "M60 20L58 56"), box(g, 28, 56, 44, 5, 0), box(g, 28, 68, 44, 5, 0),
			line(g, 1.6, "M50 24V82"),
			line(k, 3, "M18 30L10 26"), line(k, 3, "M16 46H7"), line(k, 3, "M18 62L10 66"),
			line(k, 3, "M82 30L90 26"), line(k, 3, "M84 46H93"), line(k, 3, "M82 62L90 66"),
		)
	},
	// Wear a mask.
	"M016": func(k, g Paint) []Shape {
		return join(face(k), group(
			line(g, 2.4, "M32 42L40 47"), line(g, 2.4, "M68 42L60 47"), line(g, 2.4, "M35 58L40 56"), line(g, 2.4, "M65 58L60 56"),
			fill(g, "M50 42C58 43 64 47 65 52C64 60 58 67 50 67S36 60 35 52C36 47 42 43 50 42Z"),
			fill(k, "M50 45C57 46 61 49 62 52.6C61 59 57 64 50 64S39 59 38 52.6C39 49 43 46 50 45Z"),
			line(g, 1.6, "M41 52H59"), line(g, 1.6, "M42 57H58"), disc(g, 44, 36, 2), disc(g, 56, 36, 2),
		))
	},
	// Wear respiratory protection.
	"M017": func(k, g Paint) []Shape {
		return join(face(k), group(
			fill(g, "M36 33H64C67 42 66 52 60 58H40C34 52 33 42 36 33Z"),
			box(k, 38.4, 36, 10.4, 8, 3), box(k, 51.2, 36, 10.4, 8, 3),
			disc(g, 50, 60, 11), disc(k, 50, 60, 7.6), ring(g, 1.6, 50, 60, 4),
			disc(g, 33, 62, 9), disc(k, 33, 62, 6), disc(g, 67, 62, 9), disc(k, 67, 62, 6),
			line(g, 2, "M30 62H36"), line(g, 2, "M64 62H70"),
		))
	},
	// Wear a safety harness.
	"M018": func(k, g Paint) []Shape {
		return group(
			disc(k, 46, 22, 8.4),
			fill(k, "M36 33H56C62 33 65 36 66 42L69 60L62 62L58 48V92H48V66H44V92H34V48L30 62L23 60L26 42C27 36 30 33 36 33Z"),
			line(g, 2.6, "M38 34L52 60"), line(g, 2.6, "M54 34L40 60"), line(g, 2.6, "M34 60H58"), line(g, 2.6, "M36 74H44"), line(g, 2.6, "M48 74H56"),
			line(k, 3, "M46 44C64 42 69 32 69 14"), box(k, 62, 9.4, 13, 6, 0), disc(g, 46, 46.6, 3),
		)
	},
	// Wear a welding mask.
	"M019": func(k, g Paint) []Shape {
		return join(face(k), group(
			fill(g, "M26 20H74V54C74 66 62 74 50 74S26 66 26 54Z"),
			fill(k, "M30 22C36 17 64 17 70 22V53C70 63 60 70 50 70S30 63 30 53Z"),
			box(g, 36, 34, 28, 12, 2),
		))
	},
	// Wear safety belts.
	"M020": func(k, g Paint) []Shape {
		return group(
			disc(k, 46, 24, 9),
			fill(k, "M33 36H58C62 36 64 38 64 42L62 66L80 72C84 74 82 81 77 80L50 74C42 72 34 74 32 66L29 42C29 38 30 36 33 36Z"),
			line(k, 6, "M22 36L28 78H46L52 92"),
			line(g, 4, "M36 36L60 66"), line(g, 3.4, "M34 67L60 66"),
		)
	},
	// Disconnect before maintenance or repair: a plug pulled, with a spanner.
	"M021": func(k, g Paint) []Shape {
		return join(
			group(
				box(k, 14, 24, 20, 26, 3), disc(g, 28, 32, 2.4), disc(g, 28, 42, 2.4),
				line(k, 3.4, "M42 32H51"), line(k, 3.4, "M42 42H51"), fill(k, "M51 26H58C65 26 69 30 69 37S65 48 58 48H51Z"),
				line(k, 4, "M69 37C80 37 84 42 84 50"),
			),
			place(30, 80, 1, -20, group(line(k, 8, "M0 0H30"), disc(k, 36, 0, 9.6), box(g, 36, -4, 12, 8, 0), disc(k, -4, 0, 7), disc(g, -4, 0, 3))...),
		)
	},
	// Use barrier cream.
	"M022": func(k, g Paint) []Shape {
		return join(
			place(14, 30, 1.05, 0, hand(k)...),
			group(fill(g, "M20 60C26 54 30 66 36 58S46 56 46 66S36 76 30 72S18 68 20 60Z"), fill(k, "M24 62C28 58 31 67 37 61S43 61 43 66S36 71 31 69S22 66 24 62Z")),
			place(72, 30, 1, 18, group(fill(k, "M-10 -12H10L7 24H-7Z"), box(k, -11.4, -16, 22.8, 4, 1), box(k, -4, 25.4, 8, 6, 1))...),
		)
	},
	// Use footbridge.
	"M023": func(k, _ Paint) []Shape {
		return join(
			place(39, 18, 0.58, 0, walker(k)...),
			group(line(k, 5, "M10 72H20L32 55H68L80 72H90"), line(k, 3, "M33 54V38H67V54"), line(k, 5, "M30 84H70")),
		)
	},
	// Use this walkway.
	"M024": func(k, _ Paint) []Shape {
		return join(place(33, 18, 1, 0, walker(k)...), group(line(k, 3.4, "M20 84H80"), line(k, 3.4, "M26 76L20 84"), line(k, 3.4, "M74 76L80 84")))
	},
	// Use protective apron.
	"M026": func(k, g Paint) []Shape {
		return group(
			disc(k, 50, 21, 8.6),
			fill(k, "M38 32H62C68 32 71 35 72 40L76 62L68 64L64 46V90H36V46L32 64L24 62L28 40C29 35 32 32 38 32Z"),
			fill(g, "M41 36H43L44 42H56L57 36H59L60 46L63.6 52V84H36.4V52L40 46Z"),
			fill(k, "M45 44.6H55L56.6 50L61 55V81.4H39V55L43.4 50Z"), line(g, 2, "M44 66H56"),
		)
	},
	// Use a guard.
	"M027": func(k, g Paint) []Shape {
		return join(
			place(50, 60, 1, 0, gear(k, g, 20, 10, 0)...),
			group(fill(g, "M22 60C22 40 34 28 50 28S78 40 78 60H66C66 48 60 40 50 40S34 48 34 60Z"),
				fill(k, "M25 58C25 41 36 31 50 31S75 41 75 58H69C69 45 61 37 50 37S31 45 31 58Z"), line(k, 4, "M22 84H78")),
			group(line(k, 4, "M50 14V22")), arrowHead(k, 50, 29, 8, 90),
		)
	},
	// Keep locked.
	"M028": func(k, g Paint) []Shape {
		return group(
			line(k, 8, "M35 48V36C35 26 41 20 50 20S65 26 65 36V48"), box(k, 26, 46, 48, 36, 4),
			disc(g, 50, 60, 5), fill(g, "M47.6 61H52.4L54 74H46Z"),
		)
	},
	// Sound horn.
	"M029": func(k, _ Paint) []Shape {
		return group(
			fill(k, "M18 42H30L62 26V74L30 58H18Z"), line(k, 5, "M71 40C75 46 75 54 71 60"), line(k, 5, "M80 32C87 44 87 56 80 68"), line(k, 6, "M27 58L32 74"),
		)
	},
	// Use litter bin.
	"M030": func(k, g Paint) []Shape {
		return join(
			place(14, 22, 0.98, 0, walker(k)...),
			group(fill(k, "M56 50H84L80 82H60Z"), line(g, 2, "M65 56L66.4 76"), line(g, 2, "M75 56L73.6 76"), line(g, 2, "M70 56V76"), box(k, 55, 30, 11, 11, 0)),
		)
	},
	// Secure gas cylinders.
	"M046": func(k, g Paint) []Shape {
		return join(
			place(26, 22, 1.1, 0, cylinder(k, g)...), place(54, 22, 1.1, 0, cylinder(k, g)...),
			group(line(g, 6, "M18 54H82"), line(k, 3, "M16 54H84"), ring(k, 2.4, 35.6, 54, 3), ring(k, 2.4, 50, 54, 3), ring(k, 2.4, 64.4, 54, 3), box(k, 80, 44, 6, 20, 0)),
		)
	},
}
