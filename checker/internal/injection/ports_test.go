package injection_test

import (
	"fmt"
	"strconv"
)

var portFaults = []fault{
	{name: "a line on an outlet that the pump does not have", class: "ports 1", rules: []string{"ports/line-has-outlet"}, put: func(t *tree) *effect {
		l := *any1(t, t.items("lines"))
		was := number(l, "outlet")
		l["outlet"] = len(items(t.at("pump"), "outlets")) + 1 + t.rand.IntN(9)
		return find("ports/line-has-outlet", linePlace(l)).with("ports/element-has-line", outletPlace(was))
	}},
	{name: "the outlet of a line forgotten", class: "ports 1", rules: []string{"ports/line-has-outlet"}, put: func(t *tree) *effect {
		l := *any1(t, t.items("lines"))
		was := number(l, "outlet")
		delete(l, "outlet")
		return find("ports/line-has-outlet", linePlace(l)).with("ports/element-has-line", outletPlace(was))
	}},
	{name: "two lines on one outlet", class: "ports 1", rules: []string{"ports/outlet-used-once"}, put: func(t *tree) *effect {
		lines := t.items("lines")
		j := 1 + t.rand.IntN(len(lines)-1)
		was := number(lines[j], "outlet")
		lines[j]["outlet"] = lines[t.rand.IntN(j)]["outlet"]
		return find("ports/outlet-used-once", linePlace(lines[j])).with("ports/element-has-line", outletPlace(was))
	}},
	{name: "an outlet listed that the pump does not have", class: "ports 1", rules: []string{"ports/outlet-exists"}, put: func(t *tree) *effect {
		p := t.at("pump")
		n := len(items(p, "outlets")) + 1 + t.rand.IntN(5)
		t.add(p, "outlets", object{"number": n, "blanked": true})
		return find("ports/outlet-exists", outletPlace(n))
	}},
	{name: "an outlet listed twice", class: "ports 1", rules: []string{"ports/outlet-listed-once"}, put: func(t *tree) *effect {
		p := t.at("pump")
		n := number(*any1(t, items(p, "outlets")), "number")
		t.add(p, "outlets", object{"number": n, "blanked": true})
		return find("ports/outlet-listed-once", outletPlace(n))
	}},
	{name: "a point without a line", class: "ports 2", rules: []string{"ports/point-has-one-line"}, put: func(t *tree) *effect {
		p := clone(*any1(t, t.items("points")))
		p["id"], p["name"] = "X-1", "Late found pin, "+side(position(p, "position").Y)
		t.add(t.root, "points", p)
		return find("ports/point-has-one-line", pointPlace(p)).with("survey/title-count", "the kit").with("survey/point-same-place")
	}},
	{name: "two lines to one point, none to another", class: "ports 2", rules: []string{"ports/point-has-one-line"}, put: twoLinesToOnePoint},
	{name: "the point of a line misspelt", class: "ports 2", rules: []string{"ports/line-ends-at-point"}, put: func(t *tree) *effect {
		l := *any1(t, t.items("lines"))
		p := t.point(text(l, "point"))
		l["point"] = text(l, "point") + "x"
		return find("ports/line-ends-at-point", linePlace(l)).with("ports/point-has-one-line", pointPlace(p))
	}},
	{name: "a line without a point", class: "ports 2", rules: []string{"ports/line-ends-at-point"}, put: func(t *tree) *effect {
		l := *any1(t, t.items("lines"))
		p := t.point(text(l, "point"))
		delete(l, "point")
		return find("ports/line-ends-at-point", linePlace(l)).with("ports/point-has-one-line", pointPlace(p))
	}},
	{name: "two points with one id", class: "ports 2", rules: []string{"ports/point-id-once"}, put: func(t *tree) *effect {
		points := t.items("points")
		j := 1 + t.rand.IntN(len(points)-1)
		l := t.lineTo(text(points[j], "id"))
		points[j]["id"] = points[t.rand.IntN(j)]["id"]
		return find("ports/point-id-once", pointPlace(points[j])).with("ports/line-ends-at-point", linePlace(l))
	}},
	{name: "the element of an outlet forgotten", class: "ports 3", rules: []string{"ports/outlet-has-element"}, put: func(t *tree) *effect {
		o := t.outlet(number(*any1(t, t.items("lines")), "outlet"))
		delete(o, "element")
		t.relist()
		return find("ports/outlet-has-element", outletPlace(number(o, "number"))).with("reservoir/covers-interval", "the pump")
	}},
	{name: "an element of another series", class: "ports 3", rules: []string{"ports/outlet-has-element"}, put: func(t *tree) *effect {
		o := t.outlet(number(*any1(t, t.items("lines")), "outlet"))
		o["element"] = "FG-M80"
		delete(o, "stroke_volume")
		t.relist()
		return find("ports/outlet-has-element", outletPlace(number(o, "number"))).with("reservoir/covers-interval", "the pump")
	}},
	{name: "an outlet in use is blanked", class: "ports 3", rules: []string{"ports/outlet-in-use-open"}, put: func(t *tree) *effect {
		o := t.outlet(number(*any1(t, t.items("lines")), "outlet"))
		o["blanked"] = true
		return find("ports/outlet-in-use-open", outletPlace(number(o, "number")))
	}},
	{name: "an unused outlet left open", class: "ports 3", rules: []string{"ports/unused-outlet-blanked"}, put: func(t *tree) *effect {
		o := t.spareOutlet()
		if o == nil {
			return nil
		}
		o["blanked"] = false
		return find("ports/unused-outlet-blanked", outletPlace(number(o, "number")))
	}},
	{name: "an unused outlet not listed", class: "ports 3", rules: []string{"ports/unused-outlet-blanked"}, put: func(t *tree) *effect {
		o := t.spareOutlet()
		if o == nil {
			return nil
		}
		set(t.at("pump"), "outlets", without(items(t.at("pump"), "outlets"), o))
		return find("ports/unused-outlet-blanked", outletPlace(number(o, "number")))
	}},
	{name: "an element where no line is", class: "ports 3", rules: []string{"ports/element-has-line"}, put: func(t *tree) *effect {
		o := t.spareOutlet()
		if o == nil {
			return nil
		}
		delete(o, "blanked")
		o["element"] = "FG-E25"
		t.relist()
		return find("ports/element-has-line", outletPlace(number(o, "number")))
	}},
	{name: "a pump with too few outlets", class: "ports 4", rules: []string{"ports/pump-has-outlets"}, put: func(t *tree) *effect {
		t.pump("few")
		e := find("ports/pump-has-outlets", "the kit")
		most := map[string]int{"FG-P12-few": 3, "FG-P36-few": 12, "FG-P84-few": 36}[text(t.at("pump"), "part")]
		for _, l := range t.items("lines") {
			if number(l, "outlet") > most {
				e.with("ports/line-has-outlet", linePlace(l))
			}
		}
		return e
	}},
	{name: "a kit larger than the trade builds", class: "ports 4", rules: []string{"ports/kit-size"}, size: 90, put: func(t *tree) *effect {
		return find("ports/kit-size", "the kit")
	}},
	{name: "two lines with one number", class: "ports 5", rules: []string{"ports/line-number-once"}, put: func(t *tree) *effect {
		lines := t.items("lines")
		j := 1 + t.rand.IntN(len(lines)-1)
		row, _ := t.row(number(lines[j], "number"))
		sheet := t.at("documents", "call_out_sheet")
		set(sheet, "rows", without(items(sheet, "rows"), row))
		t.renumber(lines[j], number(lines[t.rand.IntN(j)], "number"))
		return find("ports/line-number-once", linePlace(lines[j]))
	}},
	{name: "a gap in the line numbers", class: "ports 5", rules: []string{"ports/line-numbers-without-gaps"}, put: func(t *tree) *effect {
		l := *any1(t, t.items("lines"))
		row, _ := t.row(number(l, "number"))
		n := len(t.items("lines")) + 1 + t.rand.IntN(3)
		t.renumber(l, n)
		row["line"] = n
		return find("ports/line-numbers-without-gaps", "the kit")
	}},
}

// twoLinesToOnePoint moves a line to the point of another on the same body.
func twoLinesToOnePoint(t *tree) *effect {
	points := t.items("points")
	p := *any1(t, points)
	q := pick(t, points, func(q object) bool { return !same(p, q) && text(q, "body") == text(p, "body") })
	if q == nil {
		return nil
	}
	l := t.lineTo(text(p, "id"))
	l["point"] = (*q)["id"]
	row, _ := t.row(number(l, "number"))
	row["name"] = (*q)["name"]
	e := find("ports/point-has-one-line", pointPlace(p)).and("ports/point-has-one-line", pointPlace(*q))
	return t.relaid(e, l).with("bundles/one-place", "bundle "+text(l, "bundle")).with("survey/line-side", linePlace(l))
}

// relaid allows what a line may run into that goes another way than drawn.
func (t *tree) relaid(e *effect, l object) *effect {
	for _, rule := range []string{
		"routing/cut-length", "routing/surplus", "routing/break-out", "routing/tie-spacing", "routing/corner", "routing/moving",
		"routing/heat", "routing/edge", "slack/free-length-stated", "slack/steered", "slack/sprung", "slack/articulated",
		"slack/loop-radius", "slack/loop-sag", "fittings/thread", "fittings/look-alike", "fittings/angled",
	} {
		e.with(rule, ofLine(l)...)
	}
	return e
}

func side(y float64) string {
	if y < 0 {
		return "right"
	}
	return "left"
}

func (t *tree) spareOutlet() object {
	o := pick(t, items(t.at("pump"), "outlets"), func(o object) bool { return truth(o, "blanked") })
	if o == nil {
		return nil
	}
	return *o
}

// renumber gives a line another number, on its markers too.
func (t *tree) renumber(l object, n int) {
	l["number"] = n
	l["pump_marker"], l["point_marker"] = strconv.Itoa(n), fmt.Sprint(n)
}
