package injection_test

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/integrate/quad"

	"kitgauge/checker/quantities/flow"
)

var flowOpinions = []opinion{
	{
		quantity: "flow of a Herschel-Bulkley grease", against: "velocity profile integrated with Gauss-Legendre quadrature, then over the bore",
		measure: "relative", bound: 1e-7, inputs: [2]int{100, 2000},
		deviation: func(r *rand.Rand, _ bool) (float64, error) {
			tube, wall, grease := someFlow(r)
			p := 4 * wall * tube.Length / tube.Bore
			got, err := grease.Flow(tube, p)
			return math.Abs(got/integrated(tube, p, grease) - 1), err
		},
	},
	{
		quantity: "flow of a Bingham grease", against: "velocity profile integrated with Gauss-Legendre quadrature, then over the bore",
		measure: "relative", bound: 1e-9, inputs: [2]int{100, 2000},
		deviation: func(r *rand.Rand, _ bool) (float64, error) {
			tube, wall, grease := someFlow(r)
			grease.Index = 1
			p := 4 * wall * tube.Length / tube.Bore
			got, err := flow.Bingham{Yield: grease.Yield, Viscosity: grease.Consistency}.Flow(tube, p)
			return math.Abs(got/integrated(tube, p, grease) - 1), err
		},
	},
	{
		quantity: "pressure of a Herschel-Bulkley grease", against: "round trip from pressure to flow and back",
		measure: "relative", bound: 1e-9, inputs: [2]int{200, 5000},
		deviation: func(r *rand.Rand, _ bool) (float64, error) {
			tube, wall, grease := someFlow(r)
			p := 4 * wall * tube.Length / tube.Bore
			q, err := grease.Flow(tube, p)
			if err != nil {
				return 0, err
			}
			back, err := grease.Pressure(tube, q)
			return math.Abs(back/p - 1), err
		},
	},
	{
		quantity: "pressure of a Bingham grease", against: "round trip from pressure to flow and back",
		measure: "relative", bound: 1e-9, inputs: [2]int{200, 5000},
		deviation: func(r *rand.Rand, _ bool) (float64, error) {
			tube, wall, grease := someFlow(r)
			b := flow.Bingham{Yield: grease.Yield, Viscosity: grease.Consistency}
			p := 4 * wall * tube.Length / tube.Bore
			q, err := b.Flow(tube, p)
			if err != nil {
				return 0, err
			}
			back, err := b.Pressure(tube, q)
			return math.Abs(back/p - 1), err
		},
	},
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
