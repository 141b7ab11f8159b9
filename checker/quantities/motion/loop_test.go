package motion_test

import (
	"math"
	"testing"

	"kitgauge/checker/quantities/motion"

	"pgregory.net/rapid"
)

func TestLoop(t *testing.T) {
	for _, tt := range []struct {
		name, source  string
		length, chord float64
		radius, sag   float64
		tol           float64
	}{
		{"2 % slack", "recomputed: project facts, arc of length L over chord d", 1.02, 1, 1.48250, 0.08686, 6e-6},
		{"5 % slack", "recomputed: project facts, arc of length L over chord d", 1.05, 1, 0.97509, 0.13795, 6e-6},
		{"5 % slack at 0.4 m", "limit: scales with the chord", 0.42, 0.4, 0.4 * 0.97509, 0.4 * 0.13795, 3e-6},
		{"semicircle", "limit: L = pi R, d = 2 R", math.Pi, 2, 1, 1, 1e-12},
		{"quarter circle", "limit: L = pi R / 2, d = sqrt(2) R", math.Pi / 2, math.Sqrt2, 1, 1 - math.Sqrt(0.5), 1e-12},
		{"three quarters of a circle", "limit: L = 3 pi R / 2, d = sqrt(2) R", 3 * math.Pi / 2, math.Sqrt2, 1, 1 + math.Sqrt(0.5), 1e-12},
		{"closed", "limit: full circle, L = 2 pi R", 2 * math.Pi, 0, 1, 2, 1e-12},
		{"barely slack", "limit: x -> sqrt(6 (L-d)/L), R -> L/(2x), sag -> x L/4", 1, 1 - 6e-12, 1 / 12e-6, 1.5e-6, 1},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got, err := motion.Loop(tt.length, tt.chord)
			if err != nil {
				t.Fatal(err)
			}
			if got.Straight || !near(got.Radius, tt.radius, tt.tol) || !near(got.Sag, tt.sag, math.Min(tt.tol, tt.sag/100)) {
				t.Errorf("got %+v, want radius %g, sag %g ± %g (%s)", got, tt.radius, tt.sag, tt.tol, tt.source)
			}
		})
	}
	if got, err := motion.Loop(0.4, 0.4); err != nil || got != (motion.Arc{Straight: true}) {
		t.Errorf("got %+v, %v, want a straight tube", got, err)
	}
}

// The arc must have the length and the chord that it was asked for.
func TestLoopRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		length := rapid.Float64Range(1e-3, 100).Draw(t, "length")
		chord := length * (1 - math.Pow(10, rapid.Float64Range(-12, 0).Draw(t, "log slack")))
		got, err := motion.Loop(length, chord)
		if err != nil {
			t.Fatal(err)
		}
		if l := 2 * got.HalfAngle * got.Radius; !near(l, length, 1e-12*length) {
			t.Errorf("got the length %.15g, want %.15g", l, length)
		}
		if d := 2 * got.Radius * math.Sin(got.HalfAngle); !near(d, chord, 1e-12*length) {
			t.Errorf("got the chord %.15g, want %.15g", d, chord)
		}
		// R = d^2/(8 sag) + sag/2, the sagitta formula.
		if r := chord*chord/(8*got.Sag) + got.Sag/2; !near(r, got.Radius, 1e-3*got.Radius) {
			t.Errorf("got the radius %.9g, want %.9g from the sagitta", got.Radius, r)
		}
	})
}

func TestLoopErrors(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, tt := range []struct {
		length, chord float64
		want          string
	}{
		{0.3, 0.4, "the tube, 0.3 m long, cannot span ends 0.4 m apart"},
		{0, 0, "the tube length 0 m must be above 0"},
		{-1, 0, "the tube length -1 m"},
		{nan, 0, "the tube length NaN m"},
		{inf, 0, "the tube length +Inf m"},
		{1, -0.1, "the distance -0.1 m between the ends"},
		{1, nan, "the distance NaN m"},
		{1, inf, "the distance +Inf m"},
	} {
		_, err := motion.Loop(tt.length, tt.chord)
		checkError(t, err, tt.want)
	}
}
