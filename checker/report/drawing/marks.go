package drawing

import (
	"cmp"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/facts"
	"kitgauge/checker/finding"
	"kitgauge/checker/source"
)

// marks are the findings gathered by the place where they are marked.
type marks struct {
	list   []mark
	astray []finding.Finding // that have no place on the drawing
}

// mark is what is found at one place. Its number leads to the list.
type mark struct {
	number   int
	at       r3.Vec
	findings []finding.Finding // the gravest first
}

// spotted is a place that findings can be marked at.
type spotted struct {
	key string
	at  r3.Vec
}

// newMarks finds the place of every finding: that of the member of the kit
// file that it points at, or of the thing that it names.
func newMarks(s *scene, list []finding.Finding) *marks {
	m := &marks{}
	known := s.spots()
	things := s.things()
	byKey := map[string]int{}
	for _, f := range ordered(list) {
		where, found := s.locate(&f, known, things)
		if !found {
			m.astray = append(m.astray, f)
			continue
		}
		i, seen := byKey[where.key]
		if !seen {
			i = len(m.list)
			byKey[where.key] = i
			m.list = append(m.list, mark{number: i + 1, at: where.at})
		}
		m.list[i].findings = append(m.list[i].findings, f)
	}
	return m
}

// ordered lists the findings that count first, the gravest first, and last
// those that are settled.
func ordered(list []finding.Finding) []finding.Finding {
	list = slices.Clone(list)
	finding.Sort(list)
	rank := func(f finding.Finding) int {
		if f.Status.Settled() {
			return 10 - int(f.Severity)
		}
		return -int(f.Severity)
	}
	slices.SortStableFunc(list, func(a, b finding.Finding) int { return cmp.Compare(rank(a), rank(b)) })
	return list
}

// locate finds where a finding belongs: at what its pointer, or the nearest
// part of it that is a place, leads to.
func (s *scene) locate(f *finding.Finding, known map[string]spotted, things map[string]*source.Node) (spotted, bool) {
	pointer := f.Pointer
	if f.Pos.File != s.file() || pointer == "" {
		n := things[f.Place]
		if n == nil || n.Pos().File != s.file() {
			return spotted{}, false
		}
		pointer = n.Pointer()
	}
	for pointer != "" {
		if at, found := known[pointer]; found {
			return at, true
		}
		pointer = pointer[:max(strings.LastIndexByte(pointer, '/'), 0)]
	}
	return spotted{}, false
}

func (s *scene) file() string {
	if s.kit.Node == nil {
		return ""
	}
	return s.kit.Node.Pos().File
}

// things leads from the names that findings give to places in the file.
func (s *scene) things() map[string]*source.Node {
	out := map[string]*source.Node{}
	for _, k := range facts.Kinds() {
		for _, subject := range s.kit.Subjects(k.Name) {
			if _, twice := out[subject.Place()]; !twice && subject.Source() != nil {
				out[subject.Place()] = subject.Source()
			}
		}
	}
	return out
}

// spots lists the places that findings can be marked at, by the JSON Pointer
// of what stands there.
func (s *scene) spots() map[string]spotted {
	out := map[string]spotted{}
	add := func(n *source.Node, at r3.Vec) {
		if n != nil && n.Pos().File == s.file() {
			out[n.Pointer()] = spotted{n.Pointer(), at}
		}
	}
	for _, p := range s.kit.Points {
		if at, ok := s.place(p.Position); ok {
			add(p.Node, at)
		}
	}
	for i := range s.routes {
		s.routeSpots(&s.routes[i], add)
	}
	for i := range s.joints {
		if s.joints[i].drawn {
			add(s.joints[i].joint.Node, s.joints[i].at)
		}
	}
	for i := range s.zones {
		z := s.zones[i].zone
		add(z.Node, r3.Scale(0.5, r3.Add(z.From.Vec(), z.To.Vec())))
	}
	if s.pump != nil {
		at := spotted{"/pump", *s.pump}
		for _, pointer := range []string{"/pump", "/feed"} {
			out[pointer] = at
		}
		for _, l := range s.kit.Lines {
			if l.Node == nil {
				continue
			}
			for _, member := range []string{"outlet", "pump_fitting", "pump_marker"} {
				out[l.Node.Pointer()+"/"+member] = at
			}
		}
	}
	return out
}

// routeSpots adds the stations of a route, the middle of a bundle, and the end
// of a line: its point, or what is known last of its way.
func (s *scene) routeSpots(r *facts.Route, add func(*source.Node, r3.Vec)) {
	var placed []r3.Vec
	for _, stop := range r.Stops {
		at := stop.Position.Vec()
		if !stop.Position.Known() || !s.region.has(at) {
			continue
		}
		placed = append(placed, at)
		if stop.Station != nil {
			add(stop.Station.Node, at)
		}
	}
	switch {
	case len(placed) == 0:
	case r.Bundle != nil:
		add(r.Bundle.Node, placed[len(placed)/2])
	case r.Line != nil:
		add(r.Line.Node, placed[len(placed)-1])
	}
}

// The size of a mark [mm].
const (
	markSize = 5.6
	markText = small
)

// mark is the label of a mark, near what it is about.
func (p *painter) mark(m *mark) *label {
	number := itoa(m.number)
	l := &label{at: p.v.at(m.at), w: markSize + width(number, small, true) + 1, h: markSize, from: 2.2, to: 120, apart: 0.5, leader: "mark-leader"}
	l.draw = func(s *sheet, b box) {
		s.linked(&m.findings[0], func() {
			s.mark(spot{b.x0 + markSize/2, b.centre().y}, &m.findings[0])
			s.text(spot{b.x0 + markSize + 0.5, b.centre().y + small*0.35}, start, small, "bold halo", number)
		})
	}
	return l
}

// Letter is what stands in the sign of a finding.
func Letter(f *finding.Finding) string {
	letter := map[finding.Severity]string{finding.Critical: "C", finding.Major: "M", finding.Minor: "m", finding.None: "N"}[f.Severity]
	if f.Status == finding.NotEvaluated {
		letter += "?"
	}
	return letter
}

// mark draws the sign of a finding: its severity by the shape and the letter,
// a question mark where it could not be evaluated, and a broken edge where it
// is conceded or known.
func (s *sheet) mark(at spot, f *finding.Finding) {
	s.sign(at, f, Letter(f), markSize, markText)
}

// sign draws the sign in a size, with letters of a height.
func (s *sheet) sign(at spot, f *finding.Finding, letter string, size, height float64) {
	r, low := size/2, 0.0
	class := "mark-" + f.Severity.String()
	if f.Status.Settled() {
		class += " settled"
	}
	switch f.Severity {
	case finding.Critical:
		s.path([]spot{at.plus(0, -r), at.plus(r, 0), at.plus(0, r), at.plus(-r, 0)}, true, class)
	case finding.Major:
		s.path([]spot{at.plus(0, -r), at.plus(r*1.08, r*0.8), at.plus(-r*1.08, r*0.8)}, true, class)
		low = 0.26 * r
	case finding.Minor:
		s.circle(at, r*0.84, class)
	default:
		s.rect(boxAt(at, r*1.6, r*1.6), 0, class)
	}
	s.text(spot{at.x, at.y + height*0.35 + low}, middle, height, "bold", letter)
}
