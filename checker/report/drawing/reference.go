package drawing

import (
	"cmp"
	"math"
	"slices"
)

// References stand outside of the view in a row above it and one below, at
// even distances, each with a leader to its point (in the manner of ISO 6433).
// Points that fall together on the paper share a leader, and their references
// are stacked.

// The size of references [mm].
const (
	balloonSize = 5.0
	balloonText = small
	balloonGap  = 1.2 // between two
	together    = 0.8 // points nearer than this share a leader
	mostStacked = 6
	wideStep    = 7.6 // between references where there are few
	few         = 20
)

// item is one or several points with their references.
type item struct {
	at   spot
	dots []spot
	refs []reference
}

// reference is what stands in one balloon.
type reference struct {
	text   string
	square bool // a point without a line
}

func (r reference) width() float64 { return max(balloonSize, width(r.text, balloonText, true)+1.4) }

// items gathers the points that fall together.
func items(points []pointMark, named []int, v *view) []item {
	var out []item
	for _, i := range named {
		p := &points[i]
		at := v.at(p.at)
		r := reference{shown(p.ref), !p.lined}
		i := slices.IndexFunc(out, func(t item) bool { return distance(t.at, at) < together && len(t.refs) < mostStacked })
		if i < 0 {
			out = append(out, item{at: at})
			i = len(out) - 1
		}
		out[i].dots = append(out[i].dots, at)
		out[i].refs = append(out[i].refs, r)
	}
	return out
}

// rows are the references of one view.
type rows struct {
	x0, x1   float64
	up, down []item // the points whose references stand above and below
	step     float64
}

// newRows shares the points out between the two rows so that the leaders are
// short and neither row is crowded, or puts all below; ok is false where there
// is no room.
func newRows(list []item, x0, x1 float64, view box, below bool) (r rows, ok bool) {
	r = rows{x0: x0, x1: x1, step: balloonSize + balloonGap}
	for _, t := range list {
		for _, ref := range t.refs {
			r.step = max(r.step, ref.width()+balloonGap)
		}
	}
	most := int((x1 - x0) / r.step)
	list = slices.Clone(list)
	slices.SortStableFunc(list, func(a, b item) int { return cmp.Or(cmp.Compare(a.at.y, b.at.y), cmp.Compare(a.at.x, b.at.x)) })
	best, least := -1, math.Inf(1)
	for k := range len(list) + 1 {
		if k > most || len(list)-k > most || below && k > 0 {
			continue
		}
		cost := r.step / 8 * float64(k*k+(len(list)-k)*(len(list)-k))
		for i, t := range list {
			if i < k {
				cost += t.at.y - view.y0
			} else {
				cost += view.y1 - t.at.y
			}
		}
		if cost < least {
			best, least = k, cost
		}
	}
	if best < 0 {
		return r, false
	}
	r.up, r.down = list[:best], list[best:]
	if max(len(r.up), len(r.down)) <= few {
		r.step = max(r.step, wideStep)
	}
	return r, true
}

// stack is the height of the highest stack of balloons in a row.
func stack(row []item) float64 {
	n := 0
	for _, t := range row {
		n = max(n, len(t.refs))
	}
	return float64(n) * balloonSize
}

// balloon is a stack of references with its leader.
type balloon struct {
	item
	leader stroke // from the points to the stack
	boxes  []box  // one a reference
}

// place puts the references of a row at y; they are stacked away from the
// view. All dots of the view are kept clear of leaders that are not theirs
// where that can be done.
func (r *rows) place(row []item, y float64, upwards bool, dots []spot) []balloon {
	if len(row) == 0 {
		return nil
	}
	at := make([]spot, len(row))
	for i, t := range row {
		at[i] = t.at
	}
	var slots []spot
	var chosen []int
	least := math.Inf(1)
	n := int((r.x1 - r.x0) / r.step)
	spare := r.x1 - r.x0 - float64(n)*r.step
	for shift := range 6 {
		try := make([]spot, n)
		for i := range try {
			try[i] = spot{fine(r.x0 + r.step*(float64(i)+0.5) + spare*float64(shift)/5), y}
		}
		assigned := assign(at, try)
		if cost := crowding(row, try, assigned, dots); cost < least {
			slots, chosen, least = try, assigned, cost
		}
	}
	out := make([]balloon, len(row))
	for i, t := range row {
		out[i] = newBalloon(t, slots[chosen[i]], upwards)
	}
	return out
}

// crowding is the length of the leaders, and much for each that runs over the
// dot of another point.
func crowding(row []item, slots []spot, chosen []int, dots []spot) float64 {
	cost := 0.0
	for i, t := range row {
		s := stroke{t.at, slots[chosen[i]]}
		cost += distance(s.a, s.b)
		for _, d := range dots {
			if distance(d, t.at) >= together && s.distance(d) < 0.9 {
				cost += 60
			}
		}
	}
	return cost
}

func newBalloon(t item, slot spot, upwards bool) balloon {
	b := balloon{item: t, leader: stroke{t.at, slot}}
	for i, ref := range t.refs {
		y := slot.y + balloonSize*(float64(i)+0.5)
		if upwards {
			y = slot.y - balloonSize*(float64(i)+0.5)
		}
		b.boxes = append(b.boxes, boxAt(spot{slot.x, y}, ref.width(), balloonSize))
	}
	return b
}

// draw draws the balloons; the leader lies below what is drawn before them.
func (b *balloon) draw(s *sheet) {
	for i, ref := range b.refs {
		ref.draw(s, b.boxes[i])
	}
}

func (r reference) draw(s *sheet, b box) {
	round := balloonSize / 2
	if r.square {
		round = 0
	}
	s.rect(b, round, "balloon")
	s.centred(b, balloonText, "bold", r.text)
}
