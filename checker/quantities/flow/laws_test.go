package flow_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"
	"pgregory.net/rapid"

	"kitgauge/checker/quantities/flow"
)

const (
	mm        = 1e-3
	bar       = 1e5
	cm3PerMin = 1e-6 / 60
)

// near reports whether got is want within a relative tolerance.
func near(got, want, tolerance float64) bool {
	return math.Abs(got-want) <= tolerance*math.Abs(want)
}

func TestStartPressure(t *testing.T) {
	// Limit: 4 τ L / D, the formula printed at myengineeringtools.com, "Minimum
	// pressure drop for yield stress fluids in pipes"; values worked by hand.
	for _, tt := range []struct{ bore, yield, want float64 }{
		{2, 100, 10 * bar}, {2.5, 500, 40 * bar}, {3, 100, 6.666667 * bar},
		{4, 200, 10 * bar}, {4, 2000, 100 * bar}, {6, 1000, 33.33333 * bar}, {6, 0, 0},
	} {
		got, err := flow.Tube{Bore: tt.bore * mm, Length: 5}.StartPressure(tt.yield)
		if err != nil || !near(got, tt.want, 1e-6) {
			t.Errorf("bore %g mm, yield %g Pa: got %g Pa, %v; want %g Pa", tt.bore, tt.yield, got, err, tt.want)
		}
	}
}

// Two special cases of the one law.

func newtonian(viscosity float64) flow.HerschelBulkley { return bingham(0, viscosity) }

func bingham(yield, viscosity float64) flow.HerschelBulkley {
	return flow.HerschelBulkley{Yield: yield, Consistency: viscosity, Index: 1}
}

func TestNewtonian(t *testing.T) {
	for _, tt := range []struct {
		source     string
		tube       flow.Tube
		viscosity  float64
		flow, drop float64
	}{
		{"recomputed: FOSSEE Scilab textbook companion 1268, example 3.6 (problem printed, answer not)",
			flow.Tube{Bore: 4.45 * mm, Length: 1}, 0.8, 1.503834e-6, 125000},
		{"recomputed: 128 μ L q / (π D⁴)", flow.Tube{Bore: 4 * mm, Length: 5}, 0.2, cm3PerMin, 2652.582},
		{"limit: half the bore, 16 times the pressure", flow.Tube{Bore: 2 * mm, Length: 5}, 0.2, cm3PerMin, 16 * 2652.582},
		{"limit: five times the viscosity, five times the pressure", flow.Tube{Bore: 4 * mm, Length: 5}, 1, cm3PerMin, 5 * 2652.582},
		{"limit: no flow, no pressure", flow.Tube{Bore: 4 * mm, Length: 5}, 1, 0, 0},
	} {
		drop, err := newtonian(tt.viscosity).Pressure(tt.tube, tt.flow)
		if err != nil || !near(drop, tt.drop, 1e-6) {
			t.Errorf("%s: got %g Pa, %v; want %g Pa", tt.source, drop, err, tt.drop)
		}
	}
}

// buckinghamReiner is the flow of a Bingham lubricant in the form in which the
// textbooks print it: Hagen-Poiseuille times 1 - 4φ/3 + φ⁴/3, with φ = yield
// stress over wall stress (Chhabra and Richardson, Non-Newtonian Flow and
// Applied Rheology, chapter 3).
func buckinghamReiner(f flow.HerschelBulkley, t flow.Tube, drop float64) float64 {
	phi := 4 * f.Yield * t.Length / (t.Bore * drop)
	return math.Pi * math.Pow(t.Bore, 4) * drop / (128 * f.Consistency * t.Length) * (1 - 4*phi/3 + math.Pow(phi, 4)/3)
}

func TestBinghamPressure(t *testing.T) {
	for _, tt := range []struct {
		source     string
		grease     flow.HerschelBulkley
		tube       flow.Tube
		flow, want float64
	}{
		{"recomputed: Chhabra and Richardson, china clay example (printed problem: plug velocity 0.6 m/s)",
			bingham(15, 0.15), flow.Tube{Bore: 40 * mm, Length: 200}, 5.226295e-4, 639198.7},
		{"recomputed: unifolks.com, Bingham fluid in a horizontal tube (problem printed, answer not); phi 0.96",
			bingham(1000, 0.1), flow.Tube{Bore: 4 * mm, Length: 1}, 2e-7, 1041251.7},
		{"limit: no flow, start-up pressure",
			bingham(1000, 0.1), flow.Tube{Bore: 4 * mm, Length: 1}, 0, 1e6},
	} {
		got, err := tt.grease.Pressure(tt.tube, tt.flow)
		if err != nil || !near(got, tt.want, 1e-7) {
			t.Errorf("%s: got %.8g Pa, %v; want %.8g Pa", tt.source, got, err, tt.want)
		}
	}
}

func TestHerschelBulkleyPressure(t *testing.T) {
	// Recomputed: inverse of the closed form, checked against the integral of
	// Berk's velocity profile (Food Process Engineering and Technology, eq.
	// 2.27 to 2.30). Columns: Pa, Pa·sⁿ, n, mm, m, cm³/min, bar.
	for _, tt := range []struct{ yield, consistency, index, bore, length, flow, want float64 }{
		{650, 20.6, 0.605, 4, 5, 1, 37.58625},
		{650, 20.6, 0.605, 4, 5, 0.1, 34.53551},
		{189, 4.1, 0.797, 4, 5, 1, 10.93393},
		{300, 10, 0.5, 4, 5, 1, 17.08266},
		{100, 5, 0.6, 3, 8, 0.5, 13.09582},
		{50, 2, 0.7, 2, 10, 0.2, 12.56674},
		{650, 20.6, 0.605, 4, 5, 0, 32.5}, // limit: start-up
		{300, 10, 0.5, 4, 5, 11.07411, 20},
		{300, 10, 0.5, 4, 5, 0.1217858, 16},
		{300, 10, 1, 4, 5, 1.590431, 20}, // limit: n = 1 is Buckingham-Reiner
		{300, 5, 1, 4, 5, 0.1807643, 16},
		{300, 5, 1, 2, 5, 0.3976078, 40},
		{0, 10, 0.5, 4, 5, 482.5486, 20}, // limit: no yield stress is the power law
	} {
		grease := flow.HerschelBulkley{Yield: tt.yield, Consistency: tt.consistency, Index: tt.index}
		got, err := grease.Pressure(flow.Tube{Bore: tt.bore * mm, Length: tt.length}, tt.flow*cm3PerMin)
		if err != nil || !near(got, tt.want*bar, 5e-7) {
			t.Errorf("%+v: got %.8g bar, %v", tt, got/bar, err)
		}
	}
}

// lubricant draws a grease and a tube as they occur in the trade.
func lubricant(t *rapid.T) (flow.HerschelBulkley, flow.Tube) {
	return flow.HerschelBulkley{
			Yield:       rapid.Float64Range(1, 3000).Draw(t, "yield"),
			Consistency: rapid.Float64Range(0.5, 200).Draw(t, "consistency"),
			Index:       rapid.Float64Range(0.25, 1.2).Draw(t, "index"),
		}, flow.Tube{
			Bore:   rapid.Float64Range(1, 12).Draw(t, "bore mm") * mm,
			Length: rapid.Float64Range(0.1, 30).Draw(t, "length"),
		}
}

// profileFlow integrates the velocity profile of Berk, eq. 2.27 to 2.30, over
// the cross-section: the plug moves as one, the rest is summed in rings.
func profileFlow(f flow.HerschelBulkley, t flow.Tube, drop float64) float64 {
	radius, s := t.Bore/2, 1/f.Index
	gradient := drop / (2 * t.Length)
	wall, plug := gradient*radius, f.Yield/gradient
	velocity := func(r float64) float64 {
		return (math.Pow(wall-f.Yield, s+1) - math.Pow(math.Max(gradient*r-f.Yield, 0), s+1)) /
			(gradient * (s + 1) * math.Pow(f.Consistency, s))
	}
	rings := quad.Fixed(func(r float64) float64 { return 2 * math.Pi * r * velocity(r) }, plug, radius, 400, nil, 0)
	return rings + math.Pi*plug*plug*velocity(plug)
}

func TestHerschelBulkleyAgainstIntegratedProfile(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f, tube := lubricant(t)
		want := rapid.Float64Range(0.01, 100).Draw(t, "flow cm3/min") * cm3PerMin
		drop, err := f.Pressure(tube, want)
		if err != nil {
			t.Fatal(err)
		}
		// The excess over the start-up pressure carries the flow; where it is
		// a small part of the pressure, its last digits are lost in both.
		excess := 1 - f.Yield/(drop*tube.Bore/(4*tube.Length))
		if got := profileFlow(f, tube, drop); !near(got, want, 1e-6+1e-13/excess) {
			t.Errorf("%+v %+v at %g Pa: integral %g, want %g", f, tube, drop, got, want)
		}
	})
}

func TestHerschelBulkleyWithIndexOneIsBingham(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f, tube := lubricant(t)
		f.Index = 1
		q := rapid.Float64Range(0.01, 100).Draw(t, "flow cm3/min") * cm3PerMin
		drop, err := f.Pressure(tube, q)
		if err != nil {
			t.Fatal(err)
		}
		// 1 - 4φ/3 + φ⁴/3 loses its digits where φ is close to 1.
		open := 1 - 4*f.Yield*tube.Length/(tube.Bore*drop)
		if got := buckinghamReiner(f, tube, drop); !near(got, q, 1e-9+1e-14/(open*open)) {
			t.Errorf("%+v %+v at %g Pa: got %g, want %g", f, tube, drop, got, q)
		}
	})
}

func TestNoYieldStressIsHagenPoiseuille(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f, tube := lubricant(t)
		q := rapid.Float64Range(0.01, 100).Draw(t, "flow cm3/min") * cm3PerMin
		want := 128 * f.Consistency * tube.Length * q / (math.Pi * math.Pow(tube.Bore, 4))
		if got, err := newtonian(f.Consistency).Pressure(tube, q); err != nil || !near(got, want, 1e-11) {
			t.Errorf("got %g, %v; want %g", got, err, want)
		}
	})
}

func TestMoreFlowNeedsMorePressure(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f, tube := lubricant(t)
		q := rapid.Float64Range(0.01, 100).Draw(t, "flow cm3/min") * cm3PerMin
		start, _ := tube.StartPressure(f.Yield)
		less, err := f.Pressure(tube, q)
		if err != nil {
			t.Fatal(err)
		}
		more, err := f.Pressure(tube, 1.5*q)
		if err != nil {
			t.Fatal(err)
		}
		if !(start < less && less < more) {
			t.Errorf("start %g, at q %g, at 1.5 q %g: want rising", start, less, more)
		}
	})
}

func TestLawsRefuse(t *testing.T) {
	tube := flow.Tube{Bore: 4 * mm, Length: 5}
	nan, inf := math.NaN(), math.Inf(1)
	for name, call := range map[string]func() (float64, error){
		"no bore":            func() (float64, error) { return flow.Tube{Length: 1}.StartPressure(1) },
		"endless tube":       func() (float64, error) { return flow.Tube{Bore: 1, Length: inf}.StartPressure(1) },
		"negative yield":     func() (float64, error) { return tube.StartPressure(-1) },
		"yield not a number": func() (float64, error) { return tube.StartPressure(nan) },
		"flow not a number":  func() (float64, error) { return newtonian(1).Pressure(tube, nan) },
		"negative flow":      func() (float64, error) { return newtonian(1).Pressure(tube, -1) },
		"overflow":           func() (float64, error) { return newtonian(1e300).Pressure(tube, 1e300) },
		"index too low":      func() (float64, error) { return flow.HerschelBulkley{1, 1, 0.05}.Pressure(tube, 1) },
		"index not a number": func() (float64, error) { return flow.HerschelBulkley{1, 1, nan}.Pressure(tube, 1) },
		"no consistency":     func() (float64, error) { return flow.HerschelBulkley{1, 0, 1}.Pressure(tube, 1) },
		"absurd flow":        func() (float64, error) { return flow.HerschelBulkley{1, 1, 1}.Pressure(tube, 1e308) },
	} {
		if got, err := call(); err == nil {
			t.Errorf("%s: got %g, want an error", name, got)
		}
	}
}

func TestNeverNaNNorInfinite(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		any := rapid.Float64()
		f := flow.HerschelBulkley{any.Draw(t, "yield"), any.Draw(t, "consistency"), rapid.Float64Range(0, 3).Draw(t, "index")}
		tube := flow.Tube{Bore: any.Draw(t, "bore"), Length: any.Draw(t, "length")}
		x := any.Draw(t, "x")
		if got, err := f.Pressure(tube, x); err == nil && (math.IsNaN(got) || math.IsInf(got, 0) || got < 0) {
			t.Errorf("got %g", got)
		}
	})
}

func BenchmarkHerschelBulkleyPressure(b *testing.B) {
	grease := flow.HerschelBulkley{Yield: 650, Consistency: 20.6, Index: 0.605}
	tube := flow.Tube{Bore: 4 * mm, Length: 5}
	for b.Loop() {
		if _, err := grease.Pressure(tube, cm3PerMin); err != nil {
			b.Fatal(err)
		}
	}
}
