package fleet_test

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"

	"kitgauge/checker"
	"kitgauge/checker/facts"
	"kitgauge/checker/finding"
	"kitgauge/checker/golden"
	"kitgauge/checker/internal/fleet"
	"kitgauge/checker/kit"
	"kitgauge/checker/source"
)

var seeds = flag.Uint64("seeds", 60, "how many seeds to hold clean")

// generate returns a kit that names its catalogue beside it.
func generate(t testing.TB, seed uint64, points int) *fleet.Kit {
	t.Helper()
	k, err := fleet.New(seed, points, fleet.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return k
}

func check(t testing.TB, c *checker.Checker, file string, text []byte) *checker.Result {
	t.Helper()
	results, err := c.Check(file, text)
	if err != nil {
		t.Fatal(err)
	}
	if len(results) != 1 {
		t.Fatalf("%s: %d results, want 1", file, len(results))
	}
	return results[0]
}

// sizes are those that each seed is made in: one for each size of pump, from
// its least to its most.
func sizes(seed uint64) []int {
	return []int{4 + int(seed%9), 13 + int(seed*7%24), 37 + int(seed*11%48)}
}

// TestClean is what the package is for: nothing is found in what it makes,
// and nothing is left out of the check.
func TestClean(t *testing.T) {
	c := checker.New(checker.Options{ReadFile: fleet.ReadFile})
	found := map[string]int{}
	for seed := range *seeds {
		for _, points := range sizes(seed) {
			k := generate(t, seed, points)
			r := check(t, c, "fleet.kit.yaml", k.YAML())
			for _, f := range r.Findings {
				if found[f.Rule]++; found[f.Rule] <= 2 {
					t.Errorf("seed %d, %d points: %s %s at %s: %s; %s", seed, points, f.Pos, f.Rule, f.Place, f.Message, f.Remedy)
				}
			}
			if !r.Shaped || r.NotEvaluated != 0 || r.Checks < 10*points {
				t.Errorf("seed %d, %d points: got shaped %t, %d checks, %d not evaluated; want all evaluated", seed, points, r.Shaped, r.Checks, r.NotEvaluated)
			}
			if got := len(r.Facts.Points); got != points {
				t.Errorf("seed %d: got %d points, want %d", seed, got, points)
			}
		}
	}
	for rule, n := range found {
		t.Logf("%s: %d", rule, n)
	}
}

func TestSameBytes(t *testing.T) {
	for seed := range uint64(6) {
		a, b := generate(t, seed, 30), generate(t, seed, 30)
		if !bytes.Equal(a.YAML(), b.YAML()) || !bytes.Equal(a.JSON(), b.JSON()) {
			t.Errorf("seed %d gives two different kits", seed)
		}
		if other := generate(t, seed+1, 30); bytes.Equal(a.JSON(), other.JSON()) {
			t.Errorf("seeds %d and %d give the same kit", seed, seed+1)
		}
	}
}

// TestTwoFormats holds YAML against JSON: one model, and the same findings,
// also where there are some.
func TestTwoFormats(t *testing.T) {
	c := checker.New(checker.Options{ReadFile: fleet.ReadFile})
	for seed := range uint64(12) {
		k := generate(t, seed, 10+int(seed)*5)
		inYAML, inJSON := k.YAML(), k.JSON()
		want := decode(t, inJSON) // with encoding/json, the reader from outside the project
		for _, f := range []struct {
			file string
			text []byte
		}{{"fleet.kit.yaml", inYAML}, {"fleet.kit.json", inJSON}} {
			if diff := cmp.Diff(want, decode(t, tree(t, f.file, f.text))); diff != "" {
				t.Errorf("seed %d: %s does not say what the JSON text says (want -, got +):\n%s", seed, f.file, diff)
			}
		}
		inYAML = bytes.Replace(inYAML, []byte("take_off: ignition"), []byte("take_off: battery"), 1)
		inYAML = bytes.Replace(inYAML, []byte("hold: clip"), []byte("hold: none"), 3)
		inJSON = bytes.Replace(inJSON, []byte(`"take_off":"ignition"`), []byte(`"take_off":"battery"`), 1)
		inJSON = bytes.Replace(inJSON, []byte(`"hold":"clip"`), []byte(`"hold":"none"`), 3)
		fromYAML, fromJSON := told(check(t, c, "fleet.kit.yaml", inYAML)), told(check(t, c, "fleet.kit.json", inJSON))
		if len(fromYAML) == 0 {
			t.Errorf("seed %d: the faults put in were not found", seed)
		}
		if diff := cmp.Diff(fromYAML, fromJSON); diff != "" {
			t.Errorf("seed %d: the findings differ (YAML -, JSON +):\n%s", seed, diff)
		}
	}
}

// tree is all that a file says, as JSON.
func tree(t *testing.T, file string, text []byte) []byte {
	t.Helper()
	docs, problems := source.Parse(file, text)
	for _, p := range problems {
		t.Fatal(p)
	}
	return docs[0].Root.JSON()
}

func decode(t *testing.T, text []byte) any {
	t.Helper()
	var v any
	if err := json.Unmarshal(text, &v); err != nil {
		t.Fatal(err)
	}
	return v
}

// told is findings without their places in the file.
func told(r *checker.Result) []string {
	var out []string
	for _, f := range r.Findings {
		out = append(out, fmt.Sprintf("%s %s %s: %s; %s", f.Rule, f.Severity, f.Pointer, f.Message, f.Remedy))
	}
	return out
}

// TestShapes sees to it that the seeds bring every shape that the package
// promises.
func TestShapes(t *testing.T) {
	c := checker.New(checker.Options{ReadFile: fleet.ReadFile, Packs: []string{"slack"}})
	const kits = 36
	seen, deepest, inch := map[string]int{}, 0, 0
	for seed := range uint64(kits) {
		k := generate(t, seed, 60)
		if k.Inch != (seed%3 == 2) {
			t.Errorf("seed %d: got inch %t", seed, k.Inch)
		}
		if k.Inch {
			inch++
		}
		facts := check(t, c, "fleet.kit.yaml", k.YAML()).Facts
		for _, j := range facts.Joints {
			seen[j.Role.V]++
		}
		for _, s := range facts.Spans {
			seen["span "+s.Kind.V]++
			seen[fmt.Sprintf("span over %d joints", len(s.Joints))]++
			if !s.InBundle.V {
				seen["single span"]++
			}
		}
		deepest = max(deepest, depth(facts))
	}
	for _, want := range []string{
		"steering", "suspension", "articulation", "tipping", "boom", "drawbar", "slide",
		"span steered", "span sprung", "span articulated", "span over 1 joints", "span over 2 joints", "span over 3 joints", "single span",
	} {
		if seen[want] == 0 {
			t.Errorf("no seed brings %q: %v", want, seen)
		}
	}
	if deepest != 4 {
		t.Errorf("got at most %d joints in a row, want 4", deepest)
	}
	if inch != kits/3 {
		t.Errorf("got %d kits in inches, want %d", inch, kits/3)
	}
}

// depth is the most joints in a row, from the chassis out.
func depth(facts *facts.Kit) int {
	hangs := map[*kit.Body]*kit.Body{}
	for _, j := range facts.Joints {
		hangs[j.Child.To] = j.Parent.To
	}
	deepest := 0
	for _, b := range facts.Bodies {
		n := 0
		for at := b; hangs[at] != nil; at = hangs[at] {
			n++
		}
		deepest = max(deepest, n)
	}
	return deepest
}

func TestOutOfRange(t *testing.T) {
	for _, points := range []int{-1, 0, 3, 2001} {
		if _, err := fleet.New(1, points, fleet.Options{}); err == nil {
			t.Errorf("got a kit of %d points, want an error", points)
		}
	}
}

// aboutSize are the rules that a kit for measuring speed may break, as they
// look at its size alone.
var aboutSize = map[string]bool{"ports/kit-size": true, "catalogue/pump-outlets": true, "catalogue/volume": true}

func TestBeyondTheTrade(t *testing.T) {
	c := checker.New(checker.Options{ReadFile: fleet.ReadFile})
	for _, points := range []int{85, fleet.MostPoints} {
		r := check(t, c, "fleet.kit.yaml", generate(t, 5, points).YAML())
		for _, f := range r.Findings {
			if !aboutSize[f.Rule] || f.Status != finding.Violated {
				t.Errorf("%d points: %s %s at %s: %s", points, f.Pos, f.Rule, f.Place, f.Message)
			}
		}
	}
}

func TestGoldenLargeKit(t *testing.T) {
	file := filepath.Join("..", "..", "..", "testdata", "kits", "large.kit.yaml")
	got := fleet.Large()
	golden.Compare(t, file, got)
	r := check(t, checker.New(checker.Options{}), file, got)
	for _, f := range r.Findings {
		t.Errorf("%s: %s at %s: %s", f.Pos, f.Rule, f.Place, f.Message)
	}
}
