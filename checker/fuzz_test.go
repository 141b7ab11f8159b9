package checker_test

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"io/fs"
	"math"
	"regexp"
	"runtime/debug"
	"slices"
	"strings"
	"testing"
	"time"

	"kitgauge/checker"
	"kitgauge/checker/finding"
	"kitgauge/checker/internal/fleet"
	"kitgauge/examples"
)

// patience is how long the check of a small kit may take before it counts as
// one that does not end: a thousand times what it takes.
const patience = 60 * time.Second

// shared holds the packs of all fuzz targets.
var shared = checker.OnExamples()

// served serves the texts of a map as the files of a tree, and the examples.
func served(texts map[string][]byte) func(from, file string) ([]byte, error) {
	return func(from, file string) ([]byte, error) {
		if text, found := texts[file]; found {
			return text, nil
		}
		if text, err := examples.ReadFile(from, file); err == nil {
			return text, nil
		}
		return nil, fs.ErrNotExist
	}
}

// inTime panics where f does not end.
func inTime(f func()) {
	watch := time.AfterFunc(patience, func() {
		debug.SetTraceback("all")
		panic("the check does not end")
	})
	defer watch.Stop()
	f()
}

// checked checks a kit of the tree that the texts are, twice, and holds what
// is found to what is true of any input.
func checked(t *testing.T, file string, texts map[string][]byte, on string) []*checker.Result {
	t.Helper()
	check := func() []*checker.Result {
		c := shared.With(checker.Options{ReadFile: served(texts), NoSettings: true, Margins: true, On: on})
		var results []*checker.Result
		inTime(func() {
			var err error
			if results, err = c.Check(file, texts[file]); err != nil {
				t.Errorf("the check failed: %v", err)
			}
		})
		return results
	}
	results := check()
	size := 0
	for _, text := range texts {
		size += len(text)
	}
	for _, r := range results {
		holds(t, r, size)
	}
	if first, second := digest(t, results), digest(t, check()); !bytes.Equal(first, second) {
		t.Errorf("a second check differs: %s", difference(first, second))
	}
	return results
}

// holds states what is true of the result for any input of so many bytes.
func holds(t *testing.T, r *checker.Result, size int) {
	t.Helper()
	if r.Facts == nil && r.Shaped {
		t.Error("a kit that was not read counts as whole")
	}
	text := inputs(r)
	list := r.Findings
	if last := len(list) - 1; last >= 0 && list[last].Rule == "file/listed" {
		list = list[:last] // it counts those that are left out
	}
	if !slices.IsSortedFunc(list, byPlace) {
		t.Error("the findings are not in order")
	}
	if most := 1000 + size; len(r.Findings) > most {
		t.Errorf("%d findings of %d bytes", len(r.Findings), size)
	}
	seen := map[string]bool{}
	for i := range r.Findings {
		f := &r.Findings[i]
		whole(t, f, text)
		if seen[f.Fingerprint] || f.Fingerprint == "" {
			t.Errorf("%s at %s: fingerprint %q", f.Rule, f.Place, f.Fingerprint)
		}
		seen[f.Fingerprint] = true
	}
}

// inputs is all the text that the result rests on.
func inputs(r *checker.Result) string {
	var b strings.Builder
	for _, in := range r.Inputs {
		b.Write(in.Text)
	}
	return b.String()
}

func byPlace(a, b finding.Finding) int {
	return cmp.Or(cmp.Compare(a.Pos.File, b.Pos.File), cmp.Compare(a.Pos.Line, b.Pos.Line), cmp.Compare(a.Pos.Column, b.Pos.Column), cmp.Compare(a.Rule, b.Rule))
}

// whole states what is true of any finding.
func whole(t *testing.T, f *finding.Finding, text string) {
	t.Helper()
	if f.Rule == "" || f.Title == "" || f.Message == "" || f.Place == "" || f.Severity == finding.None || f.Status.String() == "" {
		t.Errorf("incomplete: %+v", f)
	}
	if ofFile := f.Rule == "file/syntax" || f.Rule == "file/catalogue" || f.Rule == "file/concessions"; f.Pos.File == "" || f.Pos.Line < 1 && !ofFile {
		t.Errorf("%s: %q stands nowhere: %v", f.Rule, f.Message, f.Pos)
	}
	for _, words := range []string{f.Message, f.Remedy, f.Place} {
		if m := unfit(words, text); m != "" {
			t.Errorf("%s at %s holds %q: %q", f.Rule, f.Place, m, words)
		}
	}
	for _, a := range []*finding.Amount{f.Value, f.Limit, f.Margin} {
		if a != nil && !(math.Abs(a.SI) <= math.MaxFloat64) {
			t.Errorf("%s at %s: the amount is %v", f.Rule, f.Place, a.SI)
		}
	}
	for _, w := range f.Working {
		if m := unfit(w.Value, text); m != "" {
			t.Errorf("%s at %s: %s holds %q", f.Rule, f.Place, w.Expression, m)
		}
	}
}

// unfits are what no person is to read: numbers that are none, formats that
// failed, names of the program's own types and of its libraries.
var unfits = regexp.MustCompile(`\bNaN\b|[+-]Inf\b|%!|<nil>|\b(kit|value|source|quantities|motion|routing|flow)\.[A-Z]\w*|float64|\*[a-z]+\.|map\[|interface \{|strconv|reflect|runtime error|goroutine|no such overload|unsupported|(^|[ (])(yaml|json): |\.go:`)

// unfit finds in a message what no person is to read, unless the file holds
// it itself.
func unfit(message, text string) string {
	for _, m := range unfits.FindAllString(message, -1) {
		if !strings.Contains(text, m) {
			return m
		}
	}
	return ""
}

// digest is all that a check gave, as JSON, which has no numbers that are not
// finite.
func digest(t *testing.T, results []*checker.Result) []byte {
	t.Helper()
	type figure struct {
		Name, Why string
		Known     bool
		V         float64
	}
	type thing struct {
		Kind, Place string
		Figures     []figure
	}
	var all []any
	for _, r := range results {
		var things []thing
		text := inputs(r)
		if r.Facts != nil {
			for _, f := range r.Facts.Figures() {
				one := thing{Kind: f.Kind, Place: f.Place}
				for _, v := range f.Figures {
					one.Figures = append(one.Figures, figure{v.Name, v.Value.Why, v.Value.Known, v.Value.V})
					if m := unfit(v.Value.Why, text); m != "" {
						t.Errorf("%s of %s holds %q: %s", v.Name, f.Place, m, v.Value.Why)
					}
					if !(math.Abs(v.Value.V) <= math.MaxFloat64) {
						t.Errorf("%s of %s is %v", v.Name, f.Place, v.Value.V)
					}
				}
				things = append(things, one)
			}
		}
		all = append(all, r.Number, r.Revision, r.Title, r.Status, r.Shaped, r.Findings, r.Checks, r.Rules, r.NotEvaluated, r.Margins, r.Given, things)
	}
	text, err := json.Marshal(all)
	if err != nil {
		t.Errorf("what was found cannot be written: %v", err)
	}
	return text
}

// difference shows where two texts part.
func difference(a, b []byte) string {
	i := 0
	for i < len(a) && i < len(b) && a[i] == b[i] {
		i++
	}
	cut := func(s []byte) []byte { return s[max(0, min(i-200, len(s))):min(i+200, len(s))] }
	return fmt.Sprintf("\n%s\n%s", cut(a), cut(b))
}

// generated is a kit of package fleet in the tree of the examples.
func generated(t testing.TB, seed uint64, points int) []byte {
	t.Helper()
	k, err := fleet.New(seed, points, fleet.Options{Catalogue: "../parts/winter.parts.yaml"})
	if err != nil {
		t.Fatal(err)
	}
	return k.YAML()
}
