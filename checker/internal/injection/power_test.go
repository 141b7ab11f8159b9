package injection_test

import (
	"fmt"

	"kitgauge/checker/units"
)

var powerFaults = []fault{
	{name: "no fuse in the feed", class: "power 1", rules: []string{"power/fuse-fitted"}, put: func(t *tree) *effect {
		delete(t.at("feed"), "fuse")
		t.relist()
		return find("power/fuse-fitted", "the feed")
	}},
	{name: "a fuse too small for the draw", class: "power 1", rules: []string{"power/fuse-covers-draw"}, put: func(t *tree) *effect {
		return t.feed("fuse", "FG-S3", "power/fuse-covers-draw")
	}},
	{name: "a fuse too large for the cable", class: "power 1", rules: []string{"power/fuse-protects-cable"}, put: func(t *tree) *effect {
		return t.feed("fuse", "FG-S25", "power/fuse-protects-cable")
	}},
	{name: "a cable too thin for the fuse", class: "power 1", rules: []string{"power/fuse-protects-cable"}, put: func(t *tree) *effect {
		if text(t.at("feed"), "fuse") != "FG-S75" {
			return nil
		}
		return t.feed("cable", "FG-W05", "power/fuse-protects-cable").with("power/voltage-drop", "the feed")
	}},
	{name: "a fuse of no standard rating", class: "power 2", rules: []string{"power/fuse-standard"}, put: func(t *tree) *effect {
		return t.feed("fuse", "FG-S6", "power/fuse-standard").with("power/fuse-not-larger", "the feed").with("power/fuse-covers-draw", "the feed")
	}},
	{name: "a fuse larger than needed", class: "power 2", rules: []string{"power/fuse-not-larger"}, put: func(t *tree) *effect {
		if text(t.at("feed"), "fuse") == "FG-S10" {
			return nil
		}
		return t.feed("fuse", "FG-S10", "power/fuse-not-larger")
	}},
	{name: "a vehicle of another voltage", class: "power 3", rules: []string{"power/supply-voltage"}, put: func(t *tree) *effect {
		t.at("vehicle")["supply"] = "12 V"
		return find("power/supply-voltage", "the feed")
	}},
	{name: "a pump of another voltage", class: "power 3", rules: []string{"power/supply-voltage"}, put: func(t *tree) *effect {
		t.pump("half")
		return find("power/supply-voltage", "the feed")
	}},
	{name: "a long thin cable", class: "power 3", rules: []string{"power/voltage-at-pump"}, put: func(t *tree) *effect {
		t.at("feed")["length"] = fmt.Sprintf("%.0f m", t.between(130, 160))
		return t.feed("cable", "FG-W15", "power/voltage-at-pump").with("survey/feed-length", "the feed")
	}},
	{name: "a cable that loses too much", class: "power 3", rules: []string{"power/voltage-drop"}, put: func(t *tree) *effect {
		t.at("feed")["length"] = fmt.Sprintf("%.1f m", t.between(13, 19))
		return t.feed("cable", "FG-W15", "power/voltage-drop")
	}},
	{name: "a timer fed from the battery", class: "power 4", rules: []string{"power/ignition-switched"}, put: func(t *tree) *effect {
		t.at("feed")["take_off"] = "battery"
		return find("power/ignition-switched", "the feed")
	}},
	{name: "a circuit without room for the pump", class: "power 4", rules: []string{"power/circuit-carries-draw"}, put: func(t *tree) *effect {
		c := t.at("feed", "circuit")
		c["load"] = fmt.Sprintf("%.1f A", si(c, "rating", units.Current)-t.between(0, 2.5))
		return find("power/circuit-carries-draw", "the feed")
	}},
	{name: "a fuse far from the source", class: "power 5", rules: []string{"power/fuse-near-source"}, put: func(t *tree) *effect {
		t.at("feed")["fuse_distance"] = t.length(t.between(180, 2000))
		return find("power/fuse-near-source", "the feed")
	}},
	{name: "a fuse far along a sheath", class: "power 5", rules: []string{"power/fuse-near-source"}, put: func(t *tree) *effect {
		t.at("feed")["sheathed"] = true
		t.at("feed")["fuse_distance"] = t.length(t.between(1018, 3000))
		return find("power/fuse-near-source", "the feed")
	}},
	{name: "a cable in air that takes its rating", class: "power 1", rules: []string{"power/fuse-protects-cable"}, put: func(t *tree) *effect {
		t.at("feed")["temperature"] = fmt.Sprintf("%.1f degC", t.between(103, 120))
		t.at("feed")["fuse_temperature"] = "25 degC"
		return find("power/fuse-protects-cable", "the feed").with("survey/feed-air", "the feed").with("environment/part-warm", "part FG-W25 (cable)").with("power/voltage-drop", "the feed")
	}},
	{name: "a cable among many others", class: "power 1", rules: []string{"power/fuse-protects-cable"}, put: func(t *tree) *effect {
		if text(t.at("feed"), "fuse") != "FG-S75" && text(t.at("feed"), "fuse") != "FG-S10" {
			return nil
		}
		t.at("feed")["loaded_conductors"] = 25 + t.rand.IntN(20)
		return t.feed("cable", "FG-W15", "power/fuse-protects-cable").with("power/voltage-drop", "the feed")
	}},
	{name: "a circuit with a smaller fuse than the feed's", class: "power 4", rules: []string{"power/fuse-within-circuit"}, put: func(t *tree) *effect {
		fuse := map[string]float64{"FG-S4": 4, "FG-S5": 5, "FG-S75": 7.5, "FG-S10": 10}[text(t.at("feed"), "fuse")]
		t.at("feed")["circuit"] = object{"rating": fmt.Sprintf("%.1f A", fuse-t.between(0.1, 0.2*fuse)), "load": "0 A"}
		return find("power/fuse-within-circuit", "the feed")
	}},
	{name: "the voltage with the engine running as the least", class: "power 3", rules: []string{"power/least-supply"}, put: func(t *tree) *effect {
		t.at("vehicle")["least_supply"] = fmt.Sprintf("%.1f V", t.between(24.5, 29))
		return find("power/least-supply", "the kit")
	}},
	{name: "a source with nothing to lose on the way", class: "power 3", rules: []string{"power/voltage-at-pump"}, put: func(t *tree) *effect {
		t.at("vehicle")["least_supply"] = "18.05 V"
		return find("power/voltage-at-pump", "the feed")
	}},
	{name: "a battery too low for the pump", class: "power 3", rules: []string{"power/source-feeds-pump"}, put: func(t *tree) *effect {
		t.at("vehicle")["least_supply"] = fmt.Sprintf("%.2f V", t.between(15, 17.9))
		return find("power/source-feeds-pump", "the feed").with("power/voltage-at-pump", "the feed")
	}},
	{name: "a corroded fuse holder", class: "power 3", rules: []string{"power/voltage-at-start"}, put: func(t *tree) *effect {
		if f := text(t.at("feed"), "fuse"); f == "FG-S75" || f == "FG-S10" {
			return nil // a pump that draws so much does not even run
		}
		t.at("feed")["holder_resistance"] = fmt.Sprintf("%.0f mohm", t.between(420, 700))
		return find("power/voltage-at-start", "the feed").with("power/voltage-at-pump", "the feed").with("power/whole-drop", "the feed")
	}},
	{name: "a passage of the feed without a grommet", class: "power 5", rules: []string{"power/passage-grommet"}, put: func(t *tree) *effect {
		p := items(t.at("feed"), "passages")[0]
		p["grommet"] = false
		if t.rand.IntN(2) == 0 {
			delete(p, "grommet")
		}
		return find("power/passage-grommet", "the feed, passage "+text(p, "name"))
	}},
	{name: "the way of the feed out of the cab not stated", class: "power 5", rules: []string{"power/passage-stated"}, put: func(t *tree) *effect {
		delete(t.at("feed"), "passages")
		return find("power/passage-stated", "the feed")
	}},
	{name: "a connector that is not sealed", class: "power 5", rules: []string{"power/connector-sealed"}, put: func(t *tree) *effect {
		c := items(t.at("feed"), "connectors")[1]
		c["part"] = t.use("FG-K67", "open")
		t.relist()
		return find("power/connector-sealed", "the feed, connector "+text(c, "name"))
	}},
}

// feed exchanges a part of the feed.
func (t *tree) feed(member, part, rule string) *effect {
	t.at("feed")[member] = part
	t.relist()
	return find(rule, "the feed")
}

var fittingFaults = []fault{
	{name: "a fitting forgotten at the point", class: "fittings 3", rules: []string{"fittings/fitting-stated"}, put: func(t *tree) *effect { return t.noFitting("point") }},
	{name: "a fitting forgotten at the pump", class: "fittings 3", rules: []string{"fittings/fitting-stated"}, put: func(t *tree) *effect { return t.noFitting("pump") }},
	{name: "a thread not measured", class: "fittings 1", rules: []string{"fittings/point-thread"}, put: func(t *tree) *effect {
		p := *any1(t, t.items("points"))
		if p["thread"] = t.one("1/8", "M10x10", "10 mm", ""); text(p, "thread") == "" {
			delete(p, "thread")
		}
		return find("fittings/point-thread", pointPlace(p))
	}},
	{name: "a pump whose outlet thread is not known", class: "fittings 1", rules: []string{"fittings/outlet-thread"}, put: func(t *tree) *effect {
		t.pump("nothread")
		return find("fittings/outlet-thread", "the pump")
	}},
	{name: "a fitting whose thread is not known", class: "fittings 1", rules: []string{"fittings/fitting-thread"}, put: func(t *tree) *effect {
		l := t.straight("")
		if l == nil {
			return nil
		}
		return t.fit(l, "FG-F4B", "fittings/fitting-thread", "part FG-F4B")
	}},
	{name: "a fitting with a look-alike thread", class: "fittings 1", rules: []string{"fittings/look-alike"}, put: func(t *tree) *effect {
		l := t.straight("")
		if l == nil {
			return nil
		}
		p := t.point(text(l, "point"))
		part := map[string][]string{"R 1/8": {"FG-F4N", "FG-F4S"}, "1/8-27 NPT": {"FG-F4R", "FG-F4S"}, "M10x1": {"FG-F4R", "FG-F4N"}}[text(p, "thread")]
		return t.fit(l, t.one(part...), "fittings/look-alike", linePlace(l)+", at the point")
	}},
	{name: "a look-alike thread at the pump", class: "fittings 1", rules: []string{"fittings/look-alike"}, put: func(t *tree) *effect {
		l := *any1(t, t.items("lines"))
		l["pump_fitting"] = t.one("FG-F4R", "FG-F4N")
		t.relist()
		return find("fittings/look-alike", linePlace(l)+", at the pump")
	}},
	{name: "M6x1 in a hole of 1/4-28 UNF", class: "fittings 1", rules: []string{"fittings/look-alike"}, put: func(t *tree) *effect {
		l := t.straight("")
		if l == nil {
			return nil
		}
		t.point(text(l, "point"))["thread"] = "1/4-28 UNF"
		return t.fit(l, "FG-F4M", "fittings/look-alike", linePlace(l)+", at the point")
	}},
	{name: "a fitting of another size", class: "fittings 1", rules: []string{"fittings/thread"}, put: func(t *tree) *effect {
		l := t.straight("M10x1")
		if l == nil {
			return nil
		}
		t.point(text(l, "point"))["thread"] = t.one("M8x1", "M10x1.5", "M12x1.5", "G 1/4")
		return find("fittings/thread", linePlace(l)+", at the point")
	}},
	{name: "a fitting for another tube", class: "fittings 2", rules: []string{"fittings/tube-size"}, put: func(t *tree) *effect {
		l := t.straight("M10x1")
		if l == nil {
			return nil
		}
		return t.fit(l, "FG-F6S", "fittings/tube-size", linePlace(l)+", at the point")
	}},
	{name: "a tube for other fittings", class: "fittings 2", rules: []string{"fittings/tube-of-fittings"}, put: func(t *tree) *effect {
		l := *any1(t, t.items("lines"))
		l["tube"] = "FG-T6"
		t.relist()
		e := find("fittings/tube-of-fittings", linePlace(l))
		e.with("flow/even-resistance", "the pump").with("routing/corner", ofLine(l)...).with("slack/loop-radius", ofLine(l)...)
		if b := text(l, "bundle"); b != "" {
			e.with("bundles/fits", "bundle "+b).with("bundles/fill-closed", "bundle "+b).with("bundles/fill-pulled", "bundle "+b)
			e.with("slack/loop-radius", "bundle "+b+", *")
		}
		return e.with("reservoir/first-fill", "the pump")
	}},
	{name: "a fitting weaker than its tube", class: "fittings 2", rules: []string{"fittings/as-strong-as-tube"}, put: func(t *tree) *effect {
		l := t.straight("M10x1")
		if l == nil {
			return nil
		}
		return t.fit(l, "FG-F4L", "fittings/as-strong-as-tube", linePlace(l)+", at the point").with("flow/runs-within-fittings", linePlace(l))
	}},
	{name: "a straight fitting at a tight point", class: "fittings 3", rules: []string{"fittings/angled"}, put: func(t *tree) *effect {
		l := t.straight("")
		if l == nil {
			return nil
		}
		t.point(text(l, "point"))["access"] = "tight"
		return find("fittings/angled", linePlace(l)+", at the point")
	}},
	{name: "a fitting that is not angled enough", class: "fittings 3", rules: []string{"fittings/angled"}, put: func(t *tree) *effect {
		l := t.straight("M10x1")
		if l == nil {
			return nil
		}
		t.point(text(l, "point"))["access"] = "tight"
		return t.fit(l, "FG-F4O", "fittings/angled", linePlace(l)+", at the point")
	}},
	{name: "no spare fitting", class: "fittings 3", rules: []string{"fittings/spares"}, put: func(t *tree) *effect {
		uses := map[string]int{}
		for _, l := range t.items("lines") {
			uses[text(l, "pump_fitting")]++
			uses[text(l, "point_fitting")]++
		}
		r := pick(t, t.items("parts_list"), func(r object) bool { return uses[text(r, "part")] > 0 })
		(*r)["quantity"] = uses[text(*r, "part")]
		return find("fittings/spares", "parts list, "+text(*r, "part"))
	}},
}

func (t *tree) noFitting(end string) *effect {
	l := *any1(t, t.items("lines"))
	delete(l, end+"_fitting")
	t.relist()
	e := find("fittings/fitting-stated", linePlace(l)+", at the "+end).with("routing/cut-length", linePlace(l))
	return e
}

// straight draws a line with a straight fitting, into a thread where one is
// given.
func (t *tree) straight(thread string) object {
	l := pick(t, t.items("lines"), func(l object) bool {
		p := t.point(text(l, "point"))
		return text(p, "access") == "free" && (thread == "" || text(p, "thread") == thread)
	})
	if l == nil {
		return nil
	}
	return *l
}

func (t *tree) fit(l object, part, rule, place string) *effect {
	l["point_fitting"] = part
	t.relist()
	return find(rule, place)
}
