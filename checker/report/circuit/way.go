package circuit

import (
	"fmt"
	"slices"

	"kitgauge/checker/facts"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// thing is a connector or a passage.
type thing struct {
	connector *facts.ConnectorFit
	passage   *facts.Passage
	number    int
}

// order lists connectors and passages from the fuse to the pump: each list as the
// kit has it, and the passages where the cable leaves the cab.
func (b *wiring) order() []thing {
	var out []thing
	for i, c := range b.feed.Connectors {
		out = append(out, thing{connector: c, number: i + 1})
	}
	at := 0
	for i, t := range out {
		if t.connector.ConnectorFit.Place.V == "cab" {
			at = i + 1
		}
	}
	var passages []thing
	for i, p := range b.feed.Passages {
		passages = append(passages, thing{passage: p, number: i + 1})
	}
	return slices.Insert(out, at, passages...)
}

// way is the cable from the fuse to the pump with what it goes through.
func (b *wiring) way() {
	last := "F1"
	things := b.order()
	for _, t := range things {
		next := fmt.Sprintf("X%d", t.number)
		if t.passage != nil {
			next = fmt.Sprintf("passage %d", t.number)
		}
		b.cable(fmt.Sprintf("from %s to %s", last, next), value.Number{}, false)
		if t.passage != nil {
			b.passage(t.passage, t.number)
		} else {
			b.connector(t.connector, t.number)
		}
		last = next
	}
	length := value.Number{}
	if l, d := b.feed.Length, b.feed.FuseDistance; len(things) == 0 && l.Known && d.Known && l.V >= d.V {
		length = value.Known(l.V - d.V)
	}
	b.cable(fmt.Sprintf("from %s to the pump", last), length, false)
}

func (b *wiring) connector(c *facts.ConnectorFit, number int) {
	name := fmt.Sprintf("X%d connector %s", number, clean(c.Name.Or("without a name")))
	stated := []entry{{"connector", named(c.Part)}, {"where it sits", c.ConnectorFit.Place.Or("")}}
	if p := c.Part.To; p != nil {
		stated = append(stated, entry{"protection", p.Enclosure.Or("")}, entry{"resistance of a contact", amount(b.kit, p.Contact, units.Resistance)})
	}
	stated = append(stated, entry{"numbers of the pins", ""})
	at := slot{places: []string{c.Place(), partPlace(c.Part)}}
	if c.Node != nil {
		at.pointers = []string{c.Node.Pointer()}
	}
	b.add(14, name, stated, []slot{at}, b.rails(), func(p *pen, h float64) {
		p.plug(fmt.Sprintf("X%d pin of the feed", number), feedX, 0)
		p.wire(feedX, 14, feedX, h)
		p.text("", feedX+3, 9, "start", "+")
		if !b.back() {
			return
		}
		p.plug(fmt.Sprintf("X%d pin of the return", number), returnX, 0)
		p.wire(returnX, 14, returnX, h)
		p.text("", returnX-3, 9, "end", "−")
		p.line("ghost", returnX+2.4, 8, feedX-2.4, 8)
	})
}

func (b *wiring) passage(c *facts.Passage, number int) {
	name := fmt.Sprintf("Passage %d through sheet metal: %s", number, clean(c.Name.Or("without a name")))
	at := slot{places: []string{c.Place()}}
	if c.Node != nil {
		at.pointers = []string{c.Node.Pointer()}
	}
	xs, from := []float64{feedX}, feedX-10
	if b.back() {
		xs, from = []float64{returnX, feedX}, returnX-10
	}
	b.add(8, name, []entry{{"grommet", yesNo(c.Grommet)}}, []slot{at}, b.rails(), func(p *pen, h float64) {
		p.sheetMetal(fmt.Sprintf("passage %d", number), c.Grommet.V, 0, from, feedX+10, xs...)
		for _, x := range xs {
			p.wire(x, 8, x, h)
		}
	})
}
