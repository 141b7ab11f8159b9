package facts

import (
	"fmt"
	"slices"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/environment"
	"kitgauge/checker/quantities/flow"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// GreaseInCold is what the figures of a grease say of the cold, beside each
// other and beside the lowest temperature of its designation.
type GreaseInCold struct {
	StifferCold  value.Flag   `key:"stiffer_in_cold"`                         // the second yield stress is colder and greater
	ColdSays     value.Text   `key:"cold_says"`                               // both with their temperatures
	Trusted      value.Flag   `key:"cold_trusted"`                            // neither its series nor a rule of its own names one of them as wrong
	Lowest       value.Number `key:"designation_lowest" dim:"temperature"`    // of a designation of type K by DIN 51502
	FlowPressure value.Number `key:"flow_pressure" dim:"pressure"`            // at that temperature
	FlowsAt      value.Number `key:"flows_at" dim:"temperature"`              // the coldest with a flow pressure that is stated and within the most, where the designation is a step or more of DIN 51502 warmer
	Implied      value.Number `key:"implied_flow_pressure" dim:"pressure"`    // there, of the warmest one by the yield stress
	ImpliedFrom  value.Text   `key:"implied_from"`                            // the warmest one, and how the yield stress grows from there
	Apart        value.Number `key:"flow_pressures_apart" dim:"plain_number"` // by which yield stresses and flow pressures grow differently
}

// coldFigures are the members that the law of a grease is taken from.
var coldFigures = []string{"yield stress", "yield at", "yield halving", "yield stress cold", "yield cold at"}

// greaseInCold holds the figures of a grease against each other. Strays are
// those that its series names as wrong.
func greaseInCold(g *kit.Grease, law value.Maybe[greaseLaw], o *Options, strays []string) GreaseInCold {
	c := GreaseInCold{Trusted: value.Known(!slices.ContainsFunc(coldFigures, func(f string) bool { return slices.Contains(strays, f) }))}
	if g.YieldStress.Known && g.YieldAt.Known && g.YieldCold.Known && g.YieldColdAt.Known {
		c.StifferCold = value.Known(g.YieldColdAt.V < g.YieldAt.V && g.YieldCold.V > g.YieldStress.V)
		c.ColdSays = value.Known(fmt.Sprintf("%.4g Pa at %.4g degC and %.4g Pa at %.4g degC",
			g.YieldStress.V, g.YieldAt.V-273.15, g.YieldCold.V, g.YieldColdAt.V-273.15))
	}
	c.Lowest = value.Compute(func(n *value.Need) (float64, error) {
		d, err := environment.Parse(n.Text("the designation of "+g.Place(), g.Designation))
		if err == nil && (d.Use != "K" || !d.Lowest.Known) {
			n.Stop("the designation of " + g.Place() + " states no lowest temperature by DIN 51825")
		}
		return d.Lowest.Temperature, err
	})
	c.FlowPressure = value.Compute(func(n *value.Need) (float64, error) {
		lowest := n.Number("the lowest temperature", c.Lowest)
		far, most := n.Number("how far a yield stress is carried", o.limit("flow/carried")), n.Number("the most flow pressure", o.limit("catalogue/flow_pressure"))
		return flowPressureAt(n, g, lowest, far, most)
	})
	c.flowsAt(g, o)
	c.grows(g, law)
	return c
}

// flowsAt finds the coldest temperature at which a grease flows as stated, where
// its designation is for a much warmer one. DIN 51502 has steps of 10 K.
func (c *GreaseInCold) flowsAt(g *kit.Grease, o *Options) {
	most := o.limit("catalogue/flow_pressure")
	if !c.Lowest.Known || !most.Known {
		return
	}
	coldest := c.Lowest.V - designationSteps*10 + 1e-6
	for _, p := range g.FlowPressures {
		if p.Temperature.Known && p.Pressure.Known && p.Pressure.V <= most.V && p.Temperature.V < coldest {
			c.FlowsAt, coldest = p.Temperature, p.Temperature.V
		}
	}
}

// designationSteps is by how many steps a maker may name a grease for less than
// it stands. Common practice, no source.
const designationSteps = 2

// flowPressureAt is the flow pressure at a temperature: stated for it, or on
// the law through the coldest and the warmest. A single one beside it settles
// what it can: a colder one within the most that is allowed, a warmer one
// beyond it.
func flowPressureAt(n *value.Need, g *kit.Grease, temperature, far, most float64) (float64, error) {
	for _, p := range g.FlowPressures {
		if p.Temperature.Known && p.Pressure.Known && p.Temperature.V == temperature {
			return p.Pressure.V, nil
		}
	}
	cold, warm, two := flowPressures(g)
	settles := cold.Temperature > 0 && (cold.Temperature < temperature) == (cold.Yield <= most)
	switch {
	case two && flow.Outside(temperature, cold.Temperature, warm.Temperature) <= far:
		fit, err := flow.FitYield(cold, warm)
		if err != nil {
			return 0, err
		}
		return fit.At(temperature)
	case !two && settles:
		return cold.Yield, nil
	}
	n.Stop("the flow pressure at " + units.Format(temperature, units.Temperature, units.Metric) + " is not stated: ask the maker of " + g.Place() + " for it (DIN 51805)")
	return 0, nil
}

// grows follows the warmest flow pressure along the law of the yield stress.
// Both are proportional to each other, for the nozzle stays the same.
func (c *GreaseInCold) grows(g *kit.Grease, law value.Maybe[greaseLaw]) {
	growth := func(n *value.Need, from, to float64) float64 {
		l := law.Of(n)
		a, err := l.at(from)
		b, err2 := l.at(to)
		switch {
		case err != nil:
			n.Stop(err.Error())
		case err2 != nil:
			n.Stop(err2.Error())
		case a <= 0:
			n.Stop(g.Place() + " has no yield stress")
		}
		return b / a
	}
	value.Fill(func(n *value.Need) error {
		_, warm, _ := flowPressures(g)
		if warm.Temperature == 0 {
			n.Stop("no flow pressure of " + g.Place() + " is stated")
		}
		more := growth(n, warm.Temperature, n.Number("the lowest temperature", c.Lowest))
		family := law.Of(n).family
		c.Implied = value.Known(warm.Yield * more)
		c.ImpliedFrom = value.Known(fmt.Sprintf("%s at %s, and a yield stress that grows %.3g times from there",
			units.Format(warm.Yield, units.Pressure, family), units.Format(warm.Temperature, units.Temperature, family), more))
		return nil
	}, &c.Implied, &c.ImpliedFrom)
	c.Apart = value.Compute(func(n *value.Need) (float64, error) {
		cold, warm, two := flowPressures(g)
		if !two || !g.YieldCold.Known || cold.Yield <= 0 || warm.Yield <= 0 {
			n.Stop("two yield stresses and two flow pressures of " + g.Place() + " are not stated")
		}
		ratio := growth(n, warm.Temperature, cold.Temperature) / (cold.Yield / warm.Yield)
		return max(ratio, 1/ratio), nil
	})
}
