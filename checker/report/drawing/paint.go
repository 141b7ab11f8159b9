package drawing

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/facts"
	"kitgauge/checker/quantities/motion"
)

// painter draws one view.
type painter struct {
	s     *sheet
	scene *scene
	v     *view
	rows  *placedRows
	room  *placer
	marks *marks
	pane  *pane // nil for the whole vehicle

	collapsed bool  // the points of details are not named in the view
	beside    []int // the points whose references stand beside them
	bare      bool  // what would not move with its joint is left out
	left      []*label
}

// paint draws the view from the back to the front, and the labels last, where
// there is room for them.
func (p *painter) paint() {
	p.outline()
	if !p.bare {
		p.vehicle()
	}
	for i := range p.scene.zones {
		p.zone(&p.scene.zones[i])
	}
	for i := range p.scene.joints {
		p.traces(&p.scene.joints[i])
	}
	p.routes()
	balloons := p.balloons()
	for _, b := range balloons {
		p.s.line(b.leader.a, b.leader.b, "reference")
	}
	for i := range p.scene.joints {
		p.joint(&p.scene.joints[i])
	}
	for i := range p.scene.routes {
		p.stops(&p.scene.routes[i])
	}
	p.datum()
	p.pump()
	for i := range p.scene.points {
		d := p.v.at(p.scene.points[i].at)
		p.s.circle(d, 0.75, "point")
		p.room.dots = append(p.room.dots, d)
	}
	for _, b := range balloons {
		b.draw(p.s)
	}
	for _, g := range p.framedGroups() {
		p.frame(g)
	}
	p.left = p.room.arrange(p.s, p.overviewLabels())
}

// framedGroups are the details that the view frames: seen from above, and in a
// page without the other sheets where they stand for references.
func (p *painter) framedGroups() []*group {
	if p.v.side || p.bare && !p.collapsed {
		return nil
	}
	return p.scene.groups
}

// routes draws those that the drawing is about over the others.
func (p *painter) routes() {
	for i := range p.scene.routes {
		if p.pane != nil && !p.pane.routes[i] && p.pane.shown(p.v).meets(p.scene.routeBoxes[i].grown(0.001)) {
			p.route(&p.scene.routes[i], "beside")
		}
	}
	for i := range p.scene.routes {
		r := &p.scene.routes[i]
		if p.pane != nil && !p.pane.routes[i] {
			continue
		}
		class := "tail"
		if r.Bundle != nil {
			class = "bundle"
		}
		p.route(r, class)
		if !p.bare {
			p.ties(r)
		}
	}
}

// balloons places the references, and keeps their room and leaders from the
// labels.
func (p *painter) balloons() []balloon {
	var dots []spot
	for _, t := range append(append([]item(nil), p.rows.up...), p.rows.down...) {
		dots = append(dots, t.dots...)
	}
	out := append(p.rows.place(p.rows.up, p.rows.upY, true, dots), p.rows.place(p.rows.down, p.rows.downY, false, dots)...)
	for _, b := range out {
		p.room.strokes = append(p.room.strokes, b.leader)
		p.room.taken = append(p.room.taken, b.boxes...)
	}
	return out
}

func (p *painter) outline() {
	if o, known := p.scene.outlined(); known {
		a, b := p.v.at(o.from), p.v.at(o.to)
		p.s.rect(box{a.x, b.y, b.x, a.y}, 0, "outline")
	}
}

// zone draws a zone at rest, hatched, and where its joint can take it.
func (p *painter) zone(m *zoneMark) {
	outline := func(q float64) []spot {
		var on []spot
		for _, c := range m.outline(q) {
			on = append(on, p.v.at(c))
		}
		return hull(on)
	}
	rest := outline(0)
	if p.pane != nil && !p.pane.touches(m) {
		p.s.path(rest, true, "beside")
		return
	}
	kind := zoneKind(m.zone.Kind.V)
	p.s.element(`<g fill="url(#%s-%s)">`, p.s.id, kind)
	p.s.path(rest, true, "zone-"+kind)
	p.s.end()
	if m.joint == nil {
		return
	}
	for _, q := range []float64{m.joint.motion.From, m.joint.motion.To} {
		if at := outline(q); q != 0 && !near(rest, at, 0.6) {
			p.s.path(at, true, "swept")
		}
	}
}

// zoneKind is the hatching of a kind of zone. What is not known is drawn as
// what moves.
func zoneKind(kind string) string {
	switch kind {
	case "heat", "wheel", "edge":
		return kind
	}
	return "moving"
}

// near reports whether two outlines are nearly the same on the paper.
func near(a, b []spot, by float64) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if distance(a[i], b[i]) > by {
			return false
		}
	}
	return true
}

// traces draws the way of every stop that a joint moves, with a ring at either
// end.
func (p *painter) traces(m *jointMark) {
	if !m.drawn {
		return
	}
	seen := map[spot]bool{}
	for _, stop := range m.stops {
		if seen[p.v.at(stop)] {
			continue
		}
		seen[p.v.at(stop)] = true
		var way []r3.Vec
		for _, q := range m.values() {
			way = append(way, m.moved(stop, q))
		}
		for _, path := range p.v.path(way) {
			if _, length := along(path); length < 0.8 {
				continue
			}
			p.s.path(path, false, "trace")
			p.s.circle(path[0], 0.5, "extreme")
			p.s.circle(path[len(path)-1], 0.5, "extreme")
			for _, t := range strokesOf(path) {
				p.room.strokes = append(p.room.strokes, t)
			}
		}
	}
}

// route draws the tubes from stop to stop: wide in a conduit, narrow alone,
// broken where they hang free between two bodies.
func (p *painter) route(r *facts.Route, class string) {
	var run []spot
	flush := func(kind string) {
		for _, seen := range p.seen(run) {
			p.s.path(seen, false, kind)
			p.room.strokes = append(p.room.strokes, strokesOf(seen)...)
		}
		run = nil
	}
	for i := range r.Stops {
		at, ok := p.stop(&r.Stops[i])
		if !ok {
			flush(class)
			continue
		}
		if r.Stops[i].Span != nil && len(run) > 0 {
			last := run[len(run)-1]
			flush(class)
			run = p.hop(&r.Stops[i-1], &r.Stops[i])
			if len(run) == 0 {
				run = []spot{last, at}
			}
			flush(class + " free")
		}
		run = append(run, at)
	}
	flush(class)
}

// seen leaves out the pieces of a line that lie outside of the view.
func (p *painter) seen(run []spot) [][]spot {
	if p.pane == nil {
		return [][]spot{run}
	}
	area := p.v.area.grown(0.5)
	var out [][]spot
	open := false
	for _, piece := range strokesOf(run) {
		if !piece.meets(area) && !area.has(piece.a) {
			open = false
			continue
		}
		if !open {
			out, open = append(out, []spot{piece.a}), true
		}
		last := &out[len(out)-1]
		*last = append(*last, piece.b)
	}
	return out
}

// hop is the way of the tubes to a stop: where they hang free and their curve
// is known, as they hang.
func (p *painter) hop(from, to *facts.Stop) []spot {
	a, aKnown := p.stop(from)
	b, bKnown := p.stop(to)
	if !aKnown || !bKnown {
		return nil
	}
	var out []spot
	for _, v := range p.scene.curves[to.Span] {
		if at := p.v.at(v); len(out) == 0 || distance(at, out[len(out)-1]) > 0.15 {
			out = append(out, at)
		}
	}
	if len(out) < 2 {
		return []spot{a, b}
	}
	return out
}

// ties draws the ties between two stations, across the tubes.
func (p *painter) ties(r *facts.Route) {
	for i := 1; i < len(r.Stops); i++ {
		list := p.scene.tiesBefore(r, i)
		way := p.hop(&r.Stops[i-1], &r.Stops[i])
		if len(list) == 0 || len(way) == 0 {
			continue
		}
		whole := r3.Norm(r3.Sub(r.Stops[i].Position.Vec(), r.Stops[i-1].Position.Vec()))
		if free := r.Stops[i].Span; free != nil && free.FreeLength.Known {
			whole = free.FreeLength.V
		}
		for _, t := range list {
			if !t.At.Known || !(whole > 0) || !(t.At.V >= 0 && t.At.V <= whole) {
				continue
			}
			p.s.bar(way, t.At.V/whole)
		}
	}
}

// bar draws the sign of a tie across a line, at a share of its length.
func (s *sheet) bar(way []spot, share float64) {
	_, length := along(way)
	left := share * length
	for _, piece := range strokesOf(way) {
		l := distance(piece.a, piece.b)
		if left > l || l == 0 {
			left -= l
			continue
		}
		at := towards(piece.a, piece.b, left)
		dx, dy := (piece.b.x-piece.a.x)/l*1.3, (piece.b.y-piece.a.y)/l*1.3
		s.line(at.plus(-dy, dx), at.plus(dy, -dx), "bar")
		return
	}
}

func (p *painter) stop(s *facts.Stop) (spot, bool) {
	at := s.Position.Vec()
	return p.v.at(at), s.Position.Known() && p.scene.region.has(at)
}

// stops draws how the tubes are held.
func (p *painter) stops(r *facts.Route) {
	eachHold(r, p.stop, func(s *facts.Stop, at spot, class string) {
		p.s.hold(at, s.Station.Hold.V, s.Station.Grommet.V, class)
		p.room.dots = append(p.room.dots, at)
	})
}

// eachHold calls draw for the stations of a route that can be drawn, with the
// class of their signs: filled where lines leave the bundle.
func eachHold(r *facts.Route, stop func(*facts.Stop) (spot, bool), draw func(s *facts.Stop, at spot, class string)) {
	for i := range r.Stops {
		s := &r.Stops[i]
		at, ok := stop(s)
		if !ok || s.Station == nil || i == 0 && r.Bundle == nil {
			continue
		}
		class := "stop"
		if len(s.Leaving) > 0 {
			class = "full"
		}
		draw(s, at, class)
	}
}

// hold draws the sign of a station.
func (s *sheet) hold(at spot, hold string, grommet bool, class string) {
	if grommet || hold == "grommet" {
		s.circle(at, 1.3, "stop")
	}
	switch hold {
	case "tie":
		s.path([]spot{at.plus(-0.8, -0.8), at.plus(0.8, -0.8), at.plus(0.8, 0.8), at.plus(-0.8, 0.8)}, true, class)
	case "clip", "grommet":
		s.circle(at, 0.7, class)
	default:
		s.path([]spot{at.plus(0, -1), at.plus(1, 0), at.plus(0, 1), at.plus(-1, 0)}, true, class)
	}
}

func (p *painter) pump() {
	if p.scene.pump == nil {
		return
	}
	at := p.v.at(*p.scene.pump)
	p.s.pump(at)
	p.room.taken = append(p.room.taken, boxAt(at, 6, 6))
}

// pump is the sign of a pump: a circle with a triangle (ISO 1219-1, from
// memory).
func (s *sheet) pump(at spot) {
	s.circle(at, 2.8, "pump")
	s.path([]spot{at.plus(0, -2.8), at.plus(1.3, -0.6), at.plus(-1.3, -0.6)}, true, "solid")
}

// datum marks where the positions count from, with the directions of the axes.
func (p *painter) datum() {
	if !p.scene.region.has(r3.Vec{}) {
		return
	}
	at := p.v.at(r3.Vec{})
	if !p.v.area.grown(1).has(at) {
		return
	}
	p.s.datum(at)
	up := "y"
	if p.v.side {
		up = "z"
	}
	for _, axis := range []struct {
		end  spot
		name string
	}{{at.plus(9, 0), "x"}, {at.plus(0, -9), up}} {
		p.s.line(at, axis.end, "thin")
		p.s.arrow(at, axis.end, 1.6, "solid")
		p.room.strokes = append(p.room.strokes, stroke{at, axis.end})
		letter := towards(at, axis.end, 10.8).plus(0, small*0.35)
		if b := textBox(letter, middle, small, axis.name, false); p.room.free(b) {
			p.s.text(letter, middle, small, "halo", axis.name)
			p.room.taken = append(p.room.taken, b)
		}
	}
}

// datum is the sign: a ring with two of its quarters filled.
func (s *sheet) datum(at spot) {
	s.circle(at, 1.6, "balloon")
	s.element(`<path class="solid" d="M%s %sh1.6a1.6 1.6 0 0 0 -1.6 -1.6zh-1.6a1.6 1.6 0 0 0 1.6 1.6z"/>`, num(at.x), num(at.y))
}

// joint draws a joint: seen along its axis the sector that it sweeps, else its
// axis; the travel of one that slides as an arrow with two heads.
func (p *painter) joint(m *jointMark) {
	if !m.drawn {
		return
	}
	at := p.v.at(m.at)
	along := math.Abs(p.v.depth(m.motion.Axis)) > 0.7
	switch {
	case m.motion.Kind == motion.Prismatic && along:
		p.s.circle(at, 1.1, "joint")
		p.s.circle(at, 0.35, "joint-full")
	case m.motion.Kind == motion.Prismatic:
		p.travel(m)
	case along:
		p.sector(m, at)
	default:
		axis := r3.Scale(0.5, r3.Unit(m.motion.Axis))
		a, b := p.v.at(r3.Sub(m.at, axis)), p.v.at(r3.Add(m.at, axis))
		a, b = towards(at, a, 6), towards(at, b, 6)
		p.s.line(a, b, "axis")
		p.s.circle(at, 0.9, "joint")
		p.room.strokes = append(p.room.strokes, stroke{a, b})
	}
	p.room.dots = append(p.room.dots, at)
}

func (p *painter) travel(m *jointMark) {
	a, b := p.v.at(m.moved(m.at, m.motion.From)), p.v.at(m.moved(m.at, m.motion.To))
	p.s.line(a, b, "joint")
	size := min(1.5, distance(a, b)/2)
	p.s.arrow(a, b, size, "joint-full")
	p.s.arrow(b, a, size, "joint-full")
	p.room.strokes = append(p.room.strokes, stroke{a, b})
}

// sector draws the range of a joint that turns about the line of sight,
// counted from the direction in which its child lies.
func (p *painter) sector(m *jointMark, at spot) {
	reach, aim := 0.0, r3.Vec{}
	for _, s := range m.stops {
		reach = max(reach, distance(at, p.v.at(s)))
		aim = r3.Add(aim, r3.Sub(s, m.at))
	}
	axis := r3.Unit(m.motion.Axis)
	aim = r3.Sub(aim, r3.Scale(r3.Dot(aim, axis), axis))
	if r3.Norm(aim) < 1e-6 {
		aim = r3.Cross(axis, r3.Vec{Y: -1, Z: -1})
	}
	radius := min(max(0.5*reach, 5), 11)
	arm := r3.Scale(radius/p.v.scale, r3.Unit(aim))
	var arc []spot
	for _, q := range m.values() {
		arc = append(arc, p.v.at(m.moved(r3.Add(m.at, arm), q)))
	}
	p.s.path(append([]spot{at}, arc...), true, "sector")
	if n := len(arc); n > 2 {
		p.s.arrow(arc[1], arc[0], 1.5, "joint-full")
		p.s.arrow(arc[n-2], arc[n-1], 1.5, "joint-full")
	}
	p.s.circle(at, 0.9, "joint")
	p.s.circle(at, 0.3, "joint-full")
	p.room.strokes = append(p.room.strokes, strokesOf(append([]spot{at}, arc...))...)
}
