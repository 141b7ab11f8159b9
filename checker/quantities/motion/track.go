package motion

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Track follows one point at the end of a chain of joints: where it is, how it
// moves with each joint, and bounds on how far it gets while the joints stay
// in a box. It is what the searches here and in package routing are built on.
// A Track holds scratch space: do not share one between goroutines.
type Track struct {
	joints []Joint
	point  r3.Vec

	// Valid after At: axis and pivot of each joint as moved by the joints
	// before it, the point's rate of change with each joint, the point.
	axis, pivot, speed []r3.Vec
	tip                r3.Vec

	lever []float64 // filled by levers
}

// NewTrack returns a track of the point p [m], at rest, fixed to the body at
// the end of the joints, ordered from the root outwards. Errors are those of
// [Place].
func NewTrack(joints []Joint, p r3.Vec) (*Track, error) {
	if err := checkPoint("point", p); err != nil {
		return nil, err
	}
	unit, err := unitJoints(joints)
	if err != nil {
		return nil, err
	}
	return newTrack(unit, p), nil
}

func newTrack(unit []Joint, p r3.Vec) *Track {
	n := len(unit)
	vecs := make([]r3.Vec, 3*n)
	return &Track{
		joints: unit, point: p,
		axis: vecs[:n], pivot: vecs[n : 2*n], speed: vecs[2*n:],
		lever: make([]float64, n),
	}
}

// At moves the joints to q, one finite value a joint, and returns where the
// point is [m].
func (t *Track) At(q []float64) r3.Vec {
	// The columns of the rotation and the shift of the joints so far.
	x, y, z, shift := r3.Vec{X: 1}, r3.Vec{Y: 1}, r3.Vec{Z: 1}, r3.Vec{}
	turn := func(v r3.Vec) r3.Vec {
		return r3.Vec{
			X: x.X*v.X + y.X*v.Y + z.X*v.Z,
			Y: x.Y*v.X + y.Y*v.Y + z.Y*v.Z,
			Z: x.Z*v.X + y.Z*v.Y + z.Z*v.Z,
		}
	}
	for i := range t.joints {
		j := &t.joints[i]
		k := turn(j.Axis)
		t.axis[i] = k
		if j.Kind == Prismatic {
			shift = r3.Add(shift, r3.Scale(q[i], k))
			continue
		}
		p := r3.Add(turn(j.Pivot), shift)
		t.pivot[i] = p
		sin, cos := math.Sincos(q[i])
		x, y, z = rotate(k, sin, cos, x), rotate(k, sin, cos, y), rotate(k, sin, cos, z)
		shift = r3.Add(p, rotate(k, sin, cos, r3.Sub(shift, p)))
	}
	t.tip = r3.Add(turn(t.point), shift)
	for i := range t.joints {
		if t.joints[i].Kind == Prismatic {
			t.speed[i] = t.axis[i]
		} else {
			t.speed[i] = r3.Cross(t.axis[i], r3.Sub(t.tip, t.pivot[i]))
		}
	}
	return t.tip
}

// levers fills t.lever with bounds on the length of each speed while every
// joint stays within half of its value at the last call of At. The lever of a
// revolute joint is the distance of the point from its axis, which only the
// joints after it change, each by its own lever times its half range.
func (t *Track) levers(half []float64) {
	moved := 0.0
	for i := len(t.joints) - 1; i >= 0; i-- {
		t.lever[i] = 1
		if t.joints[i].Kind == Revolute {
			t.lever[i] = r3.Norm(t.speed[i]) + moved
		}
		moved += t.lever[i] * half[i]
	}
}

// Fall returns a bound [m] on how far the point can fall along the unit
// vector dir, below where it was at the last call of At, while every joint
// stays within half of its value there, and the joint that adds most to the
// bound, -1 if none does.
//
// Formula: the sum over the joints of [Track.drift].
func (t *Track) Fall(dir r3.Vec, half []float64) (bound float64, most int) {
	turned, share := 0.0, 0.0
	most = -1
	for i, h := range half {
		own := t.drift(i, r3.Norm(t.speed[i]), r3.Dot(dir, t.speed[i]), h, turned)
		bound += own
		if own > share {
			share, most = own, i
		}
		if t.joints[i].Kind == Revolute {
			turned += h
		}
	}
	return bound, most
}

// drift bounds how far joint i, moving by up to half, takes the point along a
// direction, when it moves after the joints before it and before those after
// it. It then finds its lever as it was, swings the point along a chord of at
// most lever times half, and that chord leaves the tangent by at most half a
// radian of half for its bend and turned for what the joints before it turned.
// slope is the point's rate along the direction with the joint.
func (t *Track) drift(i int, lever, slope, half, turned float64) float64 {
	away := turned
	if t.joints[i].Kind == Revolute {
		away += half / 2
	}
	return half * math.Min(lever, math.Abs(slope)+lever*away)
}
