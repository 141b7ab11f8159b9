package quantities

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/motion"
	"kitgauge/checker/quantities/routing"
	"kitgauge/checker/source"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// Approach is a segment of a route near a zone.
type Approach struct {
	Kind          value.Text   `key:"kind"` // of the zone
	Zone          value.Text   `key:"zone"`
	Clearance     value.Number `key:"clearance" dim:"length"` // the zone's own
	Shielded      value.Flag   `key:"shielded"`
	Temperature   value.Number `key:"temperature" dim:"temperature"`
	Distance      value.Number `key:"distance" dim:"length"` // over the range of every joint between
	When          value.Text   `key:"when"`                  // how the joints stand there, "" where none moves them
	Grommet       value.Flag   `key:"grommet"`               // at an end of the segment
	Covered       value.Flag   `key:"covered"`               // by a conduit
	Nearest       value.Flag   `key:"nearest"`               // of its run to that zone
	TubeRating    value.Number `key:"tube_rating" dim:"temperature"`
	ConduitRating value.Number `key:"conduit_rating" dim:"temperature"`
	place         string
	node          *source.Node
}

// Place names segment and zone.
func (a *Approach) Place() string { return a.place }

// Source is the stop at which the segment arrives.
func (a *Approach) Source() *source.Node { return a.node }

// How near a segment comes to a zone to be looked at: heat reaches farther
// than a part that moves [m]. The limits of the routing pack say so.
const (
	viewOfHeat = 0.5
	view       = 0.2
)

// zoneShape is a zone made ready.
type zoneShape struct {
	*kit.Zone
	name   string
	shape  routing.Zone
	centre r3.Vec
	radius float64 // of a ball round it
	within float64 // how near is looked at
	why    string  // why it has no shape
	told   map[string]bool
}

func (f *Kit) zoneShapes() []*zoneShape {
	var shapes []*zoneShape
	for _, z := range f.Kit.Zones {
		if !z.Kind.Known {
			continue // the JSON Schema reports it
		}
		s := &zoneShape{Zone: z, name: z.Name.Or(z.ID.Or("a zone without a name")), told: map[string]bool{}}
		s.within = view
		if z.Kind.V == "heat" {
			s.within = viewOfHeat
		}
		s.within = max(s.within, 1.5*z.Clearance.V)
		s.measure()
		shapes = append(shapes, s)
	}
	return shapes
}

func (z *zoneShape) measure() {
	var need value.Need
	name := "zone " + z.name
	if z.Body.To == nil {
		need.Lack(z.Body.Reason("the body of " + name))
	}
	for _, end := range []struct {
		at   kit.Vector
		name string
	}{{z.From, "from"}, {z.To, "to"}} {
		if !end.at.Known() {
			need.Lack(end.at.X.Reason(end.name + " of " + name))
		}
	}
	from, to := z.From.Vec(), z.To.Vec()
	z.centre = r3.Scale(0.5, r3.Add(from, to))
	z.radius = r3.Norm(r3.Sub(to, from)) / 2
	switch need.Text("the shape of "+name, z.Shape) {
	case "capsule":
		radius := need.Number("the radius of "+name, z.Radius)
		z.shape = routing.Capsule{Axis: routing.Segment{A: from, B: to}, Radius: radius}
		z.radius += radius
	case "box":
		d := r3.Scale(0.5, r3.Sub(to, from))
		z.shape = routing.Box{Centre: z.centre, Half: r3.Vec{X: math.Abs(d.X), Y: math.Abs(d.Y), Z: math.Abs(d.Z)}}
	}
	z.why = need.Why()
}

// approaches holds every segment against every zone.
func (f *Kit) approaches() {
	zones := f.zoneShapes()
	if len(zones) == 0 {
		return
	}
	p := &prober{f: f, movers: map[[3]*kit.Body]*movers{}, joints: map[*kit.Joint]readyJoint{}}
	for _, w := range f.walks {
		for _, z := range zones {
			if z.Kind.V == "edge" {
				f.passages(p, w, z)
				continue
			}
			f.pieces(p, w, z)
		}
	}
}

// pieces lists every segment of a walk that comes near a zone, and marks the
// nearest of them.
func (f *Kit) pieces(p *prober, w *walk, z *zoneShape) {
	var near *Approach
	for i := w.first; i < len(w.stops); i++ {
		a := p.approach(w, i, z)
		if a == nil {
			continue
		}
		f.Approaches = append(f.Approaches, a)
		if a.Distance.Known && (near == nil || a.Distance.V < near.Distance.V) {
			near = a
		}
	}
	if near != nil {
		near.Nearest = value.Known(true)
	}
}

// passages joins the segments that come to a sharp edge one after the other
// into one approach, the nearest: the passage that needs a grommet.
func (f *Kit) passages(p *prober, w *walk, z *zoneShape) {
	var near *Approach
	done := func() {
		if near != nil {
			f.Approaches = append(f.Approaches, near)
		}
		near = nil
	}
	for i := w.first; i < len(w.stops); i++ {
		a := p.approach(w, i, z)
		switch {
		case a == nil:
			done()
		case near == nil || !a.Distance.Known || a.Distance.V < near.Distance.V-routing.ClearanceTolerance:
			near = a
		case a.Distance.V <= near.Distance.V+routing.ClearanceTolerance:
			near.Grommet = value.Known(near.Grommet.V || a.Grommet.V)
		}
	}
	done()
}

// prober finds distances and keeps what several segments need.
type prober struct {
	f      *Kit
	movers map[[3]*kit.Body]*movers
	joints map[*kit.Joint]readyJoint
}

// approach is the segment that ends at the stop i, where it comes near the
// zone; nil where it does not, or has no place itself.
func (p *prober) approach(w *walk, i int, z *zoneShape) *Approach {
	if _, known := w.hop(i); !known || p.f.astray(w, i) || len(w.lines(i)) == 0 {
		return nil
	}
	a, b := &w.stops[i-1], &w.stops[i]
	if z.why != "" {
		return z.untold(z.why)
	}
	m := p.between(a.body, b.body, z.Body.To)
	s := routing.Segment{A: a.position.Vec(), B: b.position.Vec()}
	if !m.joined {
		return z.untold(m.why)
	}
	within := z.within // narrower where a joint is taken to turn all the way
	if m.why != "" {
		within = max(view, 1.5*z.Clearance.V)
	}
	if m.bound(s, z) > within {
		return nil
	}
	moving := routing.Moving{Joints: m.joints, Segment: s, Zone: z.shape, Start: m.start, End: m.end, ZoneOn: m.zone}
	if far, err := routing.Beyond(moving, within); err == nil && far {
		return nil
	}
	c, err := routing.MovingClearance(moving)
	if err == nil && c.Distance > within {
		return nil
	}
	if m.why != "" {
		return z.untold(m.why)
	}
	out := z.approach()
	out.place, out.node = fmt.Sprintf("%s, near %s", w.between(i-1, i), z.name), b.node
	out.Grommet = value.Known(a.grommet || b.grommet)
	out.Distance = value.Result(settled(c.Distance), err)
	if err == nil {
		out.When = value.Known(standing(m.of, c.Joints, p.f.Family()))
	}
	out.ratings(w, i)
	return out
}

// approach is one without a segment.
func (z *zoneShape) approach() *Approach {
	return &Approach{
		Kind: z.Kind, Zone: value.Known(z.name), Clearance: z.Clearance,
		Shielded: value.Known(z.Shielded.V), Temperature: z.Temperature, When: value.Known(""),
		Grommet: value.Known(false), Covered: value.Known(false), Nearest: value.Known(false),
		place: "zone " + z.name, node: z.Node,
	}
}

// untold says once of a zone why no distance from it is known.
func (z *zoneShape) untold(why string) *Approach {
	if z.told[why] {
		return nil
	}
	z.told[why] = true
	a := z.approach()
	a.Distance = value.Unknown[float64](why)
	return a
}

// ratings are the highest temperatures that tubes and conduit stand.
func (a *Approach) ratings(w *walk, i int) {
	var need value.Need
	lowest := math.MaxFloat64
	for _, l := range w.lines(i) {
		if l.Tube.To == nil {
			need.Lack(l.Tube.Reason("the tube of " + lineName(l)))
			continue
		}
		lowest = min(lowest, need.Number("the highest temperature of "+l.Tube.To.Place(), l.Tube.To.Temperature.To))
	}
	a.TubeRating = need.Unknown()
	if !need.Missing() {
		a.TubeRating = value.Known(lowest)
	}
	conduit := w.conduit(i)
	a.Covered = value.Known(conduit != nil)
	a.ConduitRating = value.Unknown[float64]("no conduit covers the tubes there")
	if conduit != nil {
		a.ConduitRating = conduit.Temperature.To
		if !a.ConduitRating.Known {
			a.ConduitRating = value.Unknown[float64](a.ConduitRating.Reason("the highest temperature of " + conduit.Place()))
		}
	}
}

// standing tells how joints stand: "left kingpin at 38 deg".
func standing(joints []*kit.Joint, q []float64, family units.Family) string {
	parts := make([]string, len(joints))
	for i, j := range joints {
		dim := units.Angle
		if j.Kind.V == "prismatic" {
			dim = units.Length
		}
		parts[i] = fmt.Sprintf("%s at %s", jointName(j), units.Format(q[i], dim, family))
	}
	return strings.Join(parts, ", ")
}

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
