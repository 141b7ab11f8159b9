package facts

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/elastica"
	"kitgauge/checker/quantities/motion"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// SpanLoop is the curve of a span's tubes over the range of its joints.
type SpanLoop struct {
	LoopRadius value.Number `key:"loop_radius" dim:"length"` // least
	LoopAt     value.Text   `key:"loop_at"`                  // how the joints stand there
	LoopHow    value.Text   `key:"loop_how"`                 // and how the tube is bent there
	LoopClip   value.Text   `key:"loop_clip"`                // the body of the clip at which that is, "" between the clips
	LoopSwivel value.Text   `key:"loop_swivel"`              // where an end is taken as free to swivel, though a clip holds it; "" where none is
	LoopSag    value.Number `key:"loop_sag" dim:"length"`    // most
	SagAt      value.Text   `key:"loop_sag_at"`
	Lowest     value.Number `key:"loop_height" dim:"length"`   // least, of the loop above the ground
	PumpGap    value.Number `key:"pump_distance" dim:"length"` // least, of the loop from the line between the pump's position and its filler
	loop       *loop
}

// loop is a span's curve over the positions of its joints.
type loop struct {
	ends    [2]clip
	chain   motion.Chain
	joints  []*kit.Joint // of both sides
	length  float64      // of the longest tube
	lengths []float64    // of the longest, and of the shortest where that is another
	swept
	search *motion.Budget
}

// swept is what a loop does over the range of its joints: its curves there,
// and in full where it is tightest and where it sags most.
type swept struct {
	poses            []loopPose
	tight, deep      []float64
	tightest, lowest []elastica.Curve
	sag              float64 // most, of the curves of the poses
}

// clip is an end of a span at rest, with how the tube leaves it.
type clip struct {
	at  r3.Vec
	end elastica.End
}

// loopPose is the curves of a span with the joints at some values: one for
// every way in which its ends may be held.
type loopPose struct {
	q      []float64
	curves []elastica.Curve
}

// clipAt is how the tube is held at a stop of a route, which the run on one
// side tells: step is -1 at the start of a span and 1 at its end. A clip or a
// tie holds the tube in the direction of that run. Where nothing holds it, or
// there is no run, as at a fitting, it is free to swivel; where that is not
// stated, or the tube leaves its bundle there, it may be either. Where the
// bundle ends there, the runs of its lines count.
func clipAt(r *kit.Route, at, step int) elastica.End {
	s, next := r.Stops[at], at+step
	if s.Station == nil || next < 0 || next >= len(r.Stops) {
		return bundleEnd(r, at)
	}
	beside, run := r.Stops[next], max(at, next)
	if beside.Body != s.Body || !beside.Position.Known() || !s.Position.Known() || r.Astray(run) || len(r.Lines(run)) == 0 {
		return elastica.End{}
	}
	e := elastica.End{Direction: r3.Scale(float64(step), r3.Sub(beside.Position.Vec(), s.Position.Vec()))}
	switch hold := s.Station.Hold; {
	case r3.Norm(e.Direction) < 1e-6:
		return elastica.End{}
	case !hold.Known, s.Held && at < r.Own && r.Bundle == nil:
		e.Hold = elastica.Unsure
	case s.Held:
		e.Hold = elastica.Clamped
	}
	return e
}

// parting is by how much the lines of a bundle may differ in the direction in
// which they go on from its last clip for that to hold the bundle in it [rad].
// Common practice, no source.
const parting = 30 * math.Pi / 180

// bundleEnd is how the last clip of a bundle holds it: in the direction in
// which its lines go on on the body of the clip. Where they part, or go on to
// another body, nothing says in which direction, and it is free to swivel.
func bundleEnd(r *kit.Route, at int) elastica.End {
	s := r.Stops[at]
	if !endsHeld(r, at) || !s.Position.Known() || len(r.Lines(at)) == 0 {
		return elastica.End{}
	}
	var ways []r3.Vec
	var mean r3.Vec
	for _, l := range r.Lines(at) {
		body, position := onward(l)
		if body == nil || body != s.Body || !position.Known() {
			return elastica.End{}
		}
		way := r3.Sub(position.Vec(), s.Position.Vec())
		if r3.Norm(way) < 1e-6 {
			return elastica.End{}
		}
		way = r3.Unit(way)
		for _, w := range ways {
			if r3.Dot(w, way) < math.Cos(parting)-1e-9 {
				return elastica.End{}
			}
		}
		ways, mean = append(ways, way), r3.Add(mean, way)
	}
	if !s.Station.Hold.Known {
		return elastica.End{Direction: mean, Hold: elastica.Unsure}
	}
	return elastica.End{Direction: mean, Hold: elastica.Clamped}
}

// endsHeld reports whether a bundle ends at a stop, with something or perhaps
// something that holds it.
func endsHeld(r *kit.Route, at int) bool {
	s := r.Stops[at]
	return r.Bundle != nil && at == len(r.Stops)-1 && s.Station != nil && (s.Held || !s.Station.Hold.Known)
}

// onward is where a line goes first when it has left its bundle.
func onward(l *kit.Line) (*kit.Body, kit.Vector) {
	if len(l.Tail) > 0 {
		return l.Tail[0].Body.To, l.Tail[0].Position
	}
	if p := l.Point.To; p != nil {
		return p.Body.To, p.Position
	}
	return nil, kit.Vector{}
}

// swivels says at which end a clip is taken to hold no direction.
func swivels(r *kit.Route, i int, l *loop) string {
	if !endsHeld(r, i) || !r.Stops[i].Held || l.ends[1].end.Hold != elastica.Swivels {
		return ""
	}
	return "; taken as free to swivel at its end, " + r.Names[i] + ", where its lines go on in no one direction"
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

// curves works out the curve of the span's tubes over the range of its joints.
func (s *Span) curves(r *kit.Route, i int, search *motion.Budget, memory *Memory, family units.Family) {
	value.Fill(func(n *value.Need) error {
		least, most := n.Number("the free length of "+s.place, s.Least), n.Number("the free length of "+s.place, s.Most)
		n.Number("the shortest distance", s.Shortest)
		l := &loop{length: most, lengths: []float64{most}, chain: s.chain.Motion().Of(n), joints: s.chain.All(), search: search}
		for k, stop := range [2]int{i - 1, i} {
			if next := stop + 2*k - 1; next >= 0 && next < len(r.Stops) && r.Stops[next].Station != nil {
				r.Stops[next].Station.Body.Of(n, "the body of "+r.Stops[next].Name) // which way the tube leaves rests on it
			}
			l.ends[k] = clip{r.Stops[stop].Position.Of(n, "a position of "+s.place), clipAt(r, stop, 2*k-1)}
		}
		if most-least > 1e-6 {
			l.lengths = append(l.lengths, least)
		}
		var err error
		l.swept, err = recall(memory, func() string { return l.key(s.extremeAt) }, search, func() (swept, error) {
			return l.sweep(s.extremeAt[:])
		})
		if err != nil {
			return err
		}
		s.loop, s.LoopSwivel = l, value.Known(swivels(r, i, l))
		return s.tightest(l, family)
	}, &s.LoopRadius, &s.LoopAt, &s.LoopHow, &s.LoopClip, &s.LoopSwivel, &s.LoopSag, &s.SagAt)
}

// key is what the curves of a loop depend on, and the words of an error.
func (l *loop) key(more ...any) string {
	names := make([]string, len(l.joints))
	for i, j := range l.joints {
		names[i] = j.Label()
	}
	return fmt.Sprintf("loop %v %v %v %v %q %v", l.ends, l.lengths, l.chain.A, l.chain.B, names, more)
}

// errStraight is why a tube has no radius.
var errStraight = errors.New("the tube is straight, so it has no radius")

// sweep works out the curves at positions spread over the range of the joints,
// and in full at the two that matter.
func (l *loop) sweep(also [][]float64) (swept, error) {
	var w swept
	places := l.positions()
	for _, q := range also {
		if q != nil {
			places = append(places, q)
		}
	}
	with := solvers{rough: true}
	for _, q := range places {
		curves, err := l.curvesAt(q, &with)
		if err != nil {
			return w, err
		}
		if len(curves) > 0 {
			w.poses = append(w.poses, loopPose{q, curves})
		}
	}
	w.extremes()
	var full elastica.Solver
	if w.tight != nil {
		w.tightest = l.again(&full, w.tight)
	}
	if w.deep != nil {
		w.lowest = l.again(&full, w.deep)
	}
	return w, nil
}

// solvers are kept apart by length and by how the ends are held, so that one
// curve is like the one before.
type solvers struct {
	rough bool
	stay  bool // in the way of lying of the curve before
	of    map[[3]int]*elastica.Solver
}

func (s *solvers) next(key [3]int, way elastica.Span) (elastica.Curve, error) {
	if s.of == nil {
		s.of = map[[3]int]*elastica.Solver{}
	}
	if s.of[key] == nil {
		s.of[key] = &elastica.Solver{Rough: s.rough}
	}
	return s.of[key].Solve(way)
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
		if r3.Norm(r3.Sub(a.Points[i], b.Points[i])) > modes*length {
			return false
		}
	}
	return true
}

// curvesAt are the curves with the joints at q: none where the tube
// is too short there, which is for slack to say. Where a tube can lie in two
// ways it stays in that which it comes from, until it snaps over to the one
// with less bending: both count.
func (l *loop) curvesAt(q []float64, with *solvers) ([]elastica.Curve, error) {
	var curves, others []elastica.Curve
	for k, length := range l.lengths {
		span := l.span(q, length)
		if r3.Norm(r3.Sub(span.To, span.From)) > length {
			continue
		}
		for _, way := range span.Ways() {
			key := [3]int{k, int(way.Start.Hold), int(way.Finish.Hold)}
			if !l.search.Take(motion.Setup) {
				return nil, motion.ErrSpent
			}
			c, err := with.next(key, way)
			if err != nil {
				return nil, fmt.Errorf("with %s: %w", kit.Standing(l.joints, q, units.Metric), err)
			}
			curves = append(curves, c)
			if with.stay {
				continue
			}
			afresh := elastica.Solver{Rough: with.rough}
			if c, err := afresh.Solve(way); err == nil && !alike(&c, &curves[len(curves)-1], length) {
				others = append(others, c)
			}
		}
	}
	return append(curves, others...), nil
}

// extremes finds the position with the least radius, and that with the most
// sag.
func (w *swept) extremes() {
	radius := math.Inf(1)
	w.sag = -1
	for _, p := range w.poses {
		for _, c := range p.curves {
			if !c.Straight && c.Radius < radius {
				w.tight, radius = p.q, c.Radius
			}
			if c.Sag > w.sag {
				w.deep, w.sag = p.q, c.Sag
			}
		}
	}
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

// turn is the end of a joint's range, less what goes beyond a full turn.
func turn(j motion.Joint) float64 {
	if j.Kind == motion.Revolute {
		return min(j.To, j.From+2*math.Pi)
	}
	return j.To
}

// span is a tube of a length between the clips with the joints at q.
func (l *loop) span(q []float64, length float64) elastica.Span {
	s := elastica.Span{Length: length, Start: l.ends[0].end, Finish: l.ends[1].end}
	n := len(l.chain.A)
	s.From, s.Start.Direction = carried(l.chain.A, q[:n], l.ends[0].at, s.Start.Direction)
	s.To, s.Finish.Direction = carried(l.chain.B, q[n:], l.ends[1].at, s.Finish.Direction)
	return s
}

// carried is a place and a direction as the joints carry them. What the
// search for the extremes has taken is taken here too, without an error.
func carried(joints []motion.Joint, q []float64, at, dir r3.Vec) (r3.Vec, r3.Vec) {
	if len(joints) == 0 {
		return at, dir
	}
	p, _ := motion.Place(joints, q, at)
	if dir == (r3.Vec{}) {
		return p, dir
	}
	tip, _ := motion.Place(joints, q, r3.Add(at, r3.Scale(1/r3.Norm(dir), dir)))
	return p, r3.Sub(tip, p)
}

// tightest says where the tube is bent most, and where it sags most.
func (s *Span) tightest(l *loop, family units.Family) error {
	if l.deep == nil {
		return errors.New("the tube is too short wherever the joints stand")
	}
	s.LoopRadius = value.Unknown[float64](errStraight.Error())
	s.LoopAt, s.LoopHow, s.LoopClip = value.Known(""), value.Known(""), value.Known("")
	if l.tight != nil {
		if err := s.bend(l, l.swept.tightest, l.tight, family); err != nil {
			return err
		}
	}
	most := 0.0
	for _, c := range l.swept.lowest {
		most = max(most, c.Sag)
	}
	if most == 0 {
		most = l.sag
	}
	s.LoopSag, s.SagAt = value.Known(kit.Settled(most)), value.Known(kit.Standing(l.joints, l.deep, family))
	return nil
}

// again works out the curves at one position in full, from those before where
// they are alike.
func (l *loop) again(solver *elastica.Solver, q []float64) []elastica.Curve {
	var list []elastica.Curve
	for _, length := range l.lengths {
		for _, way := range l.span(q, length).Ways() {
			if c, err := solver.Solve(way); err == nil {
				list = append(list, c)
			}
		}
	}
	return list
}

// bend is where the tightest of the curves at one position is so.
func (s *Span) bend(l *loop, curves []elastica.Curve, q []float64, family units.Family) error {
	var worst *elastica.Curve
	for _, c := range curves {
		if !c.Straight && (worst == nil || c.Radius < worst.Radius) {
			worst = &c
		}
	}
	if worst == nil {
		return elastica.ErrUnsettled
	}
	s.LoopRadius, s.LoopAt = value.Known(kit.Settled(worst.Radius)), value.Known(kit.Standing(l.joints, q, family))
	span := l.span(q, l.length)
	s.LoopHow = value.Known(fmt.Sprintf("the ends are %s apart, and a tube of %s bows between them",
		units.Format(r3.Norm(r3.Sub(span.To, span.From)), units.Length, family), units.Format(l.length, units.Length, family)))
	for k, body := range [2]value.Text{s.From, s.To} {
		if l.ends[k].end.Hold != elastica.Swivels && math.Abs(worst.At-float64(k)*l.length) < 0.01*l.length {
			s.LoopClip = body
			s.LoopHow = value.Known(fmt.Sprintf("the tube %s the clip on the %s at %s to the span",
				[2]string{"leaves", "comes to"}[k], body.V, units.Format(worst.Angles[k], units.Angle, family)))
		}
	}
	return nil
}

// Curve is the curve of a tube of a length in the span with its joints
// somewhere: where its ends may be held in several ways, the tightest. It is
// false where the tube has none there.
func (s *Span) Curve(at motion.Extreme, length float64) (elastica.Curve, bool) {
	if s.loop == nil {
		return elastica.Curve{}, false
	}
	one := *s.loop
	one.lengths = []float64{length}
	curves := one.again(&elastica.Solver{}, values(at))
	if len(curves) == 0 {
		return elastica.Curve{}, false
	}
	return slices.MinFunc(curves, func(a, b elastica.Curve) int { return cmp.Compare(a.Radius, b.Radius) }), true
}
