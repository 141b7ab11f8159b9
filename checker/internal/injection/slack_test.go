package injection_test

import (
	"math"
	"strconv"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/facts"
	"kitgauge/checker/quantities/motion"
)

var slackFaults = []fault{
	{name: "a steered span cut short", class: "slack 1", rules: []string{"slack/steered"}, put: func(t *tree) *effect { return t.short("steered", 0.6) }},
	{name: "a steered span tight at full lock", class: "slack 1", rules: []string{"slack/steered"}, put: func(t *tree) *effect { return t.short("steered", -0.3) }},
	{name: "an articulated span cut short", class: "slack 2", rules: []string{"slack/articulated"}, put: func(t *tree) *effect { return t.short("articulated", 0.6) }},
	{name: "an articulated span tight before its end", class: "slack 2", rules: []string{"slack/articulated"}, put: func(t *tree) *effect { return t.short("articulated", -0.3) }},
	{name: "a span to a sprung axle cut short", class: "slack 2", rules: []string{"slack/sprung"}, put: func(t *tree) *effect { return t.short("sprung", 0.6) }},
	{name: "a span to a sprung axle tight when it hangs", class: "slack 2", rules: []string{"slack/sprung"}, put: func(t *tree) *effect { return t.short("sprung", -0.3) }},
	{name: "one tube of a span cut shorter than the rest", class: "slack 2", rules: []string{"slack/members-equal"}, put: func(t *tree) *effect {
		return t.member(-t.between(12, 45), func(e *effect, h hop) *effect { return e.with("slack/"+t.roleOf(h), t.spanPlace(h)) })
	}},
	{name: "a free length forgotten", class: "slack 3", rules: []string{"slack/free-length-stated"}, put: func(t *tree) *effect {
		h := any1(t, t.spans())
		if h == nil {
			return nil
		}
		holder, key := h.freeLength()
		delete(holder, key)
		return find("slack/free-length-stated", t.spanPlace(*h))
	}},
	{name: "a body that no joint holds", class: "slack 3", rules: []string{"slack/bodies-joined"}, put: looseBody},
	{name: "the body of a station forgotten", class: "slack 3", rules: []string{"slack/bodies-stated"}, put: func(t *tree) *effect {
		h := pick(t, t.hops(), func(h hop) bool { return !h.b().point })
		if h == nil {
			return nil
		}
		delete(h.b().node, "body")
		return find("slack/bodies-stated", "the kit")
	}},
	{name: "the body of a point forgotten", class: "slack 3", rules: []string{"slack/bodies-stated"}, put: func(t *tree) *effect {
		delete(*any1(t, t.items("points")), "body")
		return find("slack/bodies-stated", "the kit")
	}},
	{name: "a conduit too stiff for the loop", class: "slack 4", rules: []string{"slack/loop-radius"}, put: stiffLoop},
	{name: "too little room for the loop", class: "slack 4", rules: []string{"slack/loop-sag"}, put: func(t *tree) *effect {
		h := pick(t, t.spans(), func(h hop) bool { return !h.b().point && t.sag(h) > 20 })
		if h == nil {
			return nil
		}
		h.b().node["sag_room"] = t.length(t.sag(*h) * t.between(0.3, 0.9))
		return find("slack/loop-sag", t.spanPlace(*h))
	}},
	{name: "a free length far too long", class: "slack 4", rules: []string{"slack/loop-sag"}, put: longLoop},
	{name: "nothing holds the tubes at the end of a span", class: "slack 5", rules: []string{"slack/held-near-ends"}, put: func(t *tree) *effect {
		return t.letGo(func(h hop) *stop { return h.b() })
	}},
	{name: "nothing holds the tubes where a span begins", class: "slack 5", rules: []string{"slack/held-near-ends"}, put: func(t *tree) *effect {
		return t.letGo(func(h hop) *stop { return h.a() })
	}},
	{name: "a tie inside a free span", class: "slack 5", rules: []string{"slack/no-tie-inside"}, put: func(t *tree) *effect {
		h := any1(t, t.spans())
		if h == nil {
			return nil
		}
		tie := []any{object{"at": t.length(h.long() * t.between(0.3, 0.7))}}
		if h.b().point {
			h.line["last_ties"] = tie
		} else {
			h.b().node["ties"] = tie
		}
		return find("slack/no-tie-inside", t.spanPlace(*h))
	}},
	{name: "one tube of a span longer than the rest", class: "slack 6", rules: []string{"slack/members-equal"}, put: func(t *tree) *effect {
		return t.member(t.between(12, 25), func(e *effect, h hop) *effect { return e.with("slack/loop-sag", t.spanPlace(h)) })
	}},
	{name: "a free length for a line that is not in the span", class: "slack 6", rules: []string{"slack/members-known"}, put: stranger},
	{name: "the range of a joint not measured", class: "slack 7", rules: []string{"slack/joint-range"}, put: unmeasured},
	{name: "a joint measured at one end only", class: "slack 7", rules: []string{"slack/joint-moves"}, put: func(t *tree) *effect {
		j := pick(t, t.items("joints"), t.crossed)
		if j == nil {
			return nil
		}
		r := (*j)["range"].(object)
		r["to"] = r["from"]
		return find("slack/joint-moves", "joint "+text(*j, "name")).with("survey/tips-upwards", "joint "+text(*j, "name"))
	}},
}

// span is the fact of a span of the kit without the mistake.
func (t *tree) span(h hop) *facts.Span {
	for _, s := range t.facts.Spans {
		if s.Place() == t.spanPlace(h) {
			return s
		}
	}
	return nil
}

// least is the least slack in mm that a span of a kind has to keep.
func least(role string, longest float64) float64 {
	return max(map[string]float64{"steered": 30, "sprung": 20, "articulated": 50}[role], 0.05*longest)
}

// short makes the free length of a span so that only a share of the slack is
// left, and cuts the lines anew; a negative share is that much too short.
func (t *tree) short(role string, share float64) *effect {
	h := pick(t, t.spans(), func(h hop) bool { return t.roleOf(h) == role })
	if h == nil {
		return nil
	}
	longest := t.span(*h).Longest.V * 1000
	holder, key := h.freeLength()
	holder[key] = t.length(longest + share*least(role, longest))
	for _, l := range t.linesOn(*h) {
		t.recut(l)
	}
	t.relist()
	return find("slack/"+role, t.spanPlace(*h))
}

// member gives one line of a bundle a free length of its own.
func (t *tree) member(more float64, then func(*effect, hop) *effect) *effect {
	h := pick(t, t.spans(), func(h hop) bool { return h.whole != nil && len(t.linesOn(h)) > 1 })
	if h == nil {
		return nil
	}
	l := *any1(t, t.linesOn(*h))
	h.b().node["member_lengths"] = []any{object{"line": l["number"], "length": t.length(mm(h.b().node, "free_length") + more)}}
	l["cut_length"] = t.length(mm(l, "cut_length") + more)
	return then(find("slack/members-equal", t.spanPlace(*h)), *h)
}

func stranger(t *tree) *effect {
	h := pick(t, t.spans(), func(h hop) bool { return h.whole != nil && len(t.linesOn(h)) < len(t.items("lines")) })
	if h == nil {
		return nil
	}
	in := map[int]bool{}
	for _, l := range t.linesOn(*h) {
		in[number(l, "number")] = true
	}
	l := pick(t, t.items("lines"), func(l object) bool { return !in[number(l, "number")] })
	h.b().node["member_lengths"] = []any{object{"line": (*l)["number"], "length": text(h.b().node, "free_length")}}
	return find("slack/members-known", t.spanPlace(*h))
}

// looseBody puts a point on a body that hangs on nothing, with the same length
// of tube to it.
func looseBody(t *tree) *effect {
	h := pick(t, t.hops(), func(h hop) bool { return h.b().point && h.fixed() })
	if h == nil {
		return nil
	}
	t.add(t.root, "bodies", object{"id": "toolbox", "name": "toolbox", "sprung": true})
	h.b().node["body"] = "toolbox"
	h.line["last_free_length"] = t.length(h.long())
	h.b().body = "toolbox"
	return find("slack/bodies-joined", t.spanPlace(*h)).with("routing/moving", "zone *").with("routing/heat", "zone *").with("routing/edge", "zone *").with("survey/body-hangs", "body toolbox").with("survey/joint-of-its-points", "joint *")
}

// sag is how far the loop of a span hangs out at its shortest, in mm.
func (t *tree) sag(h hop) float64 { return t.span(h).LoopSag.Or(0) * 1000 }

// stiffLoop takes a conduit that bends less than the loop of a span has to.
func stiffLoop(t *tree) *effect {
	h := pick(t, t.spans(), func(h hop) bool {
		return h.whole != nil && t.span(h).LoopRadius.Known && t.span(h).LoopRadius.V < 2.5
	})
	if h == nil {
		return nil
	}
	for _, r := range stiffRadii {
		if float64(r) > 1050*t.span(*h).LoopRadius.V {
			h.whole["conduit"] = t.use(text(h.whole, "conduit"), "r"+itoa(r))
			break
		}
	}
	t.relist()
	return find("slack/loop-radius", t.spanPlace(*h)).
		with("slack/loop-radius", h.place+", *").with("routing/corner", h.place+", *")
}

// longLoop adds so much free length that the loop has no room.
func longLoop(t *tree) *effect {
	h := pick(t, t.spans(), func(h hop) bool { return t.span(h).Shortest.Known })
	if h == nil {
		return nil
	}
	shortest := t.span(*h).Shortest.V
	room := 0.150
	if !h.b().point && has(h.b().node, "sag_room") {
		room = mm(h.b().node, "sag_room") / 1000
	}
	holder, key := h.freeLength()
	for length := mm(holder, key) / 1000; ; length += 0.01 {
		arc, err := motion.Loop(length, shortest)
		if err != nil {
			return nil
		}
		if arc.Sag > 1.1*room+0.02 {
			holder[key] = t.length(length * 1000)
			break
		}
	}
	for _, l := range t.linesOn(*h) {
		t.recut(l)
	}
	t.relist()
	return find("slack/loop-sag", t.spanPlace(*h)).with("flow/even-resistance", "the pump")
}

// letGo takes away what holds the tubes at an end of a span.
func (t *tree) letGo(end func(hop) *stop) *effect {
	h := pick(t, t.spans(), func(h hop) bool { return !end(h).point && end(h).node != nil && has(end(h).node, "hold") })
	if h == nil {
		return nil
	}
	s := end(*h)
	e := find("slack/held-near-ends", t.spanPlace(*h)).with("routing/moving", h.where()+", *") // the loop is longer
	for _, other := range t.spans() {
		touches := same(other.a().node, s.node) || same(other.b().node, s.node)
		if touches && t.spanPlace(other) != t.spanPlace(*h) {
			e.and("slack/held-near-ends", t.spanPlace(other))
		}
	}
	for _, o := range t.hops() {
		if same(o.a().node, s.node) || same(o.b().node, s.node) {
			e.with("routing/tie-spacing", o.place+", *")
		}
	}
	s.node["hold"] = "none"
	delete(s.node, "part")
	delete(s.node, "tied_to")
	return e
}

// crossed reports whether a span goes over the joint.
func (t *tree) crossed(j object) bool {
	for _, h := range t.spans() {
		for _, k := range t.jointsOf(h) {
			if same(j, k) {
				return true
			}
		}
	}
	return false
}

func unmeasured(t *tree) *effect {
	j := pick(t, t.items("joints"), t.crossed)
	if j == nil {
		return nil
	}
	delete(*j, "range")
	e := find("slack/joint-range", "joint "+text(*j, "name")).with("routing/ground-clearance").with("routing/loop-ground").with("mounting/not-lowest", "the pump")
	for _, h := range t.spans() {
		for _, k := range t.jointsOf(h) {
			if same(*j, k) {
				e.with("slack/"+t.roleOf(h), t.spanPlace(h))
			}
		}
	}
	for _, z := range t.items("zones") {
		e.with("routing/moving", "zone "+text(z, "name")).with("routing/heat", "zone "+text(z, "name")).with("routing/edge", "zone "+text(z, "name"))
		e.with("mounting/clear-of-wheel", "the pump, zone "+text(z, "name"))
		e.with("mounting/clear-of-moving", "the pump, zone "+text(z, "name"))
	}
	return e
}

func itoa(n int) string { return strconv.Itoa(n) }

func apart(a, b r3.Vec) float64 { return math.Abs(r3.Norm(r3.Sub(a, b))) }
