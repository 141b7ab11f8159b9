package facts

import (
	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/dosing"
	"kitgauge/checker/value"
)

// PumpFit is the pump as fitted, with what all disciplines say of it.
type PumpFit struct {
	*kit.PumpFit
	Outlets []*Outlet `key:"outlets"`
	PumpReservoir
	PumpDosing
	PumpSurvey
	PumpFlow
	PumpMounting
	PumpRouting
	PumpFittings
	PumpEnvironment
}

// PumpReservoir is what the pump delivers, and how long its grease lasts.
type PumpReservoir struct {
	Strokes     value.Count  `key:"strokes_per_cycle"`
	DutyCycle   value.Number `key:"duty_cycle" dim:"plain_number"`
	Delivery    value.Number `key:"delivery" dim:"volume_flow"` // of all lines, while the vehicle runs
	Consumption value.Number `key:"consumption" dim:"volume"`   // over one refill interval
	Usable      value.Number `key:"usable" dim:"volume"`
	Reserve     value.Number `key:"reserve" dim:"plain_number"`
	Lasts       value.Number `key:"lasts" dim:"time"` // calendar time to the lower mark
	Priming     value.Number `key:"priming" dim:"volume"`
	FirstNeed   value.Number `key:"first_fill_need" dim:"volume"`
	GreaseMass  value.Number `key:"grease_mass" dim:"mass"`
	MarksRise   value.Flag   `key:"marks_in_order"` // the lower mark is below the upper
}

// Place names the pump.
func (p *PumpFit) Place() string { return "the pump" }

// reservoir works out what the pump delivers and how long its grease lasts.
func reservoir(k *kit.Kit, outlets []*Outlet, cycle value.Maybe[dosing.Cycle]) PumpReservoir {
	r := PumpReservoir{
		Strokes: value.Compute(func(n *value.Need) (int64, error) {
			strokes, err := cycle.Of(n).Strokes()
			return int64(strokes), err
		}),
		DutyCycle: value.Compute(func(n *value.Need) (float64, error) { return cycle.Of(n).DutyCycle() }),
		Delivery:  delivery(outlets, cycle),
		MarksRise: value.Compute(func(n *value.Need) (bool, error) {
			upper, lower := marks(n, &k.Pump)
			return lower < upper, nil
		}),
		Usable: value.Compute(func(n *value.Need) (float64, error) { return filled(n, &k.Pump).Usable() }),
		GreaseMass: value.Compute(func(n *value.Need) (float64, error) {
			volume := n.Number("the fill of the reservoir", k.Pump.Fill.Filled)
			return dosing.Grease{Volume: volume, Density: density(n, k)}.Mass()
		}),
	}
	r.balance(&k.Vehicle)
	r.Priming = value.Compute(func(n *value.Need) (float64, error) { return dosing.PrimingVolume(tubes(n, k)) })
	r.FirstNeed = value.Compute(func(n *value.Need) (float64, error) {
		all := tubes(n, k)
		return filled(n, &k.Pump).FirstFill(all)
	})
	return r
}

// timerCycle is the timer's setting; a timer that counts strokes runs for as
// long as they take.
func timerCycle(k *kit.Kit) value.Maybe[dosing.Cycle] {
	return value.Try(func(n *value.Need) (dosing.Cycle, error) {
		t := k.Pump.Timer
		c := dosing.Cycle{Pause: n.Number("the pause of the timer", t.Pause)}
		part := pumpPart(n, k)
		c.StrokeTime = n.Number("the stroke time of "+part.Place(), part.StrokeTime)
		if !t.Strokes.Known && t.Strokes.Node == nil {
			c.Run = n.Number("the run time or the number of strokes of the timer", t.Run)
			return c, nil
		}
		c.Run = float64(n.Count("the number of strokes of the timer", t.Strokes)) * c.StrokeTime
		return c, nil
	})
}

// pumpPart is the catalogue's entry of the pump.
func pumpPart(n *value.Need, k *kit.Kit) *kit.Pump { return k.Pump.Part.Of(n, "the part of the pump") }

// grease is the one in the pump.
func grease(n *value.Need, k *kit.Kit) *kit.Grease {
	return k.Pump.Grease.Of(n, "the grease of the pump")
}

func density(n *value.Need, k *kit.Kit) float64 {
	g := grease(n, k)
	return n.Number("the density of "+g.Place(), g.Density)
}

// tubeOf is the tube of a line.
func tubeOf(n *value.Need, l *kit.Line) *kit.Tube { return l.Tube.Of(n, "the tube of "+l.Label()) }

// delivery adds up the elements of the outlets that a line uses.
func delivery(outlets []*Outlet, cycle value.Maybe[dosing.Cycle]) value.Number {
	return value.Compute(func(n *value.Need) (float64, error) {
		c, total := cycle.Of(n), 0.0
		for _, o := range outlets {
			if len(o.Lines) > 0 {
				total += n.Number("what "+o.Place()+" delivers", rateOf(o, c))
			}
		}
		return total, nil
	})
}

func marks(n *value.Need, p *kit.PumpFit) (upper, lower float64) {
	return n.Number("the upper mark of the reservoir", p.Fill.Upper), n.Number("the lower mark of the reservoir", p.Fill.Lower)
}

func filled(n *value.Need, p *kit.PumpFit) dosing.Reservoir {
	upper, lower := marks(n, p)
	return dosing.Reservoir{UpperMark: upper, LowerMark: lower, Fill: n.Number("the fill of the reservoir", p.Fill.Filled)}
}

// balance compares what is in the reservoir with what is used up.
func (r *PumpReservoir) balance(v *kit.Vehicle) {
	usage := func(n *value.Need) dosing.Usage {
		return dosing.Usage{
			Rate:          n.Number("what the pump delivers", r.Delivery),
			RunningPerDay: n.Number("the time that the vehicle runs a day", v.HoursADay),
			DaysPerWeek:   float64(n.Count("the number of days a week on which the vehicle runs", v.DaysAWeek)),
		}
	}
	r.Consumption = value.Compute(func(n *value.Need) (float64, error) {
		u := usage(n)
		return u.Consumption(n.Number("the refill interval of the vehicle", v.RefillInterval))
	})
	r.Lasts = value.Compute(func(n *value.Need) (float64, error) {
		u := usage(n)
		return u.Lasts(n.Number("the usable fill", r.Usable))
	})
	r.Reserve = value.Compute(func(n *value.Need) (float64, error) {
		needed := n.Number("the consumption", r.Consumption)
		return dosing.Supply{AtHand: n.Number("the usable fill", r.Usable), Needed: needed}.Reserve()
	})
}

// tubes are those that a new kit fills.
func tubes(n *value.Need, k *kit.Kit) []dosing.Tube {
	var all []dosing.Tube
	for _, l := range k.Lines {
		t := tubeOf(n, l)
		all = append(all, dosing.Tube{
			InsideDiameter: n.Number("the inner diameter of "+t.Place(), t.Inner),
			Length:         n.Number("the cut length of "+l.Label(), l.CutLength),
		})
	}
	return all
}
