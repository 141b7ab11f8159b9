package motion_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"kitgauge/checker/quantities/motion"

	"gonum.org/v1/gonum/spatial/r3"
)

// randomBox is a random chain, two points and a box of joint values.
type randomBox struct {
	chain  motion.Chain
	a, b   r3.Vec
	lo, hi []float64 // B from the outermost inwards, then A
}

func newRandomBox(rng *rand.Rand, size float64) randomBox {
	vec := func() r3.Vec {
		return r3.Vec{X: rng.NormFloat64(), Y: rng.NormFloat64(), Z: rng.NormFloat64()}
	}
	box := randomBox{a: vec(), b: vec()}
	if rng.IntN(4) == 0 { // nearly touching points at rest
		box.b = r3.Add(box.a, r3.Scale(0.01, vec()))
	}
	for range 1 + rng.IntN(4) {
		j := motion.Joint{Pivot: vec(), Axis: vec()}
		if rng.IntN(3) == 0 {
			j.Kind = motion.Prismatic
		}
		if rng.IntN(3) == 0 {
			j.Axis = r3.Vec{Z: 1} // parallel axes make valleys
		}
		mid, half := rng.NormFloat64()/2, size*rng.Float64()
		box.lo, box.hi = append(box.lo, mid-half), append(box.hi, mid+half)
		if rng.IntN(2) == 0 {
			box.chain.A = append(box.chain.A, j)
		} else {
			box.chain.B = append(box.chain.B, j)
		}
	}
	return box
}

// distance measures at the place where(i) of each joint's range, 0 to 1, by
// gonum's rotations.
func (box randomBox) distance(where []float64) float64 {
	n, nB := len(box.lo), len(box.chain.B)
	q := make([]float64, n)
	for i := range q {
		q[i] = box.lo[i] + where[i]*(box.hi[i]-box.lo[i])
	}
	e := motion.Extreme{A: q[nB:]}
	for i := range nB {
		e.B = append(e.B, q[nB-1-i])
	}
	return refDistance(box.chain, e, box.a, box.b)
}

// least descends from a random place to a low value of sign times the distance.
func (box randomBox) least(rng *rand.Rand, sign float64) float64 {
	at := make([]float64, len(box.lo))
	for i := range at {
		at[i] = rng.Float64()
	}
	best := sign * box.distance(at)
	for step := 0.5; step > 1e-3; {
		improved := false
		for i := range at {
			for _, to := range []float64{at[i] - step, at[i] + step} {
				was := at[i]
				at[i] = math.Max(0, math.Min(1, to))
				if v := sign * box.distance(at); v < best {
					best, improved = v, true
				} else {
					at[i] = was
				}
			}
		}
		if !improved {
			step /= 2
		}
	}
	return best
}

// The search is right only if no bound ever lies above a value in its box.
func TestBoundsHold(t *testing.T) {
	rng := rand.New(rand.NewPCG(8855, 1))
	for k := range 6000 {
		size := math.Pow(10, -2*rng.Float64())
		box := newRandomBox(rng, size)
		sign := float64(2*(k%2) - 1)
		least := math.Min(box.least(rng, sign), box.least(rng, sign))
		bounds, err := box.chain.Bounds(box.a, box.b, sign, box.lo, box.hi)
		if err != nil {
			t.Fatal(err)
		}
		for name, got := range bounds {
			if !(got <= least+1e-7) { // the root of a cancelled square near 0
				t.Errorf("box %d, %s: got the bound %.12g, want at most %.12g", k, name, got, least)
			}
		}
	}
}

// The search ends only if the bounds close in: ten times smaller boxes must
// have at least some eighty times smaller gaps along a valley or across it.
func TestBoundsCloseIn(t *testing.T) {
	hinge := motion.Joint{Axis: r3.Vec{Z: 1}}
	chain := motion.Chain{A: []motion.Joint{hinge, hinge}, B: []motion.Joint{hinge}}
	gap := func(half float64) float64 { // in the middle of a valley at distance 0.5
		lo, hi := []float64{-half, -half, -half}, []float64{half, half, half}
		bounds, err := chain.Bounds(r3.Vec{X: 1}, r3.Vec{X: 1, Z: 0.5}, 1, lo, hi)
		if err != nil {
			t.Fatal(err)
		}
		return 0.5 - bounds["curved"]
	}
	if got := gap(0.1) / gap(0.01); !(got > 800) { // third order: 1000
		t.Errorf("got %g times smaller gaps, want about 1000", got)
	}
}

// Fall must hold for every move within the half ranges.
//
// Identity: no place falls farther than the bound, whatever the joints do.
func TestFallHolds(t *testing.T) {
	rng := rand.New(rand.NewPCG(8855, 2))
	for k := range 4000 {
		box := newRandomBox(rng, math.Pow(10, -2*rng.Float64()))
		joints := append(append([]motion.Joint(nil), box.chain.A...), box.chain.B...)
		n := len(joints)
		q, half := make([]float64, n), make([]float64, n)
		for i := range q {
			q[i], half[i] = (box.lo[i]+box.hi[i])/2, (box.hi[i]-box.lo[i])/2
		}
		track, err := motion.NewTrack(joints, box.a)
		if err != nil {
			t.Fatal(err)
		}
		tip := track.At(q)
		if want := refPlace(joints, q, box.a); r3.Norm(r3.Sub(tip, want)) > 1e-11 {
			t.Errorf("box %d: got %v, want %v (gonum spatial/r3 rotations)", k, tip, want)
		}
		// The worst directions are those of a path's curvature or of its chord.
		moved := make([]float64, n)
		for range 20 {
			for i := range moved {
				moved[i] = q[i] + half[i]*[]float64{-1, 1, 0, 2*rng.Float64() - 1}[rng.IntN(4)]
			}
			to := refPlace(joints, moved, box.a)
			for i := range moved {
				moved[i] = 2*q[i] - moved[i]
			}
			back := refPlace(joints, moved, box.a)
			chord, bend := r3.Sub(tip, to), r3.Sub(r3.Scale(2, tip), r3.Add(to, back))
			for _, dir := range []r3.Vec{chord, bend} {
				if r3.Norm(dir) < 1e-9 {
					continue
				}
				dir = r3.Unit(dir)
				bound, _ := track.Fall(dir, half)
				if fall := r3.Dot(dir, r3.Sub(tip, to)); fall > bound+1e-11 {
					t.Fatalf("box %d: got the bound %g, want at least the fall %g", k, bound, fall)
				}
			}
		}
	}
}
