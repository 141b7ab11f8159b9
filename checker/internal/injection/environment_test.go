package injection_test

var environmentFaults = []fault{
	{name: "the climate not asked for", class: "environment 1", rules: []string{"environment/ambient-stated"}, put: func(t *tree) *effect {
		switch v := t.at("vehicle"); t.rand.IntN(3) {
		case 0:
			delete(v, "ambient")
		case 1:
			delete(t.at("vehicle", "ambient"), "from")
		default:
			delete(t.at("vehicle", "ambient"), "to")
		}
		return find("environment/ambient-stated", "the kit")
	}},
	{name: "coldest and warmest air changed over", class: "environment 1", rules: []string{"environment/ambient-in-order"}, put: func(t *tree) *effect {
		a := t.at("vehicle", "ambient")
		a["from"], a["to"] = a["to"], a["from"]
		return find("environment/ambient-in-order", "the kit")
	}},
	{name: "a grease that does not stand the cold", class: "environment 1", rules: []string{"environment/grease-cold"}, put: func(t *tree) *effect {
		t.grease(t.use("FG-G1", "autumn"))
		return find("environment/grease-cold", "the pump")
	}},
	{name: "a grease that does not stand the warmth", class: "environment 1", rules: []string{"environment/grease-warm"}, put: func(t *tree) *effect {
		t.at("vehicle", "ambient")["to"] = t.celsius(62)
		t.grease("FG-G7")
		e := find("environment/grease-warm", "the pump").with("survey/ambient-possible", "the kit")
		for _, l := range t.items("lines") { // 180 bar come down to less than the pump's 120
			e.with("flow/blocked-within-tube", linePlace(l))
		}
		return e
	}},
	{name: "a point hotter than the grease stands", class: "environment 1", rules: []string{"environment/grease-hot-point"}, put: func(t *tree) *effect {
		l := *any1(t, t.items("lines"))
		p := t.point(text(l, "point"))
		p["temperature"] = t.celsius(t.between(62, 78))
		t.grease("FG-G7")
		return find("environment/grease-hot-point", pointPlace(p)).with("flow/blocked-within-tube", linePlace(l))
	}},
	{name: "a part that does not stand the cold", class: "environment 2", rules: []string{"environment/part-cold"}, put: func(t *tree) *effect { return t.climate("environment/part-cold", "summer") }},
	{name: "a part that does not stand the warmth", class: "environment 2", rules: []string{"environment/part-warm"}, put: func(t *tree) *effect { return t.climate("environment/part-warm", "winter") }},
	{name: "the feed along something hot", class: "environment 2", rules: []string{"environment/part-warm"}, put: func(t *tree) *effect {
		t.at("feed")["temperature"] = t.celsius(t.between(107, 140))
		return find("environment/part-warm", "part FG-W25 (cable)").with("power/voltage-drop", "the feed").with("survey/feed-air", "the feed").
			with("power/fuse-covers-draw", "the feed").with("power/fuse-protects-cable", "the feed").with("power/fuse-not-larger", "the feed")
	}},
	{name: "a point hotter than its tube stands", class: "environment 2", rules: []string{"environment/part-warm"}, put: func(t *tree) *effect {
		l := *any1(t, t.items("lines"))
		p := t.point(text(l, "point"))
		p["temperature"] = t.celsius(t.between(92, 98))
		return find("environment/part-warm", "part "+text(l, "tube")+" (tube)").with("flow/starts-within-tube", linePlace(l))
	}},
	{name: "a grease that does not stand water", class: "environment 3", rules: []string{"environment/grease-water"}, put: func(t *tree) *effect {
		t.grease("FG-G5")
		return find("environment/grease-water", "the pump")
	}},
	{name: "a grease whose grade does not agree", class: "environment 3", rules: []string{"environment/grease-grade"}, put: func(t *tree) *effect {
		t.grease("FG-G6")
		return find("environment/grease-grade", "the pump")
	}},
	{name: "nobody asked what was in the points", class: "environment 3", rules: []string{"environment/former-grease-stated"}, put: func(t *tree) *effect {
		delete(t.at("vehicle"), "greased_before")
		return find("environment/former-grease-stated", "the kit")
	}},
	{name: "a former grease of a point that is gone", class: "environment 3", rules: []string{"environment/former-grease-points"}, put: func(t *tree) *effect {
		t.add(t.at("vehicle"), "greased_before", object{"designation": "KP2N-20", "thickener": "lithium", "points": []any{"GONE-1"}})
		return find("environment/former-grease-points", "former grease KP2N-20")
	}},
	{name: "a former grease that may not meet the new one", class: "environment 3", rules: []string{"environment/thickener"}, put: func(t *tree) *effect {
		return t.former("clay", "environment/thickener")
	}},
	{name: "a former grease that is a borderline case", class: "environment 3", rules: []string{"environment/thickener-borderline"}, put: func(t *tree) *effect {
		return t.former("calcium", "environment/thickener-borderline")
	}},
	{name: "a point that asks for another grease", class: "environment 4", rules: []string{"environment/one-grease"}, put: func(t *tree) *effect {
		p := *any1(t, t.items("points"))
		p["grease"] = "FG-G2"
		return find("environment/one-grease", pointPlace(p))
	}},
}

// former says that one point had a grease with that thickener.
func (t *tree) former(thickener, rule string) *effect {
	p := *any1(t, t.items("points"))
	t.add(t.at("vehicle"), "greased_before", object{"designation": "K2N-20", "thickener": thickener, "points": []any{p["id"]}})
	return find(rule, "former grease K2N-20")
}

// climate exchanges one part for one that is made for another climate.
func (t *tree) climate(rule, tag string) *effect {
	type choice struct {
		holder    object
		key, kind string
	}
	fit := []choice{{t.at("pump"), "part", "pump"}, {t.at("feed"), "cable", "cable"}}
	l := *any1(t, t.items("lines"))
	fit = append(fit, choice{l, "pump_fitting", "fitting"})
	if text(l, "tube") == "FG-T4" {
		fit = append(fit, choice{l, "tube", "tube"})
	}
	if text(l, "point_fitting") == "FG-F4S" {
		fit = append(fit, choice{l, "point_fitting", "fitting"})
	}
	if b := any1(t, t.items("bundles")); b != nil {
		fit = append(fit, choice{*b, "conduit", "conduit"})
	}
	if h := pick(t, t.hops(), func(h hop) bool { return !h.b().point && text(h.b().node, "part") == "FG-Y1" }); h != nil {
		fit = append(fit, choice{h.b().node, "part", "tie"})
	}
	c := *any1(t, fit)
	c.holder[c.key] = t.use(text(c.holder, c.key), tag)
	t.relist()
	return find(rule, "part "+text(c.holder, c.key)+" ("+c.kind+")")
}
