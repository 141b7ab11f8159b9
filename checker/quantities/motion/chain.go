package motion

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Chain holds the joints from the nearest common body outwards to the two
// bodies that a tube joins. Either side may be empty. Budget, where it is not
// nil, bounds the search together with others.
type Chain struct {
	A, B   []Joint
	Budget *Budget
}

// Extreme is a least or greatest distance [m] and the joint values [rad or m]
// of the two sides of the chain where it occurs.
type Extreme struct {
	Distance float64
	A, B     []float64
}

// Extremes returns the shortest and the longest straight distance between the
// point a, fixed to the body at the end of c.A, and the point b, fixed to the
// body at the end of c.B, over the whole range of every joint, both points
// given at rest [m].
//
// Formula: one revolute joint leaves d^2 = k + m cos t + n sin t, one prismatic
// joint d^2 quadratic in its travel; the result is exact. Several joints are
// searched over the whole box of their ranges; the distance returned is
// attained at the joint values returned and is within [Tolerance] of the true
// extreme.
//
// Errors: points or joints outside the limits of [Place]; [ErrTooComplex] when
// the search does not end within its budget, as with six wide joints, or there
// are more than [MostJoints]; [ErrSpent] when the budget of all is used up.
// Source: Murray, Li and Sastry (see [Place]); branch and bound with Taylor
// bounds: Hansen and Walster, Global Optimization Using Interval Analysis,
// 2nd ed., 2004 (from memory).
func (c Chain) Extremes(a, b r3.Vec) (shortest, longest Extreme, err error) {
	switch {
	case len(c.A)+len(c.B) > MostJoints:
		return Extreme{}, Extreme{}, ErrTooComplex
	case !c.Budget.Take(Setup + starts(len(c.A)+len(c.B))):
		return Extreme{}, Extreme{}, ErrSpent
	}
	s, err := newSpan(c, a, b)
	if err != nil {
		return Extreme{}, Extreme{}, err
	}
	if shortest, err = s.extreme(1); err != nil {
		return Extreme{}, Extreme{}, fmt.Errorf("shortest distance: %w", err)
	}
	if longest, err = s.extreme(-1); err != nil {
		return Extreme{}, Extreme{}, fmt.Errorf("longest distance: %w", err)
	}
	return shortest, longest, nil
}

// starts is what the starts of both searches take of a budget: up to 9 + 4 n
// of them, each settled joint by joint.
func starts(joints int) int {
	if joints < 2 {
		return 0
	}
	return 5 * joints * (9 + 4*joints)
}

// span is a chain folded into one row of joints: seen from the body of b, the
// joints of B undone from the outermost inwards, then those of A outwards.
// The distance from b to the track of a is then the distance wanted, and b
// stands still.
type span struct {
	c     Chain // unit axes
	a, b  r3.Vec
	track *Track
	from  []float64
	to    []float64
	sign  float64 // 1 for the shortest distance, -1 for the longest
	bound bounds
}

func newSpan(c Chain, a, b r3.Vec) (*span, error) {
	var err error
	s := &span{c: Chain{Budget: c.Budget}, a: a, b: b}
	if err := checkPoint("first point", a); err != nil {
		return nil, err
	}
	if err := checkPoint("second point", b); err != nil {
		return nil, err
	}
	if s.c.A, err = unitJoints(c.A); err != nil {
		return nil, fmt.Errorf("towards the first point: %w", err)
	}
	if s.c.B, err = unitJoints(c.B); err != nil {
		return nil, fmt.Errorf("towards the second point: %w", err)
	}
	row := make([]Joint, 0, len(c.A)+len(c.B))
	for i := len(s.c.B) - 1; i >= 0; i-- {
		row = append(row, s.c.B[i].Inverse())
	}
	row = append(row, s.c.A...)
	s.track = newTrack(row, a)
	for _, j := range row {
		s.from = append(s.from, j.From)
		if j.Kind == Revolute { // beyond a full turn nothing new comes
			j.To = math.Min(j.To, j.From+2*math.Pi)
		}
		s.to = append(s.to, j.To)
	}
	s.bound = newBounds(len(row))
	return s, nil
}

// extreme returns the shortest (sign 1) or longest (sign -1) distance.
func (s *span) extreme(sign float64) (Extreme, error) {
	s.sign = sign
	q, best := s.start()
	free := 0
	for i := range s.from {
		if s.from[i] < s.to[i] {
			free++
		}
	}
	if free > 1 { // one joint alone is settled in closed form
		search := Search{From: s.from, To: s.to, Tolerance: Tolerance, Boxes: maxBoxes, Budget: s.c.Budget, Bound: s.part}
		if _, err := search.Least(best, q); err != nil {
			return Extreme{}, err
		}
	}
	return s.report(q), nil
}

// report measures the distance afresh, from the chain as it was given.
func (s *span) report(q []float64) Extreme {
	e := Extreme{A: make([]float64, len(s.c.A)), B: make([]float64, len(s.c.B))}
	last := len(s.c.B) - 1
	for i := range s.c.B {
		e.B[i] = q[last-i]
	}
	copy(e.A, q[len(s.c.B):])
	e.Distance = r3.Norm(r3.Sub(place(s.c.A, e.A, s.a), place(s.c.B, e.B, s.b)))
	return e
}
