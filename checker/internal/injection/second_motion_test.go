package injection_test

import (
	"fmt"
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/quantities/motion"
	"kitgauge/checker/quantities/routing"
)

var motionOpinions = []opinion{
	{
		quantity: "longest distance of a span", against: "grid, 3,000 draws and Nelder-Mead from 16 starts, over 1 to 4 joints",
		measure: "m", bound: 2 * motion.Tolerance, inputs: [2]int{40, 400},
		deviation: func(r *rand.Rand, hard bool) (float64, error) { return extremeApart(r, hard, -1) },
	},
	{
		quantity: "shortest distance of a span", against: "grid, 3,000 draws and Nelder-Mead from 16 starts, over 1 to 4 joints",
		measure: "m", bound: 2 * motion.Tolerance, inputs: [2]int{40, 400},
		deviation: func(r *rand.Rand, hard bool) (float64, error) { return extremeApart(r, hard, 1) },
	},
}

// moved carries a place through joints with gonum's rotations.
func moved(joints []motion.Joint, q []float64, p r3.Vec) r3.Vec {
	for i := len(joints) - 1; i >= 0; i-- {
		j := joints[i]
		if j.Kind == motion.Prismatic {
			p = r3.Add(p, r3.Scale(q[i], r3.Unit(j.Axis)))
			continue
		}
		p = r3.Add(j.Pivot, r3.NewRotation(q[i], j.Axis).Rotate(r3.Sub(p, j.Pivot)))
	}
	return p
}

func somewhere(r *rand.Rand, size float64) r3.Vec {
	return r3.Vec{X: uniform(r, -size, size), Y: uniform(r, -size, size), Z: uniform(r, -size, size)}
}

// someJoint is one as vehicles have them: up to a half turn, or a slide.
func someJoint(r *rand.Rand) motion.Joint {
	j := motion.Joint{Pivot: somewhere(r, 1), Axis: somewhere(r, 1)}
	if r.IntN(3) == 0 {
		j.Kind = motion.Prismatic
		j.From, j.To = -uniform(r, 0, 0.3), uniform(r, 0.01, 0.3)
		return j
	}
	j.From, j.To = -uniform(r, 0, 1.6), uniform(r, 0.05, 1.6)
	return j
}

func rangeOf(joints []motion.Joint) box {
	var b box
	for _, j := range joints {
		b.from, b.to = append(b.from, j.From), append(b.to, j.To)
	}
	return b
}

// extremeApart is how far two methods are apart on the shortest (sign 1) or
// the longest distance (sign -1) over a random chain.
func extremeApart(r *rand.Rand, hard bool, sign float64) (float64, error) {
	n := 1 + r.IntN(4)
	joints := make([]motion.Joint, n)
	for i := range joints {
		joints[i] = someJoint(r)
	}
	k := r.IntN(n + 1)
	chain := motion.Chain{A: joints[:k], B: joints[k:]}
	a, b := somewhere(r, 1), somewhere(r, 1)
	shortest, longest, err := chain.Extremes(a, b)
	if err != nil {
		return 0, err
	}
	got := shortest
	if sign < 0 {
		got = longest
	}
	distance := func(q []float64) float64 {
		return r3.Norm(r3.Sub(moved(chain.A, q[:k], a), moved(chain.B, q[k:], b)))
	}
	q := append(append([]float64{}, got.A...), got.B...)
	if d := math.Abs(distance(q) - got.Distance); d > 1e-9 {
		return 0, fmt.Errorf("the distance is said to be %g at %v, where it is %g more or less", got.Distance, q, d)
	}
	want, err := rangeOf(joints).lowest(r, func(q []float64) float64 { return sign * distance(q) }, hard)
	if err != nil {
		return 0, err
	}
	return math.Abs(sign*want - got.Distance), nil
}

var clearanceOpinions = []opinion{
	{
		quantity: "clearance of a tube from a capsule", against: "grid, 3,000 draws and Nelder-Mead from 16 starts, over 1 to 3 joints",
		measure: "m", bound: 2 * routing.ClearanceTolerance, inputs: [2]int{20, 150},
		deviation: func(r *rand.Rand, hard bool) (float64, error) {
			a := somewhere(r, 1)
			return clearanceApart(r, hard, routing.Capsule{Axis: routing.Segment{A: a, B: r3.Add(a, somewhere(r, 0.5))}, Radius: uniform(r, 0.01, 0.15)})
		},
	},
	{
		quantity: "clearance of a tube from a box", against: "grid, 3,000 draws and Nelder-Mead from 16 starts, over 1 to 3 joints",
		measure: "m", bound: 2 * routing.ClearanceTolerance, inputs: [2]int{20, 150},
		deviation: func(r *rand.Rand, hard bool) (float64, error) {
			half := r3.Vec{X: uniform(r, 0.01, 0.4), Y: uniform(r, 0.01, 0.4), Z: uniform(r, 0.01, 0.4)}
			return clearanceApart(r, hard, routing.Box{Centre: somewhere(r, 1), Half: half})
		},
	},
}

// clearanceApart is how far two methods are apart on the least distance of a
// tube, its ends on two bodies, from a zone on the first.
func clearanceApart(r *rand.Rand, hard bool, zone routing.Zone) (float64, error) {
	n := 1 + r.IntN(3)
	joints := make([]motion.Joint, n)
	all := make([]int, n)
	for i := range joints {
		joints[i], all[i] = someJoint(r), i
	}
	k := r.IntN(n + 1)
	a := somewhere(r, 1)
	s := routing.Segment{A: a, B: r3.Add(a, somewhere(r, 0.4))}
	got, err := routing.MovingClearance(routing.Moving{Joints: joints, Segment: s, Zone: zone, Start: all[:k], End: all})
	if err != nil {
		return 0, err
	}
	want, err := rangeOf(joints).lowest(r, func(q []float64) float64 {
		return fromZone(moved(joints[:k], q[:k], s.A), moved(joints, q, s.B), zone)
	}, hard)
	if err != nil {
		return 0, err
	}
	return math.Abs(want - got.Distance), nil
}

// fromZone is the distance of a straight tube from a zone. Along the tube the
// distance from a convex body is convex, so its least is found by thirds.
func fromZone(a, b r3.Vec, zone routing.Zone) float64 {
	at := func(t float64) float64 { return pointFrom(r3.Add(a, r3.Scale(t, r3.Sub(b, a))), zone) }
	lo, hi := 0.0, 1.0
	for range 60 {
		if m, n := lo+(hi-lo)/3, hi-(hi-lo)/3; at(m) < at(n) {
			hi = n
		} else {
			lo = m
		}
	}
	return min(at(lo), at(hi))
}

func pointFrom(p r3.Vec, zone routing.Zone) float64 {
	switch z := zone.(type) {
	case routing.Box:
		d := r3.Sub(p, z.Centre)
		return r3.Norm(r3.Vec{
			X: max(0, math.Abs(d.X)-z.Half.X), Y: max(0, math.Abs(d.Y)-z.Half.Y), Z: max(0, math.Abs(d.Z)-z.Half.Z),
		})
	case routing.Capsule:
		along := r3.Sub(z.Axis.B, z.Axis.A)
		t := max(0, min(1, r3.Dot(r3.Sub(p, z.Axis.A), along)/r3.Norm2(along)))
		return max(0, r3.Norm(r3.Sub(p, r3.Add(z.Axis.A, r3.Scale(t, along))))-z.Radius)
	}
	panic("a zone is a box or a capsule")
}
