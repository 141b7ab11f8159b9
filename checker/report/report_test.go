package report_test

import (
	"slices"
	"testing"

	"kitgauge/checker/finding"
	"kitgauge/checker/internal/reporttest"
	"kitgauge/checker/report"
)

func kit(shaped bool, list ...finding.Finding) report.Kit {
	k := report.Kit{File: "fleet/plough.kit.yaml", Shaped: shaped, Findings: list, Rules: 10, Checks: 20}
	for _, f := range list {
		if f.Status == finding.NotEvaluated {
			k.NotEvaluated++
		}
	}
	return k
}

func violated(s finding.Severity) finding.Finding {
	return finding.Finding{Severity: s, Status: finding.Violated}
}

func unknown(s finding.Severity) finding.Finding {
	return finding.Finding{Severity: s, Status: finding.NotEvaluated}
}

func TestExitAndVerdict(t *testing.T) {
	clean := kit(true)
	tests := []struct {
		name    string
		kits    []report.Kit
		gate    finding.Severity
		exit    int
		verdict string
	}{
		{"no kit", nil, finding.Major, 0, "within the gate (major)"},
		{"clean", []report.Kit{clean}, finding.Minor, 0, "within the gate (minor)"},
		{"below the gate", []report.Kit{kit(true, violated(finding.Minor))}, finding.Major, 0, "within the gate (major)"},
		{"on the gate", []report.Kit{kit(true, violated(finding.Major))}, finding.Major, 1, "outside the gate: 1 finding at or above major"},
		{"above the gate, in one of two", []report.Kit{clean, kit(true, violated(finding.Critical), violated(finding.Major))}, finding.Major, 1,
			"outside the gate: 2 findings at or above major"},
		{"not evaluated below the gate", []report.Kit{kit(true, unknown(finding.Minor))}, finding.Major, 0, "within the gate (major)"},
		{"not evaluated counts", []report.Kit{kit(true, unknown(finding.Major))}, finding.Major, 1,
			"outside the gate: 1 check not evaluated at or above major"},
		{"both", []report.Kit{kit(true, unknown(finding.Major), unknown(finding.Major), violated(finding.Critical))}, finding.Major, 1,
			"outside the gate: 1 finding and 2 checks not evaluated at or above major"},
		{"no gate", []report.Kit{kit(true, violated(finding.Critical))}, finding.None, 0, "no gate is set"},
		{"not in full", []report.Kit{kit(false, violated(finding.Major))}, finding.Critical, 2, "no verdict: the kit was not checked in full"},
		{"not in full, and no gate", []report.Kit{kit(false)}, finding.None, 2, "no verdict: the kit was not checked in full"},
		{"not in full goes before outside", []report.Kit{kit(false), kit(true, violated(finding.Critical))}, finding.Major, 2,
			"no verdict: 1 of 2 kits not checked in full"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			run := report.Run{Kits: tt.kits, Gate: tt.gate}
			if got := run.Exit(); got != tt.exit {
				t.Errorf("exit status: got %d, want %d", got, tt.exit)
			}
			if got := run.Counts().Verdict(tt.gate); got != tt.verdict {
				t.Errorf("verdict: got %q, want %q", got, tt.verdict)
			}
		})
	}
}

func TestCounts(t *testing.T) {
	got := reporttest.Fleet().Counts()
	want := report.Counts{
		Tally: report.Tally{
			Critical: 1, Major: 4, Minor: 1, NotEvaluated: 7, Conceded: 1, Known: 1,
			OutsideGate: 5, OutsideGateUnknown: 6, // the one check below the gate is minor
			Rules: 143, Checks: 1000, // the rules are the same for all kits,
		},
		Kits: 3, Clean: 1, WithFindings: 1, Unreadable: 1,
	}
	if got != want {
		t.Errorf("got %+v\nwant %+v", got, want)
	}
	if got.Findings() != 6 {
		t.Errorf("findings: got %d, want 6", got.Findings())
	}
}

func TestBySeverity(t *testing.T) {
	k := reporttest.Faulty()
	before := slices.Clone(k.Findings)
	var got []string
	for _, f := range report.BySeverity(k.Findings, finding.Violated) {
		got = append(got, f.Rule)
	}
	want := []string{"slack/steered", "file/value", "ports/outlet-used-once", "power/fuse-covers-draw", "paperwork/status"}
	if !slices.Equal(got, want) {
		t.Errorf("order: got %q, want %q", got, want)
	}
	for i := range before {
		if before[i].Fingerprint != k.Findings[i].Fingerprint {
			t.Fatal("the list given was changed")
		}
	}
}
