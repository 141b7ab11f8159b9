package facts

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/dosing"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// PointDosing is what a point needs and gets while the vehicle runs.
type PointDosing struct {
	Required    value.Number `key:"required" dim:"volume_flow"`
	Delivered   value.Number `key:"delivered" dim:"volume_flow"`
	DoseRatio   value.Number `key:"dose_ratio" dim:"plain_number"`
	EqualStroke value.Number `key:"equal_stroke" dim:"volume"`        // an element that gives just what is needed
	FromBearing value.Number `key:"bearing_demand" dim:"volume_flow"` // what its bearing asks for, whatever demand is stated
	Supplied    value.Flag   `key:"supplied"`                         // every line of it has an element of its own, that fits the pump
}

// PumpDosing is how the timer suits the pump.
type PumpDosing struct {
	RunTime    value.Number `key:"run_time" dim:"time"`           // of one cycle
	CycleTime  value.Number `key:"cycle_time" dim:"time"`         // pause and run
	Judged     value.Count  `key:"points_judged"`                 // points of one line of which it is known what they need and get
	Short      value.Count  `key:"points_short"`                  // those that get too little
	Flooded    value.Count  `key:"points_flooded"`                // those that get too much
	Median     value.Number `key:"dose_ratio" dim:"plain_number"` // of those judged
	TimerMeant value.Text   `key:"timer_meant"`                   // the settings with which the most points get what they need
}

func pumpDosing(cycle value.Maybe[dosing.Cycle]) PumpDosing {
	return PumpDosing{
		RunTime:   value.Compute(func(n *value.Need) (float64, error) { return cycle.Of(n).Run, nil }),
		CycleTime: value.Compute(func(n *value.Need) (float64, error) { c := cycle.Of(n); return c.Pause + c.Run, nil }),
	}
}

// fewJudged is of how many points at least the timer is concluded from.
// Common practice, no source.
const fewJudged = 4

// judge counts the points that get too little or too much, and works out the
// timer's setting that would suit the most of them.
func (d *PumpDosing) judge(k *kit.Kit, points []*Point, cycle value.Maybe[dosing.Cycle], o *Options) {
	least, most := o.limit("dosing/least"), o.limit("dosing/most")
	var ratios []float64
	var short, flooded int64
	for _, p := range points {
		if r := p.DoseRatio; p.Supplied.V && len(p.Lines) == 1 && r.Known {
			ratios = append(ratios, r.V)
			if least.Known && r.V < least.V {
				short++
			}
			if most.Known && r.V > most.V {
				flooded++
			}
		}
	}
	d.Judged, d.Short, d.Flooded = value.Known(int64(len(ratios))), value.Known(short), value.Known(flooded)
	if len(ratios) < fewJudged {
		return
	}
	slices.Sort(ratios)
	median := ratios[(len(ratios)-1)/2]
	d.Median = value.Known(median)
	if median > 0 && least.Known && most.Known {
		d.TimerMeant = timerMeant(k, cycle, ratios, dosing.Band{Least: least.V, Most: most.V})
	}
}

// timerMeant names the settings of the timer with which the most points get
// what they need, as far as the pump offers them.
func timerMeant(k *kit.Kit, cycle value.Maybe[dosing.Cycle], ratios []float64, band dosing.Band) value.Text {
	return value.Compute(func(n *value.Need) (string, error) {
		c, part := cycle.Of(n), pumpPart(n, k)
		share, within, err := band.Suits(ratios)
		if err != nil {
			return "", err
		}
		var ways []string
		if pause, ok := suitingPause(c, part, ratios, band, share); ok && inADay(k, pause+c.Run) {
			ways = append(ways, "a pause of "+units.Format(pause, units.Time, k.Family()))
		}
		if run, ok := suitingRun(c, part, ratios, band, share); ok {
			way := "a run of " + units.Format(run, units.Time, k.Family())
			if k.Pump.Timer.Strokes.Known {
				way = fmt.Sprintf("a count of %.0f of its strokes", run/c.StrokeTime)
			}
			ways = append(ways, way)
		}
		if len(ways) == 0 {
			return "", errors.New("the pump offers no setting that brings it")
		}
		text := strings.Join(ways, ", or ")
		if within < len(ratios) {
			text += fmt.Sprintf(" (with which %d of %d points get what they need; no setting suits all)", within, len(ratios))
		}
		return text, nil
	})
}

// suitingPause is the pause that delivers share times what is delivered now,
// in whole minutes where that suits as many points.
func suitingPause(c dosing.Cycle, p *kit.Pump, ratios []float64, band dosing.Band, share float64) (float64, bool) {
	pause, err := c.PauseFor(share)
	if err != nil {
		return 0, false
	}
	if whole := math.Round(pause/60) * 60; whole > 0 {
		to := c
		to.Pause = whole
		if times, err := c.Times(to); err == nil && band.Within(ratios, times) {
			pause = whole
		}
	}
	return pause, offers(p.Pause, pause)
}

// suitingRun is the run of whole strokes that comes nearest to share times what
// is delivered now. Where one setting suits all points it has to do so, else
// not to be off by more than half.
func suitingRun(c dosing.Cycle, p *kit.Pump, ratios []float64, band dosing.Band, share float64) (float64, bool) {
	strokes, err := c.StrokesFor(share)
	if err != nil {
		return 0, false
	}
	to := c
	to.Run = max(1, math.Round(strokes)) * c.StrokeTime
	times, err := c.Times(to)
	if err != nil || to.Run == c.Run {
		return 0, false
	}
	near := band.Within(ratios, times)
	if !band.Within(ratios, share) {
		near = times/share < 1.5
	}
	return to.Run, near && offers(p.Run, to.Run)
}

// inADay reports whether a cycle comes round while the vehicle runs on a day.
func inADay(k *kit.Kit, cycle float64) bool {
	h := k.Vehicle.HoursADay
	return !h.Known || cycle <= h.V
}

// offers reports whether a pump has a setting.
func offers(r kit.Range, v float64) bool {
	return !(r.From.Known && v < r.From.V || r.To.Known && v > r.To.V)
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
	d := PointDosing{Required: required(k, p), FromBearing: bearingDemand(k, p), Supplied: value.Known(len(outlets) > 0)}
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
	return bearingDemand(k, p)
}

// bearingDemand is what follows from a point's bearing.
func bearingDemand(k *kit.Kit, p *Point) value.Number {
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
