package facts_test

import (
	"math"
	"testing"

	"kitgauge/checker/facts"
	"kitgauge/checker/value"
)

// oneLineKit is a pump with one line to one point, at the temperature at
// which its grease was measured.
const oneLineKit = `
vehicle:
  ambient: {from: 25 degC, to: 35 degC}
  hours_a_day: 10 h
  days_a_week: 6
points:
  - {id: P, name: Pin, bearing: {kind: pin, diameter: 50 mm, width: 70 mm}, back_pressure: 5 bar}
pump:
  part: PUMP
  timer: {pause: 58 min, run: 2 min}
  grease: GREASE
  outlets: [{number: 1, element: ELEMENT}]
lines:
  - {number: 1, outlet: 1, point: P, tube: TUBE, cut_length: 5 m, pump_fitting: STRONG, point_fitting: WEAK}
`

const oneLineParts = `
title: parts
parts:
  - {number: PUMP, kind: pump, outlets: 1, element_series: [E], pressure: 120 bar, stroke_time: 1 min, element_drive: steady, softest_grease: "00", stiffest_grease: "2"}
  - {number: ELEMENT, kind: element, series: E, stroke_volume: 1 cm3, pressure: 110 bar}
  - number: TUBE
    kind: tube
    inner: 4 mm
    pressure: 200 bar
    derating: [{temperature: 20 degC, share: 1}, {temperature: 50 degC, share: 0.8}]
  - {number: STRONG, kind: fitting, pressure: 250 bar}
  - {number: WEAK, kind: fitting, pressure: 100 bar}
  - number: GREASE
    kind: grease
    grade: "1"
    density: 900 kg/m3
    yield_stress: 189 Pa
    yield_at: 25 degC
    yield_halving: 25 K
    consistency: 4.1
    flow_index: 0.797
    oil_viscosity_40: 73.30 mm2/s
    oil_viscosity_100: 8.86 mm2/s
`

// computed reads kit and parts, each with the texts in pairs replaced in it,
// and works it out.
func computed(t *testing.T, pairs ...string) *facts.Kit {
	t.Helper()
	return fromText(t, oneLineKit, oneLineParts, pairs...)
}

func near(got value.Number, want float64) bool {
	return got.Known && math.Abs(got.V-want) <= 1e-6*math.Abs(want)
}

const bar = 1e5

func TestLinePressures(t *testing.T) {
	f := computed(t)
	l := f.Lines[0]
	for _, tt := range []struct {
		source string
		got    value.Number
		want   float64
	}{
		{"recomputed: 4 x 189 Pa x 5 m / 4 mm, and 5 bar", l.StartPressure, (9.45 + 5) * bar},
		{"recomputed: Herschel-Bulkley (189 Pa, 4.1, 0.797), 4 mm, 5 m, 1 cm3/min: 10.93393 bar, and 5 bar", l.RunningPressure, (10.93393 + 5) * bar},
		{"limit: the weaker of pump and element", l.Supply.Pressure, 110 * bar},
		{"limit: the weaker of the fittings", l.Fittings.Pressure, 100 * bar},
		{"recomputed: halfway between the rows at 20 and 50 degC", l.TubeRating.Pressure, 0.9 * 200 * bar},
		{"limit: bore times drop over room", l.Supply.Bore, 0.004 * 9.45 / 105},
		{"limit: length times room over drop", l.Supply.Length, 5 * 105 / 9.45},
		{"limit: one line is as hard as itself", f.Pump.Spread, 1},
	} {
		if !near(tt.got, tt.want) {
			t.Errorf("%s: got %v (%s), want %v", tt.source, tt.got.V, tt.got.Why, tt.want)
		}
	}
	if got := l.Supply.Part.V; got != "the element ELEMENT" {
		t.Errorf("got %q as the weaker of pump and element", got)
	}
}

func TestPressuresInTheCold(t *testing.T) {
	// 25 K below the temperature of the yield stress, which doubles; the
	// consistency follows the oil of ASTM D2270 clause 5.1.4, 172.841 mm²/s at
	// 25 °C and 1233.07 mm²/s at 0 °C (recomputed with ASTM D341).
	f := computed(t, "from: 25 degC", "from: 0 degC")
	if want := 2 * 189.0; !near(f.Pump.ColdYield, want) {
		t.Errorf("yield stress: got %v (%s), want %v", f.Pump.ColdYield.V, f.Pump.ColdYield.Why, want)
	}
	want := 4.1 * math.Pow(1233.07/172.841, 0.797)
	if got := f.Pump.ColdConsistency; math.Abs(got.V-want) > 1e-4*want {
		t.Errorf("consistency: got %v (%s), want %v", got.V, got.Why, want)
	}
}

func TestPeakOfAStroke(t *testing.T) {
	// Limit: a sine peaks at π/2 of its mean; where nobody says, a crank drives.
	for _, tt := range []struct {
		drive, says string
		want        float64
	}{
		{", element_drive: steady", "the element is driven steadily", 1},
		{", element_drive: crank", "a crank drives the element, whose flow peaks at pi/2 of the mean", math.Pi / 2},
		{"", "the catalogue does not say how the element is driven: taken as by a crank, whose flow peaks at pi/2 of the mean", math.Pi / 2},
	} {
		l := computed(t, ", element_drive: steady", tt.drive).Lines[0]
		if !near(l.PeakFlow, tt.want*1e-6/60) || l.DriveSays.V != tt.says {
			t.Errorf("%q: got %v, %q; want %v, %q", tt.drive, l.PeakFlow.V, l.DriveSays.V, tt.want*1e-6/60, tt.says)
		}
	}
}

func TestBackPressureInTheCold(t *testing.T) {
	// Limit: what the bearing asks for is proportional to the yield stress,
	// which halves every 25 K.
	for _, tt := range []struct {
		at, says string
		want     float64
	}{
		{"back_pressure: 5 bar, back_pressure_at: 25 degC}", ", 10 bar of it at the point (5 bar measured at 25 degC)", 10 * bar},
		{"back_pressure: 5 bar, back_pressure_at: 50 degC}", ", 20 bar of it at the point (5 bar measured at 50 degC)", 20 * bar},
		{"back_pressure: 5 bar, back_pressure_at: -5 degC}", "", 5 * bar},
		{"back_pressure: 5 bar}", ", 8.706 bar of it at the point (5 bar if it was measured in a workshop of 20 degC)", 5 * bar * math.Exp2(20.0/25)},
	} {
		l := computed(t, "from: 25 degC", "from: 0 degC", "back_pressure: 5 bar}", tt.at).Lines[0]
		if !near(l.BackPressure, tt.want) || l.BackSays.V != tt.says {
			t.Errorf("%s: got %v (%s), %q; want %v, %q", tt.at, l.BackPressure.V, l.BackPressure.Why, l.BackSays.V, tt.want, tt.says)
		}
	}
}

func TestYieldStressFromTwo(t *testing.T) {
	// Identity: 189 Pa at 25 °C and four times as much 50 K below is two at half
	// the way, by two yield stresses or by two flow pressures.
	for _, law := range []string{
		"    yield_stress_cold: 756 Pa\n    yield_cold_at: -25 degC\n",
		"    flow_pressures: [{temperature: 20 degC, pressure: 100 mbar}, {temperature: -30 degC, pressure: 400 mbar}]\n",
		"    yield_halving: 100 K\n    flow_pressures: [{temperature: -30 degC, pressure: 400 mbar}, {temperature: 20 degC, pressure: 100 mbar}]\n",
	} {
		f := computed(t, "from: 25 degC", "from: 0 degC", "    yield_halving: 25 K\n", law)
		if got := f.Pump.ColdYield; !near(got, 2*189) {
			t.Errorf("%s: got %v (%s), want %v", law, got.V, got.Why, 2*189)
		}
	}
}

func TestYieldStressIsNotCarriedFar(t *testing.T) {
	const ask = "ask its maker for a second yield stress at -10 degC (yield_stress_cold, yield_cold_at), " +
		"or for its flow pressures by DIN 51805 there and at some 25 degC (flow_pressures)"
	for _, tt := range []struct{ coldest, law, why string }{
		{"-5 degC", "    yield_halving: 25 K\n", ""}, // on the limit
		{"-10 degC", "    yield_halving: 25 K\n", "how stiff part GREASE is was measured 35 K away from -10 degC, and the law is carried 30 K at most: " + ask},
		{"-10 degC", "    yield_stress_cold: 300 Pa\n    yield_cold_at: 10 degC\n", ""},
		{"-10 degC", "    yield_halving: 25 K\n    flow_pressures: [{temperature: -10 degC, pressure: 300 mbar}]\n", "how stiff part GREASE is was measured 35 K away from -10 degC, and the law is carried 30 K at most: " + ask},
	} {
		f := computed(t, "from: 25 degC", "from: "+tt.coldest, "    yield_halving: 25 K\n", tt.law)
		if f.Pump.ColdYield.Known != (tt.why == "") || f.Pump.ColdProblem.V != tt.why {
			t.Errorf("%s, %s: got %q, want %q", tt.coldest, tt.law, f.Pump.ColdProblem.V, tt.why)
		}
	}
}

func TestHottestPoint(t *testing.T) {
	f := computed(t, "back_pressure: 5 bar}", "back_pressure: 5 bar, temperature: 50 degC}")
	if got := f.Lines[0].TubeRating.Pressure; !near(got, 0.8*200*bar) {
		t.Errorf("at a point of 50 degC: got %v (%s), want 160 bar", got.V, got.Why)
	}
}

func TestGradeFault(t *testing.T) {
	// The order of the grades: DIN 51818.
	for _, tt := range []struct{ grade, want string }{
		{`"1"`, ""}, {`"00"`, ""}, {`"2"`, ""}, {`"000"`, "too soft"}, {`"3"`, "too stiff"},
	} {
		got := computed(t, `grade: "1"`, "grade: "+tt.grade).Pump.GradeFault
		if !got.Known || got.V != tt.want {
			t.Errorf("NLGI %s: got %q (%s), want %q", tt.grade, got.V, got.Why, tt.want)
		}
	}
}

func TestUnknownPressures(t *testing.T) {
	start := func(f *facts.Kit) value.Number { return f.Lines[0].StartPressure }
	running := func(f *facts.Kit) value.Number { return f.Lines[0].RunningPressure }
	supply := func(f *facts.Kit) value.Number { return f.Lines[0].Supply.Pressure }
	fittings := func(f *facts.Kit) value.Number { return f.Lines[0].Fittings.Pressure }
	tube := func(f *facts.Kit) value.Number { return f.Lines[0].TubeRating.Pressure }
	for _, tt := range []struct {
		of        func(*facts.Kit) value.Number
		old, text string
		why       string
	}{
		{start, "    yield_stress: 189 Pa\n", "", "the yield stress of part GREASE is not stated"},
		{start, "    yield_halving: 25 K\n", "", "how the yield stress halves (yield_halving) of part GREASE is not stated"},
		{start, "grease: GREASE", "grease: GRASE", `no part "GRASE" in test.parts.yaml; nearest is "GREASE"`},
		{start, "from: 25 degC, ", "", "the lowest ambient temperature (ambient) of the vehicle is not stated"},
		{start, ", cut_length: 5 m", "", "the cut length of line 1 is not stated"},
		{start, ", back_pressure: 5 bar", "", "the back pressure of point P (Pin) is not stated"},
		{start, "point: P,", "", "the point of line 1 is not stated"},
		{start, "tube: TUBE, ", "", "the tube of line 1 is not stated"},
		{running, "    consistency: 4.1\n", "", "the consistency of part GREASE is not stated"},
		{running, "    flow_index: 0.797\n", "", "the flow index of part GREASE is not stated"},
		{running, ", stroke_time: 1 min", "", "the stroke time of part PUMP is not stated"},
		{running, "stroke_time: 1 min", "stroke_time: 0 s", "the stroke time of part PUMP is not above 0"},
		{running, "outlet: 1, ", "", "the outlet of line 1 is not stated"},
		{supply, ", pressure: 110 bar", "", "the pressure of the element ELEMENT is not stated"},
		{supply, ", element: ELEMENT", "", "the metering element of outlet 1 is not stated"},
		{supply, "part: PUMP", "note: none", "the part of the pump is not stated"},
		{fittings, ", pump_fitting: STRONG", "", "the fitting at the pump of line 1 is not stated"},
		{fittings, ", pressure: 250 bar", "", "the pressure of the fitting STRONG is not stated"},
		{tube, ", to: 35 degC", "", "the highest ambient temperature (ambient) of the vehicle is not stated"},
		{tube, "    derating: [{temperature: 20 degC, share: 1}, {temperature: 50 degC, share: 0.8}]\n", "", "the derating of part TUBE is not stated"},
		{tube, "to: 35 degC", "to: 60 degC", "the tube has no rating above 50 degC, and it reaches 60 degC: use a tube rated for the heat or move the line"},
	} {
		got := tt.of(computed(t, tt.old, tt.text))
		if got.Known || got.Why != tt.why {
			t.Errorf("%q as %q: got %v, %q; want %q", tt.old, tt.text, got.V, got.Why, tt.why)
		}
	}
	// only what grows colder than its measurement needs the oil
	got := running(computed(t, "from: 25 degC", "from: 0 degC", "    oil_viscosity_100: 8.86 mm2/s\n", ""))
	if want := "the viscosity of the oil at 100 degC of part GREASE is not stated"; got.Why != want {
		t.Errorf("no oil viscosity at 100 degC: got %q, want %q", got.Why, want)
	}
}

func TestBackPressureAlone(t *testing.T) {
	l := computed(t, "back_pressure: 5 bar", "back_pressure: 115 bar").Lines[0]
	if want := "the back pressure alone is as high"; l.Supply.Bore.Why != want || l.Supply.Length.Why != want {
		t.Errorf("got %q and %q, want %q", l.Supply.Bore.Why, l.Supply.Length.Why, want)
	}
}

func TestReached(t *testing.T) {
	// Limit: no line comes to more than pump and element give.
	l := computed(t, "back_pressure: 5 bar", "back_pressure: 115 bar").Lines[0]
	if !near(l.StartReached, 110*bar) || !near(l.RunningReached, 110*bar) {
		t.Errorf("got %v and %v, want 110 bar", l.StartReached.V, l.RunningReached.V)
	}
	l = computed(t, ", pressure: 110 bar", "").Lines[0]
	if !near(l.StartReached, l.StartPressure.V) {
		t.Errorf("supply not known: got %v (%s), want %v", l.StartReached.V, l.StartReached.Why, l.StartPressure.V)
	}
}

func TestColdProblem(t *testing.T) {
	for _, tt := range []struct{ old, want string }{
		{"    oil_viscosity_40: 73.30 mm2/s\n", "the viscosity of the oil at 40 degC of part GREASE is not stated"},
		{"    yield_stress: 189 Pa\n", "the yield stress of part GREASE is not stated"},
		{"    density: 900 kg/m3\n", ""},
	} {
		got := computed(t, "from: 25 degC", "from: 0 degC", tt.old, "").Pump.ColdProblem
		if !got.Known || got.V != tt.want {
			t.Errorf("without %q: got %q, want %q", tt.old, got.V, tt.want)
		}
	}
}
