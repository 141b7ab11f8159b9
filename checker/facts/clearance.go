package facts

import (
	"errors"
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
	case "cylinder":
		radius := need.Number("the radius of "+name, z.Radius)
		z.shape = routing.Cylinder{Axis: routing.Segment{A: from, B: to}, Radius: radius}
		z.radius = math.Hypot(z.radius, radius)
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
			if f.stopped() {
				return
			}
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
	a, b := w.stops[i-1], w.stops[i]
	switch {
	case z.why != "":
		return z.untold(z.why)
	case !p.f.search.Take(1):
		return z.untold(motion.ErrSpent.Error())
	}
	m := p.between(a.body, b.body, z.Body.To)
	s := routing.Segment{A: a.position.Vec(), B: b.position.Vec()}
	switch {
	case !m.joined:
		return z.untold(m.why)
	case m.many:
		return z.untold(motion.ErrTooComplex.Error())
	}
	within := z.within // narrower where a joint is taken to turn all the way
	if m.why != "" {
		within = max(view, 1.5*z.Clearance.V)
	}
	if m.bound(s, z) > within {
		return nil
	}
	moving := routing.Moving{Joints: m.joints, Segment: s, Zone: z.shape, Start: m.start, End: m.end, ZoneOn: m.zone, Budget: p.f.search}
	if far, err := routing.Beyond(moving, within); err == nil && far {
		return nil
	}
	c, err := routing.MovingClearance(moving)
	switch {
	case err == nil && c.Distance > within:
		return nil
	case errors.Is(err, motion.ErrSpent):
		return z.untold(err.Error())
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
