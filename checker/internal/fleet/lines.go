package fleet

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/quantities/motion"
)

// station is a stop with what holds the tubes there and, where it is on
// another body than the one before, the free length.
type station struct {
	stop
	id         string
	tie        bool    // held by a tie, not by a clip
	passage    bool    // through sheet metal, in a grommet
	middleTie  float64 // how far after the station before it a tie is; 0 for none
	freeLength float64
	sagRoom    float64
}

type point struct {
	id, name string
	stop
	bearing bearing
	thread  string
	tight   bool
	celsius int // 0 where the point is no warmer than the air
}

type line struct {
	number, outlet int
	point          *point
	bundle         *bundle // nil for a single line
	leaves         int     // the station of the bundle
	tail           []station
	lastFree       float64
	cut            float64
	element        string
	tube           string
}

type bundle struct {
	id, name string
	conduit  string
	pulled   bool
	route    []station
	lines    []*line
}

// fitter lays the lines of a kit on a vehicle.
type fitter struct {
	*vehicle
	points  []*point
	lines   []*line
	bundles []*bundle
}

// legs is how far apart stations are at most, and longLegs where a tie is put
// in the middle between them; the rules allow 400 mm.
const (
	legs     = 340.0
	longLegs = 660.0
)

// fit lays the lines of one site: together in a bundle, or singly where they
// are few, and on some sites one beside the bundle.
func (f *fitter) fit(s *site) {
	route := f.lay(s)
	together := s.points
	switch {
	case s.points <= 2 && f.rand.IntN(3) == 0, s.points == 1:
		together = 0
	case s.points > 2 && f.rand.IntN(4) == 0:
		together--
	}
	if together > 0 {
		f.bundle(s, together, route)
	}
	for i := together; i < s.points; i++ {
		f.single(s, i, route)
	}
}

// bundle lays the first lines of a site together.
func (f *fitter) bundle(s *site, lines int, route []station) {
	b := &bundle{id: s.id(), name: s.place + " " + s.sideName(), route: slices.Clone(route)}
	f.hold(b.route, strings.ToLower(b.id)+"-")
	spots := f.spots(s, route)
	for i := range lines {
		spot := spots[i%len(spots)]
		l := f.line(s, i, f.around(s, route[spot.station].at, spot.toward, i))
		l.bundle, l.leaves = b, spot.station
		l.tail = f.tail(route[spot.station].stop, l.point.at)
		b.lines = append(b.lines, l)
	}
	f.bundles = append(f.bundles, b)
}

func (s *site) id() string {
	if s.set == 1 {
		return s.code
	}
	return s.code + "." + strconv.Itoa(s.set)
}

// lay makes the route of a site: from the pump to the rail of its side, along
// the rail, and then its own way.
func (f *fitter) lay(s *site) []station {
	d := math.Copysign(1, s.way[0].at.X-f.pump.X)
	x, z := f.pump.X, 1000-15*float64(len(f.bundles)%5)
	stops := []stop{{f.chassis, f.pump}}
	if s.side == f.pumpSide {
		stops = append(stops, f.on(f.chassis, x+d*180, 470, z, s.side))
	} else {
		stops = append(stops,
			f.on(f.chassis, x+d*140, 330, z, -s.side), f.on(f.chassis, x+d*140, 330, z, s.side),
			f.on(f.chassis, x+d*280, 470, z, s.side))
	}
	stops = append(stops, s.way...)
	var route []station
	for i := 1; i < len(stops); i++ {
		route = append(route, f.between(stops[i-1], stops[i])...)
	}
	return route
}

// between fills in stations on the way to a stop, which is the last of them.
// From body to body there is nothing in between.
func (f *fitter) between(from, to stop) []station {
	if from.body != to.body {
		return []station{{stop: to}}
	}
	way := r3.Sub(to.at, from.at)
	n := int(math.Ceil(r3.Norm(way) / legs))
	tied := n > 1 && f.rand.IntN(4) == 0
	if tied {
		n = int(math.Ceil(r3.Norm(way) / longLegs))
	}
	var out []station
	before := from.at
	for i := 1; i <= n; i++ {
		at := r3.Add(from.at, r3.Scale(float64(i)/float64(n), way))
		s := station{stop: stop{to.body, f.grid.at(at.X, at.Y, at.Z)}}
		if tied {
			s.middleTie = f.snap(r3.Norm(r3.Sub(s.at, before)) / 2)
		}
		s.passage = to.body == f.chassis && f.rand.IntN(15) == 0
		out = append(out, s)
		before = s.at
	}
	return out
}

// hold names the stations and says what holds the tubes there.
func (f *fitter) hold(route []station, prefix string) {
	for i := range route {
		if prefix != "" {
			route[i].id = prefix + strconv.Itoa(i+1)
		}
		route[i].tie = f.rand.IntN(6) == 0
	}
}

// spot is a station where lines may leave, and the direction in which their
// points lie.
type spot struct {
	station int
	toward  r3.Vec
}

// spots are the last station and, where the points are many, those before it
// on the same body.
func (f *fitter) spots(s *site, route []station) []spot {
	last := len(route) - 1
	out := []spot{{last, s.toward}}
	for i := last - 1; i > 0 && i >= last-2 && s.points > 3; i-- {
		if route[i].body != route[last].body || route[i-1].body != route[i].body {
			break
		}
		out = append(out, spot{i, r3.Sub(route[i].at, route[i-1].at)})
	}
	return out
}

// around places a point within reach of a station, in a cone so that the tube
// need not turn back.
func (f *fitter) around(s *site, from, toward r3.Vec, i int) r3.Vec {
	u := r3.Unit(toward)
	v := r3.Unit(r3.Cross(u, r3.Vec{X: .12, Y: .35, Z: .93}))
	w := r3.Cross(u, v)
	open := (15 + 40*f.rand.Float64()) * math.Pi / 180
	round := 2*math.Pi*float64(i)*0.381966 + f.rand.Float64()
	reach := 180 + 170*f.rand.Float64()
	if f.rand.IntN(5) == 0 {
		reach = 400 + 60*f.rand.Float64()
	}
	side := r3.Add(r3.Scale(math.Cos(round), v), r3.Scale(math.Sin(round), w))
	at := r3.Add(from, r3.Add(r3.Scale(reach*math.Cos(open), u), r3.Scale(reach*math.Sin(open), side)))
	at.Y = s.side * min(max(s.side*at.Y, 60), s.widest)
	at.Z = max(at.Z, 480)
	return f.grid.at(at.X, at.Y, at.Z)
}

// tail is a tube's own way to its point: a clip half way where it is far.
func (f *fitter) tail(from stop, to r3.Vec) []station {
	way := r3.Sub(to, from.at)
	if r3.Norm(way) < 370 {
		return nil
	}
	at := r3.Add(from.at, r3.Scale(0.55, way))
	tail := []station{{stop: stop{from.body, f.grid.at(at.X, at.Y, at.Z)}}}
	f.hold(tail, "")
	return tail
}

// single lays a line on its own. Where the last body is reached in one span,
// the span may end at the point itself.
func (f *fitter) single(s *site, i int, route []station) {
	last := len(route) - 1
	own := slices.Clone(route)
	f.hold(own, "")
	if i == s.points-1 {
		if free := f.endsInSpan(own); free > 0 {
			l := f.line(s, i, own[last].at)
			l.tail, l.lastFree = own[:last], free
			return
		}
	}
	l := f.line(s, i, f.around(s, own[last].at, s.toward, i))
	l.tail = append(own, f.tail(route[last].stop, l.point.at)...)
}

// endsInSpan draws whether a route that ends in a span ends at its point
// there, and the free length of that span; 0 is no. The loop has the usual
// room only, as nothing can state more.
func (f *fitter) endsInSpan(route []station) float64 {
	a, b := route[len(route)-2].stop, route[len(route)-1].stop
	if a.body == b.body || f.rand.IntN(2) == 0 {
		return 0
	}
	length, room, err := f.free(a, b)
	if err != nil || room > 0 {
		return 0
	}
	return length
}

// line adds a line and its point; its lengths are worked out later.
func (f *fitter) line(s *site, i int, at r3.Vec) *line {
	for slices.ContainsFunc(f.points, func(p *point) bool { return p.at == at }) {
		at = f.grid.at(at.X+40, at.Y, at.Z) // no two points lie at one place
	}
	name := fmt.Sprintf("%s, %s, %s", s.parts[i], s.place, s.sideName())
	if s.set > 1 {
		name = fmt.Sprintf("%s, %s set %d, %s", s.parts[i], s.place, s.set, s.sideName())
	}
	p := &point{id: fmt.Sprintf("%s-%d", s.id(), i+1), name: name, stop: stop{s.way[len(s.way)-1].body, at}}
	f.threads(p)
	if f.rand.IntN(10) == 0 {
		p.celsius = 45 + 5*f.rand.IntN(2)
	}
	f.points = append(f.points, p)
	l := &line{number: len(f.lines) + 1, point: p, tube: "FG-T4"}
	f.lines = append(f.lines, l)
	return l
}

func (f *fitter) threads(p *point) {
	switch f.rand.IntN(6) {
	case 0:
		p.thread = "R 1/8"
	case 1:
		p.thread = "1/8-27 NPT"
	default:
		p.thread = "M10x1"
		p.tight = f.rand.IntN(6) == 0
	}
}

// chain is the joints on which two bodies move against each other, outwards
// from the nearest body that carries both.
func chain(a, b *body) motion.Chain {
	ja, jb := hanging(a), hanging(b)
	for len(ja) > 0 && len(jb) > 0 && ja[0] == jb[0] {
		ja, jb = ja[1:], jb[1:]
	}
	var c motion.Chain
	for _, j := range ja {
		c.A = append(c.A, j.motion())
	}
	for _, j := range jb {
		c.B = append(c.B, j.motion())
	}
	return c
}

// hanging lists the joints from the chassis out to a body.
func hanging(b *body) []*joint {
	if b.joint == nil {
		return nil
	}
	return append(hanging(b.joint.parent), b.joint)
}

func (j *joint) motion() motion.Joint {
	if j.slide {
		return motion.Joint{Kind: motion.Prismatic, Axis: j.axis, From: j.from / 1000, To: j.to / 1000}
	}
	const degree = math.Pi / 180
	return motion.Joint{Pivot: r3.Scale(1e-3, j.pivot), Axis: j.axis, From: j.from * degree, To: j.to * degree}
}
