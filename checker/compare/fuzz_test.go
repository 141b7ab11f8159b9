package compare_test

import (
	"bytes"
	"encoding/json"
	"io/fs"
	"slices"
	"strings"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/compare"
	"kitgauge/checker/internal/mutation"
	"kitgauge/checker/source"
	"kitgauge/examples"
)

// FuzzOf compares a kit with what edits make of it and of its catalogue, both
// ways, and each with itself.
func FuzzOf(f *testing.F) {
	shared := checker.OnExamples()
	tree := func(text []byte) any {
		docs, problems := source.Parse("kit.yaml", text)
		if len(problems) > 0 {
			f.Fatal(problems[0])
		}
		return docs[0].Root.Plain()
	}
	const file, catalogue = "trailer/trailer.kit.yaml", "parts/winter.parts.yaml"
	_, text, _ := examples.Kit("trailer")
	parts, _ := examples.ReadFile("", catalogue)
	trees := map[string]any{file: tree(text), catalogue: tree(parts)}
	revisionOf := func(program []byte) (r compare.Revision) {
		texts := mutation.Edited(trees, program)
		read := func(_, name string) ([]byte, error) {
			if text, found := texts[name]; found {
				return text, nil
			}
			return nil, fs.ErrNotExist
		}
		results, err := shared.With(checker.Options{ReadFile: read, NoSettings: true, On: "2026-11-25"}).Check(file, texts[file])
		if err != nil {
			f.Fatal(err)
		}
		return compare.Revision{File: file, Shaped: results[0].Shaped, Facts: results[0].Facts, Findings: results[0].Findings}
	}
	f.Add([]byte{}, []byte{})
	f.Add([]byte("\x00\x00\x10\x0b\x00"), []byte("\x07\x00\x60\x01\x00"))
	f.Add([]byte("\x06\x02\x10\x00\x00\x05\x01\x10\x00\x07"), []byte("\x02\x01\x33\x00\x00\x0a\x01\x10\x01\x00"))
	f.Add([]byte("\x08\x01\x20\x00\x00"), []byte("\x03\x00\x80\x00\x03"))
	f.Fuzz(func(t *testing.T, before, after []byte) {
		old, new := revisionOf(before), revisionOf(after)
		if old.Facts == nil || new.Facts == nil {
			t.Skip("nothing could be read")
		}
		for _, r := range []compare.Revision{old, new} {
			if c := compare.Of(r, r); len(c.Changes)+len(c.Figures)+len(c.Findings) > 0 || c.Same() != r.Shaped {
				t.Errorf("a revision differs from itself: %s", inJSON(t, c))
			}
		}
		there, back := compare.Of(old, new), compare.Of(new, old)
		if there.Same() != back.Same() || (len(there.Changes) == 0) != (len(back.Changes) == 0) {
			t.Errorf("it differs one way alone: %s and %s", inJSON(t, there), inJSON(t, back))
		}
		if again := compare.Of(old, new); !bytes.Equal(inJSON(t, again), inJSON(t, there)) {
			t.Errorf("a second time %s, want %s", inJSON(t, again), inJSON(t, there))
		}
		for _, c := range there.Changes {
			if c.Text == "" || c.Section == "" || strings.Contains(c.Text, "<nil>") || strings.Contains(c.Text, "NaN") && !written("NaN", old, new) {
				t.Errorf("incomplete: %+v", c)
			}
		}
	})
}

// written reports whether a kit itself has the word.
func written(word string, revisions ...compare.Revision) bool {
	return slices.ContainsFunc(revisions, func(r compare.Revision) bool {
		return bytes.Contains(r.Facts.Source().Document().Text, []byte(word))
	})
}

// inJSON is a comparison as JSON, which has no numbers that are not finite.
func inJSON(t *testing.T, c compare.Comparison) []byte {
	t.Helper()
	text, err := json.Marshal(c)
	if err != nil {
		t.Error(err)
	}
	return text
}
