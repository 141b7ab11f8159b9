package injection_test

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// stop is a place on a route: the pump, a station or a point.
type stop struct {
	name, body string
	at         r3.Vec // mm
	node       object
	held       bool
	point      bool
}

// walk is the route of a bundle, or of a line from where it leaves its bundle.
type walk struct {
	place string
	stops []stop
	own   int    // the first stop that is its own
	line  object // nil for a bundle
	whole object // nil for a line
}

// hop is a piece of a walk, from the stop before i to the stop i.
type hop struct {
	*walk
	i int
}

func (h hop) a() *stop      { return &h.stops[h.i-1] }
func (h hop) b() *stop      { return &h.stops[h.i] }
func (h hop) fixed() bool   { return h.a().body == h.b().body }
func (h hop) long() float64 { return r3.Norm(r3.Sub(h.b().at, h.a().at)) }
func (h hop) mid() r3.Vec   { return r3.Scale(0.5, r3.Add(h.a().at, h.b().at)) }

// where is the hop's place as findings print it.
func (h hop) where() string { return fmt.Sprintf("%s, %s to %s", h.place, h.a().name, h.b().name) }

// spanPlace is that of a free span.
func (t *tree) spanPlace(h hop) string {
	return fmt.Sprintf("%s, span %s to %s", h.place, t.bodyName(h.a().body), t.bodyName(h.b().body))
}

func (t *tree) pumpStop() stop {
	p := t.at("pump")
	return stop{name: "the pump", body: text(p, "body"), at: position(p, "position"), node: p, held: true}
}

func stations(o object, key, name string) []stop {
	var out []stop
	for i, s := range items(o, key) {
		called := text(s, "id")
		if called == "" {
			called = fmt.Sprintf("%s %d", name, i+1)
		}
		hold := text(s, "hold")
		out = append(out, stop{name: called, body: text(s, "body"), at: position(s, "position"), node: s, held: hold == "clip" || hold == "tie"})
	}
	return out
}

func (t *tree) bundleWalk(b object) *walk {
	return &walk{
		place: "bundle " + text(b, "id"), whole: b, own: 1,
		stops: append([]stop{t.pumpStop()}, stations(b, "route", "station")...),
	}
}

// leaves is the stop of its bundle at which a line leaves, counted from the
// pump; 0 for a single line.
func (t *tree) leaves(l object) int {
	if b := t.bundle(text(l, "bundle")); b != nil {
		for i, s := range items(b, "route") {
			if text(s, "id") == text(l, "leaves_at") {
				return i + 1
			}
		}
	}
	return 0
}

func (t *tree) lineWalk(l object) *walk {
	w := &walk{place: linePlace(l), line: l, stops: []stop{t.pumpStop()}}
	if n := t.leaves(l); n > 0 {
		w.stops = t.bundleWalk(t.bundle(text(l, "bundle"))).stops[:n+1]
	}
	w.own = len(w.stops)
	w.stops = append(w.stops[:w.own:w.own], stations(l, "tail", "tail")...)
	p := t.point(text(l, "point"))
	w.stops = append(w.stops, stop{
		name: "point " + text(p, "id"), body: text(p, "body"), at: position(p, "position"), node: p, held: true, point: true,
	})
	return w
}

// walks are all routes, each with its own stops only once.
func (t *tree) walks() []*walk {
	var out []*walk
	for _, b := range t.items("bundles") {
		out = append(out, t.bundleWalk(b))
	}
	for _, l := range t.items("lines") {
		out = append(out, t.lineWalk(l))
	}
	return out
}

// hops are the pieces that the walks do not share.
func (t *tree) hops() []hop {
	var out []hop
	for _, w := range t.walks() {
		for i := max(1, w.own); i < len(w.stops); i++ {
			if len(t.linesOn(hop{w, i})) > 0 {
				out = append(out, hop{w, i})
			}
		}
	}
	return out
}

// spans are the hops from body to body.
func (t *tree) spans() []hop {
	var out []hop
	for _, h := range t.hops() {
		if !h.fixed() {
			out = append(out, h)
		}
	}
	return out
}

// linesOn are the lines that go along a hop.
func (t *tree) linesOn(h hop) []object {
	if h.line != nil {
		return []object{h.line}
	}
	var out []object
	for _, l := range t.linesOf(h.whole) {
		if t.leaves(l) >= h.i {
			out = append(out, l)
		}
	}
	return out
}

func (t *tree) linesOf(b object) []object {
	var out []object
	for _, l := range t.items("lines") {
		if text(l, "bundle") == text(b, "id") {
			out = append(out, l)
		}
	}
	return out
}

// jointOf is the joint by which a body hangs.
func (t *tree) jointOf(body string) object { return by(t.items("joints"), "child", body) }

// chainOf lists the joints from the root out to a body.
func (t *tree) chainOf(body string) []object {
	j := t.jointOf(body)
	if j == nil {
		return nil
	}
	return append(t.chainOf(text(j, "parent")), j)
}

// jointsOf are those over which a span goes.
func (t *tree) jointsOf(h hop) []object {
	a, b := t.chainOf(h.a().body), t.chainOf(h.b().body)
	for len(a) > 0 && len(b) > 0 && same(a[0], b[0]) {
		a, b = a[1:], b[1:]
	}
	return append(a, b...)
}

// roleOf is the kind of a span: that of the joint that moves furthest.
func (t *tree) roleOf(h hop) string {
	role := "sprung"
	for _, j := range t.jointsOf(h) {
		switch text(j, "role") {
		case "suspension":
		case "steering":
			if role == "sprung" {
				role = "steered"
			}
		default:
			role = "articulated"
		}
	}
	return role
}

// freeLength is where the free length of a span stands.
func (h hop) freeLength() (object, string) {
	if h.b().point {
		return h.line, "last_free_length"
	}
	return h.b().node, "free_length"
}

// needed is what has to be cut for a line, in mm: the insertion of both
// fittings is 12 mm each in all of the catalogue.
func (t *tree) needed(l object) float64 {
	w := t.lineWalk(l)
	sum := 2*12.0 + 10
	for i := 1; i < len(w.stops); i++ {
		h := hop{w, i}
		if h.fixed() {
			sum += h.long()
			continue
		}
		sum += mm(h.freeLength())
	}
	return sum
}

// recut cuts the line to what its way takes now.
func (t *tree) recut(l object) { l["cut_length"] = t.length(math.Ceil(t.needed(l)) + 6) }

// aside is a place beside the middle of a hop, at right angles to it.
func aside(h hop, far float64) r3.Vec {
	along := r3.Unit(r3.Sub(h.b().at, h.a().at))
	up := r3.Vec{Z: 1}
	if math.Abs(along.Z) > 0.9 {
		up = r3.Vec{X: 1}
	}
	out := r3.Unit(r3.Sub(up, r3.Scale(r3.Dot(up, along), along)))
	return r3.Add(h.mid(), r3.Scale(far, out))
}

// turn is the angle in degrees by which a walk turns at a stop.
func (w *walk) turn(i int) float64 {
	a, b := r3.Sub(w.stops[i].at, w.stops[i-1].at), r3.Sub(w.stops[i+1].at, w.stops[i].at)
	return math.Acos(max(-1, min(1, r3.Cos(a, b)))) * 180 / math.Pi
}
