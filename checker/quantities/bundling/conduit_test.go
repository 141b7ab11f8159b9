package bundling_test

import (
	"math"
	"testing"

	"kitgauge/checker/quantities/bundling"
)

// Identity: the areas of circles; the printed limits are held against the pack
// in checker/limits_test.go.
func TestFill(t *testing.T) {
	tests := []struct {
		name, source string
		diameters    []float64
		inner, want  float64
	}{
		{"empty", "limit", nil, 0.02, 0},
		{"full", "limit: one tube as wide as the conduit", []float64{0.02}, 0.02, 1},
		{"halves", "limit: two of half the width fill half", []float64{0.01, 0.01}, 0.02, 0.5},
		{"seven in a hexagon", "limit: 7/9", equal(7, 0.006), 0.018, 7.0 / 9},
		{"cannot fit", "limit", []float64{0.04}, 0.02, 4},
	}
	for _, tt := range tests {
		got, err := bundling.Fill(tt.diameters, tt.inner)
		if err != nil || !(math.Abs(got-tt.want) <= 1e-12) {
			t.Errorf("%s: Fill(%v, %g) = %g, %v; want %g (%s)", tt.name, tt.diameters, tt.inner, got, err, tt.want, tt.source)
		}
	}
	for _, inner := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if got, err := bundling.Fill([]float64{0.006}, inner); err == nil {
			t.Errorf("Fill in a conduit of %g gave %g and no error", inner, got)
		}
	}
	if _, err := bundling.Fill([]float64{0}, 0.02); err == nil {
		t.Error("Fill with a tube of no diameter gave no error")
	}
}

// Identity: a ratio of diameters.
func TestRoom(t *testing.T) {
	if got, err := bundling.Room(0.021, 0.020); err != nil || math.Abs(got-1.05) > 1e-12 {
		t.Errorf("Room(0.021, 0.020) = %g, %v; want 1.05", got, err)
	}
	for _, bad := range [][2]float64{{0, 1}, {1, 0}, {math.NaN(), 1}, {1, math.NaN()}, {math.Inf(1), 1}, {1, math.Inf(1)}} {
		if got, err := bundling.Room(bad[0], bad[1]); err == nil {
			t.Errorf("Room(%g, %g) = %g and no error", bad[0], bad[1], got)
		}
	}
}
