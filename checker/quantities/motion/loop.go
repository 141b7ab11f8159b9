package motion

import (
	"fmt"
	"math"
)

// Arc is the circular arc that a tube makes between two held ends.
type Arc struct {
	Straight  bool    // no slack: Radius, Sag and HalfAngle are 0 and the radius has no bound
	Radius    float64 // [m]
	Sag       float64 // largest distance from the chord [m]
	HalfAngle float64 // half the angle that the arc spans [rad], up to pi
}

// Loop returns the circular arc of a tube of free length L [m] whose ends are
// held a chord d [m] apart: sin(x)/x = d/L, R = L/(2x), sag = R (1 - cos x).
// Both grow with L; d = 0 is a full circle.
//
// Range: 0 < L <= [Reach], 0 <= d <= L; anything else is an error. L = d is
// straight.
//
// The arc is the gentlest curve of that length and chord: any other shape,
// such as that of an elastic tube left to itself, is somewhere tighter than R.
// Source: circle geometry; the gentlest curve by Schur's comparison theorem
// (from memory).
func Loop(length, chord float64) (Arc, error) {
	if !(length > 0 && length <= Reach) {
		return Arc{}, fmt.Errorf("the tube length %.5g m must be above 0 and at most %.5g m", length, Reach)
	}
	if !(chord >= 0 && chord <= Reach) {
		return Arc{}, fmt.Errorf("the distance %.5g m between the ends must be from 0 to %.5g m", chord, Reach)
	}
	if length < chord {
		return Arc{}, fmt.Errorf("the tube, %.5g m long, cannot span ends %.5g m apart", length, chord)
	}
	if length == chord {
		return Arc{Straight: true}, nil
	}
	x := halfAngle((length - chord) / length)
	r := length / (2 * x)
	half := math.Sin(x / 2)
	return Arc{Radius: r, Sag: 2 * r * half * half, HalfAngle: x}, nil
}

// halfAngle solves 1 - sin(x)/x = slack for x in (0, pi], slack in (0, 1], by
// Newton's method kept inside a shrinking bracket.
func halfAngle(slack float64) float64 {
	if slack == 1 {
		return math.Pi
	}
	lo, hi := 0.0, math.Pi
	x := math.Min(math.Sqrt(6*slack), 3) // exact as slack goes to 0
	for range 60 {
		miss := excessLength(x) - slack
		if miss > 0 {
			hi = x
		} else {
			lo = x
		}
		// d/dx (1 - sin(x)/x) = (sin(x)/x - cos x)/x.
		next := x - miss*x/(1-excessLength(x)-math.Cos(x))
		if !(next > lo && next < hi) {
			next = lo + (hi-lo)/2
		}
		if math.Abs(next-x) <= 1e-15*x {
			return next
		}
		x = next
	}
	return x
}

// excessLength is 1 - sin(x)/x without the loss of digits for small x.
func excessLength(x float64) float64 {
	if x > 0.5 {
		return 1 - math.Sin(x)/x
	}
	// x^2/3! - x^4/5! + x^6/7! - ...; the eighth term is below 1e-16 of the first.
	xx, term, sum := x*x, 1.0, 0.0
	for k := 2.0; k <= 16; k += 2 {
		term *= -xx / (k * (k + 1))
		sum -= term
	}
	return sum
}
