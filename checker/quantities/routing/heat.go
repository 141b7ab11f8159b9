package routing

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Figures of the exchange of heat. The emissivity of a rusty exhaust is 0.8
// (oxidised steel in tables of heat transfer: 0.7 to 0.9, from memory), that of
// plastic and paint 0.95 (from memory). Still air takes 7.5 W/(m²·K) from a
// tube or conduit of up to 22 mm, more from thinner ones: Churchill and Chu, Int. J. Heat
// Mass Transfer 18 (1975) 1049-1053, which the tests recompute. One screen
// whose faces are as those round it halves what passes (from memory, any
// textbook of heat transfer); a bright one does better.
const (
	stefanBoltzmann = 5.670374419e-8 // W/(m²·K⁴), CODATA 2018
	emissivityHot   = 0.8
	emissivityTube  = 0.95
	stillAir        = 7.5 // W/(m²·K)
	screen          = 0.5

	farthestHeat = 100.0 // m, where nothing on a vehicle is felt any more
)

// Heat is something hot in view of a tube.
type Heat struct {
	Zone        Zone
	Temperature float64 // K
	Ambient     float64 // K, of the air and of all the rest in view
	Shielded    bool    // by a screen between it and the tube
}

// Facing returns how much of what a thin tube sees is the zone, from 0 to 1/2,
// at a distance [m] from it, abreast of the middle of its largest side: the
// solid angle of the zone, taken as a rectangle, over π²:
//
//	F = 4 asin(sin α · sin β) / π²
//
// with α and β the half angles of its two larger extents. A thin tube weighs a
// direction by the sine of the angle to its axis, whose sum over the sphere is
// π²; the sine is taken as 1, so the true share is smaller, never larger:
// rays in the tests see from all of it to three quarters.
//
// Shape: falls with distance, from 1/2 at most.
// Range: a zone of this package, distance zero or more.
// Source: solid angle of a rectangle (Siegel and Howell, Thermal Radiation Heat
// Transfer; the tests compare a printed value); the rest is geometry.
func Facing(z Zone, distance float64) (float64, error) {
	if err := z.check(); err != nil {
		return 0, err
	}
	if !(distance >= 0) || math.IsInf(distance, 0) {
		return 0, fmt.Errorf("the distance from a zone must be zero or more, not %g m", distance)
	}
	a, b := halfAngles(z, distance)
	return min(0.5, 4*math.Asin(min(1, math.Sin(a)*math.Sin(b)))/(math.Pi*math.Pi)), nil
}

// halfAngles are the half angles of the two larger extents of a zone: a round
// one is seen to its tangents, a flat one to the edges of its near side.
func halfAngles(z Zone, d float64) (across, along float64) {
	round := func(radius float64) float64 { return math.Asin(radius / (radius + d)) }
	if z, is := z.(Capsule); is {
		half, off := r3.Norm(r3.Sub(z.Axis.B, z.Axis.A))/2, z.Radius+d
		if z.Radius == 0 {
			return 0, math.Atan2(half, d)
		}
		return round(z.Radius), min(math.Pi/2, math.Atan2(half, off)+math.Asin(z.Radius/math.Hypot(half, off)))
	}
	if z, is := z.(Cylinder); is {
		half := r3.Norm(r3.Sub(z.Axis.B, z.Axis.A)) / 2
		side, end := math.Atan2(half, d), math.Atan2(z.Radius, d)
		if z.Radius > 0 && math.Sin(round(z.Radius))*math.Sin(side) > math.Sin(end)*math.Sin(end) {
			return round(z.Radius), side
		}
		return end, end
	}
	half := z.(Box).Half
	least := min(half.X, half.Y, half.Z)
	most := max(half.X, half.Y, half.Z)
	return math.Atan2(half.X+half.Y+half.Z-least-most, d), math.Atan2(most, d)
}

// spare is the heat [W/m²] that a tube of a temperature gives to air and
// surroundings.
func (h Heat) spare(tube float64) float64 {
	return stefanBoltzmann*(math.Pow(tube, 4)-math.Pow(h.Ambient, 4)) + stillAir/emissivityTube*(tube-h.Ambient)
}

// shine is the heat [W/m²] that a tube would take if it saw nothing else.
func (h Heat) shine() float64 {
	q := emissivityHot * stefanBoltzmann * (math.Pow(h.Temperature, 4) - math.Pow(h.Ambient, 4))
	if h.Shielded {
		q *= screen
	}
	return q
}

func (h Heat) check() error {
	for _, t := range []float64{h.Temperature, h.Ambient} {
		if !(t > 0) || math.IsInf(t, 0) {
			return fmt.Errorf("a temperature must be above 0 K, not %g K", t)
		}
	}
	return h.Zone.check()
}

// TubeTemperature returns the temperature [K] that a thin tube takes on in
// still air at a distance [m] from something hot, when the vehicle stands:
//
//	s ε F σ (Th⁴ - Ta⁴) = σ (T⁴ - Ta⁴) + h/ε' (T - Ta)
//
// with the emissivities ε of the hot thing and ε' of the tube, the share F of
// [Facing], h of still air and s 1/2 behind a screen. Hot air that rises from
// below is not in it, nor what the tube touches.
//
// Shape: falls with distance to that of the air; never above that of the hot
// thing.
// Range: temperatures above 0 K, the hot thing warmer than the air; else the
// tube is as warm as the air.
// Source: grey radiation between a small body and its surroundings (Siegel and
// Howell); constants see above.
func (h Heat) TubeTemperature(distance float64) (float64, error) {
	if err := h.check(); err != nil {
		return 0, err
	}
	facing, err := Facing(h.Zone, distance)
	if err != nil || h.Temperature <= h.Ambient {
		return h.Ambient, err
	}
	low, high := h.Ambient, h.Temperature
	for range 100 {
		if mid := low + (high-low)/2; h.spare(mid) < facing*h.shine() {
			low = mid
		} else {
			high = mid
		}
	}
	return high, nil
}

// Keep returns the distance [m] at which a thin tube grows no warmer than it
// stands: that of [Heat.TubeTemperature] the other way round. 0 where it may
// come as near as it likes.
//
// Shape: grows with the temperature of the hot thing, falls with what the tube
// stands.
// Range: as of TubeTemperature; what the tube stands has to be above the air.
func (h Heat) Keep(stands float64) (float64, error) {
	switch err := h.check(); {
	case err != nil:
		return 0, err
	case !(stands > h.Ambient):
		return 0, errors.New("the tube does not stand the warmest air")
	case h.Temperature <= stands:
		return 0, nil
	}
	room := h.spare(stands) / h.shine()
	sees := func(d float64) bool { f, err := Facing(h.Zone, d); return err != nil || f > room }
	if !sees(0) {
		return 0, nil
	}
	low, high := 0.0, farthestHeat
	if sees(high) {
		return 0, fmt.Errorf("something so hot and large is felt farther than %g m away", farthestHeat)
	}
	for range 60 {
		if mid := (low + high) / 2; sees(mid) {
			low = mid
		} else {
			high = mid
		}
	}
	return high, nil
}
