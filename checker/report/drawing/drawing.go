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
	"fmt"
	"io"
	"strings"

	"kitgauge/checker/facts"
	"kitgauge/checker/finding"
	"kitgauge/checker/report"
)

// Input is what a drawing shows.
type Input struct {
	Kit      *facts.Kit
	Findings []finding.Finding // to be marked at their places
	Plain    bool              // findings are left out, and the sheet says so
	// Gate is the gate of the check: every sheet of a kit outside of it says so.
	// None, the zero value, says nothing.
	Gate finding.Severity
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
	// Enlarged is where the frame of a detail leads to in that page, by its letter,
	// as Link is.
	Enlarged func(letter string) string
}

func (in *Input) sheet(w, h float64) *sheet {
	return &sheet{id: in.id(), w: w, h: h, trimmed: in.Trimmed, link: in.Link, enlarged: in.Enlarged}
}

// verdict says that the kit is outside the gate, and where the findings are
// that its marks stand for; "" where it is not, or where findings are left out.
func (in *Input) verdict(where string) string {
	if in.Plain {
		return ""
	}
	n, unknown := 0, 0
	for i := range in.Findings {
		switch f := &in.Findings[i]; {
		case !f.AtOrAbove(in.Gate):
		case f.Status == finding.NotEvaluated:
			unknown++
		default:
			n++
		}
	}
	if n+unknown == 0 {
		return ""
	}
	var parts []string
	if n > 0 {
		parts = append(parts, report.Count(n, "finding", "findings"))
	}
	if unknown > 0 {
		parts = append(parts, fmt.Sprintf("%d not evaluated", unknown))
	}
	return fmt.Sprintf("Outside the gate (%s): %s: %s.", in.Gate, strings.Join(parts, ", "), where)
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
