package drawing

import (
	"fmt"
	"io"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/facts"
	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/motion"
	"kitgauge/checker/source"
)

// Views draws the two views of the kit at rest, for a page that can say by
// itself what stands round them on a sheet: lists, legend, title block.
func Views(w io.Writer, in Input) error {
	in.bare = true
	return newSeries(in).views(w)
}

// Enlarged is a detail of a kit: a cluster of points at a larger scale.
type Enlarged struct {
	Letter string
	Shows  string // "lines 1-5; bundle FL"
}

// Details lists the details of a kit, from the front of the vehicle to its rear.
func Details(k *facts.Kit) []Enlarged {
	b := &series{scene: newScene(k)}
	var list []Enlarged
	for _, g := range b.scene.groups {
		list = append(list, Enlarged{g.letter, b.detailBlock(g).sub})
	}
	return list
}

// Detail draws one detail of the kit at rest, for the page that shows its
// [Views].
func Detail(w io.Writer, in Input, letter string) error {
	b := newSeries(in)
	for _, g := range b.scene.groups {
		if g.letter != letter {
			continue
		}
		k, s := b.detailBlock(g), b.pages[0].s
		k.planDetail(b.pages[0].body)
		s.crop = k.room
		_, left := k.drawDetail(s)
		about := "Top view and side view of " + k.sub + "."
		for _, l := range left {
			about += " No room for " + l.name + "."
		}
		return s.write(w, "Detail "+letter, about)
	}
	return fmt.Errorf("there is no detail %q", letter)
}

// Pose is how the joints stand in a drawing.
type Pose struct {
	*facts.Pose
	Spans []facts.SpanPose // those of the kit in it
}

// Posed draws what moves, and what can be looked up, where the pose puts it: in
// both views, to lie under [Views] of the same kit, whose signs and texts stay.
// Each thing is a group of the class "thing" that names its place in the file
// (data-at, a JSON Pointer) and holds a shape of the class "reach", which is wide
// enough to be pointed at.
func Posed(w io.Writer, in Input, pose *Pose) error {
	b := newSeries(in)
	sc, l, s := b.scene, b.plan, b.pages[0].s
	s.crop = l.narrow()
	p := &posed{s: s, scene: sc, pose: pose, curves: map[*facts.Span][][]r3.Vec{}}
	for i := range pose.Spans {
		p.curves[pose.Spans[i].Span] = pose.Spans[i].Curves()
	}
	for _, p.v = range []*view{&l.side, &l.top} {
		p.paint()
	}
	return s.write(w, "The kit as its joints stand", "")
}

// narrow leaves no more paper beside the views than their references, the
// title and the foot take, and returns what is left.
func (l *layout) narrow() box {
	const beside, title = 9.0, 165.0
	x0, x1 := min(l.side.area.x0, l.top.area.x0)-beside, max(l.side.area.x1, l.top.area.x1)+beside
	need := title
	for _, r := range []*placedRows{&l.sideRows, &l.topRows} {
		need = max(need, float64(max(len(r.up), len(r.down))+2)*r.step)
	}
	if more := need - (x1 - x0); more > 0 {
		x0, x1 = x0-more/2, x1+more/2
	}
	l.drawing.x0, l.drawing.x1 = fine(max(l.drawing.x0, x0)), fine(min(l.drawing.x1, x1))
	for _, r := range []*placedRows{&l.sideRows, &l.topRows} {
		r.x0, r.x1 = l.drawing.x0+3, l.drawing.x1-3
	}
	return l.drawing
}

// posed draws one view after the other.
type posed struct {
	s      *sheet
	scene  *scene
	v      *view
	pose   *Pose
	curves map[*facts.Span][][]r3.Vec
}

func (p *posed) paint() {
	for i := range p.scene.zones {
		p.zone(&p.scene.zones[i])
	}
	for i := range p.scene.routes {
		p.route(&p.scene.routes[i])
	}
	for i := range p.scene.joints {
		if m := &p.scene.joints[i]; m.drawn {
			p.sign(m.joint.Node, p.at(m.joint.Parent.To, m.at), func(at spot) { p.s.circle(at, 0.9, "joint") })
		}
	}
	for i := range p.scene.routes {
		p.stops(&p.scene.routes[i])
	}
	if pump := &p.scene.kit.Kit.Pump; p.scene.pump != nil {
		p.sign(pump.Node, p.at(pump.Body.To, *p.scene.pump), p.s.pump)
	}
	for _, point := range p.scene.kit.Points {
		if at, ok := p.scene.place(point.Position); ok {
			p.sign(point.Node, p.at(point.Body.To, at), func(at spot) { p.s.circle(at, 0.75, "point") })
		}
	}
}

func (p *posed) at(on *kit.Body, rest r3.Vec) spot { return p.v.at(p.pose.Place(on, rest)) }

// thing draws what can be looked up.
func (p *posed) thing(n *source.Node, draw func()) {
	if n == nil {
		draw()
		return
	}
	p.s.element(`<g class="thing" data-at="%s">`, escape(n.Pointer()))
	draw()
	p.s.end()
}

// sign is a thing at one place.
func (p *posed) sign(n *source.Node, at spot, draw func(at spot)) {
	p.thing(n, func() {
		p.s.circle(at, 2, "reach")
		draw(at)
	})
}

func (p *posed) zone(m *zoneMark) {
	var on []spot
	for _, c := range m.outline(0) {
		on = append(on, p.at(m.zone.Body.To, c))
	}
	kind := zoneKind(m.zone.Kind.V)
	p.thing(m.zone.Node, func() {
		p.s.element(`<g fill="url(#%s-%s)">`, p.s.id, kind)
		p.s.path(hull(on), true, "zone-"+kind)
		p.s.end()
	})
}

// route draws each piece of a route: a free span as its curves run, or
// straight where it has none.
func (p *posed) route(r *facts.Route) {
	class := "tail"
	if r.Bundle != nil {
		class = "bundle"
	}
	for i := 1; i < len(r.Stops); i++ {
		a, aKnown := p.stop(&r.Stops[i-1])
		b, bKnown := p.stop(&r.Stops[i])
		if !aKnown || !bKnown {
			continue
		}
		paths, kind := [][]spot{{a, b}}, class
		if span := r.Stops[i].Span; span != nil {
			kind += " free"
			if curves := p.curves[span]; len(curves) > 0 {
				paths = p.seen(curves)
			}
		}
		p.thing(r.Stops[i].Node, func() {
			for _, path := range paths {
				p.s.path(path, false, "reach")
				p.s.path(path, false, kind)
			}
		})
	}
}

// seen are curves on the paper, each once.
func (p *posed) seen(curves [][]r3.Vec) [][]spot {
	var paths [][]spot
	drawn := map[string]bool{}
	for _, curve := range curves {
		var path []spot
		for _, at := range curve {
			path = append(path, p.v.at(at))
		}
		if key := fmt.Sprint(path); !drawn[key] {
			drawn[key] = true
			paths = append(paths, path)
		}
	}
	return paths
}

func (p *posed) stop(s *facts.Stop) (spot, bool) {
	rest := s.Position.Vec()
	if !s.Position.Known() || !p.scene.region.has(rest) {
		return spot{}, false
	}
	at := p.pose.Place(s.Body, rest)
	return p.v.at(at), r3.Norm(at) < motion.Reach
}

// stops draws how the tubes are held.
func (p *posed) stops(r *facts.Route) {
	eachHold(r, p.stop, func(s *facts.Stop, at spot, class string) {
		p.sign(s.Node, at, func(at spot) { p.s.hold(at, s.Station.Hold.V, s.Station.Grommet.V, class) })
	})
}

// InPage takes a drawing without its style, which stands once in a page that
// holds several.
func InPage(write func(io.Writer) error) (string, error) {
	var b strings.Builder
	err := write(&b)
	return strings.Replace(b.String(), "<style>"+Style()+"</style>", "", 1), err
}

// Style is that of every drawing, for a page.
func Style() string {
	return strings.TrimSuffix(strings.TrimPrefix(style(), "<style>"), "</style>\n")
}
