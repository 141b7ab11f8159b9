package motion_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"kitgauge/checker/quantities/motion"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

func vec(x, y, z float64) r3.Vec { return r3.Vec{X: x, Y: y, Z: z} }

func hinge(from, to float64) motion.Joint {
	return motion.Joint{Axis: vec(0, 0, 2), From: from, To: to}
}

func slide(axis r3.Vec, from, to float64) motion.Joint {
	return motion.Joint{Kind: motion.Prismatic, Axis: axis, From: from, To: to}
}

func deg(d float64) float64 { return d * math.Pi / 180 }

func TestExtremes(t *testing.T) {
	const r = 0.364005
	for _, tt := range []struct {
		name, source      string
		chain             motion.Chain
		a, b              r3.Vec
		shortest, longest float64
		tol               float64
	}{
		{"no joint", "limit: 3-4-5 triangle",
			motion.Chain{}, vec(0, 0, 0), vec(3, 4, 0), 5, 5, 1e-12},
		{"chord of a rotation", "recomputed: 2 r sin(t/2), project facts: r 0.364005 m, t 80 deg gives 0.467956 m",
			motion.Chain{A: []motion.Joint{hinge(0, deg(80))}}, vec(r, 0, 1), vec(r, 0, 1), 0, 0.467956, 5e-7},
		{"chord, both directions", "recomputed: 2 r sin(t/2) at t = 40 deg",
			motion.Chain{B: []motion.Joint{hinge(deg(-40), deg(40))}}, vec(r, 0, 1), vec(r, 0, 1), 0, 2 * r * math.Sin(deg(20)), 1e-9},
		{"full turn", "limit: circle seen from a point in its plane, centre distance 2, radius 1",
			motion.Chain{A: []motion.Joint{hinge(-math.Pi, math.Pi)}}, vec(0, 1, 0), vec(2, 0, 0), 1, 3, 1e-12},
		{"many turns", "limit: as the full turn",
			motion.Chain{A: []motion.Joint{hinge(5, 25)}}, vec(0, 1, 0), vec(2, 0, 0), 1, 3, 1e-12},
		{"range beyond half a turn", "limit: from 90 to 350 deg the far point is met, the nearest is an end",
			motion.Chain{A: []motion.Joint{hinge(0, deg(260))}}, vec(0, 1, 0), vec(2, 0, 0), math.Sqrt(5 - 4*math.Cos(deg(10))), 3, 1e-12},
		{"range past a full turn away from rest", "limit: 350 to 370 deg holds 360 deg",
			motion.Chain{A: []motion.Joint{hinge(deg(350), deg(370))}}, vec(1, 0, 0), vec(2, 0, 0), 1, math.Sqrt(5 - 4*math.Cos(deg(10))), 1e-12},
		{"point on the axis", "limit: an axis point does not move",
			motion.Chain{A: []motion.Joint{hinge(-1, 1)}}, vec(0, 0, 3), vec(0, 4, 0), 5, 5, 1e-12},
		{"other point on the axis", "limit: distance from an axis point is constant",
			motion.Chain{A: []motion.Joint{hinge(-1, 1)}}, vec(3, 0, 4), vec(0, 0, 0), 5, 5, 1e-12},
		{"zero range", "limit: 3-4-5 triangle turned by a fixed 90 deg",
			motion.Chain{A: []motion.Joint{hinge(math.Pi/2, math.Pi/2)}}, vec(4, 0, 0), vec(-3, 4, 0), 3, 3, 1e-12},
		{"prismatic", "limit: passes the foot of the perpendicular, 3 from the line",
			motion.Chain{B: []motion.Joint{slide(vec(0.1, 0, 0), -4, 1)}}, vec(0, 0, 0), vec(0, 0, 3), 3, 5, 1e-12},
		{"prismatic short of the foot", "limit: 5-12-13 and 3-4-5 triangles",
			motion.Chain{B: []motion.Joint{slide(vec(1, 0, 0), 3, 5)}}, vec(0, 0, 0), vec(0, 12, 0), math.Sqrt(153), 13, 1e-12},
		{"two links", "limit: reach of a two-link arm, from l1 - l2 to l1 + l2 (from memory: Craig, Introduction to Robotics)",
			motion.Chain{A: []motion.Joint{hinge(-3, 3), {Pivot: vec(1, 0, 0), Axis: vec(0, 0, -1), From: -math.Pi, To: math.Pi}}},
			vec(1.6, 0, 0), vec(0, 0, 0), 0.4, 1.6, motion.Tolerance},
		{"two links reach the point", "limit: a target within the reach is met",
			motion.Chain{A: []motion.Joint{hinge(-3, 3), {Pivot: vec(1, 0, 0), Axis: vec(0, 0, -1), From: -math.Pi, To: math.Pi}}},
			vec(1.6, 0, 0), vec(0, 1.2, 0), 0, 2.8, motion.Tolerance},
		{"links on both sides", "limit: circles of radius 1 and 2, centres 5 apart",
			motion.Chain{
				A: []motion.Joint{hinge(-4, 4)},
				B: []motion.Joint{{Pivot: vec(5, 0, 0), Axis: vec(0, 0, 1), From: -4, To: 4}}},
			vec(0, 1, 0), vec(5, 2, 0), 2, 8, motion.Tolerance},
		{"slides in a plane", "limit: rectangle 0.2 by 0.1 seen from above its corner",
			motion.Chain{A: []motion.Joint{slide(vec(1, 0, 0), 0, 0.2), slide(vec(0, 3, 0), 0, 0.1)}},
			vec(0, 0, 0), vec(0, 0, 1), 1, math.Sqrt(1.05), motion.Tolerance},
	} {
		t.Run(tt.name, func(t *testing.T) {
			shortest, longest, err := tt.chain.Extremes(tt.a, tt.b)
			if err != nil {
				t.Fatal(err)
			}
			if !near(shortest.Distance, tt.shortest, tt.tol) || !near(longest.Distance, tt.longest, tt.tol) {
				t.Errorf("got %.9g to %.9g, want %.9g to %.9g (%s)",
					shortest.Distance, longest.Distance, tt.shortest, tt.longest, tt.source)
			}
			checkAttained(t, "shortest", tt.chain, shortest, tt.a, tt.b)
			checkAttained(t, "longest", tt.chain, longest, tt.a, tt.b)
		})
	}
}

// Two joints about one axis turn the point as one joint of the summed range
// does: the search must agree with the closed form.
func TestSearchAgainstClosedForm(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		whole := drawJoint(t, "joint")
		a, b := drawVec(t, 2, "a"), drawVec(t, 2, "b")
		split := rapid.Float64Range(0.1, 0.9).Draw(t, "split")
		one, two := whole, whole
		one.From, one.To = split*whole.From, split*whole.To
		two.From, two.To = whole.From-one.From, whole.To-one.To
		if one.From > one.To || two.From > two.To {
			t.Skip("cannot be split")
		}
		wantShort, wantLong, err := motion.Chain{A: []motion.Joint{whole}}.Extremes(a, b)
		if err != nil {
			t.Fatal(err)
		}
		gotShort, gotLong, err := motion.Chain{A: []motion.Joint{one, two}}.Extremes(a, b)
		if err != nil {
			t.Fatal(err)
		}
		if !near(gotShort.Distance, wantShort.Distance, motion.Tolerance) || !near(gotLong.Distance, wantLong.Distance, motion.Tolerance) {
			t.Errorf("got %.9g to %.9g, want %.9g to %.9g (closed form)",
				gotShort.Distance, gotLong.Distance, wantShort.Distance, wantLong.Distance)
		}
	})
}

// No sampled position may be nearer than the shortest or farther than the
// longest distance by more than the tolerance.
func TestExtremesAgainstSampling(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawChain(t, 4)
		a, b := drawVec(t, 2, "a"), drawVec(t, 2, "b")
		shortest, longest, err := c.Extremes(a, b)
		if errors.Is(err, motion.ErrTooComplex) && len(c.A)+len(c.B) > 2 {
			t.Skip("wide redundant joints: not certified, and said so")
		}
		if err != nil {
			t.Fatal(err)
		}
		checkAttained(t, "shortest", c, shortest, a, b)
		checkAttained(t, "longest", c, longest, a, b)

		nA, n := len(c.A), len(c.A)+len(c.B)
		joints := append(append([]motion.Joint(nil), c.A...), c.B...)
		steps := []int{1, 400, 40, 12, 7}[n]
		q := make([]float64, n)
		for k := range int(math.Pow(float64(steps), float64(n))) {
			for i, j := range joints {
				q[i] = j.From + (j.To-j.From)*float64(k%steps)/float64(max(1, steps-1))
				k /= steps
			}
			d := refDistance(c, motion.Extreme{A: q[:nA], B: q[nA:]}, a, b)
			if d < shortest.Distance-motion.Tolerance || d > longest.Distance+motion.Tolerance {
				t.Fatalf("got %.9g to %.9g, want %.9g at %v included", shortest.Distance, longest.Distance, d, q)
			}
		}
	})
}

// Distances do not depend on the frame nor on which point is named first.
func TestExtremesInvariance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawChain(t, 3)
		a, b := drawVec(t, 2, "a"), drawVec(t, 2, "b")
		shift := drawVec(t, 5, "shift")
		turn := r3.NewRotation(rapid.Float64Range(-3, 3).Draw(t, "turn"), r3.Add(vec(2, 0, 0), drawVec(t, 1, "turn axis")))
		carry := func(p r3.Vec) r3.Vec { return r3.Add(shift, turn.Rotate(p)) }
		carryAll := func(joints []motion.Joint) []motion.Joint {
			moved := append([]motion.Joint(nil), joints...)
			for i := range moved {
				moved[i].Pivot, moved[i].Axis = carry(moved[i].Pivot), turn.Rotate(moved[i].Axis)
			}
			return moved
		}
		wantShort, wantLong, err := c.Extremes(a, b)
		if errors.Is(err, motion.ErrTooComplex) && len(c.A)+len(c.B) > 2 {
			t.Skip("wide redundant joints: not certified, and said so")
		}
		if err != nil {
			t.Fatal(err)
		}
		check := func(what string, c motion.Chain, a, b r3.Vec) {
			gotShort, gotLong, err := c.Extremes(a, b)
			if errors.Is(err, motion.ErrTooComplex) && len(c.A)+len(c.B) > 2 {
				t.Skip("at the edge of the budget")
			}
			if err != nil {
				t.Fatal(err)
			}
			if !near(gotShort.Distance, wantShort.Distance, motion.Tolerance+1e-9) || !near(gotLong.Distance, wantLong.Distance, motion.Tolerance+1e-9) {
				t.Errorf("%s: got %.9g to %.9g, want %.9g to %.9g", what,
					gotShort.Distance, gotLong.Distance, wantShort.Distance, wantLong.Distance)
			}
		}
		check("moved as a whole", motion.Chain{A: carryAll(c.A), B: carryAll(c.B)}, carry(a), carry(b))
		check("swapped", motion.Chain{A: c.B, B: c.A}, b, a)
	})
}

func TestExtremesDeterministic(t *testing.T) {
	c := motion.Chain{A: []motion.Joint{slew, lift}, B: []motion.Joint{bounce, roll, kingpin}}
	first, last, err := c.Extremes(onFrame, onHub)
	if err != nil {
		t.Fatal(err)
	}
	for range 3 {
		again, lastAgain, _ := c.Extremes(onFrame, onHub)
		if again.Distance != first.Distance || lastAgain.Distance != last.Distance || again.A[0] != first.A[0] || lastAgain.B[2] != last.B[2] {
			t.Fatalf("got %v, %v, want %v, %v", again, lastAgain, first, last)
		}
	}
}

// A chain that cannot be certified is an error, not a guess and not a hang.
func TestExtremesTooComplex(t *testing.T) {
	var wide []motion.Joint
	for i := range 8 { // a snake that nearly reaches the point in very many ways
		axis := []r3.Vec{vec(0, 1, 0.1), vec(0, 0.1, 1)}[i%2]
		wide = append(wide, motion.Joint{Pivot: vec(float64(i), 0, 0), Axis: axis, From: -3, To: 3})
	}
	_, _, err := motion.Chain{A: wide}.Extremes(vec(8, 0, 0), vec(8.01, 0, 0))
	if err != nil && !errors.Is(err, motion.ErrTooComplex) {
		t.Errorf("got %v, want %v or none", err, motion.ErrTooComplex)
	}
	// The budget itself, on a function whose bound says nothing.
	search := motion.Search{From: []float64{0}, To: []float64{1}, Tolerance: 1e-4, Boxes: 100,
		Bound: func(lo, hi []float64, best float64) motion.Part {
			return motion.Part{Value: 1, At: lo, Low: math.Inf(-1)}
		}}
	if _, err := search.Least(1, []float64{0}); !errors.Is(err, motion.ErrTooComplex) {
		t.Errorf("got %v, want %v", err, motion.ErrTooComplex)
	}
}

func TestSearchLeast(t *testing.T) {
	// (x^2 + y - 11)^2 + (x + y^2 - 7)^2 has four zeros and the maximum
	// 181.617 at (-0.270845, -0.923039). Source: Himmelblau, Applied Nonlinear
	// Programming, 1972 (from memory; recomputed).
	f := func(q []float64) float64 {
		u, v := q[0]*q[0]+q[1]-11, q[0]+q[1]*q[1]-7
		return -u*u - v*v
	}
	at := make([]float64, 2)
	search := motion.Search{From: []float64{-2, -2}, To: []float64{1, 1}, Tolerance: 0.05, Boxes: 1e6,
		Bound: func(lo, hi []float64, best float64) motion.Part {
			mid := []float64{(lo[0] + hi[0]) / 2, (lo[1] + hi[1]) / 2}
			split := 0
			if hi[1]-lo[1] > hi[0]-lo[0] {
				split = 1
			}
			const steepest = 130 // |df/dx|, |df/dy| on the square
			drop := steepest * (hi[0] - lo[0] + hi[1] - lo[1]) / 2
			return motion.Part{Value: f(mid), At: mid, Low: f(mid) - drop, Split: split}
		}}
	got, err := search.Least(f(at), at)
	if err != nil {
		t.Fatal(err)
	}
	if !near(-got, 181.617, 0.05) || !near(at[0], -0.270845, 0.1) || !near(at[1], -0.923039, 0.1) {
		t.Errorf("got %.6g at %.4g, want 181.617 at (-0.2708, -0.9230)", -got, at)
	}
}

// With exact bounds the search must come as near as its tolerance asks.
func TestSearchTolerance(t *testing.T) {
	f := func(x float64) float64 { return (x - 0.3) * (x - 0.3) }
	for _, tolerance := range []float64{1e-2, 1e-4, 1e-8, 1e-12} {
		boxes := 0
		at := []float64{1}
		search := motion.Search{From: []float64{-1}, To: []float64{1}, Tolerance: tolerance, Boxes: 1000,
			Bound: func(lo, hi []float64, best float64) motion.Part {
				boxes++
				mid := (lo[0] + hi[0]) / 2
				return motion.Part{Value: f(mid), At: []float64{mid}, Low: f(math.Max(lo[0], math.Min(hi[0], 0.3)))}
			}}
		got, err := search.Least(f(at[0]), at)
		if err != nil || !(got <= tolerance) || got != f(at[0]) {
			t.Errorf("tolerance %g: got %g at %g, %v, want at most the tolerance", tolerance, got, at, err)
		}
		if want := int(4 - 4*math.Log10(tolerance)); boxes > want {
			t.Errorf("tolerance %g: got %d boxes, want at most %d", tolerance, boxes, want)
		}
	}
}

func TestErrors(t *testing.T) {
	good := hinge(-1, 1)
	for _, tt := range []struct {
		name string
		edit func(*motion.Joint)
		want string
	}{
		{"no axis", func(j *motion.Joint) { j.Axis = r3.Vec{} }, "joint 2: the axis has no direction"},
		{"axis not a number", func(j *motion.Joint) { j.Axis.X = math.NaN() }, "joint 2: axis"},
		{"pivot infinite", func(j *motion.Joint) { j.Pivot.Y = math.Inf(1) }, "joint 2: pivot"},
		{"pivot far away", func(j *motion.Joint) { j.Pivot.Z = 1e9 }, "joint 2: pivot"},
		{"range reversed", func(j *motion.Joint) { j.From = 2 }, "joint 2: the range starts at 114.6 deg, above its end 57.3 deg"},
		{"range not a number", func(j *motion.Joint) { j.To = math.NaN() }, "joint 2: the range"},
		{"range infinite", func(j *motion.Joint) { j.To = math.Inf(1) }, "joint 2: the range"},
		{"kind unknown", func(j *motion.Joint) { j.Kind = 7 }, "joint 2: a joint is revolute or prismatic"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			bad := good
			tt.edit(&bad)
			joints := []motion.Joint{good, bad}
			_, err := motion.Place(joints, []float64{0, 0}, r3.Vec{})
			checkError(t, err, tt.want)
			_, _, err = motion.Chain{A: joints}.Extremes(r3.Vec{}, r3.Vec{})
			checkError(t, err, "towards the first point: "+tt.want)
			_, _, err = motion.Chain{B: joints}.Extremes(r3.Vec{}, r3.Vec{})
			checkError(t, err, "towards the second point: "+tt.want)
			_, err = motion.NewTrack(joints, r3.Vec{})
			checkError(t, err, tt.want)
		})
	}
	_, err := motion.Place([]motion.Joint{good}, nil, r3.Vec{})
	checkError(t, err, "1 joints need 1 joint values, not 0")
	_, err = motion.Place([]motion.Joint{good}, []float64{math.NaN()}, r3.Vec{})
	checkError(t, err, "joint 1: the value NaN deg is not usable")
	_, err = motion.Place(nil, nil, vec(math.NaN(), 0, 0))
	checkError(t, err, "point: coordinate NaN")
	_, err = motion.NewTrack(nil, vec(0, 1e4, 0))
	checkError(t, err, "point: coordinate 10000")
	_, _, err = motion.Chain{}.Extremes(vec(0, 0, math.Inf(-1)), r3.Vec{})
	checkError(t, err, "first point")
	_, _, err = motion.Chain{}.Extremes(r3.Vec{}, vec(0, 0, math.NaN()))
	checkError(t, err, "second point")
}

func checkError(t *testing.T, err error, want string) {
	t.Helper()
	if err == nil || !strings.HasPrefix(err.Error(), want) {
		t.Errorf("got the error %v, want one that starts %q", err, want)
	}
}
