package dossier

import (
	"fmt"
	"slices"
	"strings"

	"kitgauge/checker/finding"
	"kitgauge/checker/report"
)

// newFigures are the computed quantities, in a table for each kind of thing:
// a row for each thing, a column for each quantity. Of a kind with one thing
// alone, a row for each quantity.
func newFigures(list []report.Figures) *tables {
	m := &tables{Lead: []string{"What was computed from the kit, in its own units. What could not be computed says why, below its table."}}
	if len(list) == 0 {
		m.Lead = []string{"Nothing was computed."}
	}
	var kinds []string
	of := map[string][]report.Figures{}
	for _, f := range list {
		if of[f.Kind] == nil {
			kinds = append(kinds, f.Kind)
		}
		of[f.Kind] = append(of[f.Kind], f)
	}
	for i, kind := range kinds {
		t := table{ID: fmt.Sprintf("quantities-%d", i+1), Title: capital(strings.ReplaceAll(kind, "_", " "))}
		if things := of[kind]; len(things) == 1 {
			t.single(things[0])
		} else {
			t.several(things)
		}
		const few, many = 4, 20
		t.Narrow = len(t.Head) <= few && len(t.Rows) > many
		if len(t.Rows) > 0 {
			m.Tables = append(m.Tables, t)
		}
	}
	return m
}

func (t *table) single(f report.Figures) {
	t.Caption = f.Place
	t.Head = []cell{{Text: "quantity"}, {Text: "value", Right: true}}
	for _, one := range f.Figures {
		t.Rows = append(t.Rows, []cell{{Text: one.Name, Head: true}, {Text: t.value(one), Right: true}})
	}
}

func (t *table) several(things []report.Figures) {
	t.Caption = report.Count(len(things), "of them", "of them")
	names := report.Names(things)
	t.Head = []cell{{Text: "place"}}
	for _, n := range names {
		t.Head = append(t.Head, cell{Text: n, Right: true})
	}
	for _, f := range inOneUnit(things, names) {
		if len(f.Figures) == 0 {
			continue
		}
		cells := make([]cell, len(names)+1)
		cells[0] = cell{Text: f.Place, Head: true}
		for i := range names {
			cells[i+1].Right = true
		}
		for _, one := range f.Figures {
			cells[slices.Index(names, one.Name)+1].Text = t.value(one)
		}
		t.Rows = append(t.Rows, cells)
	}
}

// inOneUnit writes each quantity of several things in one unit.
func inOneUnit(things []report.Figures, names []string) []report.Figures {
	columns := make([][]*finding.Amount, len(names))
	things = slices.Clone(things)
	for i := range things {
		things[i].Figures = slices.Clone(things[i].Figures)
		for j := range things[i].Figures {
			if f := &things[i].Figures[j]; f.Why == "" {
				at := slices.Index(names, f.Name)
				columns[at] = append(columns[at], &f.Amount)
			}
		}
	}
	for _, column := range columns {
		alike(column)
	}
	return things
}

// value shows a figure. Where there is none, it refers to the reason below the
// table.
func (t *table) value(f report.Figure) string {
	if f.Why == "" {
		return f.Amount.Text
	}
	i, told := t.reasons[f.Why]
	if !told {
		if i = len(t.reasons); i == 0 {
			t.reasons = map[string]int{}
		}
		t.reasons[f.Why] = i
		t.Notes = append(t.Notes, fmt.Sprintf("(%d) not known: %s", i+1, f.Why))
	}
	return fmt.Sprintf("(%d)", i+1)
}
