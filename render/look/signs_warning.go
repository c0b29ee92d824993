package look

// A picture draws a sign inside its frame: k is the colour of the figure, g
// the colour behind it.
type picture func(k, g Paint) []Shape

var pictures = merge(warnings, mandatory, prohibitions, safety)

func merge(tables ...map[string]picture) map[string]picture {
	all := map[string]picture{}
	for _, t := range tables {
		for code, p := range t {
			all[code] = p
		}
	}
	return all
}

// Warning signs. The field inside the border is a triangle with its tip at
// 50, 6 and its foot at y 82.
var warnings = map[string]picture{
	// General warning.
	"W001": func(k, _ Paint) []Shape { return exclamation(k) },
	// Explosive material: a burst.
	"W002": func(k, _ Paint) []Shape {
		return join(
			group(disc(k, 50, 63, 8)),
			around(50, 63, 10, 0, fill(k, "M-2.4 -11L0 -19L2.4 -11Z")),
			place(68, 48, 1, 20, box(k, -2.4, -2.4, 4.8, 4.8, 0)),
			place(31, 49, 1, 40, box(k, -2, -2, 4, 4, 0)),
			place(74, 68, 1, 10, box(k, -2, -2, 4, 4, 0)),
			place(25, 70, 1, 30, box(k, -2.2, -2.2, 4.4, 4.4, 0)),
			place(50, 36, 1, 30, box(k, -2, -2, 4, 4, 0)),
		)
	},
	// Radioactive material or ionizing radiation: the trefoil.
	"W003": func(k, g Paint) []Shape {
		blade := fill(k, "M-11 -19C-4.6 -22.6 4.6 -22.6 11 -19L3.4 -6C1.4 -7.2 -1.4 -7.2 -3.4 -6Z")
		return join(group(disc(k, 50, 58, 4.4)), around(50, 58, 3, 180, blade))
	},
	// Laser beam.
	"W004": func(k, _ Paint) []Shape {
		return join(
			group(line(k, 3.6, "M22 62H78"), disc(k, 42, 62, 5.4)),
			around(42, 62, 8, 0, line(k, 2.2, "M0 -8V-14")),
			around(42, 62, 8, 22.5, line(k, 1.6, "M0 -8V-11")),
		)
	},
	// Non-ionizing radiation: waves from an aerial.
	"W005": func(k, _ Paint) []Shape {
		side := group(arc(k, 3.4, 50, 50, 9, -50, 50), arc(k, 3.4, 50, 50, 16, -50, 50))
		return join(group(disc(k, 50, 50, 4), fill(k, "M48 52H52L56 76H44Z")), side, mirror(50, side...))
	},
	// Magnetic field: a horseshoe magnet.
	"W006": func(k, g Paint) []Shape {
		return group(
			arc(k, 9, 50, 60, 13, 0, 180), line(k, 9, "M37 60V50"), line(k, 9, "M63 60V50"),
			box(k, 32.5, 42, 9, 8, 0), box(k, 58.5, 42, 9, 8, 0), box(g, 32, 50.6, 10, 2, 0), box(g, 58, 50.6, 10, 2, 0),
			line(k, 2.4, "M37 39V34"), line(k, 2.4, "M63 39V36"), line(k, 2.4, "M46 38L48 32"), line(k, 2.4, "M54 38L52 32"),
		)
	},
	// Floor-level obstacle: a person stumbling.
	"W007": func(k, _ Paint) []Shape {
		return group(
			box(k, 22, 75, 56, 3.6, 0), box(k, 56, 67, 12, 9, 0),
			disc(k, 61, 35, 4.6), line(k, 7, "M54 44L45 54"), line(k, 4, "M56 43L66 48"), line(k, 4, "M53 43L46 41L40 46"),
			line(k, 5, "M45 55L54 62L52 70"), line(k, 5, "M44 55L37 62L29 66"),
		)
	},
	// Drop: a person falling over an edge.
	"W008": func(k, _ Paint) []Shape {
		return shrink(0.88, 50, 72, group(
			fill(k, "M18 60H42V79H18Z"), box(k, 42, 75, 40, 4, 0),
			disc(k, 60, 36, 4.6), line(k, 7, "M55 44L49 53"), line(k, 4, "M57 43L66 42L70 37"), line(k, 4, "M54 43L46 43L42 38"),
			line(k, 5, "M49 54L58 57L60 64"), line(k, 5, "M48 54L44 58"),
		))
	},
	// Biological hazard.
	"W009": func(k, g Paint) []Shape {
		return join(
			around(50, 60, 3, 0, ring(k, 4, 0, -11.6, 9.4), line(g, 4.6, "M0 -24V-18")),
			group(ring(k, 2.8, 50, 60, 9.6), disc(g, 50, 60, 4), ring(k, 2.6, 50, 60, 4.4)),
			around(50, 60, 3, 180, line(g, 1.6, "M0 -5V-8.4")),
		)
	},
	// Low temperature: a snow crystal.
	"W010": func(k, _ Paint) []Shape {
		return around(50, 58, 6, 0, line(k, 3.4, "M0 0V-22"), line(k, 3, "M-6 -19L0 -13L6 -19"), line(k, 2.6, "M-3.6 -10L0 -6.6L3.6 -10"))
	},
	// Slippery surface: a person losing footing.
	"W011": func(k, _ Paint) []Shape {
		return group(
			disc(k, 45, 34, 4.6), line(k, 7, "M46 43L51 55"), line(k, 4, "M47 42L57 41L62 35"), line(k, 4, "M45 43L37 48L33 43"),
			line(k, 5, "M51 56L60 60L70 66"), line(k, 5, "M50 56L45 63L37 69"),
			line(k, 3, "M28 76C33 72 37 72 42 76S51 80 56 76S65 72 72 76"),
		)
	},
	// Electricity.
	"W012": func(k, _ Paint) []Shape { return place(39, 25, 1, 0, bolt(k)...) },
	// Fork-lift trucks and other industrial vehicles.
	"W014": func(k, g Paint) []Shape { return place(26, 38, 0.84, 0, truck(k, g)...) },
	// Overhead load: a load on a hook.
	"W015": func(k, _ Paint) []Shape {
		return group(
			line(k, 3, "M50 27V36"), arc(k, 3.4, 50, 41, 5, -90, 150),
			line(k, 2.6, "M50 44L33 58"), line(k, 2.6, "M50 44L67 58"), box(k, 29, 57, 42, 17, 1),
		)
	},
	// Toxic material: skull and crossed bones.
	"W016": func(k, g Paint) []Shape {
		return group(
			line(k, 4, "M32 63L68 78"), line(k, 4, "M68 63L32 78"),
			disc(k, 31, 61.6, 3), disc(k, 33.4, 64.6, 2.6), disc(k, 69, 61.6, 3), disc(k, 66.6, 64.6, 2.6),
			disc(k, 31, 77.4, 2.6), disc(k, 69, 77.4, 2.6),
			fill(g, "M50 31C62 31 66 39 65 48C64.6 54 62 56 60 58V67H40V58C38 56 35.4 54 35 48C34 39 38 31 50 31Z"),
			fill(k, "M50 33C60 33 63.6 40 63 47C62.6 52 60 54 58 55.6V63C58 64.4 57 65 55.6 65H44.4C43 65 42 64.4 42 63V55.6C40 54 37.4 52 37 47C36.4 40 40 33 50 33Z"),
			disc(g, 44.4, 47.6, 3.6), disc(g, 55.6, 47.6, 3.6), fill(g, "M50 52L52.4 57H47.6Z"),
			line(g, 1.2, "M47 60V65"), line(g, 1.2, "M50 60V65"), line(g, 1.2, "M53 60V65"),
		)
	},
	// Hot surface: heat rising from a plate.
	"W017": func(k, _ Paint) []Shape {
		wave := line(k, 4, "M0 0C-5 -5 5 -10 0 -15S4 -24 0 -28")
		return join(
			group(box(k, 24, 71, 52, 6, 0)),
			place(38, 67, 0.86, 0, wave), place(50, 67, 1.1, 0, wave), place(62, 67, 0.86, 0, wave),
		)
	},
	// Automatic start-up: a wheel that turns by itself.
	"W018": func(k, g Paint) []Shape {
		return join(
			place(50, 61, 1, 0, gear(k, g, 13, 8, 0)...),
			group(arc(k, 3, 50, 61, 18.6, 170, 262), arc(k, 3, 50, 61, 18.6, 278, 370)),
			arrowHead(k, 51, 42.6, 7, 0), arrowHead(k, 68, 67, 7, 95),
		)
	},
	// Crushing: a person between two walls.
	"W019": func(k, _ Paint) []Shape {
		return join(
			place(42.5, 41, 0.58, 0, stander(k)...),
			group(box(k, 63, 42, 5, 35, 0), box(k, 32, 42, 5, 35, 0)),
			group(line(k, 3, "M20 66H27"), line(k, 3, "M80 66H73")),
			arrowHead(k, 30.6, 66, 6, 0), arrowHead(k, 69.4, 66, 6, 180),
		)
	},
	// Overhead obstacle: a person hitting a beam.
	"W020": func(k, _ Paint) []Shape {
		return join(
			place(37, 43, 0.6, 0, walker(k)...),
			group(fill(k, "M52 34H66L70 44H54Z")),
			group(line(k, 2, "M51 40L47 36"), line(k, 2, "M53 48L57 52")),
		)
	},
	// Flammable material.
	"W021": func(k, g Paint) []Shape {
		return join(place(34, 26, 0.9, 0, flame(k, g)...), group(box(k, 30, 71, 40, 4.6, 0)))
	},
	// Sharp element: a point that pricks a hand.
	"W022": func(k, g Paint) []Shape {
		return join(
			place(24, 59, 1, 0, flatHand(k)...),
			group(fill(k, "M56 29L64 31.6L52.6 59Z"), fill(g, "M52 60.4L50 67.4L56 66Z")),
			group(line(k, 2, "M46 52L43 47"), line(k, 2, "M44 57L38 55")),
		)
	},
	// Corrosive substance: drops that eat a bar and a hand.
	"W023": func(k, g Paint) []Shape {
		return shrink(0.9, 50, 74, join(
			place(35, 39, 0.9, 62, group(box(k, -3.6, -13, 7.2, 18, 1.6), box(k, -4.6, 3, 9.2, 2.4, 0))...),
			place(65, 39, 0.9, -62, group(box(k, -3.6, -13, 7.2, 18, 1.6), box(k, -4.6, 3, 9.2, 2.4, 0))...),
			place(40, 47, 0.8, 0, drop(k)...), place(40, 57, 0.8, 0, drop(k)...),
			place(60, 47, 0.8, 0, drop(k)...), place(60, 57, 0.8, 0, drop(k)...),
			group(fill(k, "M24 69H37C37 72 43 72 43 69H48V77H24Z")),
			place(51, 67, 0.62, 0, flatHand(k)...),
			group(disc(g, 60, 67.6, 2.4)),
		))
	},
	// Crushing of hands: a hand between two jaws.
	"W024": func(k, _ Paint) []Shape {
		return join(
			group(box(k, 44, 30, 14, 26, 0), box(k, 38, 75, 38, 4, 0), line(k, 3, "M65 42V47"), line(k, 3, "M37 44V47")),
			arrowHead(k, 65, 54, 7.4, 90), arrowHead(k, 37, 54, 7.4, 90),
			place(22, 58, 0.92, 0, flatHand(k)...),
		)
	},
	// Counterrotating rollers.
	"W025": func(k, g Paint) []Shape {
		return shrink(0.93, 52, 66, join(
			group(disc(k, 58, 45, 9.4), disc(g, 58, 45, 2.4), disc(k, 58, 68, 9.4), disc(g, 58, 68, 2.4)),
			group(arc(k, 2.4, 58, 45, 13, 200, 290), arc(k, 2.4, 58, 68, 13, 70, 160)),
			arrowHead(k, 44.4, 44, 6.4, 105), arrowHead(k, 44.4, 69, 6.4, 255),
			place(22, 50.4, 0.72, 0, flatHand(k)...),
		))
	},
	// Battery charging.
	"W026": func(k, g Paint) []Shape {
		return group(
			box(k, 29, 50, 42, 26, 1.4), box(k, 34, 45, 9, 6, 0), box(k, 57, 45, 9, 6, 0),
			line(g, 3, "M35 63H44"), line(g, 3, "M56 63H65"), line(g, 3, "M60.5 58.5V67.5"),
			line(k, 2, "M46 33L50 38L47 40L51 44"),
		)
	},
	// Optical radiation: rays from a lamp.
	"W027": func(k, _ Paint) []Shape {
		return join(group(disc(k, 50, 60, 7)), around(50, 60, 12, 0, line(k, 2.6, "M0 -11V-18")))
	},
	// Oxidizing substance: a flame over a ring.
	"W028": func(k, g Paint) []Shape {
		return join(group(ring(k, 4.4, 50, 66, 9.6), box(k, 34, 77.4, 32, 2.6, 0)), place(38, 29, 0.66, 0, flame(k, g)...))
	},
	// Pressurized cylinder.
	"W029": func(k, g Paint) []Shape {
		return join(
			place(52, 35, 0.84, 33, cylinder(k, g)...),
			group(line(k, 2.2, "M61.6 44L66 47"), line(k, 2.2, "M63.4 39.6L67 40"), line(k, 2.2, "M58 36L59.4 32")),
		)
	},
	// Hand crushing between press-brake tool and bed.
	"W030": func(k, _ Paint) []Shape {
		return shrink(0.86, 52, 76, join(
			group(fill(k, "M43 31H57V46L50 56L43 46Z"), fill(k, "M34 66H44L50 73L56 66H66V79H34Z")),
			place(14, 57, 0.86, 0, flatHand(k)...),
			group(line(k, 3, "M65 40V49")), arrowHead(k, 65, 56, 7, 90),
		))
	},
	// Hand crushing between press brake and material.
	"W031": func(k, _ Paint) []Shape {
		return shrink(0.88, 50, 78, join(
			group(fill(k, "M46 30H58V44L52 52L46 44Z"), line(k, 3, "M22 73L52 62L78 50"), fill(k, "M36 70H46L52 76L58 70H68V79H36Z")),
			place(80, 53, 0.56, -22, mirror(0, flatHand(k)...)...),
		))
	},
	// Barbed wire.
	"W033": func(k, _ Paint) []Shape {
		return group(
			line(k, 2.6, "M24 60C32 54 40 66 50 60S68 54 76 60"), line(k, 2.6, "M24 70C32 64 40 76 50 70S68 64 76 70"),
			line(k, 2.4, "M35 50L39 66"), line(k, 2.4, "M39 50L35 66"), line(k, 2.4, "M59 52L63 68"), line(k, 2.4, "M63 52L59 68"),
			line(k, 2.4, "M47 64L51 78"), line(k, 2.4, "M51 64L47 78"),
		)
	},
	// Falling objects.
	"W035": func(k, _ Paint) []Shape {
		return join(
			place(29, 45, 0.56, 0, stander(k)...),
			place(50, 33, 1, 25, box(k, -4.4, -4.4, 8.8, 8.8, 0)), place(60, 49, 1, 50, box(k, -5, -5, 10, 10, 0)),
			place(64, 69, 1, 12, box(k, -6, -6, 12, 12, 0)),
			group(line(k, 2, "M56 37V41"), line(k, 2, "M50 43V47"), line(k, 2, "M60 58V61"), line(k, 2, "M68 56V60")),
		)
	},
	// Fragile roof.
	"W036": func(k, _ Paint) []Shape {
		return shrink(0.9, 50, 70, group(
			line(k, 4, "M18 60H42"), line(k, 4, "M62 60H82"), line(k, 3, "M42 60L45 68"), line(k, 3, "M62 60L59 68"),
			disc(k, 52, 38, 4.6), line(k, 7, "M52 47V58"), line(k, 4, "M53 46L63 43L66 37"), line(k, 4, "M51 46L42 43L38 37"),
			line(k, 5, "M51 59L48 68L50 76"), line(k, 5, "M53 59L57 67"),
		))
	},
	// Sudden loud noise: an ear and waves.
	"W038": func(k, g Paint) []Shape {
		return group(
			fill(k, "M36 56L46 56L57 46V76L46 66H36Z"),
			line(k, 3.4, "M63 55C65.6 59 65.6 63 63 67"), line(k, 3.4, "M69 50C74 57 74 65 69 72"),
			line(k, 2.6, "M52 38L55 31"), line(k, 2.6, "M45 43L40 38"), line(k, 2.6, "M59 42L64 38"),
		)
	},
	// Asphyxiating atmosphere: a person lying under a cloud.
	"W041": func(k, _ Paint) []Shape {
		return group(
			fill(k, "M34 58C28 58 28 50 34 49C34 42 43 39 47 44C51 37 62 39 62 46C69 45 72 56 64 58Z"),
			disc(k, 28, 71, 4.4), line(k, 6.4, "M38 72H52"), line(k, 4.4, "M54 72L62 69L72 74"), line(k, 3.6, "M38 71L44 66"),
		)
	},
	// Arc flash.
	"W042": func(k, g Paint) []Shape {
		return join(
			around(50, 60, 12, 15, fill(k, "M-3 -10L0 -20L3 -10Z")),
			group(disc(k, 50, 60, 13)),
			place(43.4, 46, 0.56, 0, bolt(g)...),
		)
	},
	// Hot content: a vessel with something hot in it.
	"W079": func(k, g Paint) []Shape {
		wave := line(k, 3.4, "M0 0C-4 -4 4 -8 0 -12S3 -19 0 -22")
		return join(
			group(fill(k, "M31 58H69V72C69 76 67 78 63 78H37C33 78 31 76 31 72Z"), line(k, 3.6, "M27 58H73"),
				line(g, 2.4, "M35.5 64C39 60.6 42 67 46 64S53 61 57 64S62 66.4 64.5 64")),
			place(42, 53, 0.86, 0, wave), place(50, 53, 1, 0, wave), place(58, 53, 0.86, 0, wave),
		)
	},
	// Hot steam: a jet from a pipe.
	"W080": func(k, g Paint) []Shape {
		return join(
			group(box(k, 18, 64, 15, 10, 0), box(k, 32, 61.6, 5, 15, 0),
				fill(k, "M40 66C44 58 50 62 51 57C57 50 65 54 65 59C72 57 77 63 74 68C77 74 71 79 66 77C61 81 53 79 52 75C46 78 42 73 40 72Z"),
				arc(g, 2, 58, 60, 4.4, 150, 360), arc(g, 2, 66, 68, 4.6, -60, 130), arc(g, 2, 54, 70, 4, 60, 260)),
			place(44, 53, 0.6, 0, line(k, 5, "M0 0C-5 -5 5 -10 0 -15S4 -24 0 -28")),
			place(54, 48, 0.56, 0, line(k, 5.4, "M0 0C-5 -5 5 -10 0 -15S4 -24 0 -28")),
		)
	},
}
