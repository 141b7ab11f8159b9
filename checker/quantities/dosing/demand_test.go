package dosing_test

import (
	"math"
	"testing"

	"kitgauge/checker/quantities/dosing"
)

const (
	mm   = 1e-3
	cm3  = 1e-6
	hour = 3600.0
	day  = 24 * hour
	week = 7 * day
	year = 365.25 * day

	inch  = 0.0254          // m, exact
	ounce = 28.349523125e-3 // kg, exact
)

// near compares with a relative tolerance.
func near(got, want, tol float64) bool { return math.Abs(got-want) <= tol*math.Abs(want) }

// G = 0.005 D B g is printed in The Tribology Handbook, A20.5, page 118 (https://digilib.
// universitaspertamina.ac.id/ebook/The%20Tribology%20Handbook/files/basic-html/page118.html); the values are
// recomputed from it, bearing dimensions from memory of ISO 15 and ISO 355. Factors other than 0.005 are
// from memory, see dosing.ReplenishWeekly.
func TestReplenishment(t *testing.T) {
	tests := []struct {
		name                            string
		d, b                            float64 // mm
		single, weekly, monthly, yearly float64 // g
	}{
		{"6206", 62, 16, 4.960, 1.984, 2.976, 3.968},
		{"6310", 110, 27, 14.850, 5.940, 8.910, 11.880},
		{"22310", 110, 40, 22.000, 8.800, 13.200, 17.600},
		{"32310", 110, 42.25, 23.2375, 9.295, 13.9425, 18.590},
	}
	for _, tt := range tests {
		for _, f := range []struct{ factor, want float64 }{
			{dosing.Replenish, tt.single},
			{dosing.ReplenishWeekly, tt.weekly},
			{dosing.ReplenishMonthly, tt.monthly},
			{dosing.ReplenishYearly, tt.yearly},
		} {
			b := dosing.RollingBearing{OutsideDiameter: tt.d * mm, Width: tt.b * mm, Factor: f.factor}
			got, err := b.Replenishment()
			if err != nil || !near(1e3*got, f.want, 1e-9) {
				t.Errorf("%s with %g kg/m2: got %g g, %v; want %g", tt.name, f.factor, 1e3*got, err, f.want)
			}
		}
	}
}

// printed: G[oz] = 0.114 D[in] B[in], https://machinerylubrication.com/Read/31524/calculate-grease-quantity
// and, beside the metric form, https://www.nxtbook.com/atp/MaintenanceTechnology/epmarch2020/index.php?startid=18.
// The exact constant is 0.11379, so they agree to 0.2 %.
func TestReplenishmentInInches(t *testing.T) {
	for _, size := range []struct{ d, b float64 }{{1, 1}, {4.3307, 1.063}, {8, 3}} {
		b := dosing.RollingBearing{OutsideDiameter: size.d * inch, Width: size.b * inch, Factor: dosing.Replenish}
		got, err := b.Replenishment()
		if want := 0.114 * size.d * size.b; err != nil || !near(got/ounce, want, 0.002) {
			t.Errorf("%g x %g in: got %.5f oz, %v; want %.5f ± 0.2 %%", size.d, size.b, got/ounce, err, want)
		}
	}
}

// seen: worked example at https://stratson.eu/over-greasing/: 3 in outside, half an inch wide, "0.17 ounces or
// 4.8 grams". Tolerance: half of the last digit printed.
func TestReplenishmentWorkedExample(t *testing.T) {
	b := dosing.RollingBearing{OutsideDiameter: 3 * inch, Width: inch / 2, Factor: dosing.Replenish}
	got, err := b.Replenishment()
	if err != nil || math.Abs(got/ounce-0.17) > 0.005 || math.Abs(1e3*got-4.8) > 0.05 {
		t.Errorf("3 in x 1/2 in: got %.4f oz, %.3f g, %v; want 0.17 oz, 4.8 g", got/ounce, 1e3*got, err)
	}
}

// recomputed: grams to cm3, and the interval of a spherical roller bearing at 300 rpm (6399.663 h for 22 g).
func TestPortionDemand(t *testing.T) {
	tests := []struct {
		grams, hours, density, want float64 // want in cm3/h
	}{
		{4.96, 1, 900, 5.51111},
		{22, 1, 850, 25.8824},
		{400, 100, 950, 4.21053},
		{22, 6399.663, 900, 0.003437681 / 0.9},
	}
	for _, tt := range tests {
		p := dosing.Portion{Mass: tt.grams * 1e-3, Interval: tt.hours * hour, Density: tt.density}
		got, err := p.Demand()
		if err != nil || !near(got/cm3*hour, tt.want, 1e-5) {
			t.Errorf("%+v.Demand() = %g cm3/h, %v; want %g", p, got/cm3*hour, err, tt.want)
		}
	}
}

// printed: worked example at https://flodraulic.com/resources/formulae/basic-lubrication-formulas/: shaft and
// bush 6 in by 6 in, 113.04 in2 of surface, 0.113 in3/h or 1.85 cm3/h of oil; grease lasts four times as long.
func TestPlainBearingWorkedExample(t *testing.T) {
	got, err := dosing.PlainBearing{Diameter: 6 * inch, Width: 6 * inch}.Demand()
	if err != nil {
		t.Fatal(err)
	}
	oil := 4 * got * hour
	if cubicInches := oil / (inch * inch * inch); !near(cubicInches, 0.113, 0.5e-3/0.113) {
		t.Errorf("as oil: got %.5f in3/h, want 0.113", cubicInches)
	}
	if !near(oil/cm3, 1.85, 0.005/1.85) {
		t.Errorf("as oil: got %.5f cm3/h, want 1.85", oil/cm3)
	}
}

// recomputed: 6.35 micrometre of grease an hour over pi d b, and in grams at 0.9 g/cm3.
func TestPlainBearingDemand(t *testing.T) {
	tests := []struct{ d, b, cm3PerHour, gramsPerHour float64 }{
		{30, 40, 0.02393894, 0.02154504},
		{40, 60, 0.04787787, 0.04309008},
		{50, 80, 0.07979645, 0.07181681},
	}
	for _, tt := range tests {
		got, err := dosing.PlainBearing{Diameter: tt.d * mm, Width: tt.b * mm}.Demand()
		if err != nil || !near(got*hour/cm3, tt.cm3PerHour, 1e-6) {
			t.Errorf("pin %g x %g: got %g cm3/h, %v; want %g", tt.d, tt.b, got*hour/cm3, err, tt.cm3PerHour)
		}
		m, err := dosing.Grease{Volume: got * hour, Density: 900}.Mass()
		if err != nil || !near(m*1e3, tt.gramsPerHour, 1e-6) {
			t.Errorf("pin %g x %g: got %g g/h, %v; want %g", tt.d, tt.b, m*1e3, err, tt.gramsPerHour)
		}
	}
}
