package checker_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"kitgauge/checker"
	"kitgauge/checker/engine"
	"kitgauge/checker/finding"
	"kitgauge/checker/internal/fleet"
	"kitgauge/examples"
	"kitgauge/rules"
)

// lines writes a kit of nothing but so many lines, in which each breaks
// several rules.
func lines(n int) []byte {
	var b strings.Builder
	b.WriteString("header: {number: WS-1, revision: A, title: Too many, status: draft}\npump: {part: FG-P12}\npoints: [{id: a}]\nlines:\n")
	for i := range n {
		fmt.Fprintf(&b, "- {number: %d}\n", i+1)
	}
	return []byte(b.String())
}

func checkOne(t *testing.T, o checker.Options, file string, text []byte) *checker.Result {
	t.Helper()
	o.NoSettings = true
	results, err := checker.New(o).Check(file, text)
	if err != nil {
		t.Fatal(err)
	}
	return results[0]
}

// rule lists the findings of a rule.
func rule(r *checker.Result, id string) []finding.Finding {
	var found []finding.Finding
	for _, f := range r.Findings {
		if f.Rule == id {
			found = append(found, f)
		}
	}
	return found
}

// A list above its budget is told once, and the rest is checked.
func TestTooManyLines(t *testing.T) {
	for n := 1999; n <= 2001; n++ {
		r := checkOne(t, checker.Options{Packs: []string{"ports"}}, "a.kit.yaml", lines(n))
		if got := len(r.Facts.Lines); got != min(n, 2000) {
			t.Errorf("%d lines: %d are checked", n, got)
		}
		long := 0
		for _, f := range r.Findings {
			if strings.Contains(f.Message, "lines has") {
				long++
				if want := "lines has 2001 items; at most 2000 are possible"; f.Rule != "file/shape" || f.Message != want || f.Pos.Line != 5 {
					t.Errorf("got %s at %v: %s; want %s", f.Rule, f.Pos, f.Message, want)
				}
			}
		}
		if long != max(n-2000, 0) {
			t.Errorf("%d lines: told %d times", n, long)
		}
	}
}

// The findings of a kit are listed up to the most; one more says how many
// there are beside, and is as grave as the gravest of them. The record of
// known findings is not misled.
func TestFindingsListed(t *testing.T) {
	few := checkOne(t, checker.Options{}, "a.kit.yaml", lines(300))
	if len(rule(few, "file/listed")) != 0 || len(few.Findings) > finding.MostListed {
		t.Fatalf("%d findings, and some are not listed", len(few.Findings))
	}
	many := checkOne(t, checker.Options{}, "a.kit.yaml", lines(2000))
	if len(many.Findings) != finding.MostListed+1 {
		t.Fatalf("%d findings are listed, want %d and one", len(many.Findings), finding.MostListed)
	}
	last := many.Findings[finding.MostListed]
	words, worst := finding.InWords(many.Omitted)
	if last.Rule != "file/listed" || last.Severity != worst || last.Status != finding.Violated || last.Fingerprint == "" || last.Message != "there are more findings, which are not listed: "+words {
		t.Errorf("the last is %+v; %s are not listed", last, words)
	}
	if len(rule(many, "file/listed")) != 1 || many.Shaped != few.Shaped {
		t.Errorf("told %d times; shaped %v and %v", len(rule(many, "file/listed")), few.Shaped, many.Shaped)
	}
	var known []finding.Entry
	for _, f := range many.Findings {
		if f.Recordable() {
			known = append(known, finding.Entry{Fingerprint: f.Fingerprint, Rule: f.Rule, Kit: many.Number, Place: f.Place})
		}
	}
	again := checkOne(t, checker.Options{Known: &checker.Known{Entries: known}}, "a.kit.yaml", lines(2000))
	open := 0
	for _, f := range again.Findings {
		if f.AtOrAbove(finding.Minor) {
			open++
		}
	}
	if open == 0 || len(again.Gone) > 0 {
		t.Errorf("%d findings are open with those known that were listed, and %d gone; want some, and none", open, len(again.Gone))
	}
}

// A check that takes too long is given up: one fault, no figures, nothing that
// looks clean. With time enough nothing changes.
func TestTimeLimit(t *testing.T) {
	file, text, _ := examples.Kit("trailer")
	whole := checkOne(t, checker.Options{ReadFile: examples.ReadFile}, file, text)
	for _, tt := range []struct {
		name  string
		limit time.Duration
		want  bool
	}{{"none", 0, false}, {"enough", time.Hour, false}, {"too little", time.Nanosecond, true}} {
		r := checkOne(t, checker.Options{ReadFile: examples.ReadFile, Time: tt.limit}, file, text)
		if !tt.want {
			if !r.Shaped || r.Checks != whole.Checks || len(r.Findings) != len(whole.Findings) {
				t.Errorf("%s: %d checks and %d findings, want %d and %d", tt.name, r.Checks, len(r.Findings), whole.Checks, len(whole.Findings))
			}
			continue
		}
		want := "the check took longer than 1ns, and was given up"
		if r.Shaped || r.Facts != nil || r.Checks != 0 || len(r.Findings) != 1 || r.Findings[0].Rule != "file/time" || r.Findings[0].Message != want {
			t.Errorf("%s: got shaped %v, %d checks, %+v", tt.name, r.Shaped, r.Checks, r.Findings)
		}
	}
}

// Wherever the time runs out, the check is whole or it is given up.
func TestTimeRunsOut(t *testing.T) {
	file, text, _ := examples.Kit("gritter")
	c := func(limit time.Duration) *checker.Result {
		return checkOne(t, checker.Options{ReadFile: examples.ReadFile, Time: limit}, file, text)
	}
	whole := c(0)
	if !whole.Shaped || whole.Checks == 0 {
		t.Fatal("the example is not checked")
	}
	for limit := 50 * time.Microsecond; limit < 40*time.Millisecond; limit = limit * 3 / 2 {
		r := c(limit)
		if givenUp := len(rule(r, "file/time")) == 1; givenUp && (r.Shaped || len(r.Findings) != 1) || !givenUp && (!r.Shaped || r.Checks != whole.Checks) {
			t.Errorf("%v: given up is %v, shaped %v, with %d checks of %d", limit, givenUp, r.Shaped, r.Checks, whole.Checks)
		}
	}
}

// The built-in rules are not held to their budget when they run: here they
// are, on the largest kit that can be read.
func TestBuiltInWithinBudget(t *testing.T) {
	k, err := fleet.New(1, fleet.MostPoints, fleet.Options{})
	if err != nil {
		t.Fatal(err)
	}
	facts := checkOne(t, checker.Options{ReadFile: fleet.ReadFile, Packs: []string{}}, "fleet.kit.yaml", k.YAML()).Facts
	world := &engine.Input{Kit: facts, Family: facts.Family(), Subjects: func(kind string) []engine.Subject {
		var out []engine.Subject
		for _, s := range facts.Subjects(kind) {
			out = append(out, s)
		}
		return out
	}}
	for _, name := range rules.Names() {
		file, text, _ := rules.Pack(name)
		pack, problems := checker.ReadPack(file, text)
		if len(problems) > 0 {
			t.Fatal(problems[0])
		}
		out, problems := pack.Evaluate(world, engine.Options{})
		if len(problems) > 0 {
			t.Fatal(problems[0])
		}
		for _, f := range out.Findings {
			if strings.Contains(f.Message, " steps that ") {
				t.Fatalf("%s at %s: %s", f.Rule, f.Place, f.Message)
			}
		}
		if out.Steps == 0 {
			t.Errorf("pack %s takes no steps: they are not counted", name)
		}
		t.Logf("%s: %d steps", name, out.Steps)
	}
}

// A kit may draw on so many catalogues in all, with those that they include.
func TestCatalogueBudget(t *testing.T) {
	for n := 99; n <= 101; n++ {
		read := func(_, file string) ([]byte, error) {
			var i int
			fmt.Sscanf(file, "p%d.parts.yaml", &i)
			include := ""
			if i < n {
				include = fmt.Sprintf("include: [p%d.parts.yaml]\n", i+1)
			}
			return []byte("title: t\nrevision: A\n" + include + "parts: [{number: X" + fmt.Sprint(i) + ", kind: bolt}]\n"), nil
		}
		text := "header: {number: WS-1, revision: A, title: T, status: draft}\ncatalogues: [p1.parts.yaml]\n"
		r := checkOne(t, checker.Options{ReadFile: read, Packs: []string{}}, "a.kit.yaml", []byte(text))
		told := 0
		for _, f := range r.Findings {
			if f.Message == "the kit needs more than 100 catalogues, with those that they include" {
				told++
			}
		}
		if told != max(n-100, 0) || len(r.Inputs) < min(n, 100) {
			t.Errorf("%d catalogues: told %d times, %d inputs", n, told, len(r.Inputs))
		}
	}
}
