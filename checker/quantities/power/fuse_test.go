package power_test

import (
	"slices"
	"testing"

	"kitgauge/checker/quantities/power"
)

// printed: the ratings in the regular blade column of the chart at
// https://www.grainews.ca/machinery-shop/how-to-identify-blade-fuses, from 1 A black to 40 A orange. The
// scope of ISO 8820-3 (types C, E and F, up to 100 A) is printed at
// https://standards.iteh.ai/catalog/standards/iso/65ad1633-ed2b-4551-aa66-c8e45fe0dec4/iso-fdis-8820-3;
// that the list is type C's is from memory.
var bladeFuses = []float64{1, 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30, 35, 40}

func TestStandardFuses(t *testing.T) {
	if got := power.StandardFuses(); !slices.Equal(got, bladeFuses) {
		t.Errorf("got %v, want %v", got, bladeFuses)
	}
	for _, f := range bladeFuses {
		if !power.IsStandardFuse(f) {
			t.Errorf("IsStandardFuse(%g): got false", f)
		}
	}
	for _, f := range []float64{0, 0.5, 6, 7, 8, 12, 16, 32, 50, -5} {
		if power.IsStandardFuse(f) {
			t.Errorf("IsStandardFuse(%g): got true", f)
		}
	}
}

func TestStandardFusesIsACopy(t *testing.T) {
	power.StandardFuses()[0] = 99
	if got := power.StandardFuses()[0]; got != 1 {
		t.Errorf("got %g after a caller changed its list, want 1", got)
	}
}

// Identity: a current over a share.
func TestFuseNeed(t *testing.T) {
	tests := []struct{ draw, share, need, next float64 }{
		{5.625, 0.75, 7.5, 7.5}, // on the rating
		{5.63, 0.75, 5.63 / 0.75, 10},
		{2.25, 0.75, 3, 3},
		{4, 0.75, 16. / 3, 7.5},
		{0.3, 0.75, 0.4, 1},
		{30, 0.75, 40, 40},
		{2.1, 0.7, 3, 3}, // 2.1/0.7 rounds to just above 3
	}
	for _, tt := range tests {
		need, err := power.Load{Draw: tt.draw, Share: tt.share}.FuseNeed()
		if err != nil || !near(need, tt.need, 1e-12) {
			t.Errorf("FuseNeed of %g A at %g: got %g, %v; want %g", tt.draw, tt.share, need, err, tt.need)
		}
		next, err := power.NextFuse(need)
		if err != nil || next != tt.next {
			t.Errorf("NextFuse(%g) = %g, %v; want %g", need, next, err, tt.next)
		}
	}
	if _, err := power.NextFuse(40.1); err == nil {
		t.Error("NextFuse(40.1): got no error")
	}
}

func TestLargestFuse(t *testing.T) {
	tests := []struct{ rating, want float64 }{{1, 1}, {1.99, 1}, {14.9, 10}, {15, 15}, {16, 15}, {39, 35}, {500, 40}}
	for _, tt := range tests {
		if got, err := power.LargestFuse(tt.rating); err != nil || got != tt.want {
			t.Errorf("LargestFuse(%g) = %g, %v; want %g", tt.rating, got, err, tt.want)
		}
	}
	if _, err := power.LargestFuse(0.9); err == nil {
		t.Error("LargestFuse(0.9): got no error")
	}
}
