package quantities

import (
	"fmt"
	"slices"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/motion"
	"kitgauge/checker/source"
	"kitgauge/checker/value"
)

// Span is a free length of a bundle or of a single tube between two stations
// on different bodies.
type Span struct {
	Kind        value.Text   `key:"kind"` // steered, articulated, sprung, or "" where no joint lies between
	From        value.Text   `key:"from"`
	To          value.Text   `key:"to"`
	Joined      value.Flag   `key:"joined"`
	Joints      []string     `key:"joints"`
	Unranged    []string     `key:"joints_without_range"`
	FreeLength  value.Number `key:"free_length" dim:"length"`
	Longest     value.Number `key:"longest" dim:"length"`
	LongestAt   value.Text   `key:"longest_at"`
	Shortest    value.Number `key:"shortest" dim:"length"`
	ShortestAt  value.Text   `key:"shortest_at"`
	Slack       value.Number `key:"slack" dim:"length"`
	Surplus     value.Number `key:"surplus" dim:"length"`
	LoopRadius  value.Number `key:"loop_radius" dim:"length"`
	LoopSag     value.Number `key:"loop_sag" dim:"length"`
	SagRoom     value.Number `key:"sag_room" dim:"length"`
	BendRadius  value.Number `key:"bend_radius" dim:"length"`
	GripFrom    value.Number `key:"grip_from" dim:"length"`
	GripTo      value.Number `key:"grip_to" dim:"length"`
	Ties        value.Count  `key:"ties"`
	Members     []string     `key:"members"` // the numbers of the lines in it
	Spread      value.Number `key:"member_spread" dim:"length"`
	InBundle    value.Flag   `key:"in_bundle"`
	place       string
	node        *source.Node
	connections between
}

// Place names the span by the bodies at its ends.
func (s *Span) Place() string { return s.place }

// Source is the station at which the span arrives.
func (s *Span) Source() *source.Node { return s.node }

// stop is a station, or the pump or the point at the end of a route.
type stop struct {
	body     *kit.Body
	position kit.Vector
	held     bool // by a clip or a tie, or by its own fitting
	grommet  bool
	node     *source.Node
	arrival
}

// arrival is what a stop says of the hop that ends at it.
type arrival struct {
	freeLength value.Number
	sagRoom    value.Number
	ties       []kit.Tied
	members    []*kit.MemberLength
}

func stopOf(s *kit.Station) stop {
	return stop{
		body: s.Body.To, position: s.Position, node: s.Node,
		held:    s.Hold.V == "clip" || s.Hold.V == "tie",
		grommet: s.Hold.V == "grommet",
		arrival: arrival{s.FreeLength, s.SagRoom, s.Ties, s.MemberLengths},
	}
}

func (f *Kit) pumpStop() stop {
	p := f.Kit.Pump
	return stop{body: p.Body.To, position: p.Position, held: true, node: p.Node}
}

// run is a route of a bundle or of one line: its stops in order.
type run struct {
	place string
	stops []stop
	from  int // the hops before this stop belong to another run
	lines func(hop int) []*kit.Line
	whole *kit.Bundle // nil for a line's own tail
}

// spans finds every hop between two bodies and works it out.
func (f *Kit) spans() {
	for _, r := range f.runs() {
		for i := max(1, r.from); i < len(r.stops); i++ {
			a, b := r.stops[i-1], r.stops[i]
			if a.body == nil || b.body == nil || a.body == b.body {
				continue
			}
			f.Spans = append(f.Spans, f.span(r, i))
		}
	}
	for _, j := range f.Joints {
		for _, s := range f.Spans {
			if slices.Contains(s.connections.all(), j.Joint) {
				j.Crossings.V++
			}
		}
	}
}

// runs lists the bundles' routes from the pump on, then the lines' tails from
// where they leave their bundle, or from the pump.
func (f *Kit) runs() []run {
	var runs []run
	leaves := map[*kit.Line]int{}
	for _, b := range f.Kit.Bundles {
		stops := []stop{f.pumpStop()}
		for _, s := range b.Route {
			stops = append(stops, stopOf(s))
		}
		members := f.membersOf(b, leaves)
		runs = append(runs, run{place: "bundle " + b.ID.Or("?"), stops: stops, whole: b, lines: func(hop int) []*kit.Line {
			return slices.DeleteFunc(slices.Clone(members), func(l *kit.Line) bool { return leaves[l] < hop })
		}})
	}
	for _, l := range f.Kit.Lines {
		runs = append(runs, f.tail(l, leaves))
	}
	return runs
}

// membersOf lists the lines of a bundle and notes at which stop each leaves.
func (f *Kit) membersOf(b *kit.Bundle, leaves map[*kit.Line]int) []*kit.Line {
	var members []*kit.Line
	for _, l := range f.Kit.Lines {
		if l.Bundle.To != b {
			continue
		}
		members = append(members, l)
		leaves[l] = len(b.Route)
		for i, s := range b.Route {
			if l.LeavesAt.Known && s.ID.V == l.LeavesAt.V {
				leaves[l] = i + 1
			}
		}
	}
	return members
}

func (f *Kit) tail(l *kit.Line, leaves map[*kit.Line]int) run {
	var stops []stop
	from := 1
	switch b := l.Bundle.To; {
	case b == nil:
		stops = []stop{f.pumpStop()}
	case leaves[l] == 0:
		stops = []stop{f.pumpStop()}
	default:
		// the bundle's stops up to the break-out stay, so that the grip
		// before a span can be looked for along them
		for _, s := range b.Route[:leaves[l]] {
			stops = append(stops, stopOf(s))
		}
		from = len(stops)
	}
	for _, s := range l.Tail {
		stops = append(stops, stopOf(s))
	}
	if p := l.Point.To; p != nil {
		end := stop{body: p.Body.To, position: p.Position, held: true, node: l.Node}
		end.freeLength, end.ties = l.LastFreeLength, l.LastTies
		stops = append(stops, end)
	}
	return run{place: lineName(l), stops: stops, from: from, lines: func(int) []*kit.Line { return []*kit.Line{l} }}
}

func (f *Kit) span(r run, i int) *Span {
	a, b := r.stops[i-1], r.stops[i]
	s := &Span{
		From: value.Known(bodyName(a.body)), To: value.Known(bodyName(b.body)),
		FreeLength: b.freeLength, SagRoom: b.sagRoom,
		Ties:     value.Known(int64(len(b.ties))),
		InBundle: value.Known(r.whole != nil),
		node:     b.node,
	}
	s.place = fmt.Sprintf("%s, span %s to %s", r.place, s.From.V, s.To.V)
	s.connections = f.between(a.body, b.body)
	s.Joined = value.Known(s.connections.joined)
	s.Unranged = s.connections.unranged()
	for _, j := range s.connections.all() {
		s.Joints = append(s.Joints, jointName(j))
	}
	s.Kind = s.connections.role()
	s.GripFrom, s.GripTo = r.grip(i-1, -1), r.grip(i, +1)
	f.members(s, r, i)
	f.extremes(s, a, b)
	s.loop()
	return s
}

// grip is the distance along the route from a stop to the nearest clip or tie
// on the same body, itself included, away from the span.
func (r run) grip(i, step int) value.Number {
	distance := 0.0
	for at := i; ; at += step {
		if r.stops[at].held {
			return value.Known(distance)
		}
		next := at + step
		if next < 0 || next >= len(r.stops) || r.stops[next].body != r.stops[at].body {
			return value.Known(distance + endless)
		}
		p, q := r.stops[at].position, r.stops[next].position
		if !p.Known() || !q.Known() {
			return value.Unknown[float64]("a position on the route is not known")
		}
		distance += distanceOf(p, q)
	}
}

// endless stands for "nowhere on this body": no vehicle is this long.
const endless = motion.Reach

func (f *Kit) members(s *Span, r run, hop int) {
	lines := r.lines(hop)
	var need value.Need
	tightest := 0.0
	least, most := s.FreeLength.V, s.FreeLength.V
	for _, l := range lines {
		s.Members = append(s.Members, fmt.Sprint(l.Number.V))
		if l.Tube.To == nil {
			need.Lack(l.Tube.Reason("the tube of " + lineName(l)))
			continue
		}
		tightest = max(tightest, need.Number("the bend radius of "+l.Tube.To.Place(), l.Tube.To.BendRadius))
		for _, m := range r.stops[hop].members {
			if m.Line.Known && m.Line.V == l.Number.V && m.Length.Known {
				least, most = min(least, m.Length.V), max(most, m.Length.V)
			}
		}
	}
	if r.whole != nil && r.whole.Conduit.To != nil {
		tightest = max(tightest, need.Number("the bend radius of "+r.whole.Conduit.To.Place(), r.whole.Conduit.To.BendRadius))
	}
	s.BendRadius = value.Known(tightest)
	if need.Missing() {
		s.BendRadius = need.Unknown()
	}
	s.Spread = value.Known(most - least)
	if !s.FreeLength.Known {
		s.Spread = value.Unknown[float64](s.FreeLength.Reason("the free length of " + s.place))
	}
}

// extremes fills in the shortest and longest distance of the span's ends.
func (f *Kit) extremes(s *Span, a, b stop) {
	var need value.Need
	if !s.connections.joined {
		need.Lack(fmt.Sprintf("no joint joins %s and %s", s.From.V, s.To.V))
	}
	for _, p := range []stop{a, b} {
		if !p.position.Known() {
			need.Lack(p.position.X.Reason("a position of " + s.place))
		}
	}
	chain, why := s.connections.chain()
	if why != "" {
		need.Lack(why)
	}
	if !need.Missing() {
		shortest, longest, err := chain.Extremes(a.position.Vec(), b.position.Vec())
		if err == nil {
			s.Shortest, s.Longest = value.Known(shortest.Distance), value.Known(longest.Distance)
			s.ShortestAt = s.connections.position(shortest, f.Family())
			s.LongestAt = s.connections.position(longest, f.Family())
			return
		}
		need.Lack(err.Error())
	}
	s.Shortest, s.Longest = need.Unknown(), need.Unknown()
	s.ShortestAt, s.LongestAt = value.Unknown[string](need.Why()), value.Unknown[string](need.Why())
}

// loop works out the slack and the arc at the shortest position.
func (s *Span) loop() {
	var need value.Need
	length := need.Number("the free length of "+s.place, s.FreeLength)
	longest := need.Number("the longest distance", s.Longest)
	shortest := need.Number("the shortest distance", s.Shortest)
	if need.Missing() {
		unknown := need.Unknown()
		s.Slack, s.Surplus, s.LoopRadius, s.LoopSag = unknown, unknown, unknown, unknown
		return
	}
	s.Slack, s.Surplus = value.Known(length-longest), value.Known(length-shortest)
	arc, err := motion.Loop(length, shortest)
	s.LoopRadius, s.LoopSag = value.Result(arc.Radius, err), value.Result(arc.Sag, err)
	if arc.Straight {
		s.LoopRadius = value.Known(float64(endless))
	}
}
