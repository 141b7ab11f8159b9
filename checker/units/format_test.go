package units_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"kitgauge/checker/units"
)

// How people write these values is common practice, no source; the conversions rest on TestDefinitions.
func TestFormat(t *testing.T) {
	for _, tt := range []struct {
		si           float64
		dim          units.Dimension
		metric, inch string
	}{
		{0.412, units.Length, "412 mm", "16.22 in"},
		{0.41148, units.Length, "411.5 mm", "16.2 in"},
		{0.1 + 0.2, units.Length, "300 mm", "11.81 in"},
		{4.321, units.Length, "4321 mm", "170.1 in"},
		{10, units.Length, "10 m", "32.81 ft"},
		{12.5, units.Length, "12.5 m", "41.01 ft"},
		{-0.043, units.Length, "-43 mm", "-1.693 in"},
		{0.00635, units.Length, "6.35 mm", "0.25 in"},
		{0, units.Length, "0 mm", "0 in"},
		{math.Copysign(0, -1), units.Length, "0 mm", "0 in"},
		{-1e-17, units.Length, "0 mm", "0 in"},
		{25000, units.Length, "25 km", "15.53 mi"},
		{50e-6, units.Area, "50 mm2", "0.0775 in2"},
		{0.25e-6, units.Volume, "0.25 cm3", "0.01526 in3"},
		{2e-3, units.Volume, "2 l", "122 in3"},
		{8e-3, units.Volume, "8 l", "2.113 US gal"},
		{0.5e-9, units.Volume, "0.5 mm3", "0.0000305 in3"},
		{0, units.Volume, "0 cm3", "0 in3"},
		{0.15, units.Mass, "150 g", "5.291 oz"},
		{6.4, units.Mass, "6.4 kg", "14.11 lb"},
		{90, units.Time, "90 s", "90 s"},
		{2100, units.Time, "35 min", "35 min"},
		{6 * 3600, units.Time, "6 h", "6 h"},
		{14 * 86400, units.Time, "14 d", "14 d"},
		{math.Pi / 4, units.Angle, "45 deg", "45 deg"},
		{7.5, units.Current, "7.5 A", "7.5 A"},
		{0.02, units.Current, "20 mA", "20 mA"},
		{24, units.Voltage, "24 V", "24 V"},
		{0.0133, units.Resistance, "13.3 mohm", "13.3 mohm"},
		{0.008285, units.ResistancePerLength, "8.285 mohm/m", "2.525 ohm/kft"},
		{180, units.Power, "180 W", "180 W"},
		{250e5, units.Pressure, "250 bar", "3626 psi"},
		{580e6, units.Pressure, "580 MPa", "84.12 ksi"},
		{1400, units.Pressure, "14 mbar", "0.2031 psi"},
		{243.15, units.Temperature, "-30 degC", "-22 degF"},
		{273.15, units.Temperature, "0 degC", "32 degF"},
		{293.7061, units.Temperature, "20.56 degC", "69 degF"},
		{0, units.Temperature, "-273.15 degC", "-459.67 degF"},
		{17400, units.Force, "17.4 kN", "3912 lbf"},
		{25, units.Torque, "25 N m", "18.44 lbf ft"},
		{4, units.Torque, "4 N m", "35.4 lbf in"},
		{49.03325, units.Acceleration, "5 gn", "5 gn"},
		{2e-6 / 3600, units.VolumeFlow, "2 cm3/h", "0.122 in3/h"},
		{0.05e-6 / 3600, units.VolumeFlow, "1.2 cm3/d", "0.07323 in3/d"},
		{0.5e-3 / 3600, units.MassFlow, "0.5 g/h", "0.01764 oz/h"},
		{900, units.Density, "900 kg/m3", "0.03251 lb/in3"},
		{220e-6, units.KinematicViscosity, "220 mm2/s", "220 mm2/s"},
		{0.2, units.DynamicViscosity, "200 mPa s", "200 mPa s"},
		{22.352, units.Speed, "80.47 km/h", "50 mph"},
		{0.5, units.Frequency, "30 1/min", "30 1/min"},
		{0.75, units.Plain, "0.75", "0.75"},
		{84, units.Plain, "84", "84"},
		{1.2345e-6, units.Plain, "1.234e-06", "1.234e-06"},
		{12345678, units.Plain, "12345678", "12345678"},
		{1.5, units.Dimension{Mass: 1, Length: 2, Time: -5}, "1.5 kg m2/s5", "1.5 kg m2/s5"},
		{math.NaN(), units.Length, "not a number", "not a number"},
		{math.Inf(1), units.Plain, "not a number", "not a number"},
	} {
		for _, f := range []struct {
			family units.Family
			want   string
		}{{units.Metric, tt.metric}, {units.Inch, tt.inch}} {
			if got := units.Format(tt.si, tt.dim, f.family); got != f.want {
				t.Errorf("Format(%v, %s, %d): got %q, want %q", tt.si, tt.dim, f.family, got, f.want)
			}
		}
	}
}

func TestFormatIn(t *testing.T) {
	for _, tt := range []struct {
		si     float64
		symbol string
		want   string
	}{
		{25, "K", "25 K"}, // a temperature difference
		{-5.5, "K", "-5.5 K"},
		{12.5, "mm", "12500 mm"},
		{0.412, "in", "16.22 in"},
		{1e-9, "m", "1e-09 m"},
		{math.Copysign(0, -1), "m", "0 m"},
		{0.5, "", "0.5"},
		{0.5, "%", "50 %"},
		{25, "N.m", "25 N m"},
	} {
		if got, err := units.FormatIn(tt.si, tt.symbol); err != nil || got != tt.want {
			t.Errorf("FormatIn(%v, %q): got %q, %v, want %q", tt.si, tt.symbol, got, err, tt.want)
		}
	}
	for _, tt := range []struct {
		si     float64
		symbol string
		want   string
	}{
		{1, "furlong", `unknown unit "furlong"`},
		{math.NaN(), "mm", "a value in mm is not a finite number"},
		{math.Inf(-1), "mm", "a value in mm is not a finite number"},
	} {
		if got, err := units.FormatIn(tt.si, tt.symbol); err == nil || err.Error() != tt.want || got != "" {
			t.Errorf("FormatIn(%v, %q): got %q, %v, want %s", tt.si, tt.symbol, got, err, tt.want)
		}
	}
}

// The units that values are written in are those of the family.
func TestIsUsual(t *testing.T) {
	for symbol, want := range map[string][2]bool{
		"mm": {true, false}, "m": {true, false}, "cm": {false, false}, "in": {false, true}, "h": {true, true},
		"bar": {true, false}, "psi": {false, true}, "l": {true, false}, "ml": {false, false}, "degC": {true, false}, "furlong": {false, false},
	} {
		if got := [2]bool{units.IsUsual(symbol, units.Metric), units.IsUsual(symbol, units.Inch)}; got != want {
			t.Errorf("%s: got %v, want %v", symbol, got, want)
		}
	}
}

// A value takes the unit of another where that says the same. 12 in are 1 ft, and
// 128 US fl oz are 1 US gal: NIST Handbook 44, appendix C.
func TestLike(t *testing.T) {
	for _, tt := range []struct{ text, other, want string }{
		{"288 in", "20 ft", "24 ft"},
		{"290 in", "20 ft", "290 in"}, // no whole number of feet
		{"288 in", "20ft", "24ft"},
		{"2792 mm", "2.7 m", "2.792 m"},
		{"2792 mm", "270 cm", "279.2 cm"},
		{"12.8 m", "900 mm", "12800 mm"},
		{"4385 cm3", "4 l", "4.385 l"},
		{"4385 cm3", "4 L", "4.385 L"},
		{"384 US fl oz", "2 US gal", "3 US gal"},
		{"120 min", "1 h", "2 h"},
		{"64.67 min", "1 h", "64.67 min"},
		{"500 mm", "2 ft", "500 mm"},
		{"14 degF", "5 degC", "14 degF"},
		{"5 bar", "4 mm", "5 bar"},
		{"12", "4 mm", "12"},
		{"FG-T4", "4 mm", "FG-T4"},
		{"4 mm", "none", "4 mm"},
		{"1265 mm", "1165 mm", "1265 mm"},
	} {
		if got := units.Like(tt.text, tt.other); got != tt.want {
			t.Errorf("%s like %s: got %s, want %s", tt.text, tt.other, got, tt.want)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		of := rapid.SampledFrom([]string{"mm", "cm", "m", "in", "ft", "um", "km", "mi"})
		si := rapid.Float64Range(1e-3, 1e3).Draw(t, "si")
		text, _ := units.FormatIn(si, of.Draw(t, "unit"))
		got := units.Like(text, "1 "+of.Draw(t, "other"))
		a, _ := units.Parse(text, units.Length)
		if b, err := units.Parse(got, units.Length); err != nil || a != b {
			t.Fatalf("%s became %s", text, got)
		}
	})
}
