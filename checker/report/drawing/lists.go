package drawing

import (
	"fmt"
	"math"

	"kitgauge/checker/finding"
)

// list writes rows of text downwards in a column of the sheet.
type list struct {
	s    *sheet
	room box
	size float64 // of the letters
	y    float64 // the base line of the next row
	cut  bool    // something did not have room
}

// listSizes are the heights of letters that a list may have, the largest
// first.
var listSizes = []float64{plain, small}

// fill writes a list in the largest letters that leave nothing out; else in
// the least ones.
func fill(s *sheet, room box, write func(l *list)) {
	for _, size := range listSizes {
		try := newList(&sheet{id: s.id}, room, size)
		if write(try); !try.cut {
			write(newList(s, room, size))
			return
		}
	}
	write(newList(s, room, small))
}

func newList(s *sheet, room box, size float64) *list {
	return &list{s: s, room: room, size: size, y: room.y0 + (size+0.3)*above}
}

// step is the height of a row.
func (l *list) step() float64 { return l.size * 1.42 }

// left is how many rows still have room.
func (l *list) left() int { return max(int(math.Floor((l.room.y1-l.y)/l.step()+1e-6))+1, 0) }

// gap leaves some room.
func (l *list) gap() { l.y += l.step() / 2 }

func (l *list) title(text string) {
	if l.left() < 2 {
		l.cut, l.y = true, l.room.y1+l.step()
		return
	}
	l.s.text(spot{l.room.x0, l.y}, start, l.size+0.3, "bold", fit(text, l.size+0.3, l.room.width(), true))
	l.y += l.step() * 1.2
}

func (l *list) row(indent float64, text string) {
	if l.left() < 1 {
		l.cut = true
		return
	}
	text = shown(text)
	kept := fit(text, l.size, l.room.width()-indent, false)
	l.cut = l.cut || kept != text
	l.s.text(spot{l.room.x0 + indent, l.y}, start, l.size, "", kept)
	l.y += l.step()
}

// behind writes a row behind a text of a class.
func (l *list) behind(class, key string, indent float64, text string) {
	if l.left() > 0 {
		l.s.text(spot{l.room.x0, l.y}, start, l.size, class, key)
	}
	l.row(indent, text)
}

// findings lists what is marked on the drawing, and what has no place on it.
func (l *list) findings(m *marks, isPlain bool) {
	l.title("Findings")
	total := len(m.astray)
	for _, k := range m.list {
		total += len(k.findings)
	}
	switch {
	case isPlain:
		l.row(0, "not shown on this drawing")
		return
	case total == 0:
		l.row(0, "none")
		return
	}
	key := "C critical, M major, m minor; ? not evaluated; broken edge: conceded or known."
	if len(m.list) > 0 {
		key += " The number is that of the mark."
	}
	for _, line := range wrap(key, l.size, l.room.width(), false, 3) {
		l.row(0, line)
	}
	l.gap()
	written := 0
	for _, k := range m.list {
		for i := range k.findings {
			if l.finding(itoa(k.number), true, &k.findings[i]) {
				written++
			}
		}
	}
	for i := range m.astray {
		if l.finding("", len(m.list) > 0, &m.astray[i]) {
			written++
		}
	}
	if written < total {
		l.row(0, fmt.Sprintf("and %d more, see kitgauge check", total-written))
	}
}

// finding writes one finding, where there is room for it and for a row that
// says what was left out.
func (l *list) finding(number string, numbered bool, f *finding.Finding) bool {
	indent := markSize + 1.2
	if numbered {
		indent += width("00", l.size, true)
	}
	text := shown(f.Place) + ": " + shown(f.Message) + " [" + shown(f.Rule) + "]"
	lines := wrap(text, l.size, l.room.width()-indent, false, 4)
	rows := max(len(lines), 2)
	if l.cut && l.size == small || l.left() < rows+1 {
		l.cut = true
		return false
	}
	mid := l.y + (float64(rows)-1)/2*l.step() - l.size*0.35
	if rows > 2 {
		mid = l.y + l.step()/2 - l.size*0.35
	}
	l.s.linked(f, func() {
		l.s.mark(spot{l.room.x0 + markSize/2, mid}, f)
		l.s.text(spot{l.room.x0 + markSize + 0.5, mid + l.size*0.35}, start, l.size, "bold", number)
	})
	for i, line := range lines {
		l.s.text(spot{l.room.x0 + indent, l.y + float64(i)*l.step()}, start, l.size, "", line)
	}
	l.y += float64(rows)*l.step() + 0.25*l.step()
	return true
}
