package flow_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"kitgauge/checker/quantities/flow"
)

const (
	mm2PerS = 1e-6
	zeroC   = 273.15
)

func TestYieldStressAt(t *testing.T) {
	// Recomputed: 500 Pa at 25 °C, law τ0·2^((T0-T)/b) (form from memory, Lugt).
	for _, tt := range []struct{ halving, celsius, want float64 }{
		{20, -20, 2378.414}, {20, 0, 1189.207},
		{30, -20, 1414.214}, {30, 0, 890.8987},
		{40, -20, 1090.508}, {40, 0, 771.1054},
		{20, 25, 500}, {20, 45, 250}, // limit: at T0, and one step warmer
	} {
		law := flow.YieldStress{Yield: 500, Temperature: 25 + zeroC, Halving: tt.halving}
		got, err := law.At(tt.celsius + zeroC)
		if err != nil || !near(got, tt.want, 1e-6) {
			t.Errorf("b %g K at %g degC: got %g Pa, %v; want %g Pa", tt.halving, tt.celsius, got, err, tt.want)
		}
	}
}

func TestWalther(t *testing.T) {
	// The first oil is the pair printed in ASTM D2270 clause 5.1.4; the rest of
	// each row is recomputed with the ASTM D341 equation.
	celsius := []float64{-20, -10, 0, 20, 25, 40, 60, 80, 100, 120}
	for _, tt := range []struct {
		at40, at100, a, b float64
		want              []float64 // mm²/s
	}{
		{73.30, 8.86, 9.458393, 3.680946, []float64{12292.7, 3515.98, 1233.07, 240.981, 172.841, 73.300, 30.0826, 15.1804, 8.8600, 5.74212}},
		{220, 18.7, 8.895686, 3.416110, []float64{70323.5, 17628.9, 5472.93, 863.344, 590.436, 220, 78.1887, 35.1468, 18.7, 11.2517}},
		{220, 19.0, 8.822197, 3.386665, []float64{65589.9, 16769.9, 5286.94, 852.075, 585.012, 220, 78.8199, 35.6046, 19.0, 11.4527}},
		{100, 11.4, 9.059321, 3.509015, []float64{16788.9, 4874.51, 1719.49, 334.280, 238.924, 100, 40.2170, 19.8916, 11.4, 7.27116}},
	} {
		line, err := flow.FitWalther(
			flow.ViscosityPoint{Temperature: 40 + zeroC, Kinematic: tt.at40 * mm2PerS},
			flow.ViscosityPoint{Temperature: 100 + zeroC, Kinematic: tt.at100 * mm2PerS})
		if err != nil || !near(line.A, tt.a, 1e-6) || !near(line.B, tt.b, 1e-6) {
			t.Errorf("%g/%g: got %+v, %v; want A %g, B %g", tt.at40, tt.at100, line, err, tt.a, tt.b)
		}
		for i, c := range celsius {
			got, err := line.Kinematic(c + zeroC)
			if err != nil || !near(got, tt.want[i]*mm2PerS, 5e-6) {
				t.Errorf("%g/%g at %g degC: got %g mm2/s, %v; want %g", tt.at40, tt.at100, c, got/mm2PerS, err, tt.want[i])
			}
		}
	}
}

func TestWaltherPrintedExample(t *testing.T) {
	// Printed: scribd.com/document/361017004, "Viscosity vs Temperature
	// Calculator" after ASTM D341: 32 mm²/s at 313 K, 5.4 at 373 K give A
	// 9.5259, B 3.7449 and 8.5 mm²/s at 353 K.
	line, err := flow.FitWalther(
		flow.ViscosityPoint{Temperature: 373, Kinematic: 5.4 * mm2PerS},
		flow.ViscosityPoint{Temperature: 313, Kinematic: 32 * mm2PerS})
	if err != nil || math.Abs(line.A-9.5259) > 5e-5 || math.Abs(line.B-3.7449) > 5e-5 {
		t.Errorf("got %+v, %v; want A 9.5259, B 3.7449", line, err)
	}
	if got, err := line.Kinematic(353); err != nil || math.Abs(got/mm2PerS-8.5) > 0.05 {
		t.Errorf("got %g mm2/s, %v; want 8.5", got/mm2PerS, err)
	}
}

func TestWaltherReproducesItsPoints(t *testing.T) {
	// Limit. Among the pairs: 22.83 and 5.05, printed in ASTM D2270 clause 6.1.4.
	check := func(cold, hot float64) string {
		p := flow.ViscosityPoint{Temperature: 40 + zeroC, Kinematic: cold * mm2PerS}
		q := flow.ViscosityPoint{Temperature: 100 + zeroC, Kinematic: hot * mm2PerS}
		line, err := flow.FitWalther(p, q)
		if err != nil {
			return err.Error()
		}
		for _, point := range []flow.ViscosityPoint{p, q} {
			if got, err := line.Kinematic(point.Temperature); err != nil || !near(got, point.Kinematic, 1e-9) {
				return "a fitted point is not on the line"
			}
		}
		return ""
	}
	if problem := check(22.83, 5.05); problem != "" {
		t.Error(problem)
	}
	rapid.Check(t, func(t *rapid.T) {
		hot := rapid.Float64Range(2, 100).Draw(t, "at 100 degC")
		if problem := check(hot*rapid.Float64Range(1.5, 30).Draw(t, "ratio"), hot); problem != "" {
			t.Error(problem)
		}
	})
}

// The table is the tube maker's; that it is read in straight lines is common
// practice, no source.
func TestWorkingPressure(t *testing.T) {
	// Limit: a made-up table; the rows themselves, halfway between, and the ends.
	table := flow.Derating{{20 + zeroC, 1}, {60 + zeroC, 0.5}, {80 + zeroC, 0.25}}
	for _, tt := range []struct{ celsius, want float64 }{
		{20, 100}, {60, 50}, {80, 25}, {40, 75}, {70, 37.5}, {-40, 100},
	} {
		got, err := table.WorkingPressure(100*bar, tt.celsius+zeroC)
		if err != nil || !near(got, tt.want*bar, 1e-12) {
			t.Errorf("%g degC: got %g bar, %v; want %g bar", tt.celsius, got/bar, err, tt.want)
		}
	}
	_, err := table.WorkingPressure(100*bar, 81+zeroC)
	if err == nil || !strings.Contains(err.Error(), "no rating above 80 degC") {
		t.Errorf("above the table: got %v", err)
	}
}

func TestWorkingPressureFallsWithHeat(t *testing.T) {
	table := flow.Derating{{250, 0.95}, {300, 0.8}, {340, 0.8}, {370, 0.1}}
	rapid.Check(t, func(t *rapid.T) {
		cold := rapid.Float64Range(200, 370).Draw(t, "cold")
		hot := rapid.Float64Range(cold, 370).Draw(t, "hot")
		strong, err1 := table.WorkingPressure(1e7, cold)
		weak, err2 := table.WorkingPressure(1e7, hot)
		if err1 != nil || err2 != nil || weak > strong*(1+1e-12) {
			t.Errorf("%g Pa at %g K, %g Pa at %g K (%v, %v)", strong, cold, weak, hot, err1, err2)
		}
	})
}

func TestConsistencyGrades(t *testing.T) {
	// Printed: ASTM D217 scope as copied at realservices.com.
	for want, grade := range []string{"000", "00", "0", "1", "2", "3", "4", "5", "6"} {
		if got, err := flow.ConsistencyRank(grade); err != nil || got != want {
			t.Errorf("NLGI %s: got rank %d, %v; want %d", grade, got, err, want)
		}
	}
	// "0000" is a misprint that circulates for the softest.
	for _, grade := range []string{"0000", "7", "", "2.5", " 2"} {
		if _, err := flow.ConsistencyRank(grade); err == nil {
			t.Errorf("NLGI %q: want an error", grade)
		}
	}
}

func TestTablesRefuse(t *testing.T) {
	nan := math.NaN()
	fit := func(t1, v1, t2, v2 float64) error {
		_, err := flow.FitWalther(flow.ViscosityPoint{Temperature: t1, Kinematic: v1}, flow.ViscosityPoint{Temperature: t2, Kinematic: v2})
		return err
	}
	kinematic := func(w flow.Walther, at float64) error { _, err := w.Kinematic(at); return err }
	yield := func(y flow.YieldStress, at float64) error { _, err := y.At(at); return err }
	working := func(d flow.Derating, rated, at float64) error { _, err := d.WorkingPressure(rated, at); return err }
	oil := flow.Walther{A: 9.458393, B: 3.680946}
	for name, err := range map[string]error{
		"one temperature twice":    fit(313, 1e-4, 313, 1e-5),
		"thicker when hot":         fit(313, 1e-5, 373, 1e-4),
		"thinner than 2 mm2/s":     fit(313, 1e-4, 373, 1.9e-6),
		"viscosity not a number":   fit(313, nan, 373, 1e-5),
		"temperature below zero":   fit(-1, 1e-4, 373, 1e-5),
		"too hot for the line":     kinematic(oil, 500),
		"too cold for the line":    kinematic(oil, 150),
		"temperature not a number": kinematic(oil, nan),
		"empty line":               kinematic(flow.Walther{}, 300),
		"A not a number":           kinematic(flow.Walther{A: nan, B: 1}, 300),
		"halving in no kelvin":     yield(flow.YieldStress{Yield: 500, Temperature: 298}, 253),
		"yield overflow":           yield(flow.YieldStress{Yield: 500, Temperature: 298, Halving: 0.1}, 1),
		"yield at zero kelvin":     yield(flow.YieldStress{Yield: 500, Temperature: 298, Halving: 20}, 0),
		"yield stated nowhere":     yield(flow.YieldStress{Yield: 500, Halving: 20}, 253),
		"negative yield":           yield(flow.YieldStress{Yield: -1, Temperature: 298, Halving: 20}, 253),
		"empty table":              working(nil, 1, 300),
		"rows out of order":        working(flow.Derating{{300, 1}, {300, 0.5}}, 1, 250),
		"fraction above one":       working(flow.Derating{{300, 1.1}}, 1, 250),
		"fraction zero":            working(flow.Derating{{300, 0}}, 1, 250),
		"fraction rises":           working(flow.Derating{{300, 0.5}, {320, 0.6}}, 1, 250),
		"row not a number":         working(flow.Derating{{nan, 0.5}}, 1, 250),
		"no rated pressure":        working(flow.Derating{{300, 1}}, 0, 250),
		"tube not a temperature":   working(flow.Derating{{300, 1}}, 1, nan),
	} {
		if err == nil {
			t.Errorf("%s: want an error", name)
		}
	}
}
