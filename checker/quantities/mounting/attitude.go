package mounting

import (
	"errors"
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
