package dosing

import (
	"errors"
	"fmt"
	"math"

	"kitgauge/checker/quantities/ranges"
)

// A Usage is how fast the vehicle uses grease up.
type Usage struct {
	Rate          float64 // m3/s of running time, all outlets together
	RunningPerDay float64 // s, on a day in use
	DaysPerWeek   float64 // days in use of seven
}

func (u Usage) check(least float64) error {
	return ranges.Check(
		rate("amount delivered to all points", u.Rate, least),
		ranges.Of("running time a day", u.RunningPerDay, 1, day, hours),
		ranges.Of("days of use a week", u.DaysPerWeek, 0.01, 7, number),
	)
}

// share returns the running time in a unit of calendar time.
func (u Usage) share() float64 {
	return u.DaysPerWeek * u.RunningPerDay / week
}

// Running returns the running time [s] in an interval of calendar time [s]:
//
//	t = interval / 7 d x DaysPerWeek x RunningPerDay
//
// Shape: linear in each. Range: RunningPerDay 1 s to 24 h; DaysPerWeek 0.01 to 7; interval 0.01 d to
// 20 years. The Rate plays no part but must be in its range, 0 to 1 m3/s.
// Errors: a value outside these ranges. Source: arithmetic; use is taken as even over the weeks.
func (u Usage) Running(interval float64) (float64, error) {
	if err := u.check(0); err != nil {
		return 0, err
	}
	if err := ranges.Check(calendar("interval", interval)); err != nil {
		return 0, err
	}
	return interval * u.share(), nil
}

// Consumption returns what is used up [m3] in an interval of calendar time [s], Rate times [Usage.Running].
// Shape: linear in each. Range, errors, source: as [Usage.Running].
func (u Usage) Consumption(interval float64) (float64, error) {
	running, err := u.Running(interval)
	if err != nil {
		return 0, err
	}
	return u.Rate * running, nil
}

// Lasts returns the calendar time [s] in which a volume [m3] is used up, the inverse of
// [Usage.Consumption]. Of [Reservoir.Usable] it is the time to the low mark.
// Shape: linear in volume, inverse in the rest.
// Range: volume 0 to 1 m3; Rate above 0; the rest as [Usage.Running].
// Errors: a value outside these ranges; a Rate of 0, for then nothing is used up.
// Source: arithmetic.
func (u Usage) Lasts(usable float64) (float64, error) {
	if u.Rate == 0 {
		return 0, errNoDelivery
	}
	if err := u.check(leastRate); err != nil {
		return 0, err
	}
	if err := ranges.Check(volume("usable volume", usable)); err != nil {
		return 0, err
	}
	return usable / (u.Rate * u.share()), nil
}

var errNoDelivery = errors.New("nothing is delivered, so no grease is used up: look at the timer and the elements")

// A Reservoir holds the volumes at its marks, counted from its outlet.
type Reservoir struct {
	UpperMark float64 // m3
	LowerMark float64 // m3, where the warning comes or the pump begins to draw air
	Fill      float64 // m3, as filled
}

// Usable returns what the pump can take from the fill down to the low mark [m3]: Fill - LowerMark, and 0 for
// a fill below that mark. What stands above the upper mark is not counted, for it must not be there.
// Shape: rising in Fill up to UpperMark, falling in LowerMark.
// Range: all 0 to 1 m3, LowerMark below UpperMark. Errors: a value outside these ranges.
// Source: definition.
func (r Reservoir) Usable() (float64, error) {
	err := ranges.Check(
		volume("upper fill mark", r.UpperMark),
		volume("lower fill mark", r.LowerMark),
		volume("reservoir fill", r.Fill),
	)
	if err != nil {
		return 0, err
	}
	if r.LowerMark >= r.UpperMark {
		return 0, fmt.Errorf("lower fill mark is at %s, not below the upper one at %s",
			cm3.Format(r.LowerMark), cm3.Format(r.UpperMark))
	}
	return max(0, min(r.Fill, r.UpperMark)-r.LowerMark), nil
}

// A Supply sets the grease at hand against the grease needed.
type Supply struct {
	AtHand float64 // m3, as Reservoir.Usable
	Needed float64 // m3, as Usage.Consumption
}

// Reserve returns what is to spare as a fraction of the need, AtHand / Needed - 1: 0.2 is 20 % to spare,
// 0 none; negative, so much is missing.
// Shape: linear in AtHand, falling in Needed.
// Range: AtHand 0 to 1 m3; Needed above 0 to 1e9 m3, more than any [Usage.Consumption].
// Errors: a value outside these ranges. Source: definition.
func (s Supply) Reserve() (float64, error) {
	if s.Needed == 0 {
		return 0, errNoDelivery
	}
	err := ranges.Check(
		volume("grease at hand", s.AtHand),
		ranges.Of("grease needed", s.Needed, 1e-32, 1e9, cm3),
	)
	if err != nil {
		return 0, err
	}
	return s.AtHand/s.Needed - 1, nil
}

// A Tube is one piece of tube that has to be filled before grease comes out of its end.
type Tube struct {
	InsideDiameter float64 // m
	Length         float64 // m
}

// PrimingVolume returns what fills the tubes [m3], the sum of pi/4 D^2 L. A tube delivered filled is left
// out; bores of fittings are neglected.
// Shape: square in D, linear in L, the sum does not depend on the order beyond rounding; 0 for no tubes.
// Range: D 0.1 to 100 mm; L 1 mm to 200 m. Errors: a value outside these ranges, with the tube's place in
// the list. Source: volume of a cylinder.
func PrimingVolume(tubes []Tube) (float64, error) {
	var sum float64
	for i, tube := range tubes {
		err := ranges.Check(
			ranges.Of("inside diameter", tube.InsideDiameter, 1e-4, 0.1, mm),
			ranges.Of("length", tube.Length, 1e-3, 200, metre),
		)
		if err != nil {
			return 0, fmt.Errorf("tube %d: %w", i+1, err)
		}
		sum += math.Pi / 4 * tube.InsideDiameter * tube.InsideDiameter * tube.Length
	}
	return sum, nil
}

// FirstFill returns the grease to be at hand when the kit is put into use [m3]: the fill, from empty, and
// [PrimingVolume] of the tubes.
// Shape: linear in Fill. Range and errors: as [Reservoir.Usable] and [PrimingVolume].
// Source: definition.
func (r Reservoir) FirstFill(tubes []Tube) (float64, error) {
	if _, err := r.Usable(); err != nil {
		return 0, err
	}
	priming, err := PrimingVolume(tubes)
	if err != nil {
		return 0, err
	}
	return r.Fill + priming, nil
}

// A Grease is an amount of grease by volume.
type Grease struct {
	Volume  float64 // m3
	Density float64 // kg/m3
}

// Mass returns the mass of the grease [kg], Volume times Density.
// Shape: linear in both. Range: Volume 0 to 1 m3; Density 700 to 2500 kg/m3.
// Errors: a value outside these ranges. Source: definition of density.
func (g Grease) Mass() (float64, error) {
	err := ranges.Check(volume("volume of grease", g.Volume), greaseDensity(g.Density))
	if err != nil {
		return 0, err
	}
	return g.Volume * g.Density, nil
}
