package facts

import (
	"fmt"
	"math"
	"slices"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/motion"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// Span is a free length of a bundle or of a single tube between two stations
// on different bodies.
type Span struct {
	spot
	Kind       value.Text           `key:"kind" words:"steered,articulated,sprung"` // "" where no joint lies between
	From       value.Text           `key:"from"`
	To         value.Text           `key:"to"`
	Joined     value.Flag           `key:"joined"`
	Joints     []string             `key:"joints"`
	Unranged   []string             `key:"joints_without_range"`
	FreeLength value.Number         `key:"free_length" dim:"length"`
	StatedAs   value.Text           `key:"stated_as"`                 // the member that states the free length
	Least      value.Number         `key:"least_length" dim:"length"` // of its tubes
	Most       value.Number         `key:"most_length" dim:"length"`
	Longest    value.Number         `key:"longest" dim:"length"`
	LongestAt  value.Text           `key:"longest_at"`
	Shortest   value.Number         `key:"shortest" dim:"length"`
	ShortestAt value.Text           `key:"shortest_at"`
	Slack      value.Number         `key:"slack" dim:"length"`
	Surplus    value.Number         `key:"surplus" dim:"length"`
	SagRoom    value.Number         `key:"sag_room" dim:"length"`
	BendRadius value.Number         `key:"bend_radius" dim:"length"`
	TubeRadius value.Number         `key:"tube_radius" dim:"length"` // the least that its tubes take
	Conduit    kit.Ref[kit.Conduit] `key:"conduit"`
	HeldFrom   value.Flag           `key:"held_from"` // something holds the tubes on the body that the span leaves
	HeldTo     value.Flag           `key:"held_to"`
	GripFrom   value.Number         `key:"grip_from" dim:"length"` // from the span's end to the nearest clip or tie
	GripTo     value.Number         `key:"grip_to" dim:"length"`
	Ties       value.Count          `key:"ties"`
	Members    []string             `key:"members"` // the numbers of the lines in it
	Spread     value.Number         `key:"member_spread" dim:"length"`
	Strangers  []string             `key:"not_members"` // lines with a length of their own that are not in it
	InBundle   value.Flag           `key:"in_bundle"`
	SpanLoop
	hop       hop
	chain     kit.Chain
	extremeAt [2][]float64 // the joints' values at the shortest and the longest
}

// TubeInSpan is one line's free length in a span.
type TubeInSpan struct {
	Line   *kit.Line
	Length value.Number
}

// Ends are the names of its stations.
func (s *Span) Ends() (from, to string) {
	names := s.hop.route.Names
	return names[s.hop.stop-1], names[s.hop.stop]
}

// Tubes are the lines in it, with what each has there.
func (s *Span) Tubes() []TubeInSpan {
	var list []TubeInSpan
	for _, l := range s.hop.route.Lines(s.hop.stop) {
		list = append(list, TubeInSpan{l, memberLength(l, s.hop.route.Stops[s.hop.stop].Members, s.FreeLength)})
	}
	return list
}

// unplaced names the stops that state no body, each once.
func unplaced(g *kit.Graph) []string {
	seen := map[string]bool{}
	var names []string
	for _, r := range g.Routes {
		for _, s := range r.Stops {
			if s.Unplaced && !seen[s.Name] {
				seen[s.Name] = true
				names = append(names, s.Name)
			}
		}
	}
	return names
}

// spans finds every hop between two bodies and works it out.
func spans(g *kit.Graph, search *motion.Budget, o *Options) []*Span {
	var found []*Span
	for _, r := range g.Routes {
		if o.stopped() {
			break
		}
		for i := r.First; i < len(r.Stops); i++ {
			if r.Spans(i) {
				found = append(found, span(g, r, i, search, o))
			}
		}
	}
	return found
}

func span(g *kit.Graph, r *kit.Route, i int, search *motion.Budget, o *Options) *Span {
	a, b := r.Stops[i-1], r.Stops[i]
	s := &Span{
		From: value.Known(a.Body.Label()), To: value.Known(b.Body.Label()),
		FreeLength: b.FreeLength, SagRoom: b.SagRoom, StatedAs: value.Known(b.StatedAs),
		Ties: value.Known(int64(len(b.Ties))), InBundle: value.Known(r.Bundle != nil),
		hop:  hop{r, i},
		spot: spot{node: b.Node}, chain: g.Between(a.Body, b.Body),
	}
	s.place = fmt.Sprintf("%s, span %s to %s", r.Place, s.From.V, s.To.V)
	s.Joined, s.Kind = value.Known(s.chain.Joined), s.chain.Role()
	s.Joints, s.Unranged = s.chain.Names(), s.chain.Unranged()
	s.HeldFrom, s.GripFrom = r.Grip(i-1, -1)
	s.HeldTo, s.GripTo = r.Grip(i, +1)
	s.members(r, i)
	s.BendRadius = value.Compute(func(n *value.Need) (float64, error) {
		var conduit *kit.Conduit
		if r.Bundle != nil {
			conduit = r.Bundle.Conduit.To
		}
		return tightest(n, r.Lines(i), conduit), nil
	})
	s.TubeRadius = value.Compute(func(n *value.Need) (float64, error) { return tightest(n, r.Lines(i), nil), nil })
	if r.Bundle != nil {
		s.Conduit = r.Bundle.Conduit
	}
	s.extremes(a, b, search, g.Kit.Family())
	s.slack()
	s.curves(r, i, search, o.Memory, g.Kit.Family())
	s.height(g.Kit.Vehicle.Outline.From.Z)
	return s
}

// members lists the lines of the span, and compares their lengths.
func (s *Span) members(r *kit.Route, hop int) {
	own := r.Stops[hop].Members
	lengths := []value.Number{s.FreeLength} // a bundle without lines
	if lines := r.Lines(hop); len(lines) > 0 {
		lengths = lengths[:0]
		for _, l := range lines {
			s.Members = append(s.Members, l.Short())
			lengths = append(lengths, memberLength(l, own, s.FreeLength))
		}
	}
	for _, m := range own {
		if name := fmt.Sprint(m.Line.V); m.Line.Known && !slices.Contains(s.Members, name) {
			s.Strangers = append(s.Strangers, name)
		}
	}
	value.Fill(func(n *value.Need) error {
		s.Least, s.Most = value.Known(math.Inf(1)), value.Known(math.Inf(-1))
		for _, l := range lengths {
			length := n.Number("the free length of "+s.place, l)
			s.Least.V, s.Most.V = min(s.Least.V, length), max(s.Most.V, length)
		}
		s.Spread = value.Known(s.Most.V - s.Least.V)
		return nil
	}, &s.Least, &s.Most, &s.Spread)
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
func (s *Span) extremes(a, b *kit.Stop, search *motion.Budget, family units.Family) {
	value.Fill(func(n *value.Need) error {
		if !s.chain.Joined {
			s.chain.Motion().Of(n)
		}
		from, to := a.Position.Of(n, "a position of "+s.place), b.Position.Of(n, "a position of "+s.place)
		chain := s.chain.Motion().Of(n)
		chain.Budget = search
		shortest, longest, err := chain.Extremes(from, to)
		if err != nil {
			return err
		}
		s.Shortest, s.Longest = value.Known(shortest.Distance), value.Known(longest.Distance)
		s.extremeAt = [2][]float64{values(shortest), values(longest)}
		s.ShortestAt, s.LongestAt = s.standing(shortest, family), s.standing(longest, family)
		return nil
	}, &s.Shortest, &s.Longest, &s.ShortestAt, &s.LongestAt)
}

// values are those of the joints of both sides.
func values(e motion.Extreme) []float64 { return append(slices.Clone(e.A), e.B...) }

func (s *Span) standing(e motion.Extreme, family units.Family) value.Text {
	return value.Known(kit.Standing(s.chain.All(), values(e), family))
}

// slack works out the slack of the shortest tube at the longest position, and
// what the longest tube has over at the shortest position.
func (s *Span) slack() {
	value.Fill(func(n *value.Need) error {
		least, most := n.Number("the free length of "+s.place, s.Least), n.Number("the free length of "+s.place, s.Most)
		longest, shortest := n.Number("the longest distance", s.Longest), n.Number("the shortest distance", s.Shortest)
		s.Slack, s.Surplus = value.Known(least-longest), value.Known(most-shortest)
		return nil
	}, &s.Slack, &s.Surplus)
}
