package injection_test

import (
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

var routingFaults = []fault{
	{name: "a cut length forgotten", class: "routing 6", rules: []string{"routing/cut-length-stated"}, put: func(t *tree) *effect {
		l := *any1(t, t.items("lines"))
		delete(l, "cut_length")
		return find("routing/cut-length-stated", linePlace(l)).with("flow/starts", linePlace(l)).with("reservoir/first-fill", "the pump").with("flow/even-resistance", "the pump")
	}},
	{name: "a tube cut too short", class: "routing 6", rules: []string{"routing/cut-length"}, put: func(t *tree) *effect {
		l := *any1(t, t.items("lines"))
		l["cut_length"] = t.length(t.needed(l) - t.between(2, 90))
		return find("routing/cut-length", linePlace(l)).with("flow/even-resistance", "the pump")
	}},
	{name: "a tube cut too long", class: "routing 6", rules: []string{"routing/surplus"}, put: func(t *tree) *effect {
		l := *any1(t, t.items("lines"))
		l["cut_length"] = t.length(t.needed(l) + t.between(53, 200))
		t.relist()
		return find("routing/surplus", linePlace(l)).with("flow/even-resistance", "the pump")
	}},
	{name: "more slack given, and the tube not cut again", class: "routing 6", rules: []string{"routing/cut-length"}, put: func(t *tree) *effect {
		h := pick(t, t.spans(), func(h hop) bool { return h.line != nil })
		if h == nil {
			return nil
		}
		holder, key := h.freeLength()
		holder[key] = t.length(mm(holder, key) + 40)
		return find("routing/cut-length", linePlace(h.line)).with("slack/loop-sag", t.spanPlace(*h))
	}},
	{name: "a line leaves its bundle far from its point", class: "routing 7", rules: []string{"routing/break-out"}, put: earlyBreakOut},
	{name: "the outline of the vehicle not measured", class: "routing 8", rules: []string{"routing/outline-stated"}, put: func(t *tree) *effect {
		delete(t.at("vehicle"), "outline")
		e := find("routing/outline-stated", "the kit")
		for _, rule := range []string{"filler-in-reach", "filler-not-high", "filler-not-low", "not-lowest", "not-outermost"} {
			e.with("mounting/"+rule, "the pump")
		}
		return e
	}},
	{name: "a station not measured", class: "routing 8", rules: []string{"routing/station-placed"}, put: func(t *tree) *effect {
		h := pick(t, t.hops(), func(h hop) bool { return !h.b().point })
		if h == nil {
			return nil
		}
		e := find("routing/station-placed", h.station())
		for _, s := range t.spans() {
			if same(s.a().node, h.b().node) || same(s.b().node, h.b().node) {
				e.with("slack/"+t.roleOf(s), t.spanPlace(s))
				e.with("slack/held-near-ends", t.spanPlace(s))
			}
		}
		delete(h.b().node, "position")
		return e
	}},
	{name: "a point not measured", class: "routing 8", rules: []string{"routing/point-placed"}, put: func(t *tree) *effect {
		h := pick(t, t.hops(), func(h hop) bool { return h.b().point })
		p := h.b().node
		delete(p, "position")
		e := find("routing/point-placed", pointPlace(p)).with("paperwork/point-name-side", pointPlace(p)).with("paperwork/point-name-right-side", pointPlace(p))
		if !h.fixed() {
			e.with("slack/"+t.roleOf(*h), t.spanPlace(*h))
		}
		return e
	}},
	{name: "the pump not measured", class: "routing 8", rules: []string{"routing/pump-placed"}, put: func(t *tree) *effect {
		delete(t.at("pump"), "position")
		return find("routing/pump-placed", "the pump").with("mounting/clear-of-wheel", "the pump, zone *").
			with("mounting/clear-of-heat", "the pump, zone *").with("mounting/clear-of-moving", "the pump, zone *").
			with("mounting/filler-not-low", "the pump").with("mounting/not-lowest", "the pump").with("mounting/not-outermost", "the pump")
	}},
	{name: "a nought too many in a position", class: "routing 8", rules: []string{"routing/order"}, put: nought},
	{name: "a clip left out", class: "routing 4", rules: []string{"routing/tie-spacing"}, put: noClip},
	{name: "the tie in the middle of a run left out", class: "routing 4", rules: []string{"routing/tie-spacing"}, put: func(t *tree) *effect {
		h := pick(t, t.hops(), func(h hop) bool { return !h.b().point && h.fixed() && has(h.b().node, "ties") && h.long() > 405 })
		if h == nil {
			return nil
		}
		delete(h.b().node, "ties")
		return find("routing/tie-spacing", h.where())
	}},
	{name: "tubes tied to another line of the vehicle", class: "routing 4", rules: []string{"routing/tied-to"}, put: func(t *tree) *effect {
		h := pick(t, t.hops(), func(h hop) bool { return !h.b().point && text(h.b().node, "hold") == "tie" })
		if h == nil {
			return nil
		}
		h.b().node["tied_to"] = t.one("brake", "fuel", "steering", "hot")
		return find("routing/tied-to", h.station())
	}},
	{name: "a passage without a grommet", class: "routing 3", rules: []string{"routing/passage-grommet"}, put: func(t *tree) *effect {
		h := pick(t, t.hops(), func(h hop) bool { return !h.b().point })
		if h == nil {
			return nil
		}
		h.b().node["passage"] = true
		delete(h.b().node, "grommet")
		if t.rand.IntN(2) == 0 {
			h.b().node["grommet"] = false
		}
		return find("routing/passage-grommet", h.station())
	}},
	{name: "a station that hangs low", class: "routing 7", rules: []string{"routing/ground-clearance"}, put: hangsLow},
	{name: "a station that hangs low on pressed springs", class: "routing 7", rules: []string{"routing/ground-clearance"}, put: hangsLowOnSprings},
	{name: "a corner bent too hard", class: "routing 5", rules: []string{"routing/corner"}, put: func(t *tree) *effect {
		h := pick(t, t.hops(), func(h hop) bool { return h.turns() })
		if h == nil {
			return nil
		}
		h.b().node["bend_radius"] = t.length(t.between(5, 22))
		e := find("routing/corner", h.place+", at "+h.b().name)
		for _, l := range t.items("lines") { // those that leave there turn there too
			e.with("routing/corner", linePlace(l)+", at "+h.b().name)
		}
		return e
	}},
	{name: "a tube that doubles back", class: "routing 5", rules: []string{"routing/corner"}, put: doublesBack},
}

// station is where findings about the stop at the end of a hop are.
func (h hop) station() string {
	if has(h.b().node, "id") {
		return h.place + ", station " + h.b().name
	}
	return h.place + ", " + h.b().name
}

// turns reports whether the route turns where the hop ends, on one body.
func (h hop) turns() bool {
	if h.i+1 >= len(h.stops) || h.b().point || !h.fixed() || h.stops[h.i+1].body != h.b().body {
		return false
	}
	return h.turn(h.i) > 3
}

// between two stops on one body, held on both sides, with nothing leaving.
func (t *tree) inside(h hop) bool {
	if h.b().point || h.i+1 >= len(h.stops) || !h.fixed() {
		return false
	}
	next := hop{h.walk, h.i + 1}
	return next.fixed() && h.a().held && next.b().held
}

// leavesAt reports whether a line leaves its bundle there.
func (t *tree) leavesAt(h hop) bool {
	for _, l := range t.items("lines") {
		if h.whole != nil && text(l, "bundle") == text(h.whole, "id") && text(l, "leaves_at") == h.b().name {
			return true
		}
	}
	return false
}

// earlyBreakOut lets a line leave its bundle early, and go on alone beside it.
func earlyBreakOut(t *tree) *effect {
	l := pick(t, t.items("lines"), func(l object) bool { return t.leaves(l) > 2 && t.lastAlone(l) })
	if l == nil {
		return nil
	}
	b := t.bundle(text(*l, "bundle"))
	route, last := items(b, "route"), t.leaves(*l)
	far := 0.0
	for i := last - 1; i >= 1; i-- {
		if text(route[i-1], "body") != text(route[i], "body") {
			return nil
		}
		if far += apart(position(route[i], "position"), position(route[i-1], "position")); far < 520 {
			continue
		}
		var tail []object
		for _, s := range route[i:last] {
			c := clone(s)
			delete(c, "id")
			delete(c, "part")
			delete(c, "tied_to")
			c["hold"] = "clip"
			tail = append(tail, c)
		}
		set(*l, "tail", append(tail, items(*l, "tail")...))
		(*l)["leaves_at"] = route[i-1]["id"]
		return find("routing/break-out", linePlace(*l))
	}
	return nil
}

// lastAlone reports whether another line goes at least as far along the bundle.
func (t *tree) lastAlone(l object) bool {
	for _, o := range t.linesOf(t.bundle(text(l, "bundle"))) {
		if !same(o, l) && t.leaves(o) >= t.leaves(l) {
			return true
		}
	}
	return false
}

// nought multiplies a coordinate by ten or more, so that the station is
// farther away than the vehicle is long.
func nought(t *tree) *effect {
	outline := t.at("vehicle", "outline")
	long := position(outline, "to").X - position(outline, "from").X
	h := pick(t, t.hops(), func(h hop) bool { return t.inside(h) && !t.leavesAt(h) })
	if h == nil {
		return nil
	}
	at := h.b().at
	at.X = at.X*10 + 1
	for apart(at, h.a().at) < long+100 || apart(at, h.stops[h.i+1].at) < long+100 {
		at.X *= 10
	}
	h.b().node["position"] = t.place(at)
	e := find("routing/order", h.where()).with("survey/station-inside").with("survey/station-in-line")
	if h.whole != nil { // what it takes is reckoned from the positions
		e.with("paperwork/enough-length", "parts list, "+text(h.whole, "conduit"))
	}
	return e
}

// noClip takes away a clip between two others that are then too far apart.
func noClip(t *tree) *effect {
	h := pick(t, t.hops(), func(h hop) bool {
		return t.inside(h) && h.b().held && !has(h.b().node, "ties") && !has(h.stops[h.i+1].node, "ties") &&
			h.long()+(hop{h.walk, h.i + 1}).long() > 405
	})
	if h == nil {
		return nil
	}
	h.b().node["hold"] = "none"
	delete(h.b().node, "part")
	delete(h.b().node, "tied_to")
	return find("routing/tie-spacing", h.place+", "+h.a().name+" to "+h.stops[h.i+1].name)
}

// hangsLow puts a station of a line's own way close to the ground.
func hangsLow(t *tree) *effect {
	h := pick(t, t.hops(), func(h hop) bool { return h.line != nil && t.inside(h) })
	if h == nil {
		return nil
	}
	return t.hang(*h, t.between(60, 190))
}

// hangsLowOnSprings puts one so that it is high enough at rest, and too low
// where the springs are pressed together.
func hangsLowOnSprings(t *tree) *effect {
	const enough = 200.0
	h := pick(t, t.hops(), func(h hop) bool { return h.line != nil && t.inside(h) && t.goesDown(h) > 20 })
	if h == nil {
		return nil
	}
	return t.hang(*h, enough+t.goesDown(*h)*t.between(0.1, 0.8))
}

// goesDown is by how much the station where a hop ends comes down, in mm.
func (t *tree) goesDown(h hop) float64 {
	for _, s := range t.facts.Stations {
		if s.Place() == h.station() && s.Ground.Known && s.Least.Known {
			return (s.Ground.V - s.Least.V) * 1000
		}
	}
	return 0
}

// hang moves the station where a hop ends to a height.
func (t *tree) hang(h hop, z float64) *effect {
	at := h.b().at
	at.Z = z
	h.b().node["position"] = t.place(at)
	t.recut(h.line)
	t.relist()
	e := find("routing/ground-clearance", h.station()).with("flow/even-resistance", "the pump").with("survey/station-in-line").with("survey/tips-upwards").with("survey/point-in-reach", pointPlace(t.point(text(h.line, "point"))))
	return t.relaid(e, h.line)
}

// doublesBack puts two stations where the tube turns on the spot.
func doublesBack(t *tree) *effect {
	h := pick(t, t.hops(), func(h hop) bool { return h.line != nil && h.b().point && h.fixed() && h.i > 1 && h.long() > 120 })
	if h == nil {
		return nil
	}
	a, way := h.a().at, r3.Unit(r3.Sub(h.b().at, h.a().at))
	body := h.b().body
	on := object{"body": body, "position": t.place(r3.Add(a, r3.Scale(90, way))), "hold": "clip"}
	back := object{"body": body, "position": t.place(r3.Add(a, r3.Scale(50, way))), "hold": "clip"}
	n := len(items(h.line, "tail"))
	set(h.line, "tail", slices.Concat(items(h.line, "tail"), []object{on, back}))
	t.recut(h.line)
	t.relist()
	e := find("routing/corner", linePlace(h.line)+", at tail "+itoa(n+1)).and("routing/corner", linePlace(h.line)+", at tail "+itoa(n+2))
	return e.with("routing/break-out", linePlace(h.line)).with("flow/even-resistance", "the pump")
}
