package facts

import (
	"cmp"
	"errors"
	"fmt"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/flow"
	"kitgauge/checker/units"
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
	BackPressure    value.Number `key:"back_pressure" dim:"pressure"`  // of the point, in the cold
	BackSays        value.Text   `key:"back_says"`                     // where that of a point differs from what is stated
	StrokeFlow      value.Number `key:"stroke_flow" dim:"volume_flow"` // while the element strokes, on the mean
	PeakFlow        value.Number `key:"peak_flow" dim:"volume_flow"`   // at the peak of a stroke
	DriveSays       value.Text   `key:"drive_says"`                    // how the element is driven
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
	Wider    value.Text   `key:"wider"`               // both in words, "" where no tube would do
}

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

func pumpFlow(k *kit.Kit, cold coldFlow) PumpFlow {
	p := PumpFlow{
		ColdYield: cold.yield, ColdConsistency: cold.consistency,
		ColdProblem: problem(k, cmp.Or(cold.yield.Why, cold.consistency.Why)),
		GradeFault:  value.Compute(func(n *value.Need) (string, error) { return gradeFault(n, k, grease(n, k)), nil }), Spread: value.Known(1.0),
	}
	p.spread(k.Lines)
	return p
}

// gradeFault holds a grease's NLGI grade against the pump's range.
func gradeFault(n *value.Need, k *kit.Kit, grease *kit.Grease) string {
	pump := pumpPart(n, k)
	rank := func(what string, t value.Text) int {
		r, err := flow.ConsistencyRank(n.Text(what, t))
		if err != nil {
			n.Stop(what + ": " + err.Error())
		}
		return r
	}
	is := rank("the grade of "+grease.Place(), grease.Grade)
	softest := rank("the softest grease of "+pump.Place(), pump.SoftestGrease)
	switch stiffest := rank("the stiffest grease of "+pump.Place(), pump.StiffestGrease); {
	case is < softest:
		return "too soft"
	case is > stiffest:
		return "too stiff"
	}
	return ""
}

// spread compares the lines that resist most and least: length over bore, to
// which the pressure that starts a grease is proportional, whatever grease.
// Lines of which one of the two is not known are left out; the rules on their
// pressure say so.
func (p *PumpFlow) spread(lines []*kit.Line) {
	var hardest, easiest flow.Tube
	for _, l := range lines {
		t, err := flowTube(l).Result()
		if err != nil || t.Bore <= 0 || t.Length <= 0 {
			continue
		}
		if !p.Hardest.Known || t.Length/t.Bore > hardest.Length/hardest.Bore {
			hardest, p.Hardest = t, value.Known(l.Label())
		}
		if !p.Easiest.Known || t.Length/t.Bore < easiest.Length/easiest.Bore {
			easiest, p.Easiest = t, value.Known(l.Label())
		}
	}
	if p.Hardest.Known {
		p.EvenBore = value.Known(hardest.Length * easiest.Bore / easiest.Length)
		p.Spread = value.Known(p.EvenBore.V / hardest.Bore)
	}
}

// lineFlow is what one line needs and what it stands.
func lineFlow(k *kit.Kit, l *Line, cold coldFlow) LineFlow {
	tube := flowTube(l.Line)
	f := LineFlow{
		StartDrop: value.Compute(func(n *value.Need) (float64, error) {
			yield := n.Number("the yield stress in the cold", cold.yield)
			return tube.Of(n).StartPressure(yield)
		}),
		StrokeFlow: strokeFlow(k, l),
		HasElement: value.Known(l.OutletFit.To != nil && l.OutletFit.To.Element.ID.Known),
		Supply: weaker(
			func(n *value.Need) rated { p := pumpPart(n, k); return rated{"pump", &p.Part, p.Pressure} },
			func(n *value.Need) rated { e := elementOf(n, l); return rated{"element", &e.Part, e.Pressure} },
		),
		Fittings:    weaker(fittingAt(l, &l.PumpFitting, "pump"), fittingAt(l, &l.PointFitting, "point")),
		TubeHottest: hottest(k, l.Line),
	}
	f.point(l.Line, cold, k.Family())
	f.peak(k)
	f.StartPressure = withBack(f.StartDrop, f.BackPressure)
	f.RunningPressure = withBack(runningDrop(l, tube, f.PeakFlow, cold), f.BackPressure)
	f.StartReached, f.RunningReached = reached(f.StartPressure, f.Supply), reached(f.RunningPressure, f.Supply)
	f.TubeRating = tubeRating(l.Line, f.TubeHottest)
	for _, w := range []*Weakest{&f.Supply, &f.Fittings, &f.TubeRating} {
		w.starts(l, tube, f.StartDrop, f.BackPressure, k.Family())
	}
	return f
}

// point works out what the point asks for in the cold.
func (f *LineFlow) point(l *kit.Line, cold coldFlow, family units.Family) {
	f.BackPressure = value.Compute(func(n *value.Need) (float64, error) {
		p := pointOf(n, l)
		return n.Number("the back pressure", cold.back(p)), nil
	})
	f.BackSays = value.Known("")
	if p := l.Point.To; p != nil && f.BackPressure.Known && f.BackPressure.V > p.BackPressure.V {
		at, stated := cold.workshop, " if it was measured in a workshop of "
		if p.BackAt.Known {
			at, stated = p.BackAt, " measured at "
		}
		f.BackSays = value.Known(fmt.Sprintf(", %s of it at the point (%s%s%s)", units.Format(f.BackPressure.V, units.Pressure, family),
			units.Format(p.BackPressure.V, units.Pressure, family), stated, units.Format(at.V, units.Temperature, family)))
	}
}

// peak works out the flow at the peak of a stroke. An element of which nobody
// says how it is driven is taken as driven by a crank, the worse of the two.
func (f *LineFlow) peak(k *kit.Kit) {
	drive := flow.Crank
	f.DriveSays = value.Known("the catalogue does not say how the element is driven: taken as by a crank, whose flow peaks at pi/2 of the mean")
	if p := k.Pump.Part.To; p != nil && p.ElementDrive.Known {
		f.DriveSays = value.Known("a crank drives the element, whose flow peaks at pi/2 of the mean")
		if p.ElementDrive.V == "steady" {
			drive, f.DriveSays = flow.Steady, value.Known("the element is driven steadily")
		}
	}
	f.PeakFlow = value.Compute(func(n *value.Need) (float64, error) {
		return flow.PeakFlow(n.Number("the flow of a stroke", f.StrokeFlow), drive)
	})
}

func flowTube(l *kit.Line) value.Maybe[flow.Tube] {
	return value.Try(func(n *value.Need) (flow.Tube, error) {
		length := n.Number("the cut length of "+l.Label(), l.CutLength)
		t := tubeOf(n, l)
		return flow.Tube{Bore: n.Number("the inner diameter of "+t.Place(), t.Inner), Length: length}, nil
	})
}

// pointOf is the point of a line.
func pointOf(n *value.Need, l *kit.Line) *kit.Point { return l.Point.Of(n, "the point of "+l.Label()) }

// withBack adds the back pressure of the point to the drop along the tube.
func withBack(drop, back value.Number) value.Number {
	return value.Compute(func(n *value.Need) (float64, error) {
		return n.Number("the drop", drop) + n.Number("the back pressure", back), nil
	})
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
func strokeFlow(k *kit.Kit, l *Line) value.Number {
	return value.Compute(func(n *value.Need) (float64, error) {
		pump, e := pumpPart(n, k), elementOf(n, l)
		volume := n.Number("the stroke volume of "+e.Place(), e.StrokeVolume)
		time := n.Number("the stroke time of "+pump.Place(), pump.StrokeTime)
		if time <= 0 {
			return 0, errors.New("the stroke time of " + pump.Place() + " is not above 0")
		}
		return volume / time, nil
	})
}

func elementOf(n *value.Need, l *Line) *kit.Element {
	o := l.OutletFit.Of(n, "the outlet of "+l.Place())
	return o.Element.Of(n, "the metering element of "+o.Place())
}

// runningDrop is the drop along the tube at the peak of a stroke.
func runningDrop(l *Line, tube value.Maybe[flow.Tube], peak value.Number, cold coldFlow) value.Number {
	return value.Compute(func(n *value.Need) (float64, error) {
		yield, t := n.Number("the yield stress in the cold", cold.yield), tube.Of(n)
		grease := flow.HerschelBulkley{Yield: yield, Consistency: n.Number("the consistency in the cold", cold.consistency), Index: cold.index.V}
		return grease.Pressure(t, n.Number("the flow in "+l.Place(), peak))
	})
}

// rated is a part with its pressure.
type rated struct {
	kind     string
	part     *kit.Part
	pressure value.Number
}

// place names the part by its kind: "the tube FG-T4".
func (r rated) place() string {
	return "the " + r.kind + " " + r.part.Number.Or("without a number")
}

func fittingAt(l *Line, fitting *kit.Ref[kit.Fitting], end string) func(n *value.Need) rated {
	return func(n *value.Need) rated {
		f := fitting.Of(n, "the fitting at the "+end+" of "+l.Place())
		return rated{"fitting", &f.Part, f.Pressure}
	}
}

// weaker is the part with the lowest pressure.
func weaker(parts ...func(n *value.Need) rated) Weakest {
	var w Weakest
	value.Fill(func(n *value.Need) error {
		for _, find := range parts {
			p := find(n)
			pressure := n.Number("the pressure of "+p.place(), p.pressure)
			if !w.Part.Known || pressure < w.Pressure.V {
				w.Part, w.Pressure = value.Known(p.place()), value.Known(pressure)
			}
		}
		return nil
	}, &w.Part, &w.Pressure)
	return w
}

// hottest is the highest temperature that a line's tube meets: that of the
// air or of its point. Hot zones are left out, for a tube that keeps its
// clearance does not take their heat, and the rules of the route say where one
// does not keep it.
func hottest(k *kit.Kit, l *kit.Line) value.Number {
	return value.Compute(func(n *value.Need) (float64, error) {
		most := n.Number("the highest ambient temperature (ambient) of the vehicle", k.Vehicle.Ambient.To)
		if p := l.Point.To; p != nil && p.Temperature.Known {
			most = max(most, p.Temperature.V)
		}
		return most, nil
	})
}

// tubeRating is the working pressure that is left of the tube at its hottest.
func tubeRating(l *kit.Line, hottest value.Number) Weakest {
	var w Weakest
	w.Part = value.Compute(func(n *value.Need) (string, error) {
		return rated{kind: "tube", part: &tubeOf(n, l).Part}.place(), nil
	})
	w.Pressure = value.Compute(func(n *value.Need) (float64, error) {
		t := tubeOf(n, l)
		pressure := n.Number("the working pressure of "+t.Place(), t.Pressure)
		most := n.Number("the highest temperature of "+l.Label(), hottest)
		if len(t.Derating) == 0 {
			n.Stop("the derating of " + t.Place() + " is not stated")
		}
		table := make(flow.Derating, len(t.Derating))
		for i, d := range t.Derating {
			table[i] = flow.DeratingPoint{
				Temperature: n.Number("a temperature in the derating of "+t.Place(), d.Temperature),
				Fraction:    n.Number("a share in the derating of "+t.Place(), d.Share),
			}
		}
		return table.WorkingPressure(pressure, most)
	})
	return w
}

// starts works out the bore, and the length, with which the line would start
// within the part's pressure: the drop goes with length over bore.
func (w *Weakest) starts(l *Line, tube value.Maybe[flow.Tube], startDrop, back value.Number, family units.Family) {
	w.Wider = value.Known("")
	value.Fill(func(n *value.Need) error {
		drop := n.Number("the pressure to start "+l.Place(), startDrop)
		room := n.Number("the pressure of the weakest part", w.Pressure) - n.Number("the back pressure", back)
		if room <= 0 {
			n.Stop("the back pressure alone is as high")
		}
		t := tube.Of(n)
		w.Bore = value.Known(t.Bore * drop / room)
		if drop > 0 {
			w.Length = value.Known(t.Length * room / drop)
			w.Wider = value.Known(fmt.Sprintf(", a tube with a bore of %s or more, or shorten the line to %s",
				units.FormatAtLeast(w.Bore.V, units.Length, family), units.FormatAtMost(w.Length.V, units.Length, family)))
		}
		return nil
	}, &w.Bore, &w.Length)
}
