package units_test

import (
	"slices"
	"testing"

	"kitgauge/checker/units"
)

// dimensions lists every named dimension with its name, and what it follows from where it is derived (SI Brochure,
// 9th edition, tables 4 and 5; from memory).
var dimensions = []struct {
	dim     units.Dimension
	name    string
	derived units.Dimension
}{
	{units.Plain, "plain number", units.Length.Per(units.Length)},
	{units.Length, "length", units.Dimension{Length: 1}},
	{units.Area, "area", units.Length.Times(units.Length)},
	{units.Volume, "volume", units.Area.Times(units.Length)},
	{units.Mass, "mass", units.Dimension{Mass: 1}},
	{units.Time, "time", units.Dimension{Time: 1}},
	{units.Angle, "angle", units.Dimension{Angle: 1}},
	{units.Current, "current", units.Dimension{Current: 1}},
	{units.Voltage, "voltage", units.Power.Per(units.Current)},
	{units.Resistance, "resistance", units.Voltage.Per(units.Current)},
	{units.ResistancePerLength, "resistance per length", units.Resistance.Per(units.Length)},
	{units.Power, "power", units.Force.Times(units.Speed)},
	{units.Pressure, "pressure", units.Force.Per(units.Area)},
	{units.Temperature, "temperature", units.Dimension{Temperature: 1}},
	{units.Force, "force", units.Mass.Times(units.Acceleration)},
	{units.Torque, "torque", units.Force.Times(units.Length)},
	{units.Acceleration, "acceleration", units.Speed.Per(units.Time)},
	{units.VolumeFlow, "volume flow", units.Volume.Per(units.Time)},
	{units.MassFlow, "mass flow", units.Mass.Per(units.Time)},
	{units.Density, "density", units.Mass.Per(units.Volume)},
	{units.KinematicViscosity, "kinematic viscosity", units.DynamicViscosity.Per(units.Density)},
	{units.DynamicViscosity, "dynamic viscosity", units.Pressure.Times(units.Time)},
	{units.Speed, "speed", units.Length.Per(units.Time)},
	{units.Frequency, "frequency", units.Plain.Per(units.Time)},
}

func TestNamedDimensions(t *testing.T) {
	for _, tt := range dimensions {
		if tt.dim != tt.derived {
			t.Errorf("%s: got %+v, want %+v", tt.name, tt.dim, tt.derived)
		}
		if got := tt.dim.String(); got != tt.name {
			t.Errorf("%+v.String(): got %q, want %q", tt.dim, got, tt.name)
		}
		name := underscored(tt.name)
		if got, ok := units.Named(name); !ok || got != tt.dim {
			t.Errorf("Named(%q): got %+v, %t, want %+v", name, got, ok, tt.dim)
		}
	}
	for _, name := range []string{"", "Length", "volume flow", "furlong", "volume__flow"} {
		if got, ok := units.Named(name); ok {
			t.Errorf("Named(%q): got %+v, want nothing", name, got)
		}
	}
}

func underscored(name string) string {
	b := []byte(name)
	for i := range b {
		if b[i] == ' ' {
			b[i] = '_'
		}
	}
	return string(b)
}

func TestUnnamedDimension(t *testing.T) {
	for _, tt := range []struct {
		dim  units.Dimension
		want string
	}{
		{units.Power.Per(units.Time).Per(units.Time), "kg m2/s5"},
		{units.Dimension{Mass: 1, Length: 2, Time: -3}.Times(units.Dimension{Length: 1}), "kg m3/s3"},
		{units.Dimension{Time: -2, Current: -1}, "1/(s2 A)"},
		{units.Dimension{Temperature: -1}, "1/K"},
		{units.Angle.Per(units.Time), "rad/s"},
		{units.Current.Times(units.Time), "s A"},
	} {
		if got := tt.dim.String(); got != tt.want {
			t.Errorf("%+v.String(): got %q, want %q", tt.dim, got, tt.want)
		}
		if got := units.Accepted(tt.dim); got != nil {
			t.Errorf("Accepted(%s): got %q, want none", tt.dim, got)
		}
	}
}

// Without a bound, 2 to the power of 7 lengths would wrap around to a named dimension.
func TestExponentsDoNotWrapAround(t *testing.T) {
	d := units.Length
	for range 8 {
		d = d.Times(d)
	}
	if want := (units.Dimension{Length: 127}); d != want {
		t.Errorf("length to the power of 256: got %+v, want %+v", d, want)
	}
	if got, want := units.Plain.Per(d).Per(d), (units.Dimension{Length: -127}); got != want {
		t.Errorf("one over it twice: got %+v, want %+v", got, want)
	}
}

func TestAccepted(t *testing.T) {
	for _, tt := range []struct {
		dim  units.Dimension
		want []string
	}{
		{units.Length, []string{"mm", "cm", "m", "in", "ft", "um", "km", "mi", "dm"}},
		{units.Temperature, []string{"degC", "degF", "K"}},
		{units.Plain, []string{"%"}},
	} {
		if got := units.Accepted(tt.dim); !slices.Equal(got, tt.want) {
			t.Errorf("Accepted(%s): got %q, want %q", tt.dim, got, tt.want)
		}
	}
	for _, d := range dimensions {
		for _, s := range units.Accepted(d.dim) {
			if u, ok := units.Lookup(s); !ok || u.Symbol != s || u.Dim != d.dim {
				t.Errorf("Lookup(%q): got %+v, %t, want the unit of %s", s, u, ok, d.name)
			}
		}
	}
	units.Accepted(units.Length)[0] = "changed"
	if got := units.Accepted(units.Length)[0]; got != "mm" {
		t.Errorf("Accepted shares its memory: got %q, want %q", got, "mm")
	}
}

func TestLookupSpellings(t *testing.T) {
	for _, tt := range []struct{ symbol, want string }{
		{"Nm", "N m"}, {"N.m", "N m"}, {"N·m", "N m"}, {"N  m", "N m"}, {"N\u00a0m", "N m"},
		{"lbf.ft", "lbf ft"}, {"ft lbf", "lbf ft"}, {"lbf·in", "lbf in"}, {"Pa.s", "Pa s"}, {"mPa·s", "mPa s"},
		{"cm³", "cm3"}, {"cm^3", "cm3"}, {"mm²", "mm2"}, {"mm^2", "mm2"}, {"m/s²", "m/s2"}, {"mm2 / s", "mm2/s"},
		{"°C", "degC"}, {"deg C", "degC"}, {"°F", "degF"}, {"°", "deg"},
		{"µm", "um"}, {"μm", "um"}, {"Ω", "ohm"}, {"mΩ/m", "mohm/m"}, {"in.", "in"},
		{"L", "l"}, {"mL", "ml"}, {"mi/h", "mph"}, {"/min", "1/min"}, {"1/s", "Hz"}, {"US  gal", "US gal"},
	} {
		if got, ok := units.Lookup(tt.symbol); !ok || got.Symbol != tt.want {
			t.Errorf("Lookup(%q): got %q, %t, want %q", tt.symbol, got.Symbol, ok, tt.want)
		}
	}
	// Case, and letters that would change the meaning, are not smoothed over.
	for _, symbol := range []string{"MM", "mpa", "m m", "m in", "k g", ".", ".mm", "·m", "gal", "fl oz", "C", "5", "^2"} {
		if got, ok := units.Lookup(symbol); ok {
			t.Errorf("Lookup(%q): got %q, want nothing", symbol, got.Symbol)
		}
	}
}
