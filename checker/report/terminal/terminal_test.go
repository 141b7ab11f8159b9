// The files in testdata are what the terminal shows. They are refreshed by go
// generate ./..., and the difference is read.
package terminal_test

import (
	"bytes"
	"errors"
	"path/filepath"
	"strings"
	"testing"

	"github.com/fatih/color"
	"github.com/google/go-cmp/cmp"

	"kitgauge/checker/finding"
	"kitgauge/checker/golden"
	"kitgauge/checker/internal/reporttest"
	"kitgauge/checker/report"
	"kitgauge/checker/report/terminal"
	"kitgauge/checker/source"
)

func write(t testing.TB, run report.Run, o terminal.Options) string {
	t.Helper()
	var b bytes.Buffer
	if err := terminal.Write(&b, run, o); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestGolden(t *testing.T) {
	clean := report.Run{Kits: []report.Kit{reporttest.Clean()}, Gate: finding.Major}
	minor := report.Run{Kits: []report.Kit{reporttest.Faulty()}, Gate: finding.None}
	tests := []struct {
		file    string
		run     report.Run
		options terminal.Options
	}{
		{"fleet-40.txt", reporttest.Fleet(), terminal.Options{Width: 40, Working: true}},
		{"fleet-60.txt", reporttest.Fleet(), terminal.Options{Width: 60, Working: true}},
		{"fleet-80.txt", reporttest.Fleet(), terminal.Options{Width: 80, Working: true}},
		{"fleet-120.txt", reporttest.Fleet(), terminal.Options{Width: 120, Working: true}},
		{"fleet-colour.txt", reporttest.Fleet(), terminal.Options{Width: 80, Working: true, Colour: true}},
		{"no-working.txt", minor, terminal.Options{Width: 80}},
		{"many.txt", many(), terminal.Options{Width: 80}},
		{"clean.txt", clean, terminal.Options{Width: 80}},
		{"empty.txt", report.Run{Gate: finding.Major}, terminal.Options{Width: 80}},
		{"harmful.txt", reporttest.Harmful(), terminal.Options{Width: 80, Working: true}},
	}
	for _, tt := range tests {
		t.Run(tt.file, func(t *testing.T) {
			got := write(t, tt.run, tt.options)
			name := filepath.Join("testdata", tt.file)
			golden.Compare(t, name, []byte(got))
		})
	}
}

// many is a kit in which one missing value keeps many rules from being
// evaluated.
func many() report.Run {
	k := report.Kit{File: "fleet/plough.kit.yaml", Number: "WS-115", Revision: "A", Title: "Plough truck", Status: "draft", Shaped: true, Rules: 143, Checks: 240}
	for _, rule := range []string{"flow/a", "flow/b", "flow/c", "flow/d", "flow/e", "flow/f", "flow/g", "flow/h"} {
		for line := range 1 + len(k.Findings)%5 {
			k.Findings = append(k.Findings, finding.Finding{
				Rule: rule, Severity: finding.Major, Status: finding.NotEvaluated, Pos: source.Pos{File: k.File, Line: 40 + line, Column: 5},
				Place: "line " + string(rune('1'+line)), Message: "not evaluated: the lowest ambient is not stated",
			})
		}
	}
	k.NotEvaluated = len(k.Findings)
	return report.Run{Kits: []report.Kit{k}, Gate: finding.Critical}
}

// TestEverythingShown wants each fact of each finding in the output, however
// it is wrapped.
func TestEverythingShown(t *testing.T) {
	k := reporttest.Faulty()
	out := flat(write(t, report.Run{Kits: []report.Kit{k}, Gate: finding.Major}, terminal.Options{Width: 70, Working: true}))
	for _, f := range k.Findings {
		want := []string{f.Rule, f.Pos.String(), f.Place, f.Message, f.Severity.String()}
		if f.Status == finding.Violated { // what is permitted needs no remedy for now
			want = append(want, f.Remedy)
		}
		for _, a := range []*finding.Amount{f.Value, f.Limit, f.Margin} {
			if a != nil {
				want = append(want, a.Text)
			}
		}
		for _, term := range f.Working {
			want = append(want, term.Expression, term.Value)
		}
		if f.Status == finding.Violated {
			want = append(want, f.Basis, strings.ToUpper(f.Severity.String()))
		}
		if c := f.Concession; c != nil {
			want = append(want, c.Reason, c.GrantedBy, c.Until)
		}
		for _, w := range want {
			if !strings.Contains(out, flat(w)) {
				t.Errorf("%s at %s: %q is missing", f.Rule, f.Pos, w)
			}
		}
	}
}

func flat(text string) string { return strings.Join(strings.Fields(text), " ") }

// TestColourIsOwn: neither the environment nor another output decides.
func TestColourIsOwn(t *testing.T) {
	plain := write(t, reporttest.Fleet(), terminal.Options{})
	coloured := write(t, reporttest.Fleet(), terminal.Options{Colour: true})
	before := color.NoColor
	defer func() { color.NoColor = before }()
	for _, off := range []bool{true, false} {
		color.NoColor = off
		for _, variable := range []string{"", "1"} {
			t.Setenv("NO_COLOR", variable)
			if got := write(t, reporttest.Fleet(), terminal.Options{}); got != plain {
				t.Errorf("without colour: got other bytes with NoColor %v and NO_COLOR %q", off, variable)
			}
			if got := write(t, reporttest.Fleet(), terminal.Options{Colour: true}); got != coloured {
				t.Errorf("with colour: got other bytes with NoColor %v and NO_COLOR %q", off, variable)
			}
		}
	}
	if strings.Contains(plain, "\x1b") || !strings.Contains(coloured, "\x1b[") {
		t.Error("want escape sequences with colour, and none without")
	}
	if got := colourless(coloured); got != plain {
		t.Errorf("colour changes more than colour: -plain +got\n%s", cmp.Diff(plain, got))
	}
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("no room left") }

func TestWriteError(t *testing.T) {
	if err := terminal.Write(full{}, reporttest.Fleet(), terminal.Options{}); err == nil {
		t.Error("got no error from a writer that fails")
	}
}

func BenchmarkWrite(b *testing.B) {
	run := reporttest.Fleet()
	for b.Loop() {
		write(b, run, terminal.Options{Width: 80, Working: true, Colour: true})
	}
}
