package drawing

import "kitgauge/checker/finding"

// table is a list with columns. No text in it is cut: what is wider than its
// column goes on in the next row.
type table struct {
	title  string
	heads  []string
	widths []float64 // of the columns but the last, which takes the rest [mm]
	rows   []row
	empty  string // what stands where there is no row
}

// row is one row of a table.
type row struct {
	cells []string
	sign  func(s *sheet, at spot) // in the first column, where there is one
	link  *finding.Finding
}

// The height of rows, and the room between columns [mm].
const (
	rowStep = small * 1.32
	rowGap  = 0.5
	colGap  = 1.6
)

// flow is where tables go: down one column of a sheet, then the next.
type flow struct {
	s       *sheet
	columns []box
	at      int
	y       float64
	more    func() (*sheet, []box) // another sheet; nil where there is none
	full    bool                   // something had no room
	began   func(t *table)         // is called where a table begins; nil for nothing
}

func newFlow(s *sheet, columns []box, more func() (*sheet, []box)) *flow {
	return &flow{s: s, columns: columns, y: columns[0].y0, more: more}
}

func (f *flow) column() box   { return f.columns[f.at] }
func (f *flow) left() float64 { return f.column().y1 - f.y }

// next goes on at the head of the next column.
func (f *flow) next() bool {
	switch {
	case f.at+1 < len(f.columns):
		f.at++
	case f.more != nil:
		f.s, f.columns = f.more()
		f.at = 0
	default:
		f.full = true
		return false
	}
	f.y = f.column().y0
	return true
}

// table writes a table.
func (f *flow) table(t *table) {
	if f.y > f.column().y0 {
		f.y += 2.5
	}
	first := rowStep
	if len(t.rows) > 0 {
		first = t.height(&t.rows[0], f.column().width())
	}
	if f.left() < t.headHeight()+first && !f.next() {
		return
	}
	f.head(t, t.title)
	if f.began != nil {
		f.began(t)
	}
	if len(t.rows) == 0 {
		f.s.text(spot{f.column().x0, f.y + small*above}, start, small, "", t.empty)
		f.y += rowStep
	}
	for i := range t.rows {
		r := &t.rows[i]
		if f.left() < t.height(r, f.column().width()) {
			if !f.next() {
				return
			}
			f.head(t, t.title+", continued")
		}
		f.row(t, r)
	}
}

func (t *table) headHeight() float64 {
	h := plain * 1.35
	if len(t.heads) > 0 {
		h += rowStep + 1
	}
	return h
}

func (f *flow) head(t *table, title string) {
	c := f.column()
	for _, line := range wrap(title, plain, c.width(), true, 9) {
		f.s.text(spot{c.x0, f.y + plain*above}, start, plain, "bold", line)
		f.y += plain * 1.35
	}
	if len(t.heads) == 0 {
		return
	}
	for i, x := range t.edges(c) {
		f.s.text(spot{x, f.y + small*above}, start, small, "faint", t.heads[i])
	}
	f.y += rowStep
	f.s.line(spot{c.x0, f.y + 0.2}, spot{c.x1, f.y + 0.2}, "rule")
	f.y++
}

// edges are the left edges of the columns of the table.
func (t *table) edges(c box) []float64 {
	x := c.x0
	out := []float64{x}
	for _, w := range t.widths {
		x += w
		out = append(out, x)
	}
	return out
}

// cells breaks the texts of a row into lines.
func (t *table) cells(r *row, whole float64) (lines [][]string, most int) {
	left := whole
	for i, text := range r.cells {
		w := left
		if i < len(t.widths) {
			w = t.widths[i]
			left -= w
			w -= colGap
		}
		rows := wrapWords(shown(text), small, w, i == 0)
		lines = append(lines, rows)
		most = max(most, len(rows))
	}
	return lines, most
}

func (t *table) height(r *row, whole float64) float64 {
	_, n := t.cells(r, whole)
	h := float64(max(n, 1))*rowStep + rowGap
	if r.sign != nil {
		h = max(h, signHeight)
	}
	return h
}

// signHeight is the room that the sign of a row takes [mm].
const signHeight = markSize + 0.6

func (f *flow) row(t *table, r *row) {
	c := f.column()
	lines, _ := t.cells(r, c.width())
	h := t.height(r, c.width())
	top := f.y
	if n := len(lines[len(lines)-1]); r.sign != nil && float64(n)*rowStep < h {
		top += (h - rowGap - float64(n)*rowStep) / 2
	}
	draw := func() {
		x := t.edges(c)
		if r.sign != nil {
			r.sign(f.s, spot{c.x0, f.y + h/2})
		}
		for i, cell := range lines {
			class := ""
			if i == 0 {
				class = "bold"
			}
			for j, line := range cell {
				f.s.text(spot{x[i], top + float64(j)*rowStep + small*above}, start, small, class, line)
			}
		}
	}
	if r.link != nil {
		f.s.linked(r.link, draw)
	} else {
		draw()
	}
	f.y += h
}

// fits reports whether tables have room in a box, and how much they take.
func fits(room box, tables ...*table) (taken float64, ok bool) {
	f := newFlow(&sheet{}, []box{room}, nil)
	for _, t := range tables {
		f.table(t)
	}
	return f.y - room.y0, !f.full
}
