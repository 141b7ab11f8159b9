// The files in testdata are annotations as they are written. They are
// refreshed by go generate ./..., and the difference is read.
package annotations_test

import (
	"bytes"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"kitgauge/checker/finding"
	"kitgauge/checker/golden"
	"kitgauge/checker/internal/reporttest"
	"kitgauge/checker/report"
	"kitgauge/checker/report/annotations"
	"kitgauge/checker/source"
)

func write(t testing.TB, run report.Run) string {
	t.Helper()
	var b bytes.Buffer
	if err := annotations.Write(&b, run, annotations.Options{}); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestGolden(t *testing.T) {
	tests := []struct {
		name string
		run  report.Run
	}{
		{"fleet", reporttest.Fleet()},
		{"clean", report.Run{Kits: []report.Kit{reporttest.Clean()}, Gate: finding.Major}},
		{"empty", report.Run{Gate: finding.Major}},
		{"harmful", reporttest.Harmful()},
		{"commands", reporttest.HarmfulWith("::error::a\n::set-env name=x::y\r##[add-mask]z %0A::stop-commands::t, b:c")},
		{"many", many(25)},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := write(t, tt.run)
			name := filepath.Join("testdata", tt.name+".txt")
			golden.Compare(t, name, []byte(got))
			if again := write(t, tt.run); again != got {
				t.Error("written again: got other bytes")
			}
		})
	}
}

// many is a kit with n findings of each severity and status.
func many(n int) report.Run {
	k := report.Kit{File: "fleet/plough.kit.yaml", Number: "WS-115", Shaped: true}
	for _, status := range []finding.Status{finding.NotEvaluated, finding.Known, finding.Conceded, finding.Violated} {
		for severity := finding.None; severity <= finding.Critical; severity++ {
			for i := range n {
				k.Findings = append(k.Findings, finding.Finding{
					Rule: fmt.Sprintf("slack/%s-%d", severity, i), Severity: severity, Status: status,
					Pos: source.Pos{File: k.File, Line: i + 1, Column: 3}, Place: "line 7", Message: status.String(),
				})
			}
		}
	}
	gone := make([]finding.Entry, n)
	return report.Run{Kits: []report.Kit{k}, Gate: finding.Major, Gone: gone}
}

// command is what a runner makes of one line.
type command struct {
	name       string
	properties map[string]string
	data       string
}

// parse reads a line as the runner does, by its published source
// (actions/runner, src/Runner.Common/ActionCommand.cs): first the newer form,
// at the start of the line behind white space, then the older one, anywhere in
// the line.
func parse(line string) *command {
	if c := parseNewer(line); c != nil {
		return c
	}
	i := strings.Index(line, "##[")
	if i < 0 || !strings.Contains(line[i:], "]") {
		return nil
	}
	return &command{name: "older form: " + line}
}

func parseNewer(line string) *command {
	line = strings.TrimLeftFunc(line, unicode.IsSpace)
	rest, found := strings.CutPrefix(line, "::")
	if !found {
		return nil
	}
	info, data, found := strings.Cut(rest, "::")
	if !found {
		return nil
	}
	name, list, _ := strings.Cut(info, " ")
	c := &command{name: name, properties: map[string]string{}, data: unescape(data, "%0D", "\r", "%0A", "\n", "%25", "%")}
	for _, p := range strings.Split(strings.TrimSpace(list), ",") {
		if key, value, found := strings.Cut(p, "="); found && value != "" {
			c.properties[key] = unescape(value, "%0D", "\r", "%0A", "\n", "%3A", ":", "%2C", ",", "%25", "%")
		}
	}
	return c
}

// unescape replaces one pair after the other, as the runner does.
func unescape(text string, pairs ...string) string {
	for i := 0; i < len(pairs); i += 2 {
		text = strings.ReplaceAll(text, pairs[i], pairs[i+1])
	}
	return text
}

func commands(out string) []command {
	var list []command
	for line := range strings.Lines(out) {
		if c := parse(strings.TrimSuffix(line, "\n")); c != nil {
			list = append(list, *c)
		}
	}
	return list
}

// TestReadBack: the runner reads what the finding says.
func TestReadBack(t *testing.T) {
	text := `100 %: a, b::c %0A %25 "d" = e`
	f := finding.Finding{
		Rule: "slack/steered", Title: text, Severity: finding.Critical, Status: finding.Violated,
		Pos: source.Pos{File: "fleet/a, b:c%.kit.yaml", Line: 7, Column: 3}, Place: text, Message: text, Remedy: text,
	}
	got := commands(write(t, report.Run{Kits: []report.Kit{{File: f.Pos.File, Shaped: true, Findings: []finding.Finding{f}}}, Gate: finding.Major}))
	want := []command{{"error", map[string]string{"file": f.Pos.File, "line": "7", "col": "3", "title": "critical: slack/steered: " + text}, text + ": " + text + "; remedy: " + text}}
	if diff := cmp.Diff(want, got, cmp.AllowUnexported(command{})); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
}

// TestLimits: of each kind as many as a step may have, the gravest first, and
// in the last how many more there are.
func TestLimits(t *testing.T) {
	for _, n := range []int{0, 1, 4, 5, 9, 10, 11, 500} {
		shown := map[string][]command{}
		for _, c := range commands(write(t, many(n))) {
			shown[c.name] = append(shown[c.name], c)
		}
		// n each of critical and major, violated and not evaluated; n minor of both;
		// n each conceded of four severities, and n each without severity.
		for name, all := range map[string]int{"error": 4 * n, "warning": 2 * n, "notice": 6 * n} {
			list := shown[name]
			sums := 0
			if name == "notice" && n > 0 {
				sums = 2
			}
			if len(list) != min(all+sums, annotations.Most) {
				t.Errorf("%d of each: %d %ss, want %d", n, len(list), name, min(all+sums, annotations.Most))
			}
			i := slices.IndexFunc(list, func(c command) bool { return strings.HasPrefix(c.data, "and ") })
			if all+sums <= annotations.Most {
				if i >= 0 {
					t.Errorf("%d of each: %ss sum up %q without need", n, name, list[i].data)
				}
				continue
			}
			if want := fmt.Sprintf("and %d more: see the other reports of this run", all-(annotations.Most-sums-1)); i != annotations.Most-1-sums || list[i].data != want {
				t.Errorf("%d of each: the %s that sums up is number %d of %v; want %q", n, name, i, list, want)
			}
		}
		if n >= 9 && !strings.HasPrefix(shown["error"][8].properties["title"], "critical") {
			t.Errorf("the ninth error is %v, want a critical one", shown["error"][8])
		}
	}
}

// TestNothingStartsACommand: whatever stands in a kit, the runner sees only
// the three commands, with the properties that they have.
func TestNothingStartsACommand(t *testing.T) {
	part := rapid.OneOf(rapid.String(), rapid.SampledFrom([]string{
		"::", "##[", "]", "\n", "\r", "\r\n", "\u2028", "\x85", "\v", "%0A", "%0D", "%25", "%", ":", ",", "=", " ", "set-env name=x", "stop-commands", "add-mask", "::error::", "##[error]", "\n::warning::", "\xff",
	}))
	rapid.Check(t, func(t *rapid.T) {
		text := strings.Join(rapid.SliceOfN(part, 1, 8).Draw(t, "parts"), "")
		var b bytes.Buffer
		if err := annotations.Write(&b, reporttest.HarmfulWith(text), annotations.Options{}); err != nil {
			t.Fatal(err)
		}
		count := map[string]int{}
		for _, c := range commands(b.String()) {
			count[c.name]++
			for key := range c.properties {
				if !slices.Contains([]string{"file", "line", "col", "endColumn", "title"}, key) {
					t.Errorf("property %q in %q", key, b.String())
				}
			}
		}
		// critical and minor not evaluated, which the gate stops, major conceded, one known, one gone
		if diff := cmp.Diff(map[string]int{"error": 2, "notice": 3}, count); diff != "" {
			t.Errorf("%q: -want +got:\n%s", b.String(), diff)
		}
		if lines := strings.Count(b.String(), "\n"); lines != 7 {
			t.Errorf("%d lines in %q, want 7", lines, b.String())
		}
		if strings.Contains(b.String(), "##[") {
			t.Errorf("the older form in %q", b.String())
		}
		for _, r := range b.String() {
			if r != '\n' && unicode.IsControl(r) || r == '\u2028' || r == '\u2029' {
				t.Errorf("%U in %q", r, b.String())
			}
		}
	})
}

// TestCommandsFollowTheGate: what the gate lets through is a warning, and with
// no gate nothing is an error but what kept the kit from being checked.
func TestCommandsFollowTheGate(t *testing.T) {
	run := many(1) // of critical, major and minor one violated and one not evaluated
	for gate, want := range map[finding.Severity]int{finding.None: 0, finding.Critical: 2, finding.Major: 4, finding.Minor: 6} {
		run.Gate = gate
		count := map[string]int{}
		for _, c := range commands(write(t, run)) {
			count[c.name]++
		}
		if count["error"] != want || count["warning"] != 6-want {
			t.Errorf("gate %s: %v, want %d errors and %d warnings", gate, count, want, 6-want)
		}
	}
	unread := report.Run{Kits: []report.Kit{{File: "a.kit.yaml", Findings: []finding.Finding{{Rule: "file/syntax", Severity: finding.Major, Status: finding.Violated, Message: "x"}}}}}
	if got := write(t, unread); !strings.HasPrefix(got, "::error file=a.kit.yaml,") {
		t.Errorf("not checked in full: got %s", got)
	}
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("no room left") }

func TestWriteError(t *testing.T) {
	if err := annotations.Write(full{}, reporttest.Fleet(), annotations.Options{}); err == nil {
		t.Error("got no error from a writer that fails")
	}
}
