package power

import (
	"fmt"
	"math"
	"strings"

	"kitgauge/checker/quantities/ranges"
)

// An Ampacity is the continuous rating of a cable as its maker states it, and where the cable is laid.
type Ampacity struct {
	Rating      float64 // A, of one circuit on its own in air at Reference
	Reference   float64 // K, of the air for which Rating is stated
	Limit       float64 // K, the most that the insulation stands for good
	Temperature float64 // K, of the warmest air along the cable
	Conductors  int     // loaded ones in one sheath or bundle, those of the circuit itself counted
}

// TemperatureFactor returns what is left of a rating in air of another temperature:
//
//	f = sqrt((Limit - Temperature) / (Limit - Reference)), and 0 from Limit on
//
// The loss I^2 R lifts the copper above the air by a difference that grows with it in proportion; the rise
// allowed is Limit - Temperature. Above 1 in air that is cooler than Reference.
//
// Shape: falls as Temperature rises, to 0 at Limit.
// Range: Reference and Temperature 203.15 to 523.15 K (-70 to 250 degC); Limit 313.15 to 573.15 K (40 to
// 300 degC) and at least 5 K above Reference. Errors: a value outside these ranges.
// Source: the correction for ambient temperature of IEC 60287 and IEC 60364-5-52 (from memory); the tables in
// the test follow it.
func (a Ampacity) TemperatureFactor() (float64, error) {
	err := ranges.Check(
		ranges.Of("temperature for which the cable's rating is stated", a.Reference, 203.15, 523.15, celsius),
		ranges.Of("limit of the cable's insulation", a.Limit, 313.15, 573.15, celsius),
		ranges.Of("temperature of the air along the cable", a.Temperature, 203.15, 523.15, celsius),
	)
	if err != nil {
		return 0, err
	}
	if a.Limit < a.Reference+5 {
		return 0, fmt.Errorf("the limit of the cable's insulation is %s; it must be at least 5 degC above the %s for which its rating is stated",
			celsius.Format(a.Limit), celsius.Format(a.Reference))
	}
	return math.Sqrt(max(0, a.Limit-a.Temperature) / (a.Limit - a.Reference)), nil
}

// Derated returns the current that the cable carries for good where it is laid [A]:
//
//	I = Rating min(1, TemperatureFactor) BundleFactor
//
// 0 at the insulation's limit and above it. What a cable in cool air could carry beyond its rating is not
// counted: it is nowhere as cool along a vehicle for good.
//
// Shape: never rises as Temperature or Conductors rise; linear in Rating.
// Range: Rating 0.1 to 1000 A; else as [Ampacity.TemperatureFactor] and [BundleFactor].
// Errors: a value outside these ranges.
func (a Ampacity) Derated() (float64, error) {
	if err := ranges.Check(ranges.Of("rating of the cable", a.Rating, 0.1, 1000, ampere)); err != nil {
		return 0, err
	}
	warm, err := a.TemperatureFactor()
	if err != nil {
		return 0, err
	}
	bundled, err := BundleFactor(a.Conductors)
	if err != nil {
		return 0, err
	}
	return a.Rating * min(1, warm) * bundled, nil
}

// BundleFactor returns what is left of a rating where several loaded conductors lie in one sheath or bundle:
// 1 up to two of them, the circuit's own; 0.70 for 3, 0.60 for 4 to 6, 0.50 for 7 to 24, 0.40 for more.
// Shape: a falling staircase. Range: 1 to 500. Errors: a number outside the range.
// Source: 33 CFR 183.425 table 5, note 2, which binds boats at 50 V and more and no truck; the heat of a
// current is the same at every voltage.
func BundleFactor(conductors int) (float64, error) {
	switch {
	case conductors < 1 || conductors > 500:
		return 0, fmt.Errorf("number of loaded conductors is %d; it must be from 1 to 500", conductors)
	case conductors <= 2:
		return 1, nil
	case conductors == 3:
		return 0.70, nil
	case conductors <= 6:
		return 0.60, nil
	case conductors <= 24:
		return 0.50, nil
	}
	return 0.40, nil
}

// InsulationLimit returns the highest temperature of a class of road vehicle cables [K]: A 85, B 100, C 125,
// D 150, E 175, F 200, G 225 and H 250 degC. Errors: a class that there is not.
// Source: ISO 6722-1 and ISO 19642-1 (classes from memory; printed with the same temperatures in the
// specification that the test names).
func InsulationLimit(class string) (float64, error) {
	const classes = "ABCDEFGH"
	i := strings.Index(classes, class)
	if i < 0 || len(class) != 1 {
		return 0, fmt.Errorf("there is no class %q of cables; the classes are A to H (ISO 19642)", class)
	}
	return []float64{85, 100, 125, 150, 175, 200, 225, 250}[i] + 273.15, nil
}
