package circuit

import (
	"fmt"
	"slices"
	"strings"

	"kitgauge/checker/finding"
	"kitgauge/checker/report"
	"kitgauge/checker/report/drawing"
)

// The sign of a finding, and the room of a mark: the sign with its number.
const (
	signSize  = 6.0
	markWidth = 13.0
	markRoom  = 7.0
)

// slot is a place of a diagram where findings can be marked: those that point
// into a part of the kit file (JSON Pointers), and those that name a thing.
type slot struct {
	pointers []string
	places   []string
}

// key tells slots apart.
func (s *slot) key() string { return strings.Join(append(s.pointers, s.places...), "\n") }

// mark is a number, and the findings at one slot, the gravest first.
type mark struct {
	number   int
	findings []finding.Finding
}

// marks are the findings by their slots.
type marks struct {
	list      []*mark
	bySlot    map[string]*mark
	elsewhere int // findings that are about other things
}

// newMarks finds the slot of every finding that belongs on the diagram.
func newMarks(in drawing.Input, d *diagram) *marks {
	m := &marks{bySlot: map[string]*mark{}}
	pointers, places := map[string]string{}, map[string]string{}
	for _, c := range d.cells {
		for _, s := range c.slots {
			for _, p := range s.pointers {
				if _, taken := pointers[p]; !taken {
					pointers[p] = s.key()
				}
			}
			for _, p := range s.places {
				if _, taken := places[p]; !taken && p != "" {
					places[p] = s.key()
				}
			}
		}
	}
	file := ""
	if in.Kit.Node != nil {
		file = in.Kit.Node.Pos().File
	}
	for _, f := range drawing.Ordered(in.Findings) {
		key, found := "", false
		if d.mine(f.Rule, f.Pointer) {
			key, found = locate(&f, file, pointers, places)
		}
		if !found {
			m.elsewhere++
			continue
		}
		at := m.bySlot[key]
		if at == nil {
			at = &mark{number: len(m.list) + 1}
			m.bySlot[key] = at
			m.list = append(m.list, at)
		}
		at.findings = append(at.findings, f)
	}
	return m
}

// locate finds the slot of a finding: that of the nearest part of the kit file
// to which it points, else that of the thing that it names. The pump and the
// feed as a whole come last: the thing says more.
func locate(f *finding.Finding, file string, pointers, places map[string]string) (string, bool) {
	whole, found := "", false
	pointer := f.Pointer
	if f.Pos.File != file {
		pointer = ""
	}
	for ; pointer != ""; pointer = pointer[:max(strings.LastIndexByte(pointer, '/'), 0)] {
		key, known := pointers[pointer]
		if !known {
			continue
		}
		if strings.Count(pointer, "/") > 1 {
			return key, true
		}
		whole, found = key, true
		break
	}
	if key, known := places[f.Place]; known {
		return key, true
	}
	return whole, found
}

// at is the mark of a slot; nil where nothing is found.
func (m *marks) at(s slot) *mark { return m.bySlot[s.key()] }

// any reports whether something is found at one of the slots.
func (m *marks) any(slots ...slot) bool {
	return slices.ContainsFunc(slots, func(s slot) bool { return m.at(s) != nil })
}

// draw draws the mark of a slot; x and y are the middle of its sign.
func (m *marks) draw(p *pen, s slot, x, y float64) {
	at := m.at(s)
	if at == nil {
		return
	}
	f := &at.findings[0]
	number := fmt.Sprint(at.number)
	if f.Status == finding.NotEvaluated {
		number += "?"
	}
	p.Sign(f, p.x+x, p.y+y, signSize, letters, number)
}

// told says in a row what is found, for the heading of every sheet.
func (m *marks) told(in drawing.Input) string {
	if in.Plain {
		return "Findings: not shown on this diagram."
	}
	text := "Findings: none on this diagram"
	if n := len(m.list); n > 0 {
		text = fmt.Sprintf("Findings: at %s, listed at the end", report.Count(n, "place", "places"))
	}
	if m.elsewhere > 0 {
		return text + fmt.Sprintf("; %d about other things: see the schematic, or kitgauge check.", m.elsewhere)
	}
	return text + "."
}

// cells list the findings that are marked, each in full.
func (m *marks) cells(w float64) []*cell {
	if len(m.list) == 0 {
		return nil
	}
	head := wrap("C critical, M major, m minor; ? not evaluated; broken edge: conceded or known. The number is that of the mark.", w, false)
	cells := []*cell{{height: height(head) + step + 5, with: true, draw: func(p *pen) {
		p.line("rule", 0, 1.5, w, 1.5)
		p.rows("bold", 0, 3, []string{"Findings"})
		p.rows("", 0, 3+step, head)
	}}}
	for _, k := range m.list {
		for i := range k.findings {
			cells = append(cells, k.cell(&k.findings[i], w))
		}
	}
	return cells
}

func (k *mark) cell(f *finding.Finding, w float64) *cell {
	text := wrap(cleanTo(f.Place+": "+f.Message+" ["+f.Rule+"]", 1200), w-markWidth-3, false)
	h := max(height(text), markRoom) + 0.8
	number := fmt.Sprint(k.number)
	if f.Status == finding.NotEvaluated {
		number += "?"
	}
	return &cell{height: h, draw: func(p *pen) {
		p.Sign(f, p.x+signSize/2+0.3, p.y+h/2, signSize, letters, number)
		p.rows("", markWidth+2, (h-height(text))/2, text)
	}}
}
