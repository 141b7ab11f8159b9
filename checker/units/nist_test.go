package units_test

import (
	"math"
	"math/big"
	"strconv"
	"strings"
	"testing"

	"kitgauge/checker/units"
)

// Factors as NIST SP 811 (2008), Appendix B.8 and B.9, prints them. "printed" rows: digits seen in transcriptions of
// the tables, not on the page itself (the R package NISTunits 1.0.1 copies B.8 row by row); "quoted" rows: seen as a
// quotation only. An exact row is one that the guide sets in boldface (seen for in, ft, mi, um, in2, l, bar, mph;
// else from memory); any other holds to half a unit of its last digit.
func TestNISTFactors(t *testing.T) {
	for _, tt := range []struct {
		symbol, row, printed string
		exact                bool
		seen                 string
	}{
		{"in", "inch (in)", "2.54E-02", true, "printed"},
		{"ft", "foot (ft)", "3.048E-01", true, "printed"},
		{"mi", "mile (mi)", "1.609344E+03", true, "printed"},
		{"um", "micron", "1.0E-06", true, "printed"},
		{"in2", "square inch (in2)", "6.4516E-04", true, "printed"},
		{"in3", "cubic inch (in3)", "1.638706E-05", false, "printed"},
		{"l", "liter (L)", "1.0E-03", true, "printed"},
		{"US fl oz", "ounce (U.S. fluid) (fl oz)", "2.957353E-05", false, "printed"},
		{"US gal", "gallon (U.S.) (gal)", "3.785412E-03", false, "printed"},
		{"lb", "pound (avoirdupois) (lb)", "4.535924E-01", false, "printed"},
		{"oz", "ounce (avoirdupois) (oz)", "2.834952E-02", false, "printed"},
		{"min", "minute (min)", "6.0E+01", true, "printed"},
		{"h", "hour (h)", "3.6E+03", true, "printed"},
		{"d", "day (d)", "8.64E+04", true, "printed"},
		{"deg", "degree (angle)", "1.745329E-02", false, "printed"},
		{"bar", "bar (bar)", "1.0E+05", true, "printed"},
		{"mbar", "millibar (mbar)", "1.0E+02", true, "quoted"},
		{"psi", "pound-force per square inch (psi) (lbf/in2)", "6.894757E+03", false, "printed"},
		{"ksi", "kip per square inch (ksi) (kip/in2)", "6.894757E+06", false, "printed"},
		{"lbf", "pound-force (lbf)", "4.448222E+00", false, "printed"},
		{"lbf ft", "pound-force foot (lbf ft)", "1.355818E+00", false, "printed"},
		{"lbf in", "pound-force inch (lbf in)", "1.129848E-01", false, "printed"},
		{"gn", "acceleration of free fall, standard (gn)", "9.80665E+00", true, "printed"},
		{"in3/min", "cubic inch per minute (in3/min)", "2.731177E-07", false, "printed"},
		{"lb/h", "pound per hour (lb/h)", "1.259979E-04", false, "printed"},
		{"g/cm3", "gram per cubic centimeter (g/cm3)", "1.0E+03", true, "quoted"},
		{"lb/in3", "pound per cubic inch (lb/in3)", "2.767990E+04", false, "printed"},
		{"cSt", "centistokes (cSt)", "1.0E-06", true, "printed"},
		{"mPa s", "centipoise (cP), which is 1 mPa s", "1.0E-03", true, "printed"},
		{"km/h", "kilometer per hour (km/h)", "2.777778E-01", false, "printed"},
		{"mph", "mile per hour (mi/h)", "4.4704E-01", true, "printed"},
		{"mm2/s", "SI prefix", "1.0E-06", true, "from memory"},
		{"N/mm2", "SI prefix", "1.0E+06", true, "from memory"},
	} {
		t.Run(tt.symbol, func(t *testing.T) {
			u, ok := units.Lookup(tt.symbol)
			if !ok {
				t.Fatalf("Lookup(%q) found nothing", tt.symbol)
			}
			want, err := strconv.ParseFloat(tt.printed, 64)
			if err != nil {
				t.Fatal(err)
			}
			tolerance := halfLastDigit(t, tt.printed)
			if tt.exact {
				tolerance = 0
			}
			if math.Abs(u.Factor-want) > tolerance {
				t.Errorf("Lookup(%q).Factor: got %.9E, want %s (%s: %s)", tt.symbol, u.Factor, tt.printed, tt.row, tt.seen)
			}
			got, err := units.Parse("1 "+tt.symbol, u.Dim)
			if err != nil || math.Abs(got-want) > tolerance {
				t.Errorf("Parse(1 %s): got %.9E, %v, want %s (%s: %s)", tt.symbol, got, err, tt.printed, tt.row, tt.seen)
			}
		})
	}
}

// halfLastDigit returns half a unit in the last place of a number such as 6.894757E+03, and a little for binary.
func halfLastDigit(t *testing.T, printed string) float64 {
	mantissa, exponent, _ := strings.Cut(printed, "E")
	e, err := strconv.Atoi(exponent)
	if err != nil {
		t.Fatal(err)
	}
	_, decimals, _ := strings.Cut(mantissa, ".")
	return 0.5000001 * math.Pow10(e-len(decimals))
}

// NIST SP 811 (2008), Appendix B.8, prints the formulas T/K = t/degC + 273.15 and T/K = (t/degF + 459.67)/1.8; the
// rows are the formulas (printed) at temperatures that are easy to check by hand.
func TestTemperature(t *testing.T) {
	for _, tt := range []struct {
		text string
		want float64
		why  string
	}{
		{"0 degC", 273.15, "printed formula"},
		{"-30 degC", 243.15, "printed formula, exact in the last digit"},
		{"20 °C", 293.15, "printed formula"},
		{"32 degF", 273.15, "printed formula: 491.67/1.8"},
		{"212 °F", 373.15, "printed formula: 671.67/1.8"},
		{"-40 degF", 233.15, "printed formula: 419.67/1.8, equal to -40 degC"},
		{"-40 degC", 233.15, "printed formula"},
		{"-459.67 degF", 0, "limit: absolute zero"},
		{"-273.15 degC", 0, "limit: absolute zero"},
		{"60 K", 60, "limit: kelvin as it stands"},
		{"-60 K", -60, "limit: a difference in kelvin may be negative"},
	} {
		got, err := units.Parse(tt.text, units.Temperature)
		if err != nil || got != tt.want {
			t.Errorf("Parse(%q): got %v, %v, want %v (%s)", tt.text, got, err, tt.want, tt.why)
		}
	}
}

// definitions gives every unit as the exact product that defines it: inch 0.0254 m, pound 0.45359237 kg, standard
// acceleration 9.80665 m/s2 and US gallon 231 in3 = 128 fl oz (NIST SP 811 Appendix B.6 and B.8 footnotes; NIST
// Handbook 44 Appendix C; from memory), the rest SI prefixes and minute, hour, day of the SI Brochure (from memory).
var definitions = map[string]string{
	"": "1", "%": "0.01",
	"mm": "0.001", "cm": "0.01", "m": "1", "in": "0.0254", "ft": "12*0.0254", "um": "0.000001", "km": "1000",
	"mi":  "5280*12*0.0254",
	"mm2": "0.000001", "cm2": "0.0001", "m2": "1", "in2": "0.0254*0.0254",
	"cm3": "0.000001", "ml": "0.000001", "l": "0.001", "in3": "0.0254*0.0254*0.0254",
	"US fl oz": "231*0.0254*0.0254*0.0254/128", "US gal": "231*0.0254*0.0254*0.0254", "mm3": "0.000000001", "m3": "1",
	"kg": "1", "g": "0.001", "lb": "0.45359237", "oz": "0.45359237/16",
	"s": "1", "min": "60", "h": "60*60", "d": "24*60*60", "wk": "7*24*60*60",
	"rad": "1", "A": "1", "mA": "0.001", "V": "1", "mV": "0.001", "ohm": "1", "mohm": "0.001",
	"mohm/m": "0.001", "ohm/km": "0.001", "ohm/m": "1", "ohm/kft": "1/1000/12/0.0254", "W": "1", "kW": "1000",
	"bar": "100000", "MPa": "1000000", "kPa": "1000", "psi": "0.45359237*9.80665/0.0254/0.0254", "N/mm2": "1000000",
	"mbar": "100", "Pa": "1", "ksi": "1000*0.45359237*9.80665/0.0254/0.0254",
	"degC": "1", "degF": "5/9", "K": "1", "N": "1", "kN": "1000", "lbf": "0.45359237*9.80665",
	"N m": "1", "lbf ft": "0.45359237*9.80665*12*0.0254", "lbf in": "0.45359237*9.80665*0.0254",
	"m/s2": "1", "gn": "9.80665",
	"cm3/h": "0.000001/3600", "cm3/min": "0.000001/60", "cm3/d": "0.000001/86400", "l/h": "0.001/3600",
	"in3/h": "0.0254*0.0254*0.0254/3600", "in3/min": "0.0254*0.0254*0.0254/60", "in3/d": "0.0254*0.0254*0.0254/86400",
	"m3/s": "1", "g/h": "0.001/3600", "g/d": "0.001/86400", "kg/h": "1/3600", "lb/h": "0.45359237/3600",
	"oz/h": "0.45359237/16/3600", "kg/s": "1", "kg/m3": "1", "g/cm3": "1000",
	"lb/in3": "0.45359237/0.0254/0.0254/0.0254", "mm2/s": "0.000001", "cSt": "0.000001", "m2/s": "1",
	"Pa s": "1", "mPa s": "0.001", "m/s": "1", "km/h": "1000/3600", "mph": "5280*12*0.0254/3600",
	"Hz": "1", "1/min": "1/60", "1/h": "1/3600",
	"dm": "0.1", "cl": "0.00001", "dl": "0.0001", "hPa": "100",
}

// product evaluates "a*b/c" exactly, from left to right.
func product(t interface{ Fatalf(string, ...any) }, text string) *big.Rat {
	p := big.NewRat(1, 1)
	for operator := byte('*'); ; {
		end := strings.IndexAny(text, "*/")
		part := text
		if end >= 0 {
			part = text[:end]
		}
		r, ok := new(big.Rat).SetString(part)
		if !ok {
			t.Fatalf("bad number %q in a definition", part)
		}
		if operator == '/' {
			r.Inv(r)
		}
		p.Mul(p, r)
		if end < 0 {
			return p
		}
		operator, text = text[end], text[end+1:]
	}
}

func TestDefinitions(t *testing.T) {
	all := allUnits()
	if got, want := len(all), len(definitions)+1; got != want {
		t.Errorf("units with a definition here (and deg): got %d, want %d", want, got)
	}
	for _, u := range all {
		if u.Symbol == "deg" {
			continue // checked against its printed digits, and by 180 deg = pi rad below
		}
		definition, ok := definitions[u.Symbol]
		if !ok {
			t.Errorf("%s has no definition here", u.Symbol)
			continue
		}
		if want, _ := product(t, definition).Float64(); u.Factor != want {
			t.Errorf("factor of %q: got %v, want %v (%s)", u.Symbol, u.Factor, want, definition)
		}
	}
	if got, err := units.Parse("180 deg", units.Angle); err != nil || got != math.Pi {
		t.Errorf("Parse(180 deg): got %v, %v, want pi", got, err)
	}
}

// allUnits returns every unit of every named dimension, in the order of the dimensions and of Accepted.
func allUnits() []units.Unit {
	var all []units.Unit
	for _, d := range dimensions {
		if d.dim == units.Plain {
			u, _ := units.Lookup("")
			all = append(all, u)
		}
		for _, s := range units.Accepted(d.dim) {
			u, _ := units.Lookup(s)
			all = append(all, u)
		}
	}
	return all
}
