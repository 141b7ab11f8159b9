package quantities

import (
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
		byOutlet[o.Number.V] = o
	}
	numbers := map[int64]int64{}
	for _, l := range f.Kit.Lines {
		line := &Line{Line: l}
		f.Lines = append(f.Lines, line)
		name := strconv.FormatInt(l.Number.V, 10)
		numbers[l.Number.V]++
		line.SameNumber = value.Known(numbers[l.Number.V])
		line.Point = kit.Ref[Point]{ID: l.Point.ID, Why: l.Point.Why, To: byPoint[l.Point.To]}
		if p := line.Point.To; p != nil {
			p.Lines = append(p.Lines, name)
		}
		line.Bundle = kit.Ref[Bundle]{ID: l.Bundle.ID, Why: l.Bundle.Why, To: bundles[l.Bundle.To]}
		line.PointProblem = value.Known(l.Point.Reason("the point of " + line.Place()))
		if b := line.Bundle.To; b != nil {
			b.Lines = append(b.Lines, name)
		}
		f.connect(line, byOutlet, name)
	}
	f.PumpLines = value.Known(int64(len(f.Lines)))
	f.gaps(numbers)
}

func (f *Kit) points() {
	ids := map[string]int64{}
	for _, p := range f.Kit.Points {
		ids[p.ID.V]++
		f.Points = append(f.Points, &Point{Point: p, SameID: value.Known(ids[p.ID.V])})
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

// outlets lists the outlets of the file, then those that the pump has beside.
func (f *Kit) outlets() {
	f.Pump.PumpFit = &f.Kit.Pump
	count := value.Count{Why: "the number of outlets is not known, because the pump's part is not"}
	if part := f.Kit.Pump.Part.To; part != nil {
		count = part.Outlets
	}
	listed := map[int64]bool{}
	add := func(o *kit.Outlet) {
		out := &Outlet{
			Outlet: o, node: o.Node, Listed: value.Known(o.Node != nil),
			Fitted: value.Known(o.Element.ID.Known), BlankedOff: value.Known(o.Blanked.V),
		}
		if out.node == nil {
			out.node = f.Kit.Pump.Node
		}
		out.Exists = value.Flag{Why: count.Why}
		if count.Known {
			out.Exists = value.Known(o.Number.V >= 1 && o.Number.V <= count.V)
		}
		out.ElementFits = f.elementFits(o)
		f.Outlets = append(f.Outlets, out)
	}
	for _, o := range f.Kit.Pump.Outlets {
		listed[o.Number.V] = true
		add(o)
	}
	for n := int64(1); count.Known && n <= min(count.V, 1000); n++ {
		if !listed[n] {
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
	if part == nil {
		need.Lack(f.Kit.Pump.Part.Reason("the part of the pump"))
	}
	if need.Missing() {
		return value.Unknown[bool](need.Why())
	}
	return value.Known(slices.ContainsFunc(part.Elements, func(t value.Text) bool { return t.V == series }))
}

// connect notes which outlet the line is on.
func (f *Kit) connect(line *Line, byOutlet map[int64]*Outlet, name string) {
	if !line.Outlet.Known {
		line.OutletFit.Why = line.Outlet.Reason("the outlet of " + line.Place())
		return
	}
	o := byOutlet[line.Outlet.V]
	if o == nil {
		line.OutletFit.Why = "the pump has no outlet " + strconv.FormatInt(line.Outlet.V, 10)
		return
	}
	line.SharesOutlet = slices.Clone(o.Lines)
	line.OutletFit.To = o
	o.Lines = append(o.Lines, name)
}

// gaps lists the line numbers left out between 1 and the highest; a list
// longer than the kit itself is cut.
func (f *Kit) gaps(numbers map[int64]int64) {
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
