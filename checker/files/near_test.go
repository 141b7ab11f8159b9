package files_test

import (
	"testing"

	"kitgauge/checker/files"
)

// TestNearKit: what a person would read as the name of a kit is named where it
// is passed over.
func TestNearKit(t *testing.T) {
	for name, want := range map[string]bool{
		"a.kit.YAML": true, "a.kit.yaml ": true, " a.kit.yml\u00a0": true, "a.kit.yaml\u200b": true, "a.kit.yaml.": true, "a.kit.json\t": true,
		"a\uff0ekit.yaml": true, "a.kit\u3002yaml": true, "a.kit\u2024yml": true, "a.k\u0456t.yaml": true, "a.kit.y\u0430ml": true,
		"a\uff0e\uff4b\uff49\uff54\uff0e\uff59\uff41\uff4d\uff4c": true, "a.kit .yaml": true, "a.ki\u0301t.yaml": true,
		"a.kit.yaml": false, ".kit.yaml": false, "kit.yaml": false, "a.yaml": false, "a.parts.yaml": false, "a.kit.yaml.bak": false,
		"\u51ac\u671f\u6563\u5e03\u8eca\u306e\u66f8\u985e.yaml": false, "": false,
	} {
		if got := files.NearKit(name) != ""; got != want {
			t.Errorf("%q: got %v", name, got)
		}
	}
}
