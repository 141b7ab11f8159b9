package bundling

import (
	"fmt"
	"math"
)

// Fill returns the share of a conduit's cross-section that tubes of the given
// outer diameters [m] take up: sum d^2 / D^2, D the inner diameter [m]. It is
// dimensionless, quadratic in the tubes and may exceed 1 when they cannot fit.
//
// Range: diameters as for [EnclosingCircle], D likewise; outside it an error.
// Source: geometry.
func Fill(diameters []float64, inner float64) (float64, error) {
	if err := validate(diameters); err != nil {
		return 0, err
	}
	if err := validateInner(inner); err != nil {
		return 0, err
	}
	sum := 0.0
	for _, d := range diameters {
		sum += d / inner * (d / inner)
	}
	return sum, nil
}

// Room returns how much wider a conduit is than the bundle in it: the
// conduit's inner diameter over the diameter of the enclosing circle, both in
// m. At 1 the bundle just fits.
//
// Range: both from MinDiameter to MaxDiameter; the bundle may be wider, up to
// MaxCount times that. Outside it an error.
func Room(inner, enclosing float64) (float64, error) {
	if err := validateInner(inner); err != nil {
		return 0, err
	}
	if !(enclosing >= MinDiameter && enclosing <= MaxDiameter*MaxCount) {
		return 0, fmt.Errorf("a bundle diameter of %.5g m leaves nothing to compare the conduit with", enclosing)
	}
	return inner / enclosing, nil
}

func validateInner(inner float64) error {
	if math.IsNaN(inner) || inner < MinDiameter || inner > MaxDiameter {
		return fmt.Errorf("the conduit has an inner diameter of %.5g m; it must lie between %.5g m and %d m", inner, MinDiameter, MaxDiameter)
	}
	return nil
}
