package checker_test

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/finding"
	"kitgauge/examples"
)

// kitOf is a kit of the example trailer, with its catalogue at another place.
func kitOf(t *testing.T, catalogue string) []byte {
	t.Helper()
	_, text, _ := examples.Kit("trailer")
	return bytes.Replace(text, []byte("../parts/winter.parts.yaml"), []byte(catalogue), 1)
}

// TestOneVersionOfACatalogue changes a catalogue between two kits that use it:
// both are checked with what the first one found.
func TestOneVersionOfACatalogue(t *testing.T) {
	dir := t.TempDir()
	parts, err := examples.ReadFile("", "parts/winter.parts.yaml")
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(dir, "winter.parts.yaml")
	if err := os.WriteFile(file, parts, 0o644); err != nil {
		t.Fatal(err)
	}
	c := checker.New(checker.Options{})
	text := kitOf(t, "winter.parts.yaml")
	first := check(t, c, filepath.Join(dir, "a.kit.yaml"), text)
	if err := os.WriteFile(file, []byte("parts: []\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	second := check(t, c, filepath.Join(dir, "b.kit.yaml"), text)
	for _, r := range []*checker.Result{first, second} {
		if len(r.Findings) > 0 {
			t.Errorf("%s: %s", r.File, r.Findings[0].Message)
		}
	}
	if got := catalogueOf(second); !bytes.Equal(got, parts) {
		t.Errorf("the second kit has another version among its inputs")
	}
	if r := check(t, checker.New(checker.Options{}), filepath.Join(dir, "b.kit.yaml"), text); len(r.Findings) == 0 {
		t.Errorf("another run finds nothing in a kit without parts")
	}
}

func catalogueOf(r *checker.Result) []byte {
	for _, in := range r.Inputs {
		if in.Role == checker.RoleCatalogue {
			return in.Text
		}
	}
	return nil
}

func check(t *testing.T, c *checker.Checker, file string, text []byte) *checker.Result {
	t.Helper()
	results, err := c.Check(file, text)
	if err != nil || len(results) != 1 {
		t.Fatalf("%d results, %v", len(results), err)
	}
	return results[0]
}

// TestTreesAreKeptApart has two kits of different trees name one catalogue:
// whether it lies in the tree of a kit does not depend on which comes first.
func TestTreesAreKeptApart(t *testing.T) {
	dir := t.TempDir()
	for _, sub := range []string{"fleet/deep", "parts"} {
		if err := os.MkdirAll(filepath.Join(dir, filepath.FromSlash(sub)), 0o755); err != nil {
			t.Fatal(err)
		}
	}
	parts, err := examples.ReadFile("", "parts/winter.parts.yaml")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "parts", "winter.parts.yaml"), parts, 0o644); err != nil {
		t.Fatal(err)
	}
	// outside of a repository the tree is the parent of the kit's directory
	inside, outside := filepath.Join(dir, "fleet", "a.kit.yaml"), filepath.Join(dir, "fleet", "deep", "b.kit.yaml")
	for _, order := range [][]string{{inside, outside}, {outside, inside}} {
		c := checker.New(checker.Options{NoSettings: true})
		for _, file := range order {
			name := "../parts/winter.parts.yaml"
			if file == outside {
				name = "../../parts/winter.parts.yaml"
			}
			r := check(t, c, file, kitOf(t, name))
			if got := r.Shaped; got != (file == inside) {
				t.Errorf("%v: %s: checked in full: %t, want %t", order, file, got, file == inside)
			}
		}
	}
}

// TestIncludesStayInTheTree holds the catalogues that a catalogue includes to
// the tree of the kit, and not to that of the catalogue.
func TestIncludesStayInTheTree(t *testing.T) {
	dir := t.TempDir()
	kits := filepath.Join(dir, "fleet", "kits")
	if err := os.MkdirAll(kits, 0o755); err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{"fleet/own.parts.yaml": "include: [../all.parts.yaml]\nparts: []\n", "all.parts.yaml": "parts: []\n"} {
		if err := os.WriteFile(filepath.Join(dir, filepath.FromSlash(name)), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	r := check(t, checker.New(checker.Options{NoSettings: true}), filepath.Join(kits, "a.kit.yaml"), kitOf(t, "../own.parts.yaml"))
	if !slices.ContainsFunc(r.Findings, func(f finding.Finding) bool { return strings.Contains(f.Message, "outside of the tree") }) {
		t.Errorf("no finding says that the catalogue lies outside of the tree")
	}
}
