package facts

import (
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

// dosing compares what each point gets with what it needs.
func (f *Kit) dosing() {
	p := &f.Pump
	cycle, why := f.cycle()
	p.RunTime, p.CycleTime = value.Unknown[float64](why), value.Unknown[float64](why)
	if why == "" {
		p.RunTime, p.CycleTime = value.Known(cycle.Run), value.Known(cycle.Pause+cycle.Run)
	}
	for _, point := range f.Points {
		point.Required = f.required(point)
	}
	gets := map[*Point][]*Outlet{}
	for _, l := range f.Lines {
		if point := l.Point.To; point != nil {
			gets[point] = append(gets[point], l.OutletFit.To)
		}
	}
	for _, point := range f.Points {
		f.dose(point, gets[point], cycle, why)
	}
}

// dose fills in what a point gets from the outlets of its lines.
func (f *Kit) dose(p *Point, outlets []*Outlet, cycle dosing.Cycle, why string) {
	var need value.Need
	if why != "" {
		need.Lack(why)
	}
	if len(outlets) == 0 {
		need.Lack("no line ends at " + p.Place())
	}
	p.Supplied = value.Known(len(outlets) > 0)
	total := 0.0
	for _, o := range outlets {
		switch {
		case o == nil || !o.Element.ID.Known:
			p.Supplied = value.Known(false)
			need.Lack("a line of " + p.Place() + " leaves no metering element")
			continue
		case len(o.Lines) > 1:
			p.Supplied = value.Known(false)
			need.Lack(o.Place() + " serves several lines, and how much goes into each is not known")
			continue
		case o.ElementFits.Known && !o.ElementFits.V:
			p.Supplied = value.Known(false) // there will be another, so what this one gives is no matter
		}
		total += need.Number("what "+o.Place()+" delivers", rateOf(o, cycle))
	}
	p.Delivered = need.Unknown()
	if !need.Missing() {
		p.Delivered = value.Known(total)
	}
	required := need.Number("what "+p.Place()+" needs", p.Required)
	p.DoseRatio, p.EqualStroke = need.Unknown(), need.Unknown()
	if need.Missing() {
		return
	}
	p.DoseRatio = value.Result(dosing.Balance{Delivered: total, Demand: required}.Ratio())
	if n := f.Pump.Strokes.V; n > 0 {
		p.EqualStroke = value.Known(required * (cycle.Pause + cycle.Run) / float64(n) / float64(len(outlets)))
	}
}

// rateOf is what the element of an outlet delivers under the timer's setting.
func rateOf(o *Outlet, c dosing.Cycle) value.Number {
	var need value.Need
	if o.Element.To == nil {
		return value.Unknown[float64](o.Element.Reason("the metering element of " + o.Place()))
	}
	d := dosing.Delivery{Cycle: c, StrokeVolume: need.Number("the stroke volume of "+o.Element.To.Place(), o.Element.To.StrokeVolume)}
	if need.Missing() {
		return need.Unknown()
	}
	return value.Result(d.Rate())
}

// required is what a point needs: what its maker states, else what follows
// from its bearing.
func (f *Kit) required(p *Point) value.Number {
	if p.Demand.Known || p.Demand.Node != nil {
		return p.Demand
	}
	var need value.Need
	b := p.Bearing
	if b.Node == nil {
		return value.Unknown[float64]("neither the bearing nor the demand of " + p.Place() + " is stated")
	}
	kind := need.Text("the kind of the bearing of "+p.Place(), b.Kind)
	diameter := need.Number("the diameter of the bearing of "+p.Place(), b.Diameter)
	width := need.Number("the width of the bearing of "+p.Place(), b.Width)
	if need.Missing() {
		return need.Unknown()
	}
	switch kind {
	case "plain", "pin":
		return value.Result(dosing.PlainBearing{Diameter: diameter, Width: width}.Demand())
	case "rolling":
		return f.rollingDemand(p, diameter, width)
	}
	return value.Unknown[float64]("the kind of the bearing of " + p.Place() + " is not one of plain, pin and rolling")
}

// rollingDemand spreads the amount for one greasing by hand over the running
// time between two of them.
func (f *Kit) rollingDemand(p *Point, diameter, width float64) value.Number {
	var need value.Need
	every := interval(need.Text("how often the bearing of "+p.Place()+" was greased by hand (interval)", p.Bearing.Interval))
	v := &f.Kit.Vehicle
	usage := dosing.Usage{
		RunningPerDay: need.Number("hours a day of the vehicle", v.HoursADay),
		DaysPerWeek:   float64(need.Count("days a week of the vehicle", v.DaysAWeek)),
	}
	density := f.greaseDensity(&need)
	if need.Missing() {
		return need.Unknown()
	}
	mass, err := dosing.RollingBearing{OutsideDiameter: diameter, Width: width, Factor: every.factor}.Replenishment()
	if err != nil {
		return value.Result(0, err)
	}
	running, err := usage.Running(every.time)
	if err != nil {
		return value.Result(0, err)
	}
	return value.Result(dosing.Portion{Mass: mass, Interval: running, Density: density}.Demand())
}

func (f *Kit) greaseDensity(need *value.Need) float64 {
	g := f.Kit.Pump.Grease
	if g.To == nil {
		need.Lack(g.Reason("the grease of the pump"))
		return 0
	}
	return need.Number("the density of "+g.To.Place(), g.To.Density)
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
