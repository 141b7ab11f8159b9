package drawing

import "kitgauge/checker/facts"

// overviewLabels lists what is written into a view of the whole vehicle: in
// the view from above the details and the break-outs, in both the rest.
func (p *painter) overviewLabels() []*label {
	var out []*label
	add := func(l *label, name string) {
		if l == nil {
			return
		}
		l.name = name
		out = append(out, l)
	}
	p.markLabels(add)
	if p.scene.pump != nil {
		add(p.pumpLabel(), "the pump")
	}
	for _, i := range p.beside {
		m := &p.scene.points[i]
		l := balloonLabel(p.v.at(m.at), reference{m.ref, !m.lined})
		l.leader = "leader" // not one of a row
		l.optional = p.v.side
		add(l, "point "+m.point.ID.Or(m.name))
	}
	for _, g := range p.framedGroups() {
		add(p.groupLabel(g, p.collapsed), "detail "+g.letter)
	}
	if !p.v.side {
		p.breakLabels(add)
	}
	for i := range p.scene.routes {
		l := p.bundle(&p.scene.routes[i])
		if l != nil {
			l.optional = p.v.side
		}
		add(l, "bundle "+p.scene.routes[i].Place)
	}
	p.jointLabels(add)
	p.zoneLabels(add)
	if !p.bare {
		p.bodyLabels(add)
	}
	return out
}

// bodyLabels name the bodies that move, where there is room.
func (p *painter) bodyLabels(add adder) {
	for _, b := range p.scene.bodies {
		var on []spot
		for _, c := range b.corners {
			on = append(on, p.v.at(c))
		}
		round := around(on)
		l := written(spot{round.centre().x, round.y0}, []string{b.body.Name.Or(b.body.ID.Or("body"))}, "", "faint halo", 0.4, 6)
		l.optional, l.apart = true, 10
		add(l, "body "+b.body.ID.Or(""))
	}
}

// around is the box round places.
func around(places []spot) box {
	b := box{places[0].x, places[0].y, places[0].x, places[0].y}
	for _, s := range places {
		b = box{min(b.x0, s.x), min(b.y0, s.y), max(b.x1, s.x), max(b.y1, s.y)}
	}
	return b
}

// bundle is the label of a bundle beside the middle of its longest piece.
func (p *painter) bundle(r *facts.Route) *label {
	if r.Bundle == nil {
		return nil
	}
	middle, ok := p.longestPiece(r)
	if !ok {
		return nil
	}
	return tag(middle, r.Bundle.ID.Or("bundle"), "tag-bundle", 0.7, 60)
}

// longestPiece is the middle of the longest piece of a route, behind that from
// the pump.
func (p *painter) longestPiece(r *facts.Route) (middle spot, ok bool) {
	var best stroke
	for i := 1; i < len(r.Stops); i++ {
		a, aKnown := p.stop(&r.Stops[i-1])
		b, bKnown := p.stop(&r.Stops[i])
		if aKnown && bKnown && i > 1 && distance(a, b) > distance(best.a, best.b) {
			best = stroke{a, b}
		}
	}
	if best == (stroke{}) {
		if len(r.Stops) < 2 {
			return spot{}, false
		}
		return p.stop(&r.Stops[1])
	}
	return spot{(best.a.x + best.b.x) / 2, (best.a.y + best.b.y) / 2}, true
}
