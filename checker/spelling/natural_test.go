package spelling_test

import (
	"slices"
	"testing"

	"kitgauge/checker/spelling"
)

func TestNatural(t *testing.T) {
	want := []string{"", "line", "line 2", "line 02, point", "line 10", "line 10, point", "line 10b", "outlet 3", "outlet 20", "outlet 100000000000000000000", "outlet 100000000000000000001"}
	got := slices.Clone(want)
	slices.Sort(got) // another order first
	slices.SortFunc(got, spelling.Natural)
	if !slices.Equal(got, want) {
		t.Errorf("sorted: %q, want %q", got, want)
	}
}

// FuzzNatural holds the order to what an order is.
func FuzzNatural(f *testing.F) {
	f.Add("outlet 2", "outlet 10", "outlet 010")
	f.Fuzz(func(t *testing.T, a, b, c string) {
		ab, ba := spelling.Natural(a, b), spelling.Natural(b, a)
		if ab != -ba || (ab == 0) != (a == b) {
			t.Errorf("%q and %q: %d, and %d the other way round", a, b, ab, ba)
		}
		if bc := spelling.Natural(b, c); ab <= 0 && bc <= 0 && spelling.Natural(a, c) > 0 {
			t.Errorf("%q <= %q <= %q, and the last is before the first", a, b, c)
		}
	})
}
