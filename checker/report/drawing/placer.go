package drawing

import "math"

// placer finds room for labels: never on another label, and where it can be
// done not on a line or a dot.
type placer struct {
	within  box
	taken   []box    // by labels: never covered
	strokes []stroke // covered where there is no other way
	dots    []spot
	quick   bool // labels are placed once: there are very many

	grids [3]grid // of taken, strokes and dots, as far as they were looked at
}

// index brings the grids up to what there is: a sheet may hold thousands.
func (p *placer) index() (taken, strokes, dots *grid) {
	taken, strokes, dots = &p.grids[0], &p.grids[1], &p.grids[2]
	room := p.within.grown(2 * cellSize)
	for i := range p.grids {
		p.grids[i].bound(room)
	}
	for taken.count < len(p.taken) {
		taken.add(p.taken[taken.count])
		taken.next()
	}
	for strokes.count < len(p.strokes) {
		strokes.addStroke(p.strokes[strokes.count], room)
		strokes.next()
	}
	for dots.count < len(p.dots) {
		if d := p.dots[dots.count]; room.has(d) {
			dots.add(box{d.x, d.y, d.x, d.y})
		}
		dots.next()
	}
	return taken, strokes, dots
}

// How much it is minded that a label hides a piece of a line, or a dot.
const (
	mindStroke = 3.0
	mindDot    = 9.0
)

// put finds the best room for a label of a size near a place, no nearer to it
// than from and no farther than to. It is taken from then on.
func (p *placer) put(near spot, w, h, from, to float64) (box, bool) {
	b, ok := p.find(near, w, h, from, to)
	if ok {
		p.taken = append(p.taken, b)
	}
	return b, ok
}

// find is put without taking the room.
func (p *placer) find(near spot, w, h, from, to float64) (box, bool) {
	best, least := box{}, math.Inf(1)
	for r := from; r <= to && r < least; r += 0.4 + 0.25*max(r, 0) {
		for turn := range 16 {
			// the corners first: a label reads best beside and above
			sin, cos := math.Sincos(float64(turn)*math.Pi/8 + math.Pi/8)
			b := boxAt(spot{near.x + cos*(r+w/2), near.y - sin*(r+h/2)}, w, h)
			b = box{fine(b.x0), fine(b.y0), fine(b.x1), fine(b.y1)}
			cost := r + 0.05*float64(turn) + p.cost(b, least-r)
			if cost < least {
				cost += p.over(stroke{near, b.nearest(near)}, r)
			}
			if cost < least {
				best, least = b, cost
			}
		}
	}
	return best, !math.IsInf(least, 1)
}

// over is how much a line from a label to its place is minded that runs over
// other labels.
func (p *placer) over(s stroke, r float64) float64 {
	c := 0.0
	if r > 1.5 {
		taken, _, _ := p.index()
		way := box{min(s.a.x, s.b.x), min(s.a.y, s.b.y), max(s.a.x, s.b.x), max(s.a.y, s.b.y)}
		taken.near(way, func(i int) bool {
			if t := p.taken[i]; s.meets(t) && !t.has(s.a) {
				c += mindDot
			}
			return true
		})
	}
	return c
}

// putClear is put for labels that may be left out: they cover nothing.
func (p *placer) putClear(near spot, w, h, from, to float64) (box, bool) {
	b, ok := p.find(near, w, h, from, to)
	if !ok || p.cover(b, 2*mindStroke) > mindStroke {
		return b, false
	}
	p.taken = append(p.taken, b)
	return b, true
}

// cost of a room: without bound where a label is in it already. It may stop
// at the most that is of interest.
func (p *placer) cost(b box, most float64) float64 {
	if most <= 0 || !p.free(b) {
		return math.Inf(1)
	}
	return p.cover(b, most)
}

// free reports whether a label can stand in the room.
func (p *placer) free(b box) bool {
	if !p.within.holds(b) {
		return false
	}
	free := true
	taken, _, _ := p.index()
	taken.near(b, func(i int) bool {
		free = !b.overlaps(p.taken[i])
		return free
	})
	return free
}

// cover is how much of the drawing a label in the room would hide. It may
// stop at the most that is of interest.
func (p *placer) cover(b box, most float64) float64 {
	c := 0.0
	round := b.grown(0.7)
	_, strokes, dots := p.index()
	dots.near(round, func(i int) bool {
		if round.has(p.dots[i]) {
			c += mindDot
		}
		return true
	})
	if c >= most {
		return c
	}
	strokes.near(b, func(i int) bool {
		if p.strokes[i].meets(b) {
			c += mindStroke
		}
		return c < most
	})
	return c
}
