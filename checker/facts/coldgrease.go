package facts

import (
	"errors"
	"fmt"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/flow"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// coldFlow is how the grease flows at the lowest ambient.
type coldFlow struct {
	grease             value.Maybe[greaseLaw]
	index              value.Number
	yield, consistency value.Number
	workshop           value.Number // temperature at which a back pressure counts as measured
}

// greaseLaw is a grease with the law of its yield stress, and how far the law
// may be carried beyond the temperatures at which it was measured.
type greaseLaw struct {
	*kit.Grease
	law      flow.YieldStress
	measured []float64 // K
	far      float64   // K
	family   units.Family
}

// lawOf takes the law of a grease from what its catalogue entry states: two
// yield stresses; else one and two flow pressures, which are proportional to
// it; else one and the step that halves it.
func lawOf(n *value.Need, g *kit.Grease, far float64, family units.Family) greaseLaw {
	l := greaseLaw{Grease: g, far: far, family: family}
	yield := n.Number("the yield stress of "+g.Place(), g.YieldStress)
	at := n.Number("the temperature of the yield stress (yield_at) of "+g.Place(), g.YieldAt)
	l.law, l.measured = flow.YieldStress{Yield: yield, Temperature: at}, []float64{at}
	if g.YieldCold.Known && g.YieldColdAt.Known {
		l.fit(n, "the two yield stresses of "+g.Place(), flow.YieldPoint{Temperature: at, Yield: yield},
			flow.YieldPoint{Temperature: g.YieldColdAt.V, Yield: g.YieldCold.V})
		return l
	}
	if cold, warm, two := flowPressures(g); two && flow.Outside(at, cold.Temperature, warm.Temperature) <= far {
		l.fit(n, "the flow pressures of "+g.Place(), warm, cold)
		return l
	}
	l.law.Halving = n.Number("how the yield stress halves (yield_halving) of "+g.Place(), g.YieldHalving)
	return l
}

// fit takes the step that halves from two measurements. The stress stays that
// of the yield stress where they are of flow pressures.
func (l *greaseLaw) fit(n *value.Need, what string, p, q flow.YieldPoint) {
	fit, err := flow.FitYield(p, q)
	if err != nil {
		n.Stop(what + ": " + err.Error())
	}
	l.law.Halving = fit.Halving
	l.measured = append(l.measured, p.Temperature, q.Temperature)
}

// flowPressures are the coldest and the warmest that the grease states.
func flowPressures(g *kit.Grease) (cold, warm flow.YieldPoint, two bool) {
	for _, p := range g.FlowPressures {
		if !p.Temperature.Known || !p.Pressure.Known {
			continue
		}
		point := flow.YieldPoint{Temperature: p.Temperature.V, Yield: p.Pressure.V}
		if cold.Temperature == 0 || point.Temperature < cold.Temperature {
			cold = point
		}
		if point.Temperature > warm.Temperature {
			warm = point
		}
	}
	return cold, warm, cold.Temperature < warm.Temperature
}

// at is the yield stress at a temperature, where the law may be carried so far.
func (l *greaseLaw) at(temperature float64) (float64, error) {
	if off := flow.Outside(temperature, l.measured...); off > l.far {
		show := func(k float64) string { return units.Format(k, units.Temperature, l.family) }
		return 0, fmt.Errorf("how stiff %s is was measured %.0f K away from %s, and the law is carried %g K at most: "+
			"ask its maker for a second yield stress at %s (yield_stress_cold, yield_cold_at), or for its flow pressures by DIN 51805 there and at some %s (flow_pressures)",
			l.Place(), off, show(temperature), l.far, show(temperature), show(l.law.Temperature))
	}
	return l.law.At(temperature)
}

// coldGrease is the grease's yield stress and consistency at the lowest
// ambient. The consistency is taken as stated at the temperature of the yield
// stress.
func coldGrease(k *kit.Kit, o *Options) coldFlow {
	coldest := func(n *value.Need) float64 {
		return n.Number("the lowest ambient temperature (ambient) of the vehicle", k.Vehicle.Ambient.From)
	}
	c := coldFlow{workshop: o.limit("flow/workshop")}
	c.grease = value.Try(func(n *value.Need) (greaseLaw, error) {
		return lawOf(n, grease(n, k), n.Number("how far a yield stress is carried", o.limit("flow/carried")), k.Family()), nil
	})
	c.index = value.Compute(func(n *value.Need) (float64, error) {
		g := grease(n, k)
		return n.Number("the flow index of "+g.Place(), g.FlowIndex), nil
	})
	c.yield = value.Compute(func(n *value.Need) (float64, error) {
		temperature, g := coldest(n), c.grease.Of(n)
		return g.at(temperature)
	})
	c.consistency = value.Compute(func(n *value.Need) (float64, error) {
		temperature, g := coldest(n), grease(n, k)
		at := n.Number("the temperature of the yield stress (yield_at) of "+g.Place(), g.YieldAt)
		law := flow.Consistency{
			Consistency: n.Number("the consistency of "+g.Place(), g.Consistency),
			Index:       n.Number("the flow index", c.index),
			Temperature: at,
		}
		if at != temperature {
			law.Oil = oilOf(n, g)
		}
		return law.At(temperature)
	})
	return c
}

// back is the back pressure of a point in the cold: what was measured goes
// with the yield stress of the grease in the bearing, which is as cold as that
// in the tube.
func (c *coldFlow) back(p *kit.Point) value.Number {
	return value.Compute(func(n *value.Need) (float64, error) {
		stated := n.Number("the back pressure of "+pointPlace(p), p.BackPressure)
		at := n.Number("the temperature of the workshop", c.workshop)
		if p.BackAt.Node != nil {
			at = n.Number("the temperature of the back pressure (back_pressure_at) of "+pointPlace(p), p.BackAt)
		}
		cold, g := n.Number("the yield stress in the cold", c.yield), c.grease.Of(n)
		measured, err := g.at(at)
		if err != nil {
			return 0, errors.New("the back pressure of " + pointPlace(p) + ": " + err.Error())
		}
		return flow.BackPressureAt(stated, measured, cold)
	})
}

// oilOf is the line of the grease's oil on the viscosity-temperature chart.
func oilOf(n *value.Need, g *kit.Grease) flow.Walther {
	const at40, at100 = 313.15, 373.15 // K
	oil, err := flow.FitWalther(
		flow.ViscosityPoint{Temperature: at40, Kinematic: n.Number("the viscosity of the oil at 40 degC of "+g.Place(), g.OilViscosity)},
		flow.ViscosityPoint{Temperature: at100, Kinematic: n.Number("the viscosity of the oil at 100 degC of "+g.Place(), g.OilViscosityH)},
	)
	if err != nil {
		n.Stop("the oil of " + g.Place() + ": " + err.Error())
	}
	return oil
}
