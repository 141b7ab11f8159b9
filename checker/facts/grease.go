package facts

import (
	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/flow"
	"kitgauge/checker/value"
)

// PumpFlow is the grease as the pump finds it, and how the lines differ.
type PumpFlow struct {
	ColdYield       value.Number `key:"cold_yield_stress" dim:"pressure"`
	ColdConsistency value.Number `key:"cold_consistency" dim:"plain_number"` // Pa sⁿ
	ColdProblem     value.Text   `key:"cold_problem"`                        // why one of the two is not known
	GradeFault      value.Text   `key:"grade_fault"`                         // "", too soft, too stiff
	Hardest         value.Text   `key:"hardest_line"`
	Easiest         value.Text   `key:"easiest_line"`
	Spread          value.Number `key:"resistance_spread" dim:"plain_number"`
	EvenBore        value.Number `key:"even_bore" dim:"length"` // of the hardest line, at a spread of one
}

// coldGrease is the grease's yield stress and consistency at the lowest
// ambient. The consistency is taken as stated at the temperature of the yield
// stress.
func (f *Kit) coldGrease() {
	p := &f.Pump
	var need value.Need
	coldest := need.Number("the lowest ambient temperature (ambient) of the vehicle", f.Coldest)
	g := p.Grease.To
	if g == nil {
		need.Lack(p.Grease.Reason("the grease of the pump"))
		p.ColdYield, p.ColdConsistency = need.Unknown(), need.Unknown()
		return
	}
	at := need.Number("the temperature of the yield stress (yield_at) of "+g.Place(), g.YieldAt)
	yieldNeed, flowNeed := need, need
	law := flow.YieldStress{
		Yield:       yieldNeed.Number("the yield stress of "+g.Place(), g.YieldStress),
		Temperature: at,
		Halving:     yieldNeed.Number("how the yield stress halves (yield_halving) of "+g.Place(), g.YieldHalving),
	}
	p.ColdYield = yieldNeed.Unknown()
	if !yieldNeed.Missing() {
		p.ColdYield = value.Result(law.At(coldest))
	}
	c := flow.Consistency{
		Consistency: flowNeed.Number("the consistency of "+g.Place(), g.Consistency),
		Index:       flowNeed.Number("the flow index of "+g.Place(), g.FlowIndex),
		Temperature: at,
	}
	if at != coldest {
		c.Oil = oilOf(g, &flowNeed)
	}
	p.ColdConsistency = flowNeed.Unknown()
	if !flowNeed.Missing() {
		p.ColdConsistency = value.Result(c.At(coldest))
	}
}

// oilOf is the line of the grease's oil on the viscosity-temperature chart.
func oilOf(g *kit.Grease, need *value.Need) flow.Walther {
	const at40, at100 = 313.15, 373.15 // K
	p := flow.ViscosityPoint{Temperature: at40, Kinematic: need.Number("the viscosity of the oil at 40 degC of "+g.Place(), g.OilViscosity)}
	q := flow.ViscosityPoint{Temperature: at100, Kinematic: need.Number("the viscosity of the oil at 100 degC of "+g.Place(), g.OilViscosityH)}
	if need.Missing() {
		return flow.Walther{}
	}
	oil, err := flow.FitWalther(p, q)
	if err != nil {
		need.Lack("the oil of " + g.Place() + ": " + err.Error())
	}
	return oil
}

// gradeFault holds the grease's NLGI grade against the pump's range.
func (f *Kit) gradeFault() value.Text {
	var need value.Need
	pump, grease := f.Kit.Pump.Part.To, f.Kit.Pump.Grease.To
	if pump == nil {
		need.Lack(f.Kit.Pump.Part.Reason("the part of the pump"))
		return value.Unknown[string](need.Why())
	}
	if grease == nil {
		need.Lack(f.Kit.Pump.Grease.Reason("the grease of the pump"))
		return value.Unknown[string](need.Why())
	}
	rank := func(what string, t value.Text) int {
		grade := need.Text(what, t)
		if need.Missing() {
			return 0
		}
		r, err := flow.ConsistencyRank(grade)
		if err != nil {
			need.Lack(what + ": " + err.Error())
		}
		return r
	}
	is := rank("the grade of "+grease.Place(), grease.Grade)
	softest := rank("the softest grease of "+pump.Place(), pump.SoftestGrease)
	stiffest := rank("the stiffest grease of "+pump.Place(), pump.StiffestGrease)
	switch {
	case need.Missing():
		return value.Unknown[string](need.Why())
	case is < softest:
		return value.Known("too soft")
	case is > stiffest:
		return value.Known("too stiff")
	}
	return value.Known("")
}

// spread compares the lines that resist most and least: length over bore, to
// which the pressure that starts a grease is proportional, whatever grease.
// Lines of which one of the two is not known are left out; the rules on their
// pressure say so.
func (f *Kit) spread() {
	p := &f.Pump
	p.Spread = value.Known(1.0)
	var hardest, easiest flow.Tube
	for _, l := range f.Lines {
		var need value.Need
		t := tubeOf(l, &need)
		if need.Missing() || t.Bore <= 0 || t.Length <= 0 {
			continue
		}
		if !p.Hardest.Known || t.Length/t.Bore > hardest.Length/hardest.Bore {
			hardest, p.Hardest = t, value.Known(l.Place())
		}
		if !p.Easiest.Known || t.Length/t.Bore < easiest.Length/easiest.Bore {
			easiest, p.Easiest = t, value.Known(l.Place())
		}
	}
	if p.Hardest.Known {
		p.EvenBore = value.Known(hardest.Length * easiest.Bore / easiest.Length)
		p.Spread = value.Known(p.EvenBore.V / hardest.Bore)
	}
}
