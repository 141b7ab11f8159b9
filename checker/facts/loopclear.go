package facts

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/elastica"
	"kitgauge/checker/quantities/motion"
	"kitgauge/checker/quantities/routing"
	"kitgauge/checker/value"
)

// hop is a piece of a route, by the stop at which it ends.
type hop struct {
	route *kit.Route
	stop  int
}

// loopsOf finds the loops of the spans, which stand in the order of the routes.
func loopsOf(g *kit.Graph, spans []*Span) map[hop]*loop {
	loops := map[hop]*loop{}
	next := 0
	for _, r := range g.Routes {
		for i := r.First; i < len(r.Stops); i++ {
			if r.Spans(i) && next < len(spans) {
				if l := spans[next].loop; l != nil {
					loops[hop{r, i}] = l
				}
				next++
			}
		}
	}
	return loops
}

// pumpView is how near the pump is to a loop that is looked at [m].
const pumpView = 1.0

// pumpGaps finds how near the loops come to the pump. A span that begins at
// the pump is left out.
func (p *prober) pumpGaps(spans []*Span) {
	next := 0
	for _, r := range p.graph.Routes {
		for i := r.First; i < len(r.Stops); i++ {
			if !r.Spans(i) || next >= len(spans) {
				continue
			}
			s := spans[next]
			next++
			s.PumpGap = value.Compute(func(n *value.Need) (float64, error) {
				if i == 1 && r.Own == 1 {
					n.Stop("the span begins at the pump")
				}
				return p.pumpGap(n, s, r, i)
			})
		}
	}
}

func (p *prober) pumpGap(n *value.Need, s *Span, r *kit.Route, i int) (float64, error) {
	n.Number("the loop", s.LoopSag)
	pump := &p.graph.Kit.Pump
	position, filler := pumpPlaces(n, p.graph.Kit)
	m := p.between(r.Stops[i-1].Body, r.Stops[i].Body, pump.Body.Of(n, "the body of the pump"))
	if !m.joined || m.why != "" || m.many {
		n.Stop("how the pump moves against the loop is not known")
	}
	line := routing.Segment{A: position, B: filler}
	body := solid{routing.Capsule{Axis: line}, r3.Scale(0.5, r3.Add(position, filler)), r3.Norm(r3.Sub(filler, position)) / 2}
	clips := routing.Segment{A: s.loop.ends[0].at, B: s.loop.ends[1].at}
	off := p.radius(r, i)
	if m.bound(clips, body) > pumpView+off+s.loop.reach() {
		n.Stop("the pump is farther from the loop than is looked at")
	}
	c, err := p.loopClearance(s.loop, m, body, pumpView+off, off+p.options.limit("mounting/loop").V+p.options.limit("mounting/half_width").V)
	if err == nil && c.Distance > pumpView+off {
		n.Stop("the pump is farther from the loop than is looked at")
	}
	return kit.Settled(max(0, c.Distance-off)), err
}

// reach is how far the loop gets from the line between its clips at most,
// whatever its curve: all of it lies in the ellipsoid about the clips whose
// points are the tube's length from both together.
func (l *loop) reach() float64 {
	nearest := math.Inf(1)
	for i := range l.poses {
		s := l.span(l.poses[i].q, l.length)
		nearest = min(nearest, r3.Norm(r3.Sub(s.To, s.From)))
	}
	return halfWidth(l.length, nearest)
}

// halfWidth is half the width of that ellipsoid.
func halfWidth(length, chord float64) float64 {
	return math.Sqrt(max(0, length*length-chord*chord)) / 2
}

// between is how much nearer a loop may come between the positions that are
// looked at than it is at one of them, so that the place is searched [m].
const between = 0.03

// loopClearance is the least distance of a loop from a zone over the range of
// all joints, where that is less than a bound: to a millimetre where it may be
// less than what is to be kept, and else to some.
func (p *prober) loopClearance(l *loop, m *movers, z solid, within, keep float64) (routing.Clearance, error) {
	key := func() string {
		return l.key(m.joints, m.start, m.end, m.zone, fmt.Sprintf("%T %v", z.Zone, z.Zone), within, keep)
	}
	return recall(p.memory, key, p.search, func() (routing.Clearance, error) {
		s := &loopSearch{l: l, w: newSwing(l, m), zone: z, budget: p.search}
		best, err := s.least(within, keep)
		return routing.Clearance{Nearest: routing.Nearest{Distance: max(0, best.distance)}, Joints: best.q}, err
	})
}

// loopSearch looks for the least distance of a loop from a zone.
type loopSearch struct {
	l      *loop
	w      *swing
	zone   solid
	budget *motion.Budget
	with   solvers // in full: rough curves may be some millimetres off
}

// least looks at all the positions at which the loop's curve is known, with the
// other joints spread over their range, guesses halfway between each two, and
// searches on from the nearest.
func (s *loopSearch) least(within, keep float64) (place, error) {
	best, from := place{distance: math.Inf(1)}, []place(nil)
	poses := s.l.poses
	for i := range poses {
		for k, pose := range []loopPose{poses[i], halfway(poses[max(0, i-1)], poses[i])} {
			near, err := s.nearest(&pose, min(within, best.distance)+between)
			if err != nil {
				return best, err
			}
			if near.q != nil {
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
	d := descent{from: s.w.from(), to: s.w.to(), steps: s.w.steps(), distance: s.at, whole: s.whole}
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
	s.w.set(pose.q)
	for _, rest := range s.w.others() {
		s.w.setFree(rest)
		far, err := s.distance(pose.curves, min(bound, best.distance))
		if err != nil {
			return best, err
		}
		if far < best.distance {
			best = place{slices.Clone(s.w.q), far}
		}
	}
	return best, nil
}

// whole is the distance with all joints at q, in every way in which the tube
// can lie there.
func (s *loopSearch) whole(q []float64) (float64, error) {
	s.with = solvers{}
	far, err := s.at(q, math.Inf(1))
	s.with.stay = true
	return far, err
}

// at is the distance with all joints at q, from the curve before.
func (s *loopSearch) at(q []float64, bound float64) (float64, error) {
	copy(s.w.q, q)
	curves, err := s.l.curvesAt(s.ownOf(q), &s.with)
	if errors.Is(err, motion.ErrSpent) {
		return 0, err
	}
	if err != nil { // a curve that is not found there is looked for elsewhere
		return math.Inf(1), nil
	}
	return s.distance(curves, bound)
}

// distance is that of the nearest of some curves.
func (s *loopSearch) distance(curves []elastica.Curve, bound float64) (float64, error) {
	frame, err := s.w.frame()
	least := math.Inf(1)
	for i := range curves {
		if !s.budget.Take(8) {
			return 0, motion.ErrSpent
		}
		if err != nil {
			return 0, err
		}
		var near float64
		if near, err = curveDistance(&curves[i], frame, s.zone, min(bound, least)); err == nil {
			least = max(0, min(least, near))
		}
	}
	return least, err
}

// halfway is a pose between two, by the middle between the places of their
// curves.
func halfway(a, b loopPose) loopPose {
	out := loopPose{q: make([]float64, len(a.q))}
	for i := range out.q {
		out.q[i] = (a.q[i] + b.q[i]) / 2
	}
	for i := range min(len(a.curves), len(b.curves)) {
		c, d := a.curves[i], b.curves[i]
		if len(c.Points) != len(d.Points) {
			continue
		}
		c.Points = slices.Clone(c.Points)
		for k := range c.Points {
			c.Points[k] = r3.Scale(0.5, r3.Add(c.Points[k], d.Points[k]))
		}
		c.Margin = max(c.Margin, d.Margin)
		out.curves = append(out.curves, c)
	}
	return out
}

// swing is how a loop as a whole moves against a zone.
type swing struct {
	m      *movers
	before []int // the joints that carry both clips, but not the zone
	own    []int // those between the clips, in the order of the loop's
	free   []int // those of neither, and the first
	q      []float64
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

// rigid is a motion: where the origin goes, and the three axes.
type rigid [4]r3.Vec

// frame is how the zone sees what is fixed beside the loop's first joint.
func (w *swing) frame() (rigid, error) {
	var row []motion.Joint
	var q []float64
	for k := len(w.m.zone) - 1; k >= 0; k-- {
		i := w.m.zone[k]
		row, q = append(row, w.m.joints[i].Inverse()), append(q, w.q[i])
	}
	for _, i := range w.before {
		row, q = append(row, w.m.joints[i]), append(q, w.q[i])
	}
	var f rigid
	for i, p := range [4]r3.Vec{{}, {X: 1}, {Y: 1}, {Z: 1}} {
		at, err := motion.Place(row, q, p)
		if err != nil {
			return f, err
		}
		f[i] = at
		if i > 0 {
			f[i] = r3.Sub(at, f[0])
		}
	}
	return f, nil
}

func (f *rigid) move(p r3.Vec) r3.Vec {
	return r3.Add(f[0], r3.Add(r3.Scale(p.X, f[1]), r3.Add(r3.Scale(p.Y, f[2]), r3.Scale(p.Z, f[3]))))
}

// sides is to how many sides a loop is bowed that may bow to any.
const sides = 12

// curveDistance is the distance of a curve from a zone as it sees it, where
// that is less than a bound; less than it by no more than what the curve leaves
// its line of places by.
func curveDistance(c *elastica.Curve, f rigid, z solid, bound float64) (float64, error) {
	path := make([]r3.Vec, len(c.Points))
	length := 0.0
	for i, p := range c.Points {
		if path[i] = f.move(p); i > 0 {
			length += r3.Norm(r3.Sub(path[i], path[i-1]))
		}
	}
	last := len(path) - 1
	chord, err := routing.PathDistance([]r3.Vec{path[0], path[last]}, z.Zone)
	wide := halfWidth(length+c.Margin, r3.Norm(r3.Sub(path[last], path[0]))) + c.Margin
	if err != nil || chord.Distance-wide > bound {
		return math.Inf(1), err
	}
	near, err := routing.PathDistance(path, z.Zone)
	least := near.Distance - c.Margin
	if err != nil || !c.AnySide {
		return least, err
	}
	least -= c.Sag * (1 - math.Cos(math.Pi/sides)) // between two sides
	axis := r3.Sub(path[last], path[0])
	for k := 1; k < sides; k++ {
		turned := make([]r3.Vec, len(path))
		by := r3.NewRotation(2*math.Pi*float64(k)/sides, axis)
		for i, p := range path {
			turned[i] = r3.Add(path[0], by.Rotate(r3.Sub(p, path[0])))
		}
		near, err := routing.PathDistance(turned, z.Zone)
		if err != nil {
			return 0, err
		}
		least = min(least, near.Distance-c.Margin-c.Sag*(1-math.Cos(math.Pi/sides)))
	}
	return least, nil
}

// height fills in how far the loop stays above the ground, where its bodies
// are as they move against each other and all else is at rest.
func (s *Span) height(ground value.Number) {
	s.Lowest = value.Compute(func(n *value.Need) (float64, error) {
		n.Number("the loop", s.LoopSag)
		lowest := math.Inf(1)
		for i := range s.loop.poses {
			for _, c := range s.loop.poses[i].curves {
				lowest = min(lowest, bottom(&c))
			}
		}
		return kit.Settled(lowest - n.Number("the outline of the vehicle", ground)), nil
	})
}

// bottom is the lowest place of a curve.
func bottom(c *elastica.Curve) float64 {
	first := c.Points[0]
	axis := r3.Sub(c.Points[len(c.Points)-1], first)
	along := r3.Scale(1/r3.Norm(axis), axis)
	low := math.Inf(1)
	for _, p := range c.Points {
		if c.AnySide { // as if it hung down
			foot := r3.Add(first, r3.Scale(r3.Dot(along, r3.Sub(p, first)), along))
			p.Z = foot.Z - r3.Norm(r3.Sub(p, foot))*math.Sqrt(max(0, 1-along.Z*along.Z))
		}
		low = min(low, p.Z)
	}
	return low - c.Margin
}
