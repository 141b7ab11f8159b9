package survey

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Detour returns how much longer [m] the way from a to b becomes over p; it is
// not below 0. Source: identity (triangle inequality).
func Detour(a, p, b r3.Vec) float64 {
	return math.Max(0, distance(a, p)+distance(p, b)-distance(a, b))
}

func distance(a, b r3.Vec) float64 { return r3.Norm(r3.Sub(a, b)) }

// Slot returns the place of a route between which and the next the stop i is
// passed with least detour, and that detour and its present one [m]. ok is
// false where the stop is at an end of the route, or lies best where it is.
//
// Formula: the detour of the stop on every piece of the route without it.
// Source: identity.
func Slot(route []r3.Vec, i int) (after int, detour, present float64, ok bool) {
	if i <= 0 || i >= len(route)-1 {
		return 0, 0, 0, false
	}
	present = Detour(route[i-1], route[i], route[i+1])
	after, detour = i-1, present
	for j := range len(route) - 1 {
		if j == i || j == i-1 {
			continue
		}
		if d := Detour(route[j], route[i], route[j+1]); d < detour-1e-9 {
			after, detour = j, d
		}
	}
	return after, detour, present, after != i-1
}
