package sheet

import (
	"cmp"
	"math"
	"slices"

	"kitgauge/checker/facts"
	"kitgauge/checker/kit"
	"kitgauge/checker/value"
)

// CallOut makes the call-out sheet: a row for each line, by number, with what
// leaves the pump there and the point to which it goes.
func CallOut(k *facts.Kit) Sheet {
	stroke := family(k, "mm3", "in3")
	s := Sheet{Name: "call-out", Title: "Call-out sheet", Columns: []Column{
		{Head: "line", Right: true}, {Head: "outlet", Right: true}, {Head: "element"}, {Head: "a stroke", Unit: stroke, Right: true},
		{Head: "point"}, {Head: "name"}, {Head: "side"}, {Head: "on"}, {Head: "thread"}, {Head: "fitting"}, {Head: "marker"},
	}}
	lines := slices.Clone(k.Lines)
	slices.SortStableFunc(lines, byNumber)
	for _, l := range lines {
		row := []Cell{count(l.Number), count(l.Outlet)}
		row = append(row, element(l, stroke)...)
		row = append(row, point(l)...)
		s.Rows = append(s.Rows, append(row, leaf(l.PointFitting.ID), leaf(l.PointMarker)))
	}
	return s
}

// byNumber puts lines without a number at the end.
func byNumber(a, b *facts.Line) int { return cmp.Compare(lineNumber(a), lineNumber(b)) }

func lineNumber(l *facts.Line) int64 { return l.Number.Or(math.MaxInt64) }

// element names the metering element of a line with the amount that it gives:
// as fitted where the kit states it, else as listed.
func element(l *facts.Line, symbol string) []Cell {
	o := l.OutletFit.To
	if o == nil || o.Outlet == nil {
		return []Cell{text(""), text("")}
	}
	amount := o.StrokeVolume
	if !amount.Known && amount.Node == nil && o.Element.To != nil {
		amount = o.Element.To.StrokeVolume
	}
	return []Cell{leaf(o.Element.ID), stated(amount, symbol, 4)}
}

// point tells where a line goes; of a point that the kit does not have, what
// the line says.
func point(l *facts.Line) []Cell {
	p := l.Point.To
	if p == nil {
		return []Cell{leaf(l.Line.Point.ID), text(""), text(""), text(""), text("")}
	}
	return []Cell{leaf(p.ID), leaf(p.Name), text(p.Side()), text(on(&p.Body)), leaf(p.Thread)}
}

func on(b *kit.Ref[kit.Body]) string {
	if b.To == nil {
		return b.ID.V
	}
	return b.To.Name.Or(b.To.ID.V)
}

// Order is how the cut list is sorted for the bench.
type Order int

// The orders. Either way the tubes of one part are together.
const (
	ByLength Order = iota // the longest first, so that what is left of a coil still serves
	ByBundle              // as the bundles are made up
)

// CutList makes the cut list: a row for each tube with what goes onto both
// of its ends.
func CutList(k *facts.Kit, by Order) Sheet {
	length := family(k, "mm", "in")
	s := Sheet{Name: "cut", Title: "Cut list", Columns: []Column{
		{Head: "tube"}, {Head: "line", Right: true}, {Head: "cut length", Unit: length, Right: true},
		{Head: "pump fitting"}, {Head: "pump marker"}, {Head: "point fitting"}, {Head: "point marker"},
		{Head: "bundle"}, {Head: "leaves at"},
	}}
	lines := slices.Clone(k.Lines)
	slices.SortStableFunc(lines, func(a, b *facts.Line) int {
		if c := cmp.Compare(a.Tube.ID.V, b.Tube.ID.V); c != 0 {
			return c
		}
		if by == ByBundle {
			return cmp.Or(cmp.Compare(a.Line.Bundle.ID.V, b.Line.Bundle.ID.V), byNumber(a, b))
		}
		return cmp.Or(byLength(a.CutLength, b.CutLength), byNumber(a, b))
	})
	for _, l := range lines {
		s.Rows = append(s.Rows, []Cell{
			leaf(l.Tube.ID), count(l.Number), stated(l.CutLength, length, 6),
			leaf(l.PumpFitting.ID), leaf(l.PumpMarker), leaf(l.PointFitting.ID), leaf(l.PointMarker),
			bundle(l), leaf(l.LeavesAt),
		})
	}
	return s
}

// byLength puts the longest first, and a line without a length at the end.
func byLength(a, b value.Number) int { return cmp.Compare(b.Or(-1), a.Or(-1)) }

func bundle(l *facts.Line) Cell {
	if l.Line.Bundle.ID.Node == nil && l.Single.V {
		return text("single")
	}
	return leaf(l.Line.Bundle.ID)
}
