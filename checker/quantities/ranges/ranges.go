// Package ranges holds the inputs of formulas against the ranges in which the
// formulas hold.
package ranges

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Unit turns a value in SI into the unit people write in a kit file, for error
// messages: shown = si/Scale - Offset.
type Unit struct {
	Name          string
	Scale, Offset float64
}

// UnitOf makes a unit.
func UnitOf(name string, scale, offset float64) Unit { return Unit{name, scale, offset} }

// Format writes a value in SI with the unit.
func (u Unit) Format(si float64) string {
	return strings.TrimSuffix(Plain(si/u.Scale-u.Offset)+" "+u.Name, " ")
}

// Plain writes a number with four figures and every whole one, and without an
// exponent.
func Plain(x float64) string {
	decimals := 0
	if size := math.Abs(x); size > 0 && size < 1000 {
		decimals = min(3-int(math.Floor(math.Log10(size))), 12)
	}
	text := strconv.FormatFloat(x, 'f', decimals, 64)
	if decimals > 0 {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return text
}

// Input is one value with the range in which a formula holds. The ranges are
// also what keeps every result finite: no product or quotient of values inside
// them comes near the limits of a float64.
type Input struct {
	Name               string
	Value, Least, Most float64
	Unit               Unit
}

// Of makes an input.
func Of(name string, value, least, most float64, unit Unit) Input {
	return Input{name, value, least, most, unit}
}

// Check returns an error for the first input outside its range.
func Check(inputs ...Input) error {
	for _, in := range inputs {
		if math.IsNaN(in.Value) {
			return fmt.Errorf("%s is not a number", in.Name)
		}
		if in.Value < in.Least || in.Value > in.Most {
			return fmt.Errorf("%s is %s; it must be from %s to %s",
				in.Name, in.Unit.Format(in.Value), in.Unit.Format(in.Least), in.Unit.Format(in.Most))
		}
	}
	return nil
}
