package procedure_test

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"kitgauge/checker/quantities/procedure"
)

// Identity: what is put in order passes the check of the order, whose rules
// name 29 CFR 1910.147 and their other sources.
func TestOrderRestoresASoundProcedure(t *testing.T) {
	kinds := steps(sound)
	rapid.Check(t, func(t *rapid.T) {
		list := permuted(t, kinds)
		list = list[:rapid.IntRange(0, len(list)).Draw(t, "kept")]
		order := procedure.Order(list, procedure.Conditions{})
		var ordered []string
		for _, i := range order {
			ordered = append(ordered, list[i])
		}
		back := slices.Clone(order)
		slices.Sort(back)
		for i, j := range back {
			if i != j {
				t.Fatalf("Order(%q) = %v is no permutation", list, order)
			}
		}
		if len(order) != len(list) {
			t.Fatalf("Order(%q) has %d steps, want %d", list, len(order), len(list))
		}
		breaches, err := procedure.Check(ordered, procedure.Conditions{})
		if err != nil {
			t.Fatal(err)
		}
		for _, b := range breaches {
			if b.Fault != procedure.Missing {
				t.Fatalf("Order(%q) gives %q, in which %s wants %s: %s", list, ordered, b.Kind, b.Needs, b.Fault)
			}
		}
	})
}

func TestOrderKeepsWhatIsSound(t *testing.T) {
	kinds := steps(sound)
	for i, got := range procedure.Order(kinds, procedure.Conditions{}) {
		if got != i {
			t.Fatalf("Order moved step %d of a sound procedure to %d", got, i)
		}
	}
}
