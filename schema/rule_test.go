package schema_test

import (
	"slices"
	"testing"

	"kitgauge/schema"
)

func none(string) string { return "" }

// What a schema says of a place that holds nothing yet.
func TestRule(t *testing.T) {
	kit := schema.Of("kit")
	station := kit.Member("bundles").Item().Member("route").Item()
	if !slices.Contains(station.Keys(), "free_length") || station.Required("hold") || station.Member("hold").Title() != "Hold" {
		t.Errorf("a station has the members %v", station.Keys())
	}
	if !kit.Required("lines") || kit.Required("bundles") || kit.Member("lines").Kind() != "array" || kit.Member("feed").Kind() != "object" {
		t.Error("what a kit has to have is not told")
	}
	if kit.Member("none").Says() || schema.Of("none").Says() || schema.Of("none").Item().Member("a").Refuses("x") != "" {
		t.Error("something is said of what there is not")
	}
	if got := schema.Of("settings").Member("limits").Member("slack/grip").Keys(); !slices.Contains(got, "reason") {
		t.Errorf("a limit has the members %v", got)
	}
}

// The members of a part follow from its kind; without one it has those that all
// kinds have.
func TestRuleOfPart(t *testing.T) {
	part := schema.Of("parts").Member("parts").Item()
	tube := part.For(func(key string) string { return map[string]string{"kind": "tube"}[key] })
	if !slices.Contains(tube.Keys(), "inner") || tube.Member("inner").Title() == "" {
		t.Errorf("a tube has the members %v", tube.Keys())
	}
	any := part.For(none)
	if slices.Contains(any.Keys(), "inner") || !slices.Contains(any.Keys(), "description") || any.Member("description").Title() == "" {
		t.Errorf("a part has the members %v", any.Keys())
	}
}

// A value is refused as the schema itself refuses it.
func TestRuleRefuses(t *testing.T) {
	line := schema.Of("kit").Member("lines").Item()
	for _, tt := range []struct {
		key, text string
		refused   bool
	}{
		{"number", "9", false}, {"number", "0", true}, {"number", "x", true}, {"number", "9.5", true},
		{"point", "P 1", false}, {"point", "", true}, {"point", " P", true}, {"point", "P\n1", true},
		{"cut_length", "745 mm", false}, {"cut_length", "745 bar", true}, {"cut_length", "745", true}, {"cut_length", "whatever a reader says of it", true},
	} {
		if why := line.Member(tt.key).Refuses(tt.text); (why != "") != tt.refused {
			t.Errorf("%s: %q: got %q, want it refused: %v", tt.key, tt.text, why, tt.refused)
		}
	}
	if why := schema.Of("kit").Member("vehicle").Member("wash_down").Refuses("rain"); why == "" {
		t.Error("a word that is not in the list is not refused")
	}
}
