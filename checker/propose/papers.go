package propose

import (
	"slices"
	"strings"

	"kitgauge/checker/document"
	"kitgauge/checker/kit"
)

// documents are those that go with the kit, numbered after it.
func (p *planner) documents() document.Object {
	number := get(p.part.Header, "number")
	notice := "Grease under pressure goes through the skin. Never hold a hand over an end that is under pressure. " +
		"The vehicle maker's instructions and local codes come first."
	if number == "" || len(p.lines) == 0 {
		return document.Of("safety_notice", notice)
	}
	paper := func(letter string) document.Object {
		return document.Of("number", number+"-"+letter, "revision", firstRevision)
	}
	var rows document.List
	for i, l := range p.lines {
		rows = append(rows, document.Of("line", document.Whole(i+1), "name", l.point.Name.V))
	}
	return document.Of(
		"schematic", paper("S"),
		"call_out_sheet", paper("C").With("rows", rows),
		"instructions", paper("I"),
		"safety_notice", notice,
	)
}

func (p *planner) partsList() document.List {
	var out document.List
	for _, r := range p.list {
		out = append(out, document.Of("part", r.part, "quantity", counted(r.quantity), "length", r.length, "volume", r.volume))
	}
	return out
}

// step is a step of the work, where the vehicle needs it.
type step struct {
	kind, text string
	where      func(v *vehicle) bool // nil: on every vehicle
}

// vehicle is what the steps depend on.
type vehicle struct {
	raised  bool     // something is raised while the kit is fitted
	steered bool     // a line goes to a steered body, so wheels come off
	moving  []string // the joints that spans cross
	filled  string   // of the reservoir
	holes   string   // the template
}

func steered(v *vehicle) bool { return v.steered }
func raised(v *vehicle) bool  { return v.raised }

// steps is the whole order of the work: that of 29 CFR 1910.147 for the control
// of energy, then the work from the pump outwards, then energy back, then the
// tests. A body is raised while there is still energy to do it with, propped
// before its oil is let go, and off its props before the slack is looked at
// (common practice, no source). The rules of safety and procedure hold it to that.
var steps = []step{
	{kind: "brief", text: "Go through every energy of the vehicle: battery, air, oil, springs, what is raised. Tell everybody concerned that it is out of use."},
	{kind: "shut-down", text: "Park on level ground, lower what can be lowered, stop the engine."},
	{kind: "remove-key", text: "Take the key out; whoever does the work keeps it."},
	{kind: "isolate-battery", text: "Open the isolator of the battery; the earthed lead comes off first."},
	{kind: "lock-out", text: "Lock the isolator and tag it."},
	{kind: "chock", text: "Set the brake, and chock the wheels that stay on the ground."},
	{kind: "protect-eyes", text: "Goggles on, until the hand-over."},
	{kind: "protect-hands", text: "Gloves on."},
	{kind: "prop", text: "Set the props of what is raised and lock them, from beside it, before anybody goes beneath and before its oil is let go.", where: raised},
	{kind: "relieve-pressure", text: "Let the pressure out of air and oil; secure what a spring could move."},
	{kind: "verify-isolation", text: "Try the starter and every control: nothing may move."},
	{kind: "warn", text: "Never hold a hand over an end that is under pressure: grease goes through the skin."},
	{kind: "support", text: "Lift the steered axle and set it on stands; never work on a jack alone.", where: steered},
	{kind: "remove-wheel", text: "Take off the wheels of the steered axle.", where: steered},
	{kind: "drill", text: "Drill the holes for the pump where the vehicle maker allows it."},
	{kind: "mount-pump", text: "Bolt the pump on."},
	{kind: "clean-point", text: "Clean each grease point and round it."},
	{kind: "remove-nipple", text: "Unscrew the grease nipples."},
	{kind: "fit-line", text: "Lay bundles and single lines from the pump to the points; clip and tie them as drawn."},
	{kind: "fill", text: "Fill the reservoir with clean grease."},
	{kind: "prime", text: "Bleed the pump until it gives grease without air."},
	{kind: "prime-line", text: "Fill each line until clean grease without air comes out of its end."},
	{kind: "connect-line", text: "Screw each line to the point of its number."},
	{kind: "refit-wheel", text: "Put the wheels on again.", where: steered},
	{kind: "torque", text: "Tighten the wheel nuts to the torque of the vehicle maker.", where: steered},
	{kind: "connect-feed", text: "Connect the feed while the battery is still off."},
	{kind: "clear-tools", text: "Count the tools and take them away."},
	{kind: "clear-people", text: "See that nobody is on, in or under the vehicle."},
	{kind: "remove-locks", text: "Whoever fitted a lock takes it off."},
	{kind: "tell-people", text: "Tell everybody concerned that the vehicle will be live."},
	{kind: "restore", text: "Give air and oil back."},
	{kind: "reconnect-battery", text: "Close the isolator; the earthed lead goes on last."},
	{kind: "restore", text: "Give energy back to the lift: raise the body off its props, take the props out from beside it, and lower it.", where: raised},
	{kind: "test-run", text: "Run the pump through one cycle."},
	{kind: "leak-check", text: "Look over each joint of each line."},
	{kind: "slack-check", text: "Watch each free span while its joints go through their whole range."},
	{kind: "hand-over", text: "Hand the vehicle and its papers over to the driver: lamp, marks, grease."},
	{kind: "re-torque", text: "After the distance that the vehicle maker states, tighten the wheel nuts once more.", where: steered},
}

// procedure is the steps that this vehicle needs.
func (p *planner) procedure() document.List {
	if len(p.lines) == 0 {
		return nil
	}
	v := p.vehicle()
	var out document.List
	for _, s := range steps {
		if s.where != nil && !s.where(v) {
			continue
		}
		text := s.text
		switch {
		case s.kind == "fill" && v.filled != "":
			text = "Fill the reservoir with clean grease to " + v.filled + "."
		case s.kind == "shut-down" && v.raised:
			text = "Park on level ground, raise the body beneath which the work is, lower all else that can be lowered, stop the engine."
		case s.kind == "drill" && v.holes != "":
			text = "Drill the holes for the pump with the " + v.holes + ", where the vehicle maker allows it."
		case s.kind == "slack-check" && len(v.moving) > 0:
			text = "Watch each free span while its joints go through their whole range: " + strings.Join(v.moving, ", ") + "."
		}
		out = append(out, document.Of("step", s.kind, "text", text))
	}
	return out
}

// vehicle is what the steps depend on.
func (p *planner) vehicle() *vehicle {
	v := &vehicle{raised: p.base.Vehicle.RaisedBody.V, filled: p.volume(p.pump.filled), holes: p.base.Pump.HolePattern.V}
	g := kit.NewGraph(p.base)
	for _, l := range p.lines {
		_, joints := g.Hanging(l.point.Body.To)
		for _, j := range joints {
			v.steered = v.steered || j.Role.V == "steering"
			if name := j.Label(); !slices.Contains(v.moving, name) {
				v.moving = append(v.moving, name)
			}
		}
	}
	return v
}
