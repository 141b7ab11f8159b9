package mounting_test

import (
	"math"
	"testing"

	"kitgauge/checker/quantities/mounting"
)

// Geometry; each row is a limit or a right triangle.
//
// Identity: the angle between two directions.
func TestTilt(t *testing.T) {
	tests := []struct {
		name string
		up   mounting.Direction
		want float64
	}{
		{"upright", mounting.Direction{Z: 2}, 0},
		{"on its side", mounting.Direction{X: -3}, math.Pi / 2},
		{"upside down", mounting.Direction{Z: -1}, math.Pi},
		{"45 degrees", mounting.Direction{Y: 1, Z: 1}, math.Pi / 4},
		{"3, 4, 5", mounting.Direction{X: 3, Z: 4}, math.Asin(0.6)},
		{"tiny but there", mounting.Direction{X: 1e-300, Z: 1e-300}, math.Pi / 4},
		{"huge", mounting.Direction{X: 1e300, Y: 1e300, Z: math.Sqrt2 * 1e300}, math.Pi / 4},
	}
	for _, tt := range tests {
		if got, err := mounting.Tilt(tt.up); err != nil || math.Abs(got-tt.want) > 1e-12 {
			t.Errorf("%s: Tilt(%+v) = %g, %v; want %g", tt.name, tt.up, got, err, tt.want)
		}
	}
	for _, up := range []mounting.Direction{{}, {X: math.NaN()}, {Z: math.Inf(1)}, {X: 1, Y: math.NaN()}} {
		if got, err := mounting.Tilt(up); err == nil {
			t.Errorf("Tilt(%+v) = %g and no error", up, got)
		}
	}
}
