package power

import (
	"fmt"

	"kitgauge/checker/quantities/ranges"
)

// FuseResistance returns the resistance of a fuse-link [ohm] from the voltage that it takes at its rating,
// R = loss / rating. Where the maker states no resistance, a loss of 0.15 V covers blade fuses: cold, they
// have a half to two thirds of that.
// Shape: linear in loss, inverse in rating. Range: rating 0.1 to 500 A, loss 1 mV to 1 V.
// Errors: a value outside these ranges. Source: Ohm's law; the resistances are in the test.
func FuseResistance(rating, loss float64) (float64, error) {
	err := ranges.Check(
		ranges.Of("rating of the fuse", rating, 0.1, 500, ampere),
		ranges.Of("voltage that the fuse takes at its rating", loss, 0.001, 1, volt),
	)
	if err != nil {
		return 0, err
	}
	return loss / rating, nil
}

// A Warmth is how the share of its rating that a fuse carries for good falls in warm air.
type Warmth struct {
	Share       float64 // at 25 degC, as 0.75
	Fall        float64 // of the rating for every kelvin above, as 0.002
	Temperature float64 // K, of the air at the fuse
}

// FuseShareReference is the temperature of the air for which [Warmth.Share] is said [K]: 25 degC.
const FuseShareReference = 298.15

// ShareLeft returns the share of its rating that a fuse carries for good:
//
//	s = Share - Fall max(0, Temperature - 298.15 K)
//
// Shape: flat to 25 degC, then falling in a line. Range: Share 0.1 to 1, Fall 0 to 0.02 per K, Temperature
// 203.15 to 473.15 K (-70 to 200 degC). Errors: a value outside these ranges; less than a tenth is left.
// Source: 75 % at 25 degC (circuitprotection.ca/fuseology), 0.2 % more for every degC that the body of the
// fuse is warmer (interfacebus.com/Fuse_Derating_Guide.html).
func (w Warmth) ShareLeft() (float64, error) {
	err := ranges.Check(
		ranges.Of("share of the fuse rating", w.Share, 0.1, 1, percent),
		ranges.Of("fall of the share of the fuse rating", w.Fall, 0, 0.02, number),
		ranges.Of("temperature at the fuse", w.Temperature, 203.15, 473.15, celsius),
	)
	if err != nil {
		return 0, err
	}
	left := w.Share - w.Fall*max(0, w.Temperature-FuseShareReference)
	if left < 0.1 {
		return 0, fmt.Errorf("at %s a fuse carries less than a tenth of its rating for good", celsius.Format(w.Temperature))
	}
	return left, nil
}

// A Start is the moment in which the pump's motor stands still and has the voltage put on it.
type Start struct {
	Supply     float64 // V, at the take-off
	Resistance float64 // ohm, of the feed there and back
	Current    float64 // A, that the motor takes at Voltage when it starts
	Voltage    float64 // V, for which Current is stated
}

// PumpVoltage returns the voltage at the pump in that moment [V]. A motor that stands still has no voltage
// of its own and is the resistance Voltage / Current in series with the feed:
//
//	U = Supply Rm / (Rm + Resistance),   Rm = Voltage / Current
//
// Shape: falls as Resistance or Current rise. Range: voltages 1 to 60 V, Current 1 mA to 500 A, Resistance
// 0 to 100 ohm. Errors: a value outside these ranges. Source: Ohm's law; resistances in series.
func (s Start) PumpVoltage() (float64, error) {
	err := ranges.Check(
		voltage("least supply voltage", s.Supply),
		ranges.Of("resistance of the feed", s.Resistance, 0, 100, ohm),
		draw("start current of the pump", s.Current),
		voltage("voltage of the start current", s.Voltage),
	)
	if err != nil {
		return 0, err
	}
	motor := s.Voltage / s.Current
	return min(s.Supply, s.Supply*motor/(motor+s.Resistance)), nil
}
