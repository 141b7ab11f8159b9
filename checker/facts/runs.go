package facts

import (
	"fmt"
	"slices"

	"kitgauge/checker/kit"
	"kitgauge/checker/source"
	"kitgauge/checker/value"
)

// stop is a station, or the pump or the point at the end of a route.
type stop struct {
	name     string
	body     *kit.Body
	unplaced bool // no body is stated
	position kit.Vector
	held     bool // by a clip or a tie, or by its own fitting
	grommet  bool
	station  *kit.Station // nil for the pump and for a point
	node     *source.Node
	arrival
}

// arrival is what a stop says of the hop that ends at it.
type arrival struct {
	freeLength value.Number
	sagRoom    value.Number
	ties       []kit.Tied
	members    []*kit.MemberLength
	statedAs   string
}

func stopOf(s *kit.Station) *stop {
	return &stop{
		name: "station " + s.ID.Or("without an id"), body: s.Body.To, unplaced: s.Body.ID.Node == nil, position: s.Position, node: s.Node,
		held:    s.Hold.V == "clip" || s.Hold.V == "tie",
		grommet: s.Hold.V == "grommet" || s.Grommet.V,
		station: s,
		arrival: arrival{s.FreeLength, s.SagRoom, s.Ties, s.MemberLengths, ""},
	}
}

// stopsOf lists the stops of a route.
func stopsOf(route []*kit.Station, place string) []*stop {
	stops := make([]*stop, len(route))
	for i, s := range route {
		stops[i] = stopOf(s)
		if !s.ID.Known {
			stops[i].name = fmt.Sprintf("station %d of %s", i+1, place)
		}
		stops[i].statedAs = "free_length of " + stops[i].name
	}
	return stops
}

func (f *Kit) pumpStop() *stop {
	p := &f.Kit.Pump
	return &stop{name: "the pump", body: p.Body.To, unplaced: p.Body.ID.Node == nil, position: p.Position, held: true, node: p.Node}
}

// run is a route of a bundle or of one line: its stops in order.
type run struct {
	place string
	stops []*stop // a line shares those of its bundle
	from  int     // the hops before this stop belong to another run
	lines func(hop int) []*kit.Line
	whole *kit.Bundle // nil for a line's own tail
}

// runs lists the bundles' routes from the pump on, then the lines' tails from
// where they leave their bundle, or from the pump.
func (f *Kit) runs() []run {
	if f.allRuns != nil {
		return f.allRuns
	}
	var runs []run
	along := map[*kit.Bundle][]*stop{}
	leaves := map[*kit.Line]int{}
	for _, b := range f.Kit.Bundles {
		place := "bundle " + b.ID.Or("without an id")
		stops := append([]*stop{f.pumpStop()}, stopsOf(b.Route, place)...)
		along[b] = stops[1:]
		runs = append(runs, run{place: place, stops: stops, whole: b, lines: onHops(f.membersOf(b, leaves), leaves, len(stops)+1)})
	}
	for _, l := range f.Kit.Lines {
		runs = append(runs, f.tail(l, leaves, along[l.Bundle.To]))
	}
	f.allRuns = runs
	return runs
}

// onHops tells which of the lines of a bundle are still in it on each hop.
// What it returns is not to be changed.
func onHops(members []*kit.Line, leaves map[*kit.Line]int, hops int) func(hop int) []*kit.Line {
	on := make([][]*kit.Line, hops)
	for hop := range on {
		gone := func(l *kit.Line) bool { return leaves[l] < hop }
		if slices.ContainsFunc(members, gone) {
			members = slices.DeleteFunc(slices.Clone(members), gone)
		}
		on[hop] = members
	}
	return func(hop int) []*kit.Line { return on[hop] }
}

// lost stands for a break-out that is not stated, or is no station of the
// bundle. The line is taken to go to the bundle's end; where its tail begins
// is not known.
const lost = 1 << 20

// membersOf lists the lines of a bundle and notes at which stop each leaves.
func (f *Kit) membersOf(b *kit.Bundle, leaves map[*kit.Line]int) []*kit.Line {
	var members []*kit.Line
	for _, l := range f.Kit.Lines {
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

func (f *Kit) tail(l *kit.Line, leaves map[*kit.Line]int, along []*stop) run {
	var stops []*stop
	from := 1
	switch b := l.Bundle.To; {
	case b == nil && l.Bundle.ID.Node != nil || leaves[l] == lost:
		// where the tail begins is not known, so its first hop is left out
	case b == nil || leaves[l] == 0:
		stops = []*stop{f.pumpStop()}
	default:
		// the bundle's stops up to the break-out stay, so that the grip
		// before a span can be looked for along them
		stops = slices.Clip(along[:leaves[l]])
		from = len(stops)
	}
	stops = append(stops, stopsOf(l.Tail, lineName(l))...)
	if p := l.Point.To; p != nil {
		end := &stop{name: "point " + p.ID.V, body: p.Body.To, unplaced: p.Body.ID.Node == nil, position: p.Position, held: true, node: l.Node}
		end.arrival = arrival{freeLength: l.LastFreeLength, ties: l.LastTies, statedAs: "last_free_length of " + lineName(l)}
		stops = append(stops, end)
	}
	one := []*kit.Line{l}
	return run{place: lineName(l), stops: stops, from: from, lines: func(int) []*kit.Line { return one }}
}

// grip is the distance along the route from a stop to the nearest clip or tie
// on the same body, itself included, away from the span; held is false where
// there is none.
func (r run) grip(i, step int) (held value.Flag, distance value.Number) {
	far := 0.0
	for at := i; ; at += step {
		if r.stops[at].held {
			return value.Known(true), value.Known(far)
		}
		next := at + step
		if next < 0 || next >= len(r.stops) || r.stops[next].body != r.stops[at].body {
			return value.Known(false), value.Unknown[float64]("nothing holds the tubes on the " + bodyName(r.stops[i].body))
		}
		p, q := r.stops[at], r.stops[next]
		if !p.position.Known() || !q.position.Known() {
			why := fmt.Sprintf("the position of %s is not known", map[bool]string{true: p.name, false: q.name}[!p.position.Known()])
			return value.Unknown[bool](why), value.Unknown[float64](why)
		}
		hop := distanceOf(p.position, q.position)
		if tie, tied := nearestTie(r.stops[max(at, next)].ties, hop, step); tied {
			return value.Known(true), value.Known(far + tie)
		}
		far += hop
	}
}

// nearestTie is how far along a hop its nearest tie is. Ties count from the
// hop's first stop; a step of -1 goes backwards.
func nearestTie(ties []kit.Tied, hop float64, step int) (distance float64, tied bool) {
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
