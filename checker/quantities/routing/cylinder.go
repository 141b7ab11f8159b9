package routing

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Cylinder is every point within Radius [m] of the line through a segment,
// between the two planes at right angles to it through its ends: a wheel, a
// shaft, a roller. Where the ends coincide it is a disc that faces up.
type Cylinder struct {
	Axis   Segment
	Radius float64
}

func (c Cylinder) check() error {
	if err := c.Axis.check(); err != nil {
		return fmt.Errorf("cylinder: %w", err)
	}
	return checkLength("cylinder's radius", c.Radius)
}

// cylinderLine is a segment in the frame of a cylinder: along the axis from
// its middle, and across it.
type cylinderLine struct {
	half, radius    float64
	height, rise    float64 // at t = 0, and over the segment
	across, outward r3.Vec
}

func (c Cylinder) line(s Segment) (l cylinderLine, up r3.Vec) {
	d := r3.Sub(c.Axis.B, c.Axis.A)
	up = r3.Vec{Z: 1}
	if n := r3.Norm(d); n > 0 {
		up = r3.Scale(1/n, d)
	}
	middle := r3.Add(c.Axis.A, r3.Scale(0.5, d))
	from, rate := r3.Sub(s.A, middle), r3.Sub(s.B, s.A)
	l = cylinderLine{half: r3.Norm(d) / 2, radius: c.Radius, height: r3.Dot(from, up), rise: r3.Dot(rate, up)}
	l.across = r3.Sub(from, r3.Scale(l.height, up))
	l.outward = r3.Sub(rate, r3.Scale(l.rise, up))
	return l, up
}

// at returns the signed excess along the axis and the excess across it, with
// the place across at t.
func (l *cylinderLine) at(t float64) (along, out float64, across r3.Vec) {
	h := l.height + t*l.rise
	across = r3.Add(l.across, r3.Scale(t, l.outward))
	return h - math.Max(-l.half, math.Min(l.half, h)), math.Max(0, r3.Norm(across)-l.radius), across
}

// slope returns half the derivative of the squared distance at t.
func (l *cylinderLine) slope(t float64) float64 {
	along, out, across := l.at(t)
	slope := along * l.rise
	if out > 0 {
		slope += out * r3.Dot(across, l.outward) / r3.Norm(across)
	}
	return slope
}

// least returns the t with the least distance: the slope never falls, so it is
// halved down to the last digit.
func (l *cylinderLine) least() float64 {
	if l.slope(0) >= 0 {
		return 0
	}
	if l.slope(1) <= 0 {
		return 1
	}
	low, high := 0.0, 1.0
	for {
		middle := low + (high-low)/2
		if middle <= low || middle >= high {
			return middle
		}
		switch slope := l.slope(middle); {
		case slope < 0:
			low = middle
		case slope > 0:
			high = middle
		default:
			return middle
		}
	}
}

// nearest is the distance of a segment [m]. A place at the height h along the
// axis from the middle and the distance rho from the axis is
// hypot(max(0, |h| - half), max(0, rho - radius)) away, which is convex along
// the segment: its least value is where its slope changes sign. The distance
// from a convex set is convex (Boyd and Vandenberghe, Convex Optimization, 2004,
// section 3.2.5; from memory).
func (c Cylinder) nearest(s Segment) Nearest {
	l, up := c.line(s)
	t := l.least()
	p := s.at(t)
	along, out, across := l.at(t)
	distance := math.Hypot(along, out)
	if distance == 0 {
		return Nearest{0, p, p}
	}
	gap := r3.Scale(along, up)
	if out > 0 {
		gap = r3.Add(gap, r3.Scale(out/r3.Norm(across), across))
	}
	return Nearest{distance, p, r3.Sub(p, gap)}
}
