package power_test

import (
	"math"
	"testing"

	"kitgauge/checker/quantities/power"

	"pgregory.net/rapid"
)

func kelvin(celsius float64) float64 { return celsius + 273.15 }

func factor(t *testing.T, limit, reference, air float64) float64 {
	t.Helper()
	f, err := power.Ampacity{Reference: kelvin(reference), Limit: kelvin(limit), Temperature: kelvin(air)}.TemperatureFactor()
	if err != nil {
		t.Fatalf("limit %g, stated at %g, in %g degC: %v", limit, reference, air, err)
	}
	return f
}

// printed, seen: correction factors for the air's temperature, from 45 degC, by the conductor's highest
// temperature, https://www.cableyutai.com.tw/tech-04.htm (ship cables). Tolerance: half of the last
// digit, and 0.001 for two that are rounded down, 1.10 and 0.74 at 90 degC.
func TestTemperatureFactorAgainstShipCables(t *testing.T) {
	air := []float64{35, 40, 45, 50, 55, 60, 65, 70, 75, 80}
	for limit, factors := range map[float64][]float64{
		60: {1.29, 1.15, 1.00, 0.82},
		70: {1.18, 1.10, 1.00, 0.89, 0.77, 0.63},
		85: {1.12, 1.06, 1.00, 0.94, 0.87, 0.79, 0.71, 0.61, 0.50},
		90: {1.10, 1.05, 1.00, 0.94, 0.88, 0.82, 0.74, 0.67, 0.58, 0.47},
	} {
		for i, want := range factors {
			if got := factor(t, limit, 45, air[i]); !near(got, want, 0.006) {
				t.Errorf("%g degC cable in %g degC: got %.4f, want %g", limit, air[i], got, want)
			}
		}
	}
}

// printed, seen: cables for 90 degC, from 40 degC,
// https://www.electricalengineeringtoolbox.com/2015/12/ampacity-correction-factors-for-all.html, and PVC
// (70 degC) from 30 degC, the table of IEC 60364-5-52, seen in a reproduction. Tolerance: half of the last digit,
// and 0.001 for 0.90.
func TestTemperatureFactorAgainstTables(t *testing.T) {
	for _, tt := range []struct{ limit, reference, air, want float64 }{
		{90, 40, 10, 1.26}, {90, 40, 20, 1.18}, {90, 40, 30, 1.10}, {90, 40, 40, 1.00}, {90, 40, 50, 0.90},
		{70, 30, 30, 1.00}, {70, 30, 35, 0.94}, {70, 30, 40, 0.87}, {70, 30, 45, 0.79}, {70, 30, 50, 0.71},
	} {
		if got := factor(t, tt.limit, tt.reference, tt.air); !near(got, tt.want, 0.006) {
			t.Errorf("%g degC cable in %g degC: got %.4f, want %g", tt.limit, tt.air, got, tt.want)
		}
	}
}

// printed, seen: Canadian Electrical Code, part I, table 5A, correction factors for the air's temperature, from
// 30 degC, as transcribed at https://github.com/feeeldotca/cec-app (src/store/tables.js). Those for 50 degC are
// the ones of note 1 to 33 CFR 183.425 table 5 (from memory), which has 0.85 for 105 degC. Tolerance: half of
// the last digit, and 0.001.
func TestTemperatureFactorAgainstCanadianCode(t *testing.T) {
	limits := []float64{60, 75, 90, 105, 110, 125, 150, 200, 250}
	for air, factors := range map[float64][]float64{
		35:  {0.91, 0.94, 0.96, 0.97, 0.97, 0.97, 0.98, 0.99, 0.99},
		40:  {0.82, 0.88, 0.91, 0.93, 0.94, 0.95, 0.96, 0.97, 0.98},
		45:  {0.71, 0.82, 0.87, 0.89, 0.90, 0.92, 0.94, 0.95, 0.97},
		50:  {0.58, 0.75, 0.82, 0.86, 0.87, 0.89, 0.91, 0.94, 0.95},
		55:  {0.41, 0.67, 0.76, 0.82, 0.83, 0.86, 0.89, 0.92, 0.94},
		60:  {0, 0.58, 0.71, 0.77, 0.79, 0.83, 0.87, 0.91, 0.93},
		65:  {0, 0.47, 0.65, 0.73, 0.75, 0.79, 0.84, 0.89, 0.92},
		70:  {0, 0.33, 0.58, 0.68, 0.71, 0.76, 0.82, 0.87, 0.90},
		75:  {0, 0, 0.50, 0.63, 0.66, 0.73, 0.79, 0.86, 0.89},
		80:  {0, 0, 0.41, 0.58, 0.61, 0.69, 0.76, 0.84, 0.88},
		90:  {0, 0, 0, 0.45, 0.50, 0.61, 0.71, 0.80, 0.85},
		100: {0, 0, 0, 0.26, 0.35, 0.51, 0.65, 0.77, 0.83},
		110: {0, 0, 0, 0, 0, 0.40, 0.58, 0.73, 0.80},
		120: {0, 0, 0, 0, 0, 0.23, 0.50, 0.69, 0.77},
		130: {0, 0, 0, 0, 0, 0, 0.41, 0.64, 0.74},
		140: {0, 0, 0, 0, 0, 0, 0.29, 0.59, 0.71},
	} {
		for i, want := range factors { // 0: none is printed from the limit on
			if got := factor(t, limits[i], 30, air); !near(got, want, 0.006) {
				t.Errorf("%g degC cable in %g degC: got %.4f, want %g", limits[i], air, got, want)
			}
		}
	}
}

// printed, seen: 33 CFR 183.425 table 5, 105 degC insulation, outside of an engine space (30 degC) and, with
// the factor 0.85 of note 1, inside of one (50 degC), rounded down to the ampere, by AWG 18, 16, 14, 12, 10, 8,
// 6, 4, 2: http://federal.elaws.us/cfr/title-33/section-183.425 for the first column,
// https://www.jamestowndistributors.com "Wire Heat Ratings" for both. The law gives 0.8563 for 0.85, which is
// under 1 % more: hence the tolerance.
func TestDeratedAgainst33CFR(t *testing.T) {
	for _, tt := range []struct {
		awg             int
		outside, inside float64
	}{{18, 20, 17}, {16, 25, 21}, {14, 35, 30}, {12, 45, 38}, {10, 60, 51}, {8, 80, 68}, {6, 120, 102}, {4, 160, 136}, {2, 210, 178}} {
		a := power.Ampacity{Rating: tt.outside, Reference: kelvin(30), Limit: kelvin(105), Temperature: kelvin(30), Conductors: 2}
		if got, err := a.Derated(); err != nil || got != tt.outside {
			t.Errorf("AWG %d at 30 degC: got %g A, %v; want %g", tt.awg, got, err, tt.outside)
		}
		a.Temperature = kelvin(50)
		if got, err := a.Derated(); err != nil || got < tt.inside-0.5 || got > 1.008*(0.85*tt.outside) {
			t.Errorf("AWG %d at 50 degC: got %.2f A, %v; want %g", tt.awg, got, err, tt.inside)
		}
	}
}

// printed, seen: ratings of bundled conductors outside of an engine space, AWG 18, 14 and 10 of 105 degC,
// https://cableyutai.com.tw/tech-02.htm (UL 1426 boat cable). The factors 0.70, 0.60, 0.50 and 0.40 for 3, 4 to
// 6, 7 to 24 and more are printed at http://delzer.com/actuant/globalmarinecatalog, page 212.
func TestBundleAgainstUL1426(t *testing.T) {
	for _, tt := range []struct {
		conductors          int
		awg18, awg14, awg10 float64
	}{{2, 20, 35, 60}, {3, 14, 24.5, 42}, {4, 12, 21, 36}, {6, 12, 21, 36}, {7, 10, 17.5, 30}, {24, 10, 17.5, 30}, {25, 8, 14, 24}} {
		for rating, want := range map[float64]float64{20: tt.awg18, 35: tt.awg14, 60: tt.awg10} {
			a := power.Ampacity{Rating: rating, Reference: kelvin(30), Limit: kelvin(105), Temperature: kelvin(30), Conductors: tt.conductors}
			if got, err := a.Derated(); err != nil || !near(got, want, 1e-9) {
				t.Errorf("%d conductors, %g A alone: got %g A, %v; want %g", tt.conductors, rating, got, err, want)
			}
		}
	}
	for _, n := range []int{0, -1, 501} {
		if f, err := power.BundleFactor(n); err == nil || f != 0 {
			t.Errorf("%d conductors: got %g, %v; want an error", n, f, err)
		}
	}
}

// recomputed by hand: 22 A at 30 degC, 105 degC insulation; 22 sqrt(55/75), sqrt(35/75), sqrt(20/75),
// sqrt(5/75), and nothing from 105 degC on; no more than 22 A in the cold.
func TestDeratedByHand(t *testing.T) {
	for _, tt := range []struct{ air, want float64 }{
		{-30, 22}, {30, 22}, {50, 18.8395}, {70, 15.0289}, {85, 11.3608}, {100, 5.6804}, {105, 0}, {140, 0},
	} {
		a := power.Ampacity{Rating: 22, Reference: kelvin(30), Limit: kelvin(105), Temperature: kelvin(tt.air), Conductors: 2}
		if got, err := a.Derated(); err != nil || !near(got, tt.want, 1e-3) {
			t.Errorf("in %g degC: got %.4f A, %v; want %g", tt.air, got, err, tt.want)
		}
	}
	a := power.Ampacity{Rating: 22, Reference: kelvin(30), Limit: kelvin(32), Temperature: kelvin(30), Conductors: 2}
	if got, err := a.Derated(); err == nil || got != 0 {
		t.Errorf("a limit below any that there is: got %g A, %v", got, err)
	}
	a.Reference, a.Limit = kelvin(60), kelvin(62)
	if got, err := a.Derated(); err == nil || got != 0 {
		t.Errorf("a limit 2 degC above the reference: got %g A, %v", got, err)
	}
}

// printed, seen: classes A to H with 85 to 250 degC, https://www.xiaomilidoc.com/p-10069585.html (a vehicle
// maker's specification of sheathed cables).
func TestInsulationLimit(t *testing.T) {
	for class, want := range map[string]float64{"A": 85, "B": 100, "C": 125, "D": 150, "E": 175, "F": 200, "G": 225, "H": 250} {
		if got, err := power.InsulationLimit(class); err != nil || !near(got, kelvin(want), 1e-9) {
			t.Errorf("class %s: got %g K, %v; want %g degC", class, got, err, want)
		}
	}
	for _, class := range []string{"", "I", "AB", "a"} {
		if got, err := power.InsulationLimit(class); err == nil || got != 0 {
			t.Errorf("class %q: got %g K, %v; want an error", class, got, err)
		}
	}
}

// Against an independent method: the current at which the copper comes to the insulation's limit, found by
// bisection of the balance of heat. A cable loses h per kelvin above the air, and its resistance is that at the
// limit, whatever it is: h is what the stated rating asks for.
func TestDeratedAgainstBalanceOfHeat(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := power.Ampacity{
			Rating: rapid.Float64Range(1, 100).Draw(t, "rating"), Reference: kelvin(rapid.Float64Range(20, 45).Draw(t, "reference")),
			Limit: kelvin(rapid.Float64Range(70, 250).Draw(t, "limit")), Conductors: 1,
		}
		a.Temperature = rapid.Float64Range(a.Reference, a.Limit).Draw(t, "air")
		ohm := rapid.Float64Range(1e-3, 0.1).Draw(t, "ohm a metre")
		h := a.Rating * a.Rating * ohm / (a.Limit - a.Reference) // W a metre and kelvin
		low, high := 0., 2*a.Rating
		for range 200 {
			if i := (low + high) / 2; a.Temperature+i*i*ohm/h > a.Limit {
				high = i
			} else {
				low = i
			}
		}
		if got, err := a.Derated(); err != nil || math.Abs(got-low) > 1e-6*a.Rating {
			t.Fatalf("got %g A, %v; the balance of heat says %g", got, err, low)
		}
	})
}

// A warmer place and more conductors never leave more of a rating.
func TestDeratedFalls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := power.Ampacity{
			Rating: rapid.Float64Range(1, 100).Draw(t, "rating"), Reference: kelvin(rapid.Float64Range(20, 45).Draw(t, "reference")),
			Limit:       kelvin(rapid.Float64Range(70, 250).Draw(t, "limit")),
			Temperature: kelvin(rapid.Float64Range(-40, 200).Draw(t, "air")), Conductors: rapid.IntRange(1, 40).Draw(t, "conductors"),
		}
		before, err := a.Derated()
		if err != nil {
			t.Fatal(err)
		}
		worse := a
		worse.Temperature += rapid.Float64Range(0, 40).Draw(t, "warmer")
		worse.Conductors += rapid.IntRange(0, 40).Draw(t, "more")
		if after, err := worse.Derated(); err != nil || after > before || after < 0 {
			t.Fatalf("got %g A after %g, %v", after, before, err)
		}
	})
}
