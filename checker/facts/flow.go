package facts

import (
	"cmp"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/flow"
	"kitgauge/checker/value"
)

// LineFlow is the pressures that a line needs and stands. The pressures are
// those at the coldest, where the grease is stiffest; the tube's rating is
// that at the hottest, where the tube is weakest. A line can have both at
// once, when it lies along a frozen frame and ends at a hot part, so the one
// is held against the other.
type LineFlow struct {
	StartDrop       value.Number `key:"start_drop" dim:"pressure"`     // in the tube alone
	StartPressure   value.Number `key:"start_pressure" dim:"pressure"` // with the point's back pressure
	RunningPressure value.Number `key:"running_pressure" dim:"pressure"`
	StartReached    value.Number `key:"start_reached" dim:"pressure"` // no more than the supply gives
	RunningReached  value.Number `key:"running_reached" dim:"pressure"`
	StrokeFlow      value.Number `key:"stroke_flow" dim:"volume_flow"` // while the element strokes
	Supply          Weakest      `key:"supply"`                        // pump and element
	Fittings        Weakest      `key:"weaker_fitting"`
	TubeRating      Weakest      `key:"tube_rating"` // derated
	TubeHottest     value.Number `key:"tube_hottest" dim:"temperature"`
	HasElement      value.Flag   `key:"has_element"` // one is named at its outlet
}

// Weakest is the part that sets a limit to the pressure in a line.
type Weakest struct {
	Part     value.Text   `key:"part"`
	Pressure value.Number `key:"pressure" dim:"pressure"`
	Bore     value.Number `key:"bore" dim:"length"`   // with which the line starts within it
	Length   value.Number `key:"length" dim:"length"` // with which it does
}

// flow works out the pressures along every line.
func (f *Kit) flow() {
	f.coldGrease()
	f.Pump.ColdProblem = value.Known(cmp.Or(f.Pump.ColdYield.Why, f.Pump.ColdConsistency.Why))
	for _, l := range f.Lines {
		f.pressures(l)
	}
	f.Pump.GradeFault = f.gradeFault()
	f.spread()
}

// pressures fills in what one line needs and what it stands.
func (f *Kit) pressures(l *Line) {
	var need value.Need
	yield := need.Number("the yield stress in the cold", f.Pump.ColdYield)
	tube := tubeOf(l, &need)
	l.StartDrop = need.Unknown()
	if !need.Missing() {
		l.StartDrop = value.Result(tube.StartPressure(yield))
	}
	back := backPressure(l)
	l.StartPressure = withBack(l.StartDrop, back)
	l.StrokeFlow = f.strokeFlow(l)
	l.RunningPressure = withBack(f.runningDrop(l, tube, need), back)
	l.HasElement = value.Known(l.OutletFit.To != nil && l.OutletFit.To.Element.ID.Known)
	l.Supply = f.supply(l)
	l.StartReached, l.RunningReached = reached(l.StartPressure, l.Supply), reached(l.RunningPressure, l.Supply)
	l.Fittings = weaker(
		rated{l.PumpFitting.Reason("the fitting at the pump of " + l.Place()), ratingOf(l.PumpFitting.To)},
		rated{l.PointFitting.Reason("the fitting at the point of " + l.Place()), ratingOf(l.PointFitting.To)},
	)
	l.TubeHottest = f.hottest(l)
	l.TubeRating = tubeRating(l)
	for _, w := range []*Weakest{&l.Supply, &l.Fittings, &l.TubeRating} {
		w.starts(l, tube, back)
	}
}

func tubeOf(l *Line, need *value.Need) flow.Tube {
	length := need.Number("the cut length of "+l.Place(), l.CutLength)
	if l.Tube.To == nil {
		need.Lack(l.Tube.Reason("the tube of " + l.Place()))
		return flow.Tube{}
	}
	return flow.Tube{Bore: need.Number("the inner diameter of "+l.Tube.To.Place(), l.Tube.To.Inner), Length: length}
}

func backPressure(l *Line) value.Number {
	p := l.Point.To
	if p == nil {
		return value.Unknown[float64](l.Point.Reason("the point of " + l.Place()))
	}
	if !p.BackPressure.Known {
		return value.Unknown[float64](p.BackPressure.Reason("the back pressure of " + p.Place()))
	}
	return p.BackPressure
}

// withBack adds the back pressure of the point to the drop along the tube.
func withBack(drop, back value.Number) value.Number {
	switch {
	case !drop.Known:
		return value.Unknown[float64](drop.Why)
	case !back.Known:
		return value.Unknown[float64](back.Why)
	}
	return value.Known(drop.V + back.V)
}

// reached is what of a pressure comes about: the supply stops at its own. A
// supply that is not known stops nothing.
func reached(pressure value.Number, supply Weakest) value.Number {
	if pressure.Known && supply.Pressure.Known {
		pressure.V = min(pressure.V, supply.Pressure.V)
	}
	return pressure
}

// strokeFlow is the flow while the element makes its stroke.
func (f *Kit) strokeFlow(l *Line) value.Number {
	var need value.Need
	pump := f.Kit.Pump.Part.To
	if pump == nil {
		need.Lack(f.Kit.Pump.Part.Reason("the part of the pump"))
		return need.Unknown()
	}
	e := elementOf(l, &need)
	if e == nil {
		return need.Unknown()
	}
	volume := need.Number("the stroke volume of "+e.Place(), e.StrokeVolume)
	time := need.Number("the stroke time of "+pump.Place(), pump.StrokeTime)
	if need.Missing() {
		return need.Unknown()
	}
	if time <= 0 {
		return value.Unknown[float64]("the stroke time of " + pump.Place() + " is not above 0")
	}
	return value.Known(volume / time)
}

func elementOf(l *Line, need *value.Need) *kit.Element {
	o := l.OutletFit.To
	if o == nil {
		need.Lack(l.OutletFit.Reason("the outlet of " + l.Place()))
		return nil
	}
	if o.Element.To == nil {
		need.Lack(o.Element.Reason("the metering element of " + o.Place()))
	}
	return o.Element.To
}

// runningDrop is the drop along the tube while the element strokes; need says
// what the tube lacks.
func (f *Kit) runningDrop(l *Line, tube flow.Tube, need value.Need) value.Number {
	consistency := need.Number("the consistency in the cold", f.Pump.ColdConsistency)
	rate := need.Number("the flow in "+l.Place(), l.StrokeFlow)
	if need.Missing() {
		return need.Unknown()
	}
	grease := flow.HerschelBulkley{Yield: f.Pump.ColdYield.V, Consistency: consistency, Index: f.Pump.Grease.To.FlowIndex.V}
	return value.Result(grease.Pressure(tube, rate))
}

// rated is a part with its pressure, or why there is none.
type rated struct {
	why  string
	part ratedPart
}

type ratedPart struct {
	place    string
	pressure value.Number
}

func ratingOf(p *kit.Fitting) ratedPart {
	if p == nil {
		return ratedPart{}
	}
	return ratedPart{kindAndNumber("fitting", &p.Part), p.Pressure}
}

// kindAndNumber names a part by its kind: "the tube FG-T4".
func kindAndNumber(kind string, p *kit.Part) string {
	return "the " + kind + " " + p.Number.Or("without a number")
}

// weaker is the part with the lowest pressure.
func weaker(parts ...rated) Weakest {
	var need value.Need
	var w Weakest
	for _, p := range parts {
		if p.part.place == "" {
			need.Lack(p.why)
			continue
		}
		pressure := need.Number("the pressure of "+p.part.place, p.part.pressure)
		if !w.Part.Known || pressure < w.Pressure.V {
			w.Part, w.Pressure = value.Known(p.part.place), value.Known(pressure)
		}
	}
	if need.Missing() {
		return Weakest{Part: value.Unknown[string](need.Why()), Pressure: need.Unknown()}
	}
	return w
}

// supply is the pressure that pump and element can give.
func (f *Kit) supply(l *Line) Weakest {
	var need value.Need
	pump := rated{why: f.Kit.Pump.Part.Reason("the part of the pump")}
	if p := f.Kit.Pump.Part.To; p != nil {
		pump.part = ratedPart{kindAndNumber("pump", &p.Part), p.Pressure}
	}
	element := rated{}
	if e := elementOf(l, &need); e != nil {
		element.part = ratedPart{kindAndNumber("element", &e.Part), e.Pressure}
	}
	element.why = need.Why()
	return weaker(pump, element)
}

// hottest is the highest temperature that a line's tube meets: that of the
// air or of its point. Hot zones are left out, for a tube that keeps its
// clearance does not take their heat, and the rules of the route say where one
// does not keep it.
func (f *Kit) hottest(l *Line) value.Number {
	warm := f.Kit.Vehicle.Ambient.To
	if !warm.Known {
		return value.Unknown[float64](warm.Reason("the highest ambient temperature (ambient) of the vehicle"))
	}
	most := warm.V
	if p := l.Point.To; p != nil && p.Temperature.Known {
		most = max(most, p.Temperature.V)
	}
	return value.Known(most)
}

// tubeRating is the working pressure that is left of the tube at its hottest.
func tubeRating(l *Line) Weakest {
	var need value.Need
	t := l.Tube.To
	if t == nil {
		need.Lack(l.Tube.Reason("the tube of " + l.Place()))
		return Weakest{Part: value.Unknown[string](need.Why()), Pressure: need.Unknown()}
	}
	w := Weakest{Part: value.Known(kindAndNumber("tube", &t.Part))}
	pressure := need.Number("the working pressure of "+t.Place(), t.Pressure)
	hottest := need.Number("the highest temperature of "+l.Place(), l.TubeHottest)
	if len(t.Derating) == 0 {
		need.Lack("the derating of " + t.Place() + " is not stated")
	}
	table := make(flow.Derating, len(t.Derating))
	for i, d := range t.Derating {
		table[i] = flow.DeratingPoint{
			Temperature: need.Number("a temperature in the derating of "+t.Place(), d.Temperature),
			Fraction:    need.Number("a share in the derating of "+t.Place(), d.Share),
		}
	}
	w.Pressure = need.Unknown()
	if !need.Missing() {
		w.Pressure = value.Result(table.WorkingPressure(pressure, hottest))
	}
	return w
}

// starts works out the bore, and the length, with which the line would start
// within the part's pressure: the drop goes with length over bore.
func (w *Weakest) starts(l *Line, tube flow.Tube, back value.Number) {
	var need value.Need
	drop := need.Number("the pressure to start "+l.Place(), l.StartDrop)
	room := need.Number("the pressure of the weakest part", w.Pressure) - need.Number("the back pressure", back)
	if !need.Missing() && room <= 0 {
		need.Lack("the back pressure alone is as high")
	}
	w.Bore, w.Length = need.Unknown(), need.Unknown()
	if !need.Missing() {
		w.Bore = value.Known(tube.Bore * drop / room)
	}
	if !need.Missing() && drop > 0 {
		w.Length = value.Known(tube.Length * room / drop)
	}
}
