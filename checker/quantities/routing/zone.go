package routing

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// Segment is a straight piece of tube between two points [m], which may
// coincide.
type Segment struct{ A, B r3.Vec }

// Nearest is the distance [m] of a segment from a zone and where it occurs.
// Where the segment touches or enters the zone the distance is 0, never
// negative, and both points are one point that they share.
type Nearest struct {
	Distance          float64
	OnSegment, OnZone r3.Vec
}

// Zone is a closed convex region to keep clear of: a [Capsule], a [Cylinder]
// or a [Box].
type Zone interface {
	// nearest is for a segment and a zone already checked.
	nearest(Segment) Nearest
	check() error
}

// PathDistance returns the least distance [m] of a line from point to point
// from a zone, and where it is; 0 where they touch. Where it is not less than a
// bound, any greater distance, or infinity. Errors: those of the points and the
// zone, as [MovingClearance]; a line of no points.
func PathDistance(path []r3.Vec, zone Zone, bound float64) (Nearest, error) {
	switch {
	case len(path) == 0:
		return Nearest{}, errors.New("the path has no points")
	case zone == nil:
		return Nearest{}, errors.New("there is no zone to keep clear of")
	}
	if err := zone.check(); err != nil {
		return Nearest{}, err
	}
	best := Nearest{Distance: math.Inf(1)}
	far := math.Inf(-1) // no place of the segment before is nearer
	for i, p := range path {
		s := Segment{path[max(0, i-1)], p}
		if err := s.check(); err != nil {
			return Nearest{}, err
		}
		if i == 0 && len(path) > 1 {
			continue
		}
		if far -= r3.Norm(r3.Sub(s.B, s.A)); far >= min(best.Distance, bound) {
			continue
		}
		near := zone.nearest(s)
		if far = near.Distance; far < best.Distance {
			best = near
		}
	}
	return best, nil
}

// Capsule is every point within Radius [m] of a segment; a sphere when the
// ends of the axis coincide.
type Capsule struct {
	Axis   Segment
	Radius float64
}

// Box reaches Half [m] to either side of Centre along three axes at right
// angles. X and Y are the directions of the first two, of any length; with
// both zero the box is aligned with the vehicle frame.
type Box struct {
	Centre, Half r3.Vec
	X, Y         r3.Vec
}

func (s Segment) check() error {
	if err := checkPoint(s.A); err != nil {
		return err
	}
	return checkPoint(s.B)
}

func (c Capsule) check() error {
	if err := c.Axis.check(); err != nil {
		return fmt.Errorf("capsule: %w", err)
	}
	return checkLength("capsule's radius", c.Radius)
}

func (c Capsule) nearest(s Segment) Nearest {
	p, q := closest(s, c.Axis)
	apart := r3.Norm(r3.Sub(p, q))
	if apart <= c.Radius {
		return Nearest{0, p, p}
	}
	return Nearest{apart - c.Radius, p, r3.Add(q, r3.Scale(c.Radius/apart, r3.Sub(p, q)))}
}

// at returns the point the fraction t along the segment.
func (s Segment) at(t float64) r3.Vec {
	switch t { // the ends exactly
	case 0:
		return s.A
	case 1:
		return s.B
	}
	return r3.Add(s.A, r3.Scale(t, r3.Sub(s.B, s.A)))
}

// foot returns the point of the segment nearest to p.
func (s Segment) foot(p r3.Vec) r3.Vec {
	d := r3.Sub(s.B, s.A)
	l := r3.Dot(d, d)
	if l == 0 {
		return s.A
	}
	return s.at(math.Max(0, math.Min(1, r3.Dot(d, r3.Sub(p, s.A))/l)))
}

// Apart returns the least distance of two segments [m]. Error: a place that is
// not finite, or beyond [motion.Reach]. Source: identity.
func Apart(s, t Segment) (float64, error) {
	if err := errors.Join(s.check(), t.check()); err != nil {
		return 0, err
	}
	p, q := closest(s, t)
	return r3.Norm(r3.Sub(p, q)), nil
}

// closest returns the nearest points of two segments. Either an end of one is
// nearest, which is well conditioned, or the two lines pass within both
// segments. Every candidate lies on the segments, so segments that are nearly
// parallel or of no length lose nothing but digits.
func closest(s, t Segment) (p, q r3.Vec) {
	best := math.Inf(1)
	try := func(a, b r3.Vec) {
		if d := r3.Norm(r3.Sub(a, b)); d < best {
			best, p, q = d, a, b
		}
	}
	try(s.A, t.foot(s.A))
	try(s.B, t.foot(s.B))
	try(s.foot(t.A), t.A)
	try(s.foot(t.B), t.B)

	d, e, r := r3.Sub(s.B, s.A), r3.Sub(t.B, t.A), r3.Sub(s.A, t.A)
	n := r3.Cross(d, e)
	if nn := r3.Dot(n, n); nn > 0 {
		u := r3.Dot(r3.Cross(e, r), n) / nn // of the common perpendicular
		on := t.foot(s.at(math.Max(0, math.Min(1, u))))
		try(s.foot(on), on)
	}
	return p, q
}

// axes returns the unit axes of the box.
func (b Box) axes() (x, y, z r3.Vec) {
	if b.X == (r3.Vec{}) {
		return r3.Vec{X: 1}, r3.Vec{Y: 1}, r3.Vec{Z: 1}
	}
	x, y = r3.Unit(b.X), r3.Unit(b.Y)
	z = r3.Unit(r3.Cross(x, y))
	return x, r3.Cross(z, x), z
}

func (b Box) check() error {
	for _, p := range [...]r3.Vec{b.Centre, b.X, b.Y} {
		if err := checkPoint(p); err != nil {
			return fmt.Errorf("box: %w", err)
		}
	}
	for _, v := range [...]float64{b.Half.X, b.Half.Y, b.Half.Z} {
		if err := checkLength("box's half length", v); err != nil {
			return err
		}
	}
	if b.X == b.Y && b.X == (r3.Vec{}) {
		return nil
	}
	if r3.Norm(b.X) < 1e-9 || r3.Norm(b.Y) < 1e-9 {
		return errors.New("box: a direction has no length")
	}
	if off := r3.Dot(r3.Unit(b.X), r3.Unit(b.Y)); math.Abs(off) > 1e-6 {
		return errors.New("box: its two directions are not at right angles")
	}
	return nil
}

func (b Box) nearest(s Segment) Nearest {
	x, y, z := b.axes()
	half := [3]float64{b.Half.X, b.Half.Y, b.Half.Z}
	from, rate := r3.Sub(s.A, b.Centre), r3.Sub(s.B, s.A)
	line := boxLine{half: half}
	for i, axis := range [3]r3.Vec{x, y, z} {
		line.from[i], line.rate[i] = r3.Dot(from, axis), r3.Dot(rate, axis)
	}
	t := line.least()
	p := s.at(t)
	over := line.excess(t)
	gap := r3.Add(r3.Add(r3.Scale(over[0], x), r3.Scale(over[1], y)), r3.Scale(over[2], z))
	distance := r3.Norm(gap)
	if distance == 0 {
		return Nearest{0, p, p}
	}
	return Nearest{distance, p, r3.Sub(p, gap)}
}

// boxLine is a segment in the frame of a box: from + t rate, 0 <= t <= 1.
type boxLine struct{ half, from, rate [3]float64 }

// excess returns by how much the point at t lies outside the box along each
// axis, signed, 0 where it is between the two faces.
func (l *boxLine) excess(t float64) (over [3]float64) {
	for i, h := range l.half {
		at := l.from[i] + t*l.rate[i]
		if t == 1 {
			at = l.from[i] + l.rate[i]
		}
		over[i] = at - math.Max(-h, math.Min(h, at))
	}
	return over
}

// slope returns half the derivative of the squared distance at t.
func (l *boxLine) slope(t float64) float64 {
	over := l.excess(t)
	return over[0]*l.rate[0] + over[1]*l.rate[1] + over[2]*l.rate[2]
}

// least returns the first t with the least distance. The slope never falls and
// is linear between the places where the line crosses the planes of the faces.
func (l *boxLine) least() float64 {
	stops := [8]float64{0, 1}
	n := 2
	for i, h := range l.half {
		for _, face := range [2]float64{-h, h} {
			// A rate of 0 gives an infinity or NaN, which is not between 0 and 1.
			if t := (face - l.from[i]) / l.rate[i]; t > 0 && t < 1 {
				stops[n] = t
				n++
			}
		}
	}
	slices.Sort(stops[:n])
	before, was := 0.0, l.slope(0)
	if was >= 0 {
		return 0
	}
	for _, t := range stops[1:n] {
		now := l.slope(t)
		if now >= 0 {
			return before + (t-before)*(was/(was-now))
		}
		before, was = t, now
	}
	return 1
}
