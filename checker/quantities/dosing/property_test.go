package dosing_test

import (
	"math"
	"regexp"
	"strings"
	"testing"

	"kitgauge/checker/quantities/dosing"

	"pgregory.net/rapid"
)

// goTypeName finds what a reader of a kit file should never see in a message.
var goTypeName = regexp.MustCompile(`float64|\bint\b|struct|dosing\.|nil|%!`)

// finite fails the test if a result is not finite, or if an error does not read as a message should.
func finite(t *rapid.T, name string, got float64, err error) {
	if math.IsNaN(got) || math.IsInf(got, 0) {
		t.Fatalf("%s: got %g", name, got)
	}
	if err == nil {
		return
	}
	if got != 0 {
		t.Fatalf("%s: got %g beside the error %v", name, got, err)
	}
	text := err.Error()
	if goTypeName.MatchString(text) || strings.ToLower(text[:1]) != text[:1] || strings.HasSuffix(text, ".") {
		t.Fatalf("%s: error reads %q", name, text)
	}
}

// value draws from the range of a kit, now and then a value that breaks arithmetic, and also the ends.
func value(t *rapid.T, name string, least, most float64) float64 {
	if rapid.IntRange(0, 9).Draw(t, name+" kind") == 0 {
		return rapid.SampledFrom([]float64{math.NaN(), math.Inf(1), math.Inf(-1), 0, -1,
			math.SmallestNonzeroFloat64, math.MaxFloat64}).Draw(t, name)
	}
	return rapid.OneOf(rapid.Float64Range(least, most), rapid.SampledFrom([]float64{least, most})).Draw(t, name)
}

func TestNeverNaNOrInf(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := func(name string, least, most float64) float64 { return value(t, name, least, most) }
		c := dosing.Cycle{Pause: v("pause", 0, 60*day), Run: v("run", 0.1, day), StrokeTime: v("stroke", 0.01, hour)}
		d := dosing.Delivery{Cycle: c, StrokeVolume: v("volume", 1e-10, 1e-4)}
		u := dosing.Usage{Rate: v("rate", 1e-24, 1), RunningPerDay: v("running", 1, day), DaysPerWeek: v("days", 0.01, 7)}
		r := dosing.Reservoir{UpperMark: v("upper", 0, 1), LowerMark: v("lower", 0, 0.5), Fill: v("fill", 0, 1)}
		tubes := []dosing.Tube{{InsideDiameter: v("bore", 1e-4, 0.1), Length: v("length", 1e-3, 200)}}
		interval := v("interval", 36, 20*year)
		results := []struct {
			name string
			call func() (float64, error)
		}{
			{"Replenishment", dosing.RollingBearing{OutsideDiameter: v("D", 1e-3, 5), Width: v("B", 1e-3, 5), Factor: v("factor", 0.1, 20)}.Replenishment},
			{"Portion.Demand", dosing.Portion{Mass: v("mass", 1e-9, 100), Interval: interval, Density: v("density", 700, 2500)}.Demand},
			{"PlainBearing.Demand", dosing.PlainBearing{Diameter: v("d", 1e-3, 5), Width: v("b", 1e-3, 5)}.Demand},
			{"DutyCycle", c.DutyCycle},
			{"PauseFor", func() (float64, error) { return c.PauseFor(v("share", 1e-6, 1e6)) }},
			{"StrokesFor", func() (float64, error) { return c.StrokesFor(v("share of strokes", 1e-6, 1e6)) }},
			{"PerCycle", d.PerCycle},
			{"Rate", d.Rate},
			{"Ratio", dosing.Balance{Delivered: v("delivered", 0, 1), Demand: v("demand", 1e-24, 1)}.Ratio},
			{"Running", func() (float64, error) { return u.Running(interval) }},
			{"Consumption", func() (float64, error) { return u.Consumption(interval) }},
			{"Lasts", func() (float64, error) { return u.Lasts(v("usable", 0, 1)) }},
			{"Usable", r.Usable},
			{"Reserve", dosing.Supply{AtHand: v("at hand", 0, 1), Needed: v("needed", 1e-32, 1e9)}.Reserve},
			{"PrimingVolume", func() (float64, error) { return dosing.PrimingVolume(tubes) }},
			{"FirstFill", func() (float64, error) { return r.FirstFill(tubes) }},
			{"Mass", dosing.Grease{Volume: v("grease", 0, 1), Density: v("grease density", 700, 2500)}.Mass},
		}
		for _, res := range results {
			got, err := res.call()
			finite(t, res.name, got, err)
		}
	})
}

// What one value out of range says, in the unit of the trade.
func TestErrors(t *testing.T) {
	cycle := dosing.Cycle{Pause: 600, Run: 60, StrokeTime: 10}
	tests := []struct {
		call func() (float64, error)
		want string
	}{
		{dosing.RollingBearing{OutsideDiameter: 62, Width: 0.016, Factor: 5}.Replenishment,
			"outside diameter of the bearing is 62000 mm; it must be from 1 mm to 5000 mm"},
		{dosing.RollingBearing{OutsideDiameter: 0.062, Width: 0.016, Factor: 0.005}.Replenishment,
			"replenishment factor is 0.000005 g/mm2; it must be from 0.0001 g/mm2 to 0.02 g/mm2"},
		{dosing.Portion{Mass: 0.01, Interval: day, Density: 0.9}.Demand,
			"density of the grease is 0.9 kg/m3; it must be from 700 kg/m3 to 2500 kg/m3"},
		{dosing.Portion{Mass: 0.01, Interval: 0, Density: 900}.Demand,
			"interval is 0 h; it must be from 0.01 h to 175320 h"},
		{dosing.Cycle{Pause: -60, Run: 60, StrokeTime: 10}.DutyCycle,
			"pause time is -1 min; it must be from 0 min to 86400 min"},
		{dosing.Cycle{Pause: 60, Run: math.NaN(), StrokeTime: 10}.DutyCycle,
			"run time is not a number"},
		{dosing.Delivery{Cycle: cycle, StrokeVolume: 0.25}.Rate,
			"volume of one stroke is 250000 cm3; it must be from 0.0001 cm3 to 100 cm3"},
		{func() (float64, error) {
			return dosing.Usage{Rate: 1e-9, RunningPerDay: hour, DaysPerWeek: 8}.Running(week)
		}, "days of use a week is 8; it must be from 0.01 to 7"},
		{func() (float64, error) {
			return dosing.Usage{Rate: 1e-9, RunningPerDay: hour, DaysPerWeek: 5}.Consumption(1)
		}, "interval is 0.00001157 d; it must be from 0.01 d to 7305 d"},
		{dosing.Reservoir{UpperMark: cm3, LowerMark: 2 * cm3}.Usable,
			"lower fill mark is at 2 cm3, not below the upper one at 1 cm3"},
		{dosing.Supply{AtHand: cm3}.Reserve,
			"nothing is delivered, so no grease is used up: look at the timer and the elements"},
		{func() (float64, error) {
			return dosing.PrimingVolume([]dosing.Tube{{InsideDiameter: 4 * mm, Length: 1}, {InsideDiameter: 4, Length: 1}})
		}, "tube 2: inside diameter is 4000 mm; it must be from 0.1 mm to 100 mm"},
	}
	for _, tt := range tests {
		if _, err := tt.call(); err == nil || err.Error() != tt.want {
			t.Errorf("got %v, want %q", err, tt.want)
		}
	}
}

// A longer run never delivers less in a cycle, and a longer pause always less in an hour.
func TestTimerIsMonotonic(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := dosing.Delivery{
			Cycle: dosing.Cycle{
				Pause:      rapid.Float64Range(0, day).Draw(t, "pause"),
				Run:        rapid.Float64Range(1, hour).Draw(t, "run"),
				StrokeTime: rapid.Float64Range(0.1, 1).Draw(t, "stroke"),
			},
			StrokeVolume: rapid.Float64Range(1e-8, 1e-6).Draw(t, "volume"),
		}
		longer, rarer := d, d
		longer.Cycle.Run += rapid.Float64Range(0, 100).Draw(t, "more run")
		rarer.Cycle.Pause += rapid.Float64Range(1, day).Draw(t, "more pause")
		n, err := d.Cycle.Strokes()
		if err != nil {
			t.Fatal(err)
		}
		// Whole strokes: they fit into the run, and one more does not.
		if used := float64(n) * d.Cycle.StrokeTime; used > d.Cycle.Run*(1+1e-8) || used+d.Cycle.StrokeTime < d.Cycle.Run*(1-1e-8) {
			t.Fatalf("got %d strokes of %g s in %g s", n, d.Cycle.StrokeTime, d.Cycle.Run)
		}
		if m, err := longer.Cycle.Strokes(); err != nil || m < n {
			t.Fatalf("got %d strokes, %v, for a longer run than gave %d", m, err, n)
		}
		before, err := d.Rate()
		if err != nil {
			t.Fatal(err)
		}
		if after, err := rarer.Rate(); err != nil || after >= before {
			t.Fatalf("got %g, %v, after a longer pause; want less than %g", after, err, before)
		}
	})
}

// A bearing k times as large in both directions needs k squared times the grease.
func TestDemandScalesWithSurface(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := rapid.Float64Range(0.005, 0.2).Draw(t, "diameter")
		b := rapid.Float64Range(0.005, 0.2).Draw(t, "width")
		k := rapid.Float64Range(0.5, 10).Draw(t, "scale")
		pair := func(small, large float64, err1, err2 error) {
			if err1 != nil || err2 != nil || !near(large, k*k*small, 1e-12) {
				t.Fatalf("got %g and %g for a scale of %g (%v, %v)", small, large, k, err1, err2)
			}
		}
		g1, err1 := dosing.RollingBearing{OutsideDiameter: d, Width: b, Factor: dosing.Replenish}.Replenishment()
		g2, err2 := dosing.RollingBearing{OutsideDiameter: k * d, Width: k * b, Factor: dosing.Replenish}.Replenishment()
		pair(g1, g2, err1, err2)
		q1, err1 := dosing.PlainBearing{Diameter: d, Width: b}.Demand()
		q2, err2 := dosing.PlainBearing{Diameter: k * d, Width: k * b}.Demand()
		pair(q1, q2, err1, err2)
	})
}

// What lasts for an interval is what is used up in it.
func TestLastsInvertsConsumption(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := dosing.Usage{
			Rate:          rapid.Float64Range(1e-11, 1e-8).Draw(t, "rate"),
			RunningPerDay: rapid.Float64Range(600, day).Draw(t, "running"),
			DaysPerWeek:   rapid.Float64Range(1, 7).Draw(t, "days"),
		}
		interval := rapid.Float64Range(day, 90*day).Draw(t, "interval")
		used, err := u.Consumption(interval)
		if err != nil {
			t.Fatal(err)
		}
		got, err := u.Lasts(used)
		if err != nil || !near(got, interval, 1e-12) {
			t.Fatalf("got %g s, %v; want %g", got, err, interval)
		}
	})
}

// The order of the tubes does not matter and every tube adds to the whole.
func TestPrimingVolumeAddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tubes := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) dosing.Tube {
			return dosing.Tube{
				InsideDiameter: rapid.Float64Range(1e-3, 2e-2).Draw(t, "bore"),
				Length:         rapid.Float64Range(0.1, 30).Draw(t, "length"),
			}
		}), 1, 20).Draw(t, "tubes")
		whole, err := dosing.PrimingVolume(tubes)
		if err != nil {
			t.Fatal(err)
		}
		cut := rapid.IntRange(0, len(tubes)).Draw(t, "cut")
		first, err1 := dosing.PrimingVolume(tubes[:cut])
		second, err2 := dosing.PrimingVolume(tubes[cut:])
		if err1 != nil || err2 != nil || !near(first+second, whole, 1e-12) {
			t.Fatalf("got %g + %g for %g (%v, %v)", first, second, whole, err1, err2)
		}
	})
}
