package drawing

import "math"

// spot is a place on the paper [mm], x to the right and y downwards.
type spot struct{ x, y float64 }

func (p spot) plus(x, y float64) spot { return spot{p.x + x, p.y + y} }

// distance between two places on the paper.
func distance(a, b spot) float64 { return math.Hypot(a.x-b.x, a.y-b.y) }

// towards is the place at a distance from a on the way to b.
func towards(a, b spot, d float64) spot {
	l := distance(a, b)
	if l == 0 {
		return a
	}
	return spot{a.x + (b.x-a.x)*d/l, a.y + (b.y-a.y)*d/l}
}

// box is an upright rectangle on the paper.
type box struct{ x0, y0, x1, y1 float64 }

func boxAt(centre spot, w, h float64) box {
	return box{centre.x - w/2, centre.y - h/2, centre.x + w/2, centre.y + h/2}
}

func (b box) width() float64  { return b.x1 - b.x0 }
func (b box) height() float64 { return b.y1 - b.y0 }
func (b box) centre() spot    { return spot{(b.x0 + b.x1) / 2, (b.y0 + b.y1) / 2} }

// grown is the box with a margin round it.
func (b box) grown(by float64) box { return box{b.x0 - by, b.y0 - by, b.x1 + by, b.y1 + by} }

// overlaps reports whether two boxes share more than an edge.
func (b box) overlaps(c box) bool {
	return b.x0 < c.x1 && c.x0 < b.x1 && b.y0 < c.y1 && c.y0 < b.y1
}

func (b box) holds(c box) bool {
	return b.x0 <= c.x0 && c.x1 <= b.x1 && b.y0 <= c.y0 && c.y1 <= b.y1
}

func (b box) has(p spot) bool { return b.x0 <= p.x && p.x <= b.x1 && b.y0 <= p.y && p.y <= b.y1 }

// nearest is the place of the box that is nearest to p.
func (b box) nearest(p spot) spot {
	return spot{min(max(p.x, b.x0), b.x1), min(max(p.y, b.y0), b.y1)}
}

// stroke is a straight piece of a line.
type stroke struct{ a, b spot }

// distance of a place from the stroke.
func (s stroke) distance(p spot) float64 {
	dx, dy := s.b.x-s.a.x, s.b.y-s.a.y
	l := dx*dx + dy*dy
	if l == 0 {
		return distance(s.a, p)
	}
	t := min(max(((p.x-s.a.x)*dx+(p.y-s.a.y)*dy)/l, 0), 1)
	return distance(spot{s.a.x + t*dx, s.a.y + t*dy}, p)
}

// meets reports whether the stroke goes through the box: the part of it that
// is left after clipping at the four edges (Liang and Barsky, A New Concept
// and Method for Line Clipping, ACM TOG 3, 1984; from memory).
func (s stroke) meets(b box) bool {
	if max(s.a.x, s.b.x) <= b.x0 || min(s.a.x, s.b.x) >= b.x1 || max(s.a.y, s.b.y) <= b.y0 || min(s.a.y, s.b.y) >= b.y1 {
		return false
	}
	from, to := 0.0, 1.0
	clip := func(d, room float64) bool { // room is what is left to the edge at a
		switch {
		case d == 0:
			return room > 0
		case d > 0:
			to = min(to, room/d)
		default:
			from = max(from, room/d)
		}
		return from < to
	}
	dx, dy := s.b.x-s.a.x, s.b.y-s.a.y
	return clip(dx, b.x1-s.a.x) && clip(-dx, s.a.x-b.x0) && clip(dy, b.y1-s.a.y) && clip(-dy, s.a.y-b.y0)
}

// strokesOf cuts a polyline into its pieces.
func strokesOf(path []spot) []stroke {
	var out []stroke
	for i := 1; i < len(path); i++ {
		out = append(out, stroke{path[i-1], path[i]})
	}
	return out
}

// along is the place half-way along a polyline, and the length of the line.
func along(path []spot) (middle spot, length float64) {
	for _, s := range strokesOf(path) {
		length += distance(s.a, s.b)
	}
	left := length / 2
	for _, s := range strokesOf(path) {
		l := distance(s.a, s.b)
		if left <= l {
			return towards(s.a, s.b, left), length
		}
		left -= l
	}
	if len(path) > 0 {
		return path[len(path)-1], length
	}
	return spot{}, 0
}
