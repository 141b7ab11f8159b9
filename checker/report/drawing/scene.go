package drawing

import (
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/facts"
	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/motion"
	"kitgauge/checker/units"
)

// scene is what there is to draw, in the vehicle's frame [m].
type scene struct {
	kit    *facts.Kit
	routes []facts.Route
	points []pointMark
	zones  []zoneMark
	joints []jointMark
	pump   *r3.Vec
	region space    // what is farther away is not drawn
	extent space    // of everything that is drawn
	absent []string // what has no place on the sheet

	groups      []*group
	wheels      []wheel
	bodies      []bodyMark
	bundleRoute map[*kit.Bundle]int // the number of its route, from 1
	routeBoxes  []space             // of the routes
	curves      map[*facts.Span][]r3.Vec
}

// space is an upright box in the vehicle's frame.
type space struct{ from, to r3.Vec }

func nowhere() space {
	far := math.Inf(1)
	return space{r3.Vec{X: far, Y: far, Z: far}, r3.Vec{X: -far, Y: -far, Z: -far}}
}

func (s *space) take(p r3.Vec) {
	s.from = r3.Vec{X: min(s.from.X, p.X), Y: min(s.from.Y, p.Y), Z: min(s.from.Z, p.Z)}
	s.to = r3.Vec{X: max(s.to.X, p.X), Y: max(s.to.Y, p.Y), Z: max(s.to.Z, p.Z)}
}

func (s space) has(p r3.Vec) bool {
	return s.from.X <= p.X && p.X <= s.to.X && s.from.Y <= p.Y && p.Y <= s.to.Y && s.from.Z <= p.Z && p.Z <= s.to.Z
}

func (s space) empty() bool { return s.from.X > s.to.X }

// pointMark is a grease point with what refers to it.
type pointMark struct {
	at     r3.Vec
	ref    string // the number of its line, else its id
	name   string
	lined  bool
	point  *facts.Point
	routes []int // of its lines
}

// zoneMark is a zone with the places that outline it.
type zoneMark struct {
	tag   string
	zone  *kit.Zone
	joint *jointMark // that moves it; nil where it stands still
}

// jointMark is a joint with its tag.
type jointMark struct {
	tag    string
	joint  *facts.Joint
	motion motion.Joint
	at     r3.Vec   // where it is drawn
	stops  []r3.Vec // what is fixed to its child
	drawn  bool
}

// mostPoints is how many points a kit may have for which rooms are tried and
// labels are moved about: it takes time that grows with their square.
const mostPoints = 300

func (s *scene) quick() bool { return len(s.points) > mostPoints }

// newScene gathers it.
func newScene(k *facts.Kit) *scene {
	s := &scene{kit: k, routes: k.Routes(), extent: nowhere()}
	s.bound()
	if p, ok := s.place(k.Kit.Pump.Position); ok {
		s.pump = &p
	} else {
		s.absent = append(s.absent, "the pump")
	}
	s.gatherPoints()
	for _, r := range s.routes {
		for _, stop := range r.Stops {
			if _, ok := s.place(stop.Position); !ok && stop.Station != nil {
				s.absent = append(s.absent, r.Place+", "+stop.Name)
			}
		}
	}
	s.gatherJoints()
	s.gatherZones()
	s.indexRoutes()
	s.gatherGroups()
	s.gatherVehicle()
	return s
}

// tiesBefore are the ties between a stop of a route and the one before.
func (s *scene) tiesBefore(r *facts.Route, i int) []kit.Tied {
	switch stop := &r.Stops[i]; {
	case stop.Station != nil:
		return stop.Station.Ties
	case r.Line != nil && i == len(r.Stops)-1:
		return r.Line.LastTies
	}
	return nil
}

// bound finds the part of space that is drawn: the outline and as much again
// round it, so that a slip of the pen does not shrink the vehicle to a dot.
func (s *scene) bound() {
	s.region = space{r3.Vec{X: -motion.Reach, Y: -motion.Reach, Z: -motion.Reach}, r3.Vec{X: motion.Reach, Y: motion.Reach, Z: motion.Reach}}
	outline, drawn := s.outlined()
	if !drawn {
		s.absent = append(s.absent, "the outline of the vehicle")
		return
	}
	s.extent = outline
	size := r3.Sub(s.extent.to, s.extent.from)
	if spare := 0.75 * max(size.X, size.Y, size.Z); spare > 0 {
		more := r3.Vec{X: spare, Y: spare, Z: spare}
		s.region = space{r3.Sub(s.extent.from, more), r3.Add(s.extent.to, more)}
	}
	if s.region.has(r3.Vec{}) {
		s.extent.take(r3.Vec{})
	}
}

// outlined reports whether the outline can be drawn.
func (s *scene) outlined() (space, bool) {
	o := s.kit.Kit.Vehicle.Outline
	out := nowhere()
	if !o.From.Known() || !o.To.Known() || !s.region.has(o.From.Vec()) || !s.region.has(o.To.Vec()) {
		return out, false
	}
	out.take(o.From.Vec())
	out.take(o.To.Vec())
	return out, true
}

// place takes a position where it is known and near enough.
func (s *scene) place(v kit.Vector) (r3.Vec, bool) {
	p := v.Vec()
	if !v.Known() || !s.region.has(p) {
		return p, false
	}
	s.extent.take(p)
	return p, true
}

func (s *scene) gatherPoints() {
	for _, p := range s.kit.Points {
		at, ok := s.place(p.Position)
		if !ok {
			s.absent = append(s.absent, p.Place())
			continue
		}
		m := pointMark{at: at, ref: strings.Join(p.Lines, "/"), name: p.Name.Or(p.ID.Or("without a name")), lined: len(p.Lines) > 0, point: p}
		if !m.lined {
			m.ref = p.ID.Or("?")
		}
		s.points = append(s.points, m)
	}
}

// gatherJoints finds what every joint moves by itself: the stops on its child,
// and the points where it has none.
func (s *scene) gatherJoints() {
	stops := map[*kit.Body][]r3.Vec{}
	for _, r := range s.routes {
		for _, stop := range r.Stops {
			if p, ok := s.place(stop.Position); ok && stop.Station != nil && stop.Body != nil {
				stops[stop.Body] = append(stops[stop.Body], p)
			}
		}
	}
	points := map[*kit.Body][]r3.Vec{}
	for _, p := range s.kit.Points {
		if at, ok := s.place(p.Position); ok && p.Body.To != nil {
			points[p.Body.To] = append(points[p.Body.To], at)
		}
	}
	for i, j := range s.kit.Joints {
		m := jointMark{tag: "J" + itoa(i+1), joint: j}
		if child := j.Child.To; child != nil {
			if m.stops = stops[child]; len(m.stops) == 0 {
				m.stops = points[child]
			}
		}
		var err error
		if m.motion, err = j.Motion(); err == nil {
			m.drawn = s.placeJoint(&m)
		}
		if !m.drawn {
			s.absent = append(s.absent, j.Place())
		}
		s.joints = append(s.joints, m)
	}
}

// placeJoint finds where a joint is drawn: at its pivot, or amid what slides.
func (s *scene) placeJoint(m *jointMark) bool {
	if m.motion.Kind == motion.Revolute {
		at, ok := s.place(m.joint.Pivot)
		m.at = at
		return ok && s.usable(m)
	}
	if len(m.stops) == 0 {
		at, ok := s.place(m.joint.Pivot)
		m.at = at
		return ok && s.usable(m)
	}
	for _, p := range m.stops {
		m.at = r3.Add(m.at, r3.Scale(1/float64(len(m.stops)), p))
	}
	return s.usable(m)
}

// usable reports whether package motion can move the joint, and takes the
// swept places into the extent.
func (s *scene) usable(m *jointMark) bool {
	for _, p := range append([]r3.Vec{m.at}, m.stops...) {
		for _, q := range m.values() {
			at, err := motion.Place([]motion.Joint{m.motion}, []float64{q}, p)
			if err != nil {
				return false
			}
			if s.region.has(at) {
				s.extent.take(at)
			}
		}
	}
	return true
}

// values are joint values from one end of the range to the other, near enough
// to one another to draw an arc through.
func (m *jointMark) values() []float64 {
	from, to := m.motion.From, m.motion.To
	n := 2
	if m.motion.Kind == motion.Revolute {
		to = min(to, from+2*math.Pi)
		n = int(math.Ceil((to-from)/(4*math.Pi/180))) + 1
	}
	n = max(n, 2) // a range from high to low is refused by package motion
	out := make([]float64, n)
	for i := range out {
		out[i] = from + (to-from)*float64(i)/float64(n-1)
	}
	return out
}

// moved is where the joint takes a place that is fixed to its child.
func (m *jointMark) moved(p r3.Vec, q float64) r3.Vec {
	at, err := motion.Place([]motion.Joint{m.motion}, []float64{q}, p)
	if err != nil {
		return p
	}
	return at
}

// sweep is the range of the joint as it is shown.
func (m *jointMark) sweep(family units.Family) string {
	dim := units.Angle
	if m.joint.Kind.V == "prismatic" {
		dim = units.Length
	}
	if !m.joint.Range.From.Known || !m.joint.Range.To.Known {
		return "range not known"
	}
	return units.Format(m.joint.Range.From.V, dim, family) + " to " + units.Format(m.joint.Range.To.V, dim, family)
}

func (s *scene) gatherZones() {
	for i, z := range s.kit.Kit.Zones {
		m := zoneMark{tag: "Z" + itoa(i+1), zone: z}
		_, a := s.place(z.From)
		_, b := s.place(z.To)
		round := roundZone(z)
		if !a || !b || round && (!z.Radius.Known || !(z.Radius.V >= 0 && z.Radius.V < motion.Reach)) {
			s.absent = append(s.absent, "zone "+z.Name.Or(z.ID.Or("without a name")))
			continue
		}
		for j := range s.joints {
			if z.Body.To != nil && s.joints[j].joint.Child.To == z.Body.To && s.joints[j].drawn {
				m.joint = &s.joints[j]
			}
		}
		for _, p := range m.outline(0) {
			if s.region.has(p) {
				s.extent.take(p)
			}
		}
		s.zones = append(s.zones, m)
	}
}

// outline is the corners of a zone, and for a capsule places all round its
// ends, when its joint stands at q.
func (m *zoneMark) outline(q float64) []r3.Vec {
	a, b := m.zone.From.Vec(), m.zone.To.Vec()
	r := 0.0
	if roundZone(m.zone) {
		r = m.zone.Radius.V
	}
	var out []r3.Vec
	for corner := range 8 {
		p := a
		if corner&1 != 0 {
			p.X = b.X
		}
		if corner&2 != 0 {
			p.Y = b.Y
		}
		if corner&4 != 0 {
			p.Z = b.Z
		}
		if r == 0 {
			out = append(out, p)
		}
	}
	planes := [][2]r3.Vec{{{X: r}, {Y: r}}, {{X: r}, {Z: r}}}
	if m.zone.Shape.V == "cylinder" {
		planes = [][2]r3.Vec{discPlane(r3.Sub(b, a), r)}
	}
	for i := 0; r > 0 && i < 32; i++ {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / 32)
		for _, p := range []r3.Vec{a, b} {
			for _, q := range planes {
				out = append(out, r3.Add(p, r3.Add(r3.Scale(cos, q[0]), r3.Scale(sin, q[1]))))
			}
		}
	}
	for i, p := range out {
		if q != 0 && m.joint != nil {
			out[i] = m.joint.moved(p, q)
		}
	}
	return out
}

func roundZone(z *kit.Zone) bool { return z.Shape.V == "capsule" || z.Shape.V == "cylinder" }

// discPlane is two radii at right angles to an axis and to each other.
func discPlane(axis r3.Vec, radius float64) [2]r3.Vec {
	if r3.Norm(axis) == 0 {
		axis = r3.Vec{Z: 1}
	}
	aside := r3.Vec{X: 1}
	if math.Abs(axis.X) > 0.9*r3.Norm(axis) {
		aside = r3.Vec{Y: 1}
	}
	u := r3.Unit(r3.Cross(axis, aside))
	return [2]r3.Vec{r3.Scale(radius, u), r3.Scale(radius, r3.Unit(r3.Cross(axis, u)))}
}
