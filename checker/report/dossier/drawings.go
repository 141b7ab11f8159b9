package dossier

import (
	"bytes"
	"fmt"
	"html/template"
	"io"
	"strings"

	"kitgauge/checker/facts"
	"kitgauge/checker/finding"
	"kitgauge/checker/report"
	"kitgauge/checker/report/circuit"
	"kitgauge/checker/report/drawing"
)

// drawings are those of a kit, ready to stand in the page.
type drawings struct {
	sheets []*drawnSheet
	spans  *drawing.Spans
	found  []*spanDrawing // of spans about which something is found
	others []*spanDrawing // of the other spans, where they are asked for
	all    int            // spans of the kit
	marks  map[string]int // by the id of a finding
	markAt map[int]string // the element that a mark is, by its number
	style  string         // that all of them share
}

// drawnSheet is a sheet of drawing.
type drawnSheet struct {
	ID, Title string
	SVG       template.HTML
	Upright   bool   // printed on paper that stands
	First     bool   // how large all of them are is chosen here
	List      []mark // at the first sheet
	Left      int    // how many sheets are left out
}

// mark is a mark on the drawings with the findings that it stands for.
type mark struct {
	Number   int
	Findings []markFinding
}

type markFinding struct{ ID, Severity, Place string }

type spanDrawing struct {
	ID, Place, Fault string
	SVG              template.HTML
}

// sheetsOf lists the sheets of drawing in the order of the dossier: those of the
// schematic, then the diagrams.
func sheetsOf(in drawing.Input) (schematic, diagrams []sheetToDraw) {
	for i, s := range drawing.Sheets(in) {
		id := firstSheet
		if i > 0 {
			id += "-" + s.Name
		}
		schematic = append(schematic, sheetToDraw{id, "Schematic: " + strings.ToLower(s.Title[:1]) + s.Title[1:], s.Width < s.Height, s.SVG})
	}
	for _, diagram := range []struct {
		id   string
		draw func(drawing.Input) []drawing.Sheet
	}{{"wiring", circuit.Wiring}, {"hydraulic", circuit.Hydraulic}} {
		in.ID = "plan-" + diagram.id
		for _, s := range diagram.draw(in) {
			diagrams = append(diagrams, sheetToDraw{s.Name, s.Title, s.Width < s.Height, s.SVG})
		}
	}
	return schematic, diagrams
}

// firstSheet is the id of the overview.
const firstSheet = "schematic"

// mostSheets is how many sheets of the schematic a dossier has without being
// asked for all: of more, the overview and those with a mark.
const mostSheets = 6

// shortened leaves out sheets of the schematic that a reviewer seldom turns
// over, and counts them.
func shortened(list []sheetToDraw) (kept []sheetToDraw, left int) {
	if len(list) <= mostSheets {
		return list, 0
	}
	for i, s := range list {
		if i == 0 || bytes.Contains(s.svg, []byte(`<a href="#finding-`)) {
			kept = append(kept, s)
		}
	}
	return kept, len(list) - len(kept)
}

type sheetToDraw struct {
	id, title string
	upright   bool
	svg       []byte
}

func draw(in *Input) *drawings {
	d := &drawings{marks: map[string]int{}, all: len(in.Facts.Spans)}
	ordered := in.Run.Kits[0].Ordered()
	input := drawing.Input{Kit: in.Facts, Findings: in.Run.Kits[0].Findings, Gate: in.Run.Gate, ID: "plan", Paper: drawing.PaperA4, Trimmed: true, Link: func(f *finding.Finding) string {
		if id := idOf(ordered.Number(f)); id != "" {
			return "#" + id
		}
		return ""
	}}
	marks := d.marked(input, ordered)
	d.markAt = map[int]string{}
	schematic, diagrams := sheetsOf(input)
	left := 0
	if !in.Full {
		schematic, left = shortened(schematic)
	}
	for i, s := range append(schematic, diagrams...) {
		svg, _ := d.svg(func(w io.Writer) error { // a Buffer takes everything
			_, err := w.Write(s.svg)
			return err
		})
		one := &drawnSheet{ID: s.id, Title: s.title, Upright: s.upright, First: i == 0, SVG: d.targets(svg, marks)}
		if one.First {
			one.List, one.Left = marks, left
		}
		d.sheets = append(d.sheets, one)
	}
	d.spans = drawing.NewSpans(input)
	for i, span := range d.spans.Chosen() {
		switch found := d.spans.Found(span); {
		case found:
			d.found = append(d.found, d.span(span, i))
		case in.Full:
			d.others = append(d.others, d.span(span, i))
		}
	}
	return d
}

// marked lists the marks, and keeps which finding has which.
func (d *drawings) marked(in drawing.Input, ordered *report.Ordered) []mark {
	var list []mark
	for _, m := range drawing.Marks(in) {
		one := mark{Number: m.Number}
		for _, f := range m.Findings {
			id := idOf(ordered.Number(&f))
			d.marks[id] = m.Number
			one.Findings = append(one.Findings, markFinding{id, capital(f.Severity.String()), f.Place})
		}
		list = append(list, one)
	}
	return list
}

func (d *drawings) span(span *facts.Span, i int) *spanDrawing {
	one := &spanDrawing{ID: fmt.Sprintf("span-%d", i+1), Place: span.Place()}
	var err error
	if one.SVG, err = d.svg(func(w io.Writer) error { return d.spans.WriteSmall(w, span, one.ID) }); err != nil {
		one.Fault = err.Error()
	}
	return one
}

// targets gives the marks of a sheet their ids, each where it is drawn first.
// What leads to the first finding of a mark is that mark.
func (d *drawings) targets(svg template.HTML, marks []mark) template.HTML {
	text := string(svg)
	for _, m := range marks {
		leads := fmt.Sprintf(`<a href="#%s"`, m.Findings[0].ID)
		if d.markAt[m.Number] != "" || !strings.Contains(text, leads) {
			continue
		}
		d.markAt[m.Number] = fmt.Sprintf("mark-%d", m.Number)
		text = strings.Replace(text, leads, fmt.Sprintf(`<a id="%s" href="#%s"`, d.markAt[m.Number], m.Findings[0].ID), 1)
	}
	return template.HTML(text)
}

// svg takes a drawing without its style, which stands once in the page.
func (d *drawings) svg(write func(io.Writer) error) (template.HTML, error) {
	svg, err := drawing.InPage(write)
	d.style = drawing.Style()
	return template.HTML(svg), err // package drawing has escaped it
}
