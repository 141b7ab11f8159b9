// Package drawing draws kits as SVG: the schematic, with top view and side
// view to scale from the kit's own coordinates, and single free spans at rest,
// at their shortest and at their longest. What a quality reviewer wants to see
// at a glance, and a fitter on the wall of the workshop, no list of numbers
// shows: which line goes where, what moves, what is hot, and where something
// was found.
//
// A drawing is one file that needs nothing else: no script, no font, no
// picture. It follows the light or dark setting of whoever looks at it and is
// printed black on white. Nothing in it is told apart by colour alone, no text
// lies on another, and the same kit gives the same bytes.
package drawing

import (
	"cmp"
	"io"

	"kitgauge/checker/facts"
	"kitgauge/checker/finding"
)

// Input is what a drawing shows.
type Input struct {
	Kit      *facts.Kit
	Findings []finding.Finding // to be marked at their places
	Plain    bool              // findings are left out, and the sheet says so
	// ID begins the ids of the elements, so that several drawings can stand in
	// one page: letters, digits and hyphens. Empty is "drawing".
	ID    string
	Paper Paper // of the sheets; "" is A3
	// Trimmed leaves out the margins of the sheet round its frame.
	Trimmed bool
	bare    bool // what stands round the two views is left out
	// Link is where the mark of a finding leads to in the page in which the
	// drawing stands, "" for nowhere. Nil leads nowhere. The links are not
	// stops of the keyboard: the page lists them as well.
	Link func(*finding.Finding) string
}

func (in *Input) sheet(w, h float64) *sheet {
	return &sheet{id: in.id(), w: w, h: h, trimmed: in.Trimmed, link: in.Link}
}

func (in *Input) id() string {
	return cmp.Or(in.ID, "drawing")
}

// Mark is a number on the schematic, and the findings that it stands for, the
// gravest first.
type Mark struct {
	Number   int
	Findings []finding.Finding
}

// Marks lists the marks that Schematic draws.
func Marks(in Input) []Mark {
	var out []Mark
	if in.Plain {
		return nil
	}
	for _, m := range newMarks(newScene(in.Kit), in.Findings).list {
		out = append(out, Mark{m.number, m.findings})
	}
	return out
}

// Schematic draws the overview of the kit, the first of its sheets.
func Schematic(w io.Writer, in Input) error {
	_, err := w.Write(Sheets(in)[0].SVG)
	return err
}
