package dosing_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"kitgauge/checker/quantities/dosing"
)

// recomputed: ratios of 0.9 to 2.4 fit the band 0.8 to 2 with 0.889 to 0.833 times as much: with none; those
// of 1 to 2 with 0.8 to 1.
//
// Identity: the interval in which all lie.
func TestSuits(t *testing.T) {
	band := dosing.Band{Least: 0.8, Most: 2}
	for _, tt := range []struct {
		ratios []float64
		share  float64
		within int
	}{
		{[]float64{1, 1.5, 2}, math.Sqrt(0.8), 3},
		{[]float64{10, 15, 20}, math.Sqrt(0.8) / 10, 3},
		{[]float64{0.1, 0.15, 0.2}, math.Sqrt(0.8) * 10, 3},
		{[]float64{1, 1, 1, 100}, 1, 3},
	} {
		share, within, err := band.Suits(tt.ratios)
		if err != nil || within != tt.within || math.Abs(share/tt.share-1) > 1e-12 {
			t.Errorf("%v: got %v, %d, %v; want %v, %d", tt.ratios, share, within, err, tt.share, tt.within)
		}
	}
	if _, _, err := band.Suits([]float64{0, 1}); err == nil {
		t.Error("a point that gets nothing: got no error")
	}
}

// No other share has more points within the band.
func TestSuitsTheMost(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		band := dosing.Band{Least: 0.8, Most: 2}
		ratios := rapid.SliceOfN(rapid.Float64Range(0.01, 50), 1, 12).Draw(t, "ratios")
		share, within, err := band.Suits(ratios)
		if err != nil {
			t.Fatal(err)
		}
		count := func(s float64) (n int) {
			for _, r := range ratios {
				if r*s >= 0.8 && r*s <= 2 {
					n++
				}
			}
			return n
		}
		if got := count(share); got != within {
			t.Fatalf("%v: %d within with %v, said to be %d", ratios, got, share, within)
		}
		if band.Within(ratios, share) != (within == len(ratios)) {
			t.Fatal("Within says otherwise")
		}
		other := rapid.Float64Range(0.01, 100).Draw(t, "share")
		if n := count(other); n > within && count(other*1.01) >= n && count(other*0.99) >= n {
			t.Fatalf("%v: %d within with %v, %d with %v", ratios, n, other, within, share)
		}
	})
}

// Identity: a quotient; [dosing.Cycle.PauseFor] is its inverse.
func TestTimes(t *testing.T) {
	c := dosing.Cycle{Pause: 58 * 60, Run: 120, StrokeTime: 60}
	pause, err := c.PauseFor(0.25)
	if err != nil {
		t.Fatal(err)
	}
	if got, err := c.Times(dosing.Cycle{Pause: pause, Run: 120, StrokeTime: 60}); err != nil || !near(got, 0.25, 1e-12) {
		t.Errorf("got %v, %v", got, err)
	}
	if got, err := c.Times(dosing.Cycle{Pause: 58 * 60, Run: 240, StrokeTime: 60}); err != nil || !near(got, 2*60.0/62, 1e-12) {
		t.Errorf("got %v, %v", got, err)
	}
	if _, err := (dosing.Cycle{Pause: 60, Run: 1, StrokeTime: 60}).Times(c); err == nil {
		t.Error("nothing delivered now: got no error")
	}
}
