package fill

import (
	"fmt"
	"math"
	"strings"

	"kitgauge/checker/edit"
	"kitgauge/checker/facts"
	"kitgauge/checker/units"
)

// rows adds those that the call-out sheet lacks, in the order of the lines.
func (f *filler) rows() error {
	const sheet, list = "/documents/call_out_sheet", "/documents/call_out_sheet/rows"
	if f.empty(sheet) {
		f.lacks("the call-out sheet", "it is not stated; give it a number first")
		return nil
	}
	var items []string
	for _, l := range f.facts().Lines {
		if !l.Rows.Known || l.Rows.V > 0 || !l.Number.Known || l.SameNumber.V != 1 {
			continue
		}
		if l.Point.To == nil || !l.Point.To.Name.Known {
			f.lacks(l.Place(), "the point at which it ends has no name")
			continue
		}
		name := l.Point.To.Name.V
		items = append(items, fmt.Sprintf(`{"line": %d, "name": %s}`, l.Number.V, edit.Text(name)))
		f.note(l.Place(), "row: "+name)
	}
	return f.accept(f.append(list, items))
}

// append puts items at the end of a list, which is made where there is none.
func (f *filler) append(list string, items []string) []edit.Change {
	if len(items) == 0 {
		return nil
	}
	if f.empty(list) {
		return []edit.Change{{Do: edit.Set, At: list, Value: "[" + strings.Join(items, ", ") + "]"}}
	}
	var changes []edit.Change
	for _, item := range items {
		changes = append(changes, edit.Change{Do: edit.Insert, At: list + "/-", Value: item})
	}
	return changes
}

// partsList adds the rows that the parts list lacks, with spares.
func (f *filler) partsList() error {
	k := f.facts()
	var items []string
	listed := map[string]bool{}
	for _, row := range k.ListRows {
		listed[row.Part.V] = true
	}
	list := func(number, member, amount string) {
		if !listed[number] {
			listed[number] = true
			items = append(items, fmt.Sprintf(`{"part": %s, "%s": %s}`, edit.Text(number), member, amount))
			f.note("parts list, "+number, member+": "+plain(amount))
		}
	}
	ties, held := f.held()
	for _, p := range k.Parts {
		member, amount, why := f.amount(p)
		switch {
		case listed[p.Number.V]:
		case why != "":
			f.lacks("parts list, "+p.Number.V, why)
		case p.Number.V == ties:
			list(ties, "quantity", fmt.Sprint(p.Count.V+held))
		default:
			list(p.Number.V, member, amount)
		}
	}
	if ties != "" {
		list(ties, "quantity", fmt.Sprint(held))
	}
	return f.accept(f.append("/parts_list", items))
}

// amount is how much of a part is packed: pieces with the spares that a rule
// asks for, lengths up to the next whole metre or foot.
func (f *filler) amount(p *facts.UsedPart) (member, amount, why string) {
	family := f.facts().Family()
	switch p.Measure.V {
	case "length":
		return "length", edit.Text(roll(p.Length.V, family)), p.Length.Why
	case "volume":
		if !p.Volume.Known {
			return "", "", p.Volume.Reason("the first fill")
		}
		return "volume", edit.Text(units.FormatAtLeast(p.Volume.V, units.Volume, family)), ""
	}
	if !p.Count.Known {
		return "", "", p.Count.Reason("how many the kit uses")
	}
	n := p.Count.V
	if spares := f.limit("fittings/spares"); p.Kind.V == "fitting" && spares.Known {
		n += int64(math.Ceil(spares.V))
	}
	return "quantity", fmt.Sprint(n), ""
}

// roll is a length in whole metres, or whole feet.
func roll(metres float64, family units.Family) string {
	if family == units.Inch {
		const foot = 0.3048
		return fmt.Sprintf("%d ft", int(math.Ceil(metres/foot-1e-9)))
	}
	return fmt.Sprintf("%d m", int(math.Ceil(metres-1e-9)))
}

// held is the tie that holds where the kit names none, and how many it takes:
// "" where the parts list has one.
func (f *filler) held() (number string, count int64) {
	k := f.facts()
	count = k.Held.V
	for _, r := range k.Kit.Bundles {
		for _, s := range r.Route {
			count += int64(len(s.Ties))
		}
	}
	for _, l := range k.Kit.Lines {
		count += int64(len(l.LastTies))
		for _, s := range l.Tail {
			count += int64(len(s.Ties))
		}
	}
	switch {
	case count == 0 || k.TieListed.V:
		return "", 0
	case len(k.Stock.Ties) == 0:
		f.lacks("the parts list", "no tie or clip of the catalogue stands the air of this vehicle")
		return "", 0
	}
	return k.Stock.Ties[0].Number.V, count
}
