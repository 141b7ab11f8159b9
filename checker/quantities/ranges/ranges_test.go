package ranges_test

import (
	"math"
	"testing"

	"kitgauge/checker/quantities/ranges"
)

// The ends of a range belong to it; a message is in the unit of the file. The
// offset is that of the degree Celsius, 273.15 K (BIPM, SI brochure, 2.3.1).
func TestCheck(t *testing.T) {
	celsius := ranges.Unit{Name: "degC", Scale: 1, Offset: 273.15}
	for value, want := range map[float64]string{
		273.15: "", 373.15: "", 300: "",
		273:         "warmth is -0.15 degC; it must be from 0 degC to 100 degC",
		374.15:      "warmth is 101 degC; it must be from 0 degC to 100 degC",
		math.NaN():  "warmth is not a number",
		math.Inf(1): "warmth is +Inf degC; it must be from 0 degC to 100 degC",
	} {
		got := ""
		if err := ranges.Check(ranges.Input{Name: "warmth", Value: value, Least: 273.15, Most: 373.15, Unit: celsius}); err != nil {
			got = err.Error()
		}
		if got != want {
			t.Errorf("%v: got %q, want %q", value, got, want)
		}
	}
}
