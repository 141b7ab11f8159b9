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

// Identity: a difference of heights.
func TestFillerHeight(t *testing.T) {
	tests := []struct {
		name string
		f    mounting.Filler
		want float64
	}{
		{"upright", mounting.Filler{Base: 0.3, Along: 0.25, Up: mounting.Direction{Z: 1}, Ground: -0.5}, 1.05},
		{"on its side", mounting.Filler{Base: 0.3, Along: 0.25, Up: mounting.Direction{X: 1}, Ground: -0.5}, 0.8},
		{"3, 4, 5", mounting.Filler{Base: 0.3, Along: 0.25, Up: mounting.Direction{X: 3, Z: 4}, Ground: -0.5}, 1.0},
	}
	for _, tt := range tests {
		if got, err := mounting.FillerHeight(tt.f); err != nil || math.Abs(got-tt.want) > 1e-12 {
			t.Errorf("%s: FillerHeight(%+v) = %g, %v; want %g", tt.name, tt.f, got, err, tt.want)
		}
	}
	up := mounting.Direction{Z: 1}
	for _, f := range []mounting.Filler{{}, {Base: math.NaN(), Up: up}, {Along: math.Inf(1), Up: up}, {Ground: 101, Up: up}} {
		if got, err := mounting.FillerHeight(f); err == nil {
			t.Errorf("FillerHeight(%+v) = %g and no error", f, got)
		}
	}
}

func TestGroundClearance(t *testing.T) {
	got, err := mounting.GroundClearance([]float64{0.1, -0.2, 0.4, -0.2}, -0.5)
	if err != nil || got.Index != 1 || math.Abs(got.Height-0.3) > 1e-12 {
		t.Errorf("GroundClearance = %+v, %v; want the second, 0.3 m up", got, err)
	}
	for _, heights := range [][]float64{nil, {math.NaN()}, {0, math.Inf(-1)}} {
		if got, err := mounting.GroundClearance(heights, 0); err == nil {
			t.Errorf("GroundClearance(%v) = %+v and no error", heights, got)
		}
	}
	if _, err := mounting.GroundClearance([]float64{1}, math.NaN()); err == nil {
		t.Error("GroundClearance above a ground that is no number gave no error")
	}
}
