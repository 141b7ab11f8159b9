package dosing

import (
	"cmp"
	"errors"
	"math"
	"slices"

	"kitgauge/checker/quantities/ranges"
)

// A Band is from what share of its need on a point gets enough, and up to which not too much.
type Band struct{ Least, Most float64 }

// Suits returns the share of what is delivered now with which the most points, which get ratios [plain number] times what
// they need, lie within the band, and how many they are. Where all do, the share is the geometric mean of the least and the
// greatest with which they do, as far as can be from either; else it is that nearest to what the middle point needs.
// Shape: falls as the ratios rise. Range: 1 to 10000 ratios, above 0; Least above 0, below Most.
// Errors: a value outside these ranges. Source: arithmetic.
func (b Band) Suits(ratios []float64) (share float64, within int, err error) {
	if len(ratios) == 0 || len(ratios) > 10000 || !(slices.Min(ratios) > 0) || math.IsInf(slices.Max(ratios), 1) {
		return 0, 0, errors.New("from 1 to 10000 points that get something are needed")
	}
	if err := ranges.Check(ranges.Of("least share", b.Least, 1e-6, 1e6, number), ranges.Of("greatest share", b.Most, b.Least, 1e6, number)); err != nil {
		return 0, 0, err
	}
	if low, high := b.Least/slices.Min(ratios), b.Most/slices.Max(ratios); low <= high {
		return math.Sqrt(low * high), len(ratios), nil
	}
	sorted := slices.Clone(ratios)
	slices.Sort(sorted)
	middle := sorted[(len(sorted)-1)/2]
	share = 1 / middle
	within = b.count(ratios, share)
	for _, r := range sorted {
		// with a ratio just within either end of the band the count is greatest
		for _, s := range []float64{b.Least / r * (1 + edge), b.Most / r * (1 - edge)} {
			n := b.count(ratios, s)
			far := cmp.Compare(math.Abs(math.Log(s*middle)), math.Abs(math.Log(share*middle)))
			if n > within || n == within && far < 0 {
				share, within = s, n
			}
		}
	}
	return share, within, nil
}

// edge keeps a ratio off the very end of a band, where rounding puts it on either side.
const edge = 0.005

func (b Band) count(ratios []float64, share float64) int {
	n := 0
	for _, r := range ratios {
		if v := r * share; v >= b.Least && v <= b.Most {
			n++
		}
	}
	return n
}

// Within reports whether ratios, each times share, all lie within the band.
func (b Band) Within(ratios []float64, share float64) bool {
	return b.count(ratios, share) == len(ratios)
}

// Times returns what an element delivers under the setting other as a share of what it delivers under c.
// Shape: linear in the strokes of other. Range and errors: as [Cycle.Strokes]; c has one stroke at least.
// Source: arithmetic.
func (c Cycle) Times(other Cycle) (float64, error) {
	now, err := c.Strokes()
	then, err2 := other.Strokes()
	if err := errors.Join(err, err2); err != nil {
		return 0, err
	}
	if now == 0 {
		return 0, errors.New("nothing is delivered now")
	}
	return float64(then) / (other.Pause + other.Run) * (c.Pause + c.Run) / float64(now), nil
}
