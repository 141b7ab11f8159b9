package drawing

import (
	"strings"

	"kitgauge/checker/facts"
)

// labels places what is written into the view: first what has to be there,
// last the names of stations, where there is room.
func (p *painter) labels() {
	for i := range p.marks.list {
		p.mark(&p.marks.list[i])
	}
	if p.scene.pump != nil {
		p.tag(p.v.at(*p.scene.pump), strings.TrimSpace("pump "+p.scene.kit.Kit.Pump.Part.ID.Or("")), small, "tag", 3, 30)
	}
	for i := range p.scene.routes {
		p.bundle(&p.scene.routes[i])
	}
	for i := range p.scene.joints {
		if m := &p.scene.joints[i]; m.drawn {
			p.tag(p.v.at(m.at), m.tag, small, "tag-joint", 1.3, 30)
		}
	}
	for i := range p.scene.zones {
		m := &p.scene.zones[i]
		var on []spot
		for _, c := range m.outline(0) {
			on = append(on, p.v.at(c))
		}
		round := around(on)
		p.tag(round.centre(), m.tag, small, "tag-zone", -2, 40)
	}
	p.stationNames(true)
	p.stationNames(false)
}

// around is the box round places.
func around(places []spot) box {
	b := box{places[0].x, places[0].y, places[0].x, places[0].y}
	for _, s := range places {
		b = box{min(b.x0, s.x), min(b.y0, s.y), max(b.x1, s.x), max(b.y1, s.y)}
	}
	return b
}

// tag writes a short label beside a place, with a line to it where the label
// had to go farther.
func (p *painter) tag(at spot, text string, height float64, class string, from, to float64) {
	text = fit(shown(text), height, 24, false)
	b, ok := p.room.put(at, width(text, height, false)+1, height*1.3, from, to)
	if !ok {
		return
	}
	p.tie(at, b, "leader", 3.5)
	p.s.rect(b, 0.6, class)
	p.s.centred(b, height, "", text)
}

// tie draws a line from a place to its label where they are apart.
func (p *painter) tie(at spot, b box, class string, apart float64) {
	if edge := b.nearest(at); distance(at, edge) > apart {
		at = towards(at, edge, min(0.9, distance(at, edge)/2)) // the place itself stays in sight
		p.s.line(at, edge, class)
		p.room.strokes = append(p.room.strokes, stroke{at, edge})
	}
}

// bundle writes the name of a bundle beside the middle of its longest piece.
func (p *painter) bundle(r *facts.Route) {
	if r.Bundle == nil {
		return
	}
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
			return
		}
		at, known := p.stop(&r.Stops[1])
		if !known {
			return
		}
		best = stroke{at, at}
	}
	middle := spot{(best.a.x + best.b.x) / 2, (best.a.y + best.b.y) / 2}
	p.tag(middle, r.Bundle.ID.Or("bundle"), small, "tag-bundle", 0.7, 40)
}

// stationNames writes the names of the stations: first of those where lines
// leave, with the numbers of the lines, then of the others.
func (p *painter) stationNames(leaving bool) {
	for i := range p.scene.routes {
		r := &p.scene.routes[i]
		for j := range r.Stops {
			s := &r.Stops[j]
			at, known := p.stop(s)
			if !known || s.Station == nil || !s.Station.ID.Known || r.Bundle == nil || len(s.Leaving) > 0 != leaving {
				continue
			}
			name := s.Station.ID.V
			if leaving {
				name += " → " + strings.Join(s.Leaving, ", ")
			}
			p.name(at, fit(shown(name), tiny, 24, false))
		}
	}
}

func (p *painter) name(at spot, text string) {
	b, ok := p.room.putClear(at, width(text, tiny, false)+0.4, tiny*1.2, 0.8, 4)
	if ok {
		p.s.text(spot{b.x0 + 0.2, b.centre().y + tiny*0.35}, start, tiny, "faint halo", text)
	}
}
