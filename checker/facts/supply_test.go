package facts_test

import (
	"math"
	"testing"

	"kitgauge/checker/facts"
	"kitgauge/checker/value"
)

// suppliedKit is worked by hand in the tests below.
const suppliedKit = `
vehicle:
  ambient: {from: -30 degC, to: 20 degC}
  wash_down: hose
  hours_a_day: 8 h
  days_a_week: 5
  supply: 24 V
  refill_interval: 10 wk
pump:
  part: PUMP
  timer: {pause: 57 min, run: 3 min}
  fill: {lower_mark: 0.1 l, upper_mark: 1 l, filled: 0.25 l}
  grease: GREASE
  outlets: [{number: 1, element: SMALL}, {number: 2, element: MEDIUM}, {number: 3, element: LARGE}, {number: 4, element: LARGE}]
points: [{id: P1}, {id: P2}, {id: P3}]
lines:
  - {number: 1, outlet: 1, point: P1, tube: TUBE, cut_length: 4 m}
  - {number: 2, outlet: 2, point: P2, tube: TUBE, cut_length: 3 m}
  - {number: 3, outlet: 3, point: P3, tube: TUBE, cut_length: 2 m}
feed:
  take_off: ignition
  circuit: {rating: 15 A, load: 4 A}
  fuse: FUSE
  cable: CABLE
  length: 5 m
  return: cable
  connectors: [{name: inside, part: DRY, place: cab}, {name: outside, part: WET, place: frame}]
`

const suppliedParts = `
title: parts
parts:
  - {number: PUMP, kind: pump, outlets: 4, element_series: [E], voltage: 24 V, minimum_voltage: 18 V, draw: 3 A, stroke_time: 1 min, reservoir: 1.2 l}
  - {number: SMALL, kind: element, series: E, stroke_volume: 15 mm3}
  - {number: MEDIUM, kind: element, series: E, stroke_volume: 25 mm3}
  - {number: LARGE, kind: element, series: E, stroke_volume: 50 mm3}
  - {number: TUBE, kind: tube, inner: 2.5 mm}
  - {number: GREASE, kind: grease, density: 900 kg/m3}
  - {number: FUSE, kind: fuse, rating: 7.5 A}
  - {number: CABLE, kind: cable, area: 2.5 mm2, rating: 22 A}
  - {number: DRY, kind: connector, enclosure: IP20}
  - {number: WET, kind: connector, enclosure: IP66/IP67}
`

func supplied(t testing.TB, pairs ...string) *facts.Kit {
	t.Helper()
	return fromText(t, suppliedKit, suppliedParts, pairs...)
}

const (
	litre  = 1e-3
	anHour = 3600.0
	aWeek  = 7 * 24 * anHour
)

func TestReservoirByHand(t *testing.T) {
	p := supplied(t).Pump
	for _, tt := range []struct {
		working string
		got     value.Number
		want    float64
	}{
		{"3 min of 60 min", p.DutyCycle, 0.05},
		{"3 strokes x (15 + 25 + 50) mm3 = 270 mm3 in each hour; outlet 4 has no line", p.Delivery, 270e-9 / anHour},
		{"270 mm3/h x 8 h x 5 d x 10 wk = 270 mm3/h x 400 h = 108 cm3", p.Consumption, 0.108 * litre},
		{"0.25 l - 0.1 l", p.Usable, 0.15 * litre},
		{"150 / 108 - 1 = 42 / 108", p.Reserve, 42.0 / 108},
		{"150 cm3 / (10.8 cm3/wk) = 13.888... wk", p.Lasts, 13.888888888889 * aWeek},
		{"pi/4 x (2.5 mm)2 x 9 m = 4.908739 mm2 x 9 m = 44.17865 cm3", p.Priming, 44.17865e-6},
		{"250 cm3 + 44.17865 cm3", p.FirstNeed, 294.17865e-6},
		{"0.25 l x 900 kg/m3", p.GreaseMass, 0.225},
	} {
		if !near(tt.got, tt.want) {
			t.Errorf("%s: got %v (%s), want %v", tt.working, tt.got.V, tt.got.Why, tt.want)
		}
	}
	if p.Strokes.V != 3 || !p.MarksRise.V {
		t.Errorf("got %d strokes, marks in order %v; want 3, true", p.Strokes.V, p.MarksRise.V)
	}
	counted := supplied(t, "run: 3 min", "strokes: 3").Pump
	if counted.Delivery != p.Delivery || counted.DutyCycle != p.DutyCycle {
		t.Errorf("3 strokes of 1 min: got %v, a run of 3 min %v", counted.Delivery, p.Delivery)
	}
	if low := supplied(t, "filled: 0.25 l", "filled: 0.05 l").Pump; low.Usable.V != 0 || !low.Usable.Known || low.Reserve.V != -1 {
		t.Errorf("filled below the lower mark: got %v usable, reserve %v; want 0, -1", low.Usable.V, low.Reserve.V)
	}
}

func TestFeedByHand(t *testing.T) {
	f := supplied(t).Feed
	for _, tt := range []struct {
		working   string
		got       value.Number
		want, tol float64
	}{
		{"3 A x 24 V / 18 V, at constant power", f.HighestDraw, 4, 1e-9},
		{"4 A / 0.75; in air of 20 degC the share is whole", f.FuseNeed, 16.0 / 3, 1e-9},
		{"the rating above 5.33 A (ISO 8820-3, from memory)", f.NextFuse, 7.5, 0},
		{"the largest rating within 22 A (ISO 8820-3, from memory)", f.CableFuse, 20, 0},
		{"0.75 x 15 A - 4 A - 4 A", f.Spare, 3.25, 1e-9},
		// IEC 60228 class 5, 20 degC: 2.5 mm2 7.98 ohm/km (from memory); two cores of 5 m
		{"7.98 ohm/km x 10 m", f.Resistance, 0.0798, 1e-4},
		{"4 A x 0.0798 ohm / 24 V", f.Drop, 0.0133, 2e-5},
		{"22 A: in air of 20 degC no more than stated", f.CableRating, 22, 1e-9},
		{"24 V x 0.875: 12 cells of 1.75 V", f.LeastSupply, 21, 1e-9},
		{"2 connectors x 2 contacts x 5 mohm", f.Contacts, 0.020, 1e-9},
		{"0.15 V / 7.5 A and a holder of 2 x 5 mohm", f.FuseHolder, 0.030, 1e-9},
		{"0.0798 + 0.020 + 0.030 ohm", f.WholeOhm, 0.1298, 1e-4},
		{"21 V - 4 A x 0.1298 ohm", f.PumpVoltage, 20.4808, 5e-4},
		{"4 A x 0.1298 ohm / 24 V", f.WholeDrop, 0.021633, 2e-5},
		// 3 % of 24 V over 4 A and 10 m are 18 ohm/km: 1 mm2 has 19.5, 1.5 mm2 13.3 (class 5, from memory)
		{"the area with at most 18 ohm/km", f.NextCable, 1.5e-6, 1e-15},
	} {
		if !tt.got.Known || math.Abs(tt.got.V-tt.want) > tt.tol {
			t.Errorf("%s: got %v (%s), want %v", tt.working, tt.got.V, tt.got.Why, tt.want)
		}
	}
	// 0.1 V at 4 A are 25 mohm of chassis, unless the kit states them
	for text, ohm := range map[string]float64{"return: chassis": 0.025, "return: chassis\n  return_resistance: 8 mohm": 0.008} {
		back := supplied(t, "return: cable", text).Feed
		if !near(back.Resistance, f.Resistance.V/2+ohm) || !near(back.Contacts, 0.010) {
			t.Errorf("%s: got %v ohm and contacts of %v, want half of %v and %v, and half of 0.02", text, back.Resistance.V, back.Contacts.V, f.Resistance.V, ohm)
		}
	}
	if !f.SameVoltage.V || !f.Standard.V || !f.FuseNamed.V || !f.LeavesCab.V {
		t.Errorf("got same voltage %v, standard %v, named %v, leaves cab %v; want all true", f.SameVoltage, f.Standard, f.FuseNamed, f.LeavesCab)
	}
	if supplied(t, "supply: 24 V", "supply: 12 V").Feed.SameVoltage.V {
		t.Error("12 V and 24 V count as the same voltage")
	}
}

// The warmer the cable, the more it loses: copper rises by 0.393 % a kelvin
// from 20 degC (IEC 60028). The cable is as warm as the feed says, else as
// the warmest ambient.
func TestCableTemperature(t *testing.T) {
	cold := supplied(t).Feed.Resistance.V
	for _, warm := range []*facts.Kit{
		supplied(t, "to: 20 degC", "to: 70 degC"),
		supplied(t, "take_off: ignition", "take_off: ignition\n  temperature: 70 degC"),
	} {
		if got, want := warm.Feed.Resistance, cold*(1+50*0.00393); !near(got, want) {
			t.Errorf("50 K warmer: got %v ohm (%s), want %v", got.V, got.Why, want)
		}
	}
}

// What is stated goes before what is taken, and what is taken is said.
func TestTaken(t *testing.T) {
	f := supplied(t).Feed
	if got, want := f.Taken.V, "least supply 21 V, a contact 5 mohm, fuse 20 mohm, holder 10 mohm"; got != want {
		t.Errorf("nothing stated: got %q, want %q", got, want)
	}
	if got, want := f.CableTaken.V, "rated at 30 degC, insulation for 85 degC by the lowest class of vehicle cables"; got != want {
		t.Errorf("nothing stated of the cable: got %q, want %q", got, want)
	}
	if bare := supplied(t, "  connectors: [{name: inside, part: DRY, place: cab}, {name: outside, part: WET, place: frame}]\n", "", "  fuse: FUSE\n", "").Feed; bare.Taken.V != "least supply 21 V, no connector, no fuse" {
		t.Errorf("no connector and no fuse: got %q", bare.Taken.V)
	}
	stated := supplied(t, "supply: 24 V", "supply: 24 V\n  least_supply: 20 V", "fuse: FUSE", "fuse: FUSE\n  holder_resistance: 6 mohm\n  loaded_conductors: 4",
		"rating: 7.5 A", "rating: 7.5 A, resistance: 14 mohm", "enclosure: IP20", "enclosure: IP20, contact_resistance: 3 mohm",
		"enclosure: IP66/IP67", "enclosure: IP66/IP67, contact_resistance: 2 mohm", "rating: 22 A", "rating: 22 A, rated_at: 20 degC, insulation_limit: 105 degC",
		"draw: 3 A", "draw: 3 A, start_current: 12 A", "to: 20 degC", "to: 60 degC").Feed
	for _, tt := range []struct {
		working   string
		got       value.Number
		want, tol float64
	}{
		{"2 x 3 + 2 x 2 mohm", stated.Contacts, 0.010, 1e-9},
		{"14 + 6 mohm", stated.FuseHolder, 0.020, 1e-9},
		{"22 A x sqrt(45 / 85) x 0.6 for 4", stated.CableRating, 9.6044, 1e-3},
		{"0.75 - 0.002 x 35", stated.FuseShare, 0.68, 1e-9},
		{"the start, 12 A / 2, and not 4 A / 0.68 = 5.88 A", stated.FuseNeed, 6, 1e-9},
		// 0.0798 ohm x (1 + 40 x 0.00393) = 0.0924; 2 ohm of 2 + 0.0924 + 0.03
		{"20 V x 2 / 2.1224", stated.StartVoltage, 18.8466, 2e-3},
		{"20 V - 4 A x 0.1224 ohm", stated.PumpVoltage, 19.5106, 1e-3},
	} {
		if !tt.got.Known || math.Abs(tt.got.V-tt.want) > tt.tol {
			t.Errorf("%s: got %v (%s), want %v", tt.working, tt.got.V, tt.got.Why, tt.want)
		}
	}
	if stated.Taken.Known || stated.CableTaken.Known {
		t.Errorf("all is stated: got %q and %q as taken", stated.Taken.V, stated.CableTaken.V)
	}
}

// A class of insulation, and else the range of the cable, stand for its limit.
func TestInsulationTaken(t *testing.T) {
	for text, want := range map[string]float64{
		"temperature_class: C": 125, "temperature: {from: -40 degC, to: 105 degC}": 105, "temperature_class: B, insulation_limit: 90 degC": 90,
	} {
		f := supplied(t, "rating: 22 A", "rating: 22 A, "+text).Feed
		if !near(f.CableLimit, want+273.15) {
			t.Errorf("%s: got %v K (%s), want %v degC", text, f.CableLimit.V, f.CableLimit.Why, want)
		}
	}
	hot := supplied(t, "to: 20 degC", "to: 90 degC").Feed
	if hot.CableRating != value.Known(0.) || hot.CableFuse.Known {
		t.Errorf("warmer than the insulation may be: got %v A and a fuse of %v A, want nothing", hot.CableRating.V, hot.CableFuse.V)
	}
}

// The rules choose from this list by their own limits.
func TestNominalCables(t *testing.T) {
	f := supplied(t).Feed
	// IEC 60228 class 5, 20 degC, ohm/km (from memory)
	printed := map[float64]float64{0.75e-6: 26.0, 1e-6: 19.5, 1.5e-6: 13.3, 2.5e-6: 7.98, 4e-6: 4.95, 6e-6: 3.30}
	for _, c := range f.Cables {
		perKilometre, ok := printed[c.Area.V]
		if !ok {
			continue
		}
		delete(printed, c.Area.V)
		// the checker takes the largest resistance that any of the areas may have
		if want := 4 * perKilometre * 0.010 / 24; c.Drop.V < want*0.999 || c.Drop.V > want*1.05 {
			t.Errorf("%v m2: got a drop of %v, want %v to 5 %% more", c.Area.V, c.Drop.V, want)
		}
		if got, want := c.PumpVoltage.V, 21-24*c.Drop.V-4*0.050; math.Abs(got-want) > 1e-9 { // contacts, fuse and holder: 50 mohm
			t.Errorf("%v m2: got %v V, want %v", c.Area.V, got, want)
		}
	}
	if len(printed) > 0 {
		t.Errorf("these areas are not offered: %v", printed)
	}
}

// What wash-down and place ask of a connector: IEC 60529, the class for each
// place is common practice, no source.
func TestConnectors(t *testing.T) {
	f := supplied(t).Feed
	if in, out := f.Connectors[0], f.Connectors[1]; !in.Sealed.V || !out.Sealed.V {
		t.Errorf("got %v (%s) inside, %v (%s) outside; want both sealed for their places", in.Sealed.V, in.Sealed.Why, out.Sealed.V, out.Sealed.Why)
	}
	dry := supplied(t, "part: WET", "part: DRY").Feed.Connectors[1]
	if !dry.Sealed.Known || dry.Sealed.V || dry.Needs.V != "IPX5" {
		t.Errorf("IP20 on a frame that is hosed down: got sealed %v (%s), needs %q; want IPX5", dry.Sealed.V, dry.Sealed.Why, dry.Needs.V)
	}
}

func TestUnknownSupply(t *testing.T) {
	number := func(n value.Number) string { return n.Why }
	for _, tt := range []struct {
		old, new string
		of       func(*facts.Kit) string
		want     string
	}{
		{"  hours_a_day: 8 h\n", "", func(f *facts.Kit) string { return number(f.Pump.Consumption) }, "the time that the vehicle runs a day is not stated"},
		{"  days_a_week: 5\n", "", func(f *facts.Kit) string { return number(f.Pump.Lasts) }, "the number of days a week on which the vehicle runs is not stated"},
		{"  refill_interval: 10 wk\n", "", func(f *facts.Kit) string { return number(f.Pump.Reserve) }, "the refill interval of the vehicle is not stated"},
		{"  refill_interval: 10 wk\n", "", func(f *facts.Kit) string { return number(f.Pump.Usable) }, ""},
		{"pause: 57 min, ", "", func(f *facts.Kit) string { return number(f.Pump.Delivery) }, "the pause of the timer is not stated"},
		{", run: 3 min", "", func(f *facts.Kit) string { return f.Pump.Strokes.Why }, "the run time or the number of strokes of the timer is not stated"},
		{", stroke_time: 1 min", "", func(f *facts.Kit) string { return number(f.Pump.DutyCycle) }, "the stroke time of part PUMP is not stated"},
		{"part: PUMP", "part: PUMPE", func(f *facts.Kit) string { return number(f.Pump.Delivery) }, `no part "PUMPE" in test.parts.yaml; nearest is "PUMP"`},
		{"element: MEDIUM", "blanked: true", func(f *facts.Kit) string { return number(f.Pump.Delivery) }, "the metering element of outlet 2 is not stated"},
		{"E, stroke_volume: 25 mm3", "E", func(f *facts.Kit) string { return number(f.Pump.Delivery) }, "the stroke volume of part MEDIUM is not stated"},
		{"lower_mark: 0.1 l, ", "", func(f *facts.Kit) string { return number(f.Pump.Usable) }, "the lower mark of the reservoir is not stated"},
		{"lower_mark: 0.1 l, ", "", func(f *facts.Kit) string { return f.Pump.MarksRise.Why }, "the lower mark of the reservoir is not stated"},
		{", filled: 0.25 l", "", func(f *facts.Kit) string { return number(f.Pump.FirstNeed) }, "the fill of the reservoir is not stated"},
		{", filled: 0.25 l", "", func(f *facts.Kit) string { return f.Pump.MarksRise.Why }, ""},
		{", cut_length: 3 m", "", func(f *facts.Kit) string { return number(f.Pump.Priming) }, "the cut length of line 2 is not stated"},
		{"kind: tube, inner: 2.5 mm", "kind: tube", func(f *facts.Kit) string { return number(f.Pump.Priming) }, "the inner diameter of part TUBE is not stated"},
		{"grease: GREASE", "grease: LARGE", func(f *facts.Kit) string { return number(f.Pump.GreaseMass) }, `part "LARGE" is an element; a grease is needed here`},
		{", density: 900 kg/m3", "", func(f *facts.Kit) string { return number(f.Pump.GreaseMass) }, "the density of part GREASE is not stated"},
		{", draw: 3 A", "", func(f *facts.Kit) string { return number(f.Feed.Drop) }, "the draw of part PUMP is not stated"},
		{", minimum_voltage: 18 V", "", func(f *facts.Kit) string { return number(f.Feed.FuseNeed) }, "the minimum voltage of part PUMP is not stated"},
		{"  supply: 24 V\n", "", func(f *facts.Kit) string { return f.Feed.SameVoltage.Why }, "the supply voltage of the vehicle is not stated"},
		{"circuit: {rating: 15 A, load: 4 A}", "circuit: {rating: 15 A}", func(f *facts.Kit) string { return number(f.Feed.Spare) }, "the load of the feed's circuit is not stated"},
		{"  fuse: FUSE\n", "", func(f *facts.Kit) string { return f.Feed.Standard.Why }, "the fuse of the feed is not stated"},
		{"  cable: CABLE\n", "", func(f *facts.Kit) string { return number(f.Feed.PumpVoltage) }, "the cable of the feed is not stated"},
		{"  cable: CABLE\n", "", func(f *facts.Kit) string { return number(f.Feed.CableFuse) }, "the cable of the feed is not stated"},
		{", area: 2.5 mm2", "", func(f *facts.Kit) string { return number(f.Feed.Resistance) }, "the area of part CABLE is not stated"},
		{"  length: 5 m\n", "", func(f *facts.Kit) string { return number(f.Feed.Drop) }, "the length of the feed is not stated"},
		{"  return: cable\n", "", func(f *facts.Kit) string { return number(f.Feed.Drop) }, "the return of the feed is not stated"},
		{", to: 20 degC", "", func(f *facts.Kit) string { return number(f.Feed.Drop) }, "the temperature of the cable is not stated"},
		{", place: frame", "", func(f *facts.Kit) string { return f.Feed.Connectors[1].Sealed.Why }, "the place of the feed, connector outside is not stated"},
		{", enclosure: IP66/IP67", "", func(f *facts.Kit) string { return f.Feed.Connectors[1].Sealed.Why }, "the enclosure of part WET is not stated"},
	} {
		if got := tt.of(supplied(t, tt.old, tt.new)); got != tt.want {
			t.Errorf("%q for %q: got %q, want %q", tt.new, tt.old, got, tt.want)
		}
	}
}
