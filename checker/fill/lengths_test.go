package fill_test

import (
	"math"
	"testing"

	"kitgauge/checker/fill"
)

// TestEvenly holds ties to arithmetic: no piece is longer than may be, no tie is
// more than it takes, and where they fit they stand at whole multiples.
func TestEvenly(t *testing.T) {
	const most, bench = 0.4, 0.005
	for gap := 0.401; gap < 3; gap += 0.0137 {
		at := fill.Evenly(gap, most, bench)
		if want := int(gap / most); len(at) != want {
			t.Fatalf("%d ties along %g m, and %d do", len(at), gap, want)
		}
		before := 0.0
		for _, v := range append(at, gap) {
			if v-before > most+1e-12 || v <= before {
				t.Errorf("along %g m: a piece from %g to %g m", gap, before, v)
			}
			before = v
		}
		if steps := at[0] / bench; at[0] != gap/float64(len(at)+1) && math.Abs(steps-math.Round(steps)) > 1e-9 {
			t.Errorf("along %g m: a tie at %g m", gap, at[0])
		}
	}
}
