package facts

import (
	"fmt"
	"slices"
	"strconv"

	"kitgauge/checker/kit"
	"kitgauge/checker/value"
)

// ports joins lines, outlets and points.
func (f *Kit) ports() {
	f.points()
	f.outlets()
	bundles := f.bundleFacts()
	byPoint := map[*kit.Point]*Point{}
	for _, p := range f.Points {
		byPoint[p.Point] = p
	}
	byOutlet := map[int64]*Outlet{}
	for _, o := range f.Outlets {
		if o.Number.Known && byOutlet[o.Number.V] == nil {
			byOutlet[o.Number.V] = o
		}
	}
	numbers := tally[int64]{}
	for _, l := range f.Kit.Lines {
		line := &Line{Line: l, SameNumber: numbers.count(l.Number, "the number of a line")}
		f.Lines = append(f.Lines, line)
		name := lineNumber(l)
		line.Point = kit.Ref[Point]{ID: l.Point.ID, Why: l.Point.Why, To: byPoint[l.Point.To]}
		if p := line.Point.To; p != nil {
			p.Lines = append(p.Lines, name)
		}
		line.Bundle = kit.Ref[Bundle]{ID: l.Bundle.ID, Why: l.Bundle.Why, To: bundles[l.Bundle.To]}
		line.PointProblem = value.Known(pointProblem(l))
		if b := line.Bundle.To; b != nil {
			b.Lines = append(b.Lines, name)
		}
		f.connect(line, byOutlet, name)
	}
	f.PumpLines = value.Known(int64(len(f.Lines)))
	f.gaps(numbers)
}

// lineNumber is the number of a line as it stands in lists.
func lineNumber(l *kit.Line) string {
	if !l.Number.Known {
		return "?"
	}
	return strconv.FormatInt(l.Number.V, 10)
}

func pointProblem(l *kit.Line) string {
	if l.Point.Why == "" && l.Point.ID.Node == nil {
		return "no point is stated"
	}
	return l.Point.Reason("the point of " + lineName(l))
}

// tally counts how often a name was given.
type tally[T int64 | string] map[T]int64

// count counts one more and returns how many there are so far. A name that
// is not known is not counted.
func (t tally[T]) count(name value.Of[T], what string) value.Count {
	if !name.Known {
		return value.Unknown[int64](name.Reason(what))
	}
	t[name.V]++
	return value.Known(t[name.V])
}

func (f *Kit) points() {
	ids := tally[string]{}
	for _, p := range f.Kit.Points {
		f.Points = append(f.Points, &Point{Point: p, SameID: ids.count(p.ID, "the id of a point")})
	}
	for _, p := range f.Points {
		p.SharedID = value.Known(p.ID.Known && ids[p.ID.V] > 1)
	}
}

func (f *Kit) bundleFacts() map[*kit.Bundle]*Bundle {
	facts := map[*kit.Bundle]*Bundle{}
	for _, b := range f.Kit.Bundles {
		bundle := &Bundle{Bundle: b}
		f.Bundles = append(f.Bundles, bundle)
		facts[b] = bundle
	}
	return facts
}

// outletCount is how many outlets the pump has.
func (f *Kit) outletCount() value.Count {
	part := f.Kit.Pump.Part.To
	if part == nil {
		return value.Unknown[int64](f.Kit.Pump.Part.Reason("the part of the pump"))
	}
	if !part.Outlets.Known {
		return value.Unknown[int64](part.Outlets.Reason("the number of outlets of " + part.Place()))
	}
	return part.Outlets
}

// hasOutlet reports whether the pump has an outlet of the number.
func hasOutlet(count, number value.Count) value.Flag {
	var need value.Need
	n, most := need.Count("the number of an outlet", number), need.Count("the number of outlets", count)
	if need.Missing() {
		return value.Unknown[bool](need.Why())
	}
	return value.Known(n >= 1 && n <= most)
}

// mostOutlets bounds the outlets that are added to those of the file, against
// an absurd number in a catalogue.
const mostOutlets = 1000

// outlets lists the outlets of the file, then those that the pump has beside.
func (f *Kit) outlets() {
	f.Pump.PumpFit = &f.Kit.Pump
	count := f.outletCount()
	numbers := tally[int64]{}
	add := func(o *kit.Outlet) {
		out := &Outlet{
			Outlet: o, node: o.Node, Listed: value.Known(o.Node != nil),
			SameNumber: numbers.count(o.Number, "the number of an outlet"),
			Exists:     hasOutlet(count, o.Number),
			Fitted:     value.Known(o.Element.ID.Known), BlankedOff: value.Known(o.Blanked.V),
		}
		if out.node == nil {
			out.node = f.Kit.Pump.Node
		}
		out.ElementFits = f.elementFits(o)
		f.Outlets = append(f.Outlets, out)
	}
	for _, o := range f.Kit.Pump.Outlets {
		add(o)
	}
	for n := int64(1); count.Known && n <= min(count.V, mostOutlets); n++ {
		if numbers[n] == 0 {
			add(&kit.Outlet{Number: value.Known(n)})
		}
	}
	f.Pump.Outlets = f.Outlets
}

func (f *Kit) elementFits(o *kit.Outlet) value.Flag {
	var need value.Need
	if o.Element.To == nil {
		return value.Unknown[bool](o.Element.Reason("the metering element"))
	}
	series := need.Text("the series of "+o.Element.To.Place(), o.Element.To.Series)
	part := f.Kit.Pump.Part.To
	switch {
	case part == nil:
		need.Lack(f.Kit.Pump.Part.Reason("the part of the pump"))
	case len(part.Elements) == 0:
		need.Lack("the element series of " + part.Place() + " is not stated")
	}
	if need.Missing() {
		return value.Unknown[bool](need.Why())
	}
	return value.Known(slices.ContainsFunc(part.Elements, func(t value.Text) bool { return t.Known && t.V == series }))
}

// connect notes which outlet the line is on.
func (f *Kit) connect(line *Line, byOutlet map[int64]*Outlet, name string) {
	if !line.Outlet.Known {
		line.OutletFit.Why = line.Outlet.Reason("the outlet of " + line.Place())
		line.OutletExists.Why = line.OutletFit.Why
		return
	}
	count := f.outletCount()
	line.OutletExists = hasOutlet(count, line.Outlet)
	o := byOutlet[line.Outlet.V]
	if o == nil {
		line.OutletFit.Why = fmt.Sprintf("the pump has no outlet %d", line.Outlet.V)
		if !count.Known {
			line.OutletFit.Why = count.Why
		}
		return
	}
	line.SharesOutlet = slices.Clone(o.Lines)
	line.OutletFit.To = o
	o.Lines = append(o.Lines, name)
}

// gaps lists the line numbers left out between 1 and the highest; a list
// longer than the kit itself is cut.
func (f *Kit) gaps(numbers tally[int64]) {
	var highest int64
	for n := range numbers {
		highest = max(highest, n)
	}
	for n := int64(1); n < highest && len(f.LineGaps) < 20; n++ {
		if numbers[n] == 0 {
			f.LineGaps = append(f.LineGaps, strconv.FormatInt(n, 10))
		}
	}
}
