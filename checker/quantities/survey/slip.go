package survey

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/quantities/mistyped"
)

// Slip is one slip of the pen that turns what was meant into what was written:
// a coordinate is to be replaced.
type Slip struct {
	Coordinate string  // x, y or z
	Value      float64 // what was meant [m]
	Kind       string  // what went wrong, in words
	At         r3.Vec  // the place that was meant
}

// factor by which a number is off, with what went wrong.
type factor struct {
	factor float64
	kind   string
}

// slips of a number, in the order in which people make them: the sign, the
// point, the unit, several places, sign and point.
var slips = func() []factor {
	out := []factor{{-1, "its sign"}}
	add := func(f float64, kind string) { out = append(out, factor{1 / f, kind}, factor{f, kind}) }
	for i, f := range mistyped.Decimal {
		add(f, [...]string{"a factor of 10", "a factor of 100", "m and mm"}[i])
		if i == 0 {
			add(mistyped.Inch, "mm and in")
		}
	}
	ten := mistyped.Decimal[0]
	return append(out, factor{-1 / ten, "its sign and a factor of 10"}, factor{-ten, "its sign and a factor of 10"})
}()

// Slips lists the places that may have been meant where one coordinate was
// mistyped, or two exchanged: the sign lost, 10, 25.4, 100 or 1000 times too
// large or too small. A coordinate of 0 has no slips, and none leads to one
// nearer to 0 than is measured on a vehicle.
//
// Source: common practice, no source.
func Slips(p r3.Vec) []Slip {
	var out []Slip
	for i, name := range [...]string{"x", "y", "z"} {
		v := coordinate(p, i)
		if v == 0 {
			continue
		}
		for _, s := range slips {
			if s.factor != -1 && math.Abs(v*s.factor) < Exact {
				continue
			}
			out = append(out, Slip{name, v * s.factor, s.kind, with(p, i, v*s.factor)})
		}
	}
	return out
}

// BestSlip returns the slip after which a cost is least, and that cost. The
// cost says how badly a place goes with what is round it; where two slips
// serve equally the commoner is returned. ok is false where there is none.
func BestSlip(p r3.Vec, cost func(r3.Vec) float64) (best Slip, least float64, ok bool) {
	least = math.Inf(1)
	for _, s := range Slips(p) {
		if c := cost(s.At); c < least-1e-9 {
			best, least, ok = s, c, true
		}
	}
	return best, least, ok
}

func coordinate(p r3.Vec, i int) float64 { return [...]float64{p.X, p.Y, p.Z}[i] }

func with(p r3.Vec, i int, v float64) r3.Vec {
	c := [...]float64{p.X, p.Y, p.Z}
	c[i] = v
	return r3.Vec{X: c[0], Y: c[1], Z: c[2]}
}

// Differs lists the coordinates of p that are farther than tolerance [m] from
// those of q, by their names. Source: identity.
func Differs(p, q r3.Vec, tolerance float64) []string {
	var out []string
	for i, name := range [...]string{"x", "y", "z"} {
		if math.Abs(coordinate(p, i)-coordinate(q, i)) > tolerance {
			out = append(out, name)
		}
	}
	return out
}

// Of returns the coordinate of that name [m]. Source: identity.
func Of(p r3.Vec, name string) float64 { return coordinate(p, int(name[0]-'x')) }

// With returns a place with the coordinate of that name replaced [m]. Source:
// identity.
func With(p r3.Vec, name string, v float64) r3.Vec { return with(p, int(name[0]-'x'), v) }

// IsSlip reports whether a number is what becomes of another by one slip, to
// within a share of it: ratio of the two is one of those of [Slips]. It names
// the slip. Source: common practice, no source.
func IsSlip(written, meant, share float64) (kind string, is bool) {
	if written == 0 || meant == 0 {
		return "", false
	}
	for _, s := range slips {
		if math.Abs(written*s.factor/meant-1) <= share {
			return s.kind, true
		}
	}
	return "", false
}

// Transposed reports whether two lengths [m] are the same but for two digits
// next to each other that stand in each other's place, as they are written in
// whole millimetres or in inches with up to two decimals. Source: common
// practice, no source.
func Transposed(written, meant float64, inch bool) bool {
	unit := 0.001
	if inch {
		unit = 0.000254 // a hundredth of an inch
	}
	a, b := math.Abs(written)/unit, math.Abs(meant)/unit
	if math.Abs(a-math.Round(a)) > 1e-6*(1+a) || math.Abs(b-math.Round(b)) > 1e-6*(1+b) || written*meant <= 0 {
		return false
	}
	return transposed(int64(math.Round(a)), int64(math.Round(b)))
}

func transposed(a, b int64) bool {
	for a != b {
		if p, q := a%100, b%100; p == q%10*10+q/10 && p != q {
			return a/100 == b/100
		}
		if a%10 != b%10 {
			return false
		}
		a, b = a/10, b/10
	}
	return false
}

// Digits are the lengths [m] that may have been meant where a digit was typed
// that does not belong there, as one is written in whole millimetres or in
// inches. Source: common practice, no source.
func Digits(written float64, inch bool) []float64 {
	unit := 0.001
	if inch {
		unit = 0.0254
	}
	if !(math.Abs(written) < 1e6) {
		return nil
	}
	n := int64(math.Round(math.Abs(written) / unit))
	if math.Abs(math.Abs(written)/unit-float64(n)) > 1e-6 {
		return nil
	}
	var out []float64
	for place := int64(1); place <= n && n >= 100; place *= 10 {
		rest := n/(place*10)*place + n%place
		if meant := math.Copysign(float64(rest)*unit, written); rest > 0 && !slices.Contains(out, meant) {
			out = append(out, meant)
		}
	}
	return out
}

// Step is the coarsest of the steps 100, 50, 25, 10, 5, 1, 0.5 and 0.25 of which a
// number is a multiple; 0 where it is of none. Source: common practice, no
// source.
func Step(v float64) float64 {
	for _, step := range [...]float64{100, 50, 25, 10, 5, 1, 0.5, 0.25} {
		if r := v / step; math.Abs(r-math.Round(r)) < 1e-6 {
			return step
		}
	}
	return 0
}
