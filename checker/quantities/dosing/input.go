package dosing

import (
	"fmt"
	"math"
	"strings"
)

// A unit turns a value in SI into the unit people write in a kit file, for error messages.
type unit struct {
	name  string
	scale float64 // shown = si/scale
}

var (
	number  = unit{"", 1}
	mm      = unit{"mm", 1e-3}
	mm2     = unit{"mm2", 1e-6}
	metre   = unit{"m", 1}
	cm3     = unit{"cm3", 1e-6}
	cm3Hour = unit{"cm3/h", 1e-6 / hour}
	gram    = unit{"g", 1e-3}
	density = unit{"kg/m3", 1}
	factor  = unit{"g/mm2", 1e3}
	second  = unit{"s", 1}
	minute  = unit{"min", 60}
	hours   = unit{"h", hour}
	days    = unit{"d", day}
)

func (u unit) format(si float64) string {
	return strings.TrimSuffix(fmt.Sprintf("%.6g %s", si/u.scale, u.name), " ")
}

// An input is one value with the range in which a formula holds. The ranges are also what keeps every
// result finite: no product or quotient of values inside them comes near the limits of a float64.
type input struct {
	name               string
	value, least, most float64
	unit               unit
}

// check returns an error for the first input outside its range.
func check(inputs ...input) error {
	for _, in := range inputs {
		if math.IsNaN(in.value) {
			return fmt.Errorf("%s is not a number", in.name)
		}
		if in.value < in.least || in.value > in.most {
			return fmt.Errorf("%s is %s; it must be from %s to %s",
				in.name, in.unit.format(in.value), in.unit.format(in.least), in.unit.format(in.most))
		}
	}
	return nil
}

// The ranges that several formulas share.

// rate holds for any amount per time computed here: the smallest, a milligramme's thousandth in 20 years, is
// above 1e-22 m3/s.
func rate(name string, value, least float64) input {
	return input{name, value, least, 1, cm3Hour}
}

const leastRate = 1e-24 // m3/s, above 0 so that it can divide

// greaseDensity covers mineral-oil greases (850 to 950 kg/m3) and fluorinated ones (about 1900), and
// refuses 0.9, which was meant in g/cm3.
func greaseDensity(value float64) input {
	return input{"density of the grease", value, 700, 2500, density}
}

func span(name string, value float64) input {
	return input{name, value, 1e-3, 5, mm}
}

func volume(name string, value float64) input {
	return input{name, value, 0, 1, cm3}
}

func calendar(name string, value float64) input {
	return input{name, value, 0.01 * day, 20 * 365.25 * day, days}
}
