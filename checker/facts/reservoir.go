package facts

import (
	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/dosing"
	"kitgauge/checker/source"
	"kitgauge/checker/value"
)

// PumpFit is the pump as fitted, with what it delivers.
type PumpFit struct {
	*kit.PumpFit
	Outlets     []*Outlet    `key:"outlets"`
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
	PumpDosing
	PumpSurvey
	PumpFlow
	PumpMounting
	PumpFittings
	PumpEnvironment
}

// Place names the pump.
func (p *PumpFit) Place() string { return "the pump" }

// Source is the pump's place in the file.
func (p *PumpFit) Source() *source.Node { return p.Node }

func distanceOf(p, q kit.Vector) float64 { return r3.Norm(r3.Sub(p.Vec(), q.Vec())) }

// reservoir works out what the pump delivers and how long its grease lasts.
func (f *Kit) reservoir() {
	p := &f.Pump
	cycle, why := f.cycle()
	p.Strokes = value.Count{Why: why}
	p.DutyCycle, p.Delivery = value.Number{Why: why}, value.Number{Why: why}
	if why == "" {
		if n, err := cycle.Strokes(); err == nil {
			p.Strokes = value.Known(int64(n))
		} else {
			p.Strokes = value.Unknown[int64](err.Error())
		}
		p.DutyCycle = value.Result(cycle.DutyCycle())
		p.Delivery = f.delivery(cycle)
	}
	f.balance()
	f.firstFill()
}

// cycle is the timer's setting; a timer that counts strokes runs for as long
// as they take.
func (f *Kit) cycle() (dosing.Cycle, string) {
	var need value.Need
	t := f.Kit.Pump.Timer
	c := dosing.Cycle{Pause: need.Number("the pause of the timer", t.Pause)}
	part := f.Kit.Pump.Part.To
	if part == nil {
		need.Lack(f.Kit.Pump.Part.Reason("the part of the pump"))
		return c, need.Why()
	}
	c.StrokeTime = need.Number("the stroke time of "+part.Place(), part.StrokeTime)
	if t.Strokes.Known {
		c.Run = float64(t.Strokes.V) * c.StrokeTime
	} else {
		c.Run = need.Number("the run time or the number of strokes of the timer", t.Run)
	}
	return c, need.Why()
}

// delivery adds up the elements of the outlets that a line uses.
func (f *Kit) delivery(c dosing.Cycle) value.Number {
	var need value.Need
	total := 0.0
	for _, o := range f.Outlets {
		if len(o.Lines) == 0 {
			continue
		}
		total += need.Number("what "+o.Place()+" delivers", rateOf(o, c))
	}
	if need.Missing() {
		return need.Unknown()
	}
	return value.Known(total)
}

// balance compares what is in the reservoir with what is used up.
func (f *Kit) balance() {
	p := &f.Pump
	v := &f.Kit.Vehicle
	var need value.Need
	reservoir := dosing.Reservoir{
		UpperMark: need.Number("the upper mark of the reservoir", p.Fill.Upper),
		LowerMark: need.Number("the lower mark of the reservoir", p.Fill.Lower),
		Fill:      need.Number("the fill of the reservoir", p.Fill.Filled),
	}
	p.MarksRise = value.Known(reservoir.LowerMark < reservoir.UpperMark)
	if !p.Fill.Upper.Known || !p.Fill.Lower.Known {
		p.MarksRise = value.Unknown[bool](need.Why())
	}
	p.Usable = need.Unknown()
	if !need.Missing() {
		p.Usable = value.Result(reservoir.Usable())
	}
	need = value.Need{}
	usage := dosing.Usage{
		Rate:          need.Number("what the pump delivers", p.Delivery),
		RunningPerDay: need.Number("the time that the vehicle runs a day", v.HoursADay),
		DaysPerWeek:   float64(need.Count("the number of days a week on which the vehicle runs", v.DaysAWeek)),
	}
	interval := need.Number("the refill interval of the vehicle", v.RefillInterval)
	p.Consumption = need.Unknown()
	if !need.Missing() {
		p.Consumption = value.Result(usage.Consumption(interval))
	}
	usable := need.Number("the usable fill", p.Usable)
	p.Lasts, p.Reserve = need.Unknown(), need.Unknown()
	if !need.Missing() {
		p.Lasts = value.Result(usage.Lasts(usable))
		p.Reserve = value.Result(dosing.Supply{AtHand: usable, Needed: p.Consumption.V}.Reserve())
	}
}

// firstFill is the grease that a new kit takes: reservoir and tubes.
func (f *Kit) firstFill() {
	p := &f.Pump
	var need value.Need
	var tubes []dosing.Tube
	for _, l := range f.Lines {
		if l.Tube.To == nil {
			need.Lack(l.Tube.Reason("the tube of " + l.Place()))
			continue
		}
		tubes = append(tubes, dosing.Tube{
			InsideDiameter: need.Number("the inner diameter of "+l.Tube.To.Place(), l.Tube.To.Inner),
			Length:         need.Number("the cut length of "+l.Place(), l.CutLength),
		})
	}
	p.Priming = need.Unknown()
	if !need.Missing() {
		p.Priming = value.Result(dosing.PrimingVolume(tubes))
	}
	reservoir := dosing.Reservoir{
		UpperMark: need.Number("the upper mark of the reservoir", p.Fill.Upper),
		LowerMark: need.Number("the lower mark of the reservoir", p.Fill.Lower),
		Fill:      need.Number("the fill of the reservoir", p.Fill.Filled),
	}
	p.FirstNeed = need.Unknown()
	if !need.Missing() {
		p.FirstNeed = value.Result(reservoir.FirstFill(tubes))
	}
	f.greaseMass()
}

func (f *Kit) greaseMass() {
	p := &f.Pump
	var need value.Need
	volume := need.Number("the fill of the reservoir", p.Fill.Filled)
	if p.Grease.To == nil {
		need.Lack(p.Grease.Reason("the grease of the pump"))
		p.GreaseMass = need.Unknown()
		return
	}
	density := need.Number("the density of "+p.Grease.To.Place(), p.Grease.To.Density)
	p.GreaseMass = need.Unknown()
	if !need.Missing() {
		p.GreaseMass = value.Result(dosing.Grease{Volume: volume, Density: density}.Mass())
	}
}
