package drawing

import (
	"fmt"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/facts"
	"kitgauge/checker/kit"
	"kitgauge/checker/units"
)

// pane is a part of the vehicle that is drawn in both views: some routes in
// full with their names, and faintly what lies round them.
type pane struct {
	scene  *scene
	marks  *marks
	region space
	routes map[int]bool
	points []int    // that are named here
	groups []*group // that are enlarged elsewhere: framed
	detail bool     // a detail itself
	lines  map[*kit.Line]bool
}

// bundlePane shows a bundle, or the lines that are in none.
func (s *scene) bundlePane(routes []int, m *marks) *pane {
	p := s.newPane(routes, m)
	p.region = nowhere()
	for _, i := range routes {
		for j := range s.routes[i].Stops {
			if at, ok := s.place(s.routes[i].Stops[j].Position); ok {
				p.region.take(at)
			}
		}
	}
	framed := map[*group]bool{}
	for i := range s.points {
		if !p.leads(i) {
			continue
		}
		if g := s.groupOf(i); g == nil {
			p.points = append(p.points, i)
		} else if !framed[g] {
			framed[g] = true
			p.groups = append(p.groups, g)
			p.region = p.region.with(g.box)
		}
	}
	if p.region.empty() {
		p.region.take(r3.Vec{})
	}
	p.region = p.region.grown(roundIt)
	return p
}

// leads reports whether one of the routes leads to a point.
func (p *pane) leads(point int) bool {
	for _, r := range p.scene.points[point].routes {
		if p.routes[r] {
			return true
		}
	}
	return false
}

// detailPane shows a cluster.
func (s *scene) detailPane(g *group, m *marks) *pane {
	p := s.newPane(g.routes, m)
	p.region, p.points, p.detail = g.box, g.points, true
	return p
}

func (s *scene) newPane(routes []int, m *marks) *pane {
	p := &pane{scene: s, marks: m, routes: map[int]bool{}, lines: map[*kit.Line]bool{}}
	for _, i := range routes {
		p.routes[i] = true
		if l := s.routes[i].Line; l != nil {
			p.lines[l] = true
		}
	}
	return p
}

// placed is a pane with its two views on the sheet.
type placed struct {
	pane  *pane
	scale float64
	views [2]view // from above, from the side
	rooms [2]box
}

// Room on the sheet that a view needs besides what is drawn [mm].
const (
	paneSide  = 13.0 // left and right, for labels
	paneOver  = 7.0  // above and below
	paneTitle = 4.2
)

// fit puts the views one below the other, or beside each other, whichever lets
// them be larger, at the largest of the scales that has room; ok is false
// where none has.
func (p *pane) fit(room box, among []float64) (out placed, ok bool) {
	size := r3.Sub(p.region.to, p.region.from)
	for _, scale := range among {
		k := 1000 / scale
		w, high := size.X*k, [2]float64{size.Y * k, size.Z * k}
		if w+2*paneSide <= room.width() && high[0]+high[1]+4*paneOver+2*paneTitle <= room.height() {
			spare := (room.height() - high[0] - high[1]) / 2
			cut := room.y0 + high[0] + spare
			return p.set(scale, box{room.x0, room.y0, room.x1, cut}, box{room.x0, cut, room.x1, room.y1}), true
		}
		if 2*(w+2*paneSide) <= room.width() && max(high[0], high[1])+2*paneOver+paneTitle <= room.height() {
			cut := room.centre().x
			return p.set(scale, box{room.x0, room.y0, cut, room.y1}, box{cut, room.y0, room.x1, room.y1}), true
		}
	}
	return placed{}, false
}

// set puts the views into the middle of their rooms.
func (p *pane) set(scale float64, above, beside box) placed {
	out := placed{pane: p, scale: scale, rooms: [2]box{above, beside}}
	k := 1000 / scale
	middle := r3.Scale(0.5, r3.Add(p.region.from, p.region.to))
	for i := range out.views {
		room := out.rooms[i]
		room.y0 += paneTitle
		up := middle.Y
		if i == 1 {
			up = middle.Z
		}
		c := room.centre()
		v := &out.views[i]
		*v = view{side: i == 1, scale: k, datum: spot{fine(c.x - middle.X*k), fine(c.y + up*k)}}
		a, b := v.at(p.region.from), v.at(p.region.to)
		v.area = box{a.x, b.y, b.x, a.y}.grown(paneOver - 1)
	}
	return out
}

// draw draws both views and returns what has no room in either.
func (p *placed) draw(s *sheet) []*label {
	var left []*label
	names := [2]string{"Top view", "Side view"}
	for i := range p.views {
		v, room := &p.views[i], p.rooms[i]
		title := names[i] + ", " + ratio(p.scale)
		s.text(spot{room.x0 + 1.5, room.y0 + 3}, start, small, "faint", title)
		t := &painter{s: s, scene: p.pane.scene, v: v, marks: p.pane.marks, pane: p.pane, room: &placer{quick: p.pane.scene.quick(), within: room.grown(-0.4)}}
		t.room.taken = append(t.room.taken, textBox(spot{room.x0 + 1.5, room.y0 + 3}, start, small, title, false))
		s.open(map[bool]string{true: "side", false: "top"}[v.side] + "-part")
		s.clipped(v.area, t.paintPane)
		labels := t.paneLabels(i == 0, left)
		left = t.room.arrange(s, labels)
		s.end()
	}
	return left
}

// paintPane draws what is to scale.
func (p *painter) paintPane() {
	p.outline()
	p.vehicle()
	for i := range p.scene.zones {
		p.zone(&p.scene.zones[i])
	}
	for i := range p.scene.joints {
		if p.pane.region.has(p.scene.joints[i].at) {
			p.traces(&p.scene.joints[i])
		}
	}
	p.routes()
	for i := range p.scene.joints {
		if p.pane.region.has(p.scene.joints[i].at) {
			p.joint(&p.scene.joints[i])
		}
	}
	for i := range p.scene.routes {
		if p.pane.routes[i] {
			p.stops(&p.scene.routes[i])
		}
	}
	if p.scene.pump != nil && p.pane.region.has(*p.scene.pump) {
		p.pump()
	}
	for i := range p.scene.points {
		if p.pane.leads(i) || p.pane.detail && p.pane.region.has(p.scene.points[i].at) {
			p.s.circle(p.v.at(p.scene.points[i].at), 0.75, "point")
			p.room.dots = append(p.room.dots, p.v.at(p.scene.points[i].at))
		}
	}
	for _, g := range p.pane.groups {
		p.frame(g)
	}
}

// frame draws the frame of what is enlarged elsewhere (ISO 128-3: a continuous
// narrow line, and a capital letter; from memory).
func (p *painter) frame(g *group) box {
	a, b := p.v.at(g.box.from), p.v.at(g.box.to)
	f := box{a.x, b.y, b.x, a.y}
	p.s.enlarging(g, func() {
		if p.s.enlarged != nil {
			p.s.rect(f, 0.8, "reach")
		}
		p.s.rect(f, 0.8, "detail")
	})
	p.room.strokes = append(p.room.strokes, strokesOf([]spot{{f.x0, f.y0}, {f.x1, f.y0}, {f.x1, f.y1}, {f.x0, f.y1}, {f.x0, f.y0}})...)
	return f
}

// paneLabels lists what is written into one view: in the first everything, in
// the second what had no room in the first, and what helps.
func (p *painter) paneLabels(first bool, left []*label) []*label {
	var out []*label
	missing := map[string]bool{}
	for _, l := range left {
		missing[l.name] = true
	}
	add := func(l *label, name string) {
		if l == nil {
			return
		}
		l.name = name
		l.optional = !first && !missing[name]
		if l.optional && p.scene.quick() {
			return
		}
		if l.optional {
			l.to = min(l.to, 9)
		}
		out = append(out, l)
	}
	p.markLabels(add)
	p.breakLabels(add)
	p.pointLabels(add)
	for _, g := range p.pane.groups {
		add(p.groupLabel(g, false), "detail "+g.letter)
	}
	if p.scene.pump != nil && p.pane.region.has(*p.scene.pump) {
		add(p.pumpLabel(), "the pump")
	}
	p.lineLabels(add)
	p.lengthLabels(add)
	p.jointLabels(add)
	p.zoneLabels(add)
	p.stationLabels(add)
	return out
}

type adder func(l *label, name string)

func (p *painter) inside(at r3.Vec) bool { return p.pane == nil || p.pane.region.has(at) }

// markLabels are the marks of findings about what is shown.
func (p *painter) markLabels(add adder) {
	for i := range p.marks.list {
		m := &p.marks.list[i]
		if p.pane != nil && !p.pane.shows(m) {
			continue
		}
		add(p.mark(m), "mark "+itoa(m.number))
	}
}

// shows reports whether a mark is at a stop of the routes that are shown.
func (p *pane) shows(m *mark) bool {
	if !p.region.has(m.at) {
		return false
	}
	for i := range p.scene.routes {
		if !p.routes[i] {
			continue
		}
		for j := range p.scene.routes[i].Stops {
			if p.scene.routes[i].Stops[j].Position.Vec() == m.at {
				return true
			}
		}
	}
	return false
}

// breakLabels name the stations at which lines leave a bundle, with the lines.
func (p *painter) breakLabels(add adder) {
	p.eachStation(func(r *facts.Route, stop *facts.Stop, at spot) {
		if len(stop.Leaving) == 0 {
			return
		}
		rows := []string{p.scene.stationName(r, stop) + " → " + ranges(stop.Leaving)}
		if width(rows[0], small, false) > 30 {
			rows = append([]string{p.scene.stationName(r, stop) + " →"}, wrap(ranges(stop.Leaving), small, 30, false, 9)...)
		}
		add(written(at, rows, "", "halo", 0.9, 60), p.scene.stationName(r, stop))
	})
}

// stationLabels name the other stations of the bundles.
func (p *painter) stationLabels(add adder) {
	p.eachStation(func(r *facts.Route, stop *facts.Stop, at spot) {
		if len(stop.Leaving) > 0 || r.Bundle == nil && !stop.Station.ID.Known {
			return
		}
		l := written(at, []string{p.scene.stationName(r, stop)}, "", "faint halo", 0.9, 26)
		add(l, p.scene.stationName(r, stop))
		if p.pane != nil && !p.pane.detail && p.pane.framed(stop.Position.Vec()) {
			l.optional = true
		}
	})
}

// eachStation calls f for the stations of the routes that are shown.
func (p *painter) eachStation(f func(r *facts.Route, stop *facts.Stop, at spot)) {
	for i := range p.scene.routes {
		r := &p.scene.routes[i]
		if p.pane != nil && !p.pane.routes[i] {
			continue
		}
		for j := range r.Stops {
			stop := &r.Stops[j]
			at, known := p.stop(stop)
			if known && stop.Station != nil && (r.Bundle != nil || j > 0) && p.inside(stop.Position.Vec()) {
				f(r, stop, at)
			}
		}
	}
}

// framed reports whether a place is in a frame, and so named in a detail.
func (p *pane) framed(at r3.Vec) bool {
	for _, g := range p.groups {
		if g.box.has(at) {
			return true
		}
	}
	return false
}

// stationName is what a station is called.
func (s *scene) stationName(r *facts.Route, stop *facts.Stop) string {
	if stop.Station != nil && stop.Station.ID.Known {
		return stop.Station.ID.V
	}
	if r.Line != nil {
		return "line " + r.Line.Short() + ", " + stop.Name
	}
	return stop.Name
}

// pointLabels are balloons with the numbers of the lines.
func (p *painter) pointLabels(add adder) {
	for _, i := range p.pane.points {
		m := &p.scene.points[i]
		add(balloonLabel(p.v.at(m.at), reference{m.ref, !m.lined}), "point "+m.point.ID.Or(m.name))
	}
}

// balloonLabel is a reference beside its point (in the manner of ISO 6433).
func balloonLabel(at spot, ref reference) *label {
	return &label{at: at, w: ref.width(), h: balloonSize, from: 1.4, to: 60, apart: 0, leader: "reference", draw: func(s *sheet, b box) { ref.draw(s, b) }}
}

// groupLabel is the letter of a detail, in the overview with the references
// of its points.
func (p *painter) groupLabel(g *group, refs bool) *label {
	a, b := p.v.at(g.box.from), p.v.at(g.box.to)
	f := box{a.x, b.y, b.x, a.y}
	var rows []string
	if refs {
		rows = wrap(ranges(p.scene.refs(g)), small, 34, false, 99)
	}
	if g.sheet > 0 {
		rows = append(rows, "sheet "+itoa(g.sheet))
	}
	w := 0.0
	for _, r := range rows {
		w = max(w, width(r, small, false))
	}
	key := width(g.letter, plain, true) + 1.4
	const row = small * 1.22
	l := &label{at: f.centre(), w: key + w + 1, h: max(row*float64(len(rows)), plain*1.2), from: min(f.width(), f.height())/2 + 0.5, to: 70, apart: 0, leader: "leader", round: f}
	l.draw = func(s *sheet, b box) {
		s.enlarging(g, func() {
			s.rect(b, 0.6, "tag-detail")
			s.text(spot{b.x0 + 0.7, b.centre().y + plain*0.35}, start, plain, "bold", g.letter)
			top := b.centre().y - row*float64(len(rows))/2
			for i, r := range rows {
				s.text(spot{b.x0 + key + 0.2, top + row*(float64(i)+0.5) + small*0.35}, start, small, "", r)
			}
		})
	}
	return l
}

// pumpLabel names the pump, with the outlets of the lines that are shown.
func (p *painter) pumpLabel() *label {
	k := p.scene.kit
	rows := []string{strings.TrimSpace("pump " + k.Kit.Pump.Part.ID.Or(""))}
	var outlets []string
	for _, l := range k.Lines {
		if l.Outlet.Known && (p.pane == nil || p.pane.serves(l)) {
			outlets = append(outlets, fmt.Sprint(l.Outlet.V))
		}
	}
	if len(outlets) > 0 {
		rows = append(rows, wrap("outlets "+ranges(outlets), small, 46, false, 99)...)
	}
	return written(p.v.at(*p.scene.pump), rows, "tag", "", 3.2, 70)
}

// serves reports whether a line is among the routes.
func (p *pane) serves(l *facts.Line) bool { return p.lines[l.Line] }

// shown is the space that a view of the pane shows, through the whole vehicle
// along the line of sight.
func (p *pane) shown(v *view) space {
	s := p.region.grown(paneOver / v.scale)
	if v.side {
		s.from.Y, s.to.Y = p.scene.region.from.Y, p.scene.region.to.Y
	} else {
		s.from.Z, s.to.Z = p.scene.region.from.Z, p.scene.region.to.Z
	}
	return s
}

// lengthLabels write the free length at every free span.
func (p *painter) lengthLabels(add adder) {
	for i := range p.scene.routes {
		r := &p.scene.routes[i]
		if p.pane != nil && !p.pane.routes[i] {
			continue
		}
		for j := 1; j < len(r.Stops); j++ {
			span := r.Stops[j].Span
			if span == nil || !span.FreeLength.Known {
				continue
			}
			way := p.hop(&r.Stops[j-1], &r.Stops[j])
			if len(way) == 0 || !p.inside(r3.Scale(0.5, r3.Add(r.Stops[j-1].Position.Vec(), r.Stops[j].Position.Vec()))) {
				continue
			}
			mid, _ := along(way)
			if !p.v.area.has(mid) {
				continue
			}
			text := "free " + units.Format(span.FreeLength.V, units.Length, p.scene.kit.Family())
			add(tag(mid, text, "tag-length", 1.2, 40), text+" to "+p.scene.stationName(r, &r.Stops[j]))
		}
	}
}

// lineLabels number the lines that are in no bundle, at their longest pieces.
func (p *painter) lineLabels(add adder) {
	for i := range p.scene.routes {
		r := &p.scene.routes[i]
		if r.Line == nil || r.Line.Bundle.To != nil || !p.pane.routes[i] {
			continue
		}
		if mid, ok := p.longestPiece(r); ok && p.v.area.has(mid) {
			add(tag(mid, "line "+r.Line.Short(), "tag-bundle", 0.7, 40), r.Place)
		}
	}
}

func (p *painter) jointLabels(add adder) {
	for i := range p.scene.joints {
		if m := &p.scene.joints[i]; m.drawn && p.inside(m.at) {
			add(tag(p.v.at(m.at), m.tag, "tag-joint", 1.3, 40), "joint "+m.tag)
		}
	}
}

func (p *painter) zoneLabels(add adder) {
	for i := range p.scene.zones {
		m := &p.scene.zones[i]
		in := p.v.area
		var on []spot
		for _, c := range m.outline(0) {
			on = append(on, p.v.at(c))
		}
		round := around(on)
		if p.pane != nil {
			round = box{max(round.x0, in.x0), max(round.y0, in.y0), min(round.x1, in.x1), min(round.y1, in.y1)}
			if round.x0 >= round.x1 || round.y0 >= round.y1 || !p.pane.touches(m) {
				continue
			}
		}
		add(tag(round.centre(), m.tag, "tag-zone", -2, 40), "zone "+m.tag)
	}
}

// touches reports whether a zone reaches into the region.
func (p *pane) touches(m *zoneMark) bool {
	b := nowhere()
	for _, c := range m.outline(0) {
		b.take(c)
	}
	return b.meets(p.region)
}

// tubes counts the tubes of lines by their parts: "7 × FG-T4".
func tubes(lines []*kit.Line) string {
	count := map[string]int{}
	var parts []string
	for _, l := range lines {
		id := l.Tube.ID.Or("not stated")
		if count[id] == 0 {
			parts = append(parts, id)
		}
		count[id]++
	}
	for i, id := range parts {
		parts[i] = fmt.Sprintf("%d × %s", count[id], id)
	}
	return strings.Join(parts, ", ")
}
