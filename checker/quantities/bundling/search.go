package bundling

import (
	"math"
	"slices"
)

// search runs rounds of several starts and then variations of the best of
// them, until the radius is at most goal. It is deterministic: the random
// numbers have a fixed seed.
func (p *packer) search(goal float64, rounds, tries int) layout {
	best := p.lattice()
	trial := make(layout, len(best))
	for range rounds {
		round := p.round(goal, tries)
		copy(trial, round)
		p.polish(trial)
		for _, l := range []layout{round, trial} {
			if l.radius() < best.radius() {
				copy(best, l)
			}
		}
		if best.radius() <= goal {
			break
		}
	}
	return best
}

// near is how much wider than it could be a pressed layout may look.
const near = 1.005

// round returns the best of so many tries, unpolished; it stops early at one
// that polishing should bring to the goal.
func (p *packer) round(goal float64, tries int) layout {
	best, trial := make(layout, 2*len(p.r)+1), make(layout, 2*len(p.r)+1)
	best[len(best)-1] = math.Inf(1)
	least := math.Inf(1)
	for t := range tries {
		switch {
		case t >= (tries+3)/4:
			copy(trial, best)
			p.vary(trial)
		case t%2 == 0:
			p.spiral(trial, t > 0)
		default:
			p.turned(trial)
		}
		if p.press(trial, &least) && trial.radius() < best.radius() {
			copy(best, trial)
			if best.radius() <= goal*near {
				break
			}
		}
	}
	return best
}

// lattice puts the circles on a hexagonal lattice that is wide enough for the
// largest, the large ones innermost. It always fits.
func (p *packer) lattice() layout {
	type site struct{ x, y, d2 float64 }
	var sites []site
	pitch := 2 * p.r[0]
	// The circle within this rhombus holds about 2.7 k^2 sites, more than n.
	k := int(math.Sqrt(float64(len(p.r)))) + 1
	for a := -k; a <= k; a++ {
		for b := -k; b <= k; b++ {
			// The squared distance is a whole number of squared pitches, so
			// equals compare as equal.
			x, y := pitch*(float64(a)+float64(b)/2), pitch*math.Sqrt(3)/2*float64(b)
			sites = append(sites, site{x, y, float64(a*a + a*b + b*b)})
		}
	}
	slices.SortStableFunc(sites, func(a, b site) int { return int(a.d2 - b.d2) })
	l := make(layout, 2*len(p.r)+1)
	for i := range p.r {
		l[2*i], l[2*i+1] = sites[i].x, sites[i].y
	}
	p.repair(l)
	return l
}

// spiral writes a start along a sunflower spiral, the large circles innermost
// or shuffled, around a core of random emptiness, which decides how many
// circles make the innermost ring.
func (p *packer) spiral(l layout, shuffled bool) {
	order := p.rng.Perm(len(p.r))
	core := 2 * p.rng.Float64()
	if !shuffled {
		slices.Sort(order)
		core = 0.5
	}
	area, turn := core/float64(len(p.r)), 2*math.Pi*p.rng.Float64()
	for _, i := range order {
		d, jitter := 1.3*math.Sqrt(area), 0.3*p.r[i]
		area += p.r[i] * p.r[i]
		turn += math.Pi * (3 - math.Sqrt(5)) // golden angle
		l[2*i] = d*math.Cos(turn) + jitter*(p.rng.Float64()-0.5)
		l[2*i+1] = d*math.Sin(turn) + jitter*(p.rng.Float64()-0.5)
	}
	l[len(l)-1] = startRadius
}

// turned writes a random start that looks the same after half or a third of a
// turn. Some of the best arrangements are symmetric and hard to reach from a
// start that is not.
func (p *packer) turned(l layout) {
	fold := 2 + p.rng.IntN(2)
	order := p.rng.Perm(len(p.r))
	rest := len(order) % fold // near the middle
	var d, turn float64
	for k, i := range order {
		switch {
		case k < rest:
			d, turn = 0.2*p.rng.Float64(), 2*math.Pi*p.rng.Float64()
		case (k-rest)%fold == 0:
			d, turn = 1.1*math.Sqrt(p.rng.Float64()), 2*math.Pi*p.rng.Float64()
		}
		turn += 2 * math.Pi / float64(fold)
		l[2*i], l[2*i+1] = d*math.Cos(turn), d*math.Sin(turn)
	}
	l[len(l)-1] = startRadius
}

// startRadius is about that of the finished bundle, for circles whose areas
// sum to that of a unit circle.
const startRadius = 1.2

// vary swaps two circles of different size or, one time in four and always
// where the two drawn are equal, throws one somewhere else.
func (p *packer) vary(l layout) {
	i, j := p.rng.IntN(len(p.r)), p.rng.IntN(len(p.r))
	if p.r[i] != p.r[j] && p.rng.IntN(4) > 0 {
		l[2*i], l[2*j] = l[2*j], l[2*i]
		l[2*i+1], l[2*j+1] = l[2*j+1], l[2*i+1]
		return
	}
	turn, d := 2*math.Pi*p.rng.Float64(), l.radius()*math.Sqrt(p.rng.Float64())
	l[2*i], l[2*i+1] = d*math.Cos(turn), d*math.Sin(turn)
}
