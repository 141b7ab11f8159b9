package mounting

import (
	"fmt"
	"math"
)

// Acceleration acts on the pump. Unit: m/s^2.
type Acceleration struct {
	Normal float64 // away from the face
	U, V   float64 // along it
}

// Loads returns the force on each bolt under a stated acceleration, for the
// checks of [Worst].
func Loads(m Mount, a Acceleration) ([]Load, error) {
	g, err := newGroup(m)
	if err != nil {
		return nil, err
	}
	v := vector{a.Normal, a.U, a.V}
	for _, x := range v {
		if !(math.Abs(x) <= maxAcceleration) {
			return nil, fmt.Errorf("an acceleration of %g m/s2 is out of range; up to %g can be judged", x, maxAcceleration)
		}
	}
	loads := make([]Load, len(m.Bolts))
	for i := range loads {
		loads[i] = g.load(i, v)
	}
	return loads, nil
}
