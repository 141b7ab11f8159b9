package procedure_test

import (
	"errors"
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

func TestPlace(t *testing.T) {
	tests := []struct {
		name, kind string
		kinds      []string
		want       procedure.Room
		open       bool
	}{
		{"empty procedure", "lock-out", nil, procedure.Room{After: -1, Before: 0}, true},
		{"between isolation and work", "lock-out", steps("brief shut-down isolate-battery fit-line torque"), procedure.Room{After: 2, Before: 3}, true},
		{"bound through kinds that are absent", "brief", steps("warn fit-line"), procedure.Room{After: -1, Before: 1}, true},
		{"a notice goes anywhere", "warn", steps("brief fit-line"), procedure.Room{After: -1, Before: 2}, true},
		{"no room while others are out of order", "lock-out", steps("fit-line isolate-battery"), procedure.Room{After: 1, Before: 0}, false},
	}
	for _, tt := range tests {
		got, err := procedure.Place(tt.kinds, tt.kind, procedure.Conditions{})
		if err != nil || got != tt.want || got.Open() != tt.open {
			t.Errorf("%s: Place(%q, %q) = %+v, %v; want %+v, open %v", tt.name, tt.kinds, tt.kind, got, err, tt.want, tt.open)
		}
	}
	var unknown *procedure.UnknownKindError
	if _, err := procedure.Place(nil, "primes", procedure.Conditions{}); !errors.As(err, &unknown) || unknown.Nearest != "prime" {
		t.Errorf("Place of an unknown kind: got %v, want one whose nearest is prime", err)
	}
}
