package drawing

// entry is a line of the legend: a sign, drawn at a place 8 mm wide, and what
// it means.
type entry struct {
	text string
	draw func(s *sheet, at spot)
}

func stretch(class string) func(s *sheet, at spot) {
	return func(s *sheet, at spot) { s.line(at.plus(-4, 0), at.plus(4, 0), class) }
}

func held(hold string, class string) func(s *sheet, at spot) {
	return func(s *sheet, at spot) {
		s.line(at.plus(-4, 0), at.plus(4, 0), "bundle")
		s.hold(at, hold, false, class)
	}
}

func hatched(kind string) func(s *sheet, at spot) {
	return func(s *sheet, at spot) {
		s.element(`<g fill="url(#%s-%s)">`, s.id, kind)
		s.rect(boxAt(at, 8, 2.6), 0, "zone-"+kind)
		s.end()
	}
}

// signs of the schematic.
var signs = []entry{
	{"bundle in its conduit", stretch("bundle")},
	{"single tube, tail of a line", stretch("tail")},
	{"free span between two bodies", stretch("bundle free")},
	{"clip", held("clip", "stop")},
	{"tie", held("tie", "stop")},
	{"tie between two stations", func(s *sheet, at spot) {
		s.line(at.plus(-4, 0), at.plus(4, 0), "bundle")
		s.bar([]spot{at.plus(-4, 0), at.plus(4, 0)}, 0.5)
	}},
	{"grommet", held("grommet", "stop")},
	{"station not held", held("", "stop")},
	{"filled: lines leave here", held("clip", "full")},
	{"grease point with its reference", func(s *sheet, at spot) {
		s.line(at.plus(-3, 0.6), at.plus(1, -0.2), "leader")
		s.circle(at.plus(-3, 0.6), 0.75, "point")
		s.circle(at.plus(2.2, -0.3), 1.4, "balloon")
	}},
	{"pump", func(s *sheet, at spot) {
		s.circle(at, 1.5, "pump")
		s.path([]spot{at.plus(0, -1.5), at.plus(0.7, -0.3), at.plus(-0.7, -0.3)}, true, "solid")
	}},
	{"datum", func(s *sheet, at spot) { s.datum(at) }},
	{"range of a hinge, along its axis", func(s *sheet, at spot) {
		s.path([]spot{at.plus(-2.5, 0.6), at.plus(1.6, 1.2), at.plus(1.7, 0), at.plus(1.4, -1.2)}, true, "sector")
		s.circle(at.plus(-2.5, 0.6), 0.6, "joint")
	}},
	{"hinge, across its axis", func(s *sheet, at spot) {
		s.line(at.plus(-4, 0), at.plus(4, 0), "axis")
		s.circle(at, 0.8, "joint")
	}},
	{"travel of a slide or spring", func(s *sheet, at spot) {
		s.line(at.plus(-3, 0), at.plus(3, 0), "joint")
		s.arrow(at, at.plus(3, 0), 1.4, "joint-full")
		s.arrow(at, at.plus(-3, 0), 1.4, "joint-full")
	}},
	{"travel along the line of sight", func(s *sheet, at spot) {
		s.circle(at, 1, "joint")
		s.circle(at, 0.35, "joint-full")
	}},
	{"way of a station with its joint", func(s *sheet, at spot) {
		s.line(at.plus(-3.5, 0), at.plus(3.5, 0), "trace")
		s.circle(at.plus(-3.5, 0), 0.5, "extreme")
		s.circle(at.plus(3.5, 0), 0.5, "extreme")
	}},
	{"zone: heat", hatched("heat")},
	{"zone: wheel", hatched("wheel")},
	{"zone: moving part", hatched("moving")},
	{"zone: sharp edge", hatched("edge")},
	{"zone at the ends of its joint", stretch("swept")},
	{"outline of the vehicle", stretch("outline")},
	{"round what is fixed to a body", stretch("body")},
	{"wheel, centre line of wheels", func(s *sheet, at spot) {
		s.circle(at.plus(-2, 0), 1.4, "wheel")
		s.line(at, at.plus(4, 0), "centre")
	}},
	{"tubes of another sheet", stretch("beside")},
	{"frame of a detail", func(s *sheet, at spot) { s.rect(boxAt(at, 7, 2.6), 0.8, "detail") }},
}

const legendStep = 3.75 // from one line to the next [mm]

// legend explains the signs in columns.
func legend(s *sheet, room box, entries []entry, columns int) {
	w := room.width() / float64(columns)
	rows := (len(entries) + columns - 1) / columns
	for i, e := range entries {
		x := room.x0 + float64(i/rows)*w
		y := room.y0 + legendStep*(float64(i%rows)+0.5)
		e.draw(s, spot{x + 4.2, y})
		s.text(spot{x + 9.5, y + small*0.35}, start, small, "", fit(e.text, small, w-10, false))
	}
}
