package bundling

import (
	"math"
	"math/rand/v2"
)

// Stiffness, step limit and the squared gradient at which to stop, by stage.
// Found by trial on the published cases of the tests: a stiffer or shorter
// soft stage leaves more starts in poor arrangements.
const (
	softMu, softSteps, softGradient = 3.0, 30, 1e-3
	firmMu, firmSteps, firmGradient = 100.0, 40, 1e-2
	lastMu, lastSteps, lastGradient = 300.0, 60, 1e-20

	lastRounds = 8
	promise    = 1.005 // see press
)

// layout is a candidate arrangement: x and y of each centre in turn, then the
// radius of the circle around the origin that holds them.
type layout []float64

func (l layout) radius() float64 { return l[len(l)-1] }

// bond is a pair of circles that may not overlap.
type bond struct {
	i, j   int     // offsets of their centres in a layout
	sum    float64 // of their radii
	reach  float64 // centres nearer than this are pushed apart
	force  float64 // Lagrange multiplier
	reach2 float64
}

// packer minimises the radius R of the enclosing circle,
//
//	R + mu/2 sum max(0, g + f/mu)^2
//
// over the centres and R, with g = r_i + r_j - d_ij for each pair and
// g = |c_i| + r_i - R for the wall. With the forces f at zero this is the
// quadratic penalty; raising each f to max(0, f + mu g) between minimisations
// is the augmented Lagrangian, which meets the constraints without a huge mu.
// Source: Nocedal and Wright, Numerical Optimization, 2nd ed., 17.1 and 17.4
// (from memory).
//
// Lengths are scaled so that the circles' areas sum to that of a unit circle.
type packer struct {
	r     []float64 // descending
	mu    float64
	bonds []bond
	wall  []float64 // force of the wall on each circle
	min   minimiser
	rng   *rand.Rand
}

func newPacker(r []float64) *packer {
	return &packer{r: r, wall: make([]float64, len(r)), min: newMinimiser(2*len(r) + 1), rng: rand.New(rand.NewPCG(1, 2))}
}

// setBonds lists the pairs whose circles are less than slack times the sum of
// their radii apart.
func (p *packer) setBonds(l layout, slack float64) {
	p.bonds = p.bonds[:0]
	for i, ri := range p.r {
		p.wall[i] = 0
		for j, rj := range p.r[:i] {
			sum := ri + rj
			dx, dy, far := l[2*i]-l[2*j], l[2*i+1]-l[2*j+1], sum*(1+slack)
			if dx*dx+dy*dy < far*far {
				p.bonds = append(p.bonds, bond{i: 2 * i, j: 2 * j, sum: sum, reach: sum, reach2: sum * sum})
			}
		}
	}
}

// value returns the function and writes its gradient.
func (p *packer) value(l layout, gradient []float64) float64 {
	clear(gradient)
	energy := 0.0
	for k := range p.bonds {
		b := &p.bonds[k]
		dx, dy := l[b.i]-l[b.j], l[b.i+1]-l[b.j+1]
		d2 := dx*dx + dy*dy
		if d2 >= b.reach2 {
			continue
		}
		d := math.Sqrt(d2)
		h := b.reach - d
		energy += h * h
		if d == 0 {
			d, dx = 1, 1
		}
		push := p.mu * h / d
		gradient[b.i] -= push * dx
		gradient[b.i+1] -= push * dy
		gradient[b.j] += push * dx
		gradient[b.j+1] += push * dy
	}
	radius, squeeze := l.radius(), 0.0
	for i, r := range p.r {
		x, y := l[2*i], l[2*i+1]
		room := radius - r - p.wall[i]/p.mu
		if room > 0 && x*x+y*y <= room*room {
			continue
		}
		d := math.Sqrt(x*x + y*y)
		h := d - room
		energy += h * h
		squeeze += h
		if d > 0 {
			push := p.mu * h / d
			gradient[2*i] += push * x
			gradient[2*i+1] += push * y
		}
	}
	gradient[len(gradient)-1] = 1 - p.mu*squeeze
	return radius + p.mu/2*energy
}

// press squeezes a start into a compact arrangement, softly at first so that
// circles can slip past each other. It gives up, and reports false, where the
// soft stage ends worse than the least so far by more than promise.
func (p *packer) press(l layout, least *float64) bool {
	p.setBonds(l, math.Inf(1))
	p.mu = softMu
	soft := p.min.run(p.value, l, softSteps, softGradient)
	if soft > *least*promise {
		return false
	}
	*least = min(*least, soft)
	p.setBonds(l, 0.6)
	p.mu = firmMu
	p.min.run(p.value, l, firmSteps, firmGradient)
	p.repair(l)
	return true
}

// polish removes what overlap and slack press has left.
func (p *packer) polish(l layout) {
	p.setBonds(l, 0.3)
	p.mu = lastMu
	for range lastRounds {
		p.min.run(p.value, l, lastSteps, lastGradient)
		if p.raiseForces(l) < 1e-11 {
			break
		}
	}
	p.repair(l)
}

// raiseForces updates the multipliers and returns the largest overlap.
func (p *packer) raiseForces(l layout) float64 {
	worst := 0.0
	for k := range p.bonds {
		b := &p.bonds[k]
		gap := b.sum - math.Hypot(l[b.i]-l[b.j], l[b.i+1]-l[b.j+1])
		worst = max(worst, gap)
		b.force = max(0, b.force+p.mu*gap)
		b.reach = b.sum + b.force/p.mu
		b.reach2 = b.reach * b.reach
	}
	for i, r := range p.r {
		gap := math.Hypot(l[2*i], l[2*i+1]) + r - l.radius()
		worst = max(worst, gap)
		p.wall[i] = max(0, p.wall[i]+p.mu*gap)
	}
	return worst
}

// repair spreads the centres until nothing overlaps and sets the radius that
// then holds everything, so that every layout compared is a real one.
func (p *packer) repair(l layout) {
	spread := 1.0
	for i, ri := range p.r {
		for j, rj := range p.r[:i] {
			sum := ri + rj
			dx, dy := l[2*i]-l[2*j], l[2*i+1]-l[2*j+1]
			if d2 := dx*dx + dy*dy; d2*spread*spread < sum*sum {
				spread = sum / math.Sqrt(d2)
			}
		}
	}
	radius := 0.0
	for i, r := range p.r {
		l[2*i] *= spread
		l[2*i+1] *= spread
		radius = max(radius, math.Hypot(l[2*i], l[2*i+1])+r)
	}
	l[len(l)-1] = radius
}
