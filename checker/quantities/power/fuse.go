package power

import (
	"fmt"

	"kitgauge/checker/quantities/ranges"
)

// StandardFuses returns the standard ratings of medium blade fuses [A], rising: 1, 2, 3, 4, 5, 7.5, 10, 15,
// 20, 25, 30, 35 and 40. Miniature ones end at 30 A. Source: ISO 8820-3, type C (list from memory; the same
// list is printed in a farm paper's fuse chart, see the test).
func StandardFuses() []float64 {
	return []float64{1, 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30, 35, 40}
}

// IsStandardFuse reports whether a rating [A] is one of [StandardFuses]. No rating is near enough but an
// equal one, apart from rounding.
func IsStandardFuse(rating float64) bool {
	for _, f := range StandardFuses() {
		if rating >= f*(1-rounding) && rating <= f*(1+rounding) {
			return true
		}
	}
	return false
}

// A Load is the draw that a fuse has to carry without ageing.
type Load struct {
	Draw  float64 // A, the highest that lasts; see Motor.HighestDraw
	Share float64 // the part of its rating that a fuse may carry for long; see Warmth.ShareLeft
}

// FuseNeed returns the least rating of a fuse that carries the load [A], Draw / Share. The fuse to fit is
// [NextFuse] of it.
// Shape: linear in Draw, inverse in Share.
// Range: Draw 1 mA to 500 A; Share 0.1 to 1. Errors: a value outside these ranges.
// Source: what a share is; see [Warmth.ShareLeft] for its value.
func (l Load) FuseNeed() (float64, error) {
	err := ranges.Check(
		draw("highest draw", l.Draw),
		ranges.Of("share of the fuse rating", l.Share, 0.1, 1, percent),
	)
	if err != nil {
		return 0, err
	}
	return l.Draw / l.Share, nil
}

// NextFuse returns the smallest of [StandardFuses] at or above a current [A].
// Shape: a rising staircase. Range: current 1 mA to 40 A.
// Errors: a current outside the range.
func NextFuse(current float64) (float64, error) {
	if err := ranges.Check(draw("current that the fuse must carry", current)); err != nil {
		return 0, err
	}
	fuses := StandardFuses()
	for _, f := range fuses {
		if current <= f*(1+rounding) {
			return f, nil
		}
	}
	return 0, fmt.Errorf("no standard blade fuse is rated for %s; the largest is %s",
		ampere.Format(current), ampere.Format(fuses[len(fuses)-1]))
}

// LargestFuse returns the largest of [StandardFuses] that protects a cable of the given continuous
// rating [A]: a fuse above that rating lets the cable overheat before it opens.
// Shape: a rising staircase. Range: rating 1 to 500 A.
// Errors: a rating outside the range; below 1 A there is no fuse that small.
// Source: the condition In <= Iz of IEC 60364-4-43 (from memory). Its second condition, that the device
// operates at 1.45 Iz, then holds too: a blade fuse opens within ten minutes at 1.35 times its rating
// (ISO 8820-3, from memory).
func LargestFuse(cableRating float64) (float64, error) {
	if err := ranges.Check(ranges.Of("continuous rating of the cable", cableRating, 1, 500, ampere)); err != nil {
		return 0, err
	}
	fuses := StandardFuses()
	largest := fuses[0]
	for _, f := range fuses {
		if f <= cableRating*(1+rounding) {
			largest = f
		}
	}
	return largest, nil
}
