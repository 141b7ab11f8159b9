package injection_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/optimize"

	"kitgauge/checker/quantities/bundling"
)

var packingOpinions = []opinion{
	{
		quantity: "circle round 2 to 12 mixed tubes", against: "penalty method with gonum's L-BFGS, 60 random starts",
		measure: "share wider", bound: 0.01, inputs: [2]int{12, 120}, deviation: wider,
	},
	{
		quantity: "circle round 2 to 12 mixed tubes", against: "overlap and overhang of the arrangement returned, measured afresh",
		measure: "share of the diameter", bound: 1e-9, inputs: [2]int{100, 2000}, deviation: overlap,
	},
	{
		quantity: "circle round 2 to 12 mixed tubes", against: "lower bounds: area, two largest, circle round the three largest (Descartes)",
		measure: "share below", bound: 1e-9, inputs: [2]int{100, 2000}, deviation: belowBound,
	},
}

// someTubes are 2 to 12 tubes of the sizes that kits have: 3 to 12 mm.
func someTubes(r *rand.Rand) []float64 {
	d := make([]float64, 2+r.IntN(11))
	for i := range d {
		d[i] = math.Round(uniform(r, 3, 12)*4) / 4000
	}
	return d
}

// wider is by how much a circle is wider than the best of another method.
func wider(r *rand.Rand, hard bool) (float64, error) {
	d := someTubes(r)
	got, err := bundling.EnclosingCircle(d)
	if err != nil {
		return 0, err
	}
	starts := 20
	if hard {
		starts = 60
	}
	want := math.Inf(1)
	for range starts {
		want = min(want, penalised(r, d))
	}
	return got.Diameter/want - 1, nil
}

// penalised packs circles by minimising the radius round them and ever more of
// the square of what overlaps; what overlaps at the end is pulled apart.
func penalised(r *rand.Rand, d []float64) float64 {
	n, sum := len(d), 0.0
	radii := make([]float64, n)
	for _, v := range d {
		sum += v * v
	}
	size := math.Sqrt(sum)
	for i, v := range d {
		radii[i] = v / 2 / size
	}
	x := make([]float64, 2*n+1)
	for i := range x {
		x[i] = uniform(r, -0.5, 0.5)
	}
	x[2*n] = 0.8
	for weight := 10.0; weight < 1e7; weight *= 10 {
		f := packingEnergy{radii, weight}
		result, err := optimize.Minimize(optimize.Problem{Func: f.value, Grad: f.gradient}, x,
			&optimize.Settings{MajorIterations: 150, GradientThreshold: 1e-9}, &optimize.LBFGS{})
		if result == nil {
			panic(err)
		}
		x = result.X
	}
	spread := 1.0
	for i := range n {
		for j := range i {
			spread = max(spread, (radii[i]+radii[j])/math.Hypot(x[2*i]-x[2*j], x[2*i+1]-x[2*j+1]))
		}
	}
	round := 0.0
	for i := range n {
		round = max(round, spread*math.Hypot(x[2*i], x[2*i+1])+radii[i])
	}
	return 2 * round * size
}

// packingEnergy is the radius round circles, with a penalty for overlap and
// overhang. The variables are the centres and, last, the radius.
type packingEnergy struct {
	radii  []float64
	weight float64
}

func (f packingEnergy) value(x []float64) float64 {
	e := x[len(x)-1]
	f.each(x, func(over float64, _, _ int, _, _ float64) { e += f.weight * over * over })
	return e
}

func (f packingEnergy) gradient(grad, x []float64) {
	clear(grad)
	last := len(x) - 1
	grad[last] = 1
	f.each(x, func(over float64, i, j int, ux, uy float64) {
		s := 2 * f.weight * over
		if j < 0 { // beyond the rim
			grad[2*i] += s * ux
			grad[2*i+1] += s * uy
			grad[last] -= s
			return
		}
		grad[2*i] -= s * ux
		grad[2*i+1] -= s * uy
		grad[2*j] += s * ux
		grad[2*j+1] += s * uy
	})
}

// each hands over what overlaps, with its direction; j is -1 for the rim.
func (f packingEnergy) each(x []float64, do func(over float64, i, j int, ux, uy float64)) {
	for i, r := range f.radii {
		far := math.Hypot(x[2*i], x[2*i+1])
		if over := far + r - x[len(x)-1]; over > 0 && far > 0 {
			do(over, i, -1, x[2*i]/far, x[2*i+1]/far)
		}
		for j := range i {
			dx, dy := x[2*i]-x[2*j], x[2*i+1]-x[2*j+1]
			far := math.Hypot(dx, dy)
			if over := r + f.radii[j] - far; over > 0 && far > 0 {
				do(over, i, j, dx/far, dy/far)
			}
		}
	}
}

func overlap(r *rand.Rand, _ bool) (float64, error) {
	d := someTubes(r)
	a, err := bundling.EnclosingCircle(d)
	if err != nil {
		return 0, err
	}
	worst := 0.0
	for i, c := range a.Circles {
		if c.Diameter != d[i] {
			return 0, fmt.Errorf("tube %d of %g m came back as %g m", i, d[i], c.Diameter)
		}
		worst = max(worst, math.Hypot(c.X, c.Y)+c.Diameter/2-a.Diameter/2)
		for _, o := range a.Circles[:i] {
			worst = max(worst, (c.Diameter+o.Diameter)/2-math.Hypot(c.X-o.X, c.Y-o.Y))
		}
	}
	return worst / a.Diameter, nil
}

func belowBound(r *rand.Rand, _ bool) (float64, error) {
	d := someTubes(r)
	a, err := bundling.EnclosingCircle(d)
	if err != nil {
		return 0, err
	}
	slices.SortFunc(d, func(a, b float64) int { return int(math.Copysign(1, b-a)) })
	area := 0.0
	for _, v := range d {
		area += v * v
	}
	bound := max(math.Sqrt(area), d[0]+d[1])
	if len(d) > 2 {
		bound = max(bound, roundThree(d[0], d[1], d[2]))
	}
	return 1 - a.Diameter/bound, nil
}

// roundThree is the diameter of the smallest circle round three, the largest
// first: the circle theorem of Descartes, with curvatures.
func roundThree(a, b, c float64) float64 {
	ka, kb, kc := 1/a, 1/b, 1/c
	if kc >= ka+kb-1/(a+b) { // it has room beside the others, which lie in line
		return a + b
	}
	return -1 / (ka + kb + kc - 2*math.Sqrt(ka*kb+kb*kc+kc*ka))
}
