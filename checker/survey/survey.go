package survey

import (
	"kitgauge/checker/units"
)

// Survey is what was filled in: the sheets that there are, in the order of
// [Tables].
type Survey struct {
	Family units.Family
	Sheets []*Sheet
}

// Sheet is a table with its rows. A form has one row.
type Sheet struct {
	*Table
	Units []string // of the columns, as the heads say
	Rows  []Row
}

// Row is one thing: a cell for each column of the table.
type Row []Cell

// Cell is what somebody wrote, and where: "points!D7".
type Cell struct {
	Text string
	At   string
	// Comma tells that the sheet writes decimals behind a comma.
	Comma bool
}

// unitsKey is the member that says in which units a kit is drawn; its words are
// in the order of the families.
const unitsKey = "header.units"

// Blank is a survey in which nothing is filled in but its units.
func Blank(f units.Family) *Survey {
	s := &Survey{Family: f}
	for _, t := range Tables() {
		sheet := &Sheet{Table: t}
		for _, c := range t.Columns {
			sheet.Units = append(sheet.Units, c.unit(f))
		}
		if t.Form {
			sheet.Rows = []Row{make(Row, len(t.Columns))}
		}
		for i, c := range t.Columns {
			if c.Key == unitsKey {
				sheet.Rows[0][i].Text = c.Words[f]
			}
		}
		s.Sheets = append(s.Sheets, sheet)
	}
	return s
}

// sheet is the one of a table.
func (s *Survey) sheet(name string) *Sheet {
	for _, sheet := range s.Sheets {
		if sheet.Name == name {
			return sheet
		}
	}
	return &Sheet{Table: Find(name)}
}

// cell is that of a row under a key.
func (s *Sheet) cell(r Row, key string) Cell {
	for i, c := range s.Columns {
		if c.Key == key && i < len(r) {
			return r[i]
		}
	}
	return Cell{}
}

// Count is how many values are filled in.
func (s *Survey) Count() int {
	n := 0
	for _, sheet := range s.Sheets {
		for _, row := range sheet.Rows {
			for _, cell := range row {
				if cell.Text != "" {
					n++
				}
			}
		}
	}
	return n
}
