package drawing

import (
	"fmt"
	"io"
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/facts"
	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/motion"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// Span draws one free span of the kit at rest, where its ends are nearest, and
// where they are farthest: above as the vehicle is seen, below in its own
// plane with chord and tube in true length. The error says what is not known.
func Span(w io.Writer, in Input, span *facts.Span) error {
	return NewSpans(in).Write(w, span, in.ID)
}

// spanDrawing is a span in its three positions.
type spanDrawing struct {
	in    Input
	of    *Spans
	span  *facts.Span
	side  bool // how it is seen
	small bool // on half a page
	poses [3]pose
}

// pose is one position of the span.
type pose struct {
	title  string
	joints []string // how they stand
	from   r3.Vec
	to     r3.Vec
	ways   [2][]r3.Vec // of the ends, from rest
	stubs  [2]r3.Vec   // where the tube comes from and goes on to
	stub   [2]bool
	pivots []pivot
	tube   value.Number // its free length
	chord  float64
	curve  []r3.Vec // of the tube, where there is one
	bow    bow
}

// pivot is a hinge between the ends.
type pivot struct {
	at, axis r3.Vec
	name     string
}

func (s *Spans) newDrawing(in Input, span *facts.Span) (*spanDrawing, error) {
	m, err := in.Kit.Motion(span)
	if err != nil {
		return nil, err
	}
	d := &spanDrawing{in: in, of: s, span: span}
	before, after := s.beside[span][0], s.beside[span][1]
	rest := motion.Extreme{A: make([]float64, len(m.A)), B: make([]float64, len(m.B))}
	for i, p := range []struct {
		title string
		at    motion.Extreme
		tube  value.Number
	}{{"At rest", rest, span.FreeLength}, {"Shortest", m.Shortest, span.Most}, {"Longest", m.Longest, span.Least}} {
		d.poses[i] = pose{title: p.title, tube: p.tube}
		if err := d.poses[i].set(&m, p.at, before, after, in.Kit.Family()); err != nil {
			return nil, err
		}
		d.poses[i].bend(span, p.at)
	}
	d.side = d.seenFromSide()
	return d, nil
}

// set moves the ends, what is fixed beside them, and the hinges.
func (p *pose) set(m *facts.SpanMotion, at motion.Extreme, before, after *r3.Vec, family units.Family) error {
	var err error
	place := func(joints []motion.Joint, q []float64, v r3.Vec) r3.Vec {
		out, fault := motion.Place(joints, q, v)
		if fault != nil && err == nil {
			err = fault
		}
		return out
	}
	p.from, p.to = place(m.Chain.A, at.A, m.From), place(m.Chain.B, at.B, m.To)
	p.chord = r3.Norm(r3.Sub(p.to, p.from))
	const steps = 24
	for i := range steps + 1 {
		t := float64(i) / steps
		p.ways[0] = append(p.ways[0], place(m.Chain.A, part(at.A, t), m.From))
		p.ways[1] = append(p.ways[1], place(m.Chain.B, part(at.B, t), m.To))
	}
	if before != nil {
		p.stubs[0], p.stub[0] = place(m.Chain.A, at.A, *before), true
	}
	if after != nil {
		p.stubs[1], p.stub[1] = place(m.Chain.B, at.B, *after), true
	}
	for _, side := range []struct {
		chain  []motion.Joint
		joints []*kit.Joint
		q      []float64
	}{{m.Chain.A, m.A, at.A}, {m.Chain.B, m.B, at.B}} {
		for i, j := range side.chain {
			name := side.joints[i].Name.Or(side.joints[i].ID.Or("a joint"))
			dim := units.Length
			if j.Kind == motion.Revolute {
				dim = units.Angle
				hinge := place(side.chain[:i], side.q[:i], j.Pivot)
				tip := place(side.chain[:i], side.q[:i], r3.Add(j.Pivot, r3.Unit(j.Axis)))
				p.pivots = append(p.pivots, pivot{hinge, r3.Sub(tip, hinge), name})
			}
			p.joints = append(p.joints, name+" at "+units.Format(side.q[i], dim, family))
		}
	}
	return err
}

// bend finds the curve of the tube.
func (p *pose) bend(span *facts.Span, at motion.Extreme) {
	p.bow = bow{wide: [2]float64{0, p.chord}}
	if !p.tube.Known {
		return
	}
	if c, ok := span.Curve(at, p.tube.V); ok {
		p.curve, p.bow = c.Points, newBow(&c)
	}
}

// part is some way from rest to where the joints stand.
func part(q []float64, t float64) []float64 {
	out := make([]float64, len(q))
	for i := range q {
		out[i] = q[i] * t
	}
	return out
}

// seenFromSide chooses the view in which the span changes most; where it is
// the same, that in which it is longer.
func (d *spanDrawing) seenFromSide() bool {
	flat := func(v r3.Vec, side bool) r3.Vec {
		if side {
			v.Y = 0
		} else {
			v.Z = 0
		}
		return v
	}
	shown := func(side bool) float64 {
		sum := 0.0
		for i := range d.poses {
			a := r3.Sub(d.poses[i].to, d.poses[i].from)
			b := r3.Sub(d.poses[(i+1)%3].to, d.poses[(i+1)%3].from)
			sum += r3.Norm(flat(r3.Sub(a, b), side)) + 0.01*r3.Norm(flat(a, side))
		}
		return math.Round(sum*1e6) / 1e6
	}
	return shown(true) >= shown(false)
}

// length writes a length in the kit's units.
func (d *spanDrawing) length(v float64) string {
	return units.Format(v, units.Length, d.in.Kit.Family())
}

// stated writes a length, or why there is none.
func (d *spanDrawing) stated(v value.Number) string {
	if !v.Known {
		return "not known: " + v.Reason("it")
	}
	return d.length(v.V)
}

// title names the drawing.
func (d *spanDrawing) title() string {
	h := &d.in.Kit.Header
	return fmt.Sprintf("Free span of kit %s, revision %s: %s", h.Number.Or("without a number"), h.Revision.Or("not stated"), d.span.Place())
}

// about describes the drawing for those who do not see it.
func (d *spanDrawing) about() string {
	text := fmt.Sprintf("%s in three positions, %s.", d.span.Place(), d.seen())
	for i := range d.poses {
		p := &d.poses[i]
		text += fmt.Sprintf(" %s: the ends are %s apart, free length %s, %s.", p.title, d.length(p.chord), d.stated(p.tube), strings.Join(p.joints, ", "))
	}
	return text + fmt.Sprintf(" Least radius of the loop: %s; least bend radius: %s.", d.stated(d.span.LoopRadius), d.stated(d.span.BendRadius))
}

func (d *spanDrawing) seen() string {
	if d.side {
		return "seen from the right of the vehicle (towards +y)"
	}
	return "seen from above (towards −z)"
}
