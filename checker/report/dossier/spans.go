package dossier

import (
	"fmt"

	"kitgauge/checker/finding"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// spansPage is drawings of free spans.
type spansPage struct {
	List []*spanDrawing
	Less string // what is said of those that are not drawn
}

// note counts the drawings, for the list of contents.
func (d *drawings) note() string { return fmt.Sprint(d.all) }

// rest are the drawings that a full dossier has beside.
func (d *drawings) rest() *spansPage {
	p := &spansPage{List: d.others}
	if n := len(d.found) + len(d.others); n < d.all {
		p.Less = fmt.Sprintf("%d of %d free spans are drawn: those with findings, the gravest first, and then those nearest to a limit.", n, d.all)
	}
	return p
}

func newSpans(in *Input, d *drawings) *tables {
	m := &tables{Tables: []table{spanTable(in, d)}}
	if len(d.found) == 0 {
		m.Lead = []string{"Nothing is found about any of them."}
	}
	return m
}

// spanTable is a row for each span, with every quantity in one unit.
func spanTable(in *Input, d *drawings) table {
	t := table{ID: "spans-caption", Caption: "Over the whole range of every joint between its ends: the slack is what the free length is longer than the longest distance; the loop is tightest where the ends are nearest"}
	t.Head = heads("place", "lines")
	var columns [spanColumns][]*finding.Amount
	for _, s := range in.Facts.Spans {
		place := s.Place()
		if d.spans.Found(s) {
			place += " (see the findings)"
		}
		t.Rows = append(t.Rows, row(place, numbers(s.Members)))
		for i, v := range []value.Number{s.FreeLength, s.Longest, s.Slack, s.LoopRadius, s.BendRadius, s.LoopSag} {
			columns[i] = append(columns[i], lengthOf(v, in.Facts.Family()))
		}
	}
	for i, head := range []string{"free length", "longest distance", "slack", "tightest loop", "least bend radius", "most sag"} {
		alike(columns[i])
		t.Head = append(t.Head, cell{Text: head, Right: true})
		for j, a := range columns[i] {
			shown := "not known"
			if a != nil {
				shown = a.Text
			}
			t.Rows[j] = append(t.Rows[j], cell{Text: shown, Right: true})
		}
	}
	return t
}

// spanColumns is how many quantities the table has.
const spanColumns = 6

func lengthOf(v value.Number, f units.Family) *finding.Amount {
	if !v.Known {
		return nil
	}
	return &finding.Amount{SI: v.V, Dimension: units.Length.String(), Text: units.Format(v.V, units.Length, f)}
}

// numbers writes line numbers with runs of them joined: "1-4, 7".
func numbers(list []string) string {
	text := ""
	for i := 0; i < len(list); {
		j := i
		for j+1 < len(list) && follows(list[j], list[j+1]) {
			j++
		}
		if text != "" {
			text += ", "
		}
		text += list[i]
		if j > i {
			join := ", "
			if j > i+1 {
				join = " to "
			}
			text += join + list[j]
		}
		i = j + 1
	}
	return text
}

// follows reports whether one number is the next after another.
func follows(a, b string) bool {
	var m, n int
	if _, err := fmt.Sscanf(a+" "+b, "%d %d", &m, &n); err != nil {
		return false
	}
	return fmt.Sprint(m) == a && fmt.Sprint(n) == b && n == m+1
}
