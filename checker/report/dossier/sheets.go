package dossier

import (
	"kitgauge/checker/facts"
	"kitgauge/checker/report"
	"kitgauge/checker/report/sheet"
)

// about says what each sheet is for.
var about = map[string]string{
	"call-out": "A row for each line: what leaves the pump there, and the point to which it goes",
	"cut":      "A row for each tube, the longest first, with what goes onto both of its ends, then the conduit",
	"free":     "What is measured off where a bundle or a tube leaves one body for another",
	"parts":    "What the kit needs, what its own parts list has, and what is spare",
}

// newSheets are the sections of the sheets by which a kit is built.
func newSheets(k *facts.Kit) []section {
	var list []section
	for _, s := range sheet.Of(k, sheet.ByLength).Sheets {
		t := table{ID: s.Name + "-caption", Caption: about[s.Name]}
		for _, c := range s.Columns {
			t.Head = append(t.Head, cell{Text: c.Label(), Right: c.Right})
		}
		for _, r := range s.Rows {
			cells := make([]cell, len(r))
			for i, c := range r {
				cells[i] = cell{Text: c.Text, Right: s.Columns[i].Right, Head: i == 0}
			}
			t.Rows = append(t.Rows, cells)
		}
		list = append(list, section{
			ID: "sheet-" + s.Name, Title: s.Title, Note: report.Count(len(s.Rows), "row", "rows"),
			template: "tables", Model: &tables{Tables: []table{t}},
		})
	}
	return list
}
