package injection_test

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/integrate/quad"

	"kitgauge/checker/quantities/flow"
)

var flowOpinions = []opinion{
	{
		quantity: "pressure of a Herschel-Bulkley grease", against: "the flow at that pressure: velocity profile integrated with Gauss-Legendre quadrature, then over the bore",
		measure: "relative", bound: 1e-7, inputs: [2]int{100, 2000},
		deviation: func(r *rand.Rand, _ bool) (float64, error) { return pressureAgainstFlow(someFlow(r)) },
	},
	{
		quantity: "pressure of a Bingham grease", against: "the flow at that pressure: velocity profile integrated with Gauss-Legendre quadrature, then over the bore",
		measure: "relative", bound: 1e-9, inputs: [2]int{100, 2000},
		deviation: func(r *rand.Rand, _ bool) (float64, error) {
			tube, wall, grease := someFlow(r)
			grease.Index = 1
			return pressureAgainstFlow(tube, wall, grease)
		},
	},
}

func pressureAgainstFlow(tube flow.Tube, wall float64, grease flow.HerschelBulkley) (float64, error) {
	p := 4 * wall * tube.Length / tube.Bore
	got, err := grease.Pressure(tube, integrated(tube, p, grease))
	return math.Abs(got/p - 1), err
}

// someFlow is a tube, the stress at its wall and a grease, as kits have them.
func someFlow(r *rand.Rand) (flow.Tube, float64, flow.HerschelBulkley) {
	tube := flow.Tube{Bore: uniform(r, 0.0015, 0.008), Length: uniform(r, 0.3, 15)}
	grease := flow.HerschelBulkley{Yield: logUniform(r, 5, 3000), Consistency: logUniform(r, 0.5, 500), Index: uniform(r, 0.3, 1.2)}
	return tube, grease.Yield * (1 + logUniform(r, 0.01, 100)), grease
}

// integrated is the flow by the definition: the shear rate at each radius
// gives the velocity there, and the velocity over the bore the flow. Within
// the plug nothing shears.
func integrated(t flow.Tube, pressure float64, g flow.HerschelBulkley) float64 {
	const nodes = 60
	radius := t.Bore / 2
	plug := g.Yield * 2 * t.Length / pressure
	rate := func(at float64) float64 {
		return math.Pow(max(0, pressure*at/(2*t.Length)-g.Yield)/g.Consistency, 1/g.Index)
	}
	// at = plug + (radius - plug) s^2 takes the root out of the shear rate at
	// the edge of the plug
	width := radius - plug
	velocity := func(s float64) float64 {
		return quad.Fixed(func(s float64) float64 { return rate(plug+width*s*s) * 2 * width * s }, s, 1, nodes, quad.Legendre{}, 0)
	}
	core := math.Pi * plug * plug * velocity(0)
	return core + quad.Fixed(func(s float64) float64 {
		return 2 * math.Pi * (plug + width*s*s) * velocity(s) * 2 * width * s
	}, 0, 1, nodes, quad.Legendre{}, 0)
}
