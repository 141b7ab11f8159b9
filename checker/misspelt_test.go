package checker_test

import (
	"fmt"
	"regexp"
	"strings"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/faultcard"
	"kitgauge/checker/source"
)

// index is the place of an item in a list.
var index = regexp.MustCompile(`/\d+(/|$)`)

// untrue is what nobody may say of a value that stands in the kit.
var untrue = regexp.MustCompile(`not stated|\bno [a-z ]+ is (?:stated|named|listed)|is not named|has no |is not blanked`)

// TestMisspeltIsNotMissing misspells each kind of value of the examples, once:
// it stands there, so nothing says that it is missing.
func TestMisspeltIsNotMissing(t *testing.T) {
	c := checker.OnExamples()
	seen := map[string]bool{}
	for _, name := range []string{"gritter", "trailer"} {
		clean, err := checker.Clean(name)
		if err != nil {
			t.Fatal(err)
		}
		scalars(clean.Root, func(n *source.Node) {
			kind := index.ReplaceAllString(n.Pointer(), "/*$1")
			if seen[kind] || kind == "/catalogues/*" {
				return
			}
			seen[kind] = true
			for _, f := range misspelt(t, c, clean, n) {
				t.Errorf("%s of %s misspelt: %s", n.Pointer(), name, f)
			}
		})
	}
}

// scalars calls f for every value below a node.
func scalars(n *source.Node, f func(*source.Node)) {
	if n.Kind != source.Map && n.Kind != source.List {
		f(n)
		return
	}
	for _, item := range n.Items {
		scalars(item, f)
	}
}

// misspelt checks a kit with letters added to a value, and lists what says that
// something is missing.
func misspelt(t *testing.T, c *checker.Checker, clean *source.Document, n *source.Node) []string {
	t.Helper()
	patch, _ := source.Parse("patch", []byte(fmt.Sprintf("- {op: replace, path: %q, value: %q}", n.Pointer(), n.Scalar+" xq")))
	text, err := faultcard.Apply(patch[0].Root, clean.Root)
	if err != nil {
		t.Fatal(err)
	}
	results, err := c.Check(clean.File, text)
	if err != nil {
		t.Fatal(err)
	}
	var said []string
	for _, f := range results[0].Findings {
		if untrue.MatchString(f.Message) && !strings.Contains(f.Message, n.Scalar+" xq") && !strings.HasPrefix(f.Rule, "file/") {
			said = append(said, fmt.Sprintf("%s at %s: %s", f.Rule, f.Place, f.Message))
		}
	}
	return said
}
