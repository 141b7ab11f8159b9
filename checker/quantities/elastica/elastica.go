// Package elastica computes the curve that a tube takes between two clips.
//
// A springy tube of given length, held at two places, takes Euler's elastica:
// of all curves of that length between the two places, and in the directions
// that the clips hold, one with the least bending. It is tighter than the
// circular arc over the same chord, and tightest where a clip holds it at an
// angle with little slack.
//
// Left out: gravity, friction, a set that the tube has taken, what it touches,
// and twist: a tube may turn in its clips, so that it takes no torsion. Lengths
// are metres in one frame.
//
// Source: Love, A Treatise on the Mathematical Theory of Elasticity, 4th ed.,
// ch. XIX (the elastica; from memory); Langer and Singer, Lagrangian Aspects
// of the Kirchhoff Elastic Rod, SIAM Review 38, 1996 (in space; from memory).
package elastica

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Reach is the largest length and coordinate accepted [m].
const Reach = 1000.0

// shortest is the least length accepted [m].
const shortest = 1e-6

// ErrUnsettled is returned where no curve is found within the steps allowed.
var ErrUnsettled = errors.New("the curve of the tube could not be found: it is bent too sharply between its clips")

// Hold tells what a clip does with the direction of the tube.
type Hold int

const (
	Swivels Hold = iota // the tube may leave in any direction
	Clamped             // it leaves in the direction stated
	Unsure              // one of the two
)

// End is one end of a tube. Direction, of any length but zero, is that of the
// tube on its way from the first clip to the second.
type End struct {
	Hold      Hold
	Direction r3.Vec
}

// Span is a tube of a length [m] between two clips.
type Span struct {
	Length        float64
	From, To      r3.Vec
	Start, Finish End
}

// Curve is the shape of the tube.
type Curve struct {
	Straight bool    // Radius and Sag are 0, and the radius has no bound
	Kinked   bool    // it leaves a clip at an angle with no slack to bend in: Radius is 0
	AnySide  bool    // nothing tells to which side of the chord it bows
	Radius   float64 // least, of the centre line [m]
	At       float64 // where that is, along the tube from the first clip [m]
	Sag      float64 // largest distance from the chord's line [m]
	Angles   [2]float64
	Points   []r3.Vec // from clip to clip
	Margin   float64  // the tube is nowhere farther from the line through Points [m]
	Energy   float64  // bending energy over stiffness [1/m]
	rod      *rod
	held     [2]bool
}

// Sole reports whether the curve is the only one that there is, in closed
// form: one that comes from elsewhere, or is looked for afresh, is the same.
func (c *Curve) Sole() bool { return c.rod == nil }

// Ways lists the tube for every way in which its ends can be held: itself
// where nothing is unsure.
func (s Span) Ways() []Span {
	ways := []Span{s}
	for _, end := range []func(*Span) *End{func(s *Span) *End { return &s.Start }, func(s *Span) *End { return &s.Finish }} {
		for i := range ways {
			if e := end(&ways[i]); e.Hold == Unsure {
				other := ways[i]
				e.Hold, end(&other).Hold = Swivels, Clamped
				ways = append(ways, other)
			}
		}
	}
	return ways
}

// frame is a span seen from its own chord, in lengths of the tube.
type frame struct {
	Span
	chord  float64 // over the length
	along  r3.Vec  // unit, of the chord
	ends   [2]r3.Vec
	held   [2]bool
	angles [2]float64 // of the ends to the chord
}

func newFrame(s Span) (*frame, error) {
	if !(s.Length >= shortest && s.Length <= Reach) {
		return nil, fmt.Errorf("the tube length %g m must be at least %g m and at most %g m", s.Length, shortest, Reach)
	}
	for _, v := range [...]float64{s.From.X, s.From.Y, s.From.Z, s.To.X, s.To.Y, s.To.Z} {
		if !(math.Abs(v) <= Reach) {
			return nil, fmt.Errorf("a clip at the coordinate %g m is not within %g m", v, Reach)
		}
	}
	d := r3.Sub(s.To, s.From)
	apart := r3.Norm(d)
	f := &frame{Span: s, chord: apart / s.Length}
	switch {
	case f.chord < 1e-6:
		return nil, errors.New("the two clips are at one place, so that the tube has no way between them")
	case apart > s.Length:
		return nil, fmt.Errorf("the tube, %g m long, cannot span clips %g m apart", s.Length, apart)
	}
	f.along = r3.Scale(1/apart, d)
	for i, e := range [2]End{s.Start, s.Finish} {
		if e.Hold == Swivels {
			continue
		}
		n := r3.Norm(e.Direction)
		switch {
		case e.Hold != Clamped:
			return nil, errors.New("how the tube is held has to be settled before its curve is asked for")
		case !(n > 1e-9 && n <= 1e9):
			return nil, errors.New("a clip has no direction")
		}
		f.held[i], f.ends[i] = true, r3.Scale(1/n, e.Direction)
		f.angles[i] = angle(f.ends[i], f.along)
	}
	return f, nil
}

// angle is that between two unit vectors, exact for small ones too.
func angle(a, b r3.Vec) float64 {
	return 2 * math.Atan2(r3.Norm(r3.Sub(a, b)), r3.Norm(r3.Add(a, b)))
}

// across is the part of a vector at right angles to a unit vector.
func across(v, along r3.Vec) r3.Vec { return r3.Sub(v, r3.Scale(r3.Dot(v, along), along)) }

// anyNormal is some unit vector at right angles to a unit vector.
func anyNormal(v r3.Vec) r3.Vec {
	a, _ := basis(v)
	return a
}

// Solve returns the curve of least bending.
//
// Formula: t” = F - (F.t) t - |t'|² t for the direction t of the tube along
// its length, F a constant force over stiffness. Both ends free: the closed
// form, chord/L = 2 E(k)/K(k) - 1, R = L/(4 k K), sag = k L/K. Very little slack:
// the closed form of a taut tube (see taut). Otherwise the least value of the
// bending energy of a tube of straight pieces, by Newton's method, from
// several starts; an equilibrium that is not a minimum is passed by, so that
// the first mode is the one found.
//
// Range: chord > 0, chord <= length <= [Reach]; radii down to length/100. An
// error says what is not; nothing in the result is NaN or infinite. The work
// is bounded. Within 1 % of the true radius and sag.
func Solve(s Span) (Curve, error) {
	var solver Solver
	return solver.Solve(s)
}

// Solver solves one span after the other, each from the curve before where
// the two are alike. The zero Solver is ready. Rough makes it some three times
// faster, and right to some 3 %: for a search. It is not for use by several
// goroutines.
type Solver struct {
	Rough  bool
	before *rod // the last that settled
	held   [2]bool
	steps  map[int]*newton // scratch, by the pieces of a rod
}

// Forget makes the next curve a fresh one.
func (v *Solver) Forget() { v.before = nil }

// Follow makes the next curve one that comes from another, which may be of a
// rough solver.
func (v *Solver) Follow(c *Curve) { v.before, v.held = c.rod, c.held }

// Solve is [Solve], from the curve before.
func (v *Solver) Solve(s Span) (Curve, error) {
	f, err := newFrame(s)
	if err != nil {
		return Curve{}, err
	}
	slack := 1 - f.chord
	switch bent := f.angles[0] > 1e-6 || f.angles[1] > 1e-6; {
	case slack <= 1e-9 && bent:
		return f.kinked(), nil
	case slack <= 1e-9:
		return f.straight(), nil
	case !f.held[0] && !f.held[1]:
		return f.swivelling(), nil
	}
	if c, is := f.taut(); is {
		return c, nil
	}
	return v.bent(f)
}

func (f *frame) straight() Curve {
	return Curve{Straight: true, Points: []r3.Vec{f.From, f.To}}
}

func (f *frame) kinked() Curve {
	c := Curve{Kinked: true, Angles: f.angles, Points: []r3.Vec{f.From, f.To}}
	if f.angles[1] > f.angles[0] {
		c.At = f.Length
	}
	return c
}

// bows is within which angle to the chord [rad] a clip does not tell to which
// side the tube bows. Common practice, no source.
const bows = 5 * math.Pi / 180

// anySide reports whether nothing tells to which side the tube bows.
func (f *frame) anySide() bool {
	for i := range f.held {
		if f.held[i] && f.angles[i] > bows && f.angles[i] < math.Pi-bows {
			return false
		}
	}
	return true
}
