package motion

import "gonum.org/v1/gonum/spatial/r3"

// Bounds returns each lower bound of the search on a box of joint values
// (those of B from the outermost inwards, then those of A) for the shortest
// (sign 1) or longest (sign -1) distance.
func (c Chain) Bounds(a, b r3.Vec, sign float64, lo, hi []float64) (map[string]float64, error) {
	s, err := newSpan(c, a, b)
	if err != nil {
		return nil, err
	}
	s.sign = sign
	s.measure(lo, hi)
	low := map[string]float64{"least": s.least(), "curved": s.curved()}
	if sign > 0 {
		low["along"] = s.along()
	}
	value := sign * s.bound.dist
	low["part"] = s.part(lo, hi, value+2*Tolerance/100).Low // narrows lo and hi
	return low, nil
}
