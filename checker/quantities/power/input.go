package power

import (
	"fmt"
	"math"
	"strings"
)

// A unit turns a value in SI into the unit people write in a kit file, for error messages.
type unit struct {
	name          string
	scale, offset float64 // shown = si/scale - offset
}

var (
	ampere  = unit{"A", 1, 0}
	volt    = unit{"V", 1, 0}
	ohm     = unit{"ohm", 1, 0}
	metre   = unit{"m", 1, 0}
	mm2     = unit{"mm2", 1e-6, 0}
	celsius = unit{"degC", 1, 273.15}
	percent = unit{"%", 0.01, 0}
	number  = unit{"", 1, 0}
)

func (u unit) format(si float64) string {
	return strings.TrimSuffix(fmt.Sprintf("%.6g %s", si/u.scale-u.offset, u.name), " ")
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

func draw(name string, value float64) input {
	return input{name, value, 1e-3, 500, ampere}
}

func cableLength(name string, value float64) input {
	return input{name, value, 0.01, 200, metre}
}

// voltage stops at 60 V, the top of voltage class A for direct current (ISO 6469-3, from memory): above
// it a vehicle circuit needs protection against electric shock, which nothing here looks at.
func voltage(name string, value float64) input {
	return input{name, value, 1, 60, volt}
}
