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
	Lowest     value.Number `key:"loop_height" dim:"length"`     // least, of the loop above the ground
	PumpGap    value.Number `key:"pump_distance" dim:"length"`   // least, of the loop from the line between the pump's position and its filler
	BundleGap  value.Number `key:"bundle_distance" dim:"length"` // least, of the loop from another bundle that moves against it
	BundleWhen value.Text   `key:"bundle_when"`                  // how the joints stand there
	BundleNear value.Text   `key:"bundle_near"`                  // the piece of the other bundle
	loop       *loop
	beside     pose // where the other bundle is nearest
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

// clip is an end of a span at rest, with how the tube leaves it.
type clip struct {
	at  r3.Vec
	end elastica.End
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
	row, err := motion.NewRow(joints)
	if err != nil {
		return at, dir
	}
	f := row.At(q)
	return f.Move(at), f.Turn(dir)
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
	for _, b := range l.swept.lowest {
		most = max(most, b.Sag)
	}
	if most == 0 {
		most = l.sag
	}
	s.LoopSag, s.SagAt = value.Known(kit.Settled(most)), value.Known(kit.Standing(l.joints, l.deep, family))
	return nil
}

// bend is where the tightest of the curves at one position is so.
func (s *Span) bend(l *loop, bows []bow, q []float64, family units.Family) error {
	var worst *bow
	for _, b := range bows {
		if !b.Straight && (worst == nil || b.Radius < worst.Radius) {
			worst = &b
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
	var curves []elastica.Curve
	for _, way := range s.loop.span(values(at), length).Ways() {
		if c, err := elastica.Solve(way); err == nil {
			curves = append(curves, c)
		}
	}
	if len(curves) == 0 {
		return elastica.Curve{}, false
	}
	return slices.MinFunc(curves, func(a, b elastica.Curve) int { return cmp.Compare(a.Radius, b.Radius) }), true
}
