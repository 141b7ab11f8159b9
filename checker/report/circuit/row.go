package circuit

import (
	"fmt"
	"strings"

	"kitgauge/checker/facts"
	"kitgauge/checker/kit"
	"kitgauge/checker/units"
)

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
