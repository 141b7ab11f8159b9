package facts

import (
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/routing"
	"kitgauge/checker/quantities/survey"
	"kitgauge/checker/value"
)

// PumpRouting is where the tubes begin.
type PumpRouting struct {
	CutElsewhere value.Flag `key:"lines_cut_elsewhere"` // lines too short and lines too long are all right for another place of the pump
}

// cutFrom is a line with how much longer it is than it has to be, and the stop
// to which it goes first.
type cutFrom struct {
	first r3.Vec
	over  float64
}

// leastLines is how many lines have to be too short, and how many too long,
// before it is not a slip of one.
const leastLines = 2

// pumpRouting finds that the lines were cut for another place of the pump: some
// are too short and some too long, and there is a place within the outline from
// which nearly all would be right. It is silent where the position of the pump
// was rather mistyped: with the slip put right it lies nearer to its filler.
func pumpRouting(g *kit.Graph, lines []*Line, o *Options) PumpRouting {
	none, found := PumpRouting{value.Known(false)}, PumpRouting{value.Known(true)}
	trim, surplus, bench := o.limit("routing/trim"), o.limit("routing/surplus"), o.limit("routing/bench")
	pump := &g.Kit.Pump
	if !trim.Known || !surplus.Known || !bench.Known || !pump.Position.Known() {
		return none
	}
	list, short, long := laid(g, lines, trim.V, bench.V, surplus.V)
	if short < leastLines || long < leastLines {
		return none
	}
	at := pump.Position.Vec()
	stations, differences := byStation(list)
	place, ok := routing.CutFrom(at, stations, differences, surplus.V)
	right := func(q r3.Vec) bool { return rightFrom(list, at, q, bench.V, surplus.V) }
	if !ok || !right(place) || !inOutline(g.Kit, at) || !inOutline(g.Kit, place) {
		return none
	}
	for _, s := range survey.Slips(at) {
		if f := pump.Filler; f.Known() && right(s.At) && r3.Norm(r3.Sub(s.At, f.Vec())) < r3.Norm(r3.Sub(at, f.Vec())) {
			return none
		}
	}
	return found
}

// laid lists the lines that begin at the pump on its own body, and counts those
// that are too short and too long.
func laid(g *kit.Graph, lines []*Line, trim, bench, surplus float64) (list []cutFrom, short, long int) {
	for i, l := range lines {
		w := g.Routes[len(g.Kit.Bundles)+i]
		if b := slices.Index(g.Kit.Bundles, l.Line.Bundle.To); b >= 0 {
			w = g.Routes[b]
		}
		if !l.CutLength.Known || !l.Needed.Known || len(w.Stops) < 2 || !w.Stops[1].Position.Known() || !w.Fixed(1) {
			continue
		}
		over := l.CutLength.V - l.Needed.V - trim
		list = append(list, cutFrom{w.Stops[1].Position.Vec(), over})
		switch {
		case over < -bench:
			short++
		case over > surplus:
			long++
		}
	}
	return list, short, long
}

// byStation is the middle one of the differences of all lines that go to one
// stop first.
func byStation(list []cutFrom) (stations []r3.Vec, differences []float64) {
	over := map[r3.Vec][]float64{}
	for _, l := range list {
		if over[l.first] == nil {
			stations = append(stations, l.first)
		}
		over[l.first] = append(over[l.first], l.over)
	}
	for _, s := range stations {
		slices.Sort(over[s])
		differences = append(differences, over[s][len(over[s])/2])
	}
	return stations, differences
}

// rightFrom reports whether nearly all lines are long enough, and none of them
// much too long, from another place of the pump.
func rightFrom(list []cutFrom, at, place r3.Vec, bench, surplus float64) bool {
	right := 0
	for _, l := range list {
		over := l.over - (r3.Norm(r3.Sub(place, l.first)) - r3.Norm(r3.Sub(at, l.first)))
		if over >= -bench && over <= surplus {
			right++
		}
	}
	return 10*right >= 9*len(list)
}

// inOutline reports whether a place is within the outline, where one is stated.
func inOutline(k *kit.Kit, p r3.Vec) bool {
	o := k.Vehicle.Outline
	if !o.From.Known() || !o.To.Known() {
		return true
	}
	out, _ := survey.NewBox(o.From.Vec(), o.To.Vec()).Beyond(p)
	return out <= 0
}
