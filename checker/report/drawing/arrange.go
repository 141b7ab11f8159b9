package drawing

import (
	"math"
	"slices"
)

// label is what is written beside a place of a view.
type label struct {
	at       spot
	w, h     float64
	from, to float64 // how near it may come, and how far it may go
	apart    float64 // with more between them a leader is drawn
	leader   string  // the class of the leader
	optional bool    // it may be left out where it would cover something
	draw     func(s *sheet, b box)
	name     string // of what it names, for the list of what has no room
	round    box    // the leader begins at its edge; empty is at the place itself

	placed bool
	box    box
	way    stroke // the leader
	led    bool
	cost   float64
}

// How much it is minded that a leader crosses another, or runs over a label.
const (
	mindCrossing = 40.0
	mindOver     = 40.0
	rounds       = 4 // in which labels are placed anew, with the others where they are
	contented    = 6 // what a label costs that is left where it is
)

// arrange finds room for labels, all of them together: one that is placed early
// gives way to those that come later. What has no room is returned.
func (p *placer) arrange(s *sheet, labels []*label) (left []*label) {
	missing := false
	for round := range p.rounds() {
		changed := false
		for _, l := range labels {
			if round > 0 && l.placed && l.cost < contented && !missing {
				continue
			}
			before := l.box
			p.settle(l, labels)
			changed = changed || l.box != before
		}
		missing = slices.ContainsFunc(labels, func(l *label) bool { return !l.placed && !l.optional })
		if !changed {
			break
		}
	}
	for _, l := range labels {
		if !l.placed {
			if !l.optional {
				left = append(left, l)
			}
			continue
		}
		p.taken = append(p.taken, l.box)
		if l.led {
			p.strokes = append(p.strokes, l.way)
			s.line(l.way.a, l.way.b, l.leader)
		}
	}
	for _, l := range labels {
		if l.placed {
			l.draw(s, l.box)
		}
	}
	return left
}

// rounds is how often labels are placed anew.
func (p *placer) rounds() int {
	if p.quick {
		return 1
	}
	return rounds
}

// settle finds the best room for one label while the others stay.
func (p *placer) settle(l *label, all []*label) {
	best, way, led, least := box{}, stroke{}, false, math.Inf(1)
	most := math.Inf(1)
	if l.optional {
		most = l.to + mindStroke
	}
	for r := l.from; r <= l.to && r < min(least, most); r += 0.4 + 0.2*max(r, 0) {
		for turn := range 24 {
			// the corners first: a label reads best beside and above
			sin, cos := math.Sincos(float64(turn)*math.Pi/12 + math.Pi/8)
			b := boxAt(spot{l.at.x + cos*(r+l.w/2), l.at.y - sin*(r+l.h/2)}, l.w, l.h)
			b = box{fine(b.x0), fine(b.y0), fine(b.x1), fine(b.y1)}
			cost := math.Abs(r) + 0.02*float64(turn) + p.cost(b, least-r)
			if cost >= min(least, most) {
				continue
			}
			w, isLed := l.reach(b)
			if cost += p.against(l, b, w, isLed, all, least-cost); cost < min(least, most) {
				best, way, led, least = b, w, isLed, cost
			}
		}
	}
	l.placed = !math.IsInf(least, 1)
	l.box, l.way, l.led, l.cost = best, way, led, least
}

// reach is the leader from a place to its label, where they are apart.
func (l *label) reach(b box) (way stroke, led bool) {
	edge := b.nearest(l.at)
	if l.round != (box{}) {
		from := l.round.nearest(edge)
		edge = b.nearest(from)
		return stroke{from, edge}, distance(from, edge) > l.apart
	}
	d := distance(l.at, edge)
	if d <= l.apart {
		return stroke{}, false
	}
	return stroke{towards(l.at, edge, min(0.9, d/2)), edge}, true // the place itself stays in sight
}

// against is how much a room for a label is minded on account of the other
// labels and leaders: without bound where it lies on another label.
func (p *placer) against(l *label, b box, way stroke, led bool, all []*label, most float64) float64 {
	c := 0.0
	if led {
		taken, strokes, _ := p.index()
		round := box{min(way.a.x, way.b.x), min(way.a.y, way.b.y), max(way.a.x, way.b.x), max(way.a.y, way.b.y)}
		taken.near(round, func(i int) bool {
			if t := p.taken[i]; way.meets(t) && !t.has(l.at) {
				c += mindOver
			}
			return c < most
		})
		strokes.near(round, func(i int) bool {
			if way.crosses(p.strokes[i]) {
				c++
			}
			return c < most
		})
	}
	for _, o := range all {
		if c >= most {
			break
		}
		if o == l || !o.placed {
			continue
		}
		if o.box.overlaps(b) {
			return math.Inf(1)
		}
		if o.led && o.way.meets(b) {
			c += mindOver
		}
		if led && way.meets(o.box) {
			c += mindOver
		}
		if led && o.led && way.crosses(o.way) {
			c += mindCrossing
		}
	}
	return c
}

// crosses reports whether two strokes have a place in common other than a
// shared end.
func (s stroke) crosses(t stroke) bool {
	side := func(a, b, c spot) float64 { return (b.x-a.x)*(c.y-a.y) - (b.y-a.y)*(c.x-a.x) }
	return side(s.a, s.b, t.a)*side(s.a, s.b, t.b) < 0 && side(t.a, t.b, s.a)*side(t.a, t.b, s.b) < 0
}

// widestLabel is the width at which a label goes on in another row [mm].
const widestLabel = 48.0

// tag is a short label in a frame of a class.
func tag(at spot, text, class string, from, to float64) *label {
	return written(at, []string{text}, class, "", from, to)
}

// written is a label of one or several rows.
func written(at spot, rows []string, class, letters string, from, to float64) *label {
	w := 0.0
	var lines []string
	for _, text := range rows {
		lines = append(lines, wrapWords(shown(text), small, widestLabel, letters == "bold")...)
	}
	rows = lines
	for _, text := range rows {
		w = max(w, width(text, small, letters == "bold"))
	}
	const row = small * 1.22
	return &label{at: at, w: w + 1, h: row * float64(len(rows)), from: from, to: to, apart: 1.6, leader: "leader", draw: func(s *sheet, b box) {
		if class != "" {
			s.rect(b, 0.6, class)
		}
		for i, text := range rows {
			s.text(spot{b.centre().x, b.y0 + row*(float64(i)+0.5) + small*0.35}, middle, small, letters, text)
		}
	}}
}
