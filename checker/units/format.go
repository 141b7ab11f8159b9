package units

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Format writes an SI value as people do, with the unit of the family chosen by size: "412 mm", "16.2 in",
// "0.25 cm3", "35 min". It keeps four significant digits and every whole one, at most seven decimals (two for an
// absolute temperature, so a difference wants FormatIn with "K"); what rounds away becomes 0, never -0. Only a
// plain number and a dimension without a name may be smaller and then take an exponent, as do numbers from 1e9 up.
// A value that is not finite gives "not a number".
func Format(si float64, d Dimension, f Family) string {
	e, tiny := unitOf(si, d, f)
	return write(si, e, tiny)
}

// FormatAtLeast writes a value as [Format] does, but rounded up: what is written, read back by [Parse], is never below
// the value. Whoever does what it says does enough.
func FormatAtLeast(si float64, d Dimension, f Family) string { return toward(si, d, f, 1) }

// FormatAtMost writes a value as [Format] does, but rounded down: what is written, read back, is never above the value.
func FormatAtMost(si float64, d Dimension, f Family) string { return toward(si, d, f, -1) }

// toward adds to what [Format] writes (up 1) or takes away (up -1) as many units of the last digit as it takes.
func toward(si float64, d Dimension, f Family, up float64) string {
	e, tiny := unitOf(si, d, f)
	x := e.shown(si)
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return write(si, e, tiny)
	}
	number, last := digits(x, e.hundredths != 0, tiny), lastDigit(x, e.hundredths != 0, tiny)
	for range 3 {
		read, _ := scanNumber(number)
		if (e.si(read)-si)*up >= 0 {
			break
		}
		number = digits(read.m/read.p+up*last, e.hundredths != 0, tiny)
	}
	return strings.TrimSuffix(number+" "+e.symbol, " ")
}

// unitOf is the unit in which a value is written, and whether a small one takes an exponent there.
func unitOf(si float64, d Dimension, f Family) (e *entry, tiny bool) {
	units := byDimension[d]
	if len(units) == 0 {
		return &entry{symbol: d.baseUnits(), num: 1, den: 1}, true
	}
	if d == Plain {
		return bySymbol[""], true
	}
	if chosen := bySize(math.Abs(si), d, f); chosen != nil && !strings.HasPrefix(write(si, chosen, false), "0 ") {
		return chosen, false
	}
	return usualOf(units, f), false
}

// FormatIn writes an SI value in the given unit, with the digits of [Format]; a small value takes an exponent. The
// symbol "" stands for a plain number.
func FormatIn(si float64, symbol string) (string, error) {
	e := find(symbol)
	switch {
	case e == nil:
		return "", fmt.Errorf("unknown unit %s", quoted(symbol))
	case math.IsNaN(si) || math.IsInf(si, 0):
		return "", fmt.Errorf("a value in %s is not a finite number", e.symbol)
	}
	return write(si, e, true), nil
}

// Like writes a value in the unit in which another of its dimension is written, where that says the same: where
// the two units are a power of ten apart ("2792 mm" like "2.7 m" is "2.792 m"), or the number is a whole one ("288 in"
// like "20 ft" is "24 ft"). Else the text stays as it is.
func Like(text, other string) string {
	from, _ := unitIn(text)
	to, spelling := unitIn(other)
	if from == nil || to == nil || from == to || from.dim != to.dim || from.hundredths != to.hundredths {
		return text
	}
	si, err := Parse(text, from.dim)
	if err != nil {
		return text
	}
	x, tens := to.shown(si), math.Log10(from.num*to.den/(from.den*to.num))
	if math.Abs(tens-math.Round(tens)) > 1e-12 && math.Abs(x-math.Round(x)) > 1e-9 {
		return text
	}
	written := strconv.FormatFloat(math.Round(x*1e9)/1e9, 'f', -1, 64) + spelling
	if back, err := Parse(written, from.dim); err != nil || back != si {
		return text
	}
	return written
}

// usualOf returns the first unit of the family, or else the first.
func usualOf(units []*entry, f Family) *entry {
	for _, e := range units {
		if e.family == f {
			return e
		}
	}
	return units[0]
}

// IsUsual reports whether [Format] may write a value in the unit, in a family.
func IsUsual(symbol string, f Family) bool {
	e := find(symbol)
	if e == nil {
		return false
	}
	for _, s := range steps[e.dim][f] {
		if s.symbol == e.symbol {
			return true
		}
	}
	return usualOf(byDimension[e.dim], f) == e
}

// step is a unit of output and the SI magnitude below which it is chosen; 0 stands for no bound.
type step struct {
	below  float64
	symbol string
}

// steps holds the choice of unit by size, for a dimension and family that need more than the usual unit. Limits:
// common practice, no source. Tubes are cut in mm up to several metres, a pause is set in minutes up to two hours,
// a pump pressure is stated in bar and a stress in MPa.
var steps = map[Dimension][2][]step{
	Length: {
		Metric: {{10, "mm"}, {10e3, "m"}, {0, "km"}},
		Inch:   {{10, "in"}, {1609.344, "ft"}, {0, "mi"}},
	},
	Area: {Metric: {{0.01, "mm2"}, {1, "cm2"}, {0, "m2"}}},
	Volume: {
		Metric: {{1e-8, "mm3"}, {1e-3, "cm3"}, {1, "l"}, {0, "m3"}},
		Inch:   {{3.785411784e-3, "in3"}, {0, "US gal"}},
	},
	Mass: {
		Metric: {{1, "g"}, {0, "kg"}},
		Inch:   {{0.45359237, "oz"}, {0, "lb"}},
	},
	Time: {
		Metric: {{120, "s"}, {7200, "min"}, {172800, "h"}, {0, "d"}},
		Inch:   {{120, "s"}, {7200, "min"}, {172800, "h"}, {0, "d"}},
	},
	Current:    {Metric: {{0.1, "mA"}, {0, "A"}}, Inch: {{0.1, "mA"}, {0, "A"}}},
	Voltage:    {Metric: {{0.1, "mV"}, {0, "V"}}, Inch: {{0.1, "mV"}, {0, "V"}}},
	Resistance: {Metric: {{1, "mohm"}, {0, "ohm"}}, Inch: {{1, "mohm"}, {0, "ohm"}}},
	Power:      {Metric: {{1e3, "W"}, {0, "kW"}}, Inch: {{1e3, "W"}, {0, "kW"}}},
	Pressure: {
		Metric: {{1e4, "mbar"}, {1e8, "bar"}, {0, "MPa"}},
		Inch:   {{1.5e8, "psi"}, {0, "ksi"}},
	},
	Force:        {Metric: {{1e4, "N"}, {0, "kN"}}},
	Torque:       {Inch: {{6, "lbf in"}, {0, "lbf ft"}}},
	Acceleration: {Metric: {{0, "gn"}}, Inch: {{0, "gn"}}},
	VolumeFlow: {
		Metric: {{0.1e-6 / 3600, "cm3/d"}, {1e-3 / 3600, "cm3/h"}, {0, "l/h"}},
		Inch:   {{1e-6 / 3600, "in3/d"}, {1e-3 / 3600, "in3/h"}, {0, "in3/min"}},
	},
	MassFlow: {
		Metric: {{0.1e-3 / 3600, "g/d"}, {1.0 / 3600, "g/h"}, {0, "kg/h"}},
		Inch:   {{0.45359237 / 3600, "oz/h"}, {0, "lb/h"}},
	},
	DynamicViscosity: {Metric: {{1, "mPa s"}, {0, "Pa s"}}, Inch: {{1, "mPa s"}, {0, "Pa s"}}},
	Speed:            {Metric: {{1, "m/s"}, {0, "km/h"}}},
	Frequency: {
		Metric: {{1.0 / 60, "1/h"}, {1, "1/min"}, {0, "Hz"}},
		Inch:   {{1.0 / 60, "1/h"}, {1, "1/min"}, {0, "Hz"}},
	},
}

func bySize(size float64, d Dimension, f Family) *entry {
	if f != Metric && f != Inch {
		return nil
	}
	for _, s := range steps[d][f] {
		if size < s.below || s.below == 0 {
			return bySymbol[s.symbol]
		}
	}
	return nil
}

// write writes a value in one unit. With tiny, a small value takes an exponent; otherwise it becomes 0.
func write(si float64, e *entry, tiny bool) string {
	x := e.shown(si)
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return "not a number"
	}
	text := digits(x, e.hundredths != 0, tiny)
	if e.symbol == "" {
		return text
	}
	return text + " " + e.symbol
}

// shown is an SI value in the unit.
func (e *entry) shown(si float64) float64 { return si*e.den/e.num - e.hundredths/100 }

const mostDecimals = 7

func digits(x float64, temperature, tiny bool) string {
	if exponent(x, temperature, tiny) {
		return strconv.FormatFloat(x, 'g', 4, 64)
	}
	decimals := decimals(x, temperature)
	text := strconv.FormatFloat(x, 'f', decimals, 64)
	if decimals > 0 {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	if text == "-0" {
		return "0"
	}
	return text
}

// exponent reports whether a number is written with one.
func exponent(x float64, temperature, tiny bool) bool {
	size := math.Abs(x)
	return size >= 1e9 || tiny && !temperature && 0 < size && size < 1e-4
}

// decimals is how many of them a number is written with.
func decimals(x float64, temperature bool) int {
	size := math.Abs(x)
	switch {
	case temperature:
		return 2
	case size >= 1e-4:
		return min(max(3-int(math.Floor(math.Log10(size))), 0), mostDecimals)
	}
	return mostDecimals
}

// lastDigit is what one more in the last digit that is written adds.
func lastDigit(x float64, temperature, tiny bool) float64 {
	if exponent(x, temperature, tiny) {
		return math.Pow10(int(math.Floor(math.Log10(math.Abs(x)))) - 3)
	}
	return math.Pow10(-decimals(x, temperature))
}
