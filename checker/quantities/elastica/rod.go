package elastica

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// fine and coarse are in how many pieces a tube is taken: for the result, and
// to choose among starts.
const (
	fine   = 24
	coarse = 12
)

// rod is the direction of a tube of length 1 at evenly spaced places, its ends
// included. Its energy is the sum over the n pieces between them of
//
//	n (q/2 + 5 q²/96), q = |t' - t|²
//
// and it ends where the sum of its directions, those at the ends by half, is
// the chord: so it follows the curve to the fourth power of 1/n, but for what
// missing adds. (With the angle between two directions for q it would be
// angle²/2 + angle⁴/96; then the equation of the pieces is that of the curve
// with another force: Taylor series.)
type rod struct {
	ways  []r3.Vec // unit
	force r3.Vec   // what keeps it to the chord
}

// problem is what the rod has to meet.
type problem struct {
	chord r3.Vec
	ends  [2]r3.Vec
	held  [2]bool
}

func (f *frame) problem() problem {
	return problem{chord: r3.Scale(f.chord, f.along), ends: f.ends, held: f.held}
}

// free is the first and the last direction of a rod that is not held.
func (r *rod) free(p *problem) (first, last int) {
	last = len(r.ways) - 1
	if p.held[0] {
		first = 1
	}
	if p.held[1] {
		last--
	}
	return first, last
}

// share is what direction i counts for in the sum.
func (r *rod) share(i int) float64 {
	n := len(r.ways) - 1
	if i == 0 || i == n {
		return 0.5 / float64(n)
	}
	return 1 / float64(n)
}

// missing is how far the rod is from ending where the chord does: the sum over
// its directions, less what it is off by the curvature at the ends,
// (t'(1) - t'(0))/12 n² (Euler and Maclaurin).
func (r *rod) missing(p *problem) r3.Vec {
	n := len(r.ways) - 1
	miss := r3.Scale(-1, p.chord)
	for i, t := range r.ways {
		miss = r3.Add(miss, r3.Scale(r.share(i), t))
	}
	off := 1 / (24 * float64(n))
	if p.held[0] {
		rate := r3.Sub(r3.Sub(r3.Scale(4, r.ways[1]), r.ways[2]), r3.Scale(3, r.ways[0]))
		miss = r3.Add(miss, r3.Scale(off, across(rate, r.ways[0])))
	}
	if p.held[1] {
		rate := r3.Sub(r3.Sub(r3.Scale(4, r.ways[n-1]), r.ways[n-2]), r3.Scale(3, r.ways[n]))
		miss = r3.Add(miss, r3.Scale(off, across(rate, r.ways[n])))
	}
	return miss
}

// energy is the bending energy, for a tube of length 1.
func (r *rod) energy() float64 {
	n, sum := len(r.ways)-1, 0.0
	for i := range n {
		q := r3.Norm2(r3.Sub(r.ways[i+1], r.ways[i]))
		sum += q/2 + 5*q*q/96
	}
	return sum * float64(n)
}

// bow is the start: an arc of a circle over the chord to one side, wound a
// little so that it lies in no plane, and drawn to the clips' directions near
// its ends.
func bow(p *problem, side r3.Vec, n int) rod {
	chord := norm(p.chord)
	along := r3.Scale(1/chord, p.chord)
	third := r3.Cross(along, side)
	half := arc(chord)
	r := rod{ways: make([]r3.Vec, n+1)}
	for i := range r.ways {
		at := float64(i) / float64(n)
		sin, cos := math.Sincos(half * (1 - 2*at))
		wind := 0.2 + 0.3*(at-0.5)
		t := r3.Add(r3.Scale(cos, along), r3.Scale(sin, r3.Add(side, r3.Scale(wind, third))))
		for k, near := range [2]float64{at, 1 - at} {
			if share := 1 - 5*near; p.held[k] && share > 0 {
				t = r3.Add(r3.Scale(1-share, t), r3.Scale(share, p.ends[k]))
			}
		}
		if l := norm(t); l > 1e-6 {
			r.ways[i] = r3.Scale(1/l, t)
		} else {
			r.ways[i] = side
		}
	}
	return r
}

// arc is half the angle x of an arc of length 1 over a chord: sin(x)/x = chord.
func arc(chord float64) float64 {
	lo, hi := 0.0, math.Pi
	for range 30 {
		if x := (lo + hi) / 2; math.Sin(x) > chord*x {
			lo = x
		} else {
			hi = x
		}
	}
	return (lo + hi) / 2
}

// in is a copy of the rod in some number of pieces, fine or coarse.
func (r *rod) in(pieces int) rod {
	switch n := len(r.ways) - 1; {
	case n < pieces:
		return r.refined()
	case n > pieces:
		out := rod{force: r.force}
		for i := 0; i <= n; i += n / pieces {
			out.ways = append(out.ways, r.ways[i])
		}
		return out
	}
	return rod{append([]r3.Vec(nil), r.ways...), r.force}
}

// refined is the rod in twice as many pieces.
func (r *rod) refined() rod {
	n := len(r.ways) - 1
	out := rod{ways: make([]r3.Vec, 2*n+1), force: r.force}
	for i := range out.ways {
		out.ways[i] = r.ways[i/2]
		if i%2 == 1 {
			out.ways[i] = unit(r3.Add(r.ways[i/2], r.ways[i/2+1]))
		}
	}
	return out
}

// basis is two unit vectors at right angles to a unit vector and to each other.
// Source: Duff et al., Building an Orthonormal Basis, Revisited, JCGT 6, 2017.
func basis(n r3.Vec) (a, b r3.Vec) {
	sign := math.Copysign(1, n.Z)
	k := -1 / (sign + n.Z)
	xy := n.X * n.Y * k
	return r3.Vec{X: 1 + sign*n.X*n.X*k, Y: sign * xy, Z: -sign * n.X}, r3.Vec{X: xy, Y: sign + n.Y*n.Y*k, Z: -n.Y}
}

// pair is a vector in the plane of such a basis, and mat a matrix between two.
type (
	pair [2]float64
	mat  [2][2]float64
)

func (m *mat) times(v pair) pair {
	return pair{m[0][0]*v[0] + m[0][1]*v[1], m[1][0]*v[0] + m[1][1]*v[1]}
}

// sym is a symmetric matrix.
type sym struct{ xx, xy, yy float64 }

func (m *sym) times(v pair) pair {
	return pair{m.xx*v[0] + m.xy*v[1], m.xy*v[0] + m.yy*v[1]}
}

// newton is the scratch space of the steps.
type newton struct {
	nodes []node
	pull  []float64 // of each piece on its two ends, n (1 + 5 q/24)
}

// node is one direction in a step.
type node struct {
	a, b  r3.Vec  // basis
	inv   sym     // inverse of the pivot
	off   mat     // second derivative by this direction and the next
	right [4]pair // what is solved for: the slope, and the three ways of the end
}

func newNewton(n int) *newton {
	return &newton{make([]node, n+1), make([]float64, n)}
}

// settle walks the rod to a least value of its energy, and reports whether it
// got there: a second derivative that bends up along everything the ends
// allow is part of each step and of the last.
func (v *newton) settle(r *rod, p *problem, steps int, tolerance float64) bool {
	for i := range p.held {
		if p.held[i] {
			r.ways[i*(len(r.ways)-1)] = p.ends[i]
		}
	}
	shift := 0.0
	for range steps {
		ok := v.factor(r, p, shift)
		var push r3.Vec
		if ok {
			push, ok = v.solve(r, p)
		}
		if !ok { // not a least value: hold the step back
			if shift = max(4*shift, 3); shift > 1e6 {
				return false
			}
			continue
		}
		moved := v.move(r, p, push)
		if moved < tolerance && shift == 0 {
			return true
		}
		if shift /= 4; shift < 1 {
			shift = 0
		}
	}
	return false
}

// factor factors the second derivative of energy and constraint, block by
// block, with what is eliminated from the right sides. It reports false where
// a pivot vanishes.
//
// By one direction t, with a neighbour u and q = |u - t|² the slope of the
// energy is the sum of -n (1 + 5 q/24) u over its neighbours, to which the
// second power of q adds (5 n/12) u uᵀ in the second derivative.
func (v *newton) factor(r *rod, p *problem, shift float64) bool {
	first, last := r.free(p)
	n := len(r.ways) - 1
	bent := float64(n) * 5 / 12
	for i := range n {
		v.pull[i] = float64(n) * (1 + 5.0/24*r3.Norm2(r3.Sub(r.ways[i+1], r.ways[i])))
	}
	for i := first; i <= last; i++ {
		at, t, h := &v.nodes[i], r.ways[i], r.share(i)
		at.a, at.b = basis(t)
		slope := pair{h * r3.Dot(r.force, at.a), h * r3.Dot(r.force, at.b)}
		bend := (shift+1e-7)*h - h*r3.Dot(r.force, t)
		var d sym
		var x, y float64 // the direction before, in the basis
		if i > 0 {
			u, w := r.ways[i-1], v.pull[i-1]
			x, y = r3.Dot(u, at.a), r3.Dot(u, at.b)
			slope[0], slope[1], bend = slope[0]-w*x, slope[1]-w*y, bend+w*r3.Dot(u, t)
			d = sym{bent * x * x, bent * x * y, bent * y * y}
		}
		if i < n {
			u, w := r.ways[i+1], v.pull[i]
			x, y := r3.Dot(u, at.a), r3.Dot(u, at.b)
			slope[0], slope[1], bend = slope[0]-w*x, slope[1]-w*y, bend+w*r3.Dot(u, t)
			d = sym{d.xx + bent*x*x, d.xy + bent*x*y, d.yy + bent*y*y}
		}
		d.xx, d.yy = d.xx+bend, d.yy+bend
		at.right = [4]pair{slope, {h * at.a.X, h * at.b.X}, {h * at.a.Y, h * at.b.Y}, {h * at.a.Z, h * at.b.Z}}
		if i > first {
			at.eliminate(&v.nodes[i-1], &d, r.ways[i-1], t, v.pull[i-1], bent, x, y)
		}
		det := d.xx*d.yy - d.xy*d.xy
		if !(math.Abs(det) > 1e-12) {
			return false
		}
		at.inv = sym{d.yy / det, -d.xy / det, d.xx / det}
	}
	return true
}

// eliminate takes the direction before out of the pivot d and the right sides.
// The direction before is t, and (x, y) in the basis here.
func (at *node) eliminate(before *node, d *sym, t, here r3.Vec, pull, bent, x, y float64) {
	z, k := bent*r3.Dot(here, before.a), bent*r3.Dot(here, before.b)
	o := mat{
		{z*x - pull*r3.Dot(before.a, at.a), z*y - pull*r3.Dot(before.a, at.b)},
		{k*x - pull*r3.Dot(before.b, at.a), k*y - pull*r3.Dot(before.b, at.b)},
	}
	before.off = o
	u, w := before.inv.times(pair{o[0][0], o[1][0]}), before.inv.times(pair{o[0][1], o[1][1]})
	d.xx -= o[0][0]*u[0] + o[1][0]*u[1]
	d.xy -= o[0][1]*u[0] + o[1][1]*u[1]
	d.yy -= o[0][1]*w[0] + o[1][1]*w[1]
	for i, b := range before.right {
		at.right[i][0] -= u[0]*b[0] + u[1]*b[1]
		at.right[i][1] -= w[0]*b[0] + w[1]*b[1]
	}
}

// solve finds the change of the force, and reports whether the rod is where
// it is at a least value along what the ends allow: as many directions in which
// energy and constraint bend down as there are constraints, three.
func (v *newton) solve(r *rod, p *problem) (push r3.Vec, least bool) {
	first, last := r.free(p)
	down := 0
	var s [3][4]float64 // A H⁻¹ Aᵀ, and beside it A H⁻¹ g
	for i := first; i <= last; i++ {
		at := &v.nodes[i]
		switch m := &at.inv; {
		case m.xx*m.yy < m.xy*m.xy:
			down++
		case m.xx < 0:
			down += 2
		}
		for j := range 3 {
			x := at.inv.times(at.right[j+1])
			for k := range j + 1 {
				s[j][k] += at.right[k+1][0]*x[0] + at.right[k+1][1]*x[1]
			}
			s[j][3] += at.right[0][0]*x[0] + at.right[0][1]*x[1]
		}
	}
	s[0][1], s[0][2], s[1][2] = s[1][0], s[2][0], s[2][1]
	miss := r.missing(p)
	s[0][3], s[1][3], s[2][3] = miss.X-s[0][3], miss.Y-s[1][3], miss.Z-s[2][3]
	x, up, ok := three(s)
	return r3.Vec{X: x[0], Y: x[1], Z: x[2]}, ok && down+up == 3
}

// three solves three equations with a symmetric matrix, and counts its
// eigenvalues above zero by the signs of its leading minors' quotients.
func three(s [3][4]float64) (x [3]float64, up int, ok bool) {
	m := [3][3]float64{}
	for i := range 3 {
		copy(m[i][:], s[i][:3])
	}
	a := m[0][0]
	b := m[0][0]*m[1][1] - m[0][1]*m[1][0]
	c := m[0][0]*(m[1][1]*m[2][2]-m[1][2]*m[2][1]) - m[0][1]*(m[1][0]*m[2][2]-m[1][2]*m[2][0]) + m[0][2]*(m[1][0]*m[2][1]-m[1][1]*m[2][0])
	if a == 0 || b == 0 || c == 0 || math.IsNaN(c) {
		return x, 0, false
	}
	for _, q := range [3]float64{a, b / a, c / b} {
		if q > 0 {
			up++
		}
	}
	for i := range 3 {
		k := m
		for j := range 3 {
			k[j][i] = s[j][3]
		}
		x[i] = (k[0][0]*(k[1][1]*k[2][2]-k[1][2]*k[2][1]) - k[0][1]*(k[1][0]*k[2][2]-k[1][2]*k[2][0]) + k[0][2]*(k[1][0]*k[2][1]-k[1][1]*k[2][0])) / c
	}
	return x, up, true
}

// move turns every direction by what follows from the change of the force, all
// of it scaled down where one would turn too far, and returns the largest turn.
func (v *newton) move(r *rod, p *problem, push r3.Vec) float64 {
	first, last := r.free(p)
	far := 0.0
	var next pair
	for i := last; i >= first; i-- {
		at := &v.nodes[i]
		b := &at.right
		y := pair{
			-b[0][0] - b[1][0]*push.X - b[2][0]*push.Y - b[3][0]*push.Z,
			-b[0][1] - b[1][1]*push.X - b[2][1]*push.Y - b[3][1]*push.Z,
		}
		if i < last {
			s := at.off.times(next)
			y[0], y[1] = y[0]-s[0], y[1]-s[1]
		}
		next = at.inv.times(y)
		b[0] = next
		far = max(far, next[0]*next[0]+next[1]*next[1])
	}
	far = math.Sqrt(far)
	share := min(1, 0.5/max(far, 1e-300))
	for i := first; i <= last; i++ {
		at := &v.nodes[i]
		u := at.right[0]
		r.ways[i] = unit(r3.Add(r.ways[i], r3.Add(r3.Scale(share*u[0], at.a), r3.Scale(share*u[1], at.b))))
	}
	r.force = r3.Add(r.force, r3.Scale(share, push))
	return far
}

// norm is a length, of what is neither tiny nor huge.
func norm(v r3.Vec) float64 { return math.Sqrt(r3.Norm2(v)) }

// unit is a vector of length 1: of one that is neither tiny nor huge.
func unit(v r3.Vec) r3.Vec { return r3.Scale(1/norm(v), v) }
