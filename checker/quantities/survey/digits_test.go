package survey_test

import (
	"math"
	"slices"
	"testing"

	"kitgauge/checker/quantities/survey"
)

// TestDigits takes every digit out once, of whole millimetres and of inches:
// common practice, no source.
func TestDigits(t *testing.T) {
	for _, tt := range []struct {
		written float64
		inch    bool
		want    []float64
	}{
		{1.780, false, []float64{0.178, 0.170, 0.180, 0.780}},
		{-0.455, false, []float64{-0.045, -0.055}},
		{0.0455, false, nil}, {0.012, false, nil}, {math.NaN(), false, nil}, {1e15, false, nil},
		{112 * 0.0254, true, []float64{11 * 0.0254, 12 * 0.0254}},
	} {
		got := survey.Digits(tt.written, tt.inch)
		near := func(a, b float64) bool { return math.Abs(a-b) < 1e-9 }
		for _, want := range tt.want {
			if !slices.ContainsFunc(got, func(g float64) bool { return near(g, want) }) {
				t.Errorf("%v: got %v, want %v among them", tt.written, got, want)
			}
		}
		if tt.want == nil && got != nil {
			t.Errorf("%v: got %v", tt.written, got)
		}
	}
}

// TestStep: the steps by which people round, common practice, no source.
func TestStep(t *testing.T) {
	for v, want := range map[float64]float64{1700: 100, 250: 50, 75: 25, 30: 10, 35: 5, 7: 1, 0.5: 0.5, 12.75: 0.25, 3.14159: 0} {
		if got := survey.Step(v); got != want {
			t.Errorf("Step(%v) is %v, want %v", v, got, want)
		}
	}
}
