// Package power holds the electrical quantities of a kit's feed: resistance of the cable, voltage left at
// the pump, draw at low voltage, and the fuse and cable that go with them. It exists so that the rules on
// fire, nuisance blowing and voltage drop rest on formulas that are tested apart from any kit file.
//
// Every function takes and returns SI units. An input outside the range in which a formula holds is an
// error; no function returns NaN or an infinity.
//
// The results assist a designer. The vehicle maker's body-builder instructions, local codes and a licensed
// electrician's judgement go before them.
package power

import (
	"kitgauge/checker/quantities/ranges"
)

// Annealed copper, IEC 60028: resistivity 1/58 ohm mm2/m at 20 degC, and the temperature coefficient of
// resistance at constant mass from there.
const (
	CopperResistivity    = 1.7241e-8 // ohm m at ReferenceTemperature
	CopperCoefficient    = 0.00393   // per K
	ReferenceTemperature = 293.15    // K
)

// FlexibleAllowance is the [Conductor] allowance that covers a flexible conductor (IEC 60228 class 5, plain
// copper) from 0.5 to 10 mm2. The standard allows such a conductor 11 to 15.8 % more resistance than a solid
// copper wire of the nominal area has, for the lay of the strands and for less copper than nominal: the
// largest ratio is 7.98 ohm/km at 2.5 mm2 over 17.241/2.5. Vehicle cable is flexible, so without it the
// drop is underestimated.
const FlexibleAllowance = 1.158

// A Conductor is one copper core.
type Conductor struct {
	Length      float64 // m, one way
	Area        float64 // m2, nominal
	Temperature float64 // K, of the copper
	Allowance   float64 // resistance over that of solid copper of Area: 1 for solid wire, else FlexibleAllowance
}

// ResistancePerLength returns the direct-current resistance of one metre [ohm/m]:
//
//	R/L = k rho20 (1 + alpha (T - 293.15 K)) / A,   k = Allowance
//
// Shape: inverse in Area, linear and rising in Temperature.
// Range: 223.15 to 423.15 K (-50 to 150 degC), where the linear law of copper holds well inside 1 %; Area
// 0.05 to 125 mm2; Allowance 1 to 2. Skin effect plays no part in direct current.
// Errors: a value outside these ranges.
// Source: IEC 60028 for rho20 and alpha; IEC 60228 for what Allowance stands for.
func (c Conductor) ResistancePerLength() (float64, error) {
	err := ranges.Check(
		ranges.Of("cable area", c.Area, 0.05e-6, 125e-6, mm2),
		ranges.Of("cable temperature", c.Temperature, 223.15, 423.15, celsius),
		ranges.Of("allowance for stranding", c.Allowance, 1, 2, number),
	)
	if err != nil {
		return 0, err
	}
	rho := CopperResistivity * (1 + CopperCoefficient*(c.Temperature-ReferenceTemperature))
	return c.Allowance * rho / c.Area, nil
}

// Resistance returns the resistance of the conductor over its length [ohm], R = L (R/L).
// Shape: linear in Length. Range: as [Conductor.ResistancePerLength], Length 0.01 to 200 m.
func (c Conductor) Resistance() (float64, error) {
	if err := ranges.Check(cableLength("cable length", c.Length)); err != nil {
		return 0, err
	}
	perMetre, err := c.ResistancePerLength()
	if err != nil {
		return 0, err
	}
	return c.Length * perMetre, nil
}

// NominalAreas returns the nominal cross-sections [m2] that a pump feed is chosen from, rising:
// 0.5, 0.75, 1, 1.5, 2.5, 4, 6 and 10 mm2. Source: IEC 60228, part of table 3 (class 5).
func NominalAreas() []float64 {
	return []float64{0.5e-6, 0.75e-6, 1e-6, 1.5e-6, 2.5e-6, 4e-6, 6e-6, 10e-6}
}
