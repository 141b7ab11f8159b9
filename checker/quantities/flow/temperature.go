package flow

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"kitgauge/checker/quantities/ranges"
)

// YieldStress says how the yield stress of a grease follows temperature: it
// halves for every Halving kelvin of warming.
type YieldStress struct {
	Yield       float64 // Pa, at Temperature
	Temperature float64 // K
	Halving     float64 // K; particular to each grease
}

// At returns the yield stress [Pa] at a temperature [K]:
// τ(T) = τ0 · 2^((T0 - T)/b).
//
// Shape: doubles for every Halving kelvin of cooling.
// Range: Yield zero or more, temperatures and Halving positive. The law is a
// fit; beyond the temperatures at which the grease was measured it is a guess.
// Source: exponential dependence on temperature, Cyriac, Lugt and Bosman,
// Tribology Transactions 58 (2015) 1021-1030; this form is from memory (Lugt,
// Grease Lubrication in Rolling Bearings).
func (y YieldStress) At(temperature float64) (float64, error) {
	if err := notNegative("yield stress", y.Yield, "Pa"); err != nil {
		return 0, err
	}
	if err := positive("temperature of the stated yield stress", y.Temperature, "K"); err != nil {
		return 0, err
	}
	if err := positive("temperature step that halves the yield stress", y.Halving, "K"); err != nil {
		return 0, err
	}
	if err := positive("temperature", temperature, "K"); err != nil {
		return 0, err
	}
	return finite("yield stress", y.Yield*math.Exp2((y.Temperature-temperature)/y.Halving))
}

// YieldPoint is a yield stress that was measured.
type YieldPoint struct {
	Temperature float64 // K
	Yield       float64 // Pa
}

// FitYield returns the law through two measured yield stresses, which halves
// for every b = (T2 - T1) / log2(τ1/τ2) kelvin. What is proportional to the
// yield stress follows the same law, and two measurements of it give the same
// b: so do two flow pressures by DIN 51805, as nozzle and grease stay the same.
//
// Range: two different temperatures above zero, the colder with the greater
// yield stress; both yield stresses positive.
// Source: exponential dependence on temperature, Cyriac, Lugt and Bosman,
// Tribology Transactions 58 (2015) 1021-1030; the rest is algebra.
func FitYield(p, q YieldPoint) (YieldStress, error) {
	for _, point := range []YieldPoint{p, q} {
		if err := positive("temperature", point.Temperature, "K"); err != nil {
			return YieldStress{}, err
		}
		if err := positive("yield stress", point.Yield, "Pa"); err != nil {
			return YieldStress{}, err
		}
	}
	if p.Temperature == q.Temperature || (p.Temperature < q.Temperature) != (p.Yield > q.Yield) {
		return YieldStress{}, errors.New("two measurements at different temperatures are needed, the greater one at the lower temperature")
	}
	halving, err := finite("step that halves the yield stress", (q.Temperature-p.Temperature)/math.Log2(p.Yield/q.Yield))
	return YieldStress{Yield: p.Yield, Temperature: p.Temperature, Halving: halving}, err
}

// Outside returns by how many kelvin a temperature [K] lies outside of those
// at which something was measured [K]; 0 between two of them.
func Outside(temperature float64, measured ...float64) float64 {
	return max(0, slices.Min(measured)-temperature, temperature-slices.Max(measured))
}

// The simple D341 equation holds from 2 mm²/s to 20 million mm²/s; below, the
// standard adds terms that grease and central-lubrication oils never need.
const (
	lowestViscosity  = 2e-6 // m²/s
	highestViscosity = 20   // m²/s

	squareMillimetres = 1e6 // in a square metre
)

// ViscosityPoint is one measured viscosity of an oil.
type ViscosityPoint struct {
	Temperature float64 // K
	Kinematic   float64 // m²/s
}

// Walther is the line of an oil on the viscosity-temperature chart of ASTM
// D341: log10(log10(ν + 0.7)) = A - B·log10(T), ν in mm²/s and T in K.
type Walther struct {
	A, B float64
}

// FitWalther returns the line through two measured viscosities, usually those
// at 40 °C and 100 °C.
//
// Range: two different temperatures, the warmer with the lower viscosity; both
// viscosities from 2 mm²/s to 2e7 mm²/s.
// Source: ASTM D341.
func FitWalther(p, q ViscosityPoint) (Walther, error) {
	for _, point := range []ViscosityPoint{p, q} {
		if err := positive("temperature", point.Temperature, "K"); err != nil {
			return Walther{}, err
		}
		if err := checkViscosity(point.Kinematic); err != nil {
			return Walther{}, err
		}
	}
	if (p.Temperature-q.Temperature)*(p.Kinematic-q.Kinematic) >= 0 {
		return Walther{}, errors.New("two viscosities at different temperatures are needed, the lower one at the higher temperature")
	}
	x1, x2 := math.Log10(p.Temperature), math.Log10(q.Temperature)
	y1, y2 := waltherOrdinate(p.Kinematic), waltherOrdinate(q.Kinematic)
	b := (y1 - y2) / (x2 - x1)
	return Walther{A: y1 + b*x1, B: b}, nil
}

// Kinematic returns the kinematic viscosity [m²/s] at a temperature [K].
//
// Shape: falls steeply with temperature.
// Range: results from 2 mm²/s to 2e7 mm²/s, anything else is an error; between
// the cloud point and the boiling point of the oil, where a real oil follows
// the line.
// Source: ASTM D341.
func (w Walther) Kinematic(temperature float64) (float64, error) {
	if err := positive("temperature", temperature, "K"); err != nil {
		return 0, err
	}
	if !(w.B > 0) {
		return 0, errors.New("the viscosity-temperature line does not fall: give the oil's viscosity at two temperatures")
	}
	nu := (math.Pow(10, math.Pow(10, w.A-w.B*math.Log10(temperature))) - 0.7) / squareMillimetres
	if err := checkViscosity(nu); err != nil {
		return 0, fmt.Errorf("at %s the viscosity-temperature line leaves its range: %w", celsius(temperature), err)
	}
	return nu, nil
}

func waltherOrdinate(nu float64) float64 {
	return math.Log10(math.Log10(nu*squareMillimetres + 0.7))
}

func checkViscosity(nu float64) error {
	// The slack of one part in 1e9 lets a point on the limit survive the
	// round trip through the logarithms.
	if nu >= lowestViscosity*(1-1e-9) && nu <= highestViscosity*(1+1e-9) {
		return nil
	}
	return fmt.Errorf("kinematic viscosity must be from 2 mm2/s to 20000000 mm2/s, not %s mm2/s", ranges.Plain(nu*squareMillimetres))
}
