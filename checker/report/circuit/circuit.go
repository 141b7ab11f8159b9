// Package circuit draws the two circuits of a kit as SVG: the wiring diagram of
// the feed, with symbols after IEC 60617, and the hydraulic schematic, with
// symbols after ISO 1219-1. Both show what the kit file and its catalogue state;
// what they do not state is written as such, and nothing is invented.
//
// A diagram is a list of sheets, each a file that needs nothing else. What one
// sheet does not hold goes on on the next: nothing is left out, and no letters
// are lower than ISO 3098 has them. The same kit gives the same bytes.
package circuit

import (
	"fmt"
	"strconv"
	"strings"

	"kitgauge/checker/report"
	"kitgauge/checker/report/drawing"
)

// Paper is the size of the sheets.
type Paper = drawing.Paper

// The papers that there are.
const (
	A3     = drawing.PaperA3
	A4     = drawing.PaperA4
	Letter = drawing.PaperLetter
)

// Papers lists them.
func Papers() []Paper { return drawing.Papers() }

// format is a sheet with its columns: A3 lies and has two, A4 and Letter stand.
type format struct {
	name          string
	width, height float64 // mm
	columns       int
}

func formatOf(p Paper) format {
	switch p {
	case A4:
		return format{"A4", 210, 297, 1}
	case Letter:
		return format{"Letter", 215.9, 279.4, 1}
	}
	return format{"A3", 420, 297, 2}
}

// Sheet is one sheet of a diagram, called wiring-1, hydraulic-2.
type Sheet = drawing.Sheet

// FindSheet finds a sheet by its number or name; "" is the first.
func FindSheet(list []Sheet, name string) (*Sheet, error) {
	var names []string
	for i := range list {
		s := &list[i]
		if name == "" || name == s.Name || name == strconv.Itoa(s.Number) {
			return s, nil
		}
		names = append(names, s.Name)
	}
	return nil, fmt.Errorf("there is no sheet %q: there is %s", report.Visible(name), strings.Join(names, ", "))
}

// Wiring draws the feed from the battery to the pump and back.
func Wiring(in drawing.Input, paper Paper) []Sheet {
	return draw(in, paper, kind{"wiring", "Wiring diagram"}, newWiring)
}

// Hydraulic draws the way of the grease, from the reservoir through the pump,
// its outlets and the lines to the points.
func Hydraulic(in drawing.Input, paper Paper) []Sheet {
	return draw(in, paper, kind{"hydraulic", "Hydraulic schematic"}, newHydraulic)
}

// kind is what a diagram is called.
type kind struct{ name, title string }

// diagram is what a kind of diagram lays out: its cells from top to bottom, and
// a sentence about it.
type diagram struct {
	cells []*cell
	about string
	// mine tells which findings belong on the diagram at all
	mine func(rule, pointer string) bool
}

// draw lays the cells out twice: once to learn what can be marked, and once with
// room for the marks.
func draw(in drawing.Input, paper Paper, of kind, build func(in drawing.Input, w float64, m *marks) *diagram) []Sheet {
	on := formatOf(paper)
	w := on.columnWidth()
	first := build(in, w, &marks{})
	m := &marks{}
	if !in.Plain {
		m = newMarks(in, first)
	}
	d := build(in, w, m)
	d.cells = append(d.cells, m.cells(in, w)...)
	return newFlow(on, in, d.cells).draw(in, of, d.about)
}
