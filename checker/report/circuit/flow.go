package circuit

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"kitgauge/checker/report/drawing"
)

// Measures of a sheet [mm].
const (
	padding   = 3.0 // within the frame
	gutter    = 6.0 // between columns
	headRoom  = 7.0 // the heading of a sheet, without what it says of the kit
	breakRoom = 9.0 // where conductors go on in the next column
)

// cell is a piece of a diagram over the whole width of a column. Cells stand one
// below the other; the conductors that cross an edge meet at it.
type cell struct {
	height float64
	rails  []rail  // that cross the lower edge
	with   bool    // does not stand last in a column
	again  []*cell // stand over it where it comes first in a column
	slots  []slot
	shows  string // the id of a bundle
	draw   func(p *pen)
}

// rail is a conductor that goes on downwards.
type rail struct {
	x    float64
	name string
}

// pen draws within a cell.
type pen struct {
	*drawing.Canvas
	x, y float64 // the upper left corner of the cell
}

func (p *pen) path(class string, closed bool, through ...[2]float64) {
	moved := make([][2]float64, len(through))
	for i, q := range through {
		moved[i] = [2]float64{p.x + q[0], p.y + q[1]}
	}
	p.Path(class, closed, moved...)
}

func (p *pen) line(class string, x0, y0, x1, y1 float64) {
	p.path(class, false, [2]float64{x0, y0}, [2]float64{x1, y1})
}

func (p *pen) wire(x0, y0, x1, y1 float64) { p.line("wire", x0, y0, x1, y1) }

func (p *pen) circle(class string, x, y, r float64) { p.Circle(class, p.x+x, p.y+y, r) }

func (p *pen) rect(class string, x0, y0, x1, y1, round float64) {
	p.Rect(class, p.x+x0, p.y+y0, p.x+x1, p.y+y1, round)
}

func (p *pen) text(class string, x, y float64, anchor, text string) {
	p.Text(class, p.x+x, p.y+y, anchor, letters, text)
}

// rows writes rows of text downwards; y is the upper edge of the first.
func (p *pen) rows(class string, x, y float64, rows []string) {
	for i, row := range rows {
		p.text(class, x, y+rise+float64(i)*step, "start", row)
	}
}

// height is the room that rows of text take.
func height(rows []string) float64 { return float64(len(rows)) * step }

// placed is a cell with its place.
type placed struct {
	*cell
	sheet, column int
	y             float64
}

// flow is the cells on their sheets.
type flow struct {
	format
	kit   []string // the kit, and what is found, in rows under the heading of each sheet
	cells []placed
}

func (p format) columnWidth() float64 {
	x0, _, x1, _ := drawing.Frame(p.width, p.height)
	return (x1 - x0 - 2*padding - gutter*float64(p.columns-1)) / float64(p.columns)
}

// column is the room of a column: the last of a sheet ends above the title block.
func (f *flow) column(i int) (x, y0, y1 float64) {
	p := f.format
	x0, top, _, bottom := drawing.Frame(p.width, p.height)
	y1 = bottom - padding
	if i == p.columns-1 {
		y1 -= drawing.BlockHeight
	}
	return x0 + padding + float64(i)*(p.columnWidth()+gutter), top + padding + headRoom + height(f.kit), y1
}

// newFlow puts the cells into columns, and the columns onto sheets.
func newFlow(of format, in drawing.Input, found string, cells []*cell) *flow {
	h := &in.Kit.Header
	name := fmt.Sprintf("%s, revision %s: %s", clean(h.Number.Or("Kit without a number")), clean(h.Revision.Or(notKnown)), clean(h.Title.Or("title "+notKnown)))
	f := &flow{format: of, kit: append(wrap(name, of.columnWidth(), false), wrap(found, of.columnWidth(), false)...)}
	sheet, column := 0, 0
	_, y, bottom := f.column(0)
	start := true
	for i := 0; i < len(cells); i++ {
		c := cells[i]
		if !start && y+f.needed(cells, i) > bottom {
			if column++; column == f.columns {
				sheet, column = sheet+1, 0
			}
			_, y, bottom = f.column(column)
			start = true
			if len(cells[i-1].rails) > 0 {
				y += breakRoom
			}
			for _, over := range c.again {
				f.cells = append(f.cells, placed{over, sheet, column, y})
				y += over.height
			}
		}
		f.cells = append(f.cells, placed{c, sheet, column, y})
		y += c.height
		start = false
	}
	return f
}

// needed is the height of a cell with those that it must not be parted from, and
// of what shows where its conductors go on.
func (f *flow) needed(cells []*cell, i int) float64 {
	h := 0.0
	for ; i < len(cells); i++ {
		h += cells[i].height
		if !cells[i].with {
			break
		}
	}
	if i < len(cells) && len(cells[i].rails) > 0 {
		h += breakRoom
	}
	return h
}

// draw draws the sheets.
func (f *flow) draw(in drawing.Input, of kind, about string) []drawing.Sheet {
	total := f.cells[len(f.cells)-1].sheet + 1
	h := &in.Kit.Header
	var sheets []drawing.Sheet
	for n := range total {
		own := in
		if n > 0 {
			own.ID = fmt.Sprintf("%s-%d", cmp.Or(in.ID, "drawing"), n+1)
		}
		c := drawing.NewCanvas(own, f.width, f.height)
		s := drawing.Sheet{Number: n + 1, Of: total, Name: fmt.Sprintf("%s-%d", of.name, n+1), Title: of.title, Width: f.width, Height: f.height}
		if total > 1 {
			s.Title += fmt.Sprintf(", sheet %d of %d", n+1, total)
		}
		f.heading(c, s.Title)
		for i := range f.cells {
			if f.cells[i].sheet != n {
				continue
			}
			f.cell(c, i)
			if b := f.cells[i].shows; b != "" && !slices.Contains(s.Shows, b) {
				s.Shows = append(s.Shows, b)
			}
		}
		c.TitleBlock(h, drawing.Block{Kind: of.title, Scale: "none", Size: f.name, Sheet: fmt.Sprintf("%d of %d", n+1, total)})
		s.SVG = c.Bytes(fmt.Sprintf("%s of kit %s, revision %s", s.Title, h.Number.Or("without a number"), h.Revision.Or(notKnown)), about)
		sheets = append(sheets, s)
	}
	return sheets
}

func (f *flow) heading(c *drawing.Canvas, text string) {
	x, y, _ := f.column(0)
	top := y - headRoom - height(f.kit)
	c.Text("bold", x, top+0.94*title+0.5, "start", title, text)
	(&pen{c, x, top}).rows("", 0, 0.94*title+2, f.kit)
}

// cell draws a cell, and what shows where its conductors go on or come from.
func (f *flow) cell(c *drawing.Canvas, i int) {
	at := f.cells[i]
	x, _, _ := f.column(at.column)
	p := &pen{c, x, at.y}
	at.draw(p)
	if next := i + 1; next < len(f.cells) && len(at.rails) > 0 && f.parted(i, next) {
		f.goesOn(&pen{c, x, at.y + at.height}, at.rails, f.cells[next])
	}
	if i > 0 && f.parted(i-1, i) && len(f.cells[i-1].rails) > 0 {
		f.comesFrom(&pen{c, x, at.y - breakRoom}, f.cells[i-1].rails, f.cells[i-1])
	}
}

func (f *flow) parted(i, next int) bool {
	return f.cells[i].sheet != f.cells[next].sheet || f.cells[i].column != f.cells[next].column
}

// place says where a cell stands, for who looks for it.
func (f *flow) place(of placed) string {
	text := fmt.Sprintf("sheet %d", of.sheet+1)
	if f.columns > 1 {
		text += fmt.Sprintf(", column %d", of.column+1)
	}
	return text
}

// goesOn ends conductors at the foot of a column.
func (f *flow) goesOn(p *pen, rails []rail, next placed) {
	for _, r := range rails {
		p.Symbol("continuation", r.name+" goes on", func() {
			p.wire(r.x, 0, r.x, 5)
			p.path("solid", true, [2]float64{r.x, 6.4}, [2]float64{r.x - 1, 4}, [2]float64{r.x + 1, 4})
		})
	}
	last := rails[len(rails)-1]
	p.text("", last.x+3, 5.2, "start", names(rails)+": to "+f.place(next))
}

// comesFrom begins them at the head of the next.
func (f *flow) comesFrom(p *pen, rails []rail, last placed) {
	for _, r := range rails {
		p.Symbol("continuation", r.name+" goes on", func() {
			p.path("solid", true, [2]float64{r.x, 4.4}, [2]float64{r.x - 1, 2}, [2]float64{r.x + 1, 2})
			p.wire(r.x, 3, r.x, breakRoom)
		})
	}
	end := rails[len(rails)-1]
	p.text("", end.x+3, 4.2, "start", names(rails)+": from "+f.place(last))
}

func names(rails []rail) string {
	var out []string
	for _, r := range rails {
		out = append(out, r.name)
	}
	return strings.Join(out, ", ")
}
