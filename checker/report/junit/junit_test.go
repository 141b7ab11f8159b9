// The files in testdata are results as they are written. They are refreshed by
// go generate ./..., and the difference is read.
package junit_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"path/filepath"
	"strings"
	"testing"

	"kitgauge/checker/finding"
	"kitgauge/checker/golden"
	"kitgauge/checker/internal/reporttest"
	"kitgauge/checker/report"
	"kitgauge/checker/report/junit"
)

var runs = []struct {
	name string
	run  report.Run
}{
	{"fleet", reporttest.Fleet()},
	{"clean", report.Run{Kits: []report.Kit{reporttest.Clean()}, Gate: finding.None, Version: "0.1.0", Rules: reporttest.Rules()}},
	{"empty", report.Run{Gate: finding.Major}},
	{"harmful", reporttest.Harmful()},
}

func write(t testing.TB, run report.Run) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := junit.Write(&b, run); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestGolden(t *testing.T) {
	for _, tt := range runs {
		t.Run(tt.name, func(t *testing.T) {
			got := write(t, tt.run)
			name := filepath.Join("testdata", tt.name+".xml")
			golden.Compare(t, name, got)
			if again := write(t, tt.run); !bytes.Equal(again, got) {
				t.Error("written again: got other bytes")
			}
		})
	}
}

// The parts of a result as a build server reads them, by names of its own.
type (
	results struct {
		Tests    int     `xml:"tests,attr"`
		Failures int     `xml:"failures,attr"`
		Errors   int     `xml:"errors,attr"`
		Skipped  int     `xml:"skipped,attr"`
		Suites   []group `xml:"testsuite"`
	}
	group struct {
		Name     string `xml:"name,attr"`
		Tests    int    `xml:"tests,attr"`
		Failures int    `xml:"failures,attr"`
		Errors   int    `xml:"errors,attr"`
		Skipped  int    `xml:"skipped,attr"`
		Cases    []one  `xml:"testcase"`
	}
	one struct {
		Class    string   `xml:"classname,attr"`
		Name     string   `xml:"name,attr"`
		Failures []reason `xml:"failure"`
		Errors   []reason `xml:"error"`
		Skipped  []reason `xml:"skipped"`
		Out      []reason `xml:"system-out"`
	}
	reason struct {
		Message string `xml:"message,attr"`
		Type    string `xml:"type,attr"`
		Text    string `xml:",chardata"`
	}
)

func read(t testing.TB, text []byte) results {
	t.Helper()
	var r results
	if err := xml.Unmarshal(text, &r); err != nil {
		t.Fatalf("%v in\n%s", err, text)
	}
	return r
}

// state is what a build server makes of a case.
func (c one) state() string {
	switch {
	case len(c.Failures) > 0:
		return "failed"
	case len(c.Errors) > 0:
		return "broken"
	case len(c.Skipped) > 0:
		return "skipped"
	}
	return "passed"
}

// TestCounts: what the attributes say is what there is.
func TestCounts(t *testing.T) {
	for _, tt := range runs {
		r := read(t, write(t, tt.run))
		sum := results{}
		for _, s := range r.Suites {
			counted := map[string]int{}
			for _, c := range s.Cases {
				counted[c.state()]++
			}
			if len(s.Cases) != s.Tests || counted["failed"] != s.Failures || counted["broken"] != s.Errors || counted["skipped"] != s.Skipped {
				t.Errorf("%s, %s: the attributes say %d, %d, %d, %d; there are %d cases, %v", tt.name, s.Name, s.Tests, s.Failures, s.Errors, s.Skipped, len(s.Cases), counted)
			}
			sum.Tests, sum.Failures, sum.Errors, sum.Skipped = sum.Tests+s.Tests, sum.Failures+s.Failures, sum.Errors+s.Errors, sum.Skipped+s.Skipped
		}
		if sum.Tests != r.Tests || sum.Failures != r.Failures || sum.Errors != r.Errors || sum.Skipped != r.Skipped {
			t.Errorf("%s: the sums are %+v, want %+v", tt.name, r, sum)
		}
	}
}

// TestGate: what is at or above the gate fails, and nothing else does.
func TestGate(t *testing.T) {
	list := func(status finding.Status, severities ...finding.Severity) []finding.Finding {
		var out []finding.Finding
		for _, s := range severities {
			out = append(out, finding.Finding{Rule: "slack/steered", Status: status, Severity: s, Place: "line 7", Message: "too short"})
		}
		return out
	}
	both := func(a, b []finding.Finding) []finding.Finding { return append(a, b...) }
	tests := []struct {
		name   string
		found  []finding.Finding
		gate   finding.Severity
		shaped bool
		state  string
		out    bool
	}{
		{"nothing found", nil, finding.Major, true, "passed", false},
		{"above the gate", list(finding.Violated, finding.Critical), finding.Major, true, "failed", false},
		{"on the gate", list(finding.Violated, finding.Major), finding.Major, true, "failed", false},
		{"below the gate", list(finding.Violated, finding.Minor), finding.Major, true, "passed", true},
		{"no gate", list(finding.Violated, finding.Critical), finding.None, true, "passed", true},
		{"one above, one below", list(finding.Violated, finding.Critical, finding.Minor), finding.Major, true, "failed", true},
		{"not evaluated", list(finding.NotEvaluated, finding.Major), finding.Major, true, "broken", false},
		{"not evaluated below the gate", list(finding.NotEvaluated, finding.Minor), finding.Major, true, "passed", true},
		{"conceded", list(finding.Conceded, finding.Critical), finding.Minor, true, "skipped", false},
		{"known", list(finding.Known, finding.Critical), finding.Minor, true, "skipped", false},
		{"one conceded, one not", both(list(finding.Conceded, finding.Major), list(finding.Violated, finding.Major)), finding.Major, true, "failed", true},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			run := report.Run{Gate: tt.gate, Rules: []report.Rule{{ID: "slack/steered"}},
				Kits: []report.Kit{{File: "a.kit.yaml", Rules: 1, Shaped: tt.shaped, Findings: tt.found}}}
			cases := read(t, write(t, run)).Suites[0].Cases
			if len(cases) != 1 {
				t.Fatalf("%d cases, want 1", len(cases))
			}
			if got := cases[0].state(); got != tt.state || len(cases[0].Out) > 0 != tt.out {
				t.Errorf("got %s with %d outputs; want %s, output: %t", got, len(cases[0].Out), tt.state, tt.out)
			}
		})
	}
}

// TestUnread: of a file that could not be read, no rule is said to pass, and
// the gate has no say.
func TestUnread(t *testing.T) {
	run := report.Run{Kits: []report.Kit{reporttest.Unreadable()}, Gate: finding.Critical, Rules: reporttest.Rules()}
	cases := read(t, write(t, run)).Suites[0].Cases
	if len(cases) != 1 || cases[0].Name != "file/syntax" || cases[0].Class != "file" || cases[0].state() != "broken" {
		t.Errorf("got %+v, want one broken case file/syntax", cases)
	}
}

// TestCharacters: XML 1.0, production [2] Char, leaves out most controls and
// what is no character; the decoder refuses them. Text that looks like markup
// comes back as text.
func TestCharacters(t *testing.T) {
	for _, text := range []string{
		reporttest.HarmfulText, "]]>", "<!-- a", "--><testcase/>", "&lt;&#0;&x;", `"'><x y="`, "<![CDATA[x]]>", "\ufffe\uffff\ud7ff", "]]", "\U0001f6a7",
	} {
		out := write(t, reporttest.HarmfulWith(text))
		d := xml.NewDecoder(bytes.NewReader(out))
		for {
			_, err := d.Token()
			if err == io.EOF {
				break
			}
			if err != nil {
				t.Fatalf("%q: %v", text, err)
			}
		}
		r := read(t, out)
		if len(r.Suites) != 2 || len(r.Suites[0].Cases) != 1 {
			t.Fatalf("%q: the text changed what there is: %+v", text, r)
		}
		c := r.Suites[0].Cases[0]
		if want := report.Visible(text); c.Name != want || len(c.Failures) != 1 || !strings.Contains(c.Failures[0].Text, "remedy: "+want+"\n") {
			t.Errorf("%q: got %+v", text, c)
		}
	}
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("no room left") }

func TestWriteError(t *testing.T) {
	if err := junit.Write(full{}, reporttest.Fleet()); err == nil {
		t.Error("got no error from a writer that fails")
	}
}
