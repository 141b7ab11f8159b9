package fleet

import (
	"fmt"
	"math"
	"path"
	"slices"
	"strconv"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/quantities/environment"
)

// writer makes the document of a kit.
type writer struct {
	*fitter
	*service
	kit *Kit
}

func (w *writer) document(catalogue string) object {
	catalogues := list{catalogue}
	if w.service.pump.bench {
		catalogues = append(catalogues, path.Join(path.Dir(catalogue), benchCatalogue))
	}
	return object{
		{"header", w.header()},
		{"catalogues", catalogues},
		{"vehicle", w.aboutVehicle()},
		{"bodies", w.bodyList()},
		{"joints", w.jointList()},
		{"points", w.pointList()},
		{"pump", w.pumpFit()},
		{"lines", w.lineList()},
		{"bundles", w.bundleList()},
		{"zones", w.zoneList()},
		{"feed", w.feed()},
		{"documents", w.documents()},
		{"parts_list", w.partsList()},
		{"procedure", w.procedure()},
	}
}

func (w *writer) number() string { return fmt.Sprintf("WS-%05d", w.kit.Seed%100000) }

func (w *writer) revision() string { return string(rune('A' + w.kit.Seed%5)) }

func (w *writer) header() object {
	units := "metric"
	if w.inch {
		units = "inch"
	}
	people := []string{"I. Sandvik", "R. Okafor", "T. Hallgren", "M. Petrova"}
	drawn := int(w.kit.Seed % 4)
	h := object{
		{"number", w.number()}, {"revision", w.revision()},
		{"title", fmt.Sprintf("%s, %d points", w.description, w.kit.Points)},
		{"status", w.status}, {"units", units}, {"owner", "Nordhang Winter Services"},
		{"drawn_by", people[drawn]},
	}
	if w.status != "draft" {
		h = append(h, member{"checked_by", people[(drawn+1)%4]})
	}
	return append(h, member{"date", fmt.Sprintf("2026-%02d-%02d", 1+w.kit.Seed%12, 1+w.kit.Seed%28)})
}

func (w *writer) aboutVehicle() object {
	from, to := w.outline()
	return object{
		{"description", w.description}, {"datum", w.datum},
		{"outline", object{{"from", w.position(from)}, {"to", w.position(to)}}},
		{"ambient", object{{"from", w.temperature(w.coldest)}, {"to", w.temperature(w.warmth)}}},
		{"wash_down", w.washDown},
		{"hours_a_day", strconv.Itoa(w.hours) + " h"}, {"days_a_week", whole(w.days)},
		{"supply", "24 V"}, {"refill_interval", strconv.Itoa(w.weeks) + " wk"},
		{"raised_body", flag(w.raised())},
		{"greased_before", list{object{{"designation", "KP2K-30"}, {"thickener", w.thickener()}}}},
	}
}

// raised reports whether something has to be propped while the kit is fitted.
func (w *writer) raised() bool {
	return slices.ContainsFunc(w.joints, func(j *joint) bool { return j.role == "tipping" || j.role == "boom" })
}

// thickener draws one that may meet that of the pump's grease.
func (w *writer) thickener() string {
	now := catalogue().text("FG-G1", "thickener")
	var fit []string
	for _, t := range []string{"lithium", "lithium complex", "calcium", "lithium 12-hydroxystearate"} {
		if v, err := environment.Compatible(t, now); err == nil && v.Mix == environment.MixCompatible {
			fit = append(fit, t)
		}
	}
	return fit[w.rand.IntN(len(fit))]
}

// outline is a box round everything of the kit, with some room, and as wide
// as a road vehicle at least.
func (w *writer) outline() (from, to r3.Vec) {
	from, to = r3.Vec{X: w.vehicle.pump.X, Y: -1270}, r3.Vec{X: w.vehicle.pump.X, Y: 1270, Z: 2800}
	take := func(at r3.Vec) {
		from.X, to.X = min(from.X, at.X), max(to.X, at.X)
		from.Y, to.Y = min(from.Y, at.Y), max(to.Y, at.Y)
		to.Z = max(to.Z, at.Z)
	}
	for _, p := range w.points {
		take(p.at)
	}
	for _, z := range w.zones {
		take(z.from)
		take(z.to)
	}
	return w.at(from.X-400, from.Y, 0), w.at(to.X+400, to.Y, to.Z)
}

func (w *writer) bodyList() list {
	var out list
	for _, b := range w.bodies {
		out = append(out, object{{"id", b.id}, {"name", b.name}, {"sprung", flag(b.sprung)}})
	}
	return out
}

func (w *writer) jointList() list {
	var out list
	for _, j := range w.joints {
		o := object{{"id", j.id}, {"name", j.name}, {"role", j.role}}
		from, to := strconv.Itoa(int(j.from))+" deg", strconv.Itoa(int(j.to))+" deg"
		if j.slide {
			from, to = w.length(j.from), w.length(j.to)
			o = append(o, member{"kind", "prismatic"})
		} else {
			o = append(o, member{"kind", "revolute"})
		}
		o = append(o, member{"parent", j.parent.id}, member{"child", j.child.id})
		if !j.slide {
			o = append(o, member{"pivot", w.position(j.pivot)})
		}
		out = append(out, append(o,
			member{"axis", list{plainNumber(j.axis.X), plainNumber(j.axis.Y), plainNumber(j.axis.Z)}},
			member{"range", object{{"from", from}, {"to", to}}}))
	}
	return out
}

func plainNumber(v float64) bare { return bare(strconv.FormatFloat(v, 'f', -1, 64)) }

func (w *writer) pointList() list {
	var out list
	back := "5 bar"
	if w.inch {
		back = "75 psi"
	}
	for _, p := range w.points {
		access := "free"
		if p.tight {
			access = "tight"
		}
		o := object{
			{"id", p.id}, {"name", p.name}, {"body", p.body.id}, {"position", w.position(p.at)},
			{"thread", p.thread}, {"access", access}, {"nipple_removed", flag(true)},
		}
		o = append(o, p.bearing.member())
		o = append(o, member{"back_pressure", back})
		if p.celsius > 0 {
			o = append(o, member{"temperature", w.temperature(p.celsius)})
		}
		out = append(out, o)
	}
	return out
}

// member is what the kit file says of a bearing, or the demand in its place.
func (b bearing) member() member {
	if b.kind == "" {
		return member{"demand", demand(b.demand)}
	}
	o := object{{"kind", b.kind}, {"diameter", millimetres(b.diameter)}, {"width", millimetres(b.width)}}
	if b.interval != "" {
		o = append(o, member{"interval", b.interval})
	}
	return member{"bearing", o}
}

// demand writes mm3/h in the unit that kit files use.
func demand(mm3 int) string { return strconv.FormatFloat(float64(mm3)/1000, 'f', -1, 64) + " cm3/h" }

func millimetres(n int) string { return strconv.Itoa(n) + " mm" }

func (w *writer) pumpFit() object {
	at := w.vehicle.pump
	timer := object{{"pause", strconv.Itoa(w.pause) + " min"}}
	if w.byTime {
		timer = append(timer, member{"run", strconv.Itoa(w.strokes) + " min"}) // a stroke takes a minute
	} else {
		timer = append(timer, member{"strokes", whole(w.strokes)})
	}
	p := w.service.pump
	first := w.fill + w.priming*1.05 + 40
	return object{
		{"part", p.part}, {"body", w.chassis.id}, {"position", w.position(at)}, {"up", list{bare("0"), bare("0"), bare("1")}},
		{"filler", w.position(w.at(at.X, at.Y+w.pumpSide*100, at.Z-60))},
		{"filler_side", sideName(w.pumpSide)}, {"side_free", flag(true)},
		{"bolts", object{
			{"part", "FG-B8"}, {"count", whole(3)}, {"spacing", "180 mm"}, {"width", "160 mm"},
			{"overhang", millimetres(p.overhang)}, {"acceleration", "5 gn"}}},
		{"hole_pattern", "drilling template DT-" + strconv.Itoa(p.outlets)},
		{"timer", timer},
		{"fill", object{{"lower_mark", w.volume(p.lower)}, {"upper_mark", w.volume(p.upper)}, {"filled", w.volume(w.fill)}}},
		{"grease", "FG-G1"}, {"first_fill", w.volume(first)}, {"low_level_warns", flag(true)}, {"warning_volume", w.volume(p.lower * 1.4)},
		{"outlets", w.outletList()},
	}
}

func (w *writer) outletList() list {
	byNumber := map[int]*line{}
	for _, l := range w.lines {
		byNumber[l.outlet] = l
	}
	var out list
	for n := 1; n <= w.service.pump.outlets; n++ {
		o := object{{"number", whole(n)}}
		if l := byNumber[n]; l != nil {
			o = append(o, member{"element", l.element})
			if n%4 == 0 {
				o = append(o, member{"stroke_volume", catalogue().text(l.element, "stroke_volume")})
			}
		} else {
			o = append(o, member{"blanked", flag(true)})
		}
		out = append(out, o)
	}
	return out
}

func (w *writer) lineList() list {
	var out list
	for _, l := range w.lines {
		o := object{{"number", whole(l.number)}, {"outlet", whole(l.outlet)}, {"point", l.point.id}, {"tube", l.tube}}
		if l.bundle != nil {
			o = append(o, member{"bundle", l.bundle.id}, member{"leaves_at", l.bundle.route[l.leaves].id})
		} else {
			o = append(o, member{"single", flag(true)})
		}
		if len(l.tail) > 0 {
			o = append(o, member{"tail", w.stations(l.tail)})
		}
		if l.lastFree > 0 {
			o = append(o, member{"last_free_length", w.length(l.lastFree)})
		}
		marker := strconv.Itoa(l.number)
		out = append(out, append(o, member{"cut_length", w.piece(l.cut)},
			member{"pump_fitting", "FG-F4P"}, member{"point_fitting", fittingFor(l.point)},
			member{"pump_marker", marker}, member{"point_marker", marker}))
	}
	return out
}

func fittingFor(p *point) string {
	switch {
	case p.thread == "R 1/8":
		return "FG-F4R"
	case p.thread == "1/8-27 NPT":
		return "FG-F4N"
	case p.tight:
		return "FG-F4A"
	}
	return "FG-F4S"
}

func (w *writer) stations(route []station) list {
	var out list
	for _, s := range route {
		var o object
		if s.id != "" {
			o = append(o, member{"id", s.id})
		}
		o = append(o, member{"body", s.body.id}, member{"position", w.position(s.at)})
		if s.tie {
			o = append(o, member{"hold", "tie"}, member{"part", "FG-Y1"}, member{"tied_to", "frame"})
		} else {
			o = append(o, member{"hold", "clip"})
		}
		if s.passage {
			o = append(o, member{"passage", flag(true)}, member{"grommet", flag(true)})
		}
		if s.middleTie > 0 {
			o = append(o, member{"ties", list{object{{"at", w.length(s.middleTie)}}}})
		}
		if s.freeLength > 0 {
			o = append(o, member{"free_length", w.length(s.freeLength)})
		}
		if s.sagRoom > 0 {
			o = append(o, member{"sag_room", w.length(s.sagRoom)})
		}
		out = append(out, o)
	}
	return out
}

func (w *writer) bundleList() list {
	out := list{}
	for _, b := range w.bundles {
		o := object{{"id", b.id}, {"name", b.name}, {"conduit", b.conduit}}
		if b.pulled {
			o = append(o, member{"pulled", flag(true)})
		}
		out = append(out, append(o, member{"route", w.stations(b.route)}))
	}
	return out
}

func (w *writer) zoneList() list {
	out := list{}
	for _, z := range w.zones {
		o := object{{"id", z.id}, {"name", z.name}, {"kind", z.kind}}
		shape := "box"
		if z.radius > 0 {
			shape = "capsule"
		}
		o = append(o, member{"shape", shape}, member{"body", z.body.id}, member{"from", w.position(z.from)}, member{"to", w.position(z.to)})
		if z.radius > 0 {
			o = append(o, member{"radius", w.length(math.Max(z.radius, w.step()))})
		}
		if z.celsius > 0 {
			o = append(o, member{"shielded", flag(z.shielded)}, member{"temperature", w.temperature(z.celsius)})
		}
		out = append(out, o)
	}
	return out
}
