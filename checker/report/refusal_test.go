package report_test

import (
	"testing"

	"kitgauge/checker/finding"
	"kitgauge/checker/report"
)

// TestRefusals: whatever judges a kit in part, or lets something through that
// is open, is a reason not to sign it.
func TestRefusals(t *testing.T) {
	known := []finding.Finding{{Severity: finding.Critical, Status: finding.Known}}
	for _, tt := range []struct {
		name string
		run  report.Run
		kit  report.Kit
		want report.RefusalKind
	}{
		{"all is well", report.Run{Gate: finding.Major}, report.Kit{Shaped: true}, ""},
		{"left out", report.Run{Gate: finding.Major}, report.Kit{Shaped: true, LeftOut: []string{"flow"}}, report.LeftOut},
		{"without a reason", report.Run{Gate: finding.Major}, report.Kit{Shaped: true, Unexplained: []string{"flow"}}, report.Unexplained},
		{"known", report.Run{Gate: finding.Major}, report.Kit{Shaped: true, Findings: known}, report.KnownOpen},
		{"known below", report.Run{Gate: finding.Major}, report.Kit{Shaped: true, Findings: []finding.Finding{{Severity: finding.Minor, Status: finding.Known}}}, ""},
		{"lower gate", report.Run{Gate: finding.Critical, Lowered: finding.Major}, report.Kit{Shaped: true}, report.LowerGate},
		{"no gate", report.Run{Gate: finding.None, Lowered: finding.Major}, report.Kit{Shaped: true}, report.NoGate},
		{"draft", report.Run{Gate: finding.Major}, report.Kit{Shaped: true, Status: "draft"}, report.Draft},
		{"not checked", report.Run{Gate: finding.Major}, report.Kit{}, report.Unshaped},
	} {
		list := tt.run.Refusals(&tt.kit)
		if tt.want == "" && len(list) > 0 || tt.want != "" && (len(list) != 1 || list[0].Kind != tt.want || list[0].String() == "") {
			t.Errorf("%s: got %v, want %q", tt.name, list, tt.want)
		}
	}
}
