package facts

import (
	"errors"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/dosing"
	"kitgauge/checker/value"
)

// PointDosing is what a point needs and gets while the vehicle runs.
type PointDosing struct {
	Required    value.Number `key:"required" dim:"volume_flow"`
	Delivered   value.Number `key:"delivered" dim:"volume_flow"`
	DoseRatio   value.Number `key:"dose_ratio" dim:"plain_number"`
	EqualStroke value.Number `key:"equal_stroke" dim:"volume"` // an element that gives just what is needed
	Supplied    value.Flag   `key:"supplied"`                  // every line of it has an element of its own, that fits the pump
}

// PumpDosing is how the timer suits the pump.
type PumpDosing struct {
	RunTime   value.Number `key:"run_time" dim:"time"`   // of one cycle
	CycleTime value.Number `key:"cycle_time" dim:"time"` // pause and run
}

func pumpDosing(cycle value.Maybe[dosing.Cycle]) PumpDosing {
	return PumpDosing{
		RunTime:   value.Compute(func(n *value.Need) (float64, error) { return cycle.Of(n).Run, nil }),
		CycleTime: value.Compute(func(n *value.Need) (float64, error) { c := cycle.Of(n); return c.Pause + c.Run, nil }),
	}
}

// served lists the outlets of the lines of each point; one that is not known
// is nil.
func served(lines []*Line) map[*kit.Point][]*Outlet {
	outlets := map[*kit.Point][]*Outlet{}
	for _, l := range lines {
		if p := l.Line.Point.To; p != nil {
			outlets[p] = append(outlets[p], l.OutletFit.To)
		}
	}
	return outlets
}

// pointDosing compares what a point gets from its outlets with what it needs.
func pointDosing(k *kit.Kit, p *Point, outlets []*Outlet, cycle value.Maybe[dosing.Cycle], strokes value.Count) PointDosing {
	d := PointDosing{Required: required(k, p), Supplied: value.Known(len(outlets) > 0)}
	for _, o := range outlets {
		// where an element does not fit there will be another, so what this one gives is no matter
		if whyNot(p, o) != "" || o.ElementFits.Known && !o.ElementFits.V {
			d.Supplied = value.Known(false)
		}
	}
	d.Delivered = value.Compute(func(n *value.Need) (float64, error) {
		c, total := cycle.Of(n), 0.0
		if len(outlets) == 0 {
			n.Stop("no line ends at " + p.Place())
		}
		for _, o := range outlets {
			if why := whyNot(p, o); why != "" {
				n.Stop(why)
			}
			total += n.Number("what "+o.Place()+" delivers", rateOf(o, c))
		}
		return total, nil
	})
	value.Fill(func(n *value.Need) error {
		total, needed := n.Number("what it gets", d.Delivered), n.Number("what "+p.Place()+" needs", d.Required)
		d.DoseRatio = value.Result(dosing.Balance{Delivered: total, Demand: needed}.Ratio())
		if c := cycle.Of(n); strokes.V > 0 {
			d.EqualStroke = value.Known(needed * (c.Pause + c.Run) / float64(strokes.V) / float64(len(outlets)))
		}
		return nil
	}, &d.DoseRatio, &d.EqualStroke)
	return d
}

// whyNot says why it is not known what a point gets from an outlet, whatever
// the element.
func whyNot(p *Point, o *Outlet) string {
	switch {
	case o == nil || !o.Element.ID.Known:
		return "a line of " + p.Place() + " leaves no metering element"
	case len(o.Lines) > 1:
		return o.Place() + " serves several lines, and how much goes into each is not known"
	}
	return ""
}

// rateOf is what the element of an outlet delivers under the timer's setting.
func rateOf(o *Outlet, c dosing.Cycle) value.Number {
	return value.Compute(func(n *value.Need) (float64, error) {
		e := o.Element.Of(n, "the metering element of "+o.Place())
		return dosing.Delivery{Cycle: c, StrokeVolume: n.Number("the stroke volume of "+e.Place(), e.StrokeVolume)}.Rate()
	})
}

// required is what a point needs: what its maker states, else what follows
// from its bearing.
func required(k *kit.Kit, p *Point) value.Number {
	if p.Demand.Known || p.Demand.Node != nil {
		return p.Demand
	}
	return value.Compute(func(n *value.Need) (float64, error) {
		b := p.Bearing
		if b.Node == nil {
			n.Stop("neither the bearing nor the demand of " + p.Place() + " is stated")
		}
		of := " of the bearing of " + p.Place()
		kind := n.Text("the kind"+of, b.Kind)
		diameter, width := n.Number("the diameter"+of, b.Diameter), n.Number("the width"+of, b.Width)
		switch kind {
		case "plain", "pin":
			return dosing.PlainBearing{Diameter: diameter, Width: width}.Demand()
		case "rolling":
			every := interval(n.Text("how often the bearing of "+p.Place()+" was greased by hand (interval)", b.Interval))
			return rollingDemand(n, k, dosing.RollingBearing{OutsideDiameter: diameter, Width: width, Factor: every.factor}, every.time)
		}
		return 0, errors.New("the kind" + of + " is not one of plain, pin and rolling")
	})
}

// rollingDemand spreads the amount for one greasing by hand over the running
// time between two of them.
func rollingDemand(n *value.Need, k *kit.Kit, b dosing.RollingBearing, every float64) (float64, error) {
	usage := dosing.Usage{
		RunningPerDay: n.Number("hours a day of the vehicle", k.Vehicle.HoursADay),
		DaysPerWeek:   float64(n.Count("days a week of the vehicle", k.Vehicle.DaysAWeek)),
	}
	density := density(n, k)
	mass, err := b.Replenishment()
	if err != nil {
		return 0, err
	}
	running, err := usage.Running(every)
	if err != nil {
		return 0, err
	}
	return dosing.Portion{Mass: mass, Interval: running, Density: density}.Demand()
}

// greasing is how often a bearing is greased by hand.
type greasing struct {
	time   float64 // calendar time, s
	factor float64 // of dosing.RollingBearing
}

// interval looks up the word of the kit file; one that is not known gives the
// zero greasing, which the formulas refuse.
func interval(word string) greasing {
	const day = 24 * 3600.0
	switch word {
	case "weekly":
		return greasing{7 * day, dosing.ReplenishWeekly}
	case "monthly":
		return greasing{365.25 * day / 12, dosing.ReplenishMonthly}
	case "yearly":
		return greasing{365.25 * day, dosing.ReplenishYearly}
	}
	return greasing{}
}
