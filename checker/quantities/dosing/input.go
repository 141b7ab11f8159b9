package dosing

import "kitgauge/checker/quantities/ranges"

var (
	number  = ranges.UnitOf("", 1, 0)
	mm      = ranges.UnitOf("mm", 1e-3, 0)
	metre   = ranges.UnitOf("m", 1, 0)
	cm3     = ranges.UnitOf("cm3", 1e-6, 0)
	cm3Hour = ranges.UnitOf("cm3/h", 1e-6/hour, 0)
	gram    = ranges.UnitOf("g", 1e-3, 0)
	density = ranges.UnitOf("kg/m3", 1, 0)
	factor  = ranges.UnitOf("g/mm2", 1e3, 0)
	second  = ranges.UnitOf("s", 1, 0)
	minute  = ranges.UnitOf("min", 60, 0)
	hours   = ranges.UnitOf("h", hour, 0)
	days    = ranges.UnitOf("d", day, 0)
)

// The ranges that several formulas share.

// rate holds for any amount per time computed here: the smallest, a milligramme's thousandth in 20 years, is
// above 1e-22 m3/s.
func rate(name string, value, least float64) ranges.Input {
	return ranges.Of(name, value, least, 1, cm3Hour)
}

const leastRate = 1e-24 // m3/s, above 0 so that it can divide

// greaseDensity covers mineral-oil greases (850 to 950 kg/m3) and fluorinated ones (about 1900), and
// refuses 0.9, which was meant in g/cm3.
func greaseDensity(value float64) ranges.Input {
	return ranges.Of("density of the grease", value, 700, 2500, density)
}

func span(name string, value float64) ranges.Input {
	return ranges.Of(name, value, 1e-3, 5, mm)
}

func volume(name string, value float64) ranges.Input {
	return ranges.Of(name, value, 0, 1, cm3)
}

func calendar(name string, value float64) ranges.Input {
	return ranges.Of(name, value, 0.01*day, 20*365.25*day, days)
}
