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

const (
	bundleView  = 0.1  // how near another bundle is to a loop that is looked at, where the limit is not greater [m]
	leavingClip = 0.15 // how much of a loop, from a clip on a body that the other is held on too, may lie beside it [m]
)

// strand is what lies in a piece of a route: a loop, or a straight run.
type strand struct {
	hop
	bodies [2]*kit.Body
	ends   routing.Segment
	loop   *loop // nil for a run
	radius float64
}

// strands lists what lies in the pieces of all routes whose place is known.
func (p *prober) strands() []*strand {
	var list []*strand
	for _, r := range p.graph.Routes {
		for i := r.First; i < len(r.Stops); i++ {
			a, b, l := r.Stops[i-1], r.Stops[i], p.loops[hop{r, i}]
			if _, known := r.Hop(i); !known || r.Astray(i) || len(r.Lines(i)) == 0 || l == nil && a.Body != b.Body {
				continue
			}
			list = append(list, &strand{hop{r, i}, [2]*kit.Body{a.Body, b.Body}, routing.Segment{A: a.Position.Vec(), B: b.Position.Vec()}, l, p.radius(r, i)})
		}
	}
	return list
}

// ball holds all of the strand and moves with the body of its first end: a
// loop's is about that end, for the other may come to any side of it.
func (s *strand) ball() solid {
	if s.loop != nil {
		return solid{centre: s.ends.A, radius: s.loop.length}
	}
	return solid{centre: r3.Scale(0.5, r3.Add(s.ends.A, s.ends.B)), radius: r3.Norm(r3.Sub(s.ends.B, s.ends.A)) / 2}
}

// rubs reports whether two strands can rub: those of one bundle, or that move
// together, may be tied to each other.
func (s *strand) rubs(o *strand) bool {
	if s.route == o.route || bundleOf(s.route) != nil && bundleOf(s.route) == bundleOf(o.route) {
		return false
	}
	if o.loop == nil { // a run on a body of the loop's is passed by what lies still there
		return !slices.Contains(s.bodies[:], o.bodies[0])
	}
	both := slices.Contains(s.bodies[:], o.bodies[0]) && slices.Contains(s.bodies[:], o.bodies[1])
	return !both
}

// bundleOf is the bundle of a route, or from which its line comes.
func bundleOf(r *kit.Route) *kit.Bundle {
	if r.Bundle == nil && r.Line != nil {
		return r.Line.Bundle.To
	}
	return r.Bundle
}

// bundleGaps finds how near the loops come to other bundles that move against
// them.
func (p *prober) bundleGaps(spans []*Span) {
	all := p.strands()
	next := 0
	for _, r := range p.graph.Routes {
		for i := r.First; i < len(r.Stops); i++ {
			if !r.Spans(i) || next >= len(spans) {
				continue
			}
			s := spans[next]
			next++
			at := slices.IndexFunc(all, func(o *strand) bool { return o.hop == hop{r, i} })
			value.Fill(func(n *value.Need) error {
				n.Number("the loop", s.LoopSag)
				if at < 0 {
					n.Stop("where the loop is is not known")
				}
				return p.bundleGap(n, s, all[at], all)
			}, &s.BundleGap, &s.BundleWhen, &s.BundleNear)
		}
	}
}

func (p *prober) bundleGap(n *value.Need, s *Span, own *strand, all []*strand) error {
	least, keep := math.Inf(1), p.options.limit("routing/bundles").V
	view, reach := max(bundleView, keep), own.loop.reach()
	for _, o := range all {
		if !own.rubs(o) {
			continue
		}
		m := p.between(own.bodies[0], own.bodies[1], o.bodies[0])
		if !m.joined || m.why != "" || m.many || m.bound(own.ends, o.ball()) > view+reach {
			continue
		}
		d, err := p.beside(own, o, view, keep)
		if err != nil {
			return err
		}
		if d.distance < min(least, view) {
			least = d.distance
			s.BundleNear = value.Known(o.route.From(o.stop-1, o.stop))
			s.BundleWhen = value.Known(kit.Standing(d.of, d.q, p.graph.Kit.Family()))
		}
	}
	if least > view {
		n.Stop("no other bundle that moves against the loop comes as near as is looked at")
	}
	s.BundleGap = value.Known(kit.Settled(least))
	return nil
}

// strandPair is a loop and another strand, over the joints that move them.
type strandPair struct {
	strands [2]*strand
	of      []*kit.Joint
	joints  []motion.Joint
	paths   [2][2][]int // of the two ends of the two strands
	with    [2]solvers
	known   [2]map[string][]elastica.Curve // what the positions spread over the range gave
	view    float64                        // how near is looked at
}

// besideAt is the nearest of a pair.
type besideAt struct {
	place
	of []*kit.Joint
}

// beside is the least distance of two strands over the range of all joints.
func (p *prober) beside(a, b *strand, view, keep float64) (besideAt, error) {
	w := strandPair{strands: [2]*strand{a, b}, view: view}
	m := &movers{}
	var chains [4][]*kit.Joint
	for i := range chains {
		_, chains[i] = p.graph.Hanging(w.strands[i/2].bodies[i%2])
	}
	common := min(shared([3][]*kit.Joint(chains[:3])), shared([3][]*kit.Joint(chains[1:])))
	for i, chain := range chains {
		for _, j := range chain[common:] {
			at := slices.Index(w.of, j)
			if at < 0 {
				at = len(w.of)
				w.of, w.joints = append(w.of, j), append(w.joints, p.joint(j, m))
			}
			w.paths[i/2][i%2] = append(w.paths[i/2][i%2], at)
		}
	}
	if m.why != "" || len(w.of) > 3*motion.MostJoints {
		return besideAt{place: place{distance: math.Inf(1)}}, nil
	}
	key := func() string {
		s := fmt.Sprint("beside ", w.joints, w.paths, view, keep)
		for _, o := range w.strands {
			s += fmt.Sprint(o.ends, o.radius)
			if o.loop != nil {
				s += o.loop.key()
			}
		}
		return s
	}
	least, err := recall(p.memory, key, p.search, func() (place, error) { return w.least(keep) })
	return besideAt{least, w.of}, err
}

func (w *strandPair) least(keep float64) (place, error) {
	l := &loop{chain: motion.Chain{A: w.joints}}
	d := descent{distance: w.at, whole: w.whole}
	moving := 0
	for _, j := range w.joints {
		d.from, d.to = append(d.from, j.From), append(d.to, turn(j))
		if j.From < j.To {
			moving++
		}
	}
	for i := range w.joints {
		d.steps = append(d.steps, (d.to[i]-d.from[i])/float64(max(1, stepsOf(moving)-1)))
	}
	best := place{distance: math.Inf(1)}
	var from []place
	for k := range w.with {
		w.with[k], w.known[k] = solvers{rough: true}, map[string][]elastica.Curve{}
	}
	for _, q := range l.positions() {
		far, err := w.at(q, min(w.view, best.distance)+between)
		if err != nil {
			return best, err
		}
		if far <= w.view+between {
			from = append(from, place{q, far})
		}
		if far < best.distance {
			best = place{q, far}
		}
	}
	if best.distance == 0 || best.distance > keep+2*between {
		return best, nil
	}
	return d.least(from, best)
}

func (w *strandPair) whole(q []float64) (float64, error) {
	w.with, w.known = [2]solvers{}, [2]map[string][]elastica.Curve{}
	far, err := w.at(q, math.Inf(1))
	w.with[0].stay, w.with[1].stay = true, true
	return far, err
}

// at is the distance with the joints at q, or a bound below it where that is
// farther than is looked at.
func (w *strandPair) at(q []float64, _ float64) (float64, error) {
	if far := w.outside(q); far > w.view+between {
		return far, nil
	}
	var curves [2][]elastica.Curve
	for k := range curves {
		var err error
		if curves[k], err = w.curves(k, q); errors.Is(err, motion.ErrSpent) {
			return 0, err
		}
	}
	least := math.Inf(1)
	for i := range curves[0] {
		for j := range curves[1] {
			least = min(least, w.apart(&curves[0][i], &curves[1][j], min(least, w.view+between)))
		}
	}
	return max(0, least), nil
}

// outside is a distance below which two strands never are with the joints at q:
// a tube lies within the ellipsoid about its ends, and so in a round of half its
// width about its chord.
func (w *strandPair) outside(q []float64) float64 {
	var chords [2]routing.Segment
	off := 0.0
	for k, s := range w.strands {
		chains, own := w.own(k, q)
		n := len(chains[0])
		chords[k].A, _ = carried(chains[0], own[:n], s.ends.A, r3.Vec{})
		chords[k].B, _ = carried(chains[1], own[n:], s.ends.B, r3.Vec{})
		off += s.radius
		if s.loop != nil {
			off += halfWidth(s.loop.length, r3.Norm(r3.Sub(chords[k].B, chords[k].A)))
		}
	}
	near, err := routing.PathDistance([]r3.Vec{chords[0].A, chords[0].B}, routing.Capsule{Axis: chords[1]})
	if err != nil {
		return 0
	}
	return near.Distance - off
}

// own are the joints of a strand's two bodies, and where they stand.
func (w *strandPair) own(k int, q []float64) (chains [2][]motion.Joint, own []float64) {
	for end, path := range w.paths[k] {
		for _, i := range path {
			chains[end], own = append(chains[end], w.joints[i]), append(own, q[i])
		}
	}
	return chains, own
}

// curves are those of a strand, where its bodies are with the joints at q.
func (w *strandPair) curves(k int, q []float64) ([]elastica.Curve, error) {
	s := w.strands[k]
	chains, own := w.own(k, q)
	n := len(chains[0])
	if s.loop == nil {
		a, _ := carried(chains[0], own[:n], s.ends.A, r3.Vec{})
		b, _ := carried(chains[1], own[n:], s.ends.B, r3.Vec{})
		return []elastica.Curve{{Straight: true, Points: []r3.Vec{a, b}}}, nil
	}
	key := fmt.Sprint(own)
	if c, is := w.known[k][key]; is && !w.with[k].stay {
		return c, nil
	}
	l := *s.loop
	l.chain = motion.Chain{A: chains[0], B: chains[1]}
	l.joints = nil
	c, err := l.curvesAt(own, &w.with[k])
	if err == nil && w.known[k] != nil && !w.with[k].stay {
		w.known[k][key] = c
	}
	return c, err
}

// apart is the distance of two curves, less what lies round them; without what
// lies beside each other at clips on one body.
func (w *strandPair) apart(a, b *elastica.Curve, bound float64) float64 {
	off := w.strands[0].radius + w.strands[1].radius + a.Margin + b.Margin
	for _, c := range []*elastica.Curve{a, b} {
		if c.AnySide {
			off += c.Sag * (1 - math.Cos(math.Pi/pairSides)) // between two sides
		}
	}
	least := math.Inf(1)
	if gap := ballGap(a.Points, b.Points) - off; gap > bound {
		return least
	}
	for _, one := range w.sided(0, a) {
		for _, other := range w.sided(1, b) {
			for i := 1; i < len(other); i++ {
				near, err := routing.PathDistance(one, routing.Capsule{Axis: routing.Segment{A: other[i-1], B: other[i]}})
				if err == nil {
					least = min(least, near.Distance-off)
				}
			}
		}
	}
	return least
}

// ballGap is a distance below which two curves, bowed to any side, never are:
// that of the balls about the middles of their chords.
func ballGap(a, b []r3.Vec) float64 {
	ball := func(path []r3.Vec) (r3.Vec, float64) {
		middle, far := r3.Scale(0.5, r3.Add(path[0], path[len(path)-1])), 0.0
		for _, p := range path {
			far = max(far, r3.Norm(r3.Sub(p, middle)))
		}
		return middle, far
	}
	p, r := ball(a)
	q, s := ball(b)
	return r3.Norm(r3.Sub(p, q)) - r - s
}

// pairSides is to how many sides a loop is bowed beside another.
const pairSides = 8

// sided lists the ways of a curve, to every side where it may bow to any,
// without what leaves a clip on a body that the other strand is held on too.
func (w *strandPair) sided(k int, c *elastica.Curve) [][]r3.Vec {
	turns := 1
	if c.AnySide {
		turns = pairSides
	}
	other := w.strands[1-k].bodies
	var list [][]r3.Vec
	for t := range turns {
		path := c.Points
		if t > 0 {
			by := r3.NewRotation(2*math.Pi*float64(t)/pairSides, r3.Sub(path[len(path)-1], path[0]))
			path = slices.Clone(path)
			for i, p := range path {
				path[i] = r3.Add(path[0], by.Rotate(r3.Sub(p, path[0])))
			}
		}
		if slices.Contains(other[:], w.strands[k].bodies[0]) {
			path = without(path)
		}
		if slices.Contains(other[:], w.strands[k].bodies[1]) {
			path = slices.Clone(path)
			slices.Reverse(path)
			path = without(path)
		}
		list = append(list, path)
	}
	return list
}

// without is a way without its beginning.
func without(path []r3.Vec) []r3.Vec {
	gone := 0.0
	for i := 1; i < len(path); i++ {
		if gone += r3.Norm(r3.Sub(path[i], path[i-1])); gone > leavingClip {
			return path[i-1:]
		}
	}
	return path[len(path)-1:]
}
