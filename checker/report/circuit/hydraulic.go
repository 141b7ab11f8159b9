package circuit

import (
	"fmt"
	"strings"

	"kitgauge/checker/facts"
	"kitgauge/checker/kit"
	"kitgauge/checker/report"
	"kitgauge/checker/report/drawing"
	"kitgauge/checker/source"
	"kitgauge/checker/units"
)

// Where things stand in a column of the hydraulic schematic [mm].
const (
	galleryX = 17.0 // from the pump to its outlets
	outletX  = 28.0 // the end of an outlet, and what is stated of its element
	lineX    = 38.0 // the beginning of a line
	tubeX    = 60.0 // what is stated of it
	sleeveX  = 96.0 // the conduit of a bundle, from here
	sleeveTo = 102.0
	pointX   = 105.0
	nameX    = 112.0
)

// hydraulic gathers the cells of the hydraulic schematic.
type hydraulic struct {
	kit   *facts.Kit
	marks *marks
	w     float64
	rows  []*row
	drawn map[*facts.Outlet]bool
	cells []*cell
}

// row is one outlet with what is on it, or a line, or a point without one.
type row struct {
	outlet *facts.Outlet
	line   *facts.Line
	point  *facts.Point
	bundle *facts.Bundle
	first  bool // of its bundle
	last   bool // of its bundle
	ends   bool // nothing more is on the gallery
}

func newHydraulic(in drawing.Input, w float64, m *marks) *diagram {
	h := &hydraulic{kit: in.Kit, marks: m, w: w, drawn: map[*facts.Outlet]bool{}}
	h.pump()
	groups := h.groups()
	last := lastOnGallery(groups)
	for _, g := range groups {
		h.group(g, last)
	}
	h.notes()
	return &diagram{cells: h.cells, about: h.about(), mine: fluid}
}

// fluid reports whether a finding may belong on the hydraulic schematic: not what
// is electrical, nor what is about routes, bolts and room.
func fluid(rule, pointer string) bool {
	pack, _, _ := strings.Cut(rule, "/")
	switch pack {
	case "power", "slack", "routing", "mounting", "safety", "paperwork", "survey":
		return false
	}
	for _, part := range []string{"/tail/", "/route/", "/last_ties", "/last_free_length", "/pump/bolts", "/pump/position", "/pump/filler"} {
		if strings.Contains(pointer+"/", part) {
			return false
		}
	}
	return true
}

// edge is where texts end at the right: marks stand behind it, where there are any.
func (h *hydraulic) edge() float64 {
	if len(h.marks.list) == 0 {
		return h.w
	}
	return h.w - markWidth
}

// group is the rows that stand together, under a heading.
type group struct {
	heading string
	bundle  *facts.Bundle
	rows    []*row
}

// groups sorts lines by their bundles, as the kit has both, and then what has no
// line.
func (h *hydraulic) groups() []*group {
	byBundle := map[*facts.Bundle]*group{}
	var out []*group
	for _, b := range h.kit.Bundles {
		g := &group{heading: h.bundleHeading(b), bundle: b}
		byBundle[b] = g
		out = append(out, g)
	}
	single := &group{heading: "Lines in no bundle"}
	for _, l := range h.kit.Lines {
		g := single
		if b := l.Bundle.To; b != nil {
			g = byBundle[b]
		}
		g.rows = append(g.rows, &row{line: l, outlet: l.OutletFit.To, point: l.Point.To, bundle: g.bundle})
	}
	free := &group{heading: "Outlets without a line"}
	for _, o := range h.kit.Outlets {
		if len(o.Lines) == 0 {
			free.rows = append(free.rows, &row{outlet: o})
		}
	}
	unserved := &group{heading: "Points without a line"}
	for _, p := range h.kit.Points {
		if len(p.Lines) == 0 {
			unserved.rows = append(unserved.rows, &row{point: p})
		}
	}
	for _, g := range []*group{single, free, unserved} {
		if len(g.rows) > 0 {
			out = append(out, g)
		}
	}
	return out
}

func (h *hydraulic) bundleHeading(b *facts.Bundle) string {
	text := "Bundle " + clean(b.ID.Or("without an id"))
	if b.Name.Known {
		text += ": " + clean(b.Name.V)
	}
	return text + "; conduit " + or(named(b.Conduit))
}

// lastOnGallery is the last row with an outlet.
func lastOnGallery(groups []*group) *row {
	var last *row
	for _, g := range groups {
		for _, r := range g.rows {
			if r.outlet != nil {
				last = r
			}
		}
	}
	return last
}

func gallery(open bool) []rail {
	if open {
		return []rail{{galleryX, "supply"}}
	}
	return nil
}

// onGallery reports whether the conductor from the pump goes on behind what is
// laid out so far.
func (h *hydraulic) onGallery() bool {
	return len(h.cells) > 0 && len(h.cells[len(h.cells)-1].rails) > 0
}

func (h *hydraulic) group(g *group, last *row) {
	slots := h.bundleSlots(g.bundle)
	open := h.onGallery()
	head := h.heading(g.heading, slots, open)
	head.with = len(g.rows) > 0
	head.again = []*cell{h.columnHeads(open)}
	h.cells = append(h.cells, head)
	for i, r := range g.rows {
		r.first, r.last = i == 0, i == len(g.rows)-1
		r.ends = r == last
		if r.outlet != nil {
			open = !r.ends
		}
		c := h.row(r, h.onGallery(), open)
		c.again = []*cell{h.columnHeads(h.onGallery()), h.heading(g.heading+" (continued)", nil, h.onGallery())}
		h.cells = append(h.cells, c)
	}
}

func (h *hydraulic) bundleSlots(b *facts.Bundle) []slot {
	if b == nil {
		return nil
	}
	return []slot{{pointers: pointerOf(b.Node), places: []string{b.Place(), partPlace(b.Conduit)}}}
}

func pointerOf(n *source.Node) []string {
	if n == nil {
		return nil
	}
	return []string{n.Pointer()}
}

// heading stands over a group; the gallery passes it.
func (h *hydraulic) heading(text string, slots []slot, open bool) *cell {
	rows := wrap(text, h.edge()-galleryX-7, true)
	height := height(rows) + 2
	if h.marks.any(slots...) {
		height = max(height, markRoom)
	}
	return &cell{height: height, rails: gallery(open), slots: slots, draw: func(p *pen) {
		if open {
			p.wire(galleryX, 0, galleryX, height)
		}
		p.rows("bold", galleryX+5, height-float64(len(rows))*step-0.4, rows)
		for _, s := range slots {
			h.marks.draw(p, s, h.w-markWidth+signSize/2+1, height/2)
		}
	}}
}

// laid is a row with its texts broken to their columns.
type laid struct {
	*row
	tube, element, name []string
	outletAt, lineAt    slot
	pointAt             slot
	y, height           float64 // of the line, and of the whole
}

// row draws an outlet with element, line and point.
func (h *hydraulic) row(r *row, above, below bool) *cell {
	l := h.lay(r)
	slots := []slot{l.outletAt, l.lineAt, l.pointAt}
	return &cell{height: l.height, rails: gallery(below), slots: slots, draw: func(p *pen) {
		if above {
			p.wire(galleryX, 0, galleryX, l.y)
		}
		if below {
			p.wire(galleryX, l.y, galleryX, l.height)
		}
		if l.outlet != nil {
			h.drawOutlet(p, l)
		}
		if l.line != nil {
			h.drawLine(p, l)
		}
		if l.point != nil || l.line != nil {
			h.drawPoint(p, l)
		}
		h.marks.draw(p, l.outletAt, signSize/2, l.y)
		h.marks.draw(p, l.lineAt, tubeX+12, l.y+markRoom/2+0.3)
		h.marks.draw(p, l.pointAt, h.w-markWidth+signSize/2+1, l.y)
	}}
}

// lay breaks the texts of a row and finds its height.
func (h *hydraulic) lay(r *row) *laid {
	l := &laid{row: r}
	if o := r.outlet; o != nil {
		l.outletAt = outletSlot(o, h.drawn[o])
		l.element = wrap(h.elementSays(r), tubeX-outletX-3, false)
		h.drawn[o] = true
	}
	if r.line != nil {
		l.lineAt = slot{pointers: pointerOf(r.line.Node), places: []string{r.line.Place(), partPlace(r.line.Tube)}}
		l.tube = wrap(h.tubeSays(r.line), sleeveX-tubeX-2, false)
		l.name = wrap(h.pointMissing(r.line), h.edge()-nameX, false)
	}
	if r.point != nil {
		l.pointAt = slot{pointers: pointerOf(r.point.Node), places: []string{r.point.Place()}}
		l.name = wrap(h.pointSays(r.point), h.edge()-nameX, false)
	}
	l.y = max(height(l.tube)+0.9, height(l.element)+2.3, 4.2)
	under := 3.2
	if h.marks.at(l.lineAt) != nil {
		under = max(under, markRoom+0.6)
	}
	l.height = max(l.y+under, l.y+height(l.name)/2+0.8, height(l.name)+1.6)
	return l
}

// outletSlot is where an outlet is marked; again where it is drawn once more, for
// another line on it.
func outletSlot(o *facts.Outlet, again bool) slot {
	if again {
		return slot{}
	}
	s := slot{places: []string{o.Place()}}
	if o.Outlet.Node != nil {
		s.pointers = []string{o.Outlet.Node.Pointer()}
	}
	if o.Element.To != nil {
		s.places = append(s.places, partPlace(o.Element))
	}
	return s
}

func (h *hydraulic) drawOutlet(p *pen, l *laid) {
	o := l.outlet
	name := o.Place()
	p.outlet(name, galleryX, outletX, l.y)
	p.text("bold", outletX-1, l.y-1, "end", outletNumber(o))
	p.rows("", outletX+1, l.y-2.3-height(l.element), l.element)
	switch {
	case l.line != nil || o.Fitted.V:
		h.drawElement(p, l)
	case o.BlankedOff.V:
		p.plugged(name+", blanked", outletX, l.y)
	default:
		p.open(name+", open", outletX, l.y)
	}
}

// drawElement draws the element of an outlet; without a line the way ends behind
// it.
func (h *hydraulic) drawElement(p *pen, l *laid) {
	if l.outlet.Fitted.V {
		p.element("element of "+l.outlet.Place()+": "+or(named(l.outlet.Element)), outletX, l.y)
	} else {
		p.Symbol("unknown", "element of "+l.outlet.Place()+": not stated", func() {
			p.wire(outletX, l.y, outletX+1.5, l.y)
			p.rect("ghost", outletX+1.5, l.y-2, outletX+8.5, l.y+2, 0)
			p.wire(outletX+8.5, l.y, outletX+10, l.y)
		})
	}
	switch {
	case l.line != nil:
	case l.outlet.BlankedOff.V:
		p.plugged(l.outlet.Place()+", blanked", lineX, l.y)
	default:
		p.open(l.outlet.Place()+", open", lineX, l.y)
	}
}

func outletNumber(o *facts.Outlet) string {
	if !o.Number.Known {
		return "?"
	}
	return fmt.Sprint(o.Number.V)
}

func (h *hydraulic) elementSays(r *row) string {
	o := r.outlet
	var parts []string
	switch {
	case o.Fitted.V:
		parts = append(parts, clean(o.Element.ID.V), strokeVolume(h.kit, o))
		if o.Element.To == nil {
			parts = append(parts, "not in the catalogue")
		}
	case r.line != nil:
		parts = append(parts, "element not stated")
	}
	switch {
	case o.BlankedOff.V:
		parts = append(parts, "blanked")
	case r.line == nil && !o.Listed.V:
		parts = append(parts, "the kit does not list this outlet")
	case r.line == nil:
		parts = append(parts, "no line; blank not stated")
	}
	if h.drawn[o] {
		parts = append(parts, "the outlet of line "+o.Lines[0]+" once more")
	}
	return strings.Join(parts, ", ")
}

// strokeVolume is what an element delivers at a stroke: by its marking, else by
// the catalogue.
func strokeVolume(k *facts.Kit, o *facts.Outlet) string {
	if v := amount(k, o.StrokeVolume, units.Volume); v != "" {
		return v
	}
	if e := o.Element.To; e != nil {
		return or(amount(k, e.StrokeVolume, units.Volume))
	}
	return "volume not known"
}

func (h *hydraulic) drawLine(p *pen, l *laid) {
	if l.outlet == nil {
		p.Symbol("open", l.line.Place()+", outlet not known", func() {
			p.circle("thin", lineX-5, l.y, 1)
			p.wire(lineX-4, l.y, lineX, l.y)
		})
	}
	number := "?"
	if l.line.Number.Known {
		number = fmt.Sprint(l.line.Number.V)
	}
	x := lineX + p.tag(l.line.Place(), number, lineX, l.y)
	p.wire(x, l.y, pointX, l.y)
	p.rows("", tubeX, l.y-0.9-height(l.tube), l.tube)
	if l.bundle == nil {
		return
	}
	p.Symbol("sleeve", l.bundle.Place(), func() {
		p.line("bundle", sleeveX, 0, sleeveX, l.height)
		p.line("bundle", sleeveTo, 0, sleeveTo, l.height)
		if l.first {
			p.line("bundle", sleeveX, 0, sleeveTo, 0)
		}
		if l.last {
			p.line("bundle", sleeveX, l.height, sleeveTo, l.height)
		}
	})
}

func (h *hydraulic) tubeSays(l *facts.Line) string {
	text := joined(", ", or(clean(l.Tube.ID.Or(""))), "cut "+or(amount(h.kit, l.CutLength, units.Length)))
	if l.Tube.ID.Known && l.Tube.To == nil {
		text += ", tube not in the catalogue"
	}
	if l.Bundle.To == nil && l.Bundle.ID.Known {
		text += ", bundle " + clean(l.Bundle.ID.V) + " not in the kit"
	}
	if l.OutletFit.To == nil {
		text += ", " + missing("outlet", count(l.Outlet), "the pump has not")
	}
	return text
}

// missing says that something is not stated, or leads nowhere.
func missing(what, name, why string) string {
	if name == "" {
		return what + " " + notKnown
	}
	return what + " " + name + ", which " + why
}

func (h *hydraulic) pointMissing(l *facts.Line) string {
	return missing("point", clean(l.Point.ID.Or("")), "the kit has not")
}

func (h *hydraulic) pointSays(pt *facts.Point) string {
	on := "on " + or(bodyName(pt.Body))
	return joined(" ", clean(pt.ID.Or("without an id")), clean(pt.Name.Or("(name not stated)"))) + "; " + on
}

func bodyName(b kit.Ref[kit.Body]) string {
	if b.To == nil {
		return clean(b.ID.Or(""))
	}
	return clean(b.To.Name.Or(b.ID.V))
}

// drawPoint draws the end of a line, with the name of the point.
func (h *hydraulic) drawPoint(p *pen, l *laid) {
	if l.point != nil {
		p.point(l.point.Place(), pointX, l.y)
	} else {
		p.open(l.line.Place()+", point not known", pointX-2, l.y)
	}
	p.rows("", nameX, max(l.y-height(l.name)/2, 0.8), l.name)
}

// pump is the source: reservoir, pump and motor, in the frame of their unit.
func (h *hydraulic) pump() {
	k := h.kit
	at := slot{pointers: []string{"/pump"}, places: []string{"the pump"}}
	stated := []entry{{"pump", named(k.Pump.Part)}}
	if p := k.Pump.Part.To; p != nil {
		at.places = append(at.places, partPlace(k.Pump.Part))
		stated = append(stated, entry{"outlets", count(p.Outlets)}, entry{"reservoir", amount(k, p.Reservoir, units.Volume)},
			entry{"highest pressure at an outlet", amount(k, p.Pressure, units.Pressure)})
	}
	stated = append(stated, entry{"pressure relief valve", ""}, entry{"grease", named(k.Pump.Grease)},
		entry{"pause", amount(k, k.Pump.Timer.Pause, units.Time)}, h.run(), entry{"mounted on", bodyName(k.Pump.Body)})
	var rows []string
	for _, e := range stated {
		rows = append(rows, wrap(e.name+": "+or(clean(e.value)), h.edge()-tubeX, false)...)
	}
	height := max(40, height(rows)+step+4)
	open := len(k.Outlets) > 0
	h.cells = append(h.cells, &cell{height: height, rails: gallery(open), slots: []slot{at}, draw: func(p *pen) {
		p.rect("outline", galleryX-11, 0.5, 49, 36.5, 0)
		p.reservoir("reservoir", galleryX, 3)
		p.fluidPump("pump", galleryX, 15)
		p.drive("motor of the pump", galleryX+6, 41, 23)
		p.wire(galleryX, 33, galleryX, height)
		p.rows("bold", tubeX, 1, []string{"Pump with reservoir and motor"})
		p.rows("", tubeX, 1+step, rows)
		h.marks.draw(p, at, h.w-markWidth+signSize/2+1, 1+signSize/2)
	}}, h.columnHeads(open))
}

func (h *hydraulic) run() entry {
	t := &h.kit.Pump.Timer
	if t.Strokes.Node != nil {
		return entry{"run", joined(" ", count(t.Strokes), "strokes")}
	}
	return entry{"run", amount(h.kit, t.Run, units.Time)}
}

// columnHeads says what stands under one another.
func (h *hydraulic) columnHeads(open bool) *cell {
	const height = step + 1.5
	return &cell{height: height, rails: gallery(open), with: true, draw: func(p *pen) {
		if open {
			p.wire(galleryX, 0, galleryX, height)
		}
		p.text("faint", outletX-9, rise, "start", "outlet, element")
		p.text("faint", tubeX, rise, "start", "line, tube, cut length")
		p.text("faint", sleeveX-2.5, rise, "start", "bundle")
		p.text("faint", nameX, rise, "start", "point; body")
	}}
}

func (h *hydraulic) notes() {
	h.cells = append(h.cells, notes(h.w, "Symbols and notes", []string{
		"Symbols after ISO 1219-1, drawn from memory: reservoir, pump with its direction of flow, electric motor with shaft, chain line round a unit, closed port as a cross. It has none for a metering element: a cylinder with its piston; nor for a grease point: a full circle. A dot is an outlet of the pump, a broken box an element that is not stated, an empty circle an open end.",
		"The conduit of a bundle is the pair of heavy lines across its lines. The scheme is not to scale, and the order of outlets on the pump is not shown: the number counts.",
		"Pressure relief valves and dividers: the kit file states none, so none is drawn; see the pump maker's instructions.",
	})...)
}

func (h *hydraulic) about() string {
	k := h.kit
	return fmt.Sprintf("From the reservoir through the pump along %s and %s in %s to %s.", report.Count(len(k.Outlets), "outlet", "outlets"),
		report.Count(len(k.Lines), "line", "lines"), report.Count(len(k.Bundles), "bundle", "bundles"), report.Count(len(k.Points), "point", "points"))
}
