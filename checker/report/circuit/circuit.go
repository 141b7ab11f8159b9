// Package circuit draws the two circuits of a kit as SVG: the wiring diagram of
// the feed, with symbols after IEC 60617, and the hydraulic schematic, with
// symbols after ISO 1219-1. Both show what the kit file and its catalogue state;
// what they do not state is written as such, and nothing is invented.
//
// A diagram is a list of sheets, each a file that needs nothing else. What one
// sheet does not hold goes on on the next: nothing is left out, and no letters
// are lower than ISO 3098 has them. The same kit gives the same bytes.
package circuit

import "kitgauge/checker/report/drawing"

// format is a sheet with its columns: A3 lies and has two, A4 and Letter stand.
type format struct {
	name          string
	width, height float64 // mm
	columns       int
}

func formatOf(p drawing.Paper) format {
	switch p {
	case drawing.PaperA4:
		return format{"A4", 210, 297, 1}
	case drawing.PaperLetter:
		return format{"Letter", 215.9, 279.4, 1}
	}
	return format{"A3", 420, 297, 2}
}

// Wiring draws the feed from the battery to the pump and back.
func Wiring(in drawing.Input) []drawing.Sheet {
	return draw(in, kind{"wiring", "Wiring diagram"}, newWiring)
}

// Hydraulic draws the way of the grease, from the reservoir through the pump,
// its outlets and the lines to the points.
func Hydraulic(in drawing.Input) []drawing.Sheet {
	return draw(in, kind{"hydraulic", "Hydraulic schematic"}, newHydraulic)
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
func draw(in drawing.Input, of kind, build func(in drawing.Input, w float64, m *marks) *diagram) []drawing.Sheet {
	on := formatOf(in.Paper)
	w := on.columnWidth()
	first := build(in, w, &marks{})
	m := &marks{}
	if !in.Plain {
		m = newMarks(in, first)
	}
	d := build(in, w, m)
	d.cells = append(d.cells, m.cells(w)...)
	return newFlow(on, in, m.told(in), d.cells).draw(in, of, d.about)
}
