package facts

import (
	"fmt"

	"kitgauge/checker/kit"
	"kitgauge/checker/source"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// UsedPart is a part of the catalogue that the kit uses: how cold and how hot
// it becomes there, and how much of it is needed.
type UsedPart struct {
	*kit.Part
	Rated     value.Flag   `key:"rated"` // its kind has a temperature range
	Lowest    value.Number `key:"lowest" dim:"temperature"`
	Highest   value.Number `key:"highest" dim:"temperature"`
	Hottest   value.Number `key:"hottest" dim:"temperature"`
	HottestAt value.Text   `key:"hottest_at"`
	Measure   value.Text   `key:"measure"` // count, length or volume
	Count     value.Count  `key:"needed_count"`
	Length    value.Number `key:"needed_length" dim:"length"`
	Volume    value.Number `key:"needed_volume" dim:"volume"`
	Needed    value.Text   `key:"needed"`  // with its unit
	Listed    value.Flag   `key:"listed"`  // in the parts list
	Instead   value.Text   `key:"instead"` // another of its kind and its sizes that stands the cold and the heat
	node      *source.Node
}

// Place names the part.
func (u *UsedPart) Place() string { return partName(u.Part) }

func partName(p *kit.Part) string { return fmt.Sprintf("%s (%s)", p.Place(), p.Kind.Or("of no kind")) }

// Source is where the kit first names the part.
func (u *UsedPart) Source() *source.Node { return u.node }

// inUse gathers the parts in the order in which the kit names them.
type inUse struct {
	kit   *kit.Kit
	parts []*UsedPart
	of    map[*kit.Part]*UsedPart
	lost  string // why a part that the kit names is not known, or ""
}

// measures are the kinds of part that are not counted.
var measures = map[string]string{"tube": "length", "conduit": "length", "cable": "length", "grease": "volume"}

// measureOf tells by what the need of a part is measured.
func measureOf(p *kit.Part) string {
	if m, ok := measures[p.Kind.V]; ok {
		return m
	}
	return "count"
}

// withReason is the value with its reason where it is not known, naming it as what.
func withReason[T float64 | int64 | string | bool](v value.Of[T], what string) value.Of[T] {
	if !v.Known {
		v.Why = v.Reason(what)
	}
	return v
}

// use notes that the kit uses the part that ref names; it returns nil where
// the reference leads nowhere. The range is nil for a kind that has none.
func use[T any](u *inUse, ref *kit.Ref[T], of func(*T) (*kit.Part, *kit.Range)) *UsedPart {
	if ref.To == nil {
		if ref.Why != "" && u.lost == "" {
			u.lost = ref.Why
		}
		return nil
	}
	part, r := of(ref.To)
	if known := u.of[part]; known != nil {
		return known
	}
	p := &UsedPart{Part: part, node: ref.Source(), Rated: value.Known(r != nil), Measure: value.Known(measureOf(part))}
	switch p.Measure.V {
	case "count":
		p.Count.Known = true
	case "length":
		p.Length.Known = true
	}
	if r != nil {
		p.Lowest = withReason(r.From, "the lowest temperature of "+part.Place())
		p.Highest = withReason(r.To, "the highest temperature of "+part.Place())
		p.Hottest, p.HottestAt = u.kit.Vehicle.Ambient.To, value.Known("in the warmest air")
	}
	u.of[part] = p
	u.parts = append(u.parts, p)
	return p
}

// instead looks for a part that takes the place of one that is not made for the
// cold or for the heat where it is.
func (u *inUse) instead(p *UsedPart) value.Text {
	coldest := u.kit.Vehicle.Ambient.From
	if !p.Rated.V || stands(p.Lowest, p.Highest, coldest, p.Hottest) {
		return value.Text{}
	}
	of := u.kit.Parts.Entry(p.Number.V)
	for _, e := range u.kit.Parts.OfKind(p.Kind.V) {
		if r, _ := madeFor(e); e != of && stands(r.From, r.To, coldest, p.Hottest) && replaces(e, of) {
			return kit.Common(e).Number
		}
	}
	return value.Text{}
}

// madeFor is the range of temperatures of an entry; false for a kind without.
func madeFor(entry any) (kit.Range, bool) {
	switch e := entry.(type) {
	case *kit.Tube:
		return e.Temperature, true
	case *kit.Conduit:
		return e.Temperature, true
	case *kit.Fitting:
		return e.Temperature, true
	case *kit.Cable:
		return e.Temperature, true
	case *kit.Pump:
		return e.Temperature, true
	case *kit.Tie:
		return e.Temperature, true
	}
	return kit.Range{}, false
}

// replaces reports whether a part of the same kind fits where another did.
func replaces(entry, other any) bool {
	switch e := entry.(type) {
	case *kit.Tube:
		o := other.(*kit.Tube)
		return e.Outer.V == o.Outer.V && e.Inner.V >= o.Inner.V && e.Pressure.V >= o.Pressure.V
	case *kit.Conduit:
		o := other.(*kit.Conduit)
		return e.Inner.V >= o.Inner.V && e.Split.V == o.Split.V && e.BendRadius.V <= o.BendRadius.V
	case *kit.Fitting:
		o := other.(*kit.Fitting)
		return e.Thread.V == o.Thread.V && e.TubeOuter.V == o.TubeOuter.V && e.Pressure.V >= o.Pressure.V && e.Angle.V == o.Angle.V
	case *kit.Pump:
		return false // no pump replaces another by its sizes alone
	case *kit.Cable:
		return e.Area.V >= other.(*kit.Cable).Area.V
	}
	return true
}

// count adds n pieces; it does nothing for a part that is not known.
func (u *UsedPart) count(n int64) {
	if u != nil {
		u.Count.V += n
	}
}

// length adds a length. What is not stated adds nothing: the rule of the
// line, the span or the feed that lacks it says so.
func (u *UsedPart) length(l value.Number) {
	if u != nil {
		u.Length.V += l.V
	}
}

// warm raises the temperature that the part has to stand.
func (u *UsedPart) warm(t value.Number, where string) {
	if u == nil || !t.Known || u.Hottest.Known && t.V <= u.Hottest.V {
		return
	}
	u.Hottest, u.HottestAt = t, value.Known(where)
}

// The parts with a range, and those without, as use asks for them.
func tubePart(t *kit.Tube) (*kit.Part, *kit.Range)           { return &t.Part, &t.Temperature }
func conduitPart(c *kit.Conduit) (*kit.Part, *kit.Range)     { return &c.Part, &c.Temperature }
func fittingPart(f *kit.Fitting) (*kit.Part, *kit.Range)     { return &f.Part, &f.Temperature }
func cablePart(c *kit.Cable) (*kit.Part, *kit.Range)         { return &c.Part, &c.Temperature }
func tiePart(t *kit.Tie) (*kit.Part, *kit.Range)             { return &t.Part, &t.Temperature }
func pumpOf(p *kit.Pump) (*kit.Part, *kit.Range)             { return &p.Part, &p.Temperature }
func greasePart(g *kit.Grease) (*kit.Part, *kit.Range)       { return &g.Part, nil }
func boltPart(b *kit.Bolt) (*kit.Part, *kit.Range)           { return &b.Part, nil }
func elementPart(e *kit.Element) (*kit.Part, *kit.Range)     { return &e.Part, nil }
func fusePart(f *kit.Fuse) (*kit.Part, *kit.Range)           { return &f.Part, nil }
func connectorPart(c *kit.Connector) (*kit.Part, *kit.Range) { return &c.Part, nil }

// partsInUse goes through the kit and notes every part that it names. Where
// the first fill is not stated, it is what the kit needs.
func partsInUse(g *kit.Graph, firstFill value.Number) *inUse {
	k := g.Kit
	u := &inUse{kit: k, of: map[*kit.Part]*UsedPart{}}
	u.pump(firstFill)
	for _, l := range k.Lines {
		u.line(l)
	}
	for i, b := range k.Bundles {
		use(u, &b.Conduit, conduitPart).length(conduitLength(g.Routes[i]))
		u.ties(b.Route)
	}
	u.feed()
	for _, p := range u.parts {
		p.Needed = value.Known(p.amount(k.Family()))
		p.Instead = u.instead(p)
	}
	return u
}

func (u *inUse) pump(firstFill value.Number) {
	p := &u.kit.Pump
	use(u, &p.Part, pumpOf).count(1)
	if bolt := use(u, &p.Bolts.Part, boltPart); bolt != nil {
		bolt.Count = withReason(p.Bolts.Count, "the number of the pump's bolts")
	}
	if g := use(u, &p.Grease, greasePart); g != nil {
		g.Volume = p.FirstFill
		if p.FirstFill.Node == nil {
			g.Volume = firstFill
		}
	}
	for _, o := range p.Outlets {
		use(u, &o.Element, elementPart).count(1)
	}
}

func (u *inUse) line(l *kit.Line) {
	tube := use(u, &l.Tube, tubePart)
	tube.length(l.CutLength)
	use(u, &l.PumpFitting, fittingPart).count(1)
	end := use(u, &l.PointFitting, fittingPart)
	end.count(1)
	if p := l.Point.To; p != nil {
		where := "at point " + p.ID.Or("?")
		tube.warm(p.Temperature, where)
		end.warm(p.Temperature, where)
	}
	u.ties(l.Tail)
}

// ties counts the clips, ties and grommets that a route names by number.
func (u *inUse) ties(route []*kit.Station) {
	for _, s := range route {
		use(u, &s.Part, tiePart).count(1)
	}
}

func (u *inUse) feed() {
	feed := &u.kit.Feed
	use(u, &feed.Fuse, fusePart).count(1)
	if cable := use(u, &feed.Cable, cablePart); cable != nil {
		cable.length(feed.Length)
		if feed.Return.V == "cable" {
			cable.length(feed.Length)
		}
		cable.warm(feed.Temperature, "along the feed")
	}
	for _, c := range feed.Connectors {
		use(u, &c.Part, connectorPart).count(1)
	}
}

// ConduitPiece is a stretch of a bundle that one piece of conduit covers. Its
// length is the least that the stretch takes: free lengths where the bodies
// differ, else the straight distance; bends and free lengths that are not
// stated come on top.
type ConduitPiece struct {
	Bundle   *kit.Bundle
	From, To string // stops
	Length   float64
}

// ConduitPieces lists the conduit of all bundles that name one, bundle by
// bundle from the pump on.
func (k *Kit) ConduitPieces() []ConduitPiece {
	var list []ConduitPiece
	for i, b := range k.Kit.Bundles {
		if b.Conduit.ID.Node != nil {
			list = append(list, conduitPieces(k.graph.Routes[i])...)
		}
	}
	return list
}

// conduitPieces are those from the pump to the last station: what is stated
// as not covered parts them.
func conduitPieces(r *kit.Route) []ConduitPiece {
	var list []ConduitPiece
	covered := false
	for i := 1; i < len(r.Stops); i++ {
		if r.Bare(i) {
			covered = false
			continue
		}
		if !covered {
			list = append(list, ConduitPiece{Bundle: r.Bundle, From: r.Names[i-1]})
			covered = true
		}
		last := &list[len(list)-1]
		last.To = r.Names[i]
		last.Length += conduitAlong(r, i)
	}
	return list
}

// conduitAlong is the conduit that a hop takes.
func conduitAlong(r *kit.Route, i int) float64 {
	before, here := r.Stops[i-1], r.Stops[i]
	switch {
	case !r.Fixed(i) && here.FreeLength.Known:
		return here.FreeLength.V
	case here.Position.Known() && before.Position.Known():
		return kit.Distance(before.Position, here.Position)
	}
	return 0
}

// conduitLength is that of all pieces of a bundle.
func conduitLength(r *kit.Route) value.Number {
	total := 0.0
	for _, p := range conduitPieces(r) {
		total += p.Length
	}
	return value.Known(total)
}

// amount writes what is needed with its unit.
func (u *UsedPart) amount(family units.Family) string {
	switch u.Measure.V {
	case "length":
		return units.FormatAtLeast(u.Length.V, units.Length, family)
	case "volume":
		return units.FormatAtLeast(u.Volume.V, units.Volume, family)
	}
	return fmt.Sprint(u.Count.V)
}
