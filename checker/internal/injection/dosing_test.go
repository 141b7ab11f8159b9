package injection_test

import (
	"fmt"
	"math"

	"kitgauge/checker/units"
)

var dosingFaults = []fault{
	{name: "an element that gives a point too little", class: "dosing 1", rules: []string{"dosing/enough"}, put: func(t *tree) *effect {
		return t.element("dosing/enough", func(ratio float64) bool { return ratio < 0.78 })
	}},
	{name: "an element that gives a point too much", class: "dosing 1", rules: []string{"dosing/not-too-much"}, put: func(t *tree) *effect {
		return t.element("dosing/not-too-much", func(ratio float64) bool { return ratio > 2.05 })
	}},
	{name: "a maker who asks for more than the point gets", class: "dosing 1", rules: []string{"dosing/enough"}, put: func(t *tree) *effect {
		return t.demand("dosing/enough", t.between(0.2, 0.78))
	}},
	{name: "a maker who allows less than the point gets", class: "dosing 1", rules: []string{"dosing/not-too-much"}, put: func(t *tree) *effect {
		return t.demand("dosing/not-too-much", t.between(2.05, 9))
	}},
	{name: "a run without a full stroke", class: "dosing 2", rules: []string{"dosing/full-stroke"}, put: func(t *tree) *effect {
		timer := t.at("pump", "timer")
		if !has(timer, "strokes") {
			return nil
		}
		timer["strokes"] = 0
		return find("dosing/full-stroke", "the pump").with("reservoir/covers-interval", "the pump")
	}},
	{name: "seconds written for minutes in the run", class: "dosing 2", rules: []string{"dosing/full-stroke", "dosing/run-offered-least"}, put: func(t *tree) *effect {
		timer := t.at("pump", "timer")
		if !has(timer, "run") {
			return nil
		}
		timer["run"] = fmt.Sprintf("%d s", 1+t.rand.IntN(50))
		return find("dosing/full-stroke", "the pump").and("dosing/run-offered-least", "the pump").with("reservoir/covers-interval", "the pump")
	}},
	{name: "a run and a number of strokes", class: "dosing 2", rules: []string{"dosing/run-or-strokes"}, put: func(t *tree) *effect {
		timer := t.at("pump", "timer")
		strokes, _ := t.cycle()
		timer["run"], timer["strokes"] = fmt.Sprintf("%d min", strokes), strokes
		return find("dosing/run-or-strokes", "the pump")
	}},
	{name: "strokes set on a timer that does not count them", class: "dosing 2", rules: []string{"dosing/counts-strokes"}, put: func(t *tree) *effect {
		if !has(t.at("pump", "timer"), "strokes") {
			return nil
		}
		t.pump("nocount")
		return find("dosing/counts-strokes", "the pump")
	}},
	{name: "a run shorter than the timer has", class: "dosing 2", rules: []string{"dosing/run-offered-least"}, put: t0("run", "longrun", "dosing/run-offered-least")},
	{name: "a run longer than the timer has", class: "dosing 2", rules: []string{"dosing/run-offered-most"}, put: t0("run", "shortrun", "dosing/run-offered-most")},
	{name: "a pause shorter than the timer has", class: "dosing 2", rules: []string{"dosing/pause-offered-least"}, put: t0("pause", "longpause", "dosing/pause-offered-least")},
	{name: "a pause longer than the timer has", class: "dosing 2", rules: []string{"dosing/pause-offered-most"}, put: t0("pause", "shortpause", "dosing/pause-offered-most")},
	{name: "a pump that may not run so much", class: "dosing 3", rules: []string{"dosing/duty-cycle"}, put: t0("pause", "hotmotor", "dosing/duty-cycle")},
	{name: "a cycle longer than the working day", class: "dosing 2", rules: []string{"dosing/once-a-day"}, put: func(t *tree) *effect {
		strokes, minutes := t.cycle()
		hours := si(t.at("vehicle"), "hours_a_day", units.Time) / 3600
		times := int(math.Floor(hours*60/float64(minutes))) + 1
		t.at("pump")["timer"] = object{"strokes": strokes * times, "pause": fmt.Sprintf("%d min", (minutes-strokes)*times)}
		return find("dosing/once-a-day", "the pump")
	}},
	{name: "an element marked otherwise than its part", class: "dosing 3", rules: []string{"dosing/stroke-volume"}, put: func(t *tree) *effect {
		o := pick(t, items(t.at("pump"), "outlets"), func(o object) bool { return has(o, "element") })
		is := stroke(text(*o, "element"))
		(*o)["stroke_volume"] = fmt.Sprintf("%.1f mm3", is*t.between(1.1, 3))
		if t.rand.IntN(2) == 0 {
			(*o)["stroke_volume"] = fmt.Sprintf("%.1f mm3", is*t.between(0.3, 0.9))
		}
		return find("dosing/stroke-volume", outletPlace(number(*o, "number")))
	}},
}

// t0 exchanges the pump of a kit whose timer states a member.
func t0(member, tag, rule string) func(*tree) *effect {
	return func(t *tree) *effect {
		if !has(t.at("pump", "timer"), member) {
			return nil
		}
		t.pump(tag)
		return find(rule, "the pump")
	}
}

// stroke is the volume of an element in mm3.
func stroke(element string) float64 {
	return si(parts()[element], "stroke_volume", units.Volume) * 1e9
}

// cycle is the timer's setting: strokes, of a minute each, and all in all.
func (t *tree) cycle() (strokes, minutes int) {
	timer := t.at("pump", "timer")
	strokes = number(timer, "strokes")
	if has(timer, "run") {
		strokes = int(si(timer, "run", units.Time)/60 + 0.5)
	}
	return strokes, strokes + int(si(timer, "pause", units.Time)/60+0.5)
}

// element fits another element, with which the ratio of what a point gets to
// what it needs is as asked for.
func (t *tree) element(rule string, ok func(ratio float64) bool) *effect {
	type choice struct {
		line    object
		element string
	}
	var fit []choice
	for _, l := range t.items("lines") {
		is := text(t.outlet(number(l, "outlet")), "element")
		for _, e := range []string{"FG-E15", "FG-E25", "FG-E35", "FG-E50"} {
			if ok(t.ratio(l) * stroke(e) / stroke(is)) {
				fit = append(fit, choice{l, e})
			}
		}
	}
	c := any1(t, fit)
	if c == nil {
		return nil
	}
	o := t.outlet(number(c.line, "outlet"))
	o["element"] = c.element
	delete(o, "stroke_volume")
	t.relist()
	e := find(rule, pointPlace(t.point(text(c.line, "point")))).with("flow/runs", linePlace(c.line))
	return e.with("reservoir/covers-interval", "the pump")
}

// ratio is what the point of a line gets of what it needs.
func (t *tree) ratio(l object) float64 {
	for _, p := range t.facts.Points {
		if p.ID.V == text(l, "point") {
			return p.DoseRatio.V
		}
	}
	return 0
}

// demand states what a point needs so that the ratio of what it gets is this.
func (t *tree) demand(rule string, ratio float64) *effect {
	l := *any1(t, t.items("lines"))
	p := t.point(text(l, "point"))
	strokes, minutes := t.cycle()
	gets := stroke(text(t.outlet(number(l, "outlet")), "element")) * float64(strokes) / float64(minutes) * 60 // mm3/h
	delete(p, "bearing")
	p["demand"] = fmt.Sprintf("%.6f cm3/h", gets/ratio/1000)
	return find(rule, pointPlace(p))
}

var reservoirFaults = []fault{
	{name: "refilled too seldom", class: "reservoir 1", rules: []string{"reservoir/covers-interval"}, put: func(t *tree) *effect {
		v := t.at("vehicle")
		weeks := si(v, "refill_interval", units.Time) / (7 * 86400)
		v["refill_interval"] = fmt.Sprintf("%.0f wk", math.Ceil(weeks*(1.2+t.reserve())*t.between(1, 2)))
		return find("reservoir/covers-interval", "the pump")
	}},
	{name: "filled too little", class: "reservoir 1", rules: []string{"reservoir/covers-interval"}, put: func(t *tree) *effect {
		fill := t.at("pump", "fill")
		lower, filled := t.volume(fill, "lower_mark"), t.volume(fill, "filled")
		need := (filled - lower) / (1 + t.reserve())
		fill["filled"] = cubic(lower + need*t.between(0.3, 1.18))
		return find("reservoir/covers-interval", "the pump").with("reservoir/first-fill-much", "the pump").with("reservoir/warning-not-above-upper", "the pump")
	}},
	{name: "the marks exchanged", class: "reservoir 2", rules: []string{"reservoir/marks-in-order"}, put: func(t *tree) *effect {
		fill := t.at("pump", "fill")
		fill["lower_mark"], fill["upper_mark"] = fill["upper_mark"], fill["lower_mark"]
		return find("reservoir/marks-in-order", "the pump")
	}},
	{name: "the upper mark above the reservoir", class: "reservoir 2", rules: []string{"reservoir/marks-in-order"}, put: func(t *tree) *effect {
		t.pump("tiny")
		return find("reservoir/marks-in-order", "the pump")
	}},
	{name: "filled over the upper mark", class: "reservoir 2", rules: []string{"reservoir/not-above-upper"}, put: func(t *tree) *effect {
		fill := t.at("pump", "fill")
		fill["filled"] = cubic(t.volume(fill, "upper_mark") * t.between(1.01, 1.2))
		return find("reservoir/not-above-upper", "the pump")
	}},
	{name: "filled to below the lower mark", class: "reservoir 2", rules: []string{"reservoir/not-below-lower"}, put: func(t *tree) *effect {
		fill := t.at("pump", "fill")
		fill["filled"] = cubic(t.volume(fill, "lower_mark") * t.between(0.1, 0.98))
		return find("reservoir/not-below-lower", "the pump")
	}},
	{name: "the lines forgotten in the first fill", class: "reservoir 3", rules: []string{"reservoir/first-fill"}, put: func(t *tree) *effect {
		t.at("pump")["first_fill"] = t.at("pump", "fill")["filled"]
		return find("reservoir/first-fill", "the pump")
	}},
	{name: "no grease for the first fill", class: "reservoir 3", rules: []string{"reservoir/first-fill-listed"}, put: func(t *tree) *effect {
		delete(t.at("pump"), "first_fill")
		return find("reservoir/first-fill-listed", "the pump")
	}},
	{name: "the low-level switch not connected", class: "reservoir 3", rules: []string{"reservoir/low-level-warning"}, put: func(t *tree) *effect {
		t.at("pump")["low_level_warns"] = false
		return find("reservoir/low-level-warning", "the pump")
	}},
	{name: "the warning below the lower mark", class: "reservoir 3", rules: []string{"reservoir/low-level-warning"}, put: func(t *tree) *effect {
		t.at("pump")["warning_volume"] = cubic(t.volume(t.at("pump", "fill"), "lower_mark") * t.between(0.2, 0.98))
		return find("reservoir/low-level-warning", "the pump")
	}},
	{name: "a pump without a low-level switch", class: "reservoir 3", rules: []string{"reservoir/low-level-warning"}, put: func(t *tree) *effect {
		t.pump("nolevel")
		return find("reservoir/low-level-warning", "the pump")
	}},
}

// volume reads a volume in cm3, and cubic writes it.
func (t *tree) volume(o object, key string) float64 { return si(o, key, units.Volume) * 1e6 }

func cubic(cm3 float64) string { return fmt.Sprintf("%.2f cm3", cm3) }

// reserve is what the fill has to spare in the kit without the mistake: what
// is used up is added outlet by outlet.
func (t *tree) reserve() float64 {
	v, fill := t.at("vehicle"), t.at("pump", "fill")
	strokes, minutes := t.cycle()
	weeks := si(v, "refill_interval", units.Time) / (7 * 86400)
	running := weeks * float64(number(v, "days_a_week")) * si(v, "hours_a_day", units.Time) / 60 // min
	used := 0.0
	for _, l := range t.items("lines") {
		used += stroke(text(t.outlet(number(l, "outlet")), "element")) * float64(strokes) * running / float64(minutes) / 1000
	}
	return (t.volume(fill, "filled")-t.volume(fill, "lower_mark"))/used - 1
}
