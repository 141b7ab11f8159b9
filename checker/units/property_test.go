package units_test

import (
	"fmt"
	"math"
	"math/big"
	"strconv"
	"strings"
	"testing"
	"unicode"

	"pgregory.net/rapid"

	"kitgauge/checker/units"
)

// printedPrecision bounds the rounding of a formatted value in SI: four significant digits, or the last of seven
// decimals (two for an absolute temperature below 1e9).
func printedPrecision(u units.Unit, si float64) float64 {
	if u.Offset != 0 && math.Abs(si/u.Factor) < 0.99e9 {
		return 0.00501 * u.Factor
	}
	return 5.001e-4*math.Abs(si) + 0.501e-7*u.Factor
}

func drawSI(t *rapid.T, d units.Dimension) float64 {
	size := math.Pow(10, rapid.Float64Range(-12, 8).Draw(t, "power of ten"))
	if d == units.Temperature {
		return math.Min(size, 5000)
	}
	return size * rapid.SampledFrom([]float64{1, -1}).Draw(t, "sign")
}

func TestFormatThenParse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := rapid.SampledFrom(dimensions).Draw(t, "dimension")
		family := rapid.SampledFrom([]units.Family{units.Metric, units.Inch}).Draw(t, "family")
		si := drawSI(t, d.dim)
		text := units.Format(si, d.dim, family)
		_, symbol, _ := strings.Cut(text, " ")
		u, ok := units.Lookup(symbol)
		if !ok {
			t.Fatalf("Format(%v, %s): got %q, whose unit is unknown", si, d.name, text)
		}
		got, err := units.Parse(text, d.dim)
		if err != nil || math.Abs(got-si) > printedPrecision(u, si) {
			t.Errorf("Parse(Format(%v, %s) = %q): got %v, %v", si, d.name, text, got, err)
		}
		if strings.HasPrefix(text, "-0 ") || d.dim != units.Plain && math.Abs(si/u.Factor) < 0.99e9 && strings.Contains(strings.TrimSuffix(text, symbol), "e") {
			t.Errorf("Format(%v, %s): got %q, want neither -0 nor an exponent", si, d.name, text)
		}
	})
}

func TestFormatInThenParse(t *testing.T) {
	all := allUnits()
	rapid.Check(t, func(t *rapid.T) {
		u := rapid.SampledFrom(all).Draw(t, "unit")
		si := drawSI(t, u.Dim)
		text, err := units.FormatIn(si, u.Symbol)
		if err != nil {
			t.Fatal(err)
		}
		got, err := units.Parse(text, u.Dim)
		if err != nil || math.Abs(got-si) > printedPrecision(u, si) {
			t.Errorf("Parse(FormatIn(%v, %q) = %q): got %v, %v", si, u.Symbol, text, got, err)
		}
		if want := u.Symbol; !strings.HasSuffix(text, want) {
			t.Errorf("FormatIn(%v, %q): got %q", si, want, text)
		}
	})
}

// Every unit, decimals and fractions, against the exact quotient: a result is the nearest float64, or next to it
// where the factor itself has sixteen digits.
func TestParseRoundsOnce(t *testing.T) {
	all := allUnits()
	rapid.Check(t, func(t *rapid.T) {
		u := rapid.SampledFrom(all).Filter(func(u units.Unit) bool { return u.Symbol != "deg" }).Draw(t, "unit")
		text := rapid.OneOf(
			rapid.StringMatching(`[0-9]{1,4}\.[0-9]{1,3}`),
			rapid.StringMatching(`[1-9][0-9]{0,2}/(2|4|8|16|32|64)`),
			rapid.StringMatching(`[1-9]e-[1-6]`),
		).Draw(t, "number")
		x, ok := new(big.Rat).SetString(text)
		if !ok {
			t.Fatalf("bad number %q", text)
		}
		switch u.Symbol {
		case "degC":
			x.Add(x, big.NewRat(27315, 100))
		case "degF":
			x.Add(x, big.NewRat(45967, 100))
		}
		want, _ := x.Mul(x, product(t, definitions[u.Symbol])).Float64()
		got, err := units.Parse(text+" "+u.Symbol, u.Dim)
		if err != nil {
			t.Fatal(err)
		}
		if got == want || u.Family == units.Inch && math.Nextafter(want, got) == got {
			return
		}
		t.Errorf("Parse(%s %s): got %v, want %v", text, u.Symbol, got, want)
	})
}

func TestMixedFractions(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		whole := rapid.IntRange(0, 9999).Draw(t, "whole")
		lower := rapid.IntRange(2, 128).Draw(t, "lower")
		upper := rapid.IntRange(0, lower-1).Draw(t, "upper")
		sign := rapid.SampledFrom([]string{"", "-", "+"}).Draw(t, "sign")
		text := fmt.Sprintf("%s%d %d/%d in", sign, whole, upper, lower)
		want, _ := big.NewRat(int64(254*(whole*lower+upper)), int64(10000*lower)).Float64()
		if sign == "-" && want != 0 {
			want = -want
		}
		if got, err := units.Parse(text, units.Length); err != nil || got != want {
			t.Errorf("Parse(%q): got %v, %v, want %v", text, got, err, want)
		}
	})
}

func FuzzParse(f *testing.F) {
	for _, text := range []string{"412 mm", "1 1/2 in", "-30 °C", "1,234.5 mm", "1 000 bar", "1e400", "5 N·m", "½ in", "1/0 h", "30 1/min"} {
		f.Add(text, uint8(1))
	}
	f.Fuzz(func(t *testing.T, text string, pick uint8) {
		d := dimensions[int(pick)%len(dimensions)].dim
		got, err := units.Parse(text, d)
		if err != nil {
			checkMessage(t, text, err.Error())
			return
		}
		if math.IsNaN(got) || math.Abs(got) > 1e30 || got == 0 && math.Signbit(got) {
			t.Fatalf("Parse(%q, %s): got %v", text, d, got)
		}
		symbol := ""
		if d != units.Plain {
			symbol = units.Accepted(d)[0]
		}
		again, err := units.FormatIn(got, symbol)
		if err != nil {
			t.Fatalf("FormatIn(%v, %q): %v", got, symbol, err)
		}
		u, _ := units.Lookup(symbol)
		back, err := units.Parse(again, d)
		if u.Offset != 0 && got < 0 || math.Abs(got) < 1e-29 || math.Abs(got) > 0.9e30 {
			return // a difference in kelvin has no reading in degC; the ends may round out of the range
		}
		if err != nil || math.Abs(back-got) > 1.001*printedPrecision(u, got) {
			t.Errorf("Parse(%q): got %v, written %q, read back %v, %v", text, got, again, back, err)
		}
	})
}

// checkMessage holds an error to one printable line that is about the text, not about the program.
func checkMessage(t *testing.T, text, message string) {
	for _, r := range message {
		if !unicode.IsPrint(r) {
			t.Errorf("Parse(%q): the message %q has the unprintable %s", text, message, strconv.QuoteRune(r))
		}
	}
	program := strings.Contains(message, "%!") && !strings.Contains(text, "%!")
	if message == "" || len(message) > 500 || program {
		t.Errorf("Parse(%q): bad message %q", text, message)
	}
}

// A figure that is rounded to a side is on that side when it is read back, and
// not farther from the value than one unit of the last digit that is printed
// (an identity).
func TestFormatTowardThenParse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := rapid.SampledFrom(dimensions).Draw(t, "dimension")
		family := rapid.SampledFrom([]units.Family{units.Metric, units.Inch}).Draw(t, "family")
		si := drawSI(t, d.dim)
		for name, format := range map[string]func(float64, units.Dimension, units.Family) string{"FormatAtLeast": units.FormatAtLeast, "FormatAtMost": units.FormatAtMost} {
			text := format(si, d.dim, family)
			_, symbol, _ := strings.Cut(text, " ")
			u, ok := units.Lookup(symbol)
			if !ok {
				t.Fatalf("%s(%v, %s): got %q, whose unit is unknown", name, si, d.name, text)
			}
			got, err := units.Parse(text, d.dim)
			if err != nil && math.Abs(si) >= 1e-9*u.Factor {
				t.Fatalf("Parse(%s(%v, %s) = %q): %v", name, si, d.name, text, err)
			}
			if err == nil && (name == "FormatAtLeast" && got < si || name == "FormatAtMost" && got > si) {
				t.Fatalf("%s(%v, %s) = %q: read back as %v", name, si, d.name, text, got)
			}
			if err == nil && math.Abs(got-si) > 2.01*printedPrecision(u, si) {
				t.Fatalf("%s(%v, %s) = %q: read back as %v, too far away", name, si, d.name, text, got)
			}
		}
	})
}

// Worked by hand: 4.38357 l and so on.
func TestFormatToward(t *testing.T) {
	for _, tt := range []struct {
		si          float64
		dim         units.Dimension
		family      units.Family
		least, most string
	}{
		{0.00438357, units.Volume, units.Metric, "4.384 l", "4.383 l"},
		{0.412, units.Length, units.Metric, "412 mm", "412 mm"},
		{0.4120001, units.Length, units.Metric, "412.1 mm", "412 mm"},
		{10.0764, units.Length, units.Metric, "10.08 m", "10.07 m"},
		{-0.4120001, units.Length, units.Metric, "-412 mm", "-412.1 mm"},
		{9.9999999, units.Length, units.Metric, "10000 mm", "9999 mm"},
		{0.0254 * 14.25003, units.Length, units.Inch, "14.26 in", "14.25 in"},
		{1e-12, units.Length, units.Metric, "0.0000001 mm", "0 mm"},
		{0, units.Length, units.Metric, "0 mm", "0 mm"},
		{273.15 + 80.001, units.Temperature, units.Metric, "80.01 degC", "80 degC"},
		{1.0 / 3, units.Plain, units.Metric, "0.3334", "0.3333"},
		{1.23456e10, units.Plain, units.Metric, "1.235e+10", "1.234e+10"},
		{math.Inf(1), units.Length, units.Metric, "not a number", "not a number"},
	} {
		if got := units.FormatAtLeast(tt.si, tt.dim, tt.family); got != tt.least {
			t.Errorf("FormatAtLeast(%v): got %q, want %q", tt.si, got, tt.least)
		}
		if got := units.FormatAtMost(tt.si, tt.dim, tt.family); got != tt.most {
			t.Errorf("FormatAtMost(%v): got %q, want %q", tt.si, got, tt.most)
		}
	}
}
