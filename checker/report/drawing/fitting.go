package drawing

import (
	"fmt"
	"strings"

	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// mountingTable is what is needed to put the pump on its place.
func (b *series) mountingTable() *table {
	t := &table{title: "Mounting of the pump", widths: []float64{34}}
	add := func(name, text string) {
		if text = strings.TrimSpace(text); text == "" {
			text = "not stated"
		}
		t.rows = append(t.rows, row{cells: []string{name, text}})
	}
	family := b.in.Kit.Family()
	length := func(v value.Number) string {
		if !v.Known {
			return ""
		}
		return units.Format(v.V, units.Length, family)
	}
	bolts := &b.in.Kit.Kit.Pump.Bolts
	number := ""
	if bolts.Count.Known {
		number = fmt.Sprint(bolts.Count.V)
	}
	part := bolts.Part.ID.Or("")
	if p := bolts.Part.To; p != nil {
		for _, more := range []value.Text{p.Size, p.PropertyClass, p.Finish} {
			if more.Known {
				part += ", " + more.V
			}
		}
	}
	add("bolts, number", number)
	add("bolts, part", part)
	add("spacing, upright", length(bolts.Spacing))
	add("width, across", length(bolts.Width))
	add("tightening torque", "not stated: as the makers of pump and bolts say")
	add("drilling template", b.in.Kit.Kit.Pump.HolePattern.Or(""))
	return t
}

// notesTable gives the notes of the kit: anything that the fitter has to know.
func (b *series) notesTable() *table {
	t := &table{title: "Notes", widths: []float64{34}}
	add := func(place string, note value.Text) {
		if note.Known && strings.TrimSpace(note.V) != "" {
			t.rows = append(t.rows, row{cells: []string{place, note.V}})
		}
	}
	k := b.in.Kit
	add("the kit", k.Header.Note)
	for _, l := range k.Lines {
		add(l.Place(), l.Line.Note)
	}
	for _, p := range k.Points {
		add(p.Place(), p.Note)
	}
	for i := range b.scene.routes {
		r := &b.scene.routes[i]
		for j := range r.Stops {
			if s := r.Stops[j].Station; s != nil {
				add(strings.TrimSpace(r.Place+" "+s.ID.Or("")), s.Note)
			}
		}
	}
	add("the feed", k.Feed.Note)
	return t
}
