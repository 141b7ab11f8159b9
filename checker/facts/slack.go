package facts

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
	StatedAs    value.Text   `key:"stated_as"`                 // the member that states the free length
	Least       value.Number `key:"least_length" dim:"length"` // of its tubes
	Most        value.Number `key:"most_length" dim:"length"`
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
	HeldFrom    value.Flag   `key:"held_from"` // something holds the tubes on the body that the span leaves
	HeldTo      value.Flag   `key:"held_to"`
	GripFrom    value.Number `key:"grip_from" dim:"length"` // from the span's end to the nearest clip or tie
	GripTo      value.Number `key:"grip_to" dim:"length"`
	Ties        value.Count  `key:"ties"`
	Members     []string     `key:"members"` // the numbers of the lines in it
	Spread      value.Number `key:"member_spread" dim:"length"`
	Strangers   []string     `key:"not_members"` // lines with a length of their own that are not in it
	InBundle    value.Flag   `key:"in_bundle"`
	place       string
	node        *source.Node
	connections between
}

// Place names the span by the bodies at its ends.
func (s *Span) Place() string { return s.place }

// Source is the station at which the span arrives.
func (s *Span) Source() *source.Node { return s.node }

// spans finds every hop between two bodies and works it out.
func (f *Kit) spans() {
	unplaced := map[string]bool{}
	for _, r := range f.runs() {
		if f.stopped() {
			return
		}
		for _, s := range r.stops {
			if s.unplaced && !unplaced[s.name] {
				unplaced[s.name] = true
				f.Unplaced = append(f.Unplaced, s.name)
			}
		}
		for i := max(1, r.from); i < len(r.stops); i++ {
			a, b := r.stops[i-1], r.stops[i]
			if a.body == nil || b.body == nil || a.body == b.body {
				continue
			}
			f.Spans = append(f.Spans, f.span(r, i))
		}
	}
	f.crossings()
}

// crossings counts the spans that cross each joint.
func (f *Kit) crossings() {
	count := map[*kit.Joint]int64{}
	for _, s := range f.Spans {
		all := s.connections.all()
		for i, j := range all {
			if !slices.Contains(all[:min(i, motion.MostJoints)], j) { // in a circle of bodies it may stand twice
				count[j]++
			}
		}
	}
	for _, j := range f.Joints {
		j.Crossings.V = count[j.Joint]
	}
}

func (f *Kit) span(r run, i int) *Span {
	a, b := r.stops[i-1], r.stops[i]
	s := &Span{
		From: value.Known(bodyName(a.body)), To: value.Known(bodyName(b.body)),
		FreeLength: b.freeLength, SagRoom: b.sagRoom, StatedAs: value.Known(b.statedAs),
		Ties:     value.Known(int64(len(b.ties))),
		InBundle: value.Known(r.whole != nil),
		node:     b.node,
	}
	s.place = fmt.Sprintf("%s, span %s to %s", r.place, s.From.V, s.To.V)
	s.connections = f.between(a.body, b.body)
	s.Joined = value.Known(s.connections.joined)
	s.Unranged = s.connections.unranged()
	for _, j := range s.connections.withinLimit() {
		s.Joints = append(s.Joints, jointName(j))
	}
	s.Kind = s.connections.role()
	s.HeldFrom, s.GripFrom = r.grip(i-1, -1)
	s.HeldTo, s.GripTo = r.grip(i, +1)
	f.members(s, r, i)
	f.extremes(s, a, b)
	s.loop()
	return s
}

// members lists the lines of the span with their lengths and the least radius
// that they and their conduit may be bent to.
func (f *Kit) members(s *Span, r run, hop int) {
	var bend, lengths value.Need
	tightest := 0.0
	var all []float64
	for _, l := range r.lines(hop) {
		s.Members = append(s.Members, lineNumber(l))
		all = append(all, lengths.Number("the free length of "+s.place, memberLength(l, r.stops[hop].members, s.FreeLength)))
		if l.Tube.To == nil {
			bend.Lack(l.Tube.Reason("the tube of " + lineName(l)))
			continue
		}
		tightest = max(tightest, bend.Number("the bend radius of "+l.Tube.To.Place(), l.Tube.To.BendRadius))
	}
	if len(all) == 0 { // a bundle without lines
		all = append(all, lengths.Number("the free length of "+s.place, s.FreeLength))
	}
	if r.whole != nil && r.whole.Conduit.To != nil {
		tightest = max(tightest, bend.Number("the bend radius of "+r.whole.Conduit.To.Place(), r.whole.Conduit.To.BendRadius))
	}
	s.BendRadius = value.Known(tightest)
	if bend.Missing() {
		s.BendRadius = bend.Unknown()
	}
	for _, m := range r.stops[hop].members {
		if name := fmt.Sprint(m.Line.V); m.Line.Known && !slices.Contains(s.Members, name) {
			s.Strangers = append(s.Strangers, name)
		}
	}
	s.Least, s.Most, s.Spread = lengths.Unknown(), lengths.Unknown(), lengths.Unknown()
	if !lengths.Missing() {
		least, most := slices.Min(all), slices.Max(all)
		s.Least, s.Most, s.Spread = value.Known(least), value.Known(most), value.Known(most-least)
	}
}

// memberLength is the free length of one line in a span: its own where one is
// stated, else that of the span.
func memberLength(l *kit.Line, own []*kit.MemberLength, span value.Number) value.Number {
	for _, m := range own {
		if m.Line.Known && l.Number.Known && m.Line.V == l.Number.V {
			return m.Length
		}
	}
	return span
}

// extremes fills in the shortest and longest distance of the span's ends.
func (f *Kit) extremes(s *Span, a, b *stop) {
	var need value.Need
	if !s.connections.joined {
		need.Lack(fmt.Sprintf("no joint joins %s and %s", s.From.V, s.To.V))
	}
	for _, p := range []*stop{a, b} {
		if !p.position.Known() {
			need.Lack(p.position.X.Reason("a position of " + s.place))
		}
	}
	chain, why := s.connections.chain()
	if why != "" {
		need.Lack(why)
	}
	if !need.Missing() {
		chain.Budget = f.search
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

// loop works out the slack of the shortest tube at the longest position, and
// the arc of the longest tube at the shortest position.
func (s *Span) loop() {
	var need value.Need
	least := need.Number("the free length of "+s.place, s.Least)
	most := need.Number("the free length of "+s.place, s.Most)
	longest := need.Number("the longest distance", s.Longest)
	shortest := need.Number("the shortest distance", s.Shortest)
	if need.Missing() {
		unknown := need.Unknown()
		s.Slack, s.Surplus, s.LoopRadius, s.LoopSag = unknown, unknown, unknown, unknown
		return
	}
	s.Slack, s.Surplus = value.Known(least-longest), value.Known(most-shortest)
	arc, err := motion.Loop(most, shortest)
	s.LoopRadius, s.LoopSag = value.Result(arc.Radius, err), value.Result(arc.Sag, err)
	if err == nil && arc.Straight {
		s.LoopRadius = value.Unknown[float64]("the tube is straight, so it has no radius")
	}
}
