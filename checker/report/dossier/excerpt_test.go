package dossier_test

import (
	"strings"
	"testing"

	"kitgauge/checker/finding"
	"kitgauge/checker/report"
	"kitgauge/checker/report/dossier"
	"kitgauge/checker/source"
)

// TestExcerptOfLongLine: of a kit in JSON that stands on one line, a finding
// shows what stands round its place.
func TestExcerptOfLongLine(t *testing.T) {
	for _, tt := range []struct {
		name         string
		line         string
		column       int
		begins, ends string
	}{
		{"within", strings.Repeat("ä", 5000) + "HERE" + strings.Repeat("ö", 5000), 5001, "<pre>... ää", "öö ...</pre>"},
		{"at the beginning", "HERE" + strings.Repeat("ö", 5000), 1, "<pre>HEREö", "öö ...</pre>"},
		{"at the end", strings.Repeat("ä", 5000) + "HERE", 5004, "<pre>... ää", "äHERE</pre>"},
		{"of a short line", "  HERE", 3, "<pre>HERE", "HERE</pre>"},
	} {
		k := report.Kit{File: "a.kit.json", Shaped: true, Line: func(source.Pos) string { return tt.line }, Findings: []finding.Finding{{
			Rule: "x/y", Severity: finding.Minor, Status: finding.Violated, Pos: source.Pos{File: "a.kit.json", Line: 1, Column: tt.column}, Message: "m", Place: "p",
		}}}
		out := string(write(t, dossier.Input{Run: report.Run{Kits: []report.Kit{k}}}))
		_, rest, _ := strings.Cut(out, "<pre>")
		shown, _, _ := strings.Cut("<pre>"+rest, "</pre>")
		if shown += "</pre>"; !strings.HasPrefix(shown, tt.begins) || !strings.HasSuffix(shown, tt.ends) || !strings.Contains(shown, "HERE") || len([]rune(shown)) > 250 {
			t.Errorf("%s: got %.300s", tt.name, shown)
		}
	}
}
