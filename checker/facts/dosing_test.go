package facts_test

import (
	"testing"

	"kitgauge/checker/facts"
	"kitgauge/checker/value"
)

const (
	mm3  = 1e-9
	cm3  = 1e-6
	hour = 3600.0
)

func TestPointDose(t *testing.T) {
	f := computed(t, "stroke_volume: 1 cm3", "stroke_volume: 35 mm3")
	p := f.Points[0]
	for _, tt := range []struct {
		source string
		got    value.Number
		want   float64
	}{
		// the film rule, 0.001 in in four hours, on π x 50 mm x 70 mm (source
		// as dosing.GreaseFilmRate)
		{"recomputed: film rule", p.Required, 69.8219 * mm3 / hour},
		{"recomputed: two strokes of 35 mm3 an hour", p.Delivered, 70 * mm3 / hour},
		{"limit: got over needed", p.DoseRatio, 70 / 69.8219},
		{"limit: half of what an hour needs", p.EqualStroke, 69.8219 / 2 * mm3},
		{"limit: pause and run", f.Pump.CycleTime, hour},
	} {
		if !tt.got.Known || tt.got.V < tt.want*(1-1e-5) || tt.got.V > tt.want*(1+1e-5) {
			t.Errorf("%s: got %v (%s), want %v", tt.source, tt.got.V, tt.got.Why, tt.want)
		}
	}
}

func TestRequired(t *testing.T) {
	const pin = "bearing: {kind: pin, diameter: 50 mm, width: 70 mm}"
	for _, tt := range []struct {
		source, bearing string
		want            float64
	}{
		// recomputed: 0.002, 0.003 and 0.004 g/mm2 (from memory, see
		// dosing.ReplenishWeekly) x 80 mm x 18 mm at 900 kg/m3, over the running
		// time of 60 h a week
		{"weekly", "bearing: {kind: rolling, diameter: 80 mm, width: 18 mm, interval: weekly}", 3.2 * cm3 / (60 * hour)},
		{"monthly", "bearing: {kind: rolling, diameter: 80 mm, width: 18 mm, interval: monthly}", 4.8 * cm3 / (60 * 365.25 / 12 / 7 * hour)},
		{"yearly", "bearing: {kind: rolling, diameter: 80 mm, width: 18 mm, interval: yearly}", 6.4 * cm3 / (60 * 365.25 / 7 * hour)},
		{"limit: plain as pin", "bearing: {kind: plain, diameter: 50 mm, width: 70 mm}", 69.82190 * mm3 / hour},
		{"limit: a stated demand goes before the bearing", pin + ", demand: 0.2 cm3/h", 0.2 * cm3 / hour},
	} {
		got := computed(t, pin, tt.bearing).Points[0].Required
		if !near(got, tt.want) {
			t.Errorf("%s: got %v (%s), want %v", tt.source, got.V, got.Why, tt.want)
		}
	}
}

func TestUnknownDose(t *testing.T) {
	const rolling = "kind: rolling, diameter: 80 mm, width: 18 mm, interval: weekly"
	required := func(f *facts.Kit) value.Number { return f.Points[0].Required }
	ratio := func(f *facts.Kit) value.Number { return f.Points[0].DoseRatio }
	for _, tt := range []struct {
		of    func(*facts.Kit) value.Number
		pairs []string
		why   string
	}{
		{required, []string{"bearing: {kind: pin, diameter: 50 mm, width: 70 mm}, ", ""}, "neither the bearing nor the demand of point P (Pin) is stated"},
		{required, []string{"kind: pin, ", ""}, "the kind of the bearing of point P (Pin) is not stated"},
		{required, []string{", width: 70 mm", ""}, "the width of the bearing of point P (Pin) is not stated"},
		{required, []string{"kind: pin", "kind: ball"}, "the kind of the bearing of point P (Pin) is not one of plain, pin and rolling"},
		{required, []string{"diameter: 50 mm", "diameter: 50 m"}, "diameter of the pin is 50000 mm; it must be from 1 mm to 5000 mm"},
		{required, []string{"kind: pin, ", "kind: rolling, "}, "how often the bearing of point P (Pin) was greased by hand (interval) is not stated"},
		{required, []string{"kind: pin, diameter: 50 mm, width: 70 mm", rolling, "  hours_a_day: 10 h\n", ""}, "hours a day of the vehicle is not stated"},
		{required, []string{"kind: pin, diameter: 50 mm, width: 70 mm", rolling, "    density: 900 kg/m3\n", ""}, "the density of part GREASE is not stated"},
		{ratio, []string{"pause: 58 min, ", ""}, "the pause of the timer is not stated"},
		{ratio, []string{", run: 2 min", ""}, "the run time or the number of strokes of the timer is not stated"},
		{ratio, []string{"point: P,", ""}, "no line ends at point P (Pin)"},
		{ratio, []string{", element: ELEMENT", ""}, "a line of point P (Pin) leaves no metering element"},
		{ratio, []string{"stroke_volume: 1 cm3, ", ""}, "the stroke volume of part ELEMENT is not stated"},
		{ratio, []string{"  - {number: 1, outlet: 1,", "  - {number: 2, outlet: 1}\n  - {number: 1, outlet: 1,"}, "outlet 1 serves several lines, and how much goes into each is not known"},
	} {
		got := tt.of(computed(t, tt.pairs...))
		if got.Known || got.Why != tt.why {
			t.Errorf("%q: got %v, %q; want %q", tt.pairs, got.V, got.Why, tt.why)
		}
	}
}

func TestSupplied(t *testing.T) {
	for _, tt := range []struct {
		fault, old, text string
		want             bool
	}{
		{"none", "id: P", "id: P", true},
		{"no element", ", element: ELEMENT", "", false},
		{"an element that is in no catalogue", "element: ELEMENT}", "element: ELEMENTS}", true},
		{"an element of another series", "series: E,", "series: M,", false},
		{"no line", "point: P,", "", false},
		{"an outlet that the pump has not", "outlet: 1,", "outlet: 9,", false},
	} {
		got := computed(t, tt.old, tt.text).Points[0].Supplied
		if !got.Known || got.V != tt.want {
			t.Errorf("%s: got %v, want %v", tt.fault, got.V, tt.want)
		}
	}
}
