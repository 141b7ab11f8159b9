package checker_test

import (
	"encoding/json"
	"os"
	"strings"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/source"
	"kitgauge/examples"
)

// TestPlausibleCatalogue: figures as data sheets print them are not taken for
// mistakes. The kit lists every part of the catalogue, so that each is judged.
func TestPlausibleCatalogue(t *testing.T) {
	const file = "plausible.parts.yaml"
	parts, err := os.ReadFile("testdata/" + file)
	if err != nil {
		t.Fatal(err)
	}
	docs, problems := source.Parse(file, parts)
	if len(problems) > 0 {
		t.Fatal(problems[0])
	}
	clean, err := checker.Clean("trailer")
	if err != nil {
		t.Fatal(err)
	}
	var kit map[string]any
	if err := json.Unmarshal(clean.Root.JSON(), &kit); err != nil {
		t.Fatal(err)
	}
	kit["catalogues"] = append(kit["catalogues"].([]any), "../parts/"+file)
	list := kit["parts_list"].([]any)
	counted := 0
	for _, p := range docs[0].Root.Get("parts").Items {
		if p.Get("kind").Scalar != "tie" { // a kit uses ties without naming them
			counted++
		}
		list = append(list, map[string]any{"part": p.Get("number").Scalar, "quantity": 1})
	}
	kit["parts_list"] = list
	text, err := json.Marshal(kit)
	if err != nil {
		t.Fatal(err)
	}
	c := checker.New(checker.Options{NoSettings: true, ReadFile: func(from, name string) ([]byte, error) {
		if strings.HasSuffix(name, file) {
			return parts, nil
		}
		return examples.ReadFile(from, name)
	}})
	results, err := c.Check(clean.File, text)
	if err != nil {
		t.Fatal(err)
	}
	used := 0
	for _, f := range results[0].Findings {
		if f.Rule == "paperwork/part-used" {
			used++
		}
		if strings.HasPrefix(f.Rule, "catalogue/") || strings.HasPrefix(f.Rule, "file/") {
			t.Errorf("%s: %s at %s: %s", f.Pos, f.Rule, f.Place, f.Message)
		}
	}
	if used != counted {
		t.Errorf("%d parts were read, want %d", used, counted)
	}
}
