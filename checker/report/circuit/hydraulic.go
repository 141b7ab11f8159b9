package circuit

import (
	"fmt"
	"strings"

	"kitgauge/checker/facts"
	"kitgauge/checker/report"
	"kitgauge/checker/report/drawing"
	"kitgauge/checker/source"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
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

// switches says what the catalogue states of timer and low-level switch.
func (h *hydraulic) switches() string {
	p := h.kit.Pump.Part.To
	if p == nil {
		return ""
	}
	timer := "timer counts time"
	if p.Strokes.V {
		timer += " or strokes"
	}
	return timer + ", low-level switch " + or(yesNo(p.LowLevelSwitch))
}

// driveNote says how the elements are driven: each that a crank or a cam drives is
// a pump of its own.
func (h *hydraulic) driveNote() string {
	drive, assumed := "", ""
	if p := h.kit.Pump.Part.To; p != nil {
		drive = p.ElementDrive.Or("")
	}
	if drive == "" {
		assumed = "Drive of the elements not stated, a crank assumed. "
	}
	switch drive {
	case "crank", "": // as the checks assume it
		return assumed + "Elements driven by crank: each is a pump of its own and delivers by itself; the line to the elements is the supply of grease, not a line under common pressure."
	case "steady":
		return "Elements moved steadily through their stroke: each is a pump of its own and delivers by itself."
	}
	return "Elements: drive " + unread + "."
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
	if g.bundle != nil {
		head.shows = g.bundle.ID.Or("")
	}
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
		c.again[1].shows = head.shows
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
		entry{"timer and low-level switch (no symbols drawn)", h.switches()},
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
		return entry{"run", strokes(t.Strokes)}
	}
	return entry{"run", amount(h.kit, t.Run, units.Time)}
}

func strokes(n value.Count) string {
	if n.Known {
		return report.Count(int(n.V), "stroke", "strokes")
	}
	return unread
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
	h.cells = append(h.cells, notes(h.w, "Symbols and notes", append([]string{
		"Symbols after ISO 1219-1, drawn from memory: reservoir, pump with its direction of flow, electric motor with shaft, chain line round a unit, closed port as a cross. It has none for a metering element: a cylinder with its piston; nor for a grease point: a full circle. A dot is an outlet of the pump, a broken box an element that is not stated, an empty circle an open end.",
		"The conduit of a bundle is the pair of heavy lines across its lines. The scheme is not to scale, and the order of outlets on the pump is not shown: the number counts.",
		h.driveNote(),
		"Pressure relief valves and dividers: the kit file states none, so none is drawn; see the pump maker's instructions.",
	}, inFull(h.kit)...))...)
}

func (h *hydraulic) about() string {
	k := h.kit
	return fmt.Sprintf("From the reservoir through the pump along %s and %s in %s to %s.", report.Count(len(k.Outlets), "outlet", "outlets"),
		report.Count(len(k.Lines), "line", "lines"), report.Count(len(k.Bundles), "bundle", "bundles"), report.Count(len(k.Points), "point", "points"))
}
