package flow

import "math"

// Drive says how the piston of a metering element is moved through its stroke.
type Drive int

// The two drives. A crank or an eccentric moves the piston as a sine, and so
// the flow; a screw, a cam of even rise or the pressure of the pump moves it
// evenly.
const (
	Crank Drive = iota
	Steady
)

// PeakFlow returns the greatest flow [m³/s] during a stroke, of the mean flow
// [m³/s] over it: q = Q·π/2 of a crank, where the flow is q·sin φ over half a
// turn, and Q where the drive is even.
//
// Shape: linear in mean.
// Range: mean zero or more. The rod is taken as long: one three times as
// long as the crank peaks some 5 % higher.
// Source: mean of a sine over half a period, 2/π (identity); the pulsation of
// a single piston pump in textbooks of hydraulics is the same π/2 and π
// (from memory).
func PeakFlow(mean float64, drive Drive) (float64, error) {
	if err := notNegative("flow", mean, "m3/s"); err != nil {
		return 0, err
	}
	if drive == Steady {
		return mean, nil
	}
	return finite("peak flow", mean*math.Pi/2)
}

// BackPressureAt returns the pressure [Pa] that a bearing asks for when its
// grease has the given yield stress [Pa], of the pressure and the yield stress
// at which it was measured: p·τ/τ0, never less than p.
//
// Shape: linear in back and in yield, from yield = measured on.
// Range: back and yields zero or more. A grease without a yield stress leaves
// the pressure as it was measured.
// Source: force balance on the walls of a groove or gap, whose pressure is
// proportional to the yield stress as that of a tube is, [Tube.StartPressure].
// That a bearing never asks for less is common practice, no source.
func BackPressureAt(back, measured, yield float64) (float64, error) {
	for _, f := range []struct {
		name string
		v    float64
	}{{"back pressure", back}, {"yield stress", measured}, {"yield stress", yield}} {
		if err := notNegative(f.name, f.v, "Pa"); err != nil {
			return 0, err
		}
	}
	if yield <= measured || measured == 0 {
		return back, nil
	}
	return finite("back pressure", back*(yield/measured))
}
