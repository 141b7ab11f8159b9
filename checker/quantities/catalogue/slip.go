package catalogue

import (
	"fmt"
	"math"

	"kitgauge/checker/quantities/mistyped"
)

// Near reports whether two figures differ by no more than a share of the
// greater one.
func Near(a, b, share float64) bool {
	return math.Abs(a-b) <= share*math.Max(math.Abs(a), math.Abs(b))
}

// The shares by which figures of one thing may differ. Common practice, no
// source.
const (
	Alike   = 0.02 // two figures that are called the same
	Printed = 0.05 // one that a text or a number gives with one or two digits
	Nominal = 0.12 // the width by which a conduit is called, and its inner diameter
)

// Naming is a member by which a part is named in its description, and the
// share by which the number there may be rounded.
type Naming struct {
	Member string
	Off    float64
}

// named is by kind of part. Common practice, no source: a reservoir of 4.2 l
// is sold as one of 4, a pump for 24 V runs at 28.
var named = map[string][]Naming{
	"element": {{"stroke volume", 0.2}},
	"fuse":    {{"rating", 0.02}},
	"cable":   {{"area", 0.1}, {"rating", 0.1}},
	"pump":    {{"voltage", 0.2}, {"reservoir", 0.25}, {"pressure", 0.2}},
	"tube":    {{"pressure", 0.2}},
	"fitting": {{"angle", 0.05}, {"pressure", 0.2}},
}

// Named lists the members by which parts of a kind are named.
func Named(kind string) []Naming { return named[kind] }

// slip is a factor by which people mistake a figure.
type slip struct {
	factor float64
	says   string // of a figure that is off by it; %s stands for "great" or "small"
	flat   bool   // tells only where the others of the series agree
}

// tenfold says how a figure is off that is off by a slip of the decimal point.
var tenfold = map[float64]string{10: "ten times too %s", 100: "a hundred times too %s", 1000: "a thousand times too %s"}

// Figure is a number of a catalogue entry, in SI, beside those of its series,
// which lie from Low to High.
type Figure struct {
	Value     float64
	Dimension string // "length"
	Sized     bool   // it grows with the size of the part: that the others agree says little
	Low, High float64
	Count     int // how many others there are
}

// apart is how many times a figure of a spread series may lie outside of it
// before a slip is looked for. Common practice, no source.
const apart = 2.5

// transposedOf is how many others have to agree before exchanged digits are
// seen in a figure of two. Common practice, no source.
const transposedOf = 3

// Transposed reports whether one number is another with two digits beside each
// other exchanged: 21 for 12. Both are read as decimal numbers of three digits
// at the most, at the power of ten where the other has no more.
// Source: identity.
func Transposed(a, b float64) bool {
	if !(a > 0 && b > 0) || math.IsInf(a, 0) || math.IsInf(b, 0) || a == b || math.Floor(math.Log10(a)) != math.Floor(math.Log10(b)) {
		return false
	}
	ten := math.Pow(10, 2-math.Floor(math.Log10(a)))
	x, y := int(math.Round(a*ten)), int(math.Round(b*ten))
	if math.Abs(a*ten-float64(x)) > 1e-6 || math.Abs(b*ten-float64(y)) > 1e-6 {
		return false
	}
	dx, dy := [3]int{x / 100, x / 10 % 10, x % 10}, [3]int{y / 100, y / 10 % 10, y % 10}
	return dx == [3]int{dy[1], dy[0], dy[2]} || dx == [3]int{dy[0], dy[2], dy[1]}
}

// Slip tells which slip of the pen or of the unit puts the figure among those
// of its series, and what it should have been; "" where none does, or where
// none is needed.
func (f Figure) Slip() (says string, likely float64) {
	flat := f.Low == f.High
	switch {
	case f.Dimension == "temperature":
		return temperatureSlip(f.Value, f.Low, f.High)
	case !(f.Value > 0 && f.Low > 0) || f.Value >= f.Low && f.Value <= f.High:
		return "", 0
	case !flat && (f.Count < 3 || f.Value >= f.Low/apart && f.Value <= f.High*apart):
		return "", 0
	}
	if flat && !f.Sized && f.Count >= transposedOf && Transposed(f.Value, f.Low) {
		return "that with two digits exchanged", f.Low
	}
	room := 1.0
	if flat {
		room += Alike / 2
	}
	fits := func(v float64) bool { return v >= f.Low/room && v <= f.High*room }
	for _, s := range slipsOf(f.Dimension) {
		switch {
		case s.flat && (!flat || f.Sized):
		case fits(f.Value / s.factor):
			return fmt.Sprintf(s.says, "great"), f.Value / s.factor
		case !flat && f.Dimension == "pressure": // one for low pressure beside others is no slip
		case fits(f.Value * s.factor):
			return fmt.Sprintf(s.says, "small"), f.Value * s.factor
		}
	}
	return "", 0
}

// slipsOf are those of units, then those of the decimal point, which hold for
// all dimensions.
func slipsOf(dimension string) []slip {
	var out []slip
	for _, p := range mistyped.Pairs[dimension] {
		if p.Rough != "" {
			out = append(out, slip{p.Factor, "too %s by the " + p.Rough + " between " + p.One + " and " + p.Other, !p.Common})
		}
	}
	if dimension == "length" {
		out = append(out, slip{1e6, "a million times too %s", true})
	}
	for _, f := range mistyped.Decimal {
		out = append(out, slip{f, tenfold[f], false})
	}
	return out
}

// Into returns what a figure should have been if one slip of the decimal point
// took it out of the range from low to high. It is not sure where several
// slips would.
func Into(v, low, high float64) (likely float64, sure bool) {
	n := 0
	for _, f := range mistyped.Decimal {
		for _, right := range []float64{v / f, v * f} {
			if right >= low && right <= high {
				likely = right
				n++
			}
		}
	}
	return likely, n == 1
}

// temperatureSlip knows a lost sign and degrees Fahrenheit written as Celsius.
func temperatureSlip(v, low, high float64) (says string, likely float64) {
	const freezing, room = 273.15, 0.6
	if low != high || math.Abs(v-low) <= room {
		return "", 0
	}
	c, want := v-freezing, low-freezing
	switch {
	case math.Abs(c+want) <= room && math.Abs(c) > room:
		return "of the wrong sign", low
	case math.Abs((c-32)/1.8-want) <= room:
		return "in degF where degC is written", low
	case math.Abs(c/10-want) <= room/10 && math.Abs(want) > 1, math.Abs(c*10-want) <= room && math.Abs(want) > 1:
		return "ten times off", low
	}
	return "", 0
}
