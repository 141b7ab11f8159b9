package facts

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/quantities/elastica"
	"kitgauge/checker/quantities/motion"
	"kitgauge/checker/quantities/routing"
)

// loopSearch looks for the least distance of a loop from a zone.
type loopSearch struct {
	l      *loop
	w      *swing
	zone   solid
	budget *motion.Budget
	tails  []tail // the curves that are followed
}

// tail is a curve that is followed from place to place.
type tail struct {
	bow
	solver elastica.Solver
}

// least looks at all the positions at which the loop's curve is known, with the
// other joints spread over their range, guesses halfway between each two, and
// searches on from the nearest.
func (s *loopSearch) least(within, keep float64) (place, error) {
	best, from := place{distance: math.Inf(1)}, []place(nil)
	poses := s.l.poses
	for i := range poses {
		for k, pose := range []loopPose{poses[i], halfway(&poses[max(0, i-1)], &poses[i])} {
			near, err := s.nearest(&pose, min(within, best.distance)+between)
			if err != nil {
				return best, err
			}
			if near.q != nil {
				near.pose = i
				from = append(from, near)
			}
			if k == 0 && near.distance < best.distance {
				best = near
			}
		}
	}
	if len(from) == 0 || best.distance == 0 || best.distance > keep+2*between {
		return best, nil
	}
	d := descent{from: s.w.from(), to: s.w.to(), steps: s.w.steps(), begin: s.begin, distance: s.at, finish: s.finish}
	return d.least(from, best)
}

// ownOf are the values of the loop's own joints.
func (s *loopSearch) ownOf(q []float64) []float64 {
	own := make([]float64, len(s.w.own))
	for k, i := range s.w.own {
		own[k] = q[i]
	}
	return own
}

// nearest is the nearest place of a loop in one pose, with the other joints
// spread over their range.
func (s *loopSearch) nearest(pose *loopPose, bound float64) (place, error) {
	best := place{distance: math.Inf(1)}
	if len(pose.bows) == 0 {
		return best, nil
	}
	s.w.set(pose.q)
	for _, rest := range s.w.others() {
		s.w.setFree(rest)
		frame, err := s.w.frame()
		if err != nil {
			return best, err
		}
		for i := range pose.bows {
			far, err := s.distance(&pose.bows[i], frame, min(bound, best.distance))
			if err != nil {
				return best, err
			}
			if far < best.distance {
				best = place{q: slices.Clone(s.w.q), distance: far}
			}
		}
	}
	return best, nil
}

// begin takes up the curves of a pose, those that may be the nearest, and is
// the distance there.
func (s *loopSearch) begin(from place) (float64, error) {
	s.tails = s.tails[:0]
	for i, b := range s.l.poses[from.pose].bows {
		s.tails = append(s.tails, tail{b, elastica.Solver{Rough: true}})
		s.tails[i].solver.Follow(&b.Curve)
	}
	return s.at(from.q, math.Inf(1))
}

// at is the distance with all joints at q, of curves that follow from those
// before.
func (s *loopSearch) at(q []float64, bound float64) (float64, error) {
	copy(s.w.q, q)
	frame, err := s.w.frame()
	least := math.Inf(1)
	for i := range s.tails {
		t := &s.tails[i]
		if err != nil {
			return least, err
		}
		if !s.budget.Take(motion.Setup) {
			return least, motion.ErrSpent
		}
		c, fault := t.solver.Solve(s.l.way(s.ownOf(q), t.tube, t.way))
		if fault != nil { // a curve that is not found there is looked for elsewhere
			continue
		}
		t.bow = newBow(c, t.tube, t.way, t.track)
		var far float64
		if far, err = s.distance(&t.bow, frame, min(bound, least)); err == nil {
			least = min(least, far)
		}
	}
	return least, err
}

// finish is the distance with all joints at the place that was found, of curves
// that are no longer rough.
func (s *loopSearch) finish(at place) (float64, error) {
	for i := range s.tails {
		s.tails[i].solver.Rough = false
	}
	return s.at(at.q, math.Inf(1))
}

// distance is that of one curve, where that is less than a bound.
func (s *loopSearch) distance(b *bow, frame *motion.Rigid, bound float64) (float64, error) {
	if !s.budget.Take(8) {
		return 0, motion.ErrSpent
	}
	far, err := b.distance(frame, s.zone, bound)
	return max(0, far), err
}

// halfway is a pose between two, by the middle between the places of their
// curves.
func halfway(a, b *loopPose) loopPose {
	out := loopPose{q: make([]float64, len(a.q))}
	if a == b {
		return out
	}
	for i := range out.q {
		out.q[i] = (a.q[i] + b.q[i]) / 2
	}
	for i := range b.bows {
		d := &b.bows[i]
		k := slices.IndexFunc(a.bows, func(c bow) bool { return c.tube == d.tube && c.way == d.way && c.track == d.track })
		if k < 0 || len(a.bows[k].Points) != len(d.Points) {
			continue
		}
		c := a.bows[k]
		c.Points = slices.Clone(c.Points)
		for k, p := range d.Points {
			c.Points[k] = r3.Scale(0.5, r3.Add(c.Points[k], p))
		}
		c.Margin, c.bulge = max(c.Margin, d.Margin), max(c.bulge, d.bulge)
		out.bows = append(out.bows, c)
	}
	return out
}

// sides is to how many sides a loop is bowed that may bow to any.
const sides = 12

// distance is that of a curve from a zone as it sees it, where that is less
// than a bound; less than it by no more than what the curve leaves its line of
// places by.
func (b *bow) distance(f *motion.Rigid, z solid, bound float64) (float64, error) {
	last := len(b.Points) - 1
	first, end := f.Move(b.Points[0]), f.Move(b.Points[last])
	chord, err := routing.PathDistance([]r3.Vec{first, end}, z.Zone, math.Inf(1))
	if err != nil || chord.Distance-b.bulge > bound {
		return math.Inf(1), err
	}
	path := make([]r3.Vec, last+1)
	for i, p := range b.Points {
		path[i] = f.Move(p)
	}
	near, err := routing.PathDistance(path, z.Zone, bound+b.Margin)
	least := near.Distance - b.Margin
	if err != nil || !b.AnySide {
		return least, err
	}
	off := b.Margin + b.Sag*(1-math.Cos(math.Pi/sides)) // between two sides
	least = near.Distance - off
	for k := 1; k < sides; k++ {
		by := r3.NewRotation(2*math.Pi*float64(k)/sides, r3.Sub(end, first))
		for i := range path {
			path[i] = r3.Add(first, by.Rotate(r3.Sub(f.Move(b.Points[i]), first)))
		}
		near, err := routing.PathDistance(path, z.Zone, min(bound, least)+off)
		if err != nil {
			return 0, err
		}
		least = min(least, near.Distance-off)
	}
	return least, nil
}

// swing is how a loop as a whole moves against a zone.
type swing struct {
	m      *movers
	before []int // the joints that carry both clips, but not the zone
	own    []int // those between the clips, in the order of the loop's
	free   []int // those of neither, and the first
	q      []float64

	rigid       motion.Rigid // the last
	known       bool
	at, scratch []float64 // where those joints stood
}

func newSwing(l *loop, m *movers) *swing {
	a, b := len(m.start)-len(l.chain.A), len(m.end)-len(l.chain.B)
	w := &swing{m: m, before: m.start[:a], own: append(slices.Clone(m.start[a:]), m.end[b:]...), q: make([]float64, len(m.joints))}
	for i, j := range m.joints {
		w.q[i] = j.From
		if !slices.Contains(w.own, i) && j.From < j.To {
			w.free = append(w.free, i)
		}
	}
	return w
}

func (w *swing) set(own []float64) {
	for k, i := range w.own {
		w.q[i] = own[k]
	}
}

func (w *swing) setFree(rest []float64) {
	for k, i := range w.free {
		w.q[i] = rest[k]
	}
}

// from is the start of the range of every joint.
func (w *swing) from() []float64 {
	list := make([]float64, len(w.m.joints))
	for i, j := range w.m.joints {
		list[i] = j.From
	}
	return list
}

// to is its end.
func (w *swing) to() []float64 {
	list := make([]float64, len(w.m.joints))
	for i, j := range w.m.joints {
		list[i] = turn(j)
	}
	return list
}

// steps are how far the positions are apart that are looked at.
func (w *swing) steps() []float64 {
	list := make([]float64, len(w.m.joints))
	own := 0
	for _, i := range w.own {
		if j := w.m.joints[i]; j.From < j.To {
			own++
		}
	}
	for i, j := range w.m.joints {
		moving := len(w.free)
		if slices.Contains(w.own, i) {
			moving = own
		}
		list[i] = (turn(j) - j.From) / float64(max(1, stepsOf(moving)-1))
	}
	return list
}

// others lists positions of the joints that do not change the curve.
func (w *swing) others() [][]float64 {
	steps, count := stepsOf(len(w.free)), 1
	for range w.free {
		count = min(count*steps, 64)
	}
	places := make([][]float64, count)
	for n := range places {
		rest := n
		for _, i := range w.free {
			j := w.m.joints[i]
			places[n] = append(places[n], j.From+(turn(j)-j.From)*float64(rest%steps)/float64(max(1, steps-1)))
			rest /= steps
		}
	}
	return places
}

// frame is how the zone sees what is fixed beside the loop's first joint.
func (w *swing) frame() (*motion.Rigid, error) {
	var row []motion.Joint
	q := w.scratch[:0]
	for k := len(w.m.zone) - 1; k >= 0; k-- {
		i := w.m.zone[k]
		row, q = append(row, w.m.joints[i].Inverse()), append(q, w.q[i])
	}
	for _, i := range w.before {
		row, q = append(row, w.m.joints[i]), append(q, w.q[i])
	}
	if w.known && slices.Equal(q, w.at) {
		return &w.rigid, nil
	}
	var err error
	w.rigid, err = motion.Frame(row, q)
	w.at, w.scratch, w.known = q, w.at, err == nil
	return &w.rigid, err
}
