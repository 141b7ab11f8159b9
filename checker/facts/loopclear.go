package facts

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/elastica"
	"kitgauge/checker/quantities/routing"
	"kitgauge/checker/value"
)

// hop is a piece of a route, by the stop at which it ends.
type hop struct {
	route *kit.Route
	stop  int
}

// spansByHop finds the spans by their pieces.
func spansByHop(spans []*Span) map[hop]*Span {
	found := map[hop]*Span{}
	for _, s := range spans {
		found[s.hop] = s
	}
	return found
}

// loopAt is the loop in a piece of a route; nil where there is none.
func (p *prober) loopAt(at hop) *loop {
	if s := p.spans[at]; s != nil {
		return s.loop
	}
	return nil
}

// pumpView is how near the pump is to a loop that is looked at [m].
const pumpView = 1.0

// pumpGaps finds how near the loops come to the pump. A span that begins at
// the pump is left out.
func (p *prober) pumpGaps(spans []*Span) {
	for _, s := range spans {
		r, i := s.hop.route, s.hop.stop
		s.PumpGap = value.Compute(func(n *value.Need) (float64, error) {
			if i == 1 && r.Own == 1 {
				n.Stop("the span begins at the pump")
			}
			return p.pumpGap(n, s, r, i)
		})
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
	if m.bound(clips, body) > pumpView+off+s.loop.widest {
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
func (w *swept) reach(l *loop) float64 {
	nearest := math.Inf(1)
	for i := range w.poses {
		s := l.span(w.poses[i].q, l.length)
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

// height fills in how far the loop stays above the ground, where its bodies
// are as they move against each other and all else is at rest.
func (s *Span) height(ground value.Number) {
	s.Lowest = value.Compute(func(n *value.Need) (float64, error) {
		n.Number("the loop", s.LoopSag)
		lowest := math.Inf(1)
		for i := range s.loop.poses {
			for k := range s.loop.poses[i].bows {
				lowest = min(lowest, bottom(&s.loop.poses[i].bows[k].Curve))
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
