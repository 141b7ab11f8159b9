// Package preview holds the page that stands beside an editor: the picture of a
// kit, what is found in it and its margins, and the kit with its joints
// wherever the reader puts them. It knows no server: it turns a checked kit
// into the texts that the page asks for.
//
// The page is a fixed HTML file with a style sheet and a script of its own;
// everything of a kit reaches it as data, in XML, and is put in as text or as a
// drawing that package drawing has escaped. No text of a kit becomes markup.
package preview

import (
	"bytes"
	_ "embed"
	"encoding/json"
	"encoding/xml"
	"fmt"
	"io"

	"kitgauge/checker/facts"
	"kitgauge/checker/report"
	"kitgauge/checker/report/drawing"
	"kitgauge/checker/visible"
)

//go:embed page.html
var page []byte

//go:embed page.css
var style []byte

//go:embed page.js
var script []byte

//go:embed icon.svg
var icon []byte

// Page is the HTML file, Script its script, Icon its icon, Style its style sheet
// with that of the drawings.
func Page() []byte   { return page }
func Script() []byte { return script }
func Icon() []byte   { return icon }
func Style() []byte  { return append(bytes.Clone(style), drawing.Style()...) }

// Policy is the Content-Security-Policy of the page: its own style sheet,
// script and data, and nothing else; and no text becomes markup by script.
const Policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'; require-trusted-types-for 'script'; trusted-types 'none'"

// Input is one check of a kit, with its margins and figures.
type Input struct {
	Run   report.Run // of one kit
	Facts *facts.Kit // nil where it could not be read
	Saved string     // when the kit was saved, as a person reads it
}

// State is what the page shows of a check. It is for one goroutine at a time.
type State struct {
	Number  int    // of the check, from 1
	Trouble string // why the picture is an older one, or there is none; "" where it is of this check
	report  *told
	picture *Picture
	saved   string // when the kit was saved of which the picture is
}

// New makes the state of a check. Where the kit cannot be drawn the picture of
// the state before stays, which may be nil.
func New(number int, in Input, before *State) *State {
	s := &State{Number: number, report: newTold(&in)}
	if before != nil {
		s.picture, s.saved = before.picture, before.saved
	}
	if !readable(&in) {
		if before != nil && before.report != nil && s.report.Number == "" {
			s.report.Number, s.report.Title = before.report.Number, before.report.Title
		}
		s.Trouble = "The file cannot be read: mend what is found first"
		return s
	}
	picture, err := newPicture(&in)
	if err != nil {
		s.Trouble = err.Error()
		return s
	}
	s.picture, s.saved = picture, in.Saved
	return s
}

// Failed is the state of a check that came to nothing: what the last one found
// stays, told as of then, without a verdict, and why there is none is said.
func Failed(number int, why string, before *State) *State {
	s := &State{Number: number, Trouble: why}
	if before != nil {
		s.report, s.picture, s.saved = before.report.stale(), before.picture, before.saved
	}
	return s
}

// readable reports whether a kit was read whole, so that its picture is one of
// what the file says.
func readable(in *Input) bool {
	for _, f := range in.Run.Kits[0].Findings {
		if f.Rule == "file/syntax" {
			return false
		}
	}
	return in.Facts != nil
}

// stated is the state as the page reads it.
type stated struct {
	Number  int         `json:"number"`
	Trouble string      `json:"trouble"`
	Old     bool        `json:"old"`   // the picture is of an older check
	Saved   string      `json:"saved"` // when the kit was saved of which the picture is
	Report  *told       `json:"report"`
	Joints  []joint     `json:"joints"`
	Spans   []spanEnds  `json:"spans"`
	Things  []thingName `json:"things"`
	Details []detail    `json:"details"`
}

// XML is the state as the page reads it: what is found, and the picture.
func (s *State) XML() ([]byte, error) {
	out := stated{Number: s.Number, Trouble: s.Trouble, Old: s.Trouble != "", Saved: s.saved, Report: s.report}
	svg := ""
	if p := s.picture; p != nil {
		out.Joints, out.Spans, out.Things, out.Details, svg = p.joints, p.spans, p.things, p.details, p.svg
	}
	return answer(&out, svg)
}

// answer joins data and a drawing in one XML file.
func answer(data any, svg string) ([]byte, error) {
	visible.All(data)
	text, err := json.Marshal(data)
	if err != nil {
		return nil, fmt.Errorf("writing what the page shows: %w", err)
	}
	var b bytes.Buffer
	b.WriteString(xml.Header + "<answer><data>")
	_ = xml.EscapeText(&b, text) // a Buffer takes everything
	b.WriteString("</data>\n" + svg + "</answer>\n")
	return b.Bytes(), nil
}

// Pose is the answer to joints that stand at values, in the order of the
// state's: the drawing, and the figures there. The error says what is wrong
// with them.
func (s *State) Pose(q []float64) ([]byte, error) {
	if s.picture == nil {
		return nil, fmt.Errorf("there is no picture")
	}
	return s.picture.pose(q)
}

// Figures is what was computed of the things at a place of the file, and what it
// comes to with the joints at values, as for Pose; nil is all at rest.
func (s *State) Figures(pointer string, q []float64) ([]byte, error) {
	if s.picture == nil {
		return nil, fmt.Errorf("there is no picture")
	}
	return s.picture.figuresAt(pointer, q)
}

// Detail is the drawing of one of the state's details, by its letter.
func (s *State) Detail(letter string) ([]byte, error) {
	if s.picture == nil {
		return nil, fmt.Errorf("there is no picture")
	}
	return s.picture.detail(letter)
}

// svg takes a drawing for the page.
func svg(write func(io.Writer) error) (string, error) { return drawing.InPage(write) }
