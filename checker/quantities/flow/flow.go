// Package flow holds the laws that say how much pressure a lubricant needs to
// move through a tube, and the tables that the trade grades lubricants by.
//
// A grease does not move until the pressure overcomes its yield stress, so a
// cold line can be shut although its tube is open. The package answers three
// questions about a line: what starts it ([Tube.StartPressure]), what keeps it
// running ([HerschelBulkley.Pressure]) and what the tube itself may carry when
// it is warm ([Derating]).
//
// Every number is in SI units: m, m³/s, Pa, Pa·s, m²/s, K. All functions are
// pure; an input outside the stated range is an error, and no result is NaN or
// infinite. The laws hold for slow, laminar, isothermal flow of a lubricant
// that does not change with time; real greases thin as they are worked, so a
// result is an estimate for choosing parts, not a measurement.
package flow

import (
	"fmt"
	"math"
)

// Tube is a straight round tube.
type Tube struct {
	Bore   float64 // inside diameter, m
	Length float64 // m
}

// StartPressure returns the pressure drop [Pa] at which a lubricant with the
// given yield stress [Pa] begins to move: Δp = 4 τ L / D.
//
// Shape: linear in yield and Length, inverse in Bore.
// Range: Bore and Length positive, yield zero or more.
// Source: force balance on the wall; printed at myengineeringtools.com,
// "Minimum pressure drop for yield stress fluids in pipes".
func (t Tube) StartPressure(yield float64) (float64, error) {
	if err := t.check(); err != nil {
		return 0, err
	}
	if err := notNegative("yield stress", yield, "Pa"); err != nil {
		return 0, err
	}
	return finite("pressure to start", t.pressure(yield))
}

// pressure returns the pressure drop that puts the given shear stress on the wall.
func (t Tube) pressure(wall float64) float64 { return 4 * wall * t.Length / t.Bore }

func (t Tube) check() error {
	if err := positive("tube bore", t.Bore, "m"); err != nil {
		return err
	}
	return positive("tube length", t.Length, "m")
}

// positive, notNegative and finite guard the package's edges, so that a NaN or
// an infinity in one figure of a kit cannot pass for a number further on.

func positive(name string, v float64, unit string) error {
	if v > 0 && !math.IsInf(v, 0) {
		return nil
	}
	return fmt.Errorf("%s must be greater than zero, not %g %s", name, v, unit)
}

func notNegative(name string, v float64, unit string) error {
	if v >= 0 && !math.IsInf(v, 0) {
		return nil
	}
	return fmt.Errorf("%s must be zero or more, not %g %s", name, v, unit)
}

func finite(name string, v float64) (float64, error) {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, fmt.Errorf("%s is too large to compute: check the units of the figures it rests on", name)
	}
	return v, nil
}

// celsius writes a temperature the way kit files do.
func celsius(kelvin float64) string { return fmt.Sprintf("%.4g degC", kelvin-273.15) }
