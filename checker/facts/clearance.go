package facts

import (
	"cmp"
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/motion"
	"kitgauge/checker/quantities/routing"
	"kitgauge/checker/value"
)

// Approach is a segment of a route near a zone.
type Approach struct {
	spot
	Kind          value.Text   `key:"kind" words:"heat,moving,wheel,edge"` // of the zone
	Zone          value.Text   `key:"zone"`
	Clearance     value.Number `key:"clearance" dim:"length"` // the zone's own
	Shielded      value.Flag   `key:"shielded"`
	Temperature   value.Number `key:"temperature" dim:"temperature"`
	Distance      value.Number `key:"distance" dim:"length"` // over the range of every joint between
	When          value.Text   `key:"when"`                  // how the joints stand there, "" where none moves them
	Grommet       value.Flag   `key:"grommet"`               // at an end of the segment
	Covered       value.Flag   `key:"covered"`               // by a conduit
	Depth         value.Text   `key:"depth"`                 // how far it is to the nearest way out and where to, where the route goes through the zone
	WayOut        value.Number `key:"way_out" dim:"length"`  // and how far to move it so that it keeps its distance as well
	WayOutTo      value.Text   `key:"way_out_to"`            // "to the left"
	Nearest       value.Flag   `key:"nearest"`               // of its run to that zone
	TubeRating    value.Number `key:"tube_rating" dim:"temperature"`
	ConduitRating value.Number `key:"conduit_rating" dim:"temperature"`
	ConduitInner  value.Number `key:"conduit_inner" dim:"length"`
	HeatKeep      value.Number `key:"heat_keep" dim:"length"` // the distance that tubes and conduit ask of something hot, by what they stand
	HeatSays      value.Text   `key:"heat_says"`              // why so far
	HeatHelps     value.Text   `key:"heat_helps"`             // what else than moving the route would do
	LoopHelps     value.Text   `key:"loop_helps"`             // and what brings a loop away, "" where it is none

	hop   hop        // the segment
	zone  *zoneShape // nil where no distance is known
	off   float64    // what lies in it reaches so far from its line
	stand pose       // where it is nearest
	lined *kit.Stop  // where its grommet is; nil where there is none
}

// Lining names the grommet by which it may come to an edge as near as it does, ""
// where it may not: the grommet that the rules ask for there.
func (a *Approach) Lining() string {
	switch s := a.lined; {
	case s == nil || a.Kind.V != "edge" || !a.Grommet.V:
		return ""
	case s.Station != nil && s.Station.Hold.V == "grommet" && s.Station.Part.ID.Known:
		return fmt.Sprintf("the grommet %s at %s", s.Station.Part.ID.V, s.Name)
	default:
		return "the grommet at " + s.Name
	}
}

// How near a segment comes to a zone to be looked at at least: heat reaches
// farther than a part that moves [m]. A limit in force that is greater, and
// one and a half times the zone's own clearance, count instead.
const (
	viewOfHeat = 0.5
	view       = 0.2
)

// limitOf names the limit that keeps tubes away from a kind of zone.
var limitOf = map[string]string{"heat": "routing/heat", "moving": "routing/moving", "wheel": "routing/moving", "edge": "routing/edge"}

// solid is the shape of a zone, and a ball round it.
type solid struct {
	routing.Zone
	centre r3.Vec
	radius float64
}

// zoneShape is a zone made ready.
type zoneShape struct {
	*kit.Zone
	name   string
	solid  value.Maybe[solid]
	hot    value.Maybe[routing.Heat] // of a heat zone
	keep   float64                   // the distance that it asks for
	asked  float64                   // the most that it asks for
	least  float64                   // how near is looked at in any case
	within float64                   // how near is looked at
	told   map[string]bool
}

func zoneShapes(k *kit.Kit, o *Options) []*zoneShape {
	var shapes []*zoneShape
	for _, z := range k.Zones {
		if !z.Kind.Known {
			continue // the JSON Schema reports it
		}
		s := &zoneShape{Zone: z, name: zoneName(z), told: map[string]bool{}}
		s.least = max(view, 1.5*z.Clearance.V)
		if id, limited := limitOf[z.Kind.V]; limited {
			if z.Kind.V == "heat" && z.Shielded.V {
				id += "_shielded"
			}
			s.keep = o.limit(id).V
			s.least = max(s.least, s.keep)
		}
		if z.Clearance.Known {
			s.keep = z.Clearance.V
		}
		s.solid = value.Try(func(n *value.Need) (solid, error) {
			z.Body.Of(n, "the body of zone "+s.name)
			return solidOf(n, z), nil
		})
		s.asked = s.keep
		if s.within = s.least; z.Kind.V == "heat" {
			s.hot = hotZone(k, s)
			s.asked = max(s.asked, s.heat(weakestRating(k), z.Shielded.V, o).keep)
			s.least = max(s.least, s.asked)
			s.within = max(s.least, viewOfHeat)
		}
		shapes = append(shapes, s)
	}
	return shapes
}

func zoneName(z *kit.Zone) string { return z.Name.Or(z.ID.Or("a zone without a name")) }

// solidOf is the shape of a zone.
func solidOf(n *value.Need, z *kit.Zone) solid {
	name := "zone " + zoneName(z)
	from, to := z.From.Of(n, "from of "+name), z.To.Of(n, "to of "+name)
	s := solid{centre: r3.Scale(0.5, r3.Add(from, to)), radius: r3.Norm(r3.Sub(to, from)) / 2}
	switch n.Text("the shape of "+name, z.Shape) {
	case "capsule":
		radius := n.Number("the radius of "+name, z.Radius)
		s.Zone = routing.Capsule{Axis: routing.Segment{A: from, B: to}, Radius: radius}
		s.radius += radius
	case "cylinder":
		radius := n.Number("the radius of "+name, z.Radius)
		s.Zone = routing.Cylinder{Axis: routing.Segment{A: from, B: to}, Radius: radius}
		s.radius = math.Hypot(s.radius, radius)
	case "box":
		d := r3.Scale(0.5, r3.Sub(to, from))
		s.Zone = routing.Box{Centre: s.centre, Half: r3.Vec{X: math.Abs(d.X), Y: math.Abs(d.Y), Z: math.Abs(d.Z)}}
	default:
		n.Stop("the shape of " + name + " is neither box, capsule nor cylinder")
	}
	return s
}

// approaches holds every segment against every zone.
func approaches(g *kit.Graph, spans []*Span, search *motion.Budget, o *Options) []*Approach {
	p := &prober{graph: g, options: o, search: search, packs: packer{}, memory: o.Memory, brief: o.Packs != nil, out: &motion.Budget{Boxes: mostBoxes / 10}, movers: map[[3]*kit.Body]*movers{}, joints: map[*kit.Joint]readyJoint{}, spans: spansByHop(spans)}
	p.pumpGaps(spans)
	p.bundleGaps(spans)
	zones := zoneShapes(g.Kit, o)
	if len(zones) == 0 {
		return nil
	}
	var near []*Approach
	for _, r := range g.Routes {
		open := passable(r)
		for _, z := range zones {
			if o.stopped() {
				return near
			}
			if z.Kind.V == "edge" {
				near = append(near, p.passages(r, open, z)...)
				continue
			}
			near = append(near, p.pieces(r, open, z)...)
		}
	}
	return near
}

// passable are the hops of a route that can be held against a zone.
func passable(r *kit.Route) []bool {
	open := make([]bool, len(r.Stops))
	for i := r.First; i < len(r.Stops); i++ {
		_, known := r.Hop(i)
		open[i] = known && !r.Astray(i) && len(r.Lines(i)) > 0
	}
	return open
}

// pieces lists every segment of a route that comes near a zone, and marks the
// nearest of them.
func (p *prober) pieces(r *kit.Route, open []bool, z *zoneShape) []*Approach {
	var all []*Approach
	var near *Approach
	for i := r.First; i < len(r.Stops); i++ {
		if !open[i] {
			continue
		}
		a := p.approach(r, i, z)
		if a == nil {
			continue
		}
		all = append(all, a)
		if a.Distance.Known && (near == nil || a.Distance.V < near.Distance.V) {
			near = a
		}
	}
	if near != nil {
		near.Nearest = value.Known(true)
	}
	return all
}

// passages joins the segments that come to a sharp edge one after the other
// into one approach, the nearest: the passage that needs a grommet.
func (p *prober) passages(r *kit.Route, open []bool, z *zoneShape) []*Approach {
	var all []*Approach
	var near *Approach
	done := func() {
		if near != nil {
			all = append(all, near)
		}
		near = nil
	}
	for i := r.First; i < len(r.Stops); i++ {
		var a *Approach
		if open[i] {
			a = p.approach(r, i, z)
		}
		switch {
		case a == nil:
			done()
		case near == nil || !a.Distance.Known || a.Distance.V < near.Distance.V-routing.ClearanceTolerance:
			near = a
		case a.Distance.V <= near.Distance.V+routing.ClearanceTolerance:
			near.Grommet = value.Known(near.Grommet.V || a.Grommet.V)
			near.lined = cmp.Or(near.lined, a.lined)
		}
	}
	done()
	return all
}

// prober finds distances and keeps what several segments need.
type prober struct {
	graph   *kit.Graph
	options *Options
	search  *motion.Budget
	memory  *Memory
	packs   packer
	brief   bool           // without the ways out, which no rule rests on
	out     *motion.Budget // of the searches for a way out of a zone
	movers  map[[3]*kit.Body]*movers
	joints  map[*kit.Joint]readyJoint
	spans   map[hop]*Span
}

// approach is the segment that ends at the stop i, where it comes near the
// zone; nil where it does not, or has no place itself.
func (p *prober) approach(r *kit.Route, i int, z *zoneShape) *Approach {
	shape, err := z.solid.Result()
	switch {
	case err != nil:
		return z.untold(err.Error())
	case !p.search.Take(1):
		return z.untold(motion.ErrSpent.Error())
	}
	a, b := r.Stops[i-1], r.Stops[i]
	m := p.between(a.Body, b.Body, z.Body.To)
	s := routing.Segment{A: a.Position.Vec(), B: b.Position.Vec()}
	switch {
	case !m.joined:
		return z.untold(m.why)
	case m.many:
		return z.untold(motion.ErrTooComplex.Error())
	}
	off := p.radius(r, i)
	if toOwnPin(r, i, z, shape.Zone, off) {
		return nil
	}
	within := z.within + off // narrower where a joint is taken to turn all the way
	if m.why != "" {
		within = z.least + off
	}
	reach, l := 0.0, p.loopAt(hop{r, i})
	if l != nil {
		reach = l.widest
	}
	if m.bound(s, shape) > within+reach {
		return nil
	}
	moving := routing.Moving{Joints: m.joints, Segment: s, Zone: shape.Zone, Start: m.start, End: m.end, ZoneOn: m.zone, Budget: p.search}
	var c near
	if l != nil {
		if far, err := routing.Beyond(moving, within+reach); err == nil && far {
			return nil
		}
		c.Clearance, err = p.loopClearance(l, m, shape, within, z.asked+off)
	} else {
		c, err = p.memory.near(moving, within)
	}
	switch {
	case err == nil && (c.far || c.Distance > within):
		return nil
	case errors.Is(err, motion.ErrSpent):
		return z.untold(err.Error())
	case m.why != "":
		return z.untold(m.why)
	}
	out := z.approach()
	out.place, out.node = fmt.Sprintf("%s, near %s", r.From(i-1, i), z.name), b.Node
	out.hop, out.zone, out.off = hop{r, i}, z, off
	for _, end := range []*kit.Stop{b, a} {
		if end.Grommet {
			out.Grommet, out.lined = value.Known(true), end
		}
	}
	gap := max(0, c.Distance-off)
	out.Distance = value.Result(kit.Settled(gap), err)
	out.ratings(r, i)
	keep := z.keep
	if z.Kind.V == "heat" {
		out.asks(z, p.graph.Kit.Family(), p.options)
		keep = z.Clearance.Or(out.HeatKeep.V)
	}
	if err == nil && gap < keep && l != nil && !p.brief {
		p.loopHelps(out, p.spans[hop{r, i}], m, shape, keep+off)
	}
	if err == nil && gap < keep && l == nil && !p.brief {
		p.wayOut(out, piece{moving, a.Station != nil, b.Station != nil, off}, keep, c.Distance == 0)
	}
	if err == nil {
		out.stand = pose{m.of, c.Joints}
		out.When = value.Known(out.stand.words(p.graph.Kit))
	}
	return out
}

// radius is how far what lies in a piece of a route reaches from its centre
// line: the outside of the conduit, or else the circle round the tubes, or the
// inside of the conduit. What no part states adds nothing.
func (p *prober) radius(r *kit.Route, i int) float64 {
	c := r.Conduit(i)
	if c != nil && c.Outer.Known {
		return c.Outer.V / 2
	}
	var diameters []float64
	for _, l := range r.Lines(i) {
		if t := l.Tube.To; t != nil && t.Outer.Known {
			diameters = append(diameters, t.Outer.V)
		}
	}
	wide := 0.0
	if len(diameters) > 0 {
		wide = p.packs.circle(value.Try(func(*value.Need) ([]float64, error) { return diameters, nil })).V
	}
	if c != nil {
		wide = max(wide, c.Inner.Or(0))
	}
	return wide / 2
}

// approach is one without a segment.
func (z *zoneShape) approach() *Approach {
	return &Approach{
		Kind: z.Kind, Zone: value.Known(z.name), Clearance: z.Clearance,
		Shielded: value.Known(z.Shielded.V), Temperature: z.Temperature, When: value.Known(""),
		Grommet: value.Known(false), Covered: value.Known(false), Nearest: value.Known(false),
		HeatKeep: value.Known(z.keep), HeatSays: value.Known(""), HeatHelps: value.Known(""), LoopHelps: value.Known(""),
		spot: spot{"zone " + z.name, z.Node},
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
func (a *Approach) ratings(r *kit.Route, i int) {
	a.TubeRating = value.Compute(func(n *value.Need) (float64, error) {
		lowest := math.MaxFloat64
		for _, l := range r.Lines(i) {
			t := tubeOf(n, l)
			lowest = min(lowest, n.Number("the highest temperature of "+t.Place(), t.Temperature.To))
		}
		return lowest, nil
	})
	conduit := r.Conduit(i)
	a.Covered = value.Known(conduit != nil)
	a.ConduitRating = value.Unknown[float64]("no conduit covers the tubes there")
	if conduit != nil {
		a.ConduitInner = conduit.Inner
		a.ConduitRating = withReason(conduit.Temperature.To, "the highest temperature of "+conduit.Place())
	}
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
		roots[i], chains[i] = p.graph.Hanging(body)
	}
	for i := range key {
		if roots[i] != roots[2] {
			m.why = fmt.Sprintf("no joint joins %s and %s", key[i].Label(), zone.Label())
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
		var err error
		ready.Joint, err = j.Motion()
		if err != nil {
			ready.why = err.Error()
			ready.Joint = motion.Joint{Axis: j.Axis.Vec(), Kind: motion.Prismatic, From: -motion.Reach, To: motion.Reach}
			if j.Kind.V == "revolute" && j.Pivot.Known() && j.Axis.Known() {
				ready.Joint = motion.Joint{Axis: j.Axis.Vec(), Pivot: j.Pivot.Vec(), From: -math.Pi, To: math.Pi}
			}
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
func (m *movers) bound(s routing.Segment, z solid) float64 {
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
