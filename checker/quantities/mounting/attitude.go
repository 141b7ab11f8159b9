package mounting

import (
	"errors"
	"fmt"
	"math"
)

// Direction is a direction in vehicle axes (ISO 8855: x forward, y left, z
// up). Its length does not matter.
type Direction struct{ X, Y, Z float64 }

var errNoDirection = errors.New("the pump's up axis has no direction")

// Tilt returns the angle between the pump's up axis and the vertical [rad],
// from 0 upright to pi upside down: atan2(hypot(x, y), z).
// Range: finite and not all zero, else an error. Source: geometry.
func Tilt(up Direction) (float64, error) {
	size := max(math.Abs(up.X), math.Abs(up.Y), math.Abs(up.Z))
	if !(size > 0) || math.IsInf(size, 0) {
		return 0, errNoDirection
	}
	return math.Atan2(math.Hypot(up.X/size, up.Y/size), up.Z/size), nil
}

// Filler says where a pump's filling point is. Unit: m.
type Filler struct {
	Base   float64   // height of the pump's reference point above the datum
	Along  float64   // from there to the filler along the pump's up axis
	Up     Direction // the pump's up axis
	Ground float64   // height of the ground above the datum, usually negative
}

// FillerHeight returns the height of the filler above the ground [m]:
// base + along cos(tilt) - ground. Linear in all but the tilt.
// Range: lengths within 100 m, else an error; see also [Tilt].
// Source: geometry.
func FillerHeight(f Filler) (float64, error) {
	tilt, err := Tilt(f.Up)
	if err != nil {
		return 0, err
	}
	for _, x := range []float64{f.Base, f.Along, f.Ground} {
		if !(math.Abs(x) <= maxLength) {
			return 0, fmt.Errorf("a height of %g m is out of range; it must lie within %g m", x, maxLength)
		}
	}
	return f.Base + f.Along*math.Cos(tilt) - f.Ground, nil
}

// Clearance is the lowest of several places. Unit: m.
type Clearance struct {
	Index  int     // of the lowest; the first of equals
	Height float64 // above the ground; negative below it
}

// GroundClearance returns the lowest of the heights above the datum [m], as a
// height above the ground at its own height [m].
// Range: at least one height, all within 100 m, else an error.
func GroundClearance(heights []float64, ground float64) (Clearance, error) {
	if len(heights) == 0 {
		return Clearance{}, errors.New("there is no height to take the lowest of")
	}
	if !(math.Abs(ground) <= maxLength) {
		return Clearance{}, fmt.Errorf("the ground at %g m is out of range; it must lie within %g m", ground, maxLength)
	}
	lowest := Clearance{Height: math.Inf(1)}
	for i, h := range heights {
		if !(math.Abs(h) <= maxLength) {
			return Clearance{}, fmt.Errorf("height %d of %g m is out of range; it must lie within %g m", i+1, h, maxLength)
		}
		if h-ground < lowest.Height {
			lowest = Clearance{i, h - ground}
		}
	}
	return lowest, nil
}
