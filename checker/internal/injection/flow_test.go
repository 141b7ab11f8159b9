package injection_test

import (
	"fmt"
	"math"

	"kitgauge/checker/facts"
	"kitgauge/checker/units"
)

var flowFaults = []fault{
	{name: "a grease whose flow is not known", class: "flow 1", rules: []string{"flow/cold-figures"}, put: func(t *tree) *effect {
		t.grease("FG-G1N")
		return find("flow/cold-figures", "the pump")
	}},
	{name: "a point that takes grease at a high pressure only", class: "flow 1", rules: []string{"flow/starts"}, put: func(t *tree) *effect {
		l := *any1(t, t.items("lines"))
		t.point(text(l, "point"))["back_pressure"] = fmt.Sprintf("%.0f bar", t.between(121, 160))
		return find("flow/starts", linePlace(l)).with("survey/back-pressure-usual", "point "+text(l, "point")+"*")
	}},
	{name: "an element for short lines on a long one", class: "flow 1", rules: []string{"flow/starts"}, put: func(t *tree) *effect {
		l := pick(t, t.items("lines"), func(l object) bool { return t.start(l) > 21e5 })
		if l == nil {
			return nil
		}
		o := t.outlet(number(*l, "outlet"))
		if text(o, "element") != "FG-E15" {
			return nil
		}
		o["element"] = "FG-E15L"
		t.relist()
		return find("flow/starts", linePlace(*l))
	}},
	{name: "a tube that the cold start bursts", class: "flow 1", rules: []string{"flow/starts-within-tube"}, put: func(t *tree) *effect {
		return t.tube("flow/starts-within-tube", func(f *facts.Line) (float64, float64) { return 0.4 * f.StartReached.V, 0.98 * f.StartReached.V })
	}},
	{name: "a tube that a full stroke bursts", class: "flow 2", rules: []string{"flow/runs-within-tube"}, put: func(t *tree) *effect {
		return t.tube("flow/runs-within-tube", func(f *facts.Line) (float64, float64) { return 1.02 * f.StartReached.V, 0.98 * f.RunningReached.V })
	}},
	{name: "a tube that a blocked point bursts", class: "flow 2", rules: []string{"flow/blocked-within-tube"}, put: func(t *tree) *effect {
		return t.tube("flow/blocked-within-tube", func(f *facts.Line) (float64, float64) {
			return 1.02 * f.RunningReached.V, 0.98 * f.Supply.Pressure.V
		})
	}},
	{name: "a fitting that the cold start bursts", class: "flow 1", rules: []string{"flow/starts-within-fittings"}, put: func(t *tree) *effect {
		return t.weakFitting("flow/starts-within-fittings", func(f *facts.Line) (float64, float64) { return 0.4 * f.StartReached.V, 0.98 * f.StartReached.V })
	}},
	{name: "a fitting that a full stroke bursts", class: "flow 2", rules: []string{"flow/runs-within-fittings"}, put: func(t *tree) *effect {
		return t.weakFitting("flow/runs-within-fittings", func(f *facts.Line) (float64, float64) { return 1.02 * f.StartReached.V, 0.98 * f.RunningReached.V })
	}},
	{name: "a line that starts and then stalls", class: "flow 2", rules: []string{"flow/runs"}, put: func(t *tree) *effect {
		l := *any1(t, t.items("lines"))
		f := t.line(l)
		start, running := f.StartPressure.V, f.RunningPressure.V
		if running-start < 1.5e5 {
			return nil
		}
		p := t.point(text(l, "point"))
		stated := si(p, "back_pressure", units.Pressure)
		back := stated + (f.Supply.Pressure.V-(start+running)/2)*stated/f.BackPressure.V // what is stated grows in the cold
		p["back_pressure"] = fmt.Sprintf("%.2f bar", back/1e5)
		return find("flow/runs", linePlace(l)).with("survey/back-pressure-usual").with("flow/runs-within-tube", linePlace(l))
	}},
	{name: "a grease too stiff for the pump", class: "flow 3", rules: []string{"flow/grade-pumpable"}, put: func(t *tree) *effect {
		t.pump("soft")
		return find("flow/grade-pumpable", "the pump")
	}},
	{name: "a grease too soft for the pump", class: "flow 3", rules: []string{"flow/grade-pumpable"}, put: func(t *tree) *effect {
		t.pump("stiff")
		return find("flow/grade-pumpable", "the pump")
	}},
	{name: "a line longer than the pump's maker allows", class: "flow 3", rules: []string{"flow/line-limit"}, put: func(t *tree) *effect {
		l := *any1(t, t.items("lines"))
		l["cut_length"] = t.length(t.between(12100, 14000))
		t.relist()
		e := find("flow/line-limit", linePlace(l)).with("routing/surplus", linePlace(l)).with("flow/even-resistance", "the pump")
		return e.with("flow/starts", linePlace(l)).with("flow/runs", linePlace(l)).with("flow/starts-within-tube", linePlace(l)).with("reservoir/first-fill", "the pump")
	}},
	{name: "a narrow tube on the longest line", class: "flow 4", rules: []string{"flow/even-resistance"}, put: narrow},
}

// line is the fact of a line of the kit without the mistake.
func (t *tree) line(l object) *facts.Line {
	for _, f := range t.facts.Lines {
		if f.Place() == linePlace(l) {
			return f
		}
	}
	return nil
}

// start is the pressure that starts the grease FG-G1 in a line: 4 yield stress
// length / bore, the yield stress 120 Pa at 25 degC and 400 Pa at -30, and the
// back pressure, which was measured at 20 degC and grows with it [Pa].
func (t *tree) start(l object) float64 {
	cold := si(t.at("vehicle", "ambient"), "from", units.Temperature) - 273.15
	yield := func(celsius float64) float64 { return 120 * math.Pow(400.0/120, (25-celsius)/55) }
	back := si(t.point(text(l, "point")), "back_pressure", units.Pressure) * max(1, yield(cold)/yield(20))
	return 4*yield(cold)*mm(l, "cut_length")/bore(l) + back
}

// bore is that of a line's tube in mm.
func bore(l object) float64 { return mm(parts()[text(l, "tube")], "inner") }

func (t *tree) grease(number string) {
	t.at("pump")["grease"] = number
	t.relist()
}

// pressureIn draws a rating among those of the wrong catalogue; 0 where there
// is none [bar].
func (t *tree) pressureIn(from, to float64) int {
	low := max(leastPressure, int(math.Ceil(from/1e5/pressureStep))*pressureStep)
	high := min(mostPressure, int(math.Floor(to/1e5/pressureStep))*pressureStep)
	if low > high {
		return 0
	}
	return low + pressureStep*t.rand.IntN((high-low)/pressureStep+1)
}

// tube gives a line a tube of which the derated pressure lies in a range. The
// range is widened to the rating by the share that is left of the tube FG-T4
// of 180 bar.
func (t *tree) tube(rule string, limits func(*facts.Line) (from, to float64)) *effect {
	l := *any1(t, t.items("lines"))
	f := t.line(l)
	if text(l, "tube") != "FG-T4" {
		return nil
	}
	share := f.TubeRating.Pressure.V / 180e5
	from, to := limits(f)
	p := t.pressureIn(from/share, to/share)
	if p == 0 {
		return nil
	}
	l["tube"] = t.use("FG-T4", "p"+itoa(p))
	t.relist()
	return find(rule, linePlace(l))
}

// weakFitting gives the point of a line a fitting with a pressure in a range.
func (t *tree) weakFitting(rule string, limits func(*facts.Line) (from, to float64)) *effect {
	l := *any1(t, t.items("lines"))
	from, to := limits(t.line(l))
	p := t.pressureIn(from, to)
	if text(l, "point_fitting") != "FG-F4S" || p == 0 {
		return nil
	}
	l["point_fitting"] = t.use("FG-F4S", "p"+itoa(p))
	t.relist()
	return find(rule, linePlace(l)).and("fittings/as-strong-as-tube", linePlace(l)+", at the point")
}

// narrow gives the line that resists most a narrower tube, so that it resists
// more than six times as much as the easiest.
func narrow(t *tree) *effect {
	var hardest object
	easiest, most := math.Inf(1), 0.0
	for _, l := range t.items("lines") {
		r := mm(l, "cut_length") / bore(l)
		easiest = min(easiest, r)
		if r > most {
			hardest, most = l, r
		}
	}
	if text(hardest, "tube") != "FG-T4" || most*2.5/1.5/easiest < 6.1 {
		return nil
	}
	hardest["tube"] = "FG-T4N"
	t.relist()
	return find("flow/even-resistance", "the pump").with("flow/starts", linePlace(hardest)).with("flow/runs", linePlace(hardest)).with("flow/starts-within-tube", linePlace(hardest))
}
