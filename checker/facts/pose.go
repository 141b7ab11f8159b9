package facts

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/elastica"
	"kitgauge/checker/quantities/motion"
	"kitgauge/checker/quantities/routing"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// Pose is a kit with its joints standing somewhere in their ranges. It is for
// one goroutine at a time, as the kit is.
type Pose struct {
	kit    *Kit
	values map[*kit.Joint]float64
	frames map[*kit.Body]motion.Rigid
}

// Pose stands the joints at values [rad], [m], in the order of the kit's
// joints. One of which the motion is not known stands still. The error says
// which value is none.
func (f *Kit) Pose(q []float64) (*Pose, error) {
	if len(q) != len(f.Joints) {
		return nil, fmt.Errorf("there are %d values for %d joints", len(q), len(f.Joints))
	}
	p := &Pose{kit: f, values: map[*kit.Joint]float64{}, frames: map[*kit.Body]motion.Rigid{}}
	for i, j := range f.Joints {
		m, err := j.Moves()
		from, to := m.From, m.To
		if err != nil {
			from, to = 0, 0
		}
		const slip = 1e-9 // of a value that was written and read
		switch {
		case q[i] == 0: // as in the file, wherever the range lies
		case q[i] >= from-slip && q[i] <= to+slip:
			p.values[j.Joint] = min(max(q[i], from), to)
		default:
			return nil, fmt.Errorf("%s does not stand at %g", j.Place(), q[i])
		}
	}
	for _, b := range f.Bodies {
		_, joints := f.graph.Hanging(b)
		p.frames[b] = p.frame(joints)
	}
	return p, nil
}

// Moves is the joint as it moves; the error says why that is not known.
func (j *Joint) Moves() (motion.Joint, error) { return moves(j.Joint) }

func moves(j *kit.Joint) (motion.Joint, error) {
	m, err := j.Motion()
	if err == nil {
		_, err = motion.NewRow([]motion.Joint{m})
	}
	return m, err
}

// frame is where the joints of a row carry what hangs on them.
func (p *Pose) frame(joints []*kit.Joint) motion.Rigid {
	var moving []motion.Joint
	var q []float64
	for _, j := range joints {
		if m, err := moves(j); err == nil {
			moving, q = append(moving, m), append(q, p.values[j])
		}
	}
	row, err := motion.NewRow(moving)
	if err != nil || len(moving) == 0 {
		return motion.Still
	}
	return row.At(q)
}

// Place is where something is that is fixed to a body and lies at a place of
// the vehicle's frame at rest [m]; what is fixed to none stays there.
func (p *Pose) Place(on *kit.Body, rest r3.Vec) r3.Vec {
	frame, known := p.frames[on]
	if !known {
		return rest
	}
	return frame.Move(rest)
}

// Rest reports whether all joints stand as in the file.
func (p *Pose) Rest() bool {
	for _, v := range p.values {
		if v != 0 {
			return false
		}
	}
	return true
}

// Stands tells how a joint stands.
func (p *Pose) Stands(j *Joint) string {
	dim := units.Angle
	if j.Kind.V == "prismatic" {
		dim = units.Length
	}
	return units.Format(p.values[j.Joint], dim, p.kit.Family())
}

// Extreme is how the joints stand where the ends of a span are farthest apart,
// or nearest, and the others at rest; nil where that is not known.
func (f *Kit) Extreme(s *Span, longest bool) []float64 {
	if longest {
		return f.values(pose{s.chain.All(), s.extremeAt[1]})
	}
	return f.values(pose{s.chain.All(), s.extremeAt[0]})
}

// values are those of a pose in the order of the kit's joints, the others at
// rest; nil where there is none.
func (f *Kit) values(p pose) []float64 {
	if p.at == nil {
		return nil
	}
	q := make([]float64, len(f.Joints))
	for k, j := range p.joints {
		for i := range f.Joints {
			if f.Joints[i].Joint == j {
				q[i] = p.at[k]
			}
		}
	}
	return q
}

// Extent is where in the range of all joints a figure is what was computed.
type Extent struct {
	Most  bool      // of the range; else the least
	At    []float64 // as the joints stand there, for [Kit.Pose]
	Words string    // and that told, "" where no joint moves it
}

// Extents tells of the figures of a span or an approach that are the least or
// the most over the range of all joints, by their keys, where they are so.
func (f *Kit) Extents(of value.Subject) map[string]Extent {
	out := map[string]Extent{}
	add := func(most bool, p pose, keys ...string) {
		at := f.values(p)
		for _, key := range keys {
			if at != nil {
				out[key] = Extent{most, at, p.words(f.Kit)}
			}
		}
	}
	switch s := of.(type) {
	case *Span:
		add(true, pose{s.chain.All(), s.extremeAt[1]}, "longest")
		add(false, pose{s.chain.All(), s.extremeAt[1]}, "slack")
		add(false, pose{s.chain.All(), s.extremeAt[0]}, "shortest")
		add(true, pose{s.chain.All(), s.extremeAt[0]}, "surplus")
		add(false, s.beside, "bundle_distance")
		if l := s.loop; l != nil {
			add(false, pose{l.joints, l.tight}, "loop_radius")
			add(true, pose{l.joints, l.deep}, "loop_sag")
		}
	case *Approach:
		add(false, s.stand, "distance")
	}
	return out
}

// SpanPose is a span in a pose.
type SpanPose struct {
	Span   *Span
	Apart  value.Number // its ends [m]
	Slack  value.Number // of its shortest tube [m]
	Radius value.Number // least, of its loop [m]
	Sag    value.Number // most, of its loop [m]
	curves []elastica.Curve
}

// Span works a span out, from the same motion and the same curves as the check
// does for the whole range.
func (p *Pose) Span(s *Span) SpanPose {
	out := SpanPose{Span: s}
	value.Fill(func(n *value.Need) error {
		stops := s.hop.route.Stops
		a, b := stops[s.hop.stop-1], stops[s.hop.stop]
		s.chain.Motion().Of(n)
		for _, j := range s.chain.All() {
			if _, err := moves(j); err != nil {
				return err
			}
		}
		from, to := a.Position.Of(n, "a position of "+s.place), b.Position.Of(n, "a position of "+s.place)
		out.Apart = value.Known(kit.Settled(r3.Norm(r3.Sub(p.Place(a.Body, from), p.Place(b.Body, to)))))
		return nil
	}, &out.Apart)
	out.Slack = value.Compute(func(n *value.Need) (float64, error) {
		return n.Number("the free length of "+s.place, s.Least) - n.Number("the distance of its ends", out.Apart), nil
	})
	value.Fill(func(n *value.Need) error {
		n.Number("the loop", s.LoopSag)
		return p.bend(&out)
	}, &out.Radius, &out.Sag)
	return out
}

// bend finds the curves of the span's tubes, and which of them is bent most.
func (p *Pose) bend(out *SpanPose) error {
	l := out.Span.loop
	q := make([]float64, len(l.joints))
	for i, j := range l.joints {
		q[i] = p.values[j]
	}
	radius, sag, fault := math.Inf(1), 0.0, error(nil)
	frame := p.common(out.Span)
	for _, length := range l.lengths {
		for _, way := range l.span(q, length).Ways() {
			if r3.Norm(r3.Sub(way.To, way.From)) > length {
				fault = errors.New("the tube is too short there")
				continue
			}
			c, err := elastica.Solve(way)
			if err != nil {
				fault = err
				continue
			}
			c.Points = carry(&c, frame)
			out.curves = append(out.curves, c)
			sag = max(sag, c.Sag)
			if !c.Straight {
				radius = min(radius, c.Radius)
			}
		}
	}
	if len(out.curves) == 0 {
		return fault
	}
	out.Sag = value.Known(kit.Settled(sag))
	if out.Radius = value.Unknown[float64](errStraight.Error()); !math.IsInf(radius, 1) {
		out.Radius = value.Known(kit.Settled(radius))
	}
	return nil
}

// common is where the nearest body is that carries both ends of a span: its
// curves count from there.
func (p *Pose) common(s *Span) motion.Rigid {
	_, joints := p.kit.graph.Hanging(s.hop.route.Stops[s.hop.stop-1].Body)
	return p.frame(joints[:len(joints)-len(s.chain.A)])
}

// carry moves a curve. One of which nothing tells to which side it bows hangs
// down.
func carry(c *elastica.Curve, frame motion.Rigid) []r3.Vec {
	points := make([]r3.Vec, len(c.Points))
	for i, at := range c.Points {
		points[i] = frame.Move(at)
	}
	axis := r3.Sub(points[len(points)-1], points[0])
	down := r3.Vec{Z: -1}
	if !c.AnySide || r3.Norm(axis) == 0 {
		return points
	}
	axis = r3.Unit(axis)
	if down = r3.Sub(down, r3.Scale(r3.Dot(down, axis), axis)); r3.Norm(down) < 1e-6 {
		return points
	}
	down = r3.Unit(down)
	for i, at := range points {
		foot := r3.Add(points[0], r3.Scale(r3.Dot(axis, r3.Sub(at, points[0])), axis))
		points[i] = r3.Add(foot, r3.Scale(r3.Norm(r3.Sub(at, foot)), down))
	}
	return points
}

// Curves are the places through which the span's tubes run: one for each, and
// for each way in which its ends may be held. It is empty where a tube is too
// short.
func (s *SpanPose) Curves() [][]r3.Vec {
	var list [][]r3.Vec
	for i := range s.curves {
		list = append(list, s.curves[i].Points)
	}
	return list
}

// Gap is the distance of a piece of a route from a zone in a pose.
type Gap struct {
	Approach *Approach
	Distance value.Number // [m]
	Keep     float64      // that is asked for [m]
	Lining   string       // the grommet that lets it come nearer; "" where none does
}

// Gaps holds the pieces that come near a zone somewhere in the range against
// it. The spans are those of the pose.
func (p *Pose) Gaps(spans []SpanPose) []Gap {
	at := map[hop]*SpanPose{}
	for i := range spans {
		at[spans[i].Span.hop] = &spans[i]
	}
	var list []Gap
	for _, a := range p.kit.Approaches {
		list = append(list, p.held(a, at[a.hop]))
	}
	return list
}

// Gap holds one piece against its zone.
func (p *Pose) Gap(a *Approach) Gap {
	for _, s := range p.kit.Spans {
		if s.hop == a.hop {
			span := p.Span(s)
			return p.held(a, &span)
		}
	}
	return p.held(a, nil)
}

func (p *Pose) held(a *Approach, s *SpanPose) Gap {
	g := Gap{Approach: a, Distance: a.Distance, Keep: a.Clearance.Or(a.HeatKeep.V), Lining: a.Lining()}
	if a.Distance.Known {
		g.Distance = p.gap(a, s)
	}
	return g
}

// gap is the distance of one piece, of its curves where it is a span with some.
func (p *Pose) gap(a *Approach, s *SpanPose) value.Number {
	return value.Compute(func(n *value.Need) (float64, error) {
		shape := a.zone.solid.Of(n)
		stops := a.hop.route.Stops
		from, to := stops[a.hop.stop-1], stops[a.hop.stop]
		paths := [][]r3.Vec{{p.Place(from.Body, from.Position.Vec()), p.Place(to.Body, to.Position.Vec())}}
		margins := []float64{0}
		if s != nil && len(s.curves) > 0 {
			paths, margins = nil, nil
			for i := range s.curves {
				paths, margins = append(paths, s.curves[i].Points), append(margins, s.curves[i].Margin)
			}
		}
		least := math.Inf(1)
		for i, path := range paths {
			near, err := routing.PathDistance(p.seenFrom(a.zone.Body.To, path), shape.Zone, math.Inf(1))
			if err != nil {
				return 0, err
			}
			least = min(least, near.Distance-margins[i])
		}
		return kit.Settled(max(0, least-a.off)), nil
	})
}

// seenFrom is a path in the frame of a body as that is at rest.
func (p *Pose) seenFrom(body *kit.Body, path []r3.Vec) []r3.Vec {
	frame, known := p.frames[body]
	if !known {
		return path
	}
	out := make([]r3.Vec, len(path))
	for i, at := range path {
		d := r3.Sub(at, frame.Origin)
		out[i] = r3.Vec{X: r3.Dot(frame.X, d), Y: r3.Dot(frame.Y, d), Z: r3.Dot(frame.Z, d)}
	}
	return out
}
