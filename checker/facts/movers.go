package facts

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/motion"
	"kitgauge/checker/quantities/routing"
)

// readyJoint is a joint for package motion, or why there is none.
type readyJoint struct {
	motion.Joint
	why string
}

// movers are the joints by which the ends of a segment and a zone move
// against each other.
type movers struct {
	joints           []motion.Joint
	of               []*kit.Joint
	start, end, zone []int
	joined           bool
	many             bool   // more joints than a search takes
	why              string // why their motion is not known
}

// between finds the movers of three bodies. Joints that carry all three are
// left out.
func (p *prober) between(a, b, zone *kit.Body) *movers {
	key := [3]*kit.Body{a, b, zone}
	if m, ok := p.movers[key]; ok {
		return m
	}
	m := &movers{}
	p.movers[key] = m
	var chains [3][]*kit.Joint
	var roots [3]*kit.Body
	for i, body := range key {
		roots[i], chains[i] = p.f.hanging(body)
	}
	for i := range key {
		if roots[i] != roots[2] {
			m.why = fmt.Sprintf("no joint joins %s and %s", bodyName(key[i]), bodyName(zone))
			return m
		}
	}
	m.joined = true
	common := shared(chains)
	if m.many = len(chains[0])+len(chains[1])+len(chains[2])-3*common > 3*motion.MostJoints; m.many {
		return m
	}
	places := map[*kit.Joint]int{}
	for i, list := range [3]*[]int{&m.start, &m.end, &m.zone} {
		for _, j := range chains[i][common:] {
			at, ok := places[j]
			if !ok {
				at = len(m.of)
				places[j] = at
				m.of = append(m.of, j)
				m.joints = append(m.joints, p.joint(j, m))
			}
			*list = append(*list, at)
		}
	}
	return m
}

// shared counts the joints with which all three chains begin.
func shared(chains [3][]*kit.Joint) int {
	for n := 0; ; n++ {
		for _, c := range chains {
			if n >= len(c) || c[n] != chains[0][n] {
				return n
			}
		}
	}
}

// joint makes a joint ready. One without a range may go anywhere that a joint
// of its kind can, so that what is far away all the same is not asked after.
func (p *prober) joint(j *kit.Joint, m *movers) motion.Joint {
	ready, ok := p.joints[j]
	if !ok {
		ready.Joint, ready.why = motionJoint(j)
		switch {
		case ready.why == "":
		case j.Kind.V == "revolute" && j.Pivot.Known() && j.Axis.Known():
			ready.From, ready.To = -math.Pi, math.Pi
		default:
			ready.Kind, ready.From, ready.To = motion.Prismatic, -motion.Reach, motion.Reach
		}
		p.joints[j] = ready
	}
	if m.why == "" {
		m.why = ready.why
	}
	return ready.Joint
}

// bound is a distance below which segment and zone never come: that of the
// balls round them at rest, less how far each can move. A ball stays the same
// ball however it is turned, so only its centre counts.
func (m *movers) bound(s routing.Segment, z *zoneShape) float64 {
	mid, half := r3.Scale(0.5, r3.Add(s.A, s.B)), r3.Norm(r3.Sub(s.B, s.A))/2
	apart := r3.Norm(r3.Sub(mid, z.centre)) - half - z.radius
	return apart - max(m.sweep(m.start, s.A), m.sweep(m.end, s.B)) - m.sweep(m.zone, z.centre)
}

// sweep bounds how far the joints of the path carry a place: a slide by its
// travel, a turn by the chord of its arc, the innermost joint first.
func (m *movers) sweep(path []int, place r3.Vec) float64 {
	far := 0.0
	for i := len(path) - 1; i >= 0; i-- {
		j := m.joints[path[i]]
		travel := max(math.Abs(j.From), math.Abs(j.To))
		if j.Kind == motion.Prismatic {
			far += travel
			continue
		}
		arm := r3.Sub(place, j.Pivot)
		if n := r3.Norm(j.Axis); n > 0 {
			arm = r3.Cross(arm, r3.Scale(1/n, j.Axis))
		}
		far += 2 * (r3.Norm(arm) + far) * math.Sin(min(travel, math.Pi)/2)
	}
	return far
}
