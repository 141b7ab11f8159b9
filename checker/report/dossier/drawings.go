package dossier

import (
	"bytes"
	"fmt"
	"html/template"
	"io"
	"strings"

	"kitgauge/checker/finding"
	"kitgauge/checker/report"
	"kitgauge/checker/report/drawing"
)

// drawings are those of a kit, ready to stand in the page.
type drawings struct {
	schematic *schematic
	spans     []spanDrawing
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
	ids := idsOf(&in.Run.Kits[0])
	input := drawing.Input{Kit: in.Facts, Findings: in.Run.Kits[0].Findings, ID: "plan", Trimmed: true, Link: func(f *finding.Finding) string {
		if id := ids[keyOf(f)]; id != "" {
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
			id := ids[keyOf(&f)]
			d.marks[id] = m.Number
			one.Findings = append(one.Findings, markFinding{id, capital(f.Severity.String()), f.Place})
		}
		d.schematic.List = append(d.schematic.List, one)
	}
	for i, span := range in.Facts.Spans {
		input.ID = fmt.Sprintf("span-%d", i+1)
		one := spanDrawing{Place: span.Place()}
		if one.SVG, err = d.svg(func(w io.Writer) error { return drawing.Span(w, input, span) }); err != nil {
			one.Fault = err.Error()
		}
		d.spans = append(d.spans, one)
	}
	return d
}

// key is what tells findings apart: the fingerprint does within one kit, but
// for what was made up.
type key struct {
	fingerprint, rule, identity, message string
	status                               finding.Status
}

func keyOf(f *finding.Finding) key {
	return key{f.Fingerprint, f.Rule, f.Identity, f.Message, f.Status}
}

// idsOf are the ids of the elements of the findings.
func idsOf(k *report.Kit) map[key]string {
	ids := map[key]string{}
	numbered(k, func(id string, f *finding.Finding) { ids[keyOf(f)] = id })
	return ids
}

// svg takes a drawing without its style, which stands once in the page.
func (d *drawings) svg(write func(io.Writer) error) (template.HTML, error) {
	var b bytes.Buffer
	if err := write(&b); err != nil {
		return "", err
	}
	before, rest, styled := strings.Cut(b.String(), "<style>")
	if !styled {
		return template.HTML(before), nil // package drawing has escaped it
	}
	style, after, _ := strings.Cut(rest, "</style>")
	d.style = style
	return template.HTML(before + after), nil
}
