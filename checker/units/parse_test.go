package units_test

import (
	"math"
	"strings"
	"testing"

	"kitgauge/checker/units"
)

// Each want is the written decimal moved by the definition of the unit (recomputed by hand), and exact: the
// nearest float64.
func TestParse(t *testing.T) {
	for _, tt := range []struct {
		text string
		dim  units.Dimension
		want float64
	}{
		{"412 mm", units.Length, 0.412},
		{"412mm", units.Length, 0.412},
		{"  412   mm\t", units.Length, 0.412},
		{"412\u00a0mm", units.Length, 0.412},
		{"41.2 cm", units.Length, 0.412},
		{"0.412 m", units.Length, 0.412},
		{"0.0004120 km", units.Length, 0.412},
		{"412000 um", units.Length, 0.412},
		{"4.12e2 mm", units.Length, 0.412},
		{"4.12E+02mm", units.Length, 0.412},
		{"412.00000000000000000000 mm", units.Length, 0.412},
		{"40257678620673.558 m", units.Length, 40257678620673.558}, // 17 digits: rounding the digits first would miss it
		{"1 km", units.Length, 1000},
		{"16.2 in", units.Length, 0.41148},
		{"1/4 in", units.Length, 0.00635},
		{"1/4in", units.Length, 0.00635},
		{"1 1/2 in", units.Length, 0.0381},
		{"-1 1/2 in", units.Length, -0.0381},
		{"-3/8 in", units.Length, -0.009525},
		{"+3/8 in", units.Length, 0.009525},
		{"5/4 in", units.Length, 0.03175},
		{"0/4 in", units.Length, 0},
		{".5 in", units.Length, 0.0127},
		{"5. mm", units.Length, 0.005},
		{"007 mm", units.Length, 0.007},
		{"0 mm", units.Length, 0},
		{"-0.0 mm", units.Length, 0},
		{"0e999 mm", units.Length, 0},
		{"24 V", units.Voltage, 24},
		{"7.5 A", units.Current, 7.5},
		{"35 min", units.Time, 2100},
		{"1/2 h", units.Time, 1800},
		{"0.25 cm3", units.Volume, 0.25e-6},
		{"30 1/min", units.Frequency, 0.5},
		{"30/min", units.Frequency, 0.5},
		{"1/min", units.Frequency, 1.0 / 60},
		{"1/2 1/min", units.Frequency, 1.0 / 120},
		{"0.75", units.Plain, 0.75},
		{"3/4", units.Plain, 0.75},
		{"75 %", units.Plain, 0.75},
		{"75%", units.Plain, 0.75},
		{"1e30 m", units.Length, 1e30},
		{"1e-30 m", units.Length, 1e-30},
	} {
		got, err := units.Parse(tt.text, tt.dim)
		if err != nil || got != tt.want || math.Signbit(got) != math.Signbit(tt.want) {
			t.Errorf("Parse(%q, %s): got %v, %v, want %v", tt.text, tt.dim, got, err, tt.want)
		}
	}
}

func TestParseErrors(t *testing.T) {
	const lengths = "a length takes mm, cm, m, in, ft"
	unnamed := units.Dimension{Mass: 2}
	for _, tt := range []struct {
		text string
		dim  units.Dimension
		want string
	}{
		{"", units.Length, "the value is empty: " + lengths},
		{" \t\n", units.Length, "the value is empty: " + lengths},
		{"412", units.Length, `"412" has no unit: ` + lengths},
		{"1/4", units.Length, `"1/4" has no unit: ` + lengths},
		{"412 mmm", units.Length, `"412 mmm" has an unknown unit "mmm": ` + lengths + " (nearest is mm)"},
		{"412 MM", units.Length, `"412 MM" has an unknown unit "MM": ` + lengths + " (nearest is mm)"},
		{"16 inches", units.Length, `"16 inches" has an unknown unit "inches": ` + lengths + " (nearest is in)"},
		{`1/4"`, units.Length, `'1/4"' has an unknown unit '"': ` + lengths + " (nearest is in)"},
		{"6'", units.Length, `"6'" has an unknown unit "'": ` + lengths + " (nearest is ft)"},
		{"4 parsnips", units.Length, `"4 parsnips" has an unknown unit "parsnips": ` + lengths},
		{"5 m m", units.Length, `"5 m m" has an unknown unit "m m": ` + lengths + " (nearest is mm)"},
		{"2 gal", units.Volume, `"2 gal" has an unknown unit "gal": a volume takes cm3, ml, l, in3, US fl oz (nearest is US gal)`},
		{"30 ft-lb", units.Torque, `"30 ft-lb" has an unknown unit "ft-lb": a torque takes N m, lbf ft, lbf in (nearest is lbf ft)`},
		{"2 volts", units.Length, `"2 volts" has an unknown unit "volts": ` + lengths},
		{"1em", units.Length, `"1em" has an unknown unit "em": ` + lengths + " (nearest is mm)"},
		{"0x10 mm", units.Length, `"0x10 mm" has an unknown unit "x10 mm": ` + lengths},
		{"6 ft 2 in", units.Length, `"6 ft 2 in" is feet and inches: write 74 in`},
		{"12 V", units.Length, `"12 V" is a voltage; a length is needed: mm, cm, m, in, ft`},
		{"12 mm", units.Angle, `"12 mm" is a length; an angle is needed: deg, rad`},
		{"12 %", units.Length, `"12 %" is a plain number; a length is needed: mm, cm, m, in, ft`},
		{"12 V", units.Plain, `"12 V" is a voltage; a plain number is needed: no unit, or %`},
		{"12 V", unnamed, `"12 V" is a voltage; a quantity in kg2 is needed`},
		{"12", unnamed, `"12" has no unit: a quantity in kg2 has no unit of its own here`},
		{"12,5 mm", units.Length, `"12,5 mm" has a decimal comma: write 12.5 mm`},
		{"-12,5 mm", units.Length, `"-12,5 mm" has a decimal comma: write -12.5 mm`},
		{"0,250 mm", units.Length, `"0,250 mm" has a decimal comma: write 0.250 mm`},
		{"1234,567 mm", units.Length, `"1234,567 mm" has a decimal comma: write 1234.567 mm`},
		{"1.234,5 mm", units.Length, `"1.234,5 mm" has a decimal comma: write 1234.5 mm`},
		{"1,234 mm", units.Length, `"1,234 mm" has a comma that can be read two ways: write 1234 mm or 1.234 mm`},
		{"1,234.5 mm", units.Length, `"1,234.5 mm" has a thousands separator: write 1234.5 mm`},
		{"1,234,567 mm", units.Length, `"1,234,567 mm" has a thousands separator: write 1234567 mm`},
		{"1'234 mm", units.Length, `"1'234 mm" has a thousands separator: write 1234 mm`},
		{"1_234 mm", units.Length, `"1_234 mm" has a thousands separator: write 1234 mm`},
		{"1 234 mm", units.Length, `"1 234 mm" has a space inside the number: write 1234 mm`},
		{"-1 234 567.5 mm", units.Length, `"-1 234 567.5 mm" has a space inside the number: write -1234567.5 mm`},
		{"1\u00a0234\u00a0mm", units.Length, `"1 234 mm" has a space inside the number: write 1234 mm`},
		{"1/2,5 in", units.Length, `"1/2,5 in" has a comma in its number`},
		{"1.234.567 mm", units.Length, `"1.234.567 mm" has a misplaced decimal point`},
		{"1.2.3 mm", units.Length, `"1.2.3 mm" has a misplaced decimal point`},
		{"1..2 mm", units.Length, `"1..2 mm" has a misplaced decimal point`},
		{"10-20 mm", units.Length, `"10-20 mm" has two numbers: write one, such as 1.5 or 1 1/2`},
		{"1-1/2 in", units.Length, `"1-1/2 in" has two numbers: write one, such as 1.5 or 1 1/2`},
		{"1 2/2 in", units.Length, `"1 2/2 in" has two numbers: write one, such as 1.5 or 1 1/2`},
		{"1 5/4 in", units.Length, `"1 5/4 in" has two numbers: write one, such as 1.5 or 1 1/2`},
		{"1.5/2 in", units.Length, `"1.5/2 in" has an unreadable fraction: write whole numbers of at most 7 digits, such as 3/8`},
		{"123456789/2 in", units.Length, `"123456789/2 in" has an unreadable fraction: write whole numbers of at most 7 digits, such as 3/8`},
		{"1/0 in", units.Length, `"1/0 in" divides by zero`},
		{"1 1/0 in", units.Length, `"1 1/0 in" divides by zero`},
		{"0/0 in", units.Length, `"0/0 in" divides by zero`},
		{"mm", units.Length, `"mm" has no number before the unit`},
		{"NaN mm", units.Length, `"NaN mm" does not begin with a number: ` + lengths},
		{"-inf mm", units.Length, `"-inf mm" does not begin with a number: ` + lengths},
		{".inf", units.Plain, `".inf" does not begin with a number: a plain number takes no unit, or %`},
		{"- 5 mm", units.Length, `"- 5 mm" does not begin with a number: ` + lengths},
		{"--5 mm", units.Length, `"--5 mm" does not begin with a number: ` + lengths},
		{". mm", units.Length, `". mm" does not begin with a number: ` + lengths},
		{"−5 mm", units.Length, `"−5 mm" begins with a dash: write a minus sign as -`},
		{"４１２ mm", units.Length, `"４１２ mm" has the sign "４": write numbers with the digits 0 to 9`},
		{"4１２ mm", units.Length, `"4１２ mm" has the sign "１": write numbers with the digits 0 to 9`},
		{"٤١٢ mm", units.Length, `"٤١٢ mm" has the sign "٤": write numbers with the digits 0 to 9`},
		{"1½ in", units.Length, `"1½ in" has the sign "½": write numbers with the digits 0 to 9`},
		{"1e400 mm", units.Length, `"1e400 mm" is too large to be meant`},
		{"1e999999999999999999999 mm", units.Length, `"1e999999999999999999999 mm" is too large to be meant`},
		{"-1.1e30 m", units.Length, `"-1.1e30 m" is too large to be meant`},
		{"1e-400 mm", units.Length, `"1e-400 mm" is too small to be meant: write 0 for nothing`},
		{"0.9e-30 m", units.Length, `"0.9e-30 m" is too small to be meant: write 0 for nothing`},
		{"-273.16 degC", units.Temperature, `"-273.16 degC" is below absolute zero`},
		{"-459.68 degF", units.Temperature, `"-459.68 degF" is below absolute zero`},
		{"5\x1b[31m", units.Length, "\"5\ufffd[31m\" has an unknown unit \"\ufffd[31m\": " + lengths},
		{strings.Repeat("1", 63) + "mm", units.Length, `"11111111111111111111"... is too long: a value has at most 64 characters`},
		{strings.Repeat("é", 40), units.Length, `"éééééééééé"... is too long: a value has at most 64 characters`},
	} {
		got, err := units.Parse(tt.text, tt.dim)
		if err == nil || err.Error() != tt.want {
			t.Errorf("Parse(%q, %s):\n got %v, %v\nwant %s", tt.text, tt.dim, got, err, tt.want)
		}
		if err != nil && got != 0 {
			t.Errorf("Parse(%q, %s) with an error: got %v, want 0", tt.text, tt.dim, got)
		}
	}
}

func BenchmarkParse(b *testing.B) {
	for _, bb := range []struct {
		text string
		dim  units.Dimension
	}{
		{"412 mm", units.Length},
		{"1 1/2 in", units.Length},
		{"-30 degC", units.Temperature},
		{"3625.94 psi", units.Pressure},
		{"25 N·m", units.Torque},
	} {
		b.Run(bb.text, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := units.Parse(bb.text, bb.dim); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
