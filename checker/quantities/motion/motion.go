// Package motion computes how far apart two points of a vehicle come while its
// joints move: steering, springing, articulation, tipping.
//
// A tube between two bodies must be long enough for the longest distance and
// must still bend gently at the shortest, so both are needed over the whole
// range of every joint, not only at its ends. One joint has a closed form.
// Several are searched by branch and bound, which proves its answer to
// [Tolerance] or says that it cannot.
//
// Positions are metres in one vehicle frame (ISO 8855: x forward, y left,
// z up) with every joint at its rest value 0. Joint values are radians for a
// revolute joint, right-handed about its axis, and metres for a prismatic one.
package motion

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

const (
	// Tolerance is the certified accuracy of the extremes [m].
	Tolerance = 1e-4
	// Reach is the largest coordinate or travel accepted [m]. Within it
	// rounding stays far below Tolerance.
	Reach = 1000.0
	// MostTurn is the largest joint angle accepted [rad].
	MostTurn = 1000.0
	// MostJoints is how many joints may lie between two points.
	MostJoints = 16
)

// ErrTooComplex is returned when the search budget runs out before the answer
// is proved.
var ErrTooComplex = errors.New("the motion is too complex: narrow the joint ranges or put fewer joints between the two points")

// ErrSpent is returned when the budget of several searches runs out.
var ErrSpent = errors.New("the kit is too large to search all of its motion: narrow the joint ranges, leave out zones that nothing comes near, or split the kit")

// Kind tells how a joint moves.
type Kind int

const (
	Revolute  Kind = iota // turns about its axis through its pivot
	Prismatic             // slides along its axis
)

// Joint joins a body to the one before it in the tree. Pivot [m] and Axis (any
// length but zero) are given at rest. From and To bound the joint value [rad
// or m]. The pivot of a prismatic joint has no effect.
type Joint struct {
	Kind        Kind
	Pivot, Axis r3.Vec
	From, To    float64
	Name        string // for what is said of it; may be empty
}

// named is how a joint is called in errors, else its place in the list.
func (j Joint) named(i int) string {
	if j.Name != "" {
		return "joint " + j.Name
	}
	return fmt.Sprintf("joint %d", i+1)
}

// Place returns where the point p [m], given at rest and fixed to the body at
// the end of the joints (ordered from the root outwards), goes when the joints
// take the values q [rad or m]: the product of the joint motions applied to p,
// the innermost first, each rotation by Rodrigues' formula. Values outside the
// range of a joint are accepted.
//
// Errors: counts differ, a joint without an axis or with an unusable range, a
// value not finite or beyond [Reach] or [MostTurn].
// Source: Murray, Li and Sastry, A Mathematical Introduction to Robotic
// Manipulation, CRC 1994, ch. 3 (product of exponentials; from memory).
func Place(joints []Joint, q []float64, p r3.Vec) (r3.Vec, error) {
	if len(q) != len(joints) {
		return r3.Vec{}, fmt.Errorf("%d joints need %d joint values, not %d", len(joints), len(joints), len(q))
	}
	if err := checkPoint("point", p); err != nil {
		return r3.Vec{}, err
	}
	chain, err := unitJoints(joints)
	if err != nil {
		return r3.Vec{}, err
	}
	for i, v := range q {
		if !chain[i].accepts(v) {
			return r3.Vec{}, fmt.Errorf("%s: the value %s is not usable", chain[i].named(i), chain[i].shown(v))
		}
	}
	return place(chain, q, p), nil
}

// Rigid is how a body is moved: where the origin comes to, and the three axes.
type Rigid struct{ Origin, X, Y, Z r3.Vec }

// Still is a body that is not moved.
var Still = Rigid{X: r3.Vec{X: 1}, Y: r3.Vec{Y: 1}, Z: r3.Vec{Z: 1}}

// Row is joints (ordered from the root outwards) made ready for [Row.At].
type Row []Joint

// NewRow makes joints ready. Errors: as [Place].
func NewRow(joints []Joint) (Row, error) {
	unit, err := unitJoints(joints)
	return unit, err
}

// At is how the joints, at the values q [rad or m] within their reach, carry
// what is fixed at their end.
func (r Row) At(q []float64) Rigid {
	f := Still
	for i := len(r) - 1; i >= 0; i-- {
		j := &r[i]
		f.Origin = j.move(q[i], f.Origin)
		if j.Kind == Revolute {
			sin, cos := math.Sincos(q[i])
			f.X, f.Y, f.Z = rotate(j.Axis, sin, cos, f.X), rotate(j.Axis, sin, cos, f.Y), rotate(j.Axis, sin, cos, f.Z)
		}
	}
	return f
}

// Turn carries a direction.
func (f *Rigid) Turn(d r3.Vec) r3.Vec {
	return r3.Add(r3.Scale(d.X, f.X), r3.Add(r3.Scale(d.Y, f.Y), r3.Scale(d.Z, f.Z)))
}

// Move carries a place.
func (f *Rigid) Move(p r3.Vec) r3.Vec { return r3.Add(f.Origin, f.Turn(p)) }

// place is Place for joints already checked, with unit axes.
func place(joints []Joint, q []float64, p r3.Vec) r3.Vec {
	for i := len(joints) - 1; i >= 0; i-- {
		p = joints[i].move(q[i], p)
	}
	return p
}

// move carries p through one joint with a unit axis.
func (j Joint) move(v float64, p r3.Vec) r3.Vec {
	if j.Kind == Prismatic {
		return r3.Add(p, r3.Scale(v, j.Axis))
	}
	sin, cos := math.Sincos(v)
	return r3.Add(j.Pivot, rotate(j.Axis, sin, cos, r3.Sub(p, j.Pivot)))
}

// rotate is Rodrigues' formula: v cos t + (k x v) sin t + k (k.v)(1 - cos t)
// for a unit axis k.
func rotate(k r3.Vec, sin, cos float64, v r3.Vec) r3.Vec {
	w := r3.Cross(k, v)
	along := r3.Dot(k, v) * (1 - cos)
	return r3.Vec{
		X: v.X*cos + w.X*sin + k.X*along,
		Y: v.Y*cos + w.Y*sin + k.Y*along,
		Z: v.Z*cos + w.Z*sin + k.Z*along,
	}
}

// Inverse returns the joint whose motion undoes this one's at the same value:
// a body seen from its child instead of its parent.
func (j Joint) Inverse() Joint {
	j.Axis = r3.Scale(-1, j.Axis)
	return j
}

// accepts reports whether v is a finite joint value within the limits.
func (j Joint) accepts(v float64) bool {
	limit := MostTurn
	if j.Kind == Prismatic {
		limit = Reach
	}
	return math.Abs(v) <= limit // false for NaN
}

func (j Joint) check() error {
	if j.Kind != Revolute && j.Kind != Prismatic {
		return errors.New("a joint is revolute or prismatic")
	}
	if err := checkPoint("pivot", j.Pivot); err != nil {
		return err
	}
	if err := checkPoint("axis", j.Axis); err != nil {
		return err
	}
	if r3.Norm(j.Axis) < 1e-9 { // also keeps the unit axis accurate
		return errors.New("the axis has no direction")
	}
	if !j.accepts(j.From) || !j.accepts(j.To) {
		return fmt.Errorf("the range %s to %s is not usable", j.shown(j.From), j.shown(j.To))
	}
	if j.From > j.To {
		return fmt.Errorf("the range starts at %s, above its end %s", j.shown(j.From), j.shown(j.To))
	}
	return nil
}

// shown is a value of the joint as people write it: in degrees or millimetres.
func (j Joint) shown(v float64) string {
	if j.Kind == Revolute {
		return fmt.Sprintf("%.4g deg", v*180/math.Pi)
	}
	return fmt.Sprintf("%.4g mm", v*1000)
}

func checkPoint(name string, p r3.Vec) error {
	for _, v := range [...]float64{p.X, p.Y, p.Z} {
		if !(math.Abs(v) <= Reach) { // NaN fails too
			return fmt.Errorf("%s: coordinate %g is not within %.5g m of the datum", name, v, Reach)
		}
	}
	return nil
}

// unitJoints checks the joints and returns them with axes of length 1.
func unitJoints(joints []Joint) ([]Joint, error) {
	unit := make([]Joint, len(joints))
	for i, j := range joints {
		if err := j.check(); err != nil {
			return nil, fmt.Errorf("%s: %w", j.named(i), err)
		}
		j.Axis = r3.Scale(1/r3.Norm(j.Axis), j.Axis)
		unit[i] = j
	}
	return unit, nil
}
