package flow

import (
	"fmt"
	"math"
)

// The flow index of lubricants lies between about 0.2 and 1; outside these
// limits the figure is a slip of the pen rather than a lubricant.
const (
	lowestIndex  = 0.1
	highestIndex = 2
)

// HerschelBulkley is a lubricant with a yield stress that thins as it is
// sheared: τ = Yield + Consistency·γ^Index. It is the usual law for grease.
// With Index 1 it is a Bingham lubricant, with Yield 0 a power-law liquid, and
// with both a Newtonian one.
type HerschelBulkley struct {
	Yield       float64 // yield stress, Pa
	Consistency float64 // Pa·sⁿ
	Index       float64 // flow index n, no unit
}

// Pressure returns the pressure drop Δp [Pa] at a flow q [m³/s], of
//
//	q = π R³ n e^((n+1)/n) / (K^(1/n) τw³) ·
//	    (e²/(3n+1) + 2 τy e/(2n+1) + τy²/(n+1)),   e = τw - τy
//
// with τw = Δp D / (4 L). At zero flow it is [Tube.StartPressure].
//
// Shape: rises steeply just above the start-up pressure, then slowly; for a
// stiff grease the start-up pressure is most of it.
// Range: laminar flow; Yield zero or more, Consistency positive, Index 0.1 to
// 2, flow zero or more.
// Source: Chhabra and Richardson, Non-Newtonian Flow and Applied Rheology,
// chapter 3 (from memory); the tests check it against the integral of the
// velocity profile in Berk, Food Process Engineering and Technology, eq. 2.27
// to 2.30. Solved by bisection to the last digits.
//
// The unknown is the logarithm of e: close to start-up the pressure itself
// hardly moves with the flow, and its last digits are all that counts.
func (f HerschelBulkley) Pressure(t Tube, flow float64) (float64, error) {
	start, err := f.start(t)
	if err != nil {
		return 0, err
	}
	if err := notNegative("flow", flow, "m3/s"); err != nil {
		return 0, err
	}
	if flow == 0 {
		return start, nil
	}
	want := math.Log(flow)
	tooLittle := func(u float64) bool { return f.logFlow(t, math.Exp(u)) < want }

	// Excess stresses from 1e-304 to 1e304 Pa: outside them nothing flows that
	// a tube could hold.
	low, high := -700.0, 700.0
	if !tooLittle(low) {
		return start, nil
	}
	if tooLittle(high) {
		return 0, fmt.Errorf("no pressure drives a flow of %g m3/s through a bore of %g m: check the units", flow, t.Bore)
	}
	for {
		mid := low + (high-low)/2
		if mid <= low || mid >= high {
			break
		}
		if tooLittle(mid) {
			low = mid
		} else {
			high = mid
		}
	}
	return finite("pressure drop", start+t.pressure(math.Exp(high)))
}

// logFlow is the logarithm of the flow in terms of the wall stress in excess of
// the yield stress. Powers up to 1/n = 10 would overflow if they were
// multiplied out.
func (f HerschelBulkley) logFlow(t Tube, excess float64) float64 {
	n, wall := f.Index, f.Yield+excess
	phi, open := f.Yield/wall, excess/wall
	shape := open*open/(3*n+1) + 2*phi*open/(2*n+1) + phi*phi/(n+1)
	return math.Log(math.Pi*n*shape) + 3*math.Log(t.Bore/2) +
		(n+1)/n*math.Log(excess) - math.Log(f.Consistency)/n - math.Log(wall)
}

func (f HerschelBulkley) start(t Tube) (float64, error) {
	if err := positive("consistency", f.Consistency, "Pa s^n"); err != nil {
		return 0, err
	}
	if !(f.Index >= lowestIndex && f.Index <= highestIndex) {
		return 0, fmt.Errorf("flow index must be from %g to %g, not %g", lowestIndex, float64(highestIndex), f.Index)
	}
	return t.StartPressure(f.Yield)
}
