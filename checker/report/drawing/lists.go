package drawing

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

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
var listSizes = []float64{plain, 2.5, small, 2.0, tiny}

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
	write(newList(s, room, tiny))
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

// keyed writes a row with a key in front.
func (l *list) keyed(key string, indent float64, text string) {
	l.behind("bold", fit(shown(key), l.size, indent-0.5, true), indent, text)
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
	if l.cut && l.size == tiny || l.left() < rows+1 {
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

// absent lists what could not be drawn.
func (l *list) absent(names []string) {
	if len(names) == 0 {
		return
	}
	l.title("Not drawn: position not known or too far away")
	names = slices.Compact(slices.Clone(names))
	for i, name := range names {
		if i == 5 && len(names) > 6 {
			l.row(0, fmt.Sprintf("and %d more", len(names)-i))
			break
		}
		l.row(0, name)
	}
	l.gap()
}

// references lists the points by their references.
func (l *list) references(s *scene) {
	l.title("References: line and point")
	if len(s.points) > l.left() {
		l.cut = true
		sheet := s.kit.Kit.Documents.CallOutSheet.Number.Or("")
		for _, line := range wrap("no room for them here, see the call-out sheet "+sheet, l.size, l.room.width(), false, 2) {
			l.row(0, line)
		}
		return
	}
	indent := 0.0
	for _, p := range s.points {
		indent = max(indent, min(width(shown(p.ref), l.size, true), 14)+2)
	}
	for _, p := range byReference(s.points) {
		l.keyed(p.ref, indent, p.name)
	}
}

// byReference orders points by their references, as numbers where they are.
func byReference(points []pointMark) []pointMark {
	points = slices.Clone(points)
	number := func(p pointMark) int {
		first, _, _ := strings.Cut(p.ref, "/")
		n, err := strconv.Atoi(first)
		if err != nil || !p.lined {
			return 1 << 30
		}
		return n
	}
	slices.SortStableFunc(points, func(a, b pointMark) int { return cmp.Compare(number(a), number(b)) })
	return points
}

// moving lists joints and zones in two columns.
func (l *list) moving(sc *scene) {
	l.title("Joints and zones")
	type row struct{ key, text string }
	var rows []row
	for i := range sc.joints {
		j := &sc.joints[i]
		rows = append(rows, row{j.tag, j.sweep(sc.kit.Family()) + ": " + j.joint.Name.Or(j.joint.ID.Or("without a name"))})
	}
	for i := range sc.zones {
		z := &sc.zones[i]
		rows = append(rows, row{z.tag, z.zone.Kind.Or("zone") + ": " + z.zone.Name.Or(z.zone.ID.Or("without a name"))})
	}
	if len(rows) == 0 {
		l.row(0, "none")
		return
	}
	half := (l.room.width() - 3) / 2
	first, second := *l, *l
	first.room.x1 = l.room.x0 + half
	second.room.x0 = l.room.x1 - half
	upper := min((len(rows)+1)/2, l.left())
	indent := width("J00", l.size, true) + 1
	for i, r := range rows {
		c := &first
		if i >= upper {
			c = &second
		}
		if c.left() <= 1 && c == &second && i < len(rows)-1 {
			c.row(0, fmt.Sprintf("and %d more", len(rows)-i))
			c.cut = true
			break
		}
		c.keyed(r.key, indent, r.text)
	}
	l.cut = l.cut || first.cut || second.cut
}
