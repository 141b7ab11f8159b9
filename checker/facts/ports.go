package facts

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"

	"kitgauge/checker/kit"
	"kitgauge/checker/value"
)

// ports is what the lines join, with the numbers of its lines. The gaps are
// the line numbers left out between 1 and the highest.
type ports struct {
	points  []*Point
	outlets []*Outlet
	bundles []*Bundle
	lines   []*Line
	gaps    []string
}

// joinPorts joins lines with points, outlets and bundles.
func joinPorts(k *kit.Kit) ports {
	p := ports{points: points(k), outlets: outlets(k), bundles: bundles(k)}
	byPoint, byBundle, byOutlet := map[*kit.Point]*Point{}, map[*kit.Bundle]*Bundle{}, map[int64]*Outlet{}
	for _, to := range p.points {
		byPoint[to.Point] = to
	}
	for _, b := range p.bundles {
		byBundle[b.Bundle] = b
	}
	for _, o := range p.outlets {
		if o.Number.Known && byOutlet[o.Number.V] == nil {
			byOutlet[o.Number.V] = o
		}
	}
	count, numbers := outletCount(k), tally[int64]{}
	for _, l := range k.Lines {
		line := &Line{
			Line: l, SameNumber: numbers.count(l.Number, "the number of a line"), PointProblem: value.Known(pointProblem(l)),
			Point:  kit.Ref[Point]{ID: l.Point.ID, Why: l.Point.Why, To: byPoint[l.Point.To]},
			Bundle: kit.Ref[Bundle]{ID: l.Bundle.ID, Why: l.Bundle.Why, To: byBundle[l.Bundle.To]},
		}
		line.PointSpelt, line.BundleSpelt = spelt(l.Point.Meant()), spelt(l.Bundle.Meant())
		if l.Bundle.Why != "" {
			line.BundleLost = value.Known(l.Bundle.Why)
		}
		if to := line.Point.To; to != nil {
			to.Lines = append(to.Lines, l.Short())
		}
		if b := line.Bundle.To; b != nil {
			b.Lines = append(b.Lines, l.Short())
		}
		line.connect(byOutlet, count)
		p.lines = append(p.lines, line)
	}
	p.gaps = gapsOf(numbers)
	if unread := unreadOf(k.Lines, func(l *kit.Line) value.Count { return l.Outlet }); unread != "" {
		p.unserved(unread)
	}
	return p
}

func pointProblem(l *kit.Line) string {
	if l.Point.Why == "" && l.Point.ID.Node == nil {
		return "no point is stated"
	}
	return l.Point.Reason("the point of " + l.Label())
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

// points lists the points, with what their ids are shared with.
func points(k *kit.Kit) []*Point {
	ids := tally[string]{}
	var list []*Point
	for _, p := range k.Points {
		list = append(list, &Point{Point: p, SameID: ids.count(p.ID, "the id of a point")})
	}
	for _, p := range list {
		p.SharedID = value.Known(p.ID.Known && ids[p.ID.V] > 1)
	}
	return list
}

func bundles(k *kit.Kit) []*Bundle {
	var list []*Bundle
	for _, b := range k.Bundles {
		list = append(list, &Bundle{Bundle: b})
	}
	return list
}

// unserved leaves open of the outlets without a line what is wanted of them: the
// line of which the outlet cannot be read may be on one.
func (p *ports) unserved(why string) {
	for _, o := range p.outlets {
		switch {
		case len(o.Lines) > 0:
		case o.Fitted.V:
			o.Fitted = value.Unknown[bool](why)
		case !o.BlankedOff.V:
			o.BlankedOff = value.Unknown[bool](why)
		}
	}
}

// outletCount is how many outlets the pump has.
func outletCount(k *kit.Kit) value.Count {
	return value.Compute(func(n *value.Need) (int64, error) {
		part := pumpPart(n, k)
		return n.Count("the number of outlets of "+part.Place(), part.Outlets), nil
	})
}

// hasOutlet reports whether the pump has an outlet of the number.
func hasOutlet(count, number value.Count) value.Flag {
	return value.Compute(func(n *value.Need) (bool, error) {
		i := n.Count("the number of an outlet", number)
		return i >= 1 && i <= n.Count("the number of outlets", count), nil
	})
}

// mostOutlets bounds the outlets that are added to those of the file, against
// an absurd number in a catalogue.
const mostOutlets = 1000

// outlets lists the outlets of the file, then those that the pump has beside.
func outlets(k *kit.Kit) []*Outlet {
	var list []*Outlet
	count, numbers := outletCount(k), tally[int64]{}
	unread := unreadOf(k.Pump.Outlets, func(o *kit.Outlet) value.Count { return o.Number })
	add := func(o *kit.Outlet) {
		it := &Outlet{
			Outlet: o, node: cmp.Or(o.Node, k.Pump.Node), Listed: value.Known(o.Node != nil),
			SameNumber: numbers.count(o.Number, "the number of an outlet"),
			Exists:     hasOutlet(count, o.Number), ElementFits: elementFits(k, o),
			Fitted: value.Known(o.Element.ID.Known), BlankedOff: value.Known(o.Blanked.V),
		}
		if o.Blanked.Node != nil && !o.Blanked.Known {
			it.BlankedOff = o.Blanked
		}
		if o.Node == nil && unread != "" { // it may be the one whose number cannot be read
			it.Fitted, it.BlankedOff = value.Unknown[bool](unread), value.Unknown[bool](unread)
			it.Element.Why = unread
		}
		list = append(list, it)
	}
	for _, o := range k.Pump.Outlets {
		add(o)
	}
	for n := int64(1); count.Known && n <= min(count.V, mostOutlets); n++ {
		if numbers[n] == 0 {
			add(&kit.Outlet{Number: value.Known(n)})
		}
	}
	return list
}

// unreadOf is why the first number of the list that stands in the file cannot be
// read; "" where all can. Until then nothing is known to be missing.
func unreadOf[T any](list []T, number func(T) value.Count) string {
	for _, it := range list {
		if n := number(it); n.Node != nil && !n.Known {
			return n.Why
		}
	}
	return ""
}

// freeOutlets lists the numbers of outlets of the pump that have no line.
func freeOutlets(outlets []*Outlet) []string {
	var free []string
	for _, o := range outlets {
		if o.Exists.V && len(o.Lines) == 0 && o.SameNumber.V == 1 {
			free = append(free, strconv.FormatInt(o.Number.V, 10))
		}
	}
	return free
}

func elementFits(k *kit.Kit, o *kit.Outlet) value.Flag {
	return value.Compute(func(n *value.Need) (bool, error) {
		e := o.Element.Of(n, "the metering element")
		series := n.Text("the series of "+e.Place(), e.Series)
		part := pumpPart(n, k)
		if len(part.Elements) == 0 {
			n.Stop("the element series of " + part.Place() + " is not stated")
		}
		return slices.ContainsFunc(part.Elements, func(t value.Text) bool { return t.Known && t.V == series }), nil
	})
}

// spelt is a name that is spelt right, where it is certain what is meant.
func spelt(name string) value.Text {
	if name == "" {
		return value.Text{Why: "it is not certain what is meant"}
	}
	return value.Known(name)
}

// connect notes which outlet the line is on, of as many as the pump has.
func (l *Line) connect(byOutlet map[int64]*Outlet, count value.Count) {
	if !l.Outlet.Known {
		l.OutletFit.Why = l.Outlet.Reason("the outlet of " + l.Place())
		l.OutletExists.Why = l.OutletFit.Why
		return
	}
	l.OutletExists = hasOutlet(count, l.Outlet)
	o := byOutlet[l.Outlet.V]
	if o == nil {
		l.OutletFit.Why = cmp.Or(count.Why, fmt.Sprintf("the pump has no outlet %d", l.Outlet.V))
		return
	}
	l.SharesOutlet = slices.Clone(o.Lines)
	l.OutletFit.To = o
	o.Lines = append(o.Lines, l.Short())
}

// gapsOf lists the numbers left out between 1 and the highest; a list longer
// than the kit itself is cut.
func gapsOf(numbers tally[int64]) []string {
	var highest int64
	for n := range numbers {
		highest = max(highest, n)
	}
	var gaps []string
	for n := int64(1); n < highest && len(gaps) < 20; n++ {
		if numbers[n] == 0 {
			gaps = append(gaps, strconv.FormatInt(n, 10))
		}
	}
	return gaps
}
