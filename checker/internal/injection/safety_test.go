package injection_test

import (
	"fmt"
	"slices"
)

var safetyFaults = append(controls(), []fault{
	{name: "no procedure", class: "safety 1", rules: []string{"safety/procedure-stated"}, put: func(t *tree) *effect {
		delete(t.root, "procedure")
		return find("safety/procedure-stated", "the kit")
	}},
	{name: "an element of control too late", class: "safety 2", rules: []string{"safety/control-in-order"}, put: tooLate},
	{name: "work begun before the isolation is verified", class: "safety 2", rules: []string{"safety/control-in-order"}, put: func(t *tree) *effect {
		first := t.firstWork()
		t.move("verify-isolation", first)
		return find("safety/control-in-order", t.stepPlace(first))
	}},
	{name: "work after energy was given back", class: "safety 2", rules: []string{"safety/control-in-order"}, put: func(t *tree) *effect {
		i, _ := t.step("test-run")
		again := object{"step": "fit-line", "text": "Shift the clip that chafes."}
		t.root["procedure"] = slices.Insert(t.root["procedure"].([]any), i+1, any(again))
		place := fmt.Sprintf("step %d (fit-line)", i+2)
		return find("safety/control-in-order", place).with("safety/tested-live", t.stepPlace("leak-check"), t.stepPlace("slack-check"), t.stepPlace("hand-over"))
	}},
	dropped("no chocks", "safety 3", "safety/chocked", "chock", func(t *tree) string {
		if _, steered := t.step("support"); steered {
			return t.stepPlace("support")
		}
		return t.stepPlace("drill")
	}),
	dropped("no stands before the wheel comes off", "safety 3", "safety/supported", "support", func(t *tree) string { return t.stepPlace("remove-wheel") }),
	dropped("a raised body not propped", "safety 3", "safety/propped", "prop", func(t *tree) string { return t.stepPlace("drill") }),
	dropped("no goggles", "safety 4", "safety/eyes-protected", "protect-eyes", func(t *tree) string { return t.stepPlace("relieve-pressure") }),
	dropped("no gloves", "safety 4", "safety/hands-protected", "protect-hands", func(t *tree) string { return t.stepPlace("relieve-pressure") }),
	{name: "no word of hands and pressure", class: "safety 4", rules: []string{"safety/pressure-notice"}, put: func(t *tree) *effect {
		t.drop("warn")
		t.at("documents")["safety_notice"] = "The vehicle maker's instructions and local codes come first."
		return find("safety/pressure-notice", "the kit")
	}},
	dropped("points not cleaned", "safety 5", "safety/points-cleaned", "clean-point", func(t *tree) string { return t.stepPlace("remove-nipple") }),
	{name: "points cleaned after the nipples are out", class: "safety 5", rules: []string{"safety/points-cleaned"}, put: func(t *tree) *effect {
		t.move("clean-point", "remove-nipple")
		return find("safety/points-cleaned", t.stepPlace("remove-nipple"))
	}},
	dropped("lines connected empty", "safety 5", "safety/lines-primed", "prime-line", func(t *tree) string { return t.stepPlace("connect-line") }),
	{name: "lines primed after they are connected", class: "safety 5", rules: []string{"safety/lines-primed"}, put: func(t *tree) *effect {
		t.move("prime-line", "connect-line")
		return find("safety/lines-primed", t.stepPlace("connect-line"))
	}},
	{name: "a line left out of the priming", class: "safety 5", rules: []string{"safety/every-line-primed"}, put: func(t *tree) *effect {
		i, _ := t.step("prime-line")
		var named []any
		left := t.rand.IntN(len(t.items("lines")))
		for j, l := range t.items("lines") {
			if j != left {
				named = append(named, l["number"])
			}
		}
		t.items("procedure")[i]["lines"] = named
		return find("safety/every-line-primed", "the kit")
	}},
	dropped("tools not cleared", "safety 2", "safety/restore-in-order", "clear-tools", func(t *tree) string { return t.stepPlace("remove-locks") }),
	{name: "nobody told that the vehicle is live", class: "safety 2", rules: []string{"safety/restore-in-order"}, put: func(t *tree) *effect {
		t.drop("tell-people")
		return find("safety/restore-in-order", t.stepPlace("clear-tools"))
	}},
	{name: "locks off while people stand at the vehicle", class: "safety 2", rules: []string{"safety/restore-in-order"}, put: func(t *tree) *effect {
		t.move("clear-people", "remove-locks")
		return find("safety/restore-in-order", t.stepPlace("remove-locks"))
	}},
	dropped("a wheel not put back", "safety 6", "safety/wheel-refitted", "refit-wheel", func(t *tree) string { return t.stepPlace("remove-wheel") }),
	dropped("wheel nuts not tightened to a torque", "safety 6", "safety/wheel-torqued", "torque", func(t *tree) string { return t.stepPlace("refit-wheel") }),
	dropped("wheel nuts not checked again", "safety 6", "safety/wheel-torqued", "re-torque", func(t *tree) string { return t.stepPlace("refit-wheel") }),
	dropped("the battery not reconnected", "safety 7", "safety/battery-last", "reconnect-battery", func(t *tree) string { return t.stepPlace("connect-feed") }),
	{name: "the feed connected to a live battery", class: "safety 7", rules: []string{"safety/battery-last"}, put: func(t *tree) *effect {
		t.move("connect-feed", "reconnect-battery")
		return find("safety/battery-last", t.stepPlace("connect-feed")).with("safety/control-in-order", t.stepPlace("connect-feed")).with("safety/tested-live", t.stepPlace("test-run"))
	}},
	dropped("energy never given back", "safety 7", "safety/tested-live", "restore", func(t *tree) string { return t.stepPlace("test-run") }),
	{name: "the test run before energy is back", class: "safety 7", rules: []string{"safety/tested-live"}, put: func(t *tree) *effect {
		t.move("test-run", "connect-feed")
		return find("safety/tested-live", t.stepPlace("test-run")).with("safety/tested-before-hand-over", t.stepPlace("hand-over"))
	}},
	dropped("no test run", "safety 7", "safety/tested-before-hand-over", "test-run", func(t *tree) string { return t.stepPlace("hand-over") }),
	dropped("no leak check", "safety 7", "safety/tested-before-hand-over", "leak-check", func(t *tree) string { return t.stepPlace("hand-over") }),
	dropped("no slack check", "safety 7", "safety/tested-before-hand-over", "slack-check", func(t *tree) string { return t.stepPlace("hand-over") }),
	dropped("no hand-over", "safety 7", "safety/handed-over", "hand-over", func(*tree) string { return "the kit" }),
}...)

// controlSteps are the elements of energy control in their order: 29 CFR
// 1910.147(d)(1) to (6).
var controlSteps = []string{"brief", "shut-down", "remove-key", "isolate-battery", "lock-out", "relieve-pressure", "verify-isolation"}

// controls is a fault for each element of energy control.
func controls() []fault {
	var out []fault
	for _, kind := range controlSteps {
		out = append(out, dropped("no step "+kind, "safety 1", "safety/"+kind, kind, func(*tree) string { return "the kit" }))
	}
	return out
}

// dropped leaves a step out; the place is looked up after that.
func dropped(name, class, rule, kind string, place func(*tree) string) fault {
	return fault{name: name, class: class, rules: []string{rule}, put: func(t *tree) *effect {
		if !t.drop(kind) {
			return nil
		}
		return find(rule, place(t))
	}}
}

// tooLate puts an element of control behind the next one; the next one is then
// too soon. Key and battery may stand before the key is out by the standard,
// and are in order by the trade.
func tooLate(t *tree) *effect {
	i := t.rand.IntN(len(controlSteps) - 1)
	t.move(controlSteps[i], controlSteps[i+1])
	return find("safety/control-in-order", t.stepPlace(controlSteps[i+1]))
}

// firstWork is the first step that touches the vehicle.
func (t *tree) firstWork() string {
	for _, s := range t.items("procedure") {
		if k := text(s, "step"); k == "remove-wheel" || k == "drill" {
			return k
		}
	}
	return "mount-pump"
}
