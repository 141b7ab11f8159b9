package injection_test

import (
	"gonum.org/v1/gonum/spatial/r3"
)

var mountingFaults = []fault{
	{name: "a filler too low", class: "mounting 1", rules: []string{"mounting/filler-not-low"}, put: func(t *tree) *effect {
		down := (t.facts.Pump.FillerHeight.V - t.facts.Pump.FillerLeast.V) * 1000
		return t.filler("mounting/filler-not-low", func(v r3.Vec) r3.Vec { v.Z = down + t.between(302, 398); return v })
	}},
	{name: "a filler too high", class: "mounting 1", rules: []string{"mounting/filler-not-high"}, put: func(t *tree) *effect {
		return t.filler("mounting/filler-not-high", func(v r3.Vec) r3.Vec { v.Z = t.between(1605, 2200); return v })
	}},
	{name: "a filler on the far side", class: "mounting 1", rules: []string{"mounting/filler-in-reach"}, put: func(t *tree) *effect {
		p := t.at("pump")
		p["filler_side"] = map[string]string{"left": "right", "right": "left"}[text(p, "filler_side")]
		return find("mounting/filler-in-reach", "the pump")
	}},
	{name: "a filler behind something", class: "mounting 1", rules: []string{"mounting/side-free"}, put: func(t *tree) *effect {
		t.at("pump")["side_free"] = false
		return find("mounting/side-free", "the pump")
	}},
	{name: "a pump that hangs low", class: "mounting 2", rules: []string{"mounting/not-lowest"}, put: func(t *tree) *effect {
		return t.filler("mounting/not-lowest", func(v r3.Vec) r3.Vec { v.Z = t.between(100, 295); return v })
	}},
	{name: "a pump that sticks out", class: "mounting 2", rules: []string{"mounting/not-outermost"}, put: func(t *tree) *effect {
		return t.filler("mounting/not-outermost", func(v r3.Vec) r3.Vec {
			half := position(t.at("vehicle", "outline"), "to").Y
			v.Y = half - t.between(-80, 48)
			if position(t.at("pump"), "position").Y < 0 {
				v.Y = -v.Y
			}
			return v
		})
	}},
	{name: "a wheel beside the pump", class: "mounting 2", rules: []string{"mounting/clear-of-wheel"}, put: func(t *tree) *effect { return t.beside("wheel", t.between(2, 22)) }},
	{name: "a moving part beside the pump", class: "mounting 2", rules: []string{"mounting/clear-of-moving"}, put: func(t *tree) *effect { return t.beside("moving", t.between(2, 22)) }},
	{name: "a heat source beside the pump", class: "mounting 2", rules: []string{"mounting/clear-of-heat"}, put: func(t *tree) *effect { return t.beside("heat", t.between(5, 140)) }},
	{name: "a pump that leans", class: "mounting 3", rules: []string{"mounting/upright"}, put: func(t *tree) *effect {
		lean := t.between(0.3, 0.9) // tan 15 deg is 0.268
		up := []any{object(nil), 0, 1}
		up[0] = lean
		if t.rand.IntN(2) == 0 {
			up[0], up[1] = 0, -lean
		}
		t.at("pump")["up"] = up
		return find("mounting/upright", "the pump")
	}},
	{name: "a pump on a body that is not sprung", class: "mounting 3", rules: []string{"mounting/on-sprung-body"}, put: func(t *tree) *effect {
		by(t.items("bodies"), "id", text(t.at("pump"), "body"))["sprung"] = false
		return find("mounting/on-sprung-body", "the pump").with("survey/sprung-as-parent").with("survey/frame-sprung").with("survey/springs-on-sprung").with("survey/zone-exhaust-sprung")
	}},
	{name: "a bolt left out", class: "mounting 4", rules: []string{"mounting/bolt-count"}, put: func(t *tree) *effect {
		t.at("pump", "bolts")["count"] = 2
		t.relist()
		return find("mounting/bolt-count", "the pump")
	}},
	{name: "bolts of another size", class: "mounting 4", rules: []string{"mounting/bolt-size"}, put: func(t *tree) *effect {
		t.at("pump", "bolts")["part"] = t.one("FG-B6", "FG-B8F")
		t.relist()
		return find("mounting/bolt-size", "the pump")
	}},
	{name: "a pump on a long arm", class: "mounting 4", rules: []string{"mounting/bolt-load"}, put: func(t *tree) *effect {
		b := t.at("pump", "bolts")
		b["spacing"], b["width"], b["overhang"] = "12 mm", "30 mm", "520 mm"
		return find("mounting/bolt-load", "the pump").with("survey/bolts-plausible", "the pump")
	}},
	{name: "a pump that does not stand the wash-down", class: "mounting 5", rules: []string{"mounting/enclosure"}, put: func(t *tree) *effect {
		t.pump("open")
		return find("mounting/enclosure", "the pump")
	}},
	{name: "no drilling template", class: "mounting 5", rules: []string{"mounting/template"}, put: func(t *tree) *effect {
		delete(t.at("pump"), "hole_pattern")
		return find("mounting/template", "the pump")
	}},
}

func (t *tree) filler(rule string, to func(r3.Vec) r3.Vec) *effect {
	p := t.at("pump")
	p["filler"] = t.place(to(position(p, "filler")))
	return find(rule, "the pump").with("survey/pump-near-filler", "the pump")
}

// beside puts a zone outboard of the pump, so far from it and its filler; half
// the width of a pump, 100 mm, is taken off. The lines begin at the pump, so
// heat there is near them too.
func (t *tree) beside(kind string, far float64) *effect {
	p := t.at("pump")
	at := position(p, "position")
	out := far + 100 + 5
	if kind == "moving" || kind == "wheel" {
		p["filler"] = p["position"]
		p["filler"] = t.place(r3.Add(at, r3.Vec{Z: -60}))
	} else {
		out += 100
	}
	if at.Y < 0 {
		out = -out
	}
	at.Y += out
	z := object{
		"id": "late", "name": zoneName, "kind": kind, "shape": "capsule", "body": text(p, "body"),
		"from": t.place(at), "to": t.place(r3.Add(at, r3.Vec{X: 1})), "radius": t.length(5),
	}
	if kind == "heat" {
		z["temperature"] = t.celsius(80)
	}
	t.add(t.root, "zones", z)
	e := find("mounting/clear-of-"+kind, "the pump, zone "+zoneName).with("survey/zone-thick", "zone "+zoneName).with("survey/zone-wheel-size", "zone "+zoneName)
	if kind == "heat" {
		e.with("routing/heat", "*, near "+zoneName)
	}
	return e
}
