package facts

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/elastica"
	"kitgauge/checker/quantities/motion"
	"kitgauge/checker/units"
)

// swept is what a loop does over the range of its joints: its curves there,
// and in full where it is tightest and where it sags most.
type swept struct {
	poses            []loopPose
	tight, deep      []float64
	tightest, lowest []bow
	sag              float64 // most, of the curves of the poses
	widest           float64 // its reach
}

// loopPose is the curves of a span with the joints at some values: one for
// every tube and every way in which its ends may be held, and more where a tube
// can lie in more ways than one.
type loopPose struct {
	q    []float64
	bows []bow
	ball solid // round them all
}

// bow is the curve of one tube.
type bow struct {
	elastica.Curve
	tube, way int     // which of the lengths, and in which way the ends are held
	track     int     // curves of one track follow from one another
	bulge     float64 // how far it gets from the line between its ends at most
}

func newBow(c elastica.Curve, tube, way, track int) bow {
	b := bow{Curve: c, tube: tube, way: way, track: track}
	first, d := c.Points[0], r3.Sub(c.Points[len(c.Points)-1], c.Points[0])
	for _, p := range c.Points {
		p = r3.Sub(p, first)
		t := max(0, min(1, r3.Dot(p, d)/r3.Norm2(d)))
		b.bulge = max(b.bulge, r3.Norm2(r3.Sub(p, r3.Scale(t, d))))
	}
	b.bulge = math.Sqrt(b.bulge) + c.Margin
	return b
}

// sweep works out the curves at positions spread over the range of the joints,
// and in full at the two that matter.
func (l *loop) sweep(also [][]float64) (swept, error) {
	places := l.positions()
	t := tracer{loop: l, grid: len(places), solver: elastica.Solver{Rough: true}}
	for _, q := range also {
		if q != nil && !slices.ContainsFunc(places, func(p []float64) bool { return apart(p, q) < 1e-9 }) {
			places = append(places, q)
		}
	}
	t.poses = make([]loopPose, len(places))
	for i, q := range places {
		t.poses[i].q = q
	}
	for tube := range l.lengths {
		if err := t.curves(tube); err != nil {
			return swept{}, err
		}
	}
	w := swept{poses: slices.DeleteFunc(t.poses, func(p loopPose) bool { return len(p.bows) == 0 })}
	for i := range w.poses {
		w.poses[i].ball = ballRound(w.poses[i].bows)
	}
	w.extremes(l)
	w.widest = w.reach(l)
	return w, nil
}

// ballOf is a ball round a segment.
func ballOf(a, b r3.Vec) solid {
	return solid{centre: r3.Scale(0.5, r3.Add(a, b)), radius: r3.Norm(r3.Sub(b, a)) / 2}
}

// ballRound is a ball round some curves.
func ballRound(bows []bow) solid {
	var ball solid
	for i := range bows {
		b := &bows[i]
		one := ballOf(b.Points[0], b.Points[len(b.Points)-1])
		one.radius += b.bulge
		if i == 0 {
			ball = one
		}
		ball = ball.with(one)
	}
	return ball
}

// with is a ball round two balls.
func (z solid) with(o solid) solid {
	d := r3.Sub(o.centre, z.centre)
	apart := r3.Norm(d)
	switch {
	case apart+o.radius <= z.radius:
		return z
	case apart+z.radius <= o.radius:
		return o
	}
	radius := (apart + z.radius + o.radius) / 2
	return solid{centre: r3.Add(z.centre, r3.Scale((radius-z.radius)/apart, d)), radius: radius}
}

// apart is how far two positions of the joints are apart.
func apart(a, b []float64) float64 {
	far := 0.0
	for i := range a {
		far += math.Abs(a[i] - b[i])
	}
	return far
}

// tracer follows curves from pose to pose.
type tracer struct {
	*loop
	poses  []loopPose
	grid   int // how many poses lie each beside the one before
	solver elastica.Solver
	tracks int

	tube, way int // those which are followed
	spans     []elastica.Span
}

// afresh is at every how many poses the curve with the least bending is looked
// for, whatever it was before.
const afresh = 2

// curves finds the curves of a tube. Where it can lie in two ways it stays in
// that which it comes from, until it snaps over to the one with less bending:
// both count, from whichever side the joints come.
func (t *tracer) curves(tube int) error {
	t.tube = tube
	ways := make([][]elastica.Span, len(t.poses))
	for i := range ways {
		ways[i] = t.span(t.poses[i].q, t.lengths[tube]).Ways()
	}
	for t.way = range ways[0] {
		t.spans = t.spans[:0]
		for i := range ways {
			t.spans = append(t.spans, ways[i][t.way])
		}
		for i := range t.grid {
			if i%afresh == 0 || i == t.grid-1 {
				if err := t.begin(i); err != nil {
					return err
				}
			}
		}
		for i := range t.poses {
			if err := t.fill(i); err != nil {
				return err
			}
		}
	}
	return nil
}

// reaches reports whether the tube is long enough in a pose; that it is not is
// for slack to say.
func (t *tracer) reaches(i int) bool {
	s := &t.spans[i]
	return r3.Norm(r3.Sub(s.To, s.From)) <= s.Length
}

// known are the curves of the tube that are known in a pose.
func (t *tracer) known(i int) []bow {
	list := t.poses[i].bows
	for len(list) > 0 && (list[0].tube != t.tube || list[0].way != t.way) {
		list = list[1:]
	}
	return list
}

// begin looks for the curve of least bending in a pose, and follows it to both
// sides where it is not known.
func (t *tracer) begin(i int) error {
	if known := t.known(i); !t.reaches(i) || len(known) > 0 && known[0].Sole() {
		return nil
	}
	t.solver.Forget()
	if is, err := t.add(i); !is || err != nil {
		return err
	}
	t.tracks++
	list := t.poses[i].bows
	first := list[len(list)-1]
	for _, step := range [2]int{1, -1} {
		t.solver.Follow(&first.Curve)
		for k := i + step; k >= 0 && k < t.grid; k += step {
			if !t.reaches(k) {
				continue
			}
			if is, err := t.add(k); err != nil {
				return err
			} else if !is {
				break
			}
		}
	}
	return nil
}

// fill finds the curve in a pose that none was followed to, from that in the
// pose nearest to it.
func (t *tracer) fill(i int) error {
	if !t.reaches(i) || len(t.known(i)) > 0 {
		return nil
	}
	nearest, far := -1, math.Inf(1)
	for k := range t.grid {
		if d := apart(t.poses[i].q, t.poses[k].q); d < far && len(t.known(k)) > 0 {
			nearest, far = k, d
		}
	}
	if nearest < 0 {
		return t.begin(i)
	}
	for _, b := range slices.Clone(t.known(nearest)) {
		t.solver.Follow(&b.Curve)
		if _, err := t.add(i); err != nil {
			return err
		}
	}
	return nil
}

// add solves one pose, and reports whether its curve is a new one.
func (t *tracer) add(i int) (bool, error) {
	if !t.search.Take(motion.Setup) {
		return false, motion.ErrSpent
	}
	c, err := t.solver.Solve(t.spans[i])
	if err != nil {
		return false, fmt.Errorf("with %s: %w", kit.Standing(t.joints, t.poses[i].q, units.Metric), err)
	}
	for _, b := range t.known(i) {
		if alike(&b.Curve, &c, t.spans[i].Length) {
			return false, nil
		}
	}
	t.poses[i].bows = append(t.poses[i].bows, newBow(c, t.tube, t.way, t.tracks))
	return true, nil
}

// modes is how far apart the places of two curves are that are not the same, as
// a share of their length.
const modes = 0.01

// alike reports whether two curves of a length are the same.
func alike(a, b *elastica.Curve, length float64) bool {
	if len(a.Points) != len(b.Points) {
		return false
	}
	for i := range a.Points {
		if r3.Norm2(r3.Sub(a.Points[i], b.Points[i])) > modes*modes*length*length {
			return false
		}
	}
	return true
}

// extremes finds the position with the least radius, and that with the most
// sag, and the curves there in full.
func (w *swept) extremes(l *loop) {
	radius := math.Inf(1)
	w.sag = -1
	var tight, deep *loopPose
	for i := range w.poses {
		p := &w.poses[i]
		for k := range p.bows {
			c := &p.bows[k].Curve
			if !c.Straight && c.Radius < radius {
				tight, radius = p, c.Radius
			}
			if c.Sag > w.sag {
				deep, w.sag = p, c.Sag
			}
		}
	}
	if tight != nil {
		w.tight, w.tightest = tight.q, l.inFull(tight)
	}
	switch {
	case deep == nil:
	case deep == tight:
		w.deep, w.lowest = w.tight, w.tightest
	default:
		w.deep, w.lowest = deep.q, l.inFull(deep)
	}
}

// inFull are the curves of a pose, no longer rough.
func (l *loop) inFull(p *loopPose) []bow {
	var full elastica.Solver
	var list []bow
	for i := range p.bows {
		b := &p.bows[i]
		full.Follow(&b.Curve)
		if c, err := full.Solve(l.way(p.q, b.tube, b.way)); err == nil {
			list = append(list, newBow(c, b.tube, b.way, b.track))
		}
	}
	return list
}

// way is a tube with the joints at q and its ends held in one of the ways that
// they may be.
func (l *loop) way(q []float64, tube, way int) elastica.Span {
	return l.span(q, l.lengths[tube]).Ways()[way]
}

// positions are spread evenly over the range of the joints, each beside the
// one before.
func (l *loop) positions() [][]float64 {
	joints := append(slices.Clone(l.chain.A), l.chain.B...)
	var moving []int
	q := make([]float64, len(joints))
	for i, j := range joints {
		q[i] = j.From
		if j.From < j.To {
			moving = append(moving, i)
		}
	}
	steps, count := stepsOf(len(moving)), 1
	for range moving {
		count = min(count*steps, 64)
	}
	places := make([][]float64, count)
	for n := range places {
		at, rest := slices.Clone(q), n
		for _, i := range moving {
			step := rest % steps
			if rest /= steps; rest%2 == 1 { // to and fro
				step = steps - 1 - step
			}
			at[i] = joints[i].From + (turn(joints[i])-joints[i].From)*float64(step)/float64(max(1, steps-1))
		}
		places[n] = at
	}
	return places
}

// loopSteps is how many positions are looked at along one joint, by how many
// joints move the span.
var loopSteps = [...]int{1, 9, 5, 3}

func stepsOf(moving int) int {
	if moving < len(loopSteps) {
		return loopSteps[moving]
	}
	return 2
}

// turn is the end of a joint's range, less what goes beyond a full turn.
func turn(j motion.Joint) float64 {
	if j.Kind == motion.Revolute {
		return min(j.To, j.From+2*math.Pi)
	}
	return j.To
}
