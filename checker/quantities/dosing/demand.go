// Package dosing holds the amounts of a kit: what each grease point needs, what an element and the timer
// deliver, how long the reservoir lasts and what filling the kit for the first time takes. It exists so that
// the rules on starved and flooded points and on an empty reservoir rest on formulas that are tested apart
// from any kit file.
//
// Every function takes and returns SI units. Times are of two kinds: running time, while the pump's timer
// has power, and calendar time; the comments say which. An input outside the range in which a formula holds
// is an error; no function returns NaN or an infinity.
//
// The handbook formulas give a starting value. What the maker of the vehicle or of the bearing asks for goes
// before them.
package dosing

import (
	"math"

	"kitgauge/checker/quantities/ranges"
)

const (
	hour = 3600.0
	day  = 24 * hour
	week = 7 * day
)

// Factors for [RollingBearing]: grease for one replenishment over diameter times width [kg/m2].
// 1 g/mm2 is 1000 kg/m2.
const (
	// Replenish is 0.005 g/mm2, for a bearing greased at the interval of its grease's life. Source: The
	// Tribology Handbook, A20.5. One bearing maker prints the same formula for the first fill of an open bearing.
	Replenish = 5.0

	// The factors for a set interval, 0.002, 0.003 and 0.004 g/mm2. Source: from memory of a rolling
	// bearing maker's publication WL 81 115, chapter 4.
	ReplenishWeekly  = 2.0
	ReplenishMonthly = 3.0
	ReplenishYearly  = 4.0
)

// GreaseFilmRate is how fast the grease film of a sliding surface is used up [m/s of running time]: 0.001 in
// in four hours, 6.35 micrometre per hour. Source: formula page of a fluid-power distributor,
// https://flodraulic.com/resources/formulae/basic-lubrication-formulas/ (the same film in one hour for oil).
// A rule of thumb with one weak source; no standard was found.
const GreaseFilmRate = 25.4e-6 / (4 * hour)

// A RollingBearing is the outside of a bearing and the factor that says how often it is greased.
type RollingBearing struct {
	OutsideDiameter float64 // m
	Width           float64 // m; the total height of a thrust bearing
	Factor          float64 // kg/m2: Replenish, or the one for its interval
}

// Replenishment returns the grease for one interval [kg]:
//
//	G = Factor D B,   or G[g] = 0.005 D[mm] B[mm]
//
// Shape: linear in each. In inches and ounces the constant is 0.114.
// Range: D and B 1 mm to 5 m; Factor 0.0001 to 0.02 g/mm2 (0.1 to 20 kg/m2).
// Errors: a value outside these ranges.
// Source: The Tribology Handbook, A20.5.
func (b RollingBearing) Replenishment() (float64, error) {
	err := ranges.Check(
		span("outside diameter of the bearing", b.OutsideDiameter),
		span("width of the bearing", b.Width),
		ranges.Of("replenishment factor", b.Factor, 0.1, 20, factor),
	)
	if err != nil {
		return 0, err
	}
	return b.Factor * b.OutsideDiameter * b.Width, nil
}

// A Portion is an amount of grease for each interval: a bearing's replenishment, or a demand as stated.
type Portion struct {
	Mass     float64 // kg
	Interval float64 // s of running time
	Density  float64 // kg/m3, of the grease
}

// Demand returns what the point needs [m3/s of running time], Mass / (Density Interval).
// Shape: linear in Mass, inverse in the others.
// Range: Mass 0.001 mg to 100 kg; Interval 0.01 h to 20 years; Density 700 to 2500 kg/m3.
// Errors: a value outside these ranges. Source: definition of density.
func (p Portion) Demand() (float64, error) {
	err := ranges.Check(
		ranges.Of("grease for one interval", p.Mass, 1e-9, 100, gram),
		ranges.Of("interval", p.Interval, 0.01*hour, 20*365.25*day, hours),
		greaseDensity(p.Density),
	)
	if err != nil {
		return 0, err
	}
	return p.Mass / (p.Density * p.Interval), nil
}

// A PlainBearing is a pin or shaft in its bush.
type PlainBearing struct {
	Diameter float64 // m, of the pin
	Width    float64 // m, of the bush, along the pin
}

// Demand returns what the point needs [m3/s of running time], [GreaseFilmRate] on its surface pi d b.
// Shape: linear in both. Range: both 1 mm to 5 m. Errors: a value outside the range.
// Source: as [GreaseFilmRate].
func (b PlainBearing) Demand() (float64, error) {
	err := ranges.Check(span("diameter of the pin", b.Diameter), span("width of the bush", b.Width))
	if err != nil {
		return 0, err
	}
	return GreaseFilmRate * (math.Pi * b.Diameter * b.Width), nil
}
