package injection_test

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"
)

var bundleFaults = []fault{
	{name: "a line in no bundle and not single", class: "bundles 1", rules: []string{"bundles/one-bundle"}, put: func(t *tree) *effect {
		l := pick(t, t.items("lines"), func(l object) bool { return truth(l, "single") })
		if l == nil {
			return nil
		}
		delete(*l, "single")
		return find("bundles/one-bundle", linePlace(*l))
	}},
	{name: "a line in a bundle and marked as single", class: "bundles 1", rules: []string{"bundles/one-bundle"}, put: func(t *tree) *effect {
		l := t.bundled()
		if l == nil {
			return nil
		}
		l["single"] = true
		return find("bundles/one-bundle", linePlace(l))
	}},
	{name: "a line leaves at a station that its bundle does not have", class: "bundles 1", rules: []string{"bundles/leaves-at"}, put: func(t *tree) *effect {
		l := t.bundled()
		if l == nil {
			return nil
		}
		l["leaves_at"] = text(l, "leaves_at") + "x"
		return find("bundles/leaves-at", linePlace(l))
	}},
	{name: "nobody says where a line leaves its bundle", class: "bundles 1", rules: []string{"bundles/leaves-at"}, put: func(t *tree) *effect {
		l := t.bundled()
		if l == nil {
			return nil
		}
		delete(l, "leaves_at")
		return find("bundles/leaves-at", linePlace(l))
	}},
	{name: "the route of a bundle not stated", class: "bundles 1", rules: []string{"bundles/route-stated"}, put: func(t *tree) *effect {
		b := any1(t, t.items("bundles"))
		if b == nil {
			return nil
		}
		delete(*b, "route")
		return find("bundles/route-stated", "bundle "+text(*b, "id"))
	}},
	{name: "two stations with one id", class: "bundles 1", rules: []string{"bundles/station-ids"}, put: func(t *tree) *effect {
		h := pick(t, t.hops(), func(h hop) bool { return h.whole != nil && t.inside(h) && !t.leavesAt(h) && h.i > 1 })
		if h == nil {
			return nil
		}
		before := hop{h.walk, h.i - 1}
		if t.leavesAt(before) {
			return nil
		}
		h.b().node["id"] = before.b().name
		return find("bundles/station-ids", h.place+", station "+before.b().name)
	}},
	{name: "a bundle without lines", class: "bundles 1", rules: []string{"bundles/in-use"}, put: func(t *tree) *effect {
		at := r3.Add(t.pumpStop().at, r3.Vec{X: 150})
		t.add(t.root, "bundles", object{"id": "NEW", "name": "spare", "conduit": "FG-C14", "route": []any{
			object{"id": "new-1", "body": t.pumpStop().body, "position": t.place(at), "hold": "clip"}}})
		t.relist()
		return find("bundles/in-use", "bundle NEW")
	}},
	{name: "a conduit that goes on after its last line", class: "bundles 3", rules: []string{"bundles/runs-out"}, put: func(t *tree) *effect {
		b := any1(t, t.items("bundles"))
		if b == nil {
			return nil
		}
		w := t.bundleWalk(*b)
		n := len(w.stops)
		way := r3.Unit(r3.Sub(w.stops[n-1].at, w.stops[n-2].at))
		t.add(*b, "route", object{"id": "on", "body": w.stops[n-1].body, "hold": "clip", "position": t.place(r3.Add(w.stops[n-1].at, r3.Scale(200, way)))})
		t.relist()
		return find("bundles/runs-out", w.place)
	}},
	{name: "a bundle without a conduit", class: "bundles 3", rules: []string{"bundles/conduit-named"}, put: func(t *tree) *effect {
		b := any1(t, t.items("bundles"))
		if b == nil {
			return nil
		}
		delete(*b, "conduit")
		t.relist()
		return find("bundles/conduit-named", "bundle "+text(*b, "id"))
	}},
	{name: "a piece of a bundle lies bare", class: "bundles 3", rules: []string{"bundles/covered"}, put: func(t *tree) *effect {
		h := pick(t, t.hops(), func(h hop) bool { return h.whole != nil })
		if h == nil {
			return nil
		}
		h.b().node["uncovered"] = true
		return find("bundles/covered", h.place)
	}},
	{name: "a conduit too narrow for the tubes", class: "bundles 2", rules: []string{"bundles/fits"}, put: func(t *tree) *effect {
		return t.conduit("bundles/fits", false, func(n int) (float64, float64) { return 3, 1.045 * circle[n] })
	}},
	{name: "a split conduit too full to close", class: "bundles 2", rules: []string{"bundles/fill-closed"}, put: func(t *tree) *effect {
		return t.conduit("bundles/fill-closed", false, func(n int) (float64, float64) { return 1.055 * circle[n], 4 * math.Sqrt(float64(n)/0.605) })
	}},
	{name: "tubes pulled into a conduit that is too full", class: "bundles 2", rules: []string{"bundles/fill-pulled"}, put: func(t *tree) *effect {
		return t.conduit("bundles/fill-pulled", true, func(n int) (float64, float64) {
			most := map[int]float64{1: 0.53, 2: 0.31}[n]
			if n > 2 {
				most = 0.4
			}
			return 1.055 * circle[n], 4 * math.Sqrt(float64(n)/(most+0.005))
		})
	}},
	{name: "a conduit that is not split", class: "bundles 2", rules: []string{"bundles/split"}, put: func(t *tree) *effect {
		b := pick(t, t.items("bundles"), func(b object) bool { return !truth(b, "pulled") })
		if b == nil {
			return nil
		}
		(*b)["conduit"] = t.use(text(*b, "conduit"), "closed")
		t.relist()
		return find("bundles/split", "bundle "+text(*b, "id"))
	}},
	{name: "a line for the other side of the axle in the bundle", class: "bundles 4", rules: []string{"bundles/one-place"}, put: otherSide},
	{name: "too many lines in a bundle over a joint", class: "bundles 4", rules: []string{"bundles/crossing"}, put: crowded},
}

// circle is the diameter of the smallest circle round so many of 4 mm: the
// ratios for equal circles are proved or best known (E. Specht, "The best known
// packings of equal circles in a circle", from memory).
var circle = []float64{0, 4, 8, 8.619, 9.657, 10.806, 12, 12, 13.220, 14.453, 15.253}

// bundled draws a line that is in a bundle.
func (t *tree) bundled() object {
	l := pick(t, t.items("lines"), func(l object) bool { return has(l, "bundle") })
	if l == nil {
		return nil
	}
	return *l
}

// conduit gives a bundle a conduit with an inner diameter from a range that
// depends on the number of its tubes, in mm.
func (t *tree) conduit(rule string, pulled bool, inner func(n int) (from, to float64)) *effect {
	b := pick(t, t.items("bundles"), func(b object) bool {
		n := len(t.linesOf(b))
		if n == 0 || n >= len(circle) {
			return false
		}
		from, to := inner(n)
		return to-from > 0.11 && to*10 > leastInner && from*10 < mostInner-1
	})
	if b == nil {
		return nil
	}
	from, to := inner(len(t.linesOf(*b)))
	tenths := max(leastInner, min(mostInner, int(10*t.between(max(from, to-3)+0.1, to))))
	(*b)["conduit"] = t.use("FG-C14", fmt.Sprintf("i%d", tenths))
	(*b)["pulled"] = pulled
	t.relist()
	return find(rule, "bundle "+text(*b, "id"))
}

// otherSide puts a point to the other side of its axle; its line stays in the
// bundle of the first.
func otherSide(t *tree) *effect {
	l := pick(t, t.items("lines"), func(l object) bool {
		p := t.point(text(l, "point"))
		j := t.jointOf(text(p, "body"))
		if j == nil || !has(l, "bundle") {
			return false
		}
		outer := t.chainOf(text(p, "body"))[0]
		role := text(outer, "role")
		return role == "suspension" && math.Abs(position(p, "position").Y) > 110 && t.others(l, p) > 0
	})
	if l == nil {
		return nil
	}
	p := t.point(text(*l, "point"))
	at := position(p, "position")
	at.Y = -at.Y
	p["position"] = t.place(at)
	name := text(p, "name")
	if at.Y > 0 {
		name = strings.Replace(name, "right", "left", 1)
	} else {
		name = strings.Replace(name, "left", "right", 1)
	}
	t.rename(p, name+", second")
	t.recut(*l)
	t.relist()
	e := find("bundles/one-place", "bundle "+text(*l, "bundle")).with("flow/even-resistance", "the pump").with("survey/point-in-reach")
	return t.relaid(e, *l)
}

// others counts the lines of the bundle that serve the same side of the axle.
func (t *tree) others(l, p object) int {
	n := 0
	for _, o := range t.linesOf(t.bundle(text(l, "bundle"))) {
		q := t.point(text(o, "point"))
		chain := t.chainOf(text(q, "body"))
		if !same(o, l) && len(chain) > 0 && same(chain[0], t.chainOf(text(p, "body"))[0]) &&
			position(q, "position").Y*position(p, "position").Y > 0 && math.Abs(position(q, "position").Y) > 110 {
			n++
		}
	}
	return n
}

// crowded copies a line of a bundle over a joint until thirteen cross it. The
// copies share number, outlet and point.
func crowded(t *tree) *effect {
	h := pick(t, t.spans(), func(h hop) bool { return h.whole != nil })
	if h == nil {
		return nil
	}
	l := t.linesOn(*h)[0]
	for range 13 - len(t.linesOn(*h)) {
		t.add(t.root, "lines", clone(l))
	}
	t.relist()
	bundle := "bundle " + text(h.whole, "id")
	p := t.point(text(l, "point"))
	e := find("bundles/crossing", bundle).with("bundles/fits", bundle).with("bundles/fill-closed", bundle).with("bundles/fill-pulled", bundle)
	e.with("ports/line-number-once", linePlace(l)).with("ports/outlet-used-once", linePlace(l)).with("ports/point-has-one-line", pointPlace(p))
	return e.with("ports/pump-has-outlets", "the kit").with("ports/kit-size", "the kit").with("reservoir/first-fill", "the pump")
}
