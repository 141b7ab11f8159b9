package power

import "kitgauge/checker/quantities/ranges"

var (
	ampere  = ranges.UnitOf("A", 1, 0)
	volt    = ranges.UnitOf("V", 1, 0)
	ohm     = ranges.UnitOf("ohm", 1, 0)
	metre   = ranges.UnitOf("m", 1, 0)
	mm2     = ranges.UnitOf("mm2", 1e-6, 0)
	celsius = ranges.UnitOf("degC", 1, 273.15)
	percent = ranges.UnitOf("%", 0.01, 0)
	number  = ranges.UnitOf("", 1, 0)
)

// The ranges that several formulas share.

func draw(name string, value float64) ranges.Input {
	return ranges.Of(name, value, 1e-3, 500, ampere)
}

func cableLength(name string, value float64) ranges.Input {
	return ranges.Of(name, value, 0.01, 200, metre)
}

// voltage stops at 60 V, the top of voltage class A for direct current (ISO 6469-3, from memory): above
// it a vehicle circuit needs protection against electric shock, which nothing here looks at.
func voltage(name string, value float64) ranges.Input {
	return ranges.Of(name, value, 1, 60, volt)
}
