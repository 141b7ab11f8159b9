package faultsheet

import (
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/finding"
	_ "kitgauge/checker/internal/ample"
	"kitgauge/checker/source"
)

const dir = "../../../testdata/faults/"

var show = flag.String("show", "", "print all that is found in the case with this id")

// sheets are the files of mistakes.
var sheets = []struct{ file, title string }{
	{"sheet.yaml", "The sheet"},
	{"more.yaml", "More mistakes of the same kinds"},
}

const opening = `# What becomes of the mistakes of designers

The mistakes stand in sheet.yaml and more.yaml, the variations in fine.yaml;
package checker/internal/faultsheet plays them and holds this page.

right: a finding among the first five that are printed names the cause, at the
severity that it has to have. late: it stands behind others. weak: it is less
severe. elsewhere: something is found, and not the cause. missed: nothing is.
`

// TestGoldenResult plays both sheets and the variations, and holds what came of them.
func TestGoldenResult(t *testing.T) {
	p := newPlayer(t)
	var page, rest strings.Builder
	page.WriteString(opening)
	for _, s := range sheets {
		sheet := Sheet{Title: s.title, Cases: read(t, s.file)}
		sheet.Verdicts = inParallel(t, sheet.Cases, p.Play)
		sheet.Table(&page)
		sheet.Open(&rest)
	}
	page.WriteString(rest.String())
	fine(t, p, &page)
	generated(t, dir+"result.md", page.String())
}

// fine writes what is found in variations with which nothing is wrong.
func fine(t *testing.T, p *Player, page *strings.Builder) {
	cases := read(t, "fine.yaml")
	found := inParallel(t, cases, p.Findings)
	fmt.Fprintf(page, "\n## Nothing wrong: %d variations\n\n| id | variation | found |\n| --- | --- | --- |\n", len(cases))
	for i, c := range cases {
		for _, f := range found[i] {
			fmt.Fprintf(page, "| %s | %s | %s |\n", c.ID, cell(c.Words), cell(describe(&f)))
		}
	}
}

// TestCases holds the sheets themselves: an id stands once, a mistake changes
// the kit, its cause is not what a clean kit is said to have, and the remedy
// leaves nothing to be found.
func TestCases(t *testing.T) {
	p := newPlayer(t)
	seen := map[string]bool{}
	for _, s := range sheets {
		cases := read(t, s.file)
		left := inParallel(t, cases, p.afterRemedy)
		for i, c := range cases {
			if seen[c.ID] || c.ID == "" || c.Group == "" || c.Words == "" {
				t.Errorf("%s: id, group and words are wanted, the id once", c.ID)
			}
			seen[c.ID] = true
			if (len(c.Causes) == 0) == (c.Gone == nil) {
				t.Errorf("%s: either a cause or what has to be gone", c.ID)
			}
			if left[i] != "" {
				t.Errorf("%s: after the remedy: %s", c.ID, left[i])
			}
		}
	}
}

// afterRemedy is what is still found, "" where nothing is.
func (p *Player) afterRemedy(c *Case) (string, error) {
	v, err := p.faulty(c)
	if err != nil {
		return "", err
	}
	clean := version{kit: p.kits[c.Kit].Root.JSON(), catalogue: p.catalogue.JSON()}
	was := v
	if v.kit, err = repatched(c.Remedy, v.kit); err != nil {
		return "", err
	}
	if v.catalogue != nil {
		if v.catalogue, err = repatched(c.CatalogueRemedy, v.catalogue); err != nil {
			return "", err
		}
	}
	if same(was.kit, clean.kit) && (was.catalogue == nil || same(was.catalogue, clean.catalogue)) {
		return "the mistake changes nothing", nil
	}
	if same(v.kit, clean.kit) && (v.catalogue == nil || same(v.catalogue, clean.catalogue)) {
		return "", nil
	}
	found, err := p.check(c, v)
	if err != nil || len(found) == 0 {
		return "", err
	}
	return describe(&found[0]), nil
}

// same reports whether two texts hold the same, in whatever order.
func same(a, b []byte) bool {
	var x, y any
	if json.Unmarshal(a, &x) != nil || json.Unmarshal(b, &y) != nil {
		return false
	}
	one, _ := json.Marshal(x)
	two, _ := json.Marshal(y)
	return string(one) == string(two)
}

func TestMirror(t *testing.T) {
	text := `{
		"vehicle": {"outline": {"from": ["-1 m", "-2 m", "0 m"], "to": ["1 m", "3 m", "2 m"]}},
		"joints": [
			{"name": "left kingpin", "kind": "revolute", "pivot": ["0 mm", "860 mm", "500 mm"], "axis": [0, -0.1, 1], "range": {"from": "-38 deg", "to": "44 deg"}},
			{"name": "hinge", "kind": "revolute", "axis": [0, -1, 0], "range": {"from": "0 deg", "to": "48 deg"}},
			{"name": "springs", "kind": "prismatic", "axis": [0, 0, 1], "range": {"from": "-90 mm", "to": "80 mm"}}],
		"zones": [{"shape": "box", "from": ["0 m", "1 m", "0 m"], "to": ["1 m", "2 m", "1 m"]}],
		"points": [{"id": "FL3", "name": "Kingpin, left", "thread": "R 1/8"}],
		"bundles": [{"id": "L", "route": [{"id": "l-1"}, {"id": "rl-2"}, {"id": "rf-3"}]}]}`
	want := `{
		"vehicle": {"outline": {"from": ["-1 m", "-3 m", "0 m"], "to": ["1 m", "2 m", "2 m"]}},
		"joints": [
			{"name": "right kingpin", "kind": "revolute", "pivot": ["0 mm", "-860 mm", "500 mm"], "axis": [0, 0.1, 1], "range": {"from": "-44 deg", "to": "38 deg"}},
			{"name": "hinge", "kind": "revolute", "axis": [0, -1, 0], "range": {"from": "0 deg", "to": "48 deg"}},
			{"name": "springs", "kind": "prismatic", "axis": [0, 0, 1], "range": {"from": "-90 mm", "to": "80 mm"}}],
		"zones": [{"shape": "box", "from": ["0 m", "-2 m", "0 m"], "to": ["1 m", "-1 m", "1 m"]}],
		"points": [{"id": "FR3", "name": "Kingpin, right", "thread": "R 1/8"}],
		"bundles": [{"id": "R", "route": [{"id": "r-1"}, {"id": "rr-2"}, {"id": "rf-3"}]}]}`
	var kit any
	if err := json.Unmarshal([]byte(text), &kit); err != nil {
		t.Fatal(err)
	}
	got, err := json.Marshal(mirror(kit))
	if err != nil {
		t.Fatal(err)
	}
	if !same(got, []byte(want)) {
		t.Errorf("got %s", got)
	}
}

// The inch is 25.4 mm, the cubic inch 16.387064 cm3 and the pound-force per
// square inch 6.894757 kPa (NIST SP 811, appendix B); water boils at 212 degF.
func TestInches(t *testing.T) {
	for in, want := range map[string]string{
		"25.4 mm": "1 in", "2655 mm": "104.5 in", "-850 mm": "-33.46 in", "0.3048 m": "1 ft", "1 l": "61.02 in3",
		"5 bar": "72.52 psi", "100 degC": "212 degF", "-40 degC": "-40 degF", "24 V": "24 V", "M10x1": "M10x1",
	} {
		if got := Inches(in); got != want {
			t.Errorf("%s: got %v, want %s", in, got, want)
		}
	}
}

func TestJudge(t *testing.T) {
	docs, _ := source.Parse("c.yaml", []byte(`{id: a, cause: [{place: FL3, says: sign}]}`))
	c, err := readCase(docs[0].Root)
	if err != nil {
		t.Fatal(err)
	}
	noise := finding.Finding{Severity: finding.Critical, Place: "line 3", Message: "short"}
	named := finding.Finding{Severity: finding.Major, Place: "point FL3", Message: "on the right", Remedy: "correct the sign"}
	slight := named
	slight.Severity = finding.Minor
	for _, tt := range []struct {
		found []finding.Finding
		want  Outcome
	}{
		{nil, Missed},
		{[]finding.Finding{noise}, Elsewhere},
		{[]finding.Finding{noise, named}, Right},
		{[]finding.Finding{noise, noise, noise, noise, noise, named}, Late},
		{[]finding.Finding{noise, slight}, Weak},
		{[]finding.Finding{{Severity: finding.Critical, Place: "point FR3", Message: "sign"}}, Elsewhere},
	} {
		if got := judge(&c, tt.found).Outcome; got != tt.want {
			t.Errorf("%v: got %v, want %v", tt.found, got, tt.want)
		}
	}
}

// TestShow prints what is found in one case.
func TestShow(t *testing.T) {
	if *show == "" {
		t.Skip("no -show")
	}
	p := newPlayer(t)
	for _, file := range []string{"sheet.yaml", "more.yaml", "fine.yaml"} {
		for _, c := range read(t, file) {
			if c.ID != *show && *show != "all" {
				continue
			}
			found, err := p.Findings(&c)
			if err != nil {
				t.Fatalf("%s: %v", c.ID, err)
			}
			t.Logf("%s: %s", c.ID, c.Words)
			for _, f := range found {
				t.Logf("    %v %s", c.caused(&f), describe(&f))
			}
		}
	}
}

func newPlayer(t *testing.T) *Player {
	t.Helper()
	p, err := NewPlayer()
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func read(t *testing.T, file string) []Case {
	t.Helper()
	cases, err := Read(dir + file)
	if err != nil {
		t.Fatal(err)
	}
	return cases
}

// inParallel gives what f gives for every case.
func inParallel[R any](t *testing.T, cases []Case, f func(*Case) (R, error)) []R {
	t.Helper()
	results, errs := make([]R, len(cases)), make([]error, len(cases))
	checker.Parallel(len(cases), func(i int) { results[i], errs[i] = f(&cases[i]) })
	for i, err := range errs {
		if err != nil {
			t.Fatalf("%s: %v", cases[i].ID, err)
		}
	}
	return results
}

// generated holds a file against what it has to hold, or writes it.
func generated(t *testing.T, file, want string) {
	t.Helper()
	if os.Getenv("KITGAUGE_GENERATE") == "1" {
		if err := os.WriteFile(file, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	got, lines := strings.Split(string(text), "\n"), strings.Split(want, "\n")
	for _, line := range lines {
		if !slices.Contains(got, line) {
			t.Errorf("now: %s", line)
		}
	}
	for _, line := range got {
		if !slices.Contains(lines, line) {
			t.Errorf("was: %s", line)
		}
	}
	if string(text) != want {
		t.Errorf("%s is out of date; read what has changed, and write it with KITGAUGE_GENERATE=1", file)
	}
}
