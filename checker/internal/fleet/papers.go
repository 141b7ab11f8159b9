package fleet

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/quantities/power"
	"kitgauge/checker/units"
)

// feed takes the current from a spare circuit. The fuse is the next standard
// one above the need.
func (w *writer) feed() object {
	w.service.pump.fuse = w.fuse()
	length := strconv.Itoa(4+w.rand.IntN(3)) + ".5 m"
	if w.inch {
		length = strconv.Itoa(15+w.rand.IntN(6)) + " ft"
	}
	return object{
		{"take_off", "ignition"},
		{"circuit", object{{"rating", "20 A"}, {"load", strconv.Itoa(1+w.rand.IntN(6)) + " A"}}},
		{"fuse", w.service.pump.fuse}, {"fuse_distance", w.length(w.snap(80 + 20*float64(w.rand.IntN(5))))},
		{"cable", "FG-W25"}, {"length", length}, {"return", "cable"}, {"temperature", w.temperature(w.warmth + 5)},
		{"passages", list{object{{"name", "cab floor"}, {"grommet", flag(true)}}}},
		{"connectors", list{
			object{{"name", "at the fuse box"}, {"part", "FG-K54"}, {"place", "cab"}},
			object{{"name", "at the pump"}, {"part", "FG-K67"}, {"place", "frame"}}}},
	}
}

func (w *writer) fuse() string {
	part := w.service.pump.part
	if w.service.pump.bench {
		part = "FG-P84"
	}
	m := power.Motor{
		Draw:    catalogue().si(part, "draw", units.Current),
		Voltage: catalogue().si(part, "voltage", units.Voltage), MinimumVoltage: catalogue().si(part, "minimum_voltage", units.Voltage),
	}
	draw, err := m.HighestDraw()
	if err != nil {
		panic(err) // the catalogue's pumps
	}
	share, err := power.Warmth{Share: 0.75, Fall: 0.002, Temperature: 273.15 + float64(w.warmth+5)}.ShareLeft() // as warm as along the cable
	if err != nil {
		panic(err)
	}
	need, err := power.Load{Draw: draw, Share: share}.FuseNeed()
	if err != nil {
		panic(err)
	}
	rating, err := power.NextFuse(need)
	if err != nil {
		panic(err)
	}
	for _, f := range []string{"FG-S4", "FG-S5", "FG-S75", "FG-S10"} {
		if catalogue().si(f, "rating", units.Current) == rating {
			return f
		}
	}
	panic(fmt.Sprintf("fleet: the catalogue has no fuse of %g A", rating))
}

func (w *writer) documents() object {
	rows := list{}
	for _, l := range w.lines {
		rows = append(rows, object{{"line", whole(l.number)}, {"name", l.point.name}})
	}
	paper := func(letter string) object {
		return object{{"number", w.number() + "-" + letter}, {"revision", w.revision()}}
	}
	return object{
		{"schematic", paper("S")},
		{"call_out_sheet", append(paper("C"), member{"rows", rows})},
		{"instructions", paper("I")},
		{"safety_notice", "Grease under pressure goes through the skin. Never hold a hand over an end that is under pressure. " +
			"The vehicle maker's instructions and local codes come first."},
	}
}

// partsList counts what the kit takes, with spares, in the order in which a
// part comes up.
func (w *writer) partsList() list {
	var order []string
	pieces, metres := map[string]int{}, map[string]float64{}
	count := func(part string, n int) {
		if pieces[part] == 0 {
			order = append(order, part)
		}
		pieces[part] += n
	}
	count(w.service.pump.part, 1)
	count("FG-B8", 3)
	for _, l := range w.lines {
		count(l.element, 1)
		count("FG-F4P", 1)
		count(fittingFor(l.point), 1)
		metres[l.tube] += l.cut / 1000
		count("FG-Y1", ties(l.tail))
	}
	for _, b := range w.bundles {
		metres[b.conduit] += w.covered(b) / 1000
		count("FG-Y1", ties(b.route))
	}
	for _, part := range []string{"FG-K54", "FG-K67"} {
		count(part, 1)
	}
	for _, part := range []string{"FG-F4P", "FG-F4S", "FG-F4A", "FG-F4R", "FG-F4N"} {
		if pieces[part] > 0 {
			pieces[part] += 1 + pieces[part]/20
		}
	}
	pieces["FG-Y1"] += 2 * len(w.points)
	if !slices.Contains(order, "FG-Y1") {
		order = append(order, "FG-Y1")
	}
	count(w.service.pump.fuse, 2)
	metres["FG-W25"] = 15
	var out list
	for i, part := range order {
		if !slices.Contains(order[:i], part) {
			out = append(out, object{{"part", part}, {"quantity", whole(pieces[part])}})
		}
	}
	for _, part := range []string{"FG-T4", "FG-T4N", "FG-C14", "FG-C17", "FG-W25"} {
		if metres[part] > 0 {
			out = append(out, object{{"part", part}, {"length", w.roll(metres[part])}})
		}
	}
	return append(out, object{{"part", "FG-G1"}, {"volume", w.volume(w.fill + w.priming*1.1 + 200)}})
}

// ties are those at the stations of a route, where one does the work of a clip
// as well, and between them.
func ties(route []station) int {
	n := len(route)
	for _, s := range route {
		if s.middleTie > 0 {
			n++
		}
	}
	return n
}

// covered is the length of a bundle's conduit.
func (w *writer) covered(b *bundle) float64 {
	length, from := 0.0, stop{w.chassis, w.vehicle.pump}
	for _, s := range b.route {
		length += s.freeLength
		if s.body == from.body {
			length += r3.Norm(r3.Sub(s.at, from.at))
		}
		from = s.stop
	}
	return length
}

// roll is the length that is packed: a twentieth more, in whole metres or
// feet.
func (w *writer) roll(metres float64) string {
	if w.inch {
		return strconv.Itoa(int(math.Ceil(metres*1.05/0.3048))) + " ft"
	}
	return strconv.Itoa(int(math.Ceil(metres*1.05))) + " m"
}

// procedure is the whole order of the work. Wheels come off where lines go to
// steered axles; a raised body is propped.
func (w *writer) procedure() list {
	steered := slices.ContainsFunc(w.joints, func(j *joint) bool { return j.role == "steering" })
	var out list
	for _, s := range steps {
		if s.onlySteered && !steered || s.onlyRaised && !w.raised() {
			continue
		}
		out = append(out, object{{"step", s.kind}, {"text", s.text}})
	}
	return out
}

var steps = []struct {
	kind, text              string
	onlySteered, onlyRaised bool
}{
	{kind: "brief", text: "Go through battery, air, hydraulics and springs; tell the yard that the vehicle is out of use."},
	{kind: "shut-down", text: "Lower everything that is raised and stop the engine."},
	{kind: "remove-key", text: "Take the key out; whoever works on the vehicle keeps it."},
	{kind: "isolate-battery", text: "Open the isolator; take the earthed lead off first."},
	{kind: "lock-out", text: "Lock and tag the isolator."},
	{kind: "chock", text: "Set the brake and chock the wheels that stay on the ground."},
	{kind: "protect-eyes", text: "Put goggles on; they stay on until the hand-over."},
	{kind: "protect-hands", text: "Put gloves on."},
	{kind: "relieve-pressure", text: "Drain air and hydraulics."},
	{kind: "verify-isolation", text: "Try starter, lamps and lifts: nothing may move."},
	{kind: "warn", text: "Never hold a hand over an end that is under pressure: grease goes through the skin."},
	{kind: "prop", text: "Raise the body with the crane, set and lock its prop, then work beneath.", onlyRaised: true},
	{kind: "support", text: "Lift the steered axle and put it on stands; never work on a jack alone.", onlySteered: true},
	{kind: "remove-wheel", text: "Take the steered wheels off.", onlySteered: true},
	{kind: "drill", text: "Drill the pump bracket with the template."},
	{kind: "mount-pump", text: "Mount the pump."},
	{kind: "clean-point", text: "Clean every grease point and its surroundings."},
	{kind: "remove-nipple", text: "Take the grease nipples out."},
	{kind: "fit-line", text: "Lay bundles and single lines from pump to points; clip and tie as drawn."},
	{kind: "fill", text: "Fill the reservoir through the coupling."},
	{kind: "prime", text: "Bleed the pump until no air comes."},
	{kind: "prime-line", text: "Fill every line until clean grease without air shows at its end."},
	{kind: "connect-line", text: "Connect each line to its point by number."},
	{kind: "refit-wheel", text: "Put the wheels back on.", onlySteered: true},
	{kind: "torque", text: "Tighten the wheel nuts crosswise to the vehicle maker's torque.", onlySteered: true},
	{kind: "connect-feed", text: "Connect the feed, battery still off."},
	{kind: "clear-tools", text: "Take tools and rags away, count them."},
	{kind: "clear-people", text: "See that everybody stands clear."},
	{kind: "remove-locks", text: "Whoever fitted the lock takes it off."},
	{kind: "tell-people", text: "Tell the yard that the vehicle will be live."},
	{kind: "restore", text: "Give energy back: air, hydraulics."},
	{kind: "reconnect-battery", text: "Close the isolator; the earthed lead goes on last."},
	{kind: "test-run", text: "Run the pump for one cycle from its test button."},
	{kind: "leak-check", text: "Look over every joint."},
	{kind: "slack-check", text: "Watch every free span through full lock and travel."},
	{kind: "hand-over", text: "Hand over to the driver: lamp, marks, grease."},
	{kind: "re-torque", text: "After 50 km check the wheel nuts again, as the vehicle maker asks.", onlySteered: true},
}
