package schema_test

import (
	"slices"
	"testing"

	"kitgauge/schema"
)

// The words of a value are those of its list, through lists and references;
// what may be anything has none.
func TestChoices(t *testing.T) {
	root := parse(t, "k", `{joints: [{kind: revolute, name: hinge}], feed: {take_off: battery}, lines: [{tail: [{hold: clip}]}], other: 1}`)
	for pointer, want := range map[string][]string{
		"/joints/0/kind":       {"revolute", "prismatic"},
		"/joints/0/name":       nil,
		"/feed/take_off":       {"ignition", "battery"},
		"/lines/0/tail/0/hold": {"clip", "tie", "grommet", "none"},
		"/other":               nil,
	} {
		if got := schema.Choices("kit", root.Lookup(pointer)); !slices.Equal(got, want) {
			t.Errorf("%s: got %v, want %v", pointer, got, want)
		}
	}
}
