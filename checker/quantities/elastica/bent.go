package elastica

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// scratch is the space for steps of a rod of n pieces.
func (v *Solver) scratch(n int) *newton {
	if v.steps == nil {
		v.steps = map[int]*newton{}
	}
	if v.steps[n] == nil {
		v.steps[n] = newNewton(n)
	}
	return v.steps[n]
}

// bent is the curve between clips of which one at least holds its direction.
func (v *Solver) bent(f *frame) (Curve, error) {
	p := f.problem()
	pieces := fine
	if v.Rough {
		pieces = coarse
	}
	if v.before != nil && v.held == f.held {
		r := v.before.in(pieces)
		if v.scratch(pieces).settle(&r, &p, 12, 1e-4) && r.energy() < 1.5*v.before.energy()+1 {
			v.before = &r
			return v.measured(f, &p, &r), nil
		}
	}
	v.before = nil
	r, found := v.first(f, &p, pieces)
	if !found {
		return Curve{}, ErrUnsettled
	}
	v.before, v.held = &r, f.held
	return v.measured(f, &p, &r), nil
}

// sharp is the most by which a tube may bend from piece to piece [rad] before
// its pieces are halved.
const sharp = 0.6

// measured is the curve of a rod, in more pieces where it is sharp.
func (v *Solver) measured(f *frame, p *problem, r *rod) Curve {
	c := f.curve(p, r)
	if n := len(r.ways) - 1; n == fine && f.Length > sharp*fine*c.Radius {
		if more := r.refined(); v.scratch(2*n).settle(&more, p, 20, 1e-5) {
			c = f.curve(p, &more)
		}
	}
	c.rod, c.held = r, f.held
	return c
}

// first looks for the curve of least energy from bows to several sides: the
// side to which the clips point first.
func (v *Solver) first(f *frame, p *problem, pieces int) (rod, bool) {
	side := r3.Vec{}
	if p.held[0] {
		side = across(p.ends[0], f.along)
	}
	if p.held[1] {
		side = r3.Sub(side, across(p.ends[1], f.along))
	}
	if n := norm(side); n > 1e-3 {
		side = r3.Scale(1/n, side)
	} else if side = across(p.ends[0], f.along); norm(side) > 1e-3 {
		side = unit(side)
	} else {
		side = anyNormal(f.along)
	}
	third := r3.Cross(f.along, side)
	var best rod
	least := math.Inf(1)
	for i, s := range [4]r3.Vec{side, r3.Scale(-1, side), third, r3.Scale(-1, third)} {
		if i == 3 && !p.held[1] {
			break
		}
		r := bow(p, s, coarse)
		if !v.scratch(coarse).settle(&r, p, 60, 1e-3) {
			continue
		}
		if e := r.energy(); e < least*(1-1e-6) {
			best, least = r, e
		}
	}
	if best.ways != nil {
		if pieces == fine {
			best = best.refined()
		}
		if pieces == coarse || v.scratch(pieces).settle(&best, p, 30, 1e-5) {
			return best, true
		}
	}
	for _, s := range [4]r3.Vec{side, third, r3.Scale(-1, side), r3.Scale(-1, third)} { // too sharp for few pieces
		if r := bow(p, s, fine); v.scratch(fine).settle(&r, p, 100, 1e-5) {
			return r, true
		}
	}
	return rod{}, false
}

// curve measures the rod. Its places are summed by parabolas, so that they lie
// on the curve.
func (f *frame) curve(p *problem, r *rod) Curve {
	n := len(r.ways) - 1
	h := f.Length / float64(n)
	c := Curve{Angles: f.angles, AnySide: f.anySide(), Energy: r.energy() / f.Length, Points: make([]r3.Vec, n+1)}
	c.Points[0] = f.From
	for i := range n {
		c.Points[i+1] = r3.Add(c.Points[i], r3.Scale(h/2, r3.Add(r.ways[i], r.ways[i+1])))
	}
	over := r3.Sub(f.To, c.Points[n])
	for i := range n {
		c.Points[i+1] = r3.Add(c.Points[i+1], r3.Scale(float64(i+1)/float64(n), over))
	}
	c.Points[n] = f.To
	c.Sag = f.sag(c.Points)
	for i := range f.held {
		if !f.held[i] {
			c.Angles[i] = angle(r.ways[i*n], f.along)
		}
	}
	bend, at := r.tightest(p)
	c.Radius, c.At = f.Length/bend, at*f.Length
	c.Margin = min(h*h/(8*c.Radius), h/2)
	return c
}

// tightest is the largest curvature of the tube of length 1, and where it is.
// Along an elastica curvature²/2 - force.t is one number, so that the curvature
// at a clip follows from that in the middle of the piece before it.
func (r *rod) tightest(p *problem) (bend, at float64) {
	n := len(r.ways) - 1
	bends := make([]float64, n)
	most := 0
	for i := range bends {
		bends[i], _ = r.middle(i)
		if bends[i] > bends[most] {
			most = i
		}
	}
	bend, at = bends[most], (float64(most)+0.5)/float64(n)
	if most > 0 && most < n-1 { // the top of the parabola through three
		l, m, u := bends[most-1], bends[most], bends[most+1]
		if down := 2*m - l - u; down > 0 {
			x := (u - l) / (2 * down)
			bend, at = m+x*(u-l)/4, at+x/float64(n)
		}
	}
	for i := range p.held {
		if !p.held[i] {
			continue
		}
		k, force := r.middle(i * (n - 1))
		m := unit(r3.Add(r.ways[i*(n-1)], r.ways[i*(n-1)+1]))
		if k = math.Sqrt(max(0, k*k+2*r3.Dot(force, r3.Sub(p.ends[i], m)))); k > bend {
			bend, at = k, float64(i)
		}
	}
	return max(bend, 1e-9), at
}

// middle is the curvature in the middle of a piece, and the force on the
// curve: both by what the pieces leave over in the second power of 1/n.
func (r *rod) middle(i int) (bend float64, force r3.Vec) {
	n := float64(len(r.ways) - 1)
	k := n * angle(r.ways[i], r.ways[i+1])
	whole := k*k/2 - r3.Dot(r.force, unit(r3.Add(r.ways[i], r.ways[i+1])))
	return k * (1 - (whole-k*k/2)/(24*n*n)), r3.Scale(1/(1+whole/(12*n*n)), r.force)
}
