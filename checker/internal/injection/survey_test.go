package injection_test

import "strings"

// surveyFaults are slips in what was measured. The made kits are no mirror
// images, so that rules about twins have their fault cards alone.
var surveyFaults = []fault{
	ofJoint("a steering axis along the vehicle", "survey/axis-steering", "steering", "", func(t *tree, j object) { j["axis"] = []any{1, 0, 0} }),
	ofJoint("springs that travel along the vehicle", "survey/axis-travel", "suspension", "prismatic", func(t *tree, j object) { j["axis"] = []any{1, 0, 0} }),
	ofJoint("a tipping hinge upright", "survey/axis-level", "tipping", "", func(t *tree, j object) { j["axis"] = []any{0, 0, 1} }),
	ofJoint("a tipping hinge askew", "survey/axis-straight", "tipping", "", func(t *tree, j object) { j["axis"] = []any{1, 1, 0} }),
	ofJoint("an articulation across the vehicle", "survey/axis-articulation", "articulation", "", func(t *tree, j object) { j["axis"] = []any{0, 1, 0} }),
	ofJoint("a drawbar that turns about the length of the vehicle", "survey/axis-drawbar", "drawbar", "", func(t *tree, j object) { j["axis"] = []any{1, 0, 0} }),
	ofJoint("a lock a tenth of what it is", "survey/range-steering", "steering", "", to("-3.8 deg", "4.4 deg")),
	ofJoint("springs that travel metres", "survey/range-travel", "suspension", "prismatic", to("-2.3 m", "2.1 m")),
	ofJoint("an axle that swings all round", "survey/range-swing", "suspension", "revolute", to("-80 deg", "80 deg")),
	ofJoint("an articulation that hardly turns", "survey/range-articulation", "articulation", "", to("-3 deg", "3 deg")),
	ofJoint("a body that hardly tips", "survey/range-tipping", "tipping", "", to("0 deg", "4.8 deg")),
	ofJoint("a drawbar that hardly swings", "survey/range-drawbar", "drawbar", "", to("-1 deg", "1.4 deg")),
	ofJoint("a boom that turns more than once", "survey/range-boom", "boom", "revolute", to("-30 deg", "450 deg")),
	ofJoint("a slide longer than the vehicle", "survey/range-slide", "slide", "", to("0 mm", "90 m")),
	ofJoint("from and to exchanged", "survey/range-order", "suspension", "prismatic", to("80 mm", "-70 mm")),
	ofJoint("the sign of a range lost", "survey/range-through-rest", "suspension", "prismatic", to("60 mm", "90 mm")),
	{name: "a body that tips downwards", class: "survey 1", rules: []string{"survey/tips-upwards"}, put: tipsDownwards},
	ofJoint("the axis of a joint forgotten", "survey/joint-complete", "", "", func(t *tree, j object) { delete(j, "axis") }),
	ofJoint("steering that slides", "survey/joint-role", "suspension", "prismatic", func(t *tree, j object) { j["role"] = "steering" }),
	again("the id of a zone twice", "zones", "survey/zone-id-once", "zone"),
	again("the id of a joint twice", "joints", "survey/joint-id-once", "joint"),
	ofJoint("the x of a pivot a digit too long", "survey/pivot-inside", "", "revolute", func(t *tree, j object) { j["pivot"] = []any{"50 m", "0 mm", "900 mm"} }),

	ofKit("an outline as long as a road train and more", "survey/outline-size", "the kit", func(t *tree) { t.at("vehicle", "outline")["from"] = []any{"-60 m", "-2 m", "0 m"} }),
	ofKit("a title that counts other points", "survey/title-count", "the kit", func(t *tree) { t.at("header")["title"] = "Vehicle, 3 points" }),
	ofKit("air that is the same all the year", "survey/ambient-wide", "the kit", func(t *tree) {
		t.at("vehicle")["ambient"] = object{"from": "-12 degC", "to": "-2 degC"}
	}),
	ofKit("raised or not is not said", "survey/raised-stated", "the kit", func(t *tree) {
		if !t.raises() {
			t.root["joints"] = nil
		}
		delete(t.at("vehicle"), "raised_body")
	}),
	ofKit("a mounting for no load", "survey/mounting-acceleration", "the pump", func(t *tree) { t.at("pump", "bolts")["acceleration"] = "0 gn" }),
	ofKit("a pump below the ground", "survey/pump-inside", "the pump", func(t *tree) {
		p := position(t.at("pump"), "position")
		p.Z = -p.Z
		t.at("pump")["position"] = t.place(p)
	}),
	{name: "air along the feed at 450 degC", class: "survey 2", rules: []string{"survey/feed-air"}, put: func(t *tree) *effect {
		t.at("feed")["temperature"] = "450 degC"
		return everything(find("survey/feed-air", "the feed")).with("power/circuit-carries-draw", "the feed") // no fuse is made for that
	}},
	ofKit("a feed of a hand's breadth", "survey/feed-length", "the feed", func(t *tree) { t.at("feed")["length"] = "90 mm" }),
}

// ofJoint is a slip in a joint of that role and kind; "" is any.
func ofJoint(name, rule, role, kind string, slip func(*tree, object)) fault {
	return fault{name: name, class: "survey 1", rules: []string{rule}, put: func(t *tree) *effect {
		j := pick(t, t.items("joints"), func(j object) bool {
			return (role == "" || text(j, "role") == role) && (kind == "" || text(j, "kind") == kind)
		})
		if j == nil {
			return nil
		}
		slip(t, *j)
		return everything(find(rule, "joint "+text(*j, "name")))
	}}
}

// tipsDownwards turns the range of a body round that rises at its end.
func tipsDownwards(t *tree) *effect {
	for _, f := range t.facts.Joints {
		j := by(t.items("joints"), "name", f.Name.V)
		if j == nil || text(j, "role") != "tipping" || f.RiseTo.V < 0.05 {
			continue
		}
		to("-45 deg", "0 deg")(t, j)
		return everything(find("survey/tips-upwards", "joint "+f.Name.V))
	}
	return nil
}

// again gives one of a list the id of the one before it.
func again(name, key, rule, kind string) fault {
	return fault{name: name, class: "survey 1", rules: []string{rule}, put: func(t *tree) *effect {
		list := t.items(key)
		if len(list) < 2 {
			return nil
		}
		i := 1 + t.rand.IntN(len(list)-1)
		list[i]["id"] = list[i-1]["id"]
		return everything(find(rule, kind+" "+text(list[i], "name"))).with("survey/joint-of-its-points").with("survey/joint-role")
	}}
}

func to(from, end string) func(*tree, object) {
	return func(_ *tree, j object) { j["range"] = object{"from": from, "to": end} }
}

// ofKit is a slip in one of the things that a kit has once.
func ofKit(name, rule, place string, slip func(*tree)) fault {
	return fault{name: name, class: "survey 2", rules: []string{rule}, put: func(t *tree) *effect {
		if strings.Contains(rule, "raised") && !t.raises() {
			return nil
		}
		slip(t)
		return everything(find(rule, place))
	}}
}

func (t *tree) raises() bool {
	for _, j := range t.items("joints") {
		if r := text(j, "role"); r == "tipping" || r == "boom" || r == "cab" {
			return true
		}
	}
	return false
}

// everything lets all that is worked out from the survey follow.
func everything(e *effect) *effect {
	for _, r := range []string{
		"slack/steered", "slack/articulated", "slack/sprung", "slack/loop-sag", "slack/loop-radius", "slack/bodies-joined", "slack/free-length-stated",
		"slack/joint-range", "slack/free-length-long-enough", "routing/moving", "routing/heat", "routing/edge", "routing/corner", "routing/cut-length", "routing/surplus",
		"routing/ground-clearance", "routing/loop-ground", "routing/tie-spacing", "routing/break-out", "routing/order", "routing/heat-rating", "bundles/one-place", "bundles/crossing", "mounting/clear-of-wheel", "mounting/clear-of-moving",
		"mounting/clear-of-heat", "mounting/clear-of-loops", "mounting/not-lowest", "mounting/not-outermost", "mounting/filler-in-reach", "mounting/filler-not-low", "mounting/filler-not-high",
		"paperwork/enough-length", "paperwork/enough-grease", "power/voltage-drop", "power/voltage-at-pump", "power/fuse-near-source", "power/fuse-covers-draw", "power/fuse-protects-cable", "power/fuse-not-larger", "power/fuse-within-circuit", "environment/part-warm", "environment/grease-cold",
		"flow/starts", "flow/line-limit", "flow/even-resistance", "safety/prop", "file/value", "reservoir/first-fill",
		"survey/axis-hinge-points", "survey/pivot-hinge-points", "survey/range-through-rest", "survey/range-travel", "survey/twin-axis", "survey/twin-range",
		"survey/twin-pivot", "survey/tips-upwards", "survey/lifts-upwards", "survey/knuckle-has-wheel", "survey/ambient-winter", "survey/point-in-reach", "survey/station-in-line",
	} {
		e.with(r)
	}
	return e
}
