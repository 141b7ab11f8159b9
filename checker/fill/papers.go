package fill

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"kitgauge/checker/edit"
	"kitgauge/checker/facts"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
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

// partsList adds the rows that the parts list lacks, with spares, once all that
// it counts and adds up is there.
func (f *filler) partsList() error {
	k := f.facts()
	if why := unsettled(k); why != "" {
		f.lacks("the parts list", why)
		return nil
	}
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
	more := f.taken()
	for _, p := range k.Parts {
		member, amount, why := f.amount(p)
		switch n := more[p.Number.V]; {
		case listed[p.Number.V]:
		case why != "":
			f.lacks("parts list, "+p.Number.V, why)
		case n > 0:
			list(p.Number.V, "quantity", fmt.Sprint(p.Count.V+n))
		default:
			list(p.Number.V, member, amount)
		}
	}
	for _, number := range sortedKeys(more) {
		list(number, "quantity", fmt.Sprint(more[number]))
	}
	return f.accept(f.append("/parts_list", items))
}

// unsettled is what is still open of that which a parts list adds up; "" where
// nothing is.
func unsettled(k *facts.Kit) string {
	open := func(stated value.Text, what string) string {
		if stated.Known {
			return ""
		}
		return stated.Reason(what)
	}
	var why []string
	for _, l := range k.Lines {
		name := l.Place()
		why = append(why, open(l.Tube.ID, "the tube of "+name), open(l.PumpFitting.ID, "the fitting at the pump of "+name), open(l.PointFitting.ID, "the fitting at the point of "+name))
		if !l.CutLength.Known {
			why = append(why, l.CutLength.Reason("the cut length of "+name))
		}
	}
	for _, o := range k.Outlets {
		if len(o.Lines) > 0 {
			why = append(why, open(o.Element.ID, "the element of "+o.Place()))
		}
	}
	for _, b := range k.Bundles {
		if len(b.Lines) > 0 {
			why = append(why, open(b.Conduit.ID, "the conduit of "+b.Place()))
		}
	}
	why = append(why, open(k.Kit.Pump.Part.ID, "the part of the pump"), open(k.Kit.Pump.Grease.ID, "the grease"), open(k.Kit.Pump.Bolts.Part.ID, "the part of the pump's bolts"),
		open(k.Kit.Feed.Fuse.ID, "the fuse"), open(k.Kit.Feed.Cable.ID, "the cable"))
	at := slices.IndexFunc(why, func(s string) bool { return s != "" })
	if at < 0 {
		return ""
	}
	return why[at]
}

// amount is how much of a part is packed: pieces with the spares that a rule
// asks for, lengths up to the next whole metre or foot.
func (f *filler) amount(p *facts.UsedPart) (member, amount, why string) {
	family := f.facts().Family()
	switch p.Measure.V {
	case "length":
		if !p.Length.Known || p.Length.V == 0 {
			return "", "", p.Length.Reason("how long a piece of it the kit uses")
		}
		return "length", edit.Text(roll(p.Length.V, family)), ""
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
	if spares := f.limit(spareLimits[p.Kind.V]); spares.Known {
		n += int64(math.Ceil(spares.V))
	}
	return "quantity", fmt.Sprint(n), ""
}

// spareLimits are the limits that say how many of a kind are packed to spare.
var spareLimits = map[string]string{"fitting": "fittings/spares", "fuse": "power/spare_fuses"}

// roll is a length in whole metres, or whole feet.
func roll(metres float64, family units.Family) string {
	if family == units.Inch {
		const foot = 0.3048
		return fmt.Sprintf("%d ft", int(math.Ceil(metres/foot-1e-9)))
	}
	return fmt.Sprintf("%d m", int(math.Ceil(metres-1e-9)))
}

// taken are the parts of the kinds that a kit takes without naming them, with
// how many. Where the catalogue has no clip a tie holds in its place. A kind of
// which the list has a part is left out.
func (f *filler) taken() map[string]int64 {
	k := f.facts()
	counts, parts := k.Taken(), map[string]int64{}
	if len(k.Kit.Parts.OfKind("clip")) == 0 {
		counts["tie"] += counts["clip"]
		delete(counts, "clip")
	}
	for _, row := range k.ListRows {
		if row.Entry != nil {
			delete(counts, row.Entry.Kind.V)
		}
	}
	for _, kind := range sortedKeys(counts) {
		fits := k.Fitting(kind)
		switch n := counts[kind]; {
		case n == 0:
		case len(fits) > 0:
			parts[fits[0].Number.V] = n
		case len(k.Kit.Parts.OfKind(kind)) > 0:
			f.lacks("the parts list", fmt.Sprintf("no %s of the catalogue will do, and the kit takes %d", kind, n))
		case kind == "tie":
			f.lacks("the parts list", fmt.Sprintf("the catalogue has no tie or clip, and the kit takes %d", n))
		}
	}
	return parts
}
