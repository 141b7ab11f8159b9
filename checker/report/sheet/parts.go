package sheet

import (
	"math"

	"kitgauge/checker/facts"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// measure is how the amount of a part is counted on the parts list.
type measure struct {
	symbol string // "" for pieces
	step   float64
}

// PartsList makes the parts list: a row for each part of the kit's own list,
// with what the kit needs of it, and one for each part that the list lacks.
// Tubes, conduits and cables go by length, greases by volume. A need is
// rounded up to what can be weighed out or cut; a negative spare is short.
func PartsList(k *facts.Kit) Sheet {
	s := Sheet{Name: "parts", Title: "Parts list", Columns: []Column{
		{Head: "part"}, {Head: "description"}, {Head: "maker"}, {Head: "unit"},
		{Head: "needed", Right: true}, {Head: "listed", Right: true}, {Head: "spare", Right: true}, {Head: "remark"},
	}}
	for _, row := range k.ListRows {
		if row.First.V {
			s.Rows = append(s.Rows, listed(row, k.Family()))
		}
	}
	for _, subject := range k.Subjects("part") {
		if part, is := subject.(*facts.UsedPart); is && !part.Listed.V {
			s.Rows = append(s.Rows, unlisted(part, k.Family()))
		}
	}
	return s
}

// listed is the row of a part that the kit's parts list has.
func listed(r *facts.ListRow, f units.Family) []Cell {
	if r.Entry == nil { // the catalogue does not have it
		m, amount := statedAmount(r, f)
		return []Cell{leaf(r.Part), text(""), text(""), text(unit(m)), text(""), amount, text(""), text("not in the catalogue")}
	}
	m, amount := total(r, f)
	row := []Cell{leaf(r.Part), leaf(r.Entry.Description), leaf(r.Entry.Maker), text(unit(m))}
	if part := r.Used.To; part != nil {
		need := needed(part, m)
		left := surplus(need, amount)
		remark := ""
		if left.IsNumber && left.Number < 0 {
			remark = "short"
		}
		return append(row, need, amount, left, text(remark))
	}
	remark := ""
	switch {
	case r.Consumable.V:
		remark = "consumable"
	case r.Sure.V:
		remark = "not named in the kit"
	}
	return append(row, text(""), amount, text(""), text(remark))
}

// unlisted is the row of a part that the kit uses and its parts list lacks.
func unlisted(p *facts.UsedPart, f units.Family) []Cell {
	m := measureOf(p.Measure.V, f)
	return []Cell{leaf(p.Number), leaf(p.Description), leaf(p.Maker), text(unit(m)), needed(p, m), text(""), text(""), text("not in the parts list")}
}

func measureOf(name string, f units.Family) measure {
	inch := f == units.Inch
	switch {
	case name == "length" && inch:
		return measure{"ft", 0.1}
	case name == "length":
		return measure{"m", 0.01}
	case name == "volume" && inch:
		return measure{"cm3", 1} // as the strokes of the elements, in both families
	case name == "volume":
		return measure{"l", 0.01}
	}
	return measure{}
}

func unit(m measure) string {
	if m.symbol == "" {
		return "pieces"
	}
	return m.symbol
}

// total is what the rows of a part state together, by its measure: the one of
// the three of which there is a number, or a reason for there being none.
func total(r *facts.ListRow, f units.Family) (measure, Cell) {
	switch {
	case r.TotalLength.Known || r.TotalLength.Why != "":
		m := measureOf("length", f)
		return m, orEmpty(stated(r.TotalLength, m.symbol, 4), r.Length.Node != nil)
	case r.TotalVolume.Known || r.TotalVolume.Why != "":
		m := measureOf("volume", f)
		return m, orEmpty(stated(r.TotalVolume, m.symbol, 4), r.Volume.Node != nil)
	}
	return measure{}, orEmpty(count(r.TotalCount), r.Quantity.Node != nil)
}

// orEmpty leaves a cell empty where what is not known was not stated.
func orEmpty(c Cell, stated bool) Cell {
	if !c.IsNumber && !stated {
		return text("")
	}
	return c
}

// statedAmount is what a row states of a part that nobody knows.
func statedAmount(r *facts.ListRow, f units.Family) (measure, Cell) {
	switch {
	case r.Length.Known:
		m := measureOf("length", f)
		return m, stated(r.Length, m.symbol, 4)
	case r.Volume.Known:
		m := measureOf("volume", f)
		return m, stated(r.Volume, m.symbol, 4)
	}
	return measure{}, count(r.Quantity)
}

// needed is what the kit needs of a part.
func needed(p *facts.UsedPart, m measure) Cell {
	switch p.Measure.V {
	case "length":
		return roundedUp(p.Length, m)
	case "volume":
		return roundedUp(p.Volume, m)
	}
	return count(p.Count)
}

// roundedUp takes the next whole step, but for what the conversion rounds.
func roundedUp(v value.Number, m measure) Cell {
	if !v.Known {
		return stated(v, m.symbol, 4)
	}
	const noise = 1e-9
	return whole(math.Ceil(in(v.V, m.symbol)/m.step-noise), m.step)
}

// surplus is what is listed beyond the need, rounded as both are.
func surplus(need, listed Cell) Cell {
	if !need.IsNumber || !listed.IsNumber {
		return text("")
	}
	const finest = 1e-6
	return whole(math.Round((listed.Number-need.Number)/finest), finest)
}

// whole is n steps; a step is a power of ten below one, and dividing by its
// inverse gives the nearest number to what a person writes.
func whole(n, step float64) Cell { return number(n / math.Round(1/step)) }
