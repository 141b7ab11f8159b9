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
	rest   [][]float64 // positions of the joints that do not change the curve
	tails  []tail      // the curves that are followed
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
	s.rest = s.w.others()
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
	return s.descend(from, best)
}

// descend searches on from the nearest of some places.
func (s *loopSearch) descend(from []place, best place) (place, error) {
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
	for _, rest := range s.rest {
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

// tailsOf takes up the curves of a pose.
func tailsOf(p *loopPose) []tail {
	tails := make([]tail, len(p.bows))
	for i, b := range p.bows {
		tails[i] = tail{b, elastica.Solver{Rough: true}}
		tails[i].solver.Follow(&b.Curve)
	}
	return tails
}

// follow moves the curve to where the loop's own joints stand at q. A curve that
// is not found there is looked for elsewhere.
func (t *tail) follow(l *loop, q []float64, budget *motion.Budget) (found bool, err error) {
	if !budget.Take(motion.Setup) {
		return false, motion.ErrSpent
	}
	c, fault := t.solver.Solve(l.way(q, t.tube, t.way))
	if fault != nil {
		return false, nil
	}
	t.bow = newBow(c, t.tube, t.way, t.track)
	return true, nil
}

// begin takes up the curves of a pose, and is the distance there.
func (s *loopSearch) begin(from place) (float64, error) {
	s.tails = tailsOf(&s.l.poses[from.pose])
	return s.at(from.q, math.Inf(1))
}

// at is the distance with all joints at q, of curves that follow from those
// before.
func (s *loopSearch) at(q []float64, bound float64) (float64, error) {
	copy(s.w.q, q)
	frame, err := s.w.frame()
	least := math.Inf(1)
	for i := range s.tails {
		if err != nil {
			return least, err
		}
		t := &s.tails[i]
		found, fault := t.follow(s.l, s.ownOf(q), s.budget)
		if fault != nil {
			return least, fault
		}
		if !found {
			continue
		}
		var far float64
		if far, err = s.distance(&t.bow, frame, min(bound, least)); err == nil {
			least = min(least, far)
		}
	}
	return least, err
}

// finish is the distance with all joints at the place that was found, of curves
// that are no longer rough, and of those with the least bending there.
func (s *loopSearch) finish(at place) (float64, error) {
	afresh := make([]tail, 0, len(s.tails))
	for i := range s.tails {
		t := &s.tails[i]
		t.solver.Rough = false
		if !t.Sole() && !slices.ContainsFunc(afresh, func(o tail) bool { return o.tube == t.tube && o.way == t.way }) {
			afresh = append(afresh, tail{bow: t.bow})
		}
	}
	s.tails = append(s.tails, afresh...)
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
	var room [64]r3.Vec
	path := room[:0]
	for _, p := range b.Points {
		path = append(path, f.Move(p))
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

	carrier carrier
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
	for k := len(m.zone) - 1; k >= 0; k-- {
		w.carrier.add(m.zone[k], m.joints[m.zone[k]].Inverse())
	}
	for _, i := range w.before {
		w.carrier.add(i, m.joints[i])
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
func (w *swing) others() [][]float64 { return spaced(w.m.joints, w.free) }

// spaced lists positions of some joints, spread evenly over their range.
func spaced(joints []motion.Joint, list []int) [][]float64 {
	steps, count := stepsOf(len(list)), 1
	for range list {
		count = min(count*steps, 64)
	}
	places := make([][]float64, count)
	for n := range places {
		rest := n
		for _, i := range list {
			j := joints[i]
			places[n] = append(places[n], j.From+(turn(j)-j.From)*float64(rest%steps)/float64(max(1, steps-1)))
			rest /= steps
		}
	}
	return places
}

// frame is how the zone sees what is fixed beside the loop's first joint.
func (w *swing) frame() (*motion.Rigid, error) { return w.carrier.at(w.q) }

// carrier is a row of joints of those that stand at some values.
type carrier struct {
	joints []motion.Joint
	row    motion.Row
	of     []int
	q      []float64
	rigid  motion.Rigid
	known  bool
}

func (c *carrier) add(at int, j motion.Joint) {
	c.joints, c.of, c.q = append(c.joints, j), append(c.of, at), append(c.q, math.NaN())
}

// apartFrom reports whether no one of some joints is in the row.
func (c *carrier) apartFrom(list []int) bool {
	return !slices.ContainsFunc(c.of, func(i int) bool { return slices.Contains(list, i) })
}

// at is how the row carries what is fixed at its end.
func (c *carrier) at(q []float64) (*motion.Rigid, error) {
	for k, i := range c.of {
		if c.q[k] != q[i] {
			c.q[k], c.known = q[i], false
		}
	}
	if c.known {
		return &c.rigid, nil
	}
	if c.row == nil {
		var err error
		if c.row, err = motion.NewRow(c.joints); err != nil {
			return nil, err
		}
	}
	c.rigid, c.known = c.row.At(c.q), true
	return &c.rigid, nil
}
