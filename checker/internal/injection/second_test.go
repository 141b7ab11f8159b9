package injection_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/optimize"
)

// opinion is a quantity that is worked out a second time, by a method that
// shares nothing with the first, over random inputs.
type opinion struct {
	quantity string
	against  string
	measure  string  // what the deviation is, with its unit
	bound    float64 // that it has to keep
	inputs   [2]int  // how many: with all tests, and in full
	// deviation works one input out twice; negative is not counted, and NaN
	// or a failure is an error.
	deviation func(r *rand.Rand, hard bool) (float64, error)
}

// opinions lists them all.
func opinions() []opinion {
	var all []opinion
	for _, list := range [][]opinion{motionOpinions, packingOpinions, flowOpinions, feedOpinions, dosingOpinions, clearanceOpinions, groundOpinions, elasticaOpinions} {
		all = append(all, list...)
	}
	return all
}

// worst is the largest deviation that an opinion comes to, and the number of
// inputs that it was found over.
func (o *opinion) worst(hard bool) (worst float64, inputs int, err error) {
	inputs = o.inputs[0]
	if hard {
		inputs = o.inputs[1]
	}
	for i := range inputs {
		r := rand.New(rand.NewPCG(seed, uint64(i)))
		d, err := o.deviation(r, hard)
		switch {
		case err != nil:
			return 0, 0, fmt.Errorf("input %d: %w", i, err)
		case math.IsNaN(d):
			return 0, 0, fmt.Errorf("input %d: the deviation is no number", i)
		case d > o.bound:
			return 0, 0, fmt.Errorf("input %d: got a deviation of %g, want at most %g", i, d, o.bound)
		}
		worst = max(worst, d)
	}
	return worst, inputs, nil
}

// TestSecondOpinion holds every quantity within its bound.
func TestSecondOpinion(t *testing.T) {
	rows := "\n| quantity | held against | inputs | largest deviation | bound |\n| --- | --- | ---: | --- | ---: |\n"
	for _, o := range opinions() {
		t.Run(o.quantity+", "+o.measure, func(t *testing.T) {
			worst, inputs, err := o.worst(*full)
			if err != nil {
				t.Fatal(err)
			}
			t.Logf("%d inputs, largest deviation %.2g, bound %g", inputs, worst, o.bound)
			rows += o.row(worst, inputs)
		})
	}
	if *full {
		write(t, opinionPage, rows)
	}
}

// uniform is a number between two.
func uniform(r *rand.Rand, from, to float64) float64 { return from + (to-from)*r.Float64() }

// logUniform is one whose logarithm is between those of two.
func logUniform(r *rand.Rand, from, to float64) float64 {
	return math.Exp(uniform(r, math.Log(from), math.Log(to)))
}

// box is the range of the variables of a search.
type box struct{ from, to []float64 }

func (b box) draw(r *rand.Rand) []float64 {
	q := make([]float64, len(b.from))
	for i := range q {
		q[i] = uniform(r, b.from[i], b.to[i])
	}
	return q
}

// inside carries any numbers into the box: each swings between its ends.
func (b box) inside(u []float64) []float64 {
	q := make([]float64, len(u))
	for i := range u {
		q[i] = (b.from[i]+b.to[i])/2 + (b.to[i]-b.from[i])/2*math.Sin(u[i])
	}
	return q
}

// outside undoes inside.
func (b box) outside(q []float64) []float64 {
	u := make([]float64, len(q))
	for i := range q {
		if half := (b.to[i] - b.from[i]) / 2; half > 0 {
			u[i] = math.Asin(max(-1, min(1, (q[i]-(b.from[i]+b.to[i])/2)/half)))
		}
	}
	return u
}

// lowest looks for the least value of f in the box: a grid with the corners,
// points drawn between, then gonum's Nelder-Mead from the best of them.
func (b box) lowest(r *rand.Rand, f func(q []float64) float64, hard bool) (float64, error) {
	drawn, starts := 400, 6
	if hard {
		drawn, starts = 3000, 16
	}
	type sample struct {
		q []float64
		v float64
	}
	var best []sample
	keep := func(q []float64) {
		s := sample{q, f(q)}
		at := len(best)
		for at > 0 && best[at-1].v > s.v {
			at--
		}
		if best = append(best[:at], append([]sample{s}, best[at:]...)...); len(best) > starts {
			best = best[:starts]
		}
	}
	b.grid(keep)
	for range drawn {
		keep(b.draw(r))
	}
	least := best[0].v
	problem := optimize.Problem{Func: func(u []float64) float64 { return f(b.inside(u)) }}
	for _, s := range best {
		u := b.outside(s.q)
		for i := range u { // off the ends, where the swing stands still
			u[i] += 0.05 * (r.Float64() - 0.5)
		}
		result, err := optimize.Minimize(problem, u, &optimize.Settings{
			Converger: &optimize.FunctionConverge{Absolute: 1e-12, Iterations: 60}, FuncEvaluations: 4000,
		}, &optimize.NelderMead{})
		if err != nil && result == nil {
			return 0, err
		}
		least = min(least, result.F)
	}
	return least, nil
}

// grid hands over the points of a grid of five a side, the corners with it.
func (b box) grid(keep func(q []float64)) {
	const side = 5
	n := 1
	for range b.from {
		n *= side
	}
	for k := range n {
		q := make([]float64, len(b.from))
		for i, rest := 0, k; i < len(q); i, rest = i+1, rest/side {
			q[i] = b.from[i] + (b.to[i]-b.from[i])*float64(rest%side)/(side-1)
		}
		keep(q)
	}
}
