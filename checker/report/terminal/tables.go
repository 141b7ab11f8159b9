package terminal

import (
	"slices"
	"strings"

	"kitgauge/checker/engine"
	"kitgauge/checker/report"
)

// margins writes how near each rule came to its limit, the nearest first.
func (s *sheet) margins(list []engine.Margin) {
	if len(list) == 0 {
		return
	}
	t := table{head: []string{"least margin of", "margin", "value", "limit", "at"}, left: []bool{true, false, false, false, true}}
	for _, m := range report.NearestFirst(list) {
		t.rows = append(t.rows, []string{m.Rule, m.Margin.Text, m.Value.Text, m.Limit.Text, m.Place})
	}
	s.table(t)
	s.blank()
}

// figures writes the computed quantities, a table for each kind of thing.
func (s *sheet) figures(things []report.Figures) {
	for len(things) > 0 {
		n := 1
		for n < len(things) && things[n].Kind == things[0].Kind {
			n++
		}
		s.thingTable(things[:n])
		things = things[n:]
	}
}

func (s *sheet) thingTable(things []report.Figures) {
	names := report.Names(things)
	if len(names) == 0 {
		return
	}
	t := table{head: append([]string{things[0].Kind}, names...), left: make([]bool, len(names)+1)}
	t.left[0] = true
	column := map[string]int{}
	for i, name := range names {
		column[name] = i + 1
	}
	var reasons []string
	for _, thing := range things {
		row := make([]string, len(t.head))
		row[0] = thing.Place
		for _, f := range thing.Figures {
			row[column[f.Name]] = f.Amount.Text
			if f.Why != "" {
				row[column[f.Name]] = "?"
				if !slices.Contains(reasons, f.Why) {
					reasons = append(reasons, f.Why)
				}
			}
		}
		t.rows = append(t.rows, row)
	}
	s.table(t)
	for _, why := range reasons {
		s.paragraph(s.palette.unknown, "? not known: "+why)
	}
	s.blank()
}

// table is rows of cells below a head.
type table struct {
	head []string
	left []bool // columns set to the left; the others to the right
	rows [][]string
}

// table writes a table. Where it is wider than the sheet, the columns after
// the first go on below, each time beside the first.
func (s *sheet) table(t table) {
	const gap, readable = 2, 20
	wide := make([]int, len(t.head))
	for c := range t.head {
		t.head[c] = report.Visible(t.head[c])
		wide[c] = cells(t.head[c])
		for r := range t.rows {
			t.rows[r][c] = report.Visible(t.rows[r][c])
			wide[c] = max(wide[c], cells(t.rows[r][c]))
		}
	}
	wide[0] = min(wide[0], s.width/2)
	for from := 1; from < len(t.head); {
		to, used := from, wide[0]
		for to < len(t.head) {
			room := s.width - used - gap
			if wide[to] > room && (to == from || t.left[to] && room >= readable) {
				wide[to] = room // the text goes on below
			}
			if wide[to] > room {
				break
			}
			used += gap + wide[to]
			to++
		}
		columns := []int{0}
		for c := from; c < to; c++ {
			columns = append(columns, c)
		}
		s.tableRow(t, t.head, columns, wide, s.palette.label)
		for _, row := range t.rows {
			s.tableRow(t, row, columns, wide, s.palette.plain)
		}
		if from = to; from < len(t.head) {
			s.blank()
		}
	}
}

// tableRow writes the columns of one row; a cell that is too wide goes on
// below.
func (s *sheet) tableRow(t table, row []string, columns, wide []int, of style) {
	parts := make([][]string, len(columns))
	height := 1
	for i, c := range columns {
		parts[i] = wrap(row[c], wide[c])
		height = max(height, len(parts[i]))
	}
	for h := range height {
		var line strings.Builder
		for i, c := range columns {
			cell := ""
			if h < len(parts[i]) {
				cell = parts[i][h]
			}
			if i > 0 {
				line.WriteString("  ")
			}
			fill := spaces(wide[c] - cells(cell))
			if t.left[c] {
				line.WriteString(cell + fill)
			} else {
				line.WriteString(fill + cell)
			}
		}
		s.line(of, line.String())
	}
}
