// Package routing holds the geometry of tubes as they are laid: how long a run
// is and what must be cut for it, how tightly it turns its corners, how far
// apart it is tied, and how near it comes to hot, sharp and moving parts, also
// while the vehicle's joints move.
//
// Positions and lengths are metres in one vehicle frame (ISO 8855: x forward,
// y left, z up), angles radians. Coordinates and lengths reach to
// [motion.Reach].
package routing

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"kitgauge/checker/quantities/motion"

	"gonum.org/v1/gonum/spatial/r3"
)

// Cut is what a tube must be long enough for.
type Cut struct {
	Route     float64 // fixed runs [m]
	Free      float64 // installed free lengths of its spans between bodies [m]
	Insertion float64 // into the fittings, both ends together [m]
	Trim      float64 // to be cut off when fitted [m]
}

// CentreRadius returns the bend radius [m] of the centre line of a hose or tube
// whose bend radius counts to the inner surface of the bend: r + d/2, d the outer
// diameter [m]. Each must be from 0 to [motion.Reach].
//
// Source: geometry; least bend radii of hose count to the inside of the bend, of
// tube to its centre line (studylib.net 18119151, hydraulic hose and tube).
func CentreRadius(inner, outer float64) (float64, error) {
	if err := checkLength("bend radius", inner); err != nil {
		return 0, err
	}
	if err := checkLength("outer diameter", outer); err != nil {
		return 0, err
	}
	return inner + outer/2, nil
}

// Length returns the length to cut [m]: the sum of the four. Each must be from
// 0 to [motion.Reach].
func (c Cut) Length() (float64, error) {
	for _, part := range [...]struct {
		name  string
		value float64
	}{
		{"route", c.Route}, {"free length", c.Free}, {"insertion", c.Insertion}, {"trim", c.Trim},
	} {
		if err := checkLength(part.name, part.value); err != nil {
			return 0, err
		}
	}
	return c.Route + c.Free + c.Insertion + c.Trim, nil
}

// Gap is a stretch of a run without a fastening, as distances along it [m].
type Gap struct{ From, To float64 }

// Length returns the length of the gap [m].
func (g Gap) Length() float64 { return g.To - g.From }

// WidestGap returns the widest gap between fastenings along a run of the given
// length [m] with ties at the given distances along it [m], in any order, the
// first of equals. The two ends of the run count as fastened.
//
// Errors: a length or a distance not finite, a tie beyond the run.
func WidestGap(length float64, ties []float64) (Gap, error) {
	if err := checkLength("run", length); err != nil {
		return Gap{}, err
	}
	for i, at := range ties {
		if !(at >= 0 && at <= length) {
			return Gap{}, fmt.Errorf("tie %d at %.5g m is not on the run of %.5g m", i+1, at, length)
		}
	}
	stops := slices.Sorted(slices.Values(append([]float64{length}, ties...)))
	var widest, gap Gap
	for _, stop := range stops {
		gap = Gap{gap.To, stop}
		if gap.Length() > widest.Length() {
			widest = gap
		}
	}
	return widest, nil
}

// Corner is a change of direction of a run.
type Corner struct {
	Straight bool    // no turn: Radius is 0 and has no bound
	Turn     float64 // angle between the directions of the two legs, 0 to pi [rad]
	Radius   float64 // largest radius of the tube's axis that fits [m]
}

// straightTurn is the turn below which a corner counts as straight [rad].
const straightTurn = 1e-6

// CornerRadius returns the largest bend radius that fits at a corner of a run
// between the points before and after it [m]: R = T / tan(turn/2), where the
// bend begins and ends a tangent length T from the corner. A leg is shared
// with the corner at its other end, so T is half the shorter leg. A run that
// doubles back has radius 0.
//
// Errors: a leg of no length, a coordinate not finite or too large.
// Source: the tangent length of a circular curve, T = R tan(turn/2), as in
// any text on route surveying.
func CornerRadius(before, corner, after r3.Vec) (Corner, error) {
	for _, p := range [...]r3.Vec{before, corner, after} {
		if err := checkPoint(p); err != nil {
			return Corner{}, err
		}
	}
	in, out := r3.Sub(corner, before), r3.Sub(after, corner)
	leg := math.Min(r3.Norm(in), r3.Norm(out))
	if leg == 0 {
		return Corner{}, errors.New("two points of the run lie at the same place")
	}
	in, out = r3.Unit(in), r3.Unit(out)
	turn := math.Atan2(r3.Norm(r3.Cross(in, out)), r3.Dot(in, out))
	if turn < straightTurn {
		return Corner{Straight: true, Turn: turn}, nil
	}
	// cos/sin of the half turn, so that doubling back gives about 0.
	sin, cos := math.Sincos(turn / 2)
	return Corner{Turn: turn, Radius: leg / 2 * cos / sin}, nil
}

func checkPoint(p r3.Vec) error {
	for _, v := range [...]float64{p.X, p.Y, p.Z} {
		if !(math.Abs(v) <= motion.Reach) { // NaN fails too
			return fmt.Errorf("coordinate %g is not within %.5g m of the datum", v, motion.Reach)
		}
	}
	return nil
}

func checkLength(name string, v float64) error {
	if !(v >= 0 && v <= motion.Reach) {
		return fmt.Errorf("the %s of %.5g m is not from 0 to %.5g m", name, v, motion.Reach)
	}
	return nil
}
