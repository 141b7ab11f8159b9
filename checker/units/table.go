package units

import (
	"bytes"
	"math"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Family is the family of units in which a kit is drawn.
type Family int

// The two families. A unit that both use, such as V or s, counts as metric.
const (
	Metric Family = iota
	Inch
)

// Unit is one unit that a kit file may use: SI value = (x + Offset) * Factor.
type Unit struct {
	Symbol string    // as Format writes it
	Dim    Dimension // what it measures
	Factor float64   // SI units in one of it
	Offset float64   // not zero for degC and degF only; in the unit itself
	Family Family
}

// entry is a unit with its factor as a quotient of two numbers that are exact (but for the angle of a degree),
// so that a conversion rounds once: 412 mm is 412/1000, and equal to 0.412 to the last bit.
type entry struct {
	symbol     string
	dim        Dimension
	family     Family
	num, den   float64
	hundredths float64  // the offset in hundredths of the unit, exact
	otherwise  []string // other spellings that are accepted
}

func (e *entry) unit() Unit {
	return Unit{e.symbol, e.dim, e.num / e.den, e.hundredths / 100, e.family}
}

// Numerators of the exact definitions: inch 0.0254 m, pound 0.45359237 kg, standard acceleration of free fall
// 9.80665 m/s2, US gallon 231 in3.
const (
	inch3      = 254 * 254 * 254   // of a cubic inch, over 1e12 m3
	pound      = 45359237          // over 1e8 kg
	poundForce = 45359237 * 980665 // over 1e13 N
)

// table lists the units of each dimension together, the usual ones first: Accepted and the error messages keep
// this order. In a symbol "m" before ohm is milli; a megohm has no use here.
var table = []entry{
	{symbol: "", dim: Plain, num: 1, den: 1},
	{symbol: "%", dim: Plain, num: 1, den: 100},

	{symbol: "mm", dim: Length, num: 1, den: 1e3},
	{symbol: "cm", dim: Length, num: 1, den: 1e2},
	{symbol: "m", dim: Length, num: 1, den: 1},
	{symbol: "in", dim: Length, family: Inch, num: 254, den: 1e4},
	{symbol: "ft", dim: Length, family: Inch, num: 3048, den: 1e4},
	{symbol: "um", dim: Length, num: 1, den: 1e6},
	{symbol: "km", dim: Length, num: 1e3, den: 1},
	{symbol: "mi", dim: Length, family: Inch, num: 1609344, den: 1e3},
	{symbol: "dm", dim: Length, num: 1, den: 10},

	{symbol: "mm2", dim: Area, num: 1, den: 1e6},
	{symbol: "cm2", dim: Area, num: 1, den: 1e4},
	{symbol: "m2", dim: Area, num: 1, den: 1},
	{symbol: "in2", dim: Area, family: Inch, num: 254 * 254, den: 1e8},

	{symbol: "cm3", dim: Volume, num: 1, den: 1e6},
	{symbol: "ml", dim: Volume, num: 1, den: 1e6, otherwise: []string{"mL"}},
	{symbol: "l", dim: Volume, num: 1, den: 1e3, otherwise: []string{"L"}},
	{symbol: "in3", dim: Volume, family: Inch, num: inch3, den: 1e12},
	{symbol: "US fl oz", dim: Volume, family: Inch, num: 231 * inch3, den: 128e12},
	{symbol: "US gal", dim: Volume, family: Inch, num: 231 * inch3, den: 1e12},
	{symbol: "mm3", dim: Volume, num: 1, den: 1e9},
	{symbol: "m3", dim: Volume, num: 1, den: 1},
	{symbol: "cl", dim: Volume, num: 1, den: 1e5, otherwise: []string{"cL"}},
	{symbol: "dl", dim: Volume, num: 1, den: 1e4, otherwise: []string{"dL"}},

	{symbol: "kg", dim: Mass, num: 1, den: 1},
	{symbol: "g", dim: Mass, num: 1, den: 1e3},
	{symbol: "lb", dim: Mass, family: Inch, num: pound, den: 1e8},
	{symbol: "oz", dim: Mass, family: Inch, num: pound, den: 16e8},

	{symbol: "s", dim: Time, num: 1, den: 1},
	{symbol: "min", dim: Time, num: 60, den: 1},
	{symbol: "h", dim: Time, num: 3600, den: 1},
	{symbol: "d", dim: Time, num: 86400, den: 1},
	{symbol: "wk", dim: Time, num: 604800, den: 1},

	{symbol: "deg", dim: Angle, num: math.Pi, den: 180},
	{symbol: "rad", dim: Angle, num: 1, den: 1},

	{symbol: "A", dim: Current, num: 1, den: 1},
	{symbol: "mA", dim: Current, num: 1, den: 1e3},

	{symbol: "V", dim: Voltage, num: 1, den: 1},
	{symbol: "mV", dim: Voltage, num: 1, den: 1e3},

	{symbol: "ohm", dim: Resistance, num: 1, den: 1},
	{symbol: "mohm", dim: Resistance, num: 1, den: 1e3},

	{symbol: "mohm/m", dim: ResistancePerLength, num: 1, den: 1e3},
	{symbol: "ohm/km", dim: ResistancePerLength, num: 1, den: 1e3},
	{symbol: "ohm/m", dim: ResistancePerLength, num: 1, den: 1},
	{symbol: "ohm/kft", dim: ResistancePerLength, family: Inch, num: 10, den: 3048},

	{symbol: "W", dim: Power, num: 1, den: 1},
	{symbol: "kW", dim: Power, num: 1e3, den: 1},

	{symbol: "bar", dim: Pressure, num: 1e5, den: 1},
	{symbol: "MPa", dim: Pressure, num: 1e6, den: 1},
	{symbol: "kPa", dim: Pressure, num: 1e3, den: 1},
	{symbol: "psi", dim: Pressure, family: Inch, num: poundForce, den: 254 * 254 * 1e5},
	{symbol: "N/mm2", dim: Pressure, num: 1e6, den: 1},
	{symbol: "mbar", dim: Pressure, num: 1e2, den: 1},
	{symbol: "Pa", dim: Pressure, num: 1, den: 1},
	{symbol: "ksi", dim: Pressure, family: Inch, num: poundForce, den: 254 * 254 * 1e2},
	{symbol: "hPa", dim: Pressure, num: 1e2, den: 1},

	{symbol: "degC", dim: Temperature, num: 1, den: 1, hundredths: 27315, otherwise: []string{"deg C"}},
	{symbol: "degF", dim: Temperature, family: Inch, num: 5, den: 9, hundredths: 45967, otherwise: []string{"deg F"}},
	{symbol: "K", dim: Temperature, num: 1, den: 1},

	{symbol: "N", dim: Force, num: 1, den: 1},
	{symbol: "kN", dim: Force, num: 1e3, den: 1},
	{symbol: "lbf", dim: Force, family: Inch, num: poundForce, den: 1e13},

	{symbol: "N m", dim: Torque, num: 1, den: 1, otherwise: []string{"Nm"}},
	{symbol: "lbf ft", dim: Torque, family: Inch, num: poundForce / 5 * 381, den: 25e14, otherwise: []string{"ft lbf"}},
	{symbol: "lbf in", dim: Torque, family: Inch, num: poundForce * 127, den: 5e16, otherwise: []string{"in lbf"}},

	{symbol: "m/s2", dim: Acceleration, num: 1, den: 1},
	{symbol: "gn", dim: Acceleration, num: 980665, den: 1e5},

	{symbol: "cm3/h", dim: VolumeFlow, num: 1, den: 36e8},
	{symbol: "cm3/min", dim: VolumeFlow, num: 1, den: 6e7},
	{symbol: "cm3/d", dim: VolumeFlow, num: 1, den: 864e8},
	{symbol: "l/h", dim: VolumeFlow, num: 1, den: 36e5, otherwise: []string{"L/h"}},
	{symbol: "in3/h", dim: VolumeFlow, family: Inch, num: inch3, den: 36e14},
	{symbol: "in3/min", dim: VolumeFlow, family: Inch, num: inch3, den: 6e13},
	{symbol: "in3/d", dim: VolumeFlow, family: Inch, num: inch3, den: 864e14},
	{symbol: "m3/s", dim: VolumeFlow, num: 1, den: 1},

	{symbol: "g/h", dim: MassFlow, num: 1, den: 36e5},
	{symbol: "g/d", dim: MassFlow, num: 1, den: 864e5},
	{symbol: "kg/h", dim: MassFlow, num: 1, den: 3600},
	{symbol: "lb/h", dim: MassFlow, family: Inch, num: pound, den: 36e10},
	{symbol: "oz/h", dim: MassFlow, family: Inch, num: pound, den: 576e10},
	{symbol: "kg/s", dim: MassFlow, num: 1, den: 1},

	{symbol: "kg/m3", dim: Density, num: 1, den: 1},
	{symbol: "g/cm3", dim: Density, num: 1e3, den: 1},
	{symbol: "lb/in3", dim: Density, family: Inch, num: pound * 1e4, den: inch3},

	{symbol: "mm2/s", dim: KinematicViscosity, num: 1, den: 1e6},
	{symbol: "cSt", dim: KinematicViscosity, num: 1, den: 1e6},
	{symbol: "m2/s", dim: KinematicViscosity, num: 1, den: 1},

	{symbol: "Pa s", dim: DynamicViscosity, num: 1, den: 1},
	{symbol: "mPa s", dim: DynamicViscosity, num: 1, den: 1e3},

	{symbol: "m/s", dim: Speed, num: 1, den: 1},
	{symbol: "km/h", dim: Speed, num: 10, den: 36},
	{symbol: "mph", dim: Speed, family: Inch, num: 44704, den: 1e5, otherwise: []string{"mi/h"}},

	{symbol: "Hz", dim: Frequency, num: 1, den: 1, otherwise: []string{"1/s", "/s"}},
	{symbol: "1/min", dim: Frequency, num: 1, den: 60, otherwise: []string{"/min"}},
	{symbol: "1/h", dim: Frequency, num: 1, den: 3600, otherwise: []string{"/h"}},
}

// bySymbol and byDimension index the table; byDimension keeps its order.
var bySymbol, byDimension = index()

func index() (map[string]*entry, map[Dimension][]*entry) {
	symbols := map[string]*entry{}
	dimensions := map[Dimension][]*entry{}
	for i := range table {
		e := &table[i]
		for _, s := range append([]string{e.symbol}, e.otherwise...) {
			if symbols[s] != nil {
				panic("units: two units are written " + s)
			}
			symbols[s] = e
		}
		dimensions[e.dim] = append(dimensions[e.dim], e)
	}
	return symbols, dimensions
}

// Lookup returns the unit with the given symbol. Case counts. Other common spellings are understood: "N.m", "N·m"
// and "Nm", "cm^3" and "cm³", "°C", "Ω", "µm", a full stop at the end. The empty symbol is the unit of a plain number.
func Lookup(symbol string) (Unit, bool) {
	if e := find(symbol); e != nil {
		return e.unit(), true
	}
	return Unit{}, false
}

func find(symbol string) *entry {
	if e := bySymbol[symbol]; e != nil {
		return e
	}
	var buffer [longestText]byte
	if plain := respell(buffer[:0], symbol); len(plain) > 0 {
		return bySymbol[string(plain)]
	}
	return nil // a lone full stop is not a unit
}

// respell appends a unit in the spelling of the table: letters for the signs of good typography, one space between
// factors, none beside a stroke. Nothing comes of a unit that begins with a point.
func respell(plain []byte, symbol string) []byte {
	symbol = strings.TrimSpace(symbol)
	if strings.IndexAny(symbol, ".·⋅") == 0 {
		return nil
	}
	gap := false
	for i, r := range symbol {
		if r == '.' || r == '·' || r == '⋅' || unicode.IsSpace(r) {
			gap = true
			continue
		}
		if gap && r != '/' && !bytes.HasSuffix(plain, []byte("/")) {
			plain = append(plain, ' ')
		}
		gap = false
		switch r {
		case 'µ', 'μ': // micro sign, Greek mu
			plain = append(plain, 'u')
		case 'Ω', '\u2126': // Greek omega, ohm sign
			plain = append(plain, "ohm"...)
		case '°':
			plain = append(plain, "deg"...)
		case '²':
			plain = append(plain, '2')
		case '³':
			plain = append(plain, '3')
		case '^':
			if next := symbol[i+1:]; next == "" || next[0] != '2' && next[0] != '3' {
				plain = append(plain, '^')
			}
		default:
			plain = utf8.AppendRune(plain, r)
		}
	}
	return plain
}

// Accepted returns the symbols accepted for a dimension, the usual ones first, nil when there are none. A plain
// number also stands without a unit.
func Accepted(d Dimension) []string {
	var symbols []string
	for _, e := range byDimension[d] {
		if e.symbol != "" {
			symbols = append(symbols, e.symbol)
		}
	}
	return symbols
}
