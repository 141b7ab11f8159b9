package circuit

import (
	"fmt"

	"kitgauge/checker/facts"
	"kitgauge/checker/kit"
	"kitgauge/checker/report/drawing"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// unread stands for what the kit states and what cannot be read.
const unread = "cannot be read"

// amount writes a quantity in the kit's units; "" where it is not stated.
func amount(k *facts.Kit, v value.Number, dim units.Dimension) string {
	switch {
	case v.Known:
		return units.Format(v.V, dim, k.Family())
	case v.Node != nil:
		return unread
	}
	return ""
}

// computed writes a quantity that is worked out of others.
func computed(k *facts.Kit, v value.Number, dim units.Dimension) string {
	if !v.Known {
		return "not known"
	}
	return units.Format(v.V, dim, k.Family())
}

// named is a part's number with what the catalogue says of it; "" where none is
// stated.
func named[T any](r kit.Ref[T]) string {
	switch {
	case r.To != nil:
		return joined(", ", clean(r.ID.V), clean(kit.Common(r.To).Description.Or("")))
	case r.ID.Known:
		return clean(r.ID.V) + " (not in the catalogue)"
	case r.ID.Node != nil:
		return unread
	}
	return ""
}

// partPlace is what findings call a part; "" where there is none.
func partPlace[T any](r kit.Ref[T]) string {
	if r.To == nil {
		return ""
	}
	return kit.Common(r.To).Place()
}

func count(c value.Count) string {
	switch {
	case c.Known:
		return fmt.Sprint(c.V)
	case c.Node != nil:
		return unread
	}
	return ""
}

func yesNo(f value.Flag) string {
	switch {
	case f.Known && f.V:
		return "yes"
	case f.Known:
		return "no"
	case f.Node != nil:
		return unread
	}
	return ""
}

// notes are paragraphs under a heading, a cell each.
func notes(w float64, heading string, paragraphs []string) []*cell {
	cells := []*cell{{height: step + 6, with: true, draw: func(p *pen) {
		p.line("rule", 0, 2.5, w, 2.5)
		p.rows("bold", 0, 4.5, []string{heading})
	}}}
	for _, text := range paragraphs {
		rows := wrap(text, w, false)
		cells = append(cells, &cell{height: height(rows) + 1.2, draw: func(p *pen) { p.rows("", 0, 0.4, rows) }})
	}
	return cells
}

// inFull are the texts of the title block that it has no room for.
func inFull(k *facts.Kit) []string {
	var out []string
	for _, f := range drawing.CutFields(&k.Header) {
		out = append(out, f[0]+", in full: "+clean(f[1]))
	}
	return out
}
