// Package survey judges whether what was measured on a vehicle is plausible:
// how an axis stands, where the mirror image of a thing lies, which slip of
// the pen would explain a coordinate, in which order a route was meant.
//
// Positions are metres in the vehicle frame of ISO 8855 (x forward, y left,
// z up); angles are radians.
package survey

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

var errDirection = errors.New("an axis needs a direction")

// The directions of the vehicle frame (ISO 8855).
var (
	Along  = r3.Vec{X: 1}
	Across = r3.Vec{Y: 1}
	Up     = r3.Vec{Z: 1}
)

// Angle returns the angle between two lines [rad], from 0 to pi/2, whichever
// way their directions point.
//
// Formula: atan2(|a x b|, |a . b|), which keeps its digits near 0 and near
// pi/2. Error: a direction of no length, or not finite.
// Source: identity.
func Angle(a, b r3.Vec) (float64, error) {
	for _, v := range [...]r3.Vec{a, b} {
		if n := r3.Norm(v); !(n > 1e-9 && n < 1e9) {
			return 0, errDirection
		}
	}
	return math.Atan2(r3.Norm(r3.Cross(a, b)), math.Abs(r3.Dot(a, b))), nil
}

// FromAxis returns the distance [m] of a place from the line through pivot
// along axis.
//
// Formula: |(p - pivot) x axis| / |axis|. Error: as [Angle].
// Source: identity.
func FromAxis(p, pivot, axis r3.Vec) (float64, error) {
	n := r3.Norm(axis)
	if !(n > 1e-9 && n < 1e9) {
		return 0, errDirection
	}
	return r3.Norm(r3.Cross(r3.Sub(p, pivot), axis)) / n, nil
}

// Mirror returns the mirror image of a place or of a direction of travel on
// the other side of the vehicle's middle plane, y = 0. Source: identity.
func Mirror(p r3.Vec) r3.Vec { return r3.Vec{X: p.X, Y: -p.Y, Z: p.Z} }

// MirrorTurn returns the mirror image of an axis of rotation: turning about it
// by an angle mirrors turning about the axis by the same angle.
//
// Formula: an axis of rotation is an axial vector, which a reflection M takes
// to det(M) M a; with M = diag(1, -1, 1) that is (-x, y, -z). Source: identity.
func MirrorTurn(axis r3.Vec) r3.Vec { return r3.Vec{X: -axis.X, Y: axis.Y, Z: -axis.Z} }

// Motion is how one body moves against another: about an axis, or along it,
// from one end of its range to the other [rad or m].
type Motion struct {
	Slides   bool
	Axis     r3.Vec
	From, To float64
}

// Mirrored returns the mirror image of a motion, with its axis the way round
// that lies nearer to like.
//
// Source: identity ([Mirror], [MirrorTurn]; turning about an axis by an angle
// is turning about the opposite axis by the opposite angle).
func (m Motion) Mirrored(like r3.Vec) Motion {
	if m.Axis = MirrorTurn(m.Axis); m.Slides {
		m.Axis = Mirror(MirrorTurn(m.Axis))
	}
	if r3.Dot(m.Axis, like) < 0 {
		m.Axis = r3.Scale(-1, m.Axis)
		m.From, m.To = -m.To, -m.From
	}
	return m
}

// Box is a box along the axes of the vehicle frame, from its lowest to its
// highest corner [m].
type Box struct{ Low, High r3.Vec }

// NewBox returns the box between any two opposite corners.
func NewBox(a, b r3.Vec) Box {
	return Box{
		Low:  r3.Vec{X: min(a.X, b.X), Y: min(a.Y, b.Y), Z: min(a.Z, b.Z)},
		High: r3.Vec{X: max(a.X, b.X), Y: max(a.Y, b.Y), Z: max(a.Z, b.Z)},
	}
}

// Face names a side of a box as the driver sees it.
type Face string

// The faces of a box: none where a place is not beyond any.
const (
	Inside Face = ""
	Front  Face = "in front of"
	Rear   Face = "behind"
	Left   Face = "left of"
	Right  Face = "right of"
	Above  Face = "above"
	Below  Face = "below"
)

// Beyond returns how far a place lies outside of the box [m], beyond the face
// from which it is farthest; 0 and [Inside] where it lies in the box.
// Source: identity.
func (b Box) Beyond(p r3.Vec) (float64, Face) {
	far, face := 0.0, Inside
	for _, f := range [...]struct {
		by   float64
		face Face
	}{
		{p.X - b.High.X, Front}, {b.Low.X - p.X, Rear}, {p.Y - b.High.Y, Left},
		{b.Low.Y - p.Y, Right}, {p.Z - b.High.Z, Above}, {b.Low.Z - p.Z, Below},
	} {
		if f.by > far {
			far, face = f.by, f.face
		}
	}
	return far, face
}
