package facts

import (
	"slices"

	"kitgauge/checker/kit"
	"kitgauge/checker/value"
)

// ListRow is a row of the parts list with the part of the kit that it stands
// for. The amounts of several rows for one part count together, at the first.
type ListRow struct {
	*kit.ListedPart
	Used        kit.Ref[UsedPart] `key:"used"`
	InUse       value.Flag        `key:"in_use"`
	Sure        value.Flag        `key:"sure"`  // every part that the kit names is known, this one too
	First       value.Flag        `key:"first"` // of the rows of its part
	TotalCount  value.Count       `key:"total_count"`
	TotalLength value.Number      `key:"total_length" dim:"length"`
	TotalVolume value.Number      `key:"total_volume" dim:"volume"`
	Consumable  value.Flag        `key:"consumable"`  // a kind that a kit uses without naming it
	Mistakable  value.Flag        `key:"mistakable"`  // the kit does not use it, and uses another part of its kind
	Missing     value.Text        `key:"missing"`     // a part of its kind that the kit uses and the list lacks, or ""
	KindNeeded  value.Count       `key:"kind_needed"` // how many of its kind the kit takes without naming one; known at the first row of the kind
	KindCount   value.Count       `key:"kind_count"`  // how many of its kind the list has
}

// Place names the row by its part.
func (r *ListRow) Place() string { return "parts list, " + r.Part.Or("a part without a number") }

// partsList joins the rows of the parts list with the parts in use, and marks
// those that it lists.
func partsList(k *kit.Kit, used *inUse) []*ListRow {
	var rows []*ListRow
	first := map[string]*ListRow{}
	for _, l := range k.PartsList {
		row := &ListRow{
			ListedPart: l, First: value.Known(first[l.Part.V] == nil), Missing: value.Known(""), Mistakable: value.Known(false),
			Sure:       value.Known(l.Entry != nil && used.lost == ""),
			Consumable: value.Known(l.Entry != nil && takenByKind(l.Entry.Kind.V)),
		}
		rows = append(rows, row)
		row.Used.To = used.of[l.Entry]
		row.InUse = value.Known(row.Used.To != nil)
		row.amounts()
		if row.First.V {
			first[l.Part.V] = row
			continue
		}
		first[l.Part.V].add(row)
	}
	byKind(k, rows)
	for _, p := range used.parts {
		p.Listed = value.Known(first[p.Number.V] != nil)
	}
	lacking := used.lacking()
	for _, row := range rows {
		if row.Entry != nil {
			another := slices.ContainsFunc(used.parts, func(p *UsedPart) bool { return p.Kind.V == row.Entry.Kind.V })
			row.Mistakable.V = !row.InUse.V && another
			row.Missing.V = lacking[row.Entry.Kind.V]
		}
	}
	return rows
}

// amounts takes over what the row states, as far as its kind of part is
// measured by it.
func (r *ListRow) amounts() {
	if r.Entry == nil {
		return
	}
	of := " of " + r.Part.Or("the part") + " in the parts list"
	switch measureOf(r.Entry) {
	case "count":
		r.TotalCount = withReason(r.Quantity, "the quantity"+of)
	case "length":
		r.TotalLength = withReason(r.Length, "the length"+of)
	case "volume":
		r.TotalVolume = withReason(r.Volume, "the volume"+of)
	}
}

// add counts a later row of the same part.
func (r *ListRow) add(later *ListRow) {
	r.TotalCount = together(r.TotalCount, later.TotalCount)
	r.TotalLength = together(r.TotalLength, later.TotalLength)
	r.TotalVolume = together(r.TotalVolume, later.TotalVolume)
}

func together[T float64 | int64](a, b value.Of[T]) value.Of[T] {
	switch {
	case !a.Known:
		return b
	case !b.Known:
		return a
	}
	return value.Known(a.V + b.V)
}

// lacking names, for each kind, a part that the kit uses and the list lacks: then a
// row of that kind is what is left of an exchange.
func (u *inUse) lacking() map[string]string {
	first := map[string]string{}
	for _, p := range u.parts {
		if _, has := first[p.Kind.V]; !has && !p.Listed.V {
			first[p.Kind.V] = p.Number.V
		}
	}
	return first
}
