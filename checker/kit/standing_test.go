package kit_test

import (
	"math"
	"testing"

	"kitgauge/checker/kit"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// What is nearer to rest than 0.05 mm or 0.05 deg is told as rest.
func TestStanding(t *testing.T) {
	slide := &kit.Joint{Name: value.Known("springs"), Kind: value.Known("prismatic")}
	turn := &kit.Joint{Name: value.Known("kingpin"), Kind: value.Known("revolute")}
	const deg = math.Pi / 180
	for _, tt := range []struct {
		slide, turn float64
		want        string
	}{
		{-0.001221e-3, 0.04 * deg, "springs at 0 mm, kingpin at 0 deg"},
		{0.049e-3, -0.049 * deg, "springs at 0 mm, kingpin at 0 deg"},
		{0.051e-3, -0.051 * deg, "springs at 0.051 mm, kingpin at -0.051 deg"},
		{-60e-3, 38 * deg, "springs at -60 mm, kingpin at 38 deg"},
	} {
		if got := kit.Standing([]*kit.Joint{slide, turn}, []float64{tt.slide, tt.turn}, units.Metric); got != tt.want {
			t.Errorf("got %q, want %q", got, tt.want)
		}
	}
}
