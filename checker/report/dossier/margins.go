package dossier

import (
	"fmt"
	"math"
	"strconv"

	"kitgauge/checker/engine"
	"kitgauge/checker/finding"
	"kitgauge/checker/report"
)

// margins is the chart of how near each rule comes to its limit.
type margins struct{ Groups []marginGroup }

type marginGroup struct {
	Title, Count string
	List         []marginRow
}

type marginRow struct {
	Rule, Title, Place   string
	Value, Limit, Margin string
	Share                string // in words
	Bar                  bar
}

// bar is a bar of the chart, which is 150 wide, with the limit at 50 and the
// limit's own size at 150.
type bar struct {
	Class    string // "in" or "out"
	X, Width string // Width "" where there is no bar
	Cut      string // where the bar is broken, because it goes on; "" where not
}

func newMargins(in *Input) *margins {
	groups := []marginGroup{{Title: "Beyond the limit"}, {Title: "On the limit"}, {Title: "Inside the limit"}}
	m := &margins{}
	sorted := report.NearestFirst(in.Run.Kits[0].Margins)
	rows := marginRows(in, sorted)
	for i, row := range rows {
		g := &groups[2]
		switch {
		case onLimit(sorted[i]):
			g = &groups[1]
		case beyond(sorted[i]):
			g = &groups[0]
		}
		g.List = append(g.List, row)
	}
	for _, g := range groups {
		if len(g.List) > 0 {
			g.Count = report.Count(len(g.List), "rule", "rules")
			m.Groups = append(m.Groups, g)
		}
	}
	return m
}

// noise is the share of a limit that arithmetic may have rounded.
const noise = 1e-6

func onLimit(m engine.Margin) bool { return math.Abs(m.Share) <= noise }
func beyond(m engine.Margin) bool  { return m.Share < -noise }

func marginRows(in *Input, list []engine.Margin) []marginRow {
	titles := map[string]string{}
	for _, r := range in.Run.Rules {
		titles[r.ID] = r.Title
	}
	var rows []marginRow
	for _, m := range list {
		alike([]*finding.Amount{&m.Value, &m.Limit, &m.Margin})
		rows = append(rows, marginRow{
			Rule: m.Rule, Title: titles[m.Rule], Place: m.Place, Value: m.Value.Text, Limit: m.Limit.Text, Margin: m.Margin.Text,
			Share: share(m), Bar: barOf(m),
		})
	}
	return rows
}

// share is the margin in relation to the limit.
func share(m engine.Margin) string {
	switch {
	case onLimit(m):
		return "on the limit"
	case m.Limit.SI == 0 && beyond(m):
		return "beyond a limit of nought"
	case m.Limit.SI == 0:
		return "inside a limit of nought"
	case beyond(m):
		return fmt.Sprintf("%.0f %% of the limit beyond it", -100*m.Share)
	}
	return fmt.Sprintf("%.0f %% of the limit inside it", 100*m.Share)
}

// The chart, in units of its own.
const (
	chartLimit = 50.0
	chartEnd   = 150.0
	chartCut   = 6.0 // from the end of a bar that goes on to its break
)

func barOf(m engine.Margin) bar {
	length := m.Share * (chartEnd - chartLimit)
	if m.Limit.SI == 0 && !onLimit(m) { // there is no share of nought
		length = math.Copysign(2*chartEnd, m.Share)
	}
	switch {
	case onLimit(m):
		return bar{}
	case length < 0:
		long := min(-length, chartLimit)
		b := bar{Class: "out", X: tenth(chartLimit - long), Width: tenth(max(long, 0.5))}
		if -length > chartLimit {
			b.Cut = tenth(chartCut)
		}
		return b
	}
	long := min(length, chartEnd-chartLimit)
	b := bar{Class: "in", X: tenth(chartLimit), Width: tenth(max(long, 0.5))}
	if length > chartEnd-chartLimit {
		b.Cut = tenth(chartEnd - chartCut)
	}
	return b
}

func tenth(x float64) string { return strconv.FormatFloat(math.Round(x*10)/10, 'f', -1, 64) }
