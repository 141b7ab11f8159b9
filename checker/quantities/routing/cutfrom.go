package routing

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
)

// CutFrom returns the place near at from which each of some first stations is
// farther than from at by so much [m]: where the pump stood when tubes were cut
// that are longer or shorter than they have to be from at. Of the many such
// places there are where stations are few, it is one near at. ok is false where
// it finds none for which every difference is met to within [m].
//
// Formula: damped least squares, step = (J'J + cI)^-1 J'r, r the differences
// less |s - q| + |s - at|, J the unit vectors from the stations to q. Range:
// coordinates to [motion.Reach]; one difference for each station.
// Source: Levenberg's method (Quarterly of Applied Mathematics 2, 1944, 164; from memory).
func CutFrom(at r3.Vec, stations []r3.Vec, differences []float64, within float64) (place r3.Vec, ok bool) {
	const steps, damping = 60, 1e-3
	place = at
	for range steps {
		normal, right := mat.NewSymDense(3, nil), mat.NewVecDense(3, nil)
		for i := range 3 {
			normal.SetSym(i, i, damping)
		}
		for i, s := range stations {
			unit, left := towards(at, place, s, differences[i])
			u := mat.NewVecDense(3, []float64{unit.X, unit.Y, unit.Z})
			normal.SymRankOne(normal, 1, u)
			right.AddScaledVec(right, left, u)
		}
		var chol mat.Cholesky
		var step mat.VecDense
		if !chol.Factorize(normal) || chol.SolveVecTo(&step, right) != nil {
			return at, false
		}
		place = r3.Add(place, r3.Vec{X: step.AtVec(0), Y: step.AtVec(1), Z: step.AtVec(2)})
	}
	for i, s := range stations {
		if _, left := towards(at, place, s, differences[i]); !(math.Abs(left) <= within) {
			return at, false
		}
	}
	return place, len(stations) > 0
}

// towards is the direction from a station to a place, and what is left of a
// difference there.
func towards(at, place, station r3.Vec, difference float64) (unit r3.Vec, left float64) {
	from := r3.Sub(place, station)
	far := r3.Norm(from)
	if far > 1e-9 {
		unit = r3.Scale(1/far, from)
	}
	return unit, difference - (far - r3.Norm(r3.Sub(at, station)))
}
