// Package mounting holds what a pump's place asks of its bolts and of its
// attitude: bolt load under vibration, the proof load of ISO 898-1 bolts, and
// tilt.
package mounting

import (
	"errors"
	"fmt"
	"math"
)

// Place is a point of the mounting face, from any origin in it. Unit: m.
type Place struct{ U, V float64 }

// Mount is a pump on a flat face.
type Mount struct {
	Mass     float64 // of pump and grease when full, kg
	Overhang float64 // of the centre of gravity from the face, m
	Centre   Place   // foot of the centre of gravity on the face
	Bolts    []Place
	// Foot is how far the face reaches beyond the bolts on either side, m.
	// Only bolts in one line need it: they hold the pump against tipping
	// across the line by pressing the edge of the face down.
	Foot float64
}

// Load is the force on one bolt. Unit: N.
type Load struct {
	Bolt       int     // index
	Tension    float64 // negative where the face is pressed instead
	Shear      float64
	Equivalent float64 // sqrt(Tension^2 + 3 Shear^2), the tension that strains the bolt as much
}

// Worst returns the greatest load on any bolt under an acceleration of the
// given magnitude [m/s^2] from whichever direction is worst for it. Under one
// of which N and F are the forces m a across and along the face, the face and
// the pump's foot taken as rigid and the bolts as equal springs, a bolt carries
//
//	tension_i = N/n + r_i . I^-1 (N c - h F)
//	shear_i   = F/n + (c x F) (n x r_i) / J
//
// with n bolts at r_i and the centre of gravity at c from their centroid, h the
// overhang, I = sum r r^T and J its trace. The equivalent load is a quadratic
// form of the direction, so its greatest value is the largest eigenvalue. What
// is found is the load from outside; the bolts' preload is left out, as is the
// friction it gives. The pump's own weight counts: standard gravity, 9.80665,
// is part of the magnitude.
//
// Range: mass to 10 t, acceleration to 10 km/s^2, lengths to 100 m, at least
// two bolts in different places; Foot where they lie in one line. Outside it
// an error.
// Source: statics; equivalent load: von Mises (distortion energy), stress in
// the thread's stress area for both parts. From memory: Shigley, Mechanical
// Engineering Design, chapters 5 and 8.
func Worst(m Mount, magnitude float64) (Load, error) {
	g, err := newGroup(m)
	if err != nil {
		return Load{}, err
	}
	if !(magnitude >= 0 && magnitude <= maxAcceleration) {
		return Load{}, fmt.Errorf("an acceleration of %.5g m/s2 is out of range; it must lie between 0 and %g", magnitude, maxAcceleration)
	}
	var worst Load
	for i := range m.Bolts {
		for _, lean := range g.leans() {
			direction := g.form(i, lean).greatest()
			for k := range direction {
				direction[k] *= magnitude
			}
			// Of two opposite directions one pulls where the other presses.
			for _, sign := range []float64{1, -1} {
				l := g.load(i, vector{sign * direction[0], sign * direction[1], sign * direction[2]})
				if l.exceeds(worst) {
					worst = l
				}
			}
		}
	}
	return worst, nil
}

// exceeds compares by equivalent load and, where that is equal but for
// rounding, by tension.
func (l Load) exceeds(m Load) bool {
	slack := 1e-9 * m.Equivalent
	if math.Abs(l.Equivalent-m.Equivalent) > slack {
		return l.Equivalent > m.Equivalent
	}
	return l.Tension > m.Tension+slack
}

const (
	maxMass         = 1e4
	maxAcceleration = 1e4
	maxLength       = 100.0
)

func (m Mount) validate() error {
	if !(m.Mass > 0 && m.Mass <= maxMass) {
		return fmt.Errorf("a pump mass of %.5g kg is out of range; it must lie above 0 and up to %g kg", m.Mass, maxMass)
	}
	if !(m.Overhang >= 0 && m.Overhang <= maxLength) {
		return fmt.Errorf("an overhang of %.5g m is out of range; it must lie between 0 and %.5g m", m.Overhang, maxLength)
	}
	if !(m.Foot >= 0 && m.Foot <= maxLength) {
		return fmt.Errorf("a mounting face that reaches %.5g m beyond the bolts is out of range; it must lie between 0 and %.5g m", m.Foot, maxLength)
	}
	if len(m.Bolts) < 2 {
		return fmt.Errorf("a pump held by %d bolts can turn; it needs at least two", len(m.Bolts))
	}
	for i, b := range append([]Place{m.Centre}, m.Bolts...) {
		if !(math.Abs(b.U) <= maxLength && math.Abs(b.V) <= maxLength) {
			if i == 0 {
				return fmt.Errorf("the centre of gravity is at %g, %.5g m; it must lie within %.5g m", b.U, b.V, maxLength)
			}
			return fmt.Errorf("bolt %d is at %g, %.5g m; it must lie within %.5g m", i, b.U, b.V, maxLength)
		}
	}
	return nil
}

var errOnePlace = errors.New("all mounting bolts are in one place")

var errOneLine = errors.New("the mounting bolts lie in one line, so how far the face reaches beyond them must be stated")

// slender is the height of the slenderest reservoir over its diameter. Common practice, no source.
const slender = 5

// LeastOverhang returns how far the middle of a pump is in front of its plate at least [m], of the volume of its
// reservoir [m3]: half the diameter of a cylinder of that volume that is slender times as high as wide,
//
//	e = (4 V / (pi slender))^(1/3) / 2
//
// Shape: rising with V. Range: V 1 cm3 to 30 l; what holds more stands on a foot. Errors: a value outside this range.
// Source: geometry; that no reservoir is more slender is common practice, no source.
func LeastOverhang(volume float64) (float64, error) {
	if !(volume >= 1e-6 && volume <= 0.03) {
		return 0, fmt.Errorf("a reservoir of %g m3 is out of range; it must lie between 1e-6 and 0.03 m3", volume)
	}
	return math.Cbrt(4*volume/(math.Pi*slender)) / 2, nil
}
