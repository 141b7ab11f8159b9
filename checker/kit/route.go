package kit

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/source"
	"kitgauge/checker/value"
)

// Stop is a station, or the pump or the point at the end of a route, with
// what it says of the hop that ends at it.
type Stop struct {
	Name       string // in a sentence
	Body       *Body
	Unplaced   bool // no body is stated
	Position   Vector
	Held       bool // by a clip or a tie, or by its own fitting
	Grommet    bool
	Station    *Station // nil for the pump and for a point
	Node       *source.Node
	FreeLength value.Number
	SagRoom    value.Number
	Ties       []Tied
	Members    []*MemberLength
	StatedAs   string // the member that states the free length
}

// placed reports whether the stop has a body and a position.
func (s *Stop) placed() bool { return s.Body != nil && s.Position.Known() }

// stops lists those of stations.
func stops(stations []*Station, place string) []*Stop {
	list := make([]*Stop, len(stations))
	for i, s := range stations {
		name := "station " + s.ID.V
		if !s.ID.Known {
			name = fmt.Sprintf("station %d of %s", i+1, place)
		}
		list[i] = &Stop{
			Name: name, Body: s.Body.To, Unplaced: s.Body.ID.Node == nil, Position: s.Position, Node: s.Node, Station: s,
			Held: s.Hold.V == "clip" || s.Hold.V == "tie", Grommet: s.Hold.V == "grommet" || s.Grommet.V,
			FreeLength: s.FreeLength, SagRoom: s.SagRoom, Ties: s.Ties, Members: s.MemberLengths, StatedAs: "free_length of " + name,
		}
	}
	return list
}

// PumpStop is the pump as the first stop of a route.
func (g *Graph) PumpStop() *Stop {
	p := &g.Kit.Pump
	return &Stop{Name: "the pump", Body: p.Body.To, Unplaced: p.Body.ID.Node == nil, Position: p.Position, Held: true, Node: p.Node}
}

// Route is the way of a bundle, or of one line from where it leaves its
// bundle. A hop is named by the stop at which it ends.
type Route struct {
	Place  string
	Bundle *Bundle // nil for a line's own
	Line   *Line   // nil for a bundle's
	Stops  []*Stop // a line shares those of its bundle
	Names  []string
	Own    int // the first stop that is its own, after the pump and the bundle
	First  int // the first hop that is its own

	lines  func(hop int) []*Line
	longer value.Number // than which no hop may be
}

// lost stands for a break-out that is not stated, or is no station of the
// bundle. The line is taken to go to the bundle's end; where its tail begins
// is not known.
const lost = 1 << 20

// routes lists the bundles' routes from the pump on, then the lines' tails
// from where they leave their bundle, or from the pump.
func (g *Graph) routes() []*Route {
	var routes []*Route
	along := map[*Bundle][]*Stop{}
	leaves := map[*Line]int{}
	for _, b := range g.Kit.Bundles {
		place := "bundle " + b.ID.Or("without an id")
		way := append([]*Stop{g.PumpStop()}, stops(b.Route, place)...)
		along[b] = way[1:]
		routes = append(routes, &Route{Place: place, Bundle: b, Stops: way, Own: 1, First: 1, lines: onHops(g.membersOf(b, leaves), leaves, len(way)+1)})
	}
	for _, l := range g.Kit.Lines {
		routes = append(routes, g.tail(l, leaves, along[l.Bundle.To]))
	}
	for _, r := range routes {
		r.longer = g.Length
		for i := range r.Stops {
			r.Names = append(r.Names, r.nameAt(i))
		}
	}
	return routes
}

// membersOf lists the lines of a bundle and notes at which stop each leaves.
func (g *Graph) membersOf(b *Bundle, leaves map[*Line]int) []*Line {
	var members []*Line
	for _, l := range g.Kit.Lines {
		if l.Bundle.To != b {
			continue
		}
		members = append(members, l)
		leaves[l] = lost
		for i, s := range b.Route {
			if l.LeavesAt.Known && s.ID.V == l.LeavesAt.V {
				leaves[l] = i + 1
			}
		}
	}
	return members
}

// onHops tells which of the lines of a bundle are still in it on each hop.
// What it returns is not to be changed.
func onHops(members []*Line, leaves map[*Line]int, hops int) func(hop int) []*Line {
	on := make([][]*Line, hops)
	for hop := range on {
		gone := func(l *Line) bool { return leaves[l] < hop }
		if slices.ContainsFunc(members, gone) {
			members = slices.DeleteFunc(slices.Clone(members), gone)
		}
		on[hop] = members
	}
	return func(hop int) []*Line { return on[hop] }
}

func (g *Graph) tail(l *Line, leaves map[*Line]int, along []*Stop) *Route {
	one := []*Line{l}
	r := &Route{Place: l.Label(), Line: l, First: 1, lines: func(int) []*Line { return one }}
	switch b := l.Bundle.To; {
	case b == nil && l.Bundle.ID.Node != nil || leaves[l] == lost:
		// where the tail begins is not known, so its first hop is left out
	case b == nil || leaves[l] == 0:
		r.Stops = []*Stop{g.PumpStop()}
	default:
		// the bundle's stops up to the break-out stay, so that the grip
		// before a span can be looked for along them
		r.Stops = slices.Clip(along[:leaves[l]])
		r.First = len(r.Stops)
	}
	r.Own = len(r.Stops)
	r.Stops = append(r.Stops, stops(l.Tail, r.Place)...)
	if p := l.Point.To; p != nil {
		r.Stops = append(r.Stops, &Stop{
			Name: "point " + p.ID.V, Body: p.Body.To, Unplaced: p.Body.ID.Node == nil, Position: p.Position, Held: true, Node: l.Node,
			FreeLength: l.LastFreeLength, Ties: l.LastTies, StatedAs: "last_free_length of " + r.Place,
		})
	}
	return r
}

func (r *Route) nameAt(i int) string {
	s := r.Stops[i].Station
	switch {
	case s == nil:
		return r.Stops[i].Name
	case s.ID.Known:
		return s.ID.V
	case r.Bundle != nil:
		return fmt.Sprintf("station %d", i)
	case i < r.Own:
		return fmt.Sprintf("station %d", i+1)
	}
	return fmt.Sprintf("tail %d", i-r.Own+1)
}

// Lines are those that the route holds on a hop. The list is not to be changed.
func (r *Route) Lines(hop int) []*Line { return r.lines(hop) }

// From names the piece from one stop to another.
func (r *Route) From(i, j int) string {
	return fmt.Sprintf("%s, %s to %s", r.Place, r.Names[i], r.Names[j])
}

// Hop is the straight length of a hop at rest, where both ends are placed.
func (r *Route) Hop(i int) (length float64, known bool) {
	a, b := r.Stops[i-1], r.Stops[i]
	if !a.placed() || !b.placed() {
		return 0, false
	}
	return Settled(Distance(a.Position, b.Position)), true
}

// Fixed reports whether both ends of a hop are on one body, or on none.
func (r *Route) Fixed(i int) bool { return r.Stops[i-1].Body == r.Stops[i].Body }

// Spans reports whether a hop goes from one body to another.
func (r *Route) Spans(i int) bool {
	return r.Stops[i-1].Body != nil && r.Stops[i].Body != nil && !r.Fixed(i)
}

// Astray reports whether a hop is longer than the vehicle: one of its ends is
// not where the file says.
func (r *Route) Astray(i int) bool {
	d, known := r.Hop(i)
	return known && r.longer.Known && d > r.longer.V
}

// Bare reports whether a bundle has no conduit on a hop.
func (r *Route) Bare(hop int) bool { return r.Stops[hop].Station.Uncovered.V }

// Conduit is what covers the tubes on a hop; nil where nothing does.
func (r *Route) Conduit(hop int) *Conduit {
	if r.Bundle == nil || r.Bare(hop) {
		return nil
	}
	return r.Bundle.Conduit.To
}

// Corner is the stops before, at and after a stop where the route turns on one
// body. The place where a line leaves its bundle is a corner of the line.
func (g *Graph) Corner(r *Route, i int) (at [3]r3.Vec, found bool) {
	if i+1 >= len(r.Stops) {
		return at, false
	}
	corner, after := r.Stops[i], r.Stops[i+1]
	before := corner
	switch {
	case i > 0:
		before = r.Stops[i-1]
	case r.Bundle == nil && r.Own == 1 && corner.Station != nil: // it leaves at the first station
		before = g.PumpStop()
	default:
		return at, false // the route begins at the pump
	}
	same := before.Body == corner.Body && corner.Body == after.Body
	if !same || !before.placed() || !corner.placed() || !after.placed() {
		return at, false
	}
	return [3]r3.Vec{before.Position.Vec(), corner.Position.Vec(), after.Position.Vec()}, true
}

// Grip is the distance along the route from a stop to the nearest clip or tie
// on the same body, itself included, away from the span; held is false where
// there is none.
func (r *Route) Grip(i, step int) (held value.Flag, distance value.Number) {
	far := 0.0
	for at := i; ; at += step {
		if r.Stops[at].Held {
			return value.Known(true), value.Known(far)
		}
		next := at + step
		if next < 0 || next >= len(r.Stops) || r.Stops[next].Body != r.Stops[at].Body {
			return value.Known(false), value.Unknown[float64]("nothing holds the tubes on the " + r.Stops[i].Body.Label())
		}
		p, q := r.Stops[at], r.Stops[next]
		for _, s := range []*Stop{p, q} {
			if !s.Position.Known() {
				why := fmt.Sprintf("the position of %s is not known", s.Name)
				return value.Unknown[bool](why), value.Unknown[float64](why)
			}
		}
		hop := Distance(p.Position, q.Position)
		if tie, tied := nearestTie(r.Stops[max(at, next)].Ties, hop, step); tied {
			return value.Known(true), value.Known(far + tie)
		}
		far += hop
	}
}

// nearestTie is how far along a hop its nearest tie is. Ties count from the
// hop's first stop; a step of -1 goes backwards.
func nearestTie(ties []Tied, hop float64, step int) (distance float64, tied bool) {
	for _, t := range ties {
		d := t.At.V
		if step < 0 {
			d = hop - d
		}
		if t.At.Known && d >= 0 && (!tied || d < distance) {
			distance, tied = d, true
		}
	}
	return distance, tied
}

// Distance is that of two places in the file, at rest.
func Distance(p, q Vector) float64 { return r3.Norm(r3.Sub(p.Vec(), q.Vec())) }

// Settled rounds a length to the nanometre, so that two stations at 4.7 m and
// 4.3 m are 400 mm apart and not a hair more.
func Settled(v float64) float64 { return math.Round(v*1e9) / 1e9 }

// length is that of the vehicle.
func (o *Outline) length() value.Number {
	if !o.From.Known() || !o.To.Known() {
		return value.Unknown[float64]("the outline of the vehicle is not stated")
	}
	return value.Known(max(o.To.X.V-o.From.X.V, o.From.X.V-o.To.X.V))
}

// Label names the line.
func (l *Line) Label() string {
	if !l.Number.Known {
		return "a line without a number"
	}
	return fmt.Sprintf("line %d", l.Number.V)
}

// Short is the number of the line as it stands in lists.
func (l *Line) Short() string {
	if !l.Number.Known {
		return "?"
	}
	return strconv.FormatInt(l.Number.V, 10)
}
