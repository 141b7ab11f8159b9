package power

import (
	"fmt"

	"kitgauge/checker/quantities/ranges"
)

// A Motor is what the pump's maker states of the draw.
type Motor struct {
	Draw           float64 // A, at Voltage, against the pump's maximum pressure
	Voltage        float64 // V, at which Draw is stated
	MinimumVoltage float64 // V, the least at which the pump is said to work
}

// HighestDraw returns the draw at the minimum voltage [A], taken at constant power:
//
//	I = Draw Voltage / MinimumVoltage
//
// Three models are in use. A resistive load draws less as the voltage falls (I ~ V). A permanent-magnet
// motor with a steady torque draws the same at any voltage and turns slower. A drive that is regulated to a
// speed draws more, at constant power. The third bounds the other two from above, so a fuse and a cable
// chosen for it suit all three; a kit file rarely says which drive the pump has. The moment in which the
// motor starts is outside this model: see [Start].
//
// Shape: linear in Draw, inverse in MinimumVoltage; never less than Draw.
// Range: Draw 1 mA to 500 A; voltages 1 to 60 V, MinimumVoltage not above Voltage.
// Errors: a value outside these ranges.
// Source: P = V I; the choice of model is common practice, no source.
func (m Motor) HighestDraw() (float64, error) {
	err := ranges.Check(
		draw("stated draw of the pump", m.Draw),
		voltage("voltage of the stated draw", m.Voltage),
		voltage("minimum voltage of the pump", m.MinimumVoltage),
	)
	if err != nil {
		return 0, err
	}
	if m.MinimumVoltage > m.Voltage {
		return 0, fmt.Errorf("minimum voltage of the pump is %s, above the %s at which its draw is stated",
			volt.Format(m.MinimumVoltage), volt.Format(m.Voltage))
	}
	return m.Draw * m.Voltage / m.MinimumVoltage, nil
}

// A Feed is the circuit from the source to the pump and back.
type Feed struct {
	SupplyVoltage float64   // V, at the take-off
	Draw          float64   // A, the highest; see Motor.HighestDraw
	Cable         Conductor // the conductor to the pump
	ReturnLength  float64   // m of the same conductor back; 0 where the chassis is the return

	// ReturnResistance is what else the current passes [ohm]: chassis, connectors, fuse and holder.
	// 0 is allowed where it is not known; the drop found is then the cable's alone, a lower bound.
	ReturnResistance float64
}

// Resistance returns the resistance of the whole loop [ohm]:
//
//	R = (Cable.Length + ReturnLength) (R/L) + ReturnResistance
//
// Shape: rising in both lengths and in ReturnResistance.
// Range: as [Conductor.Resistance]; ReturnLength 0 to 200 m; ReturnResistance 0 to 10 ohm.
// Errors: a value outside these ranges. Source: resistances in series.
func (f Feed) Resistance() (float64, error) {
	err := ranges.Check(
		cableLength("cable length", f.Cable.Length),
		ranges.Of("length of the return cable", f.ReturnLength, 0, 200, metre),
		ranges.Of("resistance of contacts, fuse and chassis", f.ReturnResistance, 0, 10, ohm),
	)
	if err != nil {
		return 0, err
	}
	perMetre, err := f.Cable.ResistancePerLength()
	if err != nil {
		return 0, err
	}
	return (f.Cable.Length+f.ReturnLength)*perMetre + f.ReturnResistance, nil
}

// DropFraction returns the voltage drop as a fraction of the supply, I R / SupplyVoltage.
// Shape: linear in Draw and in the loop's resistance. A result above 1 says that the feed cannot carry
// this draw at all.
// Range: as [Feed.Resistance]; SupplyVoltage 1 to 60 V; Draw 1 mA to 500 A.
// Errors: a value outside these ranges. Source: Ohm's law.
func (f Feed) DropFraction() (float64, error) {
	err := ranges.Check(voltage("supply voltage", f.SupplyVoltage), draw("draw of the feed", f.Draw))
	if err != nil {
		return 0, err
	}
	r, err := f.Resistance()
	if err != nil {
		return 0, err
	}
	return f.Draw * r / f.SupplyVoltage, nil
}

// PumpVoltage returns the voltage at the pump [V] at full draw, SupplyVoltage - I R, and 0 where the drop
// would take all of the supply.
//
// With the draw of [Motor.HighestDraw] this errs to the safe side: that is the current at the minimum
// voltage, so while the result is above that minimum the pump draws less and has more voltage than shown.
// Range, errors, source: as [Feed.DropFraction].
func (f Feed) PumpVoltage() (float64, error) {
	drop, err := f.DropFraction()
	if err != nil {
		return 0, err
	}
	return max(0, f.SupplyVoltage*(1-drop)), nil
}

// NextCableArea returns the smallest of [NominalAreas], in m2, that keeps [Feed.DropFraction] at or below
// the limit given; Cable.Area is not looked at. It says nothing of heating: whether the cable carries the
// fuse is for the cable's continuous rating, see [LargestFuse].
//
// Shape: never falls as a length, the draw or the temperature rises.
// Range: as [Feed.DropFraction]; limit 0.1 to 50 %.
// Errors: a value outside these ranges; no area in the list is large enough.
func (f Feed) NextCableArea(limit float64) (float64, error) {
	if err := ranges.Check(ranges.Of("allowed voltage drop", limit, 0.001, 0.5, percent)); err != nil {
		return 0, err
	}
	var drop float64
	for _, area := range NominalAreas() {
		f.Cable.Area = area
		var err error
		if drop, err = f.DropFraction(); err != nil {
			return 0, err
		}
		if drop <= limit*(1+rounding) {
			return area, nil
		}
	}
	return 0, fmt.Errorf("no cable area up to %s keeps the voltage drop within %s; the largest leaves %s",
		mm2.Format(f.Cable.Area), percent.Format(limit), percent.Format(drop))
}

// A Circuit is the vehicle's circuit that the kit is taken from.
type Circuit struct {
	Rating   float64 // A, that the circuit carries for good: the least of its fuse, cable, switch and relay
	Existing float64 // A, drawn from it before the kit is fitted
	Added    float64 // A, the kit's highest draw
}

// Spare returns the current left when the kit is added [A], Rating - Existing - Added. Negative: the
// circuit is overloaded by so much.
// Shape: linear. Range: Rating and Added 1 mA to 500 A, Existing 0 to 500 A.
// Errors: a value outside these ranges. Source: currents at a junction add up (Kirchhoff).
func (c Circuit) Spare() (float64, error) {
	err := ranges.Check(
		draw("rating of the circuit", c.Rating),
		ranges.Of("existing draw of the circuit", c.Existing, 0, 500, ampere),
		draw("added draw", c.Added),
	)
	if err != nil {
		return 0, err
	}
	return c.Rating - c.Existing - c.Added, nil
}

// rounding is how far, as a fraction, a computed current or drop may lie beyond a limit that it is meant to
// equal: 5.625 A / 0.75 must find the 7.5 A fuse however the division rounds.
const rounding = 1e-9
