package booklet

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"kitgauge/checker/facts"
	"kitgauge/checker/quantities/procedure"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// step is a step of the installation with all that it takes.
type step struct {
	Number  int64
	Heading string
	Text    string // the kit's own
	Dangers []string
	Facts   []named // what it needs to know
	Torque  bool    // room for the torque that was used
	SameAs  int64   // the step whose lines are the same; 0 where it has its own
	Lay     *layWork
	Ticks   []tick       // a box for each point
	Connect []connection // a row for each line
	Spans   []spanRow
}

// tick is a point at which a step does something.
type tick struct{ Line, Point, Name string }

// connection is a line's end at its point.
type connection struct{ Line, Point, Name, Side, Thread, Fitting, Marker, Note string }

// spanRow is a free length to watch.
type spanRow struct{ Place, From, To, Length, Longest string }

// steps are the steps of the procedure, and the lines that none of them lays.
func (m *maker) steps() (list []*step, rest *layWork) {
	laid := map[*facts.Line]bool{}
	seen := map[string]int64{} // the step that had the lines before
	for _, s := range m.kit.Procedure {
		one := &step{Number: s.Number.V, Heading: m.heading(s.Kind.V), Text: s.Text.V, Facts: m.facts(s.Kind.V)}
		if s.Pressure.V {
			one.Dangers = append(one.Dangers, m.t("danger_pressure"))
		}
		if s.Under.V {
			one.Dangers = append(one.Dangers, m.t("danger_under"))
		}
		one.Torque = slices.Contains([]string{"torque", "re-torque", "mount-pump"}, s.Kind.V)
		m.work(one, s, laid, seen)
		list = append(list, one)
	}
	var left []*facts.Line
	for _, l := range m.kit.Lines {
		if !laid[l] {
			left = append(left, l)
		}
	}
	if len(left) > 0 {
		rest = m.lay(left)
	}
	return list, rest
}

func (m *maker) heading(kind string) string {
	if _, known := procedure.Lookup(kind); !known {
		return m.t("step_other")
	}
	return m.t("step_" + kind)
}

// work adds the lines and points of a step: those that it names, or else all.
func (m *maker) work(one *step, s *facts.Step, laid map[*facts.Line]bool, seen map[string]int64) {
	lines := m.linesOf(s)
	switch s.Kind.V {
	case "fit-line", "clean-point", "remove-nipple", "prime-line", "connect-line":
		key := s.Kind.V
		for _, l := range lines {
			key += " " + l.Place()
		}
		if one.SameAs = seen[key]; one.SameAs > 0 {
			return
		}
		seen[key] = s.Number.V
	case "slack-check":
		one.Spans = m.spans()
		return
	default:
		return
	}
	switch s.Kind.V {
	case "fit-line":
		one.Lay = m.lay(lines)
		for _, l := range lines {
			laid[l] = true
		}
	case "connect-line":
		one.Connect = m.connections(lines)
	default:
		one.Ticks = m.ticks(lines)
	}
}

// linesOf are the lines that a step names, or else all, by number.
func (m *maker) linesOf(s *facts.Step) []*facts.Line {
	list := slices.Clone(m.kit.Lines)
	if len(s.Lines) > 0 {
		list = slices.DeleteFunc(list, func(l *facts.Line) bool {
			return !slices.ContainsFunc(s.Lines, func(n value.Count) bool { return n.Known && l.Number.Known && n.V == l.Number.V })
		})
	}
	return list
}

func (m *maker) ticks(lines []*facts.Line) []tick {
	var list []tick
	for _, l := range lines {
		one := tick{Line: l.Short(), Point: l.Line.Point.ID.V}
		if p := l.Point.To; p != nil {
			one.Name = p.Name.V
		}
		list = append(list, one)
	}
	return list
}

func (m *maker) connections(lines []*facts.Line) []connection {
	var list []connection
	for _, l := range lines {
		one := connection{Line: l.Short(), Point: l.Line.Point.ID.V, Fitting: l.PointFitting.ID.V, Marker: l.PointMarker.V}
		if p := l.Point.To; p != nil {
			one.Name, one.Thread, one.Note = p.Name.V, p.Thread.V, p.Note.V
			if side := p.Side(); side != "" {
				one.Side = m.t("side_" + side)
			}
			if p.Access.V == "tight" {
				one.Note = strings.TrimPrefix(one.Note+"; "+m.t("tight"), "; ")
			}
		}
		list = append(list, one)
	}
	return list
}

func (m *maker) spans() []spanRow {
	var list []spanRow
	for _, s := range m.kit.Spans {
		list = append(list, spanRow{m.tubesOf(s), s.From.V, s.To.V, m.length(s.FreeLength), m.roundedUp(s.Longest)})
	}
	return list
}

// tubesOf names what a span is a part of: a bundle, or a line.
func (m *maker) tubesOf(s *facts.Span) string {
	if tubes := s.Tubes(); s.InBundle.V && len(tubes) > 0 {
		return m.t("bundle", "id", tubes[0].Line.Bundle.ID.V)
	}
	return m.t("line") + " " + strings.Join(s.Members, ", ")
}

// facts are what steps of a kind need to know of the kit.
func (m *maker) facts(kind string) []named {
	var list []named
	add := func(word, text string) {
		if text != "" {
			list = append(list, named{m.t(word), text})
		}
	}
	p, f := &m.kit.Pump, &m.kit.Feed
	switch kind {
	case "drill":
		add("fact_holes", p.HolePattern.V)
		add("fact_position", m.where())
	case "mount-pump":
		add("part", p.Part.ID.V)
		add("on", bodyName(p.Body.To, p.Body.ID.V))
		add("fact_position", m.where())
		for _, o := range m.kit.Outlets {
			add("fact_outlet", m.outlet(o))
		}
		add("fact_bolts", m.bolts())
		if side := p.FillerSide.V; slices.Contains([]string{"left", "right", "front", "rear", "top"}, side) {
			add("fact_filler", m.t("side_"+side))
		}
	case "fill":
		add("fact_grease", p.Grease.ID.V)
		if p.Fill.Filled.Known {
			add("fact_fill", m.t("fact_to", "volume", m.volume(p.Fill.Filled))+"; "+m.t("fact_marks", "lower", m.volume(p.Fill.Lower), "upper", m.volume(p.Fill.Upper)))
		}
	case "connect-feed":
		if word := f.TakeOff.V; word == "ignition" || word == "battery" {
			add("fact_take_off", m.t("take_off_"+word))
		}
		if f.Fuse.ID.V != "" {
			add("fact_fuse", m.t("fact_fuse_at", "part", f.Fuse.ID.V, "length", m.length(f.FuseDistance)))
		}
		if f.Sheathed.Known && f.Sheathed.V {
			add("fact_sheath", m.t("sheathed"))
		}
		if f.Loaded.Known {
			add("fact_cores", itoa(int(f.Loaded.V)))
		}
		if c := f.Cable.To; c != nil && c.Area.Known {
			add("fact_area", m.amount(c.Area, units.Area))
		}
		add("fact_cable", strings.TrimPrefix(f.Cable.ID.V+", "+m.length(f.Length), ", "))
		if word := f.Return.V; word == "cable" || word == "chassis" {
			add("fact_return", m.t("return_"+word))
		}
		for _, c := range f.Connectors {
			add("fact_connector", strings.Trim(c.Part.ID.V+", "+strings.Trim(c.Name.V+", "+c.ConnectorFit.Place.V, ", "), ", "))
		}
		for _, h := range f.Passages {
			add("fact_grommet", h.Name.V)
		}
		add("note", f.Note.V)
	case "test-run":
		add("fact_timer", m.timer())
	}
	return list
}

// outlet says what goes into an outlet of the pump.
func (m *maker) outlet(o *facts.Outlet) string {
	if !o.Number.Known || !o.Exists.V {
		return ""
	}
	what := m.t("outlet_bare")
	switch {
	case o.Element.ID.V != "":
		what = o.Element.ID.V
	case o.BlankedOff.V:
		what = m.t("outlet_blanked")
	}
	return itoa(int(o.Number.V)) + ": " + what
}

// where is the pump's place on the vehicle.
func (m *maker) where() string {
	p := m.kit.Pump.Position
	if !p.Known() {
		return ""
	}
	var ways []string
	for _, way := range []struct {
		by            float64
		toward, other string
	}{{p.X.V, "way_forward", "way_rearward"}, {p.Y.V, "way_left", "way_right"}, {p.Z.V, "way_up", "way_down"}} {
		word := way.toward
		if way.by < 0 {
			word = way.other
		}
		ways = append(ways, m.t(word, "length", m.bare(math.Abs(way.by))+" "+m.unit()))
	}
	return strings.Join(ways, ", ")
}

func (m *maker) bolts() string {
	b := &m.kit.Pump.Bolts
	if b.Part.ID.V == "" {
		return ""
	}
	text := b.Part.ID.V
	if b.Count.Known {
		text = fmt.Sprintf("%d x %s", b.Count.V, text)
	}
	if part := b.Part.To; part != nil {
		text += ", " + strings.Trim(part.Size.V+", "+part.PropertyClass.V, ", ")
	}
	return text
}

func (m *maker) timer() string {
	t := &m.kit.Pump.Timer
	switch {
	case !t.Pause.Known:
		return ""
	case t.Strokes.Known:
		return m.t("timer_strokes", "pause", m.amount(t.Pause, units.Time), "strokes", fmt.Sprint(t.Strokes.V))
	}
	return m.t("timer_run", "pause", m.amount(t.Pause, units.Time), "run", m.amount(t.Run, units.Time))
}
