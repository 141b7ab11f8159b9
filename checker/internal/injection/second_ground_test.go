package injection_test

import (
	"fmt"
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/quantities/motion"
)

const groundAgainst = "the vehicle set level on its wheels with gonum's rotations, by grid, 3,000 draws and Nelder-Mead from 16 starts, over "

var groundOpinions = []opinion{
	{
		quantity: "least height above the ground", against: groundAgainst + "1 to 3 sprung axles and 0 to 2 joints",
		measure: "m", bound: 2 * motion.Tolerance, inputs: [2]int{30, 300},
		deviation: func(r *rand.Rand, hard bool) (float64, error) { return heightApart(r, hard, 1) },
	},
	{
		quantity: "greatest height above the ground", against: groundAgainst + "1 to 3 sprung axles",
		measure: "m too high, by the cosine of the pitch", bound: 0.1, inputs: [2]int{30, 300},
		deviation: func(r *rand.Rand, hard bool) (float64, error) { return heightApart(r, hard, -1) },
	},
	{
		quantity: "least height beside an axle that leans", against: groundAgainst + "1 pendulum axle",
		measure: "m too low, by the wheel's way down", bound: 0.012, inputs: [2]int{30, 300},
		deviation: leanApart,
	},
}

// sprungVehicle is axles on upright slides, from the front.
type sprungVehicle struct {
	wheels  []r3.Vec // where they touch the ground at rest
	springs []motion.Joint
}

func someVehicle(r *rand.Rand) sprungVehicle {
	var v sprungVehicle
	x := uniform(r, -1, 1)
	for range 1 + r.IntN(3) {
		up := r3.Vec{Z: 1}
		if r.IntN(2) == 0 {
			up.Z = -1
		}
		v.wheels = append(v.wheels, r3.Vec{X: x})
		v.springs = append(v.springs, motion.Joint{Kind: motion.Prismatic, Axis: up, From: -uniform(r, 0, 0.2), To: uniform(r, 0, 0.2)})
		x -= uniform(r, 2, 4)
	}
	return v
}

// height is that of a place above the ground while the first and the last axle
// stand at q, and by how much an axle between them would have to leave its
// range.
func (v *sprungVehicle) height(q []float64, p r3.Vec) (height, astray float64) {
	touch := func(i int, q float64) r3.Vec { return moved(v.springs[i:i+1], []float64{q}, v.wheels[i]) }
	last := len(v.wheels) - 1
	front := touch(0, q[0])
	level := r3.NewRotation(0, r3.Vec{Y: 1})
	if last > 0 {
		rear := touch(last, q[1])
		level = r3.NewRotation(math.Atan((front.Z-rear.Z)/(front.X-rear.X)), r3.Vec{Y: 1})
	}
	if last == 2 {
		s := v.springs[1]
		low, high := min(touch(1, s.From).Z, touch(1, s.To).Z), max(touch(1, s.From).Z, touch(1, s.To).Z)
		rear := touch(last, q[1])
		at := front.Z + (rear.Z-front.Z)*(v.wheels[1].X-front.X)/(rear.X-front.X)
		astray = max(0, low-at, at-high)
	}
	return level.Rotate(r3.Sub(p, front)).Z, astray
}

// heightApart is how far two methods are apart on the least (sign 1) or, joints
// aside, the greatest height of a place on a random vehicle. Where it is the
// greatest, what is said must not be too low.
func heightApart(r *rand.Rand, hard bool, sign float64) (float64, error) {
	v := someVehicle(r)
	g := motion.Ground{Wheelbase: 0.5}
	for i, s := range v.springs {
		t, err := motion.Rise(s, v.wheels[i], 0)
		if err != nil {
			return 0, err
		}
		g.Axles = append(g.Axles, t.Axle)
	}
	var joints []motion.Joint
	if sign > 0 {
		for range r.IntN(3) {
			joints = append(joints, someJoint(r))
		}
	}
	p := r3.Vec{X: uniform(r, -8, 2), Y: uniform(r, -1, 1), Z: uniform(r, 2, 4)}
	got, err := g.Reach(joints, p, sign, nil)
	if err != nil {
		return 0, err
	}
	ends := v.springs[:1:1]
	if n := len(v.springs); n > 1 {
		ends = append(ends, v.springs[n-1])
	}
	b := rangeOf(append(ends[:len(ends):len(ends)], joints...))
	want, err := b.lowest(r, func(q []float64) float64 {
		h, astray := v.height(q, moved(joints, q[len(ends):], p))
		return sign*h + 100*astray
	}, hard)
	switch d := sign*want - got.Height; {
	case err != nil:
		return 0, err
	case sign < 0 && d > 2*motion.Tolerance:
		return 0, fmt.Errorf("the greatest height is said to be %g, where it is %g", got.Height, sign*want)
	default:
		return math.Abs(d), nil
	}
}

// leanApart is by how much the least height beside a pendulum axle is said to
// be less than it is; more must not be said.
func leanApart(r *rand.Rand, hard bool) (float64, error) {
	wheel := r3.Vec{Z: 0.5}
	pendulum := motion.Joint{Pivot: r3.Vec{Y: uniform(r, -0.1, 0.1), Z: uniform(r, 0.3, 0.7)}, Axis: r3.Vec{X: 1}, From: -uniform(r, 0, 0.17), To: uniform(r, 0, 0.17)}
	t, err := motion.Rise(pendulum, wheel, 0)
	if err != nil {
		return 0, err
	}
	p := r3.Vec{X: uniform(r, -1, 1), Y: uniform(r, -1, 1), Z: uniform(r, 0.3, 2)}
	got, err := (&motion.Ground{Axles: []motion.Axle{t.Axle}}).Reach(nil, p, 1, nil)
	if err != nil {
		return 0, err
	}
	// Seen from the axle the ground lies still and the body leans the other way.
	back := []motion.Joint{pendulum.Inverse()}
	want, err := rangeOf(back).lowest(r, func(q []float64) float64 { return moved(back, q, p).Z }, hard)
	if err == nil && got.Height > want+2*motion.Tolerance {
		err = fmt.Errorf("the least height is said to be %g, where it is %g", got.Height, want)
	}
	return want - got.Height, err
}
