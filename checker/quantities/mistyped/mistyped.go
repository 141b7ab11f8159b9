// Package mistyped knows how numbers are mistyped: by which factors a slipped
// point and a wrong unit are off. What judges measurements, what judges a
// catalogue and what looks for the slip behind findings take them from here.
package mistyped

import "math"

// Decimal are the factors of a slipped point, or of noughts lost or added, the
// commonest first. Common practice, no source.
var Decimal = [...]float64{10, 100, 1000}

// Inch is how many mm are an inch. NIST SP 811, appendix B.
const Inch = 25.4

// Pair are two units that people write for each other: the larger is Factor
// times the smaller. NIST SP 811, appendix B; which are mistaken is common
// practice, no source.
type Pair struct {
	One, Other string
	Factor     float64
	Rough      string // the factor in a sentence; "" where it is one of Decimal, or too rare to be told by it
	Common     bool   // a series that is spread tells it as well as one of equal figures
}

// Pairs are those of a dimension, the commonest first.
var Pairs = map[string][]Pair{
	"length": {
		{"mm", "in", Inch, "25.4", true}, {"mm", "ft", 304.8, "304.8", false}, {"m", "ft", 1 / 0.3048, "3.28", false},
		{"mm", "cm", 10, "", false}, {"cm", "m", 100, "", false}, {"mm", "m", 1000, "", false},
		{"cm", "in", 2.54, "", false}, {"in", "m", 1000 / Inch, "", false}, {"in", "ft", 12, "", false},
	},
	"area":         {{"mm2", "in2", 645.16, "645", false}, {"mm2", "cm2", 100, "", false}},
	"volume":       {{"cm3", "in3", 16.387, "16.4", false}, {"l", "US gal", 3.785, "3.8", false}, {"cm3", "US fl oz", 29.57, "29.6", false}, {"ml", "l", 1000, "", false}, {"cm3", "l", 1000, "", false}, {"mm3", "cm3", 1000, "", false}, {"in3", "l", 61.02, "", false}},
	"pressure":     {{"bar", "psi", 14.504, "14.5", false}, {"kPa", "psi", 6.895, "6.9", false}, {"bar", "MPa", 10, "", false}, {"psi", "MPa", 145.04, "", false}},
	"mass":         {{"kg", "lb", 2.2046, "2.2", false}, {"kg", "oz", 35.27, "35", false}, {"g", "oz", 28.35, "28", false}, {"g", "kg", 1000, "", false}},
	"time":         {{"min", "h", 60, "60", false}, {"s", "min", 60, "", false}, {"h", "s", 3600, "3600", false}, {"h", "d", 24, "24", false}, {"d", "wk", 7, "", false}},
	"angle":        {{"deg", "rad", 180 / math.Pi, "57", false}},
	"volume flow":  {{"cm3/h", "cm3/min", 60, "", false}, {"cm3/d", "cm3/h", 24, "", false}},
	"acceleration": {{"m/s2", "gn", 9.80665, "", false}},
}

// Scales are units of one dimension that differ by more than a factor.
var Scales = [][]string{{"degC", "degF", "K"}}
