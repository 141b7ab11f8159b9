package flow_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"kitgauge/checker/quantities/flow"
)

func TestFitYield(t *testing.T) {
	// Recomputed: 500 Pa at 25 °C by τ0·2^((T0-T)/b), the second figure as the
	// sheet of that law has it for -20 or 0 °C.
	for _, tt := range []struct{ celsius, yield, halving float64 }{
		{-20, 2378.414, 20}, {0, 1189.207, 20},
		{-20, 1414.214, 30}, {0, 890.8987, 30},
		{-20, 1090.508, 40}, {0, 771.1054, 40},
	} {
		warm, cold := flow.YieldPoint{Temperature: 25 + zeroC, Yield: 500}, flow.YieldPoint{Temperature: tt.celsius + zeroC, Yield: tt.yield}
		for _, pair := range [][2]flow.YieldPoint{{warm, cold}, {cold, warm}} {
			law, err := flow.FitYield(pair[0], pair[1])
			if err != nil || !near(law.Halving, tt.halving, 1e-6) {
				t.Errorf("%+v: halves in %g K, %v; want %g K", pair, law.Halving, err, tt.halving)
			}
		}
	}
}

func TestFitYieldKeepsItsPoints(t *testing.T) {
	// Identity: the law goes through both, and a law gives itself back.
	rapid.Check(t, func(t *rapid.T) {
		p := flow.YieldPoint{Temperature: rapid.Float64Range(200, 350).Draw(t, "T"), Yield: rapid.Float64Range(1, 5000).Draw(t, "yield")}
		q := flow.YieldPoint{
			Temperature: p.Temperature - rapid.Float64Range(5, 100).Draw(t, "colder"),
			Yield:       p.Yield * rapid.Float64Range(1.1, 100).Draw(t, "stiffer"),
		}
		law, err := flow.FitYield(p, q)
		if err != nil {
			t.Fatal(err)
		}
		for _, point := range []flow.YieldPoint{p, q} {
			if got, err := law.At(point.Temperature); err != nil || !near(got, point.Yield, 1e-9) {
				t.Errorf("at %g K: got %g Pa, %v; want %g Pa", point.Temperature, got, err, point.Yield)
			}
		}
	})
}

func TestFitYieldRefuses(t *testing.T) {
	warm := flow.YieldPoint{Temperature: 298, Yield: 500}
	for _, q := range []flow.YieldPoint{
		{Temperature: 298, Yield: 900}, {Temperature: 250, Yield: 400}, {Temperature: 250, Yield: 500}, {Temperature: 320, Yield: 900},
		{Temperature: 250}, {Yield: 900}, {Temperature: 250, Yield: math.NaN()}, {Temperature: math.Inf(1), Yield: 1},
	} {
		if law, err := flow.FitYield(warm, q); err == nil {
			t.Errorf("%+v beside %+v: got %+v", q, warm, law)
		}
	}
}

func TestOutside(t *testing.T) {
	// Identity: a distance on a line.
	for _, tt := range []struct {
		temperature float64
		measured    []float64
		want        float64
	}{
		{243, []float64{298}, 55}, {298, []float64{298}, 0}, {313, []float64{298, 243}, 15},
		{270, []float64{298, 243}, 0}, {233, []float64{298, 243}, 10},
	} {
		if got := flow.Outside(tt.temperature, tt.measured...); got != tt.want {
			t.Errorf("%g outside %v: got %g, want %g", tt.temperature, tt.measured, got, tt.want)
		}
	}
}

// stroke is the volume that a sine of the given peak moves in a time, summed in
// steps, with the highest pressure on the way, each found by halving on the
// integral of the velocity profile.
func stroke(f flow.HerschelBulkley, tube flow.Tube, peak, time float64) (volume, highest float64) {
	const steps = 40
	start := 4 * f.Yield * tube.Length / tube.Bore
	for i := range steps {
		q := peak * math.Sin(math.Pi*(float64(i)+0.5)/steps)
		volume += q * time / steps
		low, high := start, 2*start+1e7
		for range 60 {
			if mid := (low + high) / 2; profileFlow(f, tube, mid) < q {
				low = mid
			} else {
				high = mid
			}
		}
		highest = max(highest, high)
	}
	return volume, highest
}

func TestPeakFlow(t *testing.T) {
	// Limit: a sine over half a turn is 2/π of its peak on the mean. Held
	// against a stroke that is walked through in steps, each pressure by
	// integration of the velocity profile in Berk, Food Process Engineering and
	// Technology, eq. 2.27 to 2.30. Greases: lubricants of NLGI 1 and 2 (from
	// memory, micro-PIV papers).
	for _, f := range []flow.HerschelBulkley{
		{Yield: 189, Consistency: 4.1, Index: 0.797}, {Yield: 650, Consistency: 20.6, Index: 0.605}, {Yield: 300, Consistency: 10, Index: 0.5},
	} {
		const swept, time = 25e-9, 5.0 // 25 mm³ in 5 s
		tube := flow.Tube{Bore: 0.0025, Length: 5}
		peak, err := flow.PeakFlow(swept/time, flow.Crank)
		if err != nil {
			t.Fatal(err)
		}
		volume, highest := stroke(f, tube, peak, time)
		if !near(volume, swept, 1e-3) {
			t.Errorf("%+v: a stroke at a peak of %g m3/s moves %g m3; want %g", f, peak, volume, swept)
		}
		got, err := f.Pressure(tube, peak)
		if err != nil || !near(got, highest, 1e-3) {
			t.Errorf("%+v: got %g Pa, %v; a stroke in steps comes to %g Pa", f, got, err, highest)
		}
		mean, err := f.Pressure(tube, swept/time)
		if err != nil || !(mean < got) {
			t.Errorf("%+v: the mean flow asks for %g Pa, %v, the peak for %g", f, mean, err, got)
		}
	}
	if got, err := flow.PeakFlow(3, flow.Steady); err != nil || got != 3 {
		t.Errorf("steady: got %g, %v", got, err)
	}
	// Identity: pi/2 and 1.
	if got, err := flow.PeakFlow(1, flow.Crank); err != nil || !near(got, 1.5707963267948966, 1e-15) {
		t.Errorf("crank: got %g, %v", got, err)
	}
}

func TestBackPressureAt(t *testing.T) {
	// Identity: linear in the yield stress, as the drop along a tube is.
	for _, tt := range []struct{ back, measured, yield, want float64 }{
		{5e5, 120, 480, 20e5}, {5e5, 120, 120, 5e5}, {5e5, 120, 60, 5e5}, {5e5, 0, 60, 5e5}, {0, 120, 480, 0},
	} {
		if got, err := flow.BackPressureAt(tt.back, tt.measured, tt.yield); err != nil || !near(got, tt.want, 1e-12) {
			t.Errorf("%+v: got %g, %v", tt, got, err)
		}
	}
	// a groove is a tube: the same share of both pressures
	rapid.Check(t, func(t *rapid.T) {
		groove := flow.Tube{Bore: rapid.Float64Range(0.001, 0.006).Draw(t, "bore"), Length: rapid.Float64Range(0.01, 0.2).Draw(t, "length")}
		warm := rapid.Float64Range(1, 1000).Draw(t, "warm")
		cold := warm * rapid.Float64Range(1, 50).Draw(t, "colder")
		before, _ := groove.StartPressure(warm)
		want, _ := groove.StartPressure(cold)
		if got, err := flow.BackPressureAt(before, warm, cold); err != nil || !near(got, want, 1e-12) {
			t.Errorf("got %g, %v; want %g", got, err, want)
		}
	})
	for _, bad := range []float64{-1, math.NaN(), math.Inf(1)} {
		for i := range 3 {
			in := [3]float64{1e5, 100, 200}
			in[i] = bad
			if got, err := flow.BackPressureAt(in[0], in[1], in[2]); err == nil {
				t.Errorf("%v: got %g", in, got)
			}
		}
		if got, err := flow.PeakFlow(bad, flow.Crank); err == nil {
			t.Errorf("%g: got %g", bad, got)
		}
	}
}
