package propose

import (
	"cmp"
	"math"
	"slices"

	"kitgauge/checker/facts"
	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/dosing"
	"kitgauge/checker/value"
)

// choosePump takes the smallest pump with an outlet for every line that is made
// for the vehicle, and the first grease with which the rules find nothing. How
// much the reservoir has to hold is seen with the elements.
func (p *planner) choosePump() {
	if len(p.suitable()) == 0 {
		p.leave("the pump", "/pump", p.refusedPumps())
		return
	}
	p.take(p.suitable()[0])
	greases := p.stock.Greases
	if len(greases) == 0 {
		p.leave("the pump", "/pump", "the catalogue has no grease")
		return
	}
	p.choose(len(greases), func(i int) { p.pump.grease = greases[i].Number.V }, "environment", "flow")
}

func (p *planner) take(pump *kit.Pump) {
	p.pump.part, p.pump.outlets, p.pump.boltCount = pump.Number.V, int(pump.Outlets.V), pump.BoltCount.V
}

// suitable are the pumps of the catalogue that the vehicle can feed and wash,
// with enough outlets; those that warn of a low level first.
func (p *planner) suitable() []*kit.Pump {
	var list []*kit.Pump
	for _, s := range p.stock.Pumps {
		supply := p.base.Vehicle.Supply
		if int(s.Outlets.V) < len(p.lines) || supply.Known && s.Voltage.Known && s.Voltage.V != supply.V || s.Sealed.Known && !s.Sealed.V {
			continue
		}
		if upper := p.base.Pump.Fill.Upper; upper.Known && s.Reservoir.Known && s.Reservoir.V < upper.V {
			continue // the marks were read on a larger one
		}
		list = append(list, s.Pump)
	}
	slices.SortStableFunc(list, func(a, b *kit.Pump) int { return cmp.Compare(lacks(a), lacks(b)) })
	return list
}

// lacks counts what a pump does without: a switch for a low level, a counter of
// strokes, the thread of its outlets.
func lacks(p *kit.Pump) int {
	n := 0
	for _, has := range []bool{p.LowLevelSwitch.V, p.Strokes.V, p.OutletThread.Known} {
		if !has {
			n++
		}
	}
	return n
}

// setting is a timer's setting with an element for every line.
type setting struct {
	pump     *kit.Pump
	cycle    dosing.Cycle
	strokes  int
	elements []*kit.Element // nil where none suits; the one in the middle where nobody knows what is needed
	unfit    int            // lines without one that suits
	short    float64        // m3, of what the reservoir should hold
	off      float64        // how far the points get from what they need
}

// dose chooses the timer's setting and the elements with which every point gets
// about what it needs, with the smallest pump whose reservoir lasts.
func (p *planner) dose() {
	k := p.facts()
	if k == nil || len(p.suitable()) == 0 { // which is said already
		return
	}
	need := p.needs(k)
	var best *setting
	for _, pump := range p.suitable() {
		s := p.settings(pump, need)
		if s != nil && (best == nil || s.better(best)) {
			best = s
		}
		if best != nil && best.unfit == 0 && best.short == 0 {
			break
		}
	}
	if best == nil {
		p.leave("the pump", "/pump", "no setting of the timer could be worked out")
		return
	}
	p.take(best.pump)
	p.pump.pause, p.pump.strokes = best.cycle.Pause, best.strokes
	if !best.pump.Strokes.V {
		p.pump.run = best.cycle.Run
	}
	for i, e := range best.elements {
		if e != nil && need[i] > 0 {
			p.lines[i].element = e.Number.V
		}
	}
}

// needs is what each line's point needs [m3/s]; 0 where nobody knows.
func (p *planner) needs(k *facts.Kit) []float64 {
	out := make([]float64, len(p.lines))
	for i, point := range k.Points {
		if i < len(out) && point.Required.Known {
			out[i] = point.Required.V
			continue
		}
		p.leave("point "+point.ID.Or("?"), pointer("points", i), "no element is chosen for it, as what it needs is not known: "+point.Required.Reason("its bearing"))
	}
	return out
}

// cycles are the times from one run to the next that a timer is set to [min],
// and mostStrokes how many strokes a run has: little and often, and more
// strokes are better made by a larger element. Common practice, no source.
var cycles = []float64{60, 45, 30, 20, 15, 10, 75, 90, 120, 180, 240, 300, 360, 480}

const mostStrokes = 4

// settings is the best setting of a pump: the first of those that are equally
// good.
func (p *planner) settings(pump *kit.Pump, need []float64) *setting {
	elements := p.elements(pump)
	if len(elements) == 0 || !pump.StrokeTime.Known {
		return nil
	}
	var best *setting
	for n := 1; n <= mostStrokes; n++ {
		for _, minutes := range cycles {
			run := float64(n) * pump.StrokeTime.V
			s := &setting{pump: pump, strokes: n, cycle: dosing.Cycle{Pause: minutes*60 - run, Run: run, StrokeTime: pump.StrokeTime.V}}
			if !p.offers(s) {
				continue
			}
			s.fit(p, elements, need)
			if best == nil || s.better(best) {
				best = s
			}
		}
	}
	return best
}

// better compares two settings. Small differences in how near the points come
// to what they need count for nothing: the rules for that are rough.
func (s *setting) better(than *setting) bool {
	const alike = 0.05 // of ratio, a point
	if c := cmp.Or(cmp.Compare(s.unfit, than.unfit), cmp.Compare(s.short, than.short)); c != 0 {
		return c < 0
	}
	return s.off < than.off-alike*float64(len(s.elements))
}

// offers reports whether the pump has the setting, stands it and runs once on a
// working day.
func (p *planner) offers(s *setting) bool {
	duty, err := s.cycle.DutyCycle()
	if err != nil {
		return false
	}
	within := func(v float64, r kit.Range) bool {
		return !(r.From.Known && v < r.From.V || r.To.Known && v > r.To.V)
	}
	day := p.base.Vehicle.HoursADay
	return within(s.cycle.Pause, s.pump.Pause) && within(s.cycle.Run, s.pump.Run) &&
		!(s.pump.DutyShare.Known && duty > s.pump.DutyShare.V) && !(day.Known && s.cycle.Pause+s.cycle.Run > day.V)
}

// elements are those of the catalogue that the pump takes, from the smallest.
func (p *planner) elements(pump *kit.Pump) []*kit.Element {
	var list []*kit.Element
	for _, e := range p.stock.Elements {
		series := slices.ContainsFunc(pump.Elements, func(s value.Text) bool { return s.V == e.Series.V })
		if series && e.StrokeVolume.Known && !(e.Pressure.Known && pump.Pressure.Known && e.Pressure.V < pump.Pressure.V) {
			list = append(list, e)
		}
	}
	return list
}

// fit gives every line the element that comes nearest to what its point needs.
func (s *setting) fit(p *planner, elements []*kit.Element, need []float64) {
	band := dosing.Band{Least: p.limit("dosing/least"), Most: p.limit("dosing/most")}
	total := 0.0
	for _, needed := range need {
		e, ratio := s.element(elements, needed, band)
		s.elements = append(s.elements, e)
		if needed > 0 && (ratio < band.Least || ratio > band.Most) {
			s.unfit++
		}
		if needed > 0 {
			s.off += math.Abs(math.Log(ratio))
		}
		rate, err := dosing.Delivery{Cycle: s.cycle, StrokeVolume: e.StrokeVolume.V}.Rate()
		if err == nil {
			total += rate
		}
	}
	s.short = max(0, p.consumption(total)-p.usable(s.pump))
}

// element is the one whose stroke comes nearest to what is needed, and what it
// gives as a share of that; the one in the middle where nobody knows.
func (s *setting) element(elements []*kit.Element, needed float64, band dosing.Band) (*kit.Element, float64) {
	if needed <= 0 {
		return elements[(len(elements)-1)/2], 1
	}
	off := func(ratio float64) float64 {
		if ratio < band.Least || ratio > band.Most {
			return 1 + math.Abs(math.Log(ratio)) + math.Log(band.Most/band.Least) // farther than any within
		}
		return math.Abs(math.Log(ratio))
	}
	best, nearest := elements[0], 0.0
	for _, e := range elements {
		rate, err := dosing.Delivery{Cycle: s.cycle, StrokeVolume: e.StrokeVolume.V}.Rate()
		if ratio := rate / needed; err == nil && (nearest == 0 || off(ratio) < off(nearest)) {
			best, nearest = e, ratio
		}
	}
	return best, nearest
}

// consumption is what has to be above the lower mark after a refill, with the
// reserve; 0 where it is not known how the vehicle runs.
func (p *planner) consumption(rate float64) float64 {
	v := &p.base.Vehicle
	used, err := dosing.Usage{Rate: rate, RunningPerDay: v.HoursADay.V, DaysPerWeek: float64(v.DaysAWeek.V)}.Consumption(v.RefillInterval.V)
	if err != nil {
		return 0
	}
	return used * (1 + p.limit("reservoir/reserve"))
}

// usable is what a full reservoir gives: between the marks where they are
// known, else all of it.
func (p *planner) usable(pump *kit.Pump) float64 {
	f := p.base.Pump.Fill
	if f.Upper.Known && f.Lower.Known && f.Upper.V <= pump.Reservoir.V {
		return f.Upper.V - f.Lower.V
	}
	return pump.Reservoir.V
}

// fillUp fills the reservoir to its upper mark, and lists the grease that
// reservoir and lines take.
func (p *planner) fillUp() {
	f := p.base.Pump.Fill
	if !f.Upper.Known || !f.Lower.Known {
		p.leave("the pump", "/pump", "the marks on the reservoir are not known (fill: lower_mark, upper_mark): read them on it, then state filled and first_fill")
		return
	}
	p.pump.filled = f.Upper.V
	k := p.facts()
	if k == nil || !k.Pump.FirstNeed.Known {
		return
	}
	p.pump.first = p.volumeUp(k.Pump.FirstNeed.V)
}

// volumeUp rounds one of grease up to what is weighed out.
func (p *planner) volumeUp(si float64) float64 {
	step := 0.1e-3 // a tenth of a litre
	if p.inch() {
		step = 5 * math.Pow(0.0254, 3) // 5 in3
	}
	return math.Ceil(si/step-1e-9) * step
}
