package injection_test

import (
	"gonum.org/v1/gonum/spatial/r3"
)

var zoneFaults = []fault{
	{name: "a heat source near the tubes", class: "routing 1", rules: []string{"routing/heat"}, put: func(t *tree) *effect {
		return t.zone("heat", "routing/heat", t.between(30, 140), object{"temperature": t.celsius(95)})
	}},
	{name: "a shielded heat source too near all the same", class: "routing 1", rules: []string{"routing/heat"}, put: func(t *tree) *effect {
		return t.zone("heat", "routing/heat", t.between(20, 68), object{"temperature": t.celsius(95), "shielded": true})
	}},
	{name: "a heat source that asks for more room than usual", class: "routing 1", rules: []string{"routing/heat"}, put: func(t *tree) *effect {
		return t.zone("heat", "routing/heat", t.between(170, 230), object{"temperature": t.celsius(95), "clearance": t.length(250)})
	}},
	{name: "a hot zone with a small clearance of its own", class: "routing 1", rules: []string{"routing/heat-rating"}, put: func(t *tree) *effect {
		e := t.zone("heat", "routing/heat-rating", t.between(60, 140), object{"temperature": t.celsius(100), "clearance": t.length(20)})
		return e
	}},
	{name: "a soft conduit past a warm zone", class: "bundles 3", rules: []string{"bundles/conduit-rating"}, put: func(t *tree) *effect {
		h := t.zoneHop(func(h hop) bool { return h.whole != nil })
		if h == nil {
			return nil
		}
		e := t.zoneAt(*h, "heat", "bundles/conduit-rating", t.between(60, 140), object{"temperature": t.celsius(80), "clearance": t.length(20)})
		h.whole["conduit"] = t.use(text(h.whole, "conduit"), "soft")
		t.relist()
		return e
	}},
	{name: "a moving part near the tubes", class: "routing 2", rules: []string{"routing/moving"}, put: func(t *tree) *effect {
		return t.zone("moving", "routing/moving", t.between(2, 22), object{})
	}},
	{name: "a wheel that asks for more room than usual", class: "routing 2", rules: []string{"routing/moving"}, put: func(t *tree) *effect {
		return t.zone("wheel", "routing/moving", t.between(40, 90), object{"clearance": t.length(110)})
	}},
	{name: "a part that meets the tubes at the end of a joint's range only", class: "routing 2", rules: []string{"routing/moving"}, put: swings},
	{name: "a sharp edge without a grommet", class: "routing 3", rules: []string{"routing/edge"}, put: func(t *tree) *effect {
		return t.zone("edge", "routing/edge", t.between(1, 12), object{})
	}},
}

const zoneName = "late found part"

// zoneHop draws a hop on one body with nothing else near its middle.
func (t *tree) zoneHop(ok func(hop) bool) *hop {
	return pick(t, t.hops(), func(h hop) bool {
		grommet := truth(h.a().node, "grommet") || !h.b().point && truth(h.b().node, "grommet")
		return h.fixed() && h.i > 1 && !h.b().point && !grommet && h.long() > 100 && ok(h)
	})
}

func (t *tree) zone(kind, rule string, far float64, more object) *effect {
	h := t.zoneHop(func(hop) bool { return true })
	if h == nil {
		return nil
	}
	return t.zoneAt(*h, kind, rule, far, more)
}

// zoneAt puts a small round zone beside the middle of a hop, on its body.
// Other tubes may lie beside that one, and come too near as well.
func (t *tree) zoneAt(h hop, kind, rule string, far float64, more object) *effect {
	const radius = 5
	at := aside(h, far+radius)
	z := object{
		"id": "late", "name": zoneName, "kind": kind, "shape": "capsule", "body": h.b().body,
		"from": t.place(at), "to": t.place(r3.Add(at, r3.Vec{X: 0.1})), "radius": t.length(radius),
	}
	for k, v := range more {
		z[k] = v
	}
	t.add(t.root, "zones", z)
	e := find(rule, h.where()+", near "+zoneName).with(rule, "*, near "+zoneName)
	e.with("survey/zone-thick", "zone "+zoneName).with("survey/zone-wheel-size", "zone "+zoneName).with("survey/wheel-twin", "zone "+zoneName) // it is a small one
	switch kind {
	case "heat": // a tube beside that one may come even nearer
		e.with("routing/heat", "*, near "+zoneName).with("mounting/clear-of-heat", "the pump, zone "+zoneName)
	case "moving", "wheel":
		e.with("mounting/clear-of-"+kind, "the pump, zone "+zoneName)
	}
	return e
}

// swings hangs a part on a sprung axle so that it is clear at rest, and where
// the tubes are when the springs are pressed in.
func swings(t *tree) *effect {
	j := pick(t, t.items("joints"), func(j object) bool { return text(j, "kind") == "prismatic" && text(j, "role") == "suspension" })
	if j == nil {
		return nil
	}
	h := t.zoneHop(func(h hop) bool { return h.b().body == text(*j, "parent") })
	if h == nil {
		return nil
	}
	const radius = 5
	up := mm((*j)["range"].(object), "to")
	at := r3.Sub(h.mid(), r3.Vec{Z: up})
	t.add(t.root, "zones", object{
		"id": "late", "name": zoneName, "kind": "moving", "shape": "capsule", "body": text(*j, "child"),
		"from": t.place(at), "to": t.place(r3.Add(at, r3.Vec{X: 0.1})), "radius": t.length(radius),
	})
	return find("routing/moving", h.where()+", near "+zoneName).with("routing/moving", "*, near "+zoneName).
		with("mounting/clear-of-moving", "the pump, zone "+zoneName).with("survey/zone-thick", "zone "+zoneName)
}
