package units_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"kitgauge/checker/units"
)

// si tells what a unit counts in SI and what it measures, whether the table has it or not: the units of the table by
// their definitions, and prefixes (SI Brochure, 9th edition, table 7, from memory) before those that take one.
type si struct {
	dim    units.Dimension
	factor float64
}

var prefixFactors = map[string]float64{
	"n": 1e-9, "u": 1e-6, "µ": 1e-6, "m": 1e-3, "c": 1e-2, "d": 1e-1, "da": 10, "h": 1e2, "k": 1e3, "M": 1e6, "G": 1e9,
}

// meanings are the units that somebody may write, with what they count; temperatures, which have an offset, aside.
func meanings() map[string]si {
	list := map[string]si{}
	for _, u := range allUnits() {
		if u.Offset != 0 || u.Symbol == "" {
			continue
		}
		list[u.Symbol] = si{u.Dim, u.Factor}
	}
	prefixed := map[string]si{}
	for _, base := range []string{"m", "g", "l", "s", "A", "V", "W", "ohm", "Pa", "N", "bar", "Hz", "ohm/m", "Pa s", "N m", "l/h", "g/h", "m/s"} {
		for p, f := range prefixFactors {
			prefixed[p+base] = si{list[base].dim, f * list[base].factor}
		}
	}
	for p, f := range prefixFactors {
		for power := 2; power <= 3; power++ {
			base := fmt.Sprintf("m%d", power)
			prefixed[p+base] = si{list[base].dim, math.Pow(f, float64(power))}
		}
	}
	for s, m := range prefixed {
		if _, has := list[s]; !has {
			list[s] = m
		}
	}
	per := map[string]float64{"s": 1, "min": 60, "h": 3600, "d": 86400, "wk": 604800}
	for _, base := range []string{"mm3", "cm3", "m3", "ml", "l", "g", "kg", "lb", "oz", "in3", "mm", "cm", "m", "in", "ft", "km"} {
		for s, seconds := range per {
			list[base+"/"+s] = si{list[base].dim.Per(units.Time), list[base].factor / seconds}
		}
	}
	for s, seconds := range per {
		list["1/"+s] = si{units.Frequency, 1 / seconds}
	}
	// Poise, stokes, yard, stone and the like, and what is no unit of the dimension at all (NIST SP 811, B.8, from memory).
	for s, m := range map[string]si{
		"P": {units.DynamicViscosity, 0.1}, "St": {units.KinematicViscosity, 1e-4}, "yd": {units.Length, 0.9144}, "mil": {units.Length, 25.4e-6},
		"thou": {units.Length, 25.4e-6}, "t": {units.Mass, 1000}, "atm": {units.Pressure, 101325}, "N/m2": {units.Pressure, 1}, "N/cm2": {units.Pressure, 1e4},
		"kp": {units.Force, 9.80665}, "Ah": {units.Plain, math.NaN()}, "mAh": {units.Plain, math.NaN()}, "VA": {units.Plain, math.NaN()},
		"kWh": {units.Plain, math.NaN()}, "bara": {units.Plain, math.NaN()}, "psia": {units.Plain, math.NaN()}, "hp": {units.Power, 745.69987},
	} {
		list[s] = m
	}
	return list
}

// sure is how a value is written right without anybody being asked; "" where it is left.
func sure(t interface{ Errorf(string, ...any) }, text string, want units.Dimension) (meant string, value float64) {
	_, err := units.Parse(text, want)
	var m *units.Misspelt
	if !errors.As(err, &m) {
		if err != nil && err.Error() == "" {
			t.Errorf("%q is left without a reason", text)
		}
		return "", 0
	}
	value, err = units.Parse(m.Meant, want)
	if err != nil {
		t.Errorf("%q is written %q, which is wrong as well: %v", text, m.Meant, err)
	}
	return m.Meant, value
}

func alike(a, b float64) bool { return math.Abs(a-b) <= 1e-9*math.Max(math.Abs(a), math.Abs(b)) }

// Every unit, read here or not, in every form of a number, where every dimension is wanted: what is written without
// asking counts as much as what stood there, or the value is left.
func TestCertainKeepsUnits(t *testing.T) {
	forms := map[string]float64{"15": 15, "-3.3": -3.3, "12,5": 12.5, "1'234": 1234, "1 234": 1234, "1/4": 0.25, "1 1/2": 1.5, "5e3": 5000, "1,234.5": 1234.5, "1.234,5": 1234.5}
	for symbol, m := range meanings() {
		for form, n := range forms {
			for _, text := range []string{form + " " + symbol, form + symbol} {
				if symbol[0] == '1' && text[len(form)] != ' ' {
					continue // 151/s is another number
				}
				for _, d := range dimensions {
					if m.dim != d.dim && form != "15" {
						continue
					}
					if got, err := units.Parse(text, d.dim); err == nil && d.dim != units.Plain && (m.dim != d.dim || !alike(got, n*m.factor)) {
						t.Errorf("%q is read as %v of %s", text, got, d.name)
					}
					if meant, got := sure(t, text, d.dim); meant != "" && m.dim == d.dim && !alike(got, n*m.factor) {
						t.Errorf("%q is written %q", text, meant)
					} else if meant != "" && m.dim != d.dim && !strings.EqualFold(strings.ReplaceAll(symbol, " ", ""), strings.ReplaceAll(tail(meant), " ", "")) {
						t.Errorf("%q is no %s, and is written %q", text, d.name, meant)
					}
				}
			}
		}
	}
}

func tail(meant string) string { return strings.TrimLeft(meant, "+-0123456789./ ") }

// A letter in the place of a digit is never dropped, and never the first of the unit.
func TestCertainKeepsDigits(t *testing.T) {
	all := allUnits()
	like := map[byte]string{'0': "Oo", '1': "lI|", '5': "S", '8': "B", '2': "Z"}
	rapid.Check(t, func(t *rapid.T) {
		u := rapid.SampledFrom(all).Draw(t, "unit")
		digits := rapid.StringMatching(`[1-9][0-9]{0,3}(\.[0-9]{1,2})?`).Draw(t, "number")
		at := rapid.IntRange(0, len(digits)-1).Draw(t, "at")
		signs := like[digits[at]]
		if signs == "" {
			t.Skip()
		}
		sign := signs[rapid.IntRange(0, len(signs)-1).Draw(t, "sign")]
		for _, gap := range []string{"", " "} {
			text := digits[:at] + string(sign) + digits[at+1:] + gap + u.Symbol
			if meant, _ := sure(t, text, u.Dim); meant != "" {
				t.Fatalf("%q is written %q", text, meant)
			}
			if _, err := units.Parse(text, u.Dim); err == nil && u.Symbol != "" {
				t.Fatalf("%q is read", text)
			}
		}
	})
}

// Feet and inches are inches, twelve to the foot; nothing else that has an apostrophe and a sign for inches is written.
func TestCertainFeet(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		feet := rapid.IntRange(0, 9999).Draw(t, "feet")
		inches := rapid.IntRange(0, 40).Draw(t, "inches")
		part := rapid.SampledFrom([]string{"", ".5", ".25", " 1/2", " 3/8"}).Draw(t, "part")
		sign := rapid.SampledFrom([]string{"", "-"}).Draw(t, "sign")
		text := fmt.Sprintf("%s%d%s%d%s%s", sign, feet, rapid.SampledFrom([]string{"'", "' ", "′", "’", " ft "}).Draw(t, "foot"), inches, part,
			rapid.SampledFrom([]string{`"`, " in", "in", "″", " inches", "''"}).Draw(t, "inch"))
		want := (float64(12*feet+inches) + map[string]float64{".5": 0.5, ".25": 0.25, " 1/2": 0.5, " 3/8": 0.375}[part]) * 0.0254
		if sign == "-" {
			want = -want
		}
		meant, got := sure(t, text, units.Length)
		if inches < 12 && !alike(got, want) || inches >= 12 && meant != "" {
			t.Fatalf("%q is written %q", text, meant)
		}
	})
}

// What is certain, and what is not.
func TestCertain(t *testing.T) {
	for _, tt := range []struct {
		text string
		dim  units.Dimension
		want string
	}{
		{"15 milimetres", units.Length, "15 mm"}, {"15 millimètres", units.Length, "15 mm"}, {"15 MM", units.Length, "15 mm"}, {"3 decimetres", units.Length, "3 dm"},
		{"30 centilitre", units.Volume, "30 cl"}, {"250 kpa", units.Pressure, "250 kPa"}, {"12 bars", units.Pressure, "12 bar"}, {"2 weeks", units.Time, "2 wk"},
		{"5 mpa", units.Pressure, "5 MPa"}, {"25 NM", units.Torque, "25 N m"}, {"30 C", units.Temperature, "30 degC"}, {"5 metrs", units.Length, "5 m"},
		{`5'4.5"`, units.Length, "64.5 in"}, {"-6'8 in", units.Length, "-80 in"}, {"1'3.5 in", units.Length, "15.5 in"}, {`6' 2"`, units.Length, "74 in"},
		{"1,234,567 mm", units.Length, "1234567 mm"},

		{"15O mm", units.Length, ""}, {"1O bar", units.Pressure, ""}, {"40O mm", units.Length, ""}, {"15 nm", units.Length, ""}, {"5 mPa", units.Pressure, ""},
		{"5 MOHM", units.Resistance, ""}, {"5 Mohm", units.Resistance, ""}, {"6'8", units.Length, ""}, {"1'234 in", units.Length, ""}, {"1'3 mm", units.Length, ""},
		{"2 gal", units.Volume, ""}, {"2 P", units.DynamicViscosity, ""}, {"2 St", units.KinematicViscosity, ""}, {"412 mmm", units.Length, ""},
		{"1_2 mm", units.Length, ""}, {"1,2,3 mm", units.Length, ""}, {"12,34.5 mm", units.Length, ""}, {"1.2,5 mm", units.Length, ""}, {"1 234 5 mm", units.Length, ""},
		{"0 250 mm", units.Length, ""}, {"3 decametre", units.Length, ""}, {"3 decemetre", units.Length, ""}, {"5 Ah", units.Current, ""}, {"5 bara", units.Pressure, ""},
		{"5 Mm", units.Length, ""}, {"5 m3/h", units.VolumeFlow, ""}, {"5 l/d", units.VolumeFlow, ""}, {"5 mm/s", units.Speed, ""},
	} {
		if meant, _ := sure(t, tt.text, tt.dim); meant != tt.want {
			t.Errorf("%q is written %q, want %q", tt.text, meant, tt.want)
		}
	}
	for _, tt := range [][2]string{{"40O mm", "400 mm"}, {"6'8", "80 in"}, {"15 nm", "not read here"}} {
		if _, err := units.Parse(tt[0], units.Length); err == nil || !strings.Contains(err.Error(), tt[1]) {
			t.Errorf("%q: %v, want %q in it", tt[0], err, tt[1])
		}
	}
}
