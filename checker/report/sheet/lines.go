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
	const stroke = "mm3" // in both families: no element is sold by the cubic inch
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

// CutList makes the cut list: a row for each tube with what goes onto both of
// its ends, then one for each piece of conduit. The tubes are as long as the
// kit states, the conduit is as long as its way at the least: bends come on
// top. Lengths in inches go up to the next sixteenth.
func CutList(k *facts.Kit, by Order) Sheet {
	s := Sheet{Name: "cut", Title: "Cut list", Columns: []Column{
		{Head: "tube"}, {Head: "line", Right: true}, lengthColumn(k, "cut length"),
		{Head: "pump fitting"}, {Head: "pump marker"}, {Head: "point fitting"}, {Head: "point marker"},
		{Head: "bundle"}, {Head: "leaves at"}, {Head: "from"}, {Head: "to"},
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
			leaf(l.Tube.ID), count(l.Number), length(k, l.CutLength),
			leaf(l.PumpFitting.ID), leaf(l.PumpMarker), leaf(l.PointFitting.ID), leaf(l.PointMarker),
			bundle(l), leaf(l.LeavesAt), named("outlet", count(l.Outlet)), named("point", leaf(l.Line.Point.ID)),
		})
	}
	s.Rows = append(s.Rows, conduit(k, by)...)
	return s
}

// named says what a number or an id is that stands among others.
func named(what string, c Cell) Cell {
	if c.Text == "" {
		return c
	}
	return text(what + " " + c.Text)
}

// conduit lists the pieces of conduit, sorted as the tubes are.
func conduit(k *facts.Kit, by Order) [][]Cell {
	pieces := k.ConduitPieces()
	slices.SortStableFunc(pieces, func(a, b facts.ConduitPiece) int {
		if c := cmp.Compare(a.Bundle.Conduit.ID.V, b.Bundle.Conduit.ID.V); c != 0 || by == ByBundle {
			return c
		}
		return cmp.Compare(b.Length, a.Length)
	})
	var rows [][]Cell
	for _, p := range pieces {
		none := text("")
		rows = append(rows, []Cell{
			leaf(p.Bundle.Conduit.ID), none, roundedUp(value.Known(p.Length), measure{lengthUnit(k), finest(k)}),
			none, none, none, none, leaf(p.Bundle.ID), none, text(p.From), text(p.To),
		})
	}
	return rows
}

// FreeLengths makes the list of what is measured off where a bundle or a tube
// leaves one body for another: a row for each of them, and one for each tube
// that has a length of its own there.
func FreeLengths(k *facts.Kit) Sheet {
	s := Sheet{Name: "free", Title: "Free lengths", Columns: []Column{
		{Head: "bundle"}, {Head: "lines"}, {Head: "from"}, {Head: "on"}, {Head: "to"}, {Head: "onto"},
		lengthColumn(k, "free length"), lengthColumn(k, "longest distance"),
	}}
	for _, span := range k.Spans {
		from, to := span.Ends()
		for _, g := range together(span) {
			s.Rows = append(s.Rows, []Cell{
				text(g.bundle), text(g.lines), text(from), text(span.From.V), text(to), text(span.To.V),
				length(k, g.length), roundedUp(span.Longest, measure{lengthUnit(k), finest(k)}),
			})
		}
	}
	return s
}

// tubes are those of a span that have one length there.
type tubes struct {
	bundle, lines string
	length        value.Number
}

func together(s *facts.Span) []tubes {
	members := s.Tubes()
	if len(members) == 0 {
		return []tubes{{length: s.FreeLength}}
	}
	var list []tubes
	for _, t := range members {
		i := slices.IndexFunc(list, func(g tubes) bool { return g.length.Known && g.length.V == t.Length.V })
		if i < 0 {
			i = len(list)
			name := "single"
			if b := t.Line.Bundle.ID; s.InBundle.V || b.Node != nil {
				name = leaf(b).Text
			}
			list = append(list, tubes{bundle: name, length: t.Length})
		} else {
			list[i].lines += ", "
		}
		list[i].lines += t.Line.Short()
	}
	return list
}

// byLength puts the longest first, and a line without a length at the end.
func byLength(a, b value.Number) int { return cmp.Compare(b.Or(-1), a.Or(-1)) }

func bundle(l *facts.Line) Cell {
	if l.Line.Bundle.ID.Node == nil && l.Single.V {
		return text("single")
	}
	return leaf(l.Line.Bundle.ID)
}
