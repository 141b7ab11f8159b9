package flow

import (
	"fmt"
	"math"
)

// Consistency says how the consistency of a grease follows temperature: its
// oil carries the part of the stress that grows with the flow, so the curve of
// that part is moved along the shear rate by the ratio of the oil's
// viscosities.
type Consistency struct {
	Consistency float64 // Pa·sⁿ, at Temperature
	Index       float64 // flow index n, no unit; the same at all temperatures
	Temperature float64 // K
	Oil         Walther // of the base oil
}

// At returns the consistency [Pa·sⁿ] at a temperature [K]:
// K(T) = K0 · (ν(T) / ν(T0))^n.
//
// Shape: rises as it grows colder, the steeper the nearer Index is to 1, where
// it follows the oil.
// Range: Consistency positive, Index 0.1 to 2, the oil within [Walther]. The
// small change of the oil's density is left out. Below the oil's cloud point
// a grease is stiffer than this.
// Source: method of reduced variables with the oil's viscosity as the shift
// (Ferry, Viscoelastic Properties of Polymers, chapter 11; from memory). That
// a paste's stress depends on shear rate times viscosity of its liquid: Seth
// and others, Nature Materials 10 (2011) 838-843 (from memory). Viscosities:
// ASTM D341.
func (c Consistency) At(temperature float64) (float64, error) {
	law := HerschelBulkley{Consistency: c.Consistency, Index: c.Index}
	if _, err := law.start(Tube{Bore: 1, Length: 1}); err != nil {
		return 0, err
	}
	if temperature == c.Temperature {
		return c.Consistency, nil
	}
	there, err := c.Oil.Kinematic(temperature)
	if err != nil {
		return 0, fmt.Errorf("base oil: %w", err)
	}
	here, err := c.Oil.Kinematic(c.Temperature)
	if err != nil {
		return 0, fmt.Errorf("base oil: %w", err)
	}
	return finite("consistency", c.Consistency*math.Pow(there/here, c.Index))
}
