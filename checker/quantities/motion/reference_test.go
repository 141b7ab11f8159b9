package motion_test

import (
	"math"
	"testing"

	"kitgauge/checker/quantities/motion"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// refPlace is motion.Place by gonum's quaternion rotations, an independent
// reference.
func refPlace(joints []motion.Joint, q []float64, p r3.Vec) r3.Vec {
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

func refDistance(c motion.Chain, e motion.Extreme, a, b r3.Vec) float64 {
	return r3.Norm(r3.Sub(refPlace(c.A, e.A, a), refPlace(c.B, e.B, b)))
}

// near reports whether got is within tol of want; never true for NaN.
func near(got, want, tol float64) bool { return math.Abs(got-want) <= tol }

func drawVec(t *rapid.T, size float64, name string) r3.Vec {
	f := rapid.Float64Range(-size, size)
	return r3.Vec{X: f.Draw(t, name+".x"), Y: f.Draw(t, name+".y"), Z: f.Draw(t, name+".z")}
}

func drawJoint(t *rapid.T, name string) motion.Joint {
	j := motion.Joint{Pivot: drawVec(t, 1.5, name+" pivot"), Axis: drawVec(t, 1, name+" axis")}
	if r3.Norm(j.Axis) < 1e-6 {
		j.Axis = r3.Vec{Z: 1}
	}
	if rapid.Bool().Draw(t, name+" slides") {
		j.Kind = motion.Prismatic
		j.From = rapid.Float64Range(-0.5, 0.5).Draw(t, name+" from")
		j.To = j.From + rapid.Float64Range(0, 0.5).Draw(t, name+" travel")
		return j
	}
	j.From = rapid.Float64Range(-3, 3).Draw(t, name+" from")
	j.To = j.From + rapid.Float64Range(0, 2.5).Draw(t, name+" range")
	return j
}

func drawChain(t *rapid.T, most int) motion.Chain {
	var c motion.Chain
	for range rapid.IntRange(0, most).Draw(t, "joints") {
		if rapid.Bool().Draw(t, "on first side") {
			c.A = append(c.A, drawJoint(t, "a"))
		} else {
			c.B = append(c.B, drawJoint(t, "b"))
		}
	}
	return c
}

// checkAttained fails unless the joint values of e lie in range and give its
// distance.
func checkAttained(t rapid.TB, what string, c motion.Chain, e motion.Extreme, a, b r3.Vec) {
	t.Helper()
	for side, joints := range [][]motion.Joint{c.A, c.B} {
		q := [][]float64{e.A, e.B}[side]
		if len(q) != len(joints) {
			t.Fatalf("%s: side %d: got %d joint values, want %d", what, side, len(q), len(joints))
		}
		for i, j := range joints {
			if !(q[i] >= j.From && q[i] <= j.To) {
				t.Errorf("%s: side %d joint %d: got %g, want a value from %g to %g", what, side, i, q[i], j.From, j.To)
			}
		}
	}
	if want := refDistance(c, e, a, b); !near(e.Distance, want, 1e-9) {
		t.Errorf("%s: got %.12g, want %.12g, the distance at its own joint values", what, e.Distance, want)
	}
}

func TestPlaceAgainstQuaternions(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		joints := make([]motion.Joint, rapid.IntRange(0, 5).Draw(t, "joints"))
		q := make([]float64, len(joints))
		for i := range joints {
			joints[i] = drawJoint(t, "joint")
			q[i] = rapid.Float64Range(-7, 7).Draw(t, "value")
		}
		p := drawVec(t, 2, "point")
		got, err := motion.Place(joints, q, p)
		if err != nil {
			t.Fatal(err)
		}
		if want := refPlace(joints, q, p); r3.Norm(r3.Sub(got, want)) > 1e-11 {
			t.Errorf("got %v, want %v (gonum spatial/r3 rotations)", got, want)
		}
	})
}
