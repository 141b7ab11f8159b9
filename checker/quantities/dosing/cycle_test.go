package dosing_test

import (
	"testing"

	"pgregory.net/rapid"

	"kitgauge/checker/quantities/dosing"
)

// recomputed: whole strokes by hand. In binary, 0.3/0.1 is 2.9999999999999996 and 4.35/0.01 is 434.99999999999994.
//
// Identity: a whole number of strokes; that a part of one counts for nothing is
// common practice, no source.
func TestStrokes(t *testing.T) {
	tests := []struct {
		run, stroke float64
		want        int
	}{
		{120, 10, 12},
		{129.9, 10, 12},
		{130, 10, 13},
		{9.99, 10, 0},
		{10, 10, 1},
		{0.3, 0.1, 3},
		{4.35, 0.01, 435},
		{5, 60, 0},
	}
	for _, tt := range tests {
		c := dosing.Cycle{Pause: 600, Run: tt.run, StrokeTime: tt.stroke}
		if got, err := c.Strokes(); err != nil || got != tt.want {
			t.Errorf("%g s run, %g s a stroke: got %d strokes, %v; want %d", tt.run, tt.stroke, got, err, tt.want)
		}
	}
}

// A timer that counts strokes gets them back, whatever the stroke time rounds to.
//
// Identity: a product and its quotient.
func TestStrokesOfACount(t *testing.T) {
	for n := 1; n <= 500; n++ {
		for _, stroke := range []float64{0.1, 0.7, 1. / 3, 1.1, 2.3} {
			c := dosing.Cycle{Run: float64(n) * stroke, StrokeTime: stroke}
			if got, err := c.Strokes(); err != nil || got != n {
				t.Fatalf("%d strokes of %g s: got %d, %v", n, stroke, got, err)
			}
		}
	}
}

// The cyclic duration factor of IEC 60034-1 (from memory).
func TestDutyCycle(t *testing.T) {
	// limit: no pause is continuous duty; recomputed: 2 min of 20.
	tests := []struct{ pause, run, want float64 }{{0, 60, 1}, {1080, 120, 0.1}, {120, 120, 0.5}}
	for _, tt := range tests {
		got, err := dosing.Cycle{Pause: tt.pause, Run: tt.run, StrokeTime: 1}.DutyCycle()
		if err != nil || !near(got, tt.want, 1e-12) {
			t.Errorf("%g s in %g s: got %g, %v; want %g", tt.run, tt.pause+tt.run, got, err, tt.want)
		}
	}
}

// recomputed: 24 outlets of 0.1 cm3 every 20 min deliver 7.2 cm3/h, and 2000 cm3 last 277.78 h of running.
//
// Identity: volume over time.
func TestTimerArithmetic(t *testing.T) {
	d := dosing.Delivery{Cycle: dosing.Cycle{Pause: 1190, Run: 10, StrokeTime: 10}, StrokeVolume: 0.1 * cm3}
	perCycle, err := d.PerCycle()
	if err != nil || !near(perCycle, 0.1*cm3, 1e-12) {
		t.Errorf("PerCycle() = %g, %v; want 0.1 cm3", perCycle, err)
	}
	q, err := d.Rate()
	if err != nil || !near(24*q*hour/cm3, 7.2, 1e-12) {
		t.Fatalf("24 outlets: got %g cm3/h, %v; want 7.2", 24*q*hour/cm3, err)
	}
	always := dosing.Usage{Rate: 24 * q, RunningPerDay: day, DaysPerWeek: 7}
	lasts, err := always.Lasts(2000 * cm3)
	if err != nil || !near(lasts/hour, 277.78, 0.005/277.78) {
		t.Errorf("2000 cm3: got %g h, %v; want 277.78", lasts/hour, err)
	}
}

func TestRunTooShortDeliversNothing(t *testing.T) {
	d := dosing.Delivery{Cycle: dosing.Cycle{Pause: 600, Run: 9, StrokeTime: 10}, StrokeVolume: 0.2 * cm3}
	if got, err := d.Rate(); err != nil || got != 0 {
		t.Errorf("got %g, %v; want 0", got, err)
	}
}

// Identity: a quotient.
func TestRatio(t *testing.T) {
	// limit: definition.
	tests := []struct{ delivered, demand, want float64 }{{3e-10, 3e-10, 1}, {0, 1e-10, 0}, {1e-10, 4e-10, 0.25}}
	for _, tt := range tests {
		got, err := dosing.Balance{Delivered: tt.delivered, Demand: tt.demand}.Ratio()
		if err != nil || got != tt.want {
			t.Errorf("%g over %g: got %g, %v; want %g", tt.delivered, tt.demand, got, err, tt.want)
		}
	}
	if _, err := (dosing.Balance{Delivered: 1e-10}).Ratio(); err == nil {
		t.Error("no demand: got no error")
	}
}

// The two are the inverse of the rate, an identity; a timer of 58 min and two strokes of 60 s gives the
// points of a trailer 0.179 times what they need when its pause is 5.8 h (from memory: arithmetic by hand).
func TestSettingForShare(t *testing.T) {
	slow := dosing.Cycle{Pause: 5.8 * 3600, Run: 120, StrokeTime: 60}
	pause, err := slow.PauseFor(1 / 0.179)
	if err != nil || !near(pause, (5.8*3600+120)*0.179-120, 1e-12) {
		t.Errorf("PauseFor: %v, %v", pause, err)
	}
	rapid.Check(t, func(t *rapid.T) {
		c := dosing.Cycle{Pause: rapid.Float64Range(60, 86400).Draw(t, "pause"), StrokeTime: rapid.Float64Range(1, 120).Draw(t, "stroke")}
		n, was := rapid.IntRange(1, 40).Draw(t, "strokes"), rapid.IntRange(1, 40).Draw(t, "strokes before")
		c.Run = float64(was) * c.StrokeTime
		share := float64(n) / (c.Pause + float64(n)*c.StrokeTime) * (c.Pause + c.Run) / float64(was)
		if got, err := c.StrokesFor(share); err != nil || !near(got, float64(n), 1e-9) {
			t.Fatalf("StrokesFor(%v) = %v, %v, want %d", share, got, err, n)
		}
		other := rapid.Float64Range(60, 86400).Draw(t, "other pause")
		if got, err := c.PauseFor((c.Pause + c.Run) / (other + c.Run)); err != nil || !near(got, other, 1e-9) {
			t.Fatalf("PauseFor = %v, %v, want %v", got, err, other)
		}
	})
	if _, err := slow.PauseFor(1e4); err == nil {
		t.Error("a pause below nothing was given")
	}
	if _, err := slow.StrokesFor(1e4); err == nil {
		t.Error("a pump that runs all the time was given more strokes")
	}
}
