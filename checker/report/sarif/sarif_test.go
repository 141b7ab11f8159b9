// The files in testdata are logs as they are written. They are refreshed by go
// generate ./..., and the difference is read.
package sarif_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"kitgauge/checker/edit"
	"kitgauge/checker/finding"
	"kitgauge/checker/golden"
	"kitgauge/checker/internal/reporttest"
	"kitgauge/checker/report"
	"kitgauge/checker/report/sarif"
	"kitgauge/checker/source"
)

var runs = []struct {
	name string
	run  report.Run
}{
	{"fleet", reporttest.Fleet()},
	{"clean", report.Run{Kits: []report.Kit{reporttest.Clean()}, Gate: finding.None, Version: "0.1.0"}},
	{"empty", report.Run{Gate: finding.Major}},
	{"harmful", reporttest.Harmful()},
	{"edited", edited()},
	{"plain", report.Run{Kits: []report.Kit{plain()}, Gate: finding.Critical, Version: "0.1.0"}},
}

// edited is a misspelt member, with the edit that mends it.
func edited() report.Run {
	at := source.Pos{File: "fleet/plough truck.kit.yaml", Line: 12, Column: 5}
	end := at
	end.Column += 6
	correct := func(*finding.Finding) *report.Correction {
		return &report.Correction{Kind: report.Decision, Title: "write length", File: at.File, Doubt: "it may be meant",
			Pieces: []report.Piece{{Splice: edit.Splice{From: 300, To: 306, With: "length"}, Start: at, End: end}}}
	}
	return report.Run{Kits: []report.Kit{{File: at.File, Number: "WS-115", Correct: correct, Findings: []finding.Finding{{
		Rule: "file/shape", Title: "The file has the shape of a kit", Severity: finding.Major, Status: finding.Violated,
		Pos: at, Pointer: "/lines/0/lenght", Place: "line 7", Message: `there is no member "lenght" here; nearest is "length"`,
		Remedy: "write length",
	}}}}, Gate: finding.Major, Version: "0.1.0"}
}

// plain is the faulty kit without concessions and known findings.
func plain() report.Kit {
	k := reporttest.Faulty()
	var kept []finding.Finding
	for _, f := range k.Findings {
		if f.Status == finding.Violated || f.Status == finding.NotEvaluated {
			kept = append(kept, f)
		}
	}
	k.Findings = kept
	return k
}

func write(t testing.TB, run report.Run, o sarif.Options) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := sarif.Write(&b, run, o); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func decode(t testing.TB, text []byte) map[string]any {
	t.Helper()
	var v map[string]any
	if err := json.Unmarshal(text, &v); err != nil {
		t.Fatalf("%v in %s", err, text)
	}
	return v
}

func TestGolden(t *testing.T) {
	for _, tt := range runs {
		t.Run(tt.name, func(t *testing.T) {
			got := write(t, tt.run, sarif.Options{})
			name := filepath.Join("testdata", tt.name+".sarif")
			golden.Compare(t, name, got)
			if again := write(t, tt.run, sarif.Options{}); !bytes.Equal(again, got) {
				t.Error("written again: got other bytes")
			}
		})
	}
}

// TestFiles: URIs as RFC 3986 has them, and no path of the machine for what
// lies below the root.
func TestFiles(t *testing.T) {
	root := filepath.FromSlash("/srv/fleet")
	if !filepath.IsAbs(root) {
		t.Skip("absolute paths look different here")
	}
	tests := []struct{ name, root, file, uri, base string }{
		{"relative", "", "kits/a.kit.yaml", "kits/a.kit.yaml", "%SRCROOT%"},
		{"dots taken out (3.10.2)", "", "./kits/../kits/./a.kit.yaml", "kits/a.kit.yaml", "%SRCROOT%"},
		{"relative, with a root", root, "kits/a.kit.yaml", "kits/a.kit.yaml", "%SRCROOT%"},
		{"absolute, below the root", root, "/srv/fleet/kits/a.kit.yaml", "kits/a.kit.yaml", "%SRCROOT%"},
		{"beside the root", root, "../parts/a.parts.yaml", "file:///srv/parts/a.parts.yaml", ""},
		{"a name that only begins like the root", root, "/srv/fleet2/a.kit.yaml", "file:///srv/fleet2/a.kit.yaml", ""},
		{"a name that begins with dots", root, "..kits/a.kit.yaml", "..kits/a.kit.yaml", "%SRCROOT%"},
		{"case is kept (3.10.1)", "", "Kits/A.KIT.YAML", "Kits/A.KIT.YAML", "%SRCROOT%"},
		{"space", "", "plough truck.kit.yaml", "plough%20truck.kit.yaml", "%SRCROOT%"},
		{"colon", "", "a:b/c.kit.yaml", "a%3Ab/c.kit.yaml", "%SRCROOT%"},
		{"percent, hash, question mark", "", "a%20#1?.kit.yaml", "a%2520%231%3F.kit.yaml", "%SRCROOT%"},
		{"not ASCII (3.10.4)", "", "Räumfahrzeug.kit.yaml", "R%C3%A4umfahrzeug.kit.yaml", "%SRCROOT%"},
		{"not UTF-8", "", "a\xff.kit.yaml", "a%FF.kit.yaml", "%SRCROOT%"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			run := report.Run{Kits: []report.Kit{{File: filepath.FromSlash(tt.file), Shaped: true}}}
			out := decode(t, write(t, run, sarif.Options{Root: tt.root}))
			artifacts := at(out, "runs", 0, "artifacts").([]any)
			if len(artifacts) != 1 {
				t.Fatalf("%d artifacts, want 1", len(artifacts))
			}
			spot := at(artifacts[0], "location").(map[string]any)
			base, _ := spot["uriBaseId"].(string)
			if spot["uri"] != tt.uri || base != tt.base {
				t.Errorf("got %v below %q, want %s below %q", spot["uri"], base, tt.uri, tt.base)
			}
		})
	}
}

// TestOneFile: two spellings of a name are one artifact.
func TestOneFile(t *testing.T) {
	run := report.Run{Kits: []report.Kit{{File: "./a.kit.yaml", Shaped: true}, {File: "a.kit.yaml", Document: 1, Shaped: true}}}
	out := decode(t, write(t, run, sarif.Options{}))
	if got := len(at(out, "runs", 0, "artifacts").([]any)); got != 1 {
		t.Errorf("%d artifacts, want 1", got)
	}
}

// TestMeaning: what a status becomes.
func TestMeaning(t *testing.T) {
	out := decode(t, write(t, reporttest.Fleet(), sarif.Options{}))
	got := map[string]string{}
	for _, r := range at(out, "runs", 0, "results").([]any) {
		rule := at(r, "ruleId").(string)
		said := strings.Join([]string{at(r, "kind").(string), at(r, "level").(string), at(r, "baselineState").(string)}, " ")
		if list := at(r, "suppressions").([]any); len(list) > 0 {
			said += " " + at(list[0], "kind").(string) + " " + at(list[0], "status").(string) + ": " + at(list[0], "justification").(string)
		}
		got[rule] = said
	}
	want := map[string]string{
		"slack/steered":          "fail error new",
		"power/fuse-covers-draw": "fail error new",
		"paperwork/status":       "fail warning new",
		"flow/start-within-tube": "open none new",
		"fittings/easy-to-reach": "fail warning unchanged",
		"slack/articulated":      "informational none absent",
		"file/syntax":            "fail error new",
		"ports/outlet-used-once": "fail error new",
		"file/value":             "fail error new",
		"flow/run-within-tube":   "open none new",
		"flow/even-lines":        "open none new",
		"environment/tube-range": "open none new",
		"dosing/ratio":           "open none new",
		"reservoir/covers-interval": "fail error new external accepted: the depot refills every week until the larger reservoir is there. " +
			"Granted by H. Brandt, quality until 2027-03-31.",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
	call := at(out, "runs", 0, "invocations", 0)
	if at(call, "executionSuccessful") != false || at(call, "exitCode") != 2.0 {
		t.Errorf("got %v, want that a kit could not be read", call)
	}
}

// TestFix: the edit of a finding, as a region of the file as it is (3.57.3).
func TestFix(t *testing.T) {
	out := decode(t, write(t, edited(), sarif.Options{}))
	got := at(out, "runs", 0, "results", 0, "fixes", 0)
	var want map[string]any
	err := json.Unmarshal([]byte(`{"description": {"text": "write length. Somebody has to decide on this. Look first: it may be meant."}, "artifactChanges": [{
		"artifactLocation": {"uri": "fleet/plough%20truck.kit.yaml", "uriBaseId": "%SRCROOT%", "index": 0},
		"replacements": [{"deletedRegion": {"startLine": 12, "startColumn": 5, "endLine": 12, "endColumn": 11}, "insertedContent": {"text": "length"}}]}]}`), &want)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(any(want), got); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("no room left") }

func TestWriteError(t *testing.T) {
	if err := sarif.Write(full{}, reporttest.Fleet(), sarif.Options{}); err == nil {
		t.Error("got no error from a writer that fails")
	}
}

// at goes down a decoded value by keys and indices.
func at(v any, path ...any) any {
	for _, step := range path {
		switch step := step.(type) {
		case string:
			v = v.(map[string]any)[step]
		case int:
			v = v.([]any)[step]
		}
	}
	return v
}
