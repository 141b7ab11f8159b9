package drawing

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// view is one projection of the vehicle: from above, or from its right side.
// In both x points to the right, so that they stand one below the other
// (first-angle projection: what is seen from above stands below).
type view struct {
	side  bool
	scale float64 // mm on the paper for a metre
	datum spot    // where the datum of the kit lies
	area  box     // of everything that is drawn to scale
}

// at is where a place of the vehicle lies on the paper. It is rounded, so that
// what is worked out from it does not hang on the last bit.
func (v *view) at(p r3.Vec) spot {
	up := p.Y
	if v.side {
		up = p.Z
	}
	return spot{fine(v.datum.x + p.X*v.scale), fine(v.datum.y - up*v.scale)}
}

func fine(v float64) float64 { return math.Round(v*1000) / 1000 }

// depth is the part of a direction that points along the line of sight.
func (v *view) depth(d r3.Vec) float64 {
	if l := r3.Norm(d); l > 0 {
		d = r3.Scale(1/l, d)
	}
	if v.side {
		return d.Y
	}
	return -d.Z
}

// path projects places, and breaks where one lies outside of the view.
func (v *view) path(through []r3.Vec) [][]spot {
	var out [][]spot
	var run []spot
	for _, p := range through {
		s := v.at(p)
		if !v.area.has(s) {
			if len(run) > 1 {
				out = append(out, run)
			}
			run = nil
			continue
		}
		run = append(run, s)
	}
	if len(run) > 1 {
		out = append(out, run)
	}
	return out
}

// hull is the outline round places on the paper (Andrew's monotone chain).
func hull(of []spot) []spot {
	of = slices.Clone(of)
	slices.SortFunc(of, func(a, b spot) int {
		return cmp.Or(cmp.Compare(a.x, b.x), cmp.Compare(a.y, b.y))
	})
	of = slices.Compact(of)
	if len(of) < 3 {
		return of
	}
	turn := func(a, b, c spot) float64 { return (b.x-a.x)*(c.y-a.y) - (b.y-a.y)*(c.x-a.x) }
	half := func(list []spot) []spot {
		var h []spot
		for _, p := range list {
			for len(h) > 1 && turn(h[len(h)-2], h[len(h)-1], p) <= 0 {
				h = h[:len(h)-1]
			}
			h = append(h, p)
		}
		return h[:len(h)-1]
	}
	lower := half(of)
	slices.Reverse(of)
	return append(lower, half(of)...)
}

// scales are the denominators that a drawing may have: those of ISO 5455, and
// between them those that the length of a vehicle needs (ISO 5455 lets scales
// between its own be used where it must be; from memory).
var scales = func() []float64 {
	var out []float64
	for decade := 1.0; decade <= 10000; decade *= 10 {
		for _, step := range []float64{1, 1.5, 2, 2.5, 3, 4, 5, 7.5} {
			out = append(out, decade*step)
		}
	}
	return out
}()
