package facts_test

import (
	"strings"
	"testing"

	"kitgauge/checker/facts"
	"kitgauge/checker/kit"
	"kitgauge/checker/source"
	"kitgauge/checker/value"
)

// limited hands in the limits that the expected values are worked out with.
var limited = facts.Options{Limit: func(id string) value.Number {
	limits := map[string]float64{
		"power/fuse_share": 0.75, "power/fuse_fall": 0.002, "power/fuse_start": 2, "power/drop": 0.03, "power/rated_at": 303.15,
		"power/insulation_limit": 358.15, "power/least_supply": 0.875, "power/contact": 0.005, "power/fuse_loss": 0.15, "power/earth_loss": 0.1,
		"flow/carried": 30, "flow/workshop": 293.15, "routing/heat": 0.15, "routing/heat_shielded": 0.075, "routing/heat_stood": 0.038,
		"survey/heat_most": 1373.15, "survey/heat_other": 973.15,
	}
	si, known := limits[id]
	return value.Number{V: si, Known: known, Why: "no pack holds " + id}
}}

// fromText reads the texts of a kit and its parts, each with the texts in
// pairs replaced in it, and works the kit out.
func fromText(t testing.TB, kitText, partsText string, pairs ...string) *facts.Kit {
	t.Helper()
	for i := 0; i < len(pairs); i += 2 {
		if !strings.Contains(kitText+partsText, pairs[i]) {
			t.Fatalf("%q is nowhere in the texts", pairs[i])
		}
	}
	read := func(name, text string) *source.Document {
		for i := 0; i < len(pairs); i += 2 {
			text = strings.ReplaceAll(text, pairs[i], pairs[i+1])
		}
		docs, problems := source.Parse(name, []byte(text))
		if len(problems) > 0 {
			t.Fatal(problems[0])
		}
		return docs[0]
	}
	file, _ := kit.ReadFile(read("test.parts.yaml", partsText))
	catalogue, _ := kit.NewCatalogue([]*kit.File{file}, "")
	k, _ := kit.Read(read("test.kit.yaml", kitText))
	k.Resolve(catalogue)
	return facts.Compute(k, limited)
}

const noParts = "{title: no parts, revision: A, parts: []}"
