package mistyped_test

import (
	"math"
	"testing"

	"kitgauge/checker/quantities/mistyped"
	"kitgauge/checker/units"
)

// The factors are those between the units, as NIST SP 811, appendix B, has
// them, to the four figures in which they are given.
func TestPairs(t *testing.T) {
	for dimension, pairs := range mistyped.Pairs {
		for _, p := range pairs {
			one, known := units.Lookup(p.One)
			other, known2 := units.Lookup(p.Other)
			if !known || !known2 || one.Dim != other.Dim || one.Dim.String() != dimension {
				t.Errorf("%s and %s are no two units of %s", p.One, p.Other, dimension)
				continue
			}
			ratio := one.Factor / other.Factor
			if got := max(ratio, 1/ratio); math.Abs(got/p.Factor-1) > 5e-4 {
				t.Errorf("%s and %s: got %g, want %g", p.One, p.Other, p.Factor, got)
			}
		}
	}
}
