package fill

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"kitgauge/checker/edit"
	"kitgauge/checker/facts"
	"kitgauge/checker/kit"
)

// parts chooses what holds, covers, ends and feeds. The ends at the points come
// after those at the pump, so that what is found of a line is about one of them.
func (f *filler) parts() error {
	if err := f.choose(slices.Concat(f.ends("pump"), f.conduits(), f.feed(), f.bolts())); err != nil {
		return err
	}
	return f.choose(f.ends("point"))
}

// part is an option that names one part.
func part(pointer, number string) option {
	return option{label: number, parts: []string{number}, changes: []edit.Change{{Do: edit.Set, At: pointer, Value: edit.Text(number)}}}
}

// ends are the fittings at one end of the lines. Those that go into the hole
// and over the tube by their figures are tried first: they are most likely to
// be within the number of those that are tried.
func (f *filler) ends(at string) []choice {
	k := f.facts()
	var list []choice
	for _, l := range k.Lines {
		pointer := l.Node.Pointer() + "/" + at + "_fitting"
		if !f.empty(pointer) {
			continue
		}
		hole := ""
		if p := l.Point.To; p != nil {
			hole = p.Thread.V
		}
		if p := k.Kit.Pump.Part.To; p != nil && at == "pump" {
			hole = p.OutletThread.V
		}
		c := choice{place: l.Label() + ", at the " + at, about: []string{l.Label()}, judged: judgesOfEnd(l.Label() + ", at the " + at)}
		for _, s := range likely(k.Stock.Fittings, hole, l.Tube.To) {
			c.options = append(c.options, part(pointer, s.Number.V))
		}
		list = append(list, c)
	}
	return list
}

// likely sorts fittings: the same thread and tube first.
func likely(stock []*kit.Fitting, thread string, tube *kit.Tube) []*kit.Fitting {
	miss := func(s *kit.Fitting) int {
		n := 0
		if s.Thread.V != thread {
			n += 2
		}
		if tube != nil && s.TubeOuter.V != tube.Outer.V {
			n++
		}
		return n
	}
	list := slices.Clone(stock)
	slices.SortStableFunc(list, func(a, b *kit.Fitting) int {
		return cmp.Or(cmp.Compare(miss(a), miss(b)), cmp.Compare(a.Angle.V, b.Angle.V))
	})
	return list
}

func (f *filler) conduits() []choice {
	var list []choice
	for _, b := range f.facts().Bundles {
		pointer := b.Node.Pointer() + "/conduit"
		if !f.empty(pointer) || len(b.Lines) == 0 {
			continue
		}
		c := choice{place: b.Place(), about: []string{b.Place()}, judged: judgesOfConduit(b.Place())}
		for _, s := range f.facts().Stock.Conduits {
			c.options = append(c.options, part(pointer, s.Number.V))
		}
		list = append(list, c)
	}
	return list
}

// feed chooses fuse and cable together where both are open: the thinnest
// cable, and for it the smallest fuse.
func (f *filler) feed() []choice {
	stock := f.facts().Stock
	cables, fuses := []option{{}}, []option{{}}
	if f.empty("/feed/cable") {
		cables = nil
		for _, s := range stock.Cables {
			cables = append(cables, part("/feed/cable", s.Number.V))
		}
	}
	if f.empty("/feed/fuse") {
		fuses = nil
		for _, s := range stock.Fuses {
			fuses = append(fuses, part("/feed/fuse", s.Number.V))
		}
	}
	c := choice{place: "the feed", about: []string{"the feed"}, judged: judgesOfFeed(f.empty("/feed/cable"))}
	if f.empty("/feed") || !f.empty("/feed/cable") && !f.empty("/feed/fuse") {
		return nil
	}
	for _, w := range cables {
		for _, s := range fuses {
			c.options = append(c.options, option{
				label:   strings.Trim(w.label+" with "+s.label, " with"),
				changes: slices.Concat(s.changes, w.changes), parts: slices.Concat(w.parts, s.parts),
			})
		}
	}
	return []choice{c}
}

func (f *filler) bolts() []choice {
	if f.empty("/pump/bolts") || !f.empty("/pump/bolts/part") {
		return nil
	}
	bolts := slices.Clone(f.facts().Stock.Bolts)
	slices.SortStableFunc(bolts, func(a, b *kit.Bolt) int { return cmp.Compare(diameter(a), diameter(b)) })
	c := choice{place: "the pump's bolts", about: []string{"the pump", "the pump's bolts"}, judged: judgesOfBolts()}
	for _, s := range bolts {
		c.options = append(c.options, part("/pump/bolts/part", s.Number.V))
	}
	return []choice{c}
}

// boltCount states as many bolts as the pump takes.
func (f *filler) boltCount() error {
	const count = "/pump/bolts/count"
	p := f.facts().Kit.Pump.Part.To
	if p == nil || !p.BoltCount.Known || f.empty("/pump/bolts") || !f.empty(count) {
		return nil
	}
	c := edit.Change{Do: edit.Set, At: count, Value: strconv.FormatInt(p.BoltCount.V, 10)}
	f.note("the pump's bolts", said(c))
	return f.accept([]edit.Change{c})
}

// diameter is the number in the size of a bolt, M8.
func diameter(b *kit.Bolt) float64 {
	d, _ := strconv.ParseFloat(strings.TrimPrefix(b.Size.V, "M"), 64)
	return d
}

// outlets lists those that the pump has and the kit does not: those with a line
// on them to get an element, the others blanked.
func (f *filler) outlets() error {
	k := f.facts()
	if k.Kit.Pump.Part.To == nil {
		f.lacks("the pump", "its part is not known, and so not how many outlets it has")
		return nil
	}
	var changes []edit.Change
	var missing []*facts.Outlet
	lost := slices.IndexFunc(k.Lines, func(l *facts.Line) bool { return l.OutletFit.To == nil })
	if lost >= 0 {
		f.lacks("the pump", "which outlets are free is not known: "+k.Lines[lost].Place()+" states no outlet that the pump has")
	}
	for _, o := range k.Outlets {
		switch {
		case !o.Number.Known || o.Exists.Known && !o.Exists.V || lost >= 0 && len(o.Lines) == 0:
		case !o.Listed.V:
			missing = append(missing, o)
		case len(o.Lines) == 0 && !o.Fitted.V && f.empty(o.Node.Pointer()+"/blanked"):
			changes = append(changes, edit.Change{Do: edit.Set, At: o.Node.Pointer() + "/blanked", Value: "true"})
			f.note(o.Place(), "blanked: true")
		}
	}
	return f.accept(append(changes, f.listOutlets(missing)...))
}

// listOutlets puts outlets into the list, by their numbers.
func (f *filler) listOutlets(missing []*facts.Outlet) []edit.Change {
	slices.SortStableFunc(missing, func(a, b *facts.Outlet) int { return cmp.Compare(a.Number.V, b.Number.V) })
	var items []string
	var changes []edit.Change
	for _, o := range missing {
		item := fmt.Sprintf(`{"number": %d}`, o.Number.V)
		if len(o.Lines) == 0 {
			item = fmt.Sprintf(`{"number": %d, "blanked": true}`, o.Number.V)
			f.note(o.Place(), "blanked: true")
		}
		items = append(items, item)
		at := 0
		for i, stated := range f.facts().Kit.Pump.Outlets {
			if stated.Number.Known && stated.Number.V < o.Number.V {
				at = i + 1
			}
		}
		changes = append(changes, edit.Change{Do: edit.Insert, At: "/pump/outlets/" + strconv.Itoa(at), Value: item})
	}
	if f.empty("/pump/outlets") && len(items) > 0 {
		return []edit.Change{{Do: edit.Set, At: "/pump/outlets", Value: "[" + strings.Join(items, ", ") + "]"}}
	}
	slices.Reverse(changes) // at one place the last comes first
	return changes
}

// elements chooses the metering elements of the outlets that lines use.
func (f *filler) elements() error {
	k := f.facts()
	var list []choice
	for _, o := range k.Outlets {
		if !o.Listed.V || len(o.Lines) != 1 || o.Fitted.V || o.BlankedOff.V || !f.empty(o.Node.Pointer()+"/element") {
			continue
		}
		c := choice{place: o.Place(), about: []string{o.Place(), "line " + o.Lines[0]}, judged: judgesOfElement("")}
		for _, l := range k.Lines {
			if l.Short() == o.Lines[0] && l.Point.To != nil {
				c.about = append(c.about, "point "+l.Point.To.ID.Or("?"))
				c.judged = judgesOfElement(l.Point.To.ID.V)
			}
		}
		for _, s := range k.Stock.Elements {
			c.options = append(c.options, part(o.Node.Pointer()+"/element", s.Number.V))
		}
		list = append(list, c)
	}
	return f.choose(list)
}
