package dossier

import (
	"fmt"
	"html/template"
	"io"

	"kitgauge/checker/finding"
	"kitgauge/checker/report/drawing"
)

// drawings are those of a kit, ready to stand in the page.
type drawings struct {
	schematic *schematic
	spans     []spanDrawing
	all       int            // spans of the kit
	marks     map[string]int // on the schematic, by the id of a finding
	style     string         // that all of them share
}

type schematic struct {
	Fault string // why it could not be drawn
	SVG   template.HTML
	List  []mark
}

// mark is a mark on the schematic with the findings that it stands for.
type mark struct {
	Number   int
	Findings []markFinding
}

type markFinding struct{ ID, Severity, Place string }

type spanDrawing struct {
	Place, Fault string
	SVG          template.HTML
}

func draw(in *Input) *drawings {
	d := &drawings{schematic: &schematic{}, marks: map[string]int{}}
	ordered := in.Run.Kits[0].Ordered()
	input := drawing.Input{Kit: in.Facts, Findings: in.Run.Kits[0].Findings, ID: "plan", Trimmed: true, Link: func(f *finding.Finding) string {
		if id := idOf(ordered.Number(f)); id != "" {
			return "#" + id
		}
		return ""
	}}
	svg, err := d.svg(func(w io.Writer) error { return drawing.Schematic(w, input) })
	if err != nil {
		d.schematic.Fault = "The schematic could not be drawn: " + err.Error()
	}
	d.schematic.SVG = svg
	for _, m := range drawing.Marks(input) {
		one := mark{Number: m.Number}
		for _, f := range m.Findings {
			id := idOf(ordered.Number(&f))
			d.marks[id] = m.Number
			one.Findings = append(one.Findings, markFinding{id, capital(f.Severity.String()), f.Place})
		}
		d.schematic.List = append(d.schematic.List, one)
	}
	spans := drawing.NewSpans(input)
	d.all = len(in.Facts.Spans)
	for i, span := range spans.Chosen() {
		one := spanDrawing{Place: span.Place()}
		if one.SVG, err = d.svg(func(w io.Writer) error { return spans.Write(w, span, fmt.Sprintf("span-%d", i+1)) }); err != nil {
			one.Fault = err.Error()
		}
		d.spans = append(d.spans, one)
	}
	return d
}

// svg takes a drawing without its style, which stands once in the page.
func (d *drawings) svg(write func(io.Writer) error) (template.HTML, error) {
	svg, err := drawing.InPage(write)
	d.style = drawing.Style()
	return template.HTML(svg), err // package drawing has escaped it
}

// spansPage are the spans that are drawn, and how many there are.
type spansPage struct {
	Less string // what is said where not all are drawn
	List []spanDrawing
}

func (d *drawings) page() spansPage {
	p := spansPage{List: d.spans}
	if d.all > len(d.spans) {
		p.Less = fmt.Sprintf("%d of %d free spans are drawn: those with findings, the gravest first, and then those nearest to a limit. All are in the table of", len(d.spans), d.all)
	}
	return p
}

// note counts the drawings, for the list of contents.
func (p *spansPage) note(all int) string {
	if p.Less != "" {
		return fmt.Sprintf("%d of %d", len(p.List), all)
	}
	return fmt.Sprint(len(p.List))
}
