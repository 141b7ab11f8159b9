package booklet

import (
	"html/template"
	"slices"
	"strings"

	"kitgauge/checker/facts"
	"kitgauge/checker/kit"
	"kitgauge/checker/value"
)

// layWork is the laying of some lines: bundle by bundle, then those on a way of
// their own.
type layWork struct {
	Bundles []bundleWork
	Single  *bundleWork // nil where there is none
}

// bundleWork is the laying of one bundle, or of single tubes.
type bundleWork struct {
	Title    string
	Unit     string // of coordinates
	Conduit  []string
	Picture  template.HTML
	Missed   string
	Stations []stationRow
	Lines    []lineRow
}

// stationRow is a station with what holds there.
type stationRow struct {
	ID, On, Forward, Left, Up, Hold, Free string
}

// lineRow is a tube with both of its ends.
type lineRow struct {
	Line, Tube, Cut, Outlet, PumpFitting, PumpMarker, Point, Name, PointFitting, PointMarker, LeavesAt string
	Tail                                                                                               []string
}

// lay gathers what the laying of lines takes.
func (m *maker) lay(lines []*facts.Line) *layWork {
	w := &layWork{}
	routes := m.kit.Routes()
	for _, b := range m.kit.Bundles {
		members := slices.DeleteFunc(slices.Clone(lines), func(l *facts.Line) bool { return l.Bundle.To != b })
		if len(members) == 0 {
			continue
		}
		w.Bundles = append(w.Bundles, m.bundle(b, members, routes))
	}
	single := slices.DeleteFunc(slices.Clone(lines), func(l *facts.Line) bool { return l.Bundle.To != nil })
	if len(single) > 0 {
		one := bundleWork{Title: m.t("single_tubes"), Unit: m.unit(), Lines: m.lineRows(single)}
		one.Picture, one.Missed = m.draw(one.Title, ofLines(routes, single), nil)
		w.Single = &one
	}
	return w
}

func (m *maker) bundle(b *facts.Bundle, members []*facts.Line, routes []facts.Route) bundleWork {
	one := bundleWork{Title: m.t("bundle", "id", b.ID.V), Unit: m.unit(), Lines: m.lineRows(members)}
	if b.Name.V != "" {
		one.Title += ": " + b.Name.V
	}
	for _, piece := range m.kit.ConduitPieces() {
		if piece.Bundle == b.Bundle {
			one.Conduit = append(one.Conduit, m.t("conduit_piece", "part", b.Conduit.ID.V, "length", m.roundedUp(value.Known(piece.Length)), "from", m.stopName(piece.From), "to", m.stopName(piece.To)))
		}
	}
	if len(one.Conduit) == 0 {
		one.Conduit = []string{m.t("uncovered")}
	}
	var own []facts.Route
	for _, r := range routes {
		if r.Bundle == b.Bundle {
			own = append(own, r)
			one.Stations = m.stationRows(r)
		}
	}
	one.Picture, one.Missed = m.draw(one.Title, append(own, ofLines(routes, members)...), own)
	return one
}

// stopName is a stop in the words of the language: the pump has none of its own.
func (m *maker) stopName(name string) string {
	if name == "the pump" {
		return m.t("pump")
	}
	return name
}

// ofLines are the ways that lines have of their own.
func ofLines(routes []facts.Route, lines []*facts.Line) []facts.Route {
	return slices.DeleteFunc(slices.Clone(routes), func(r facts.Route) bool {
		return r.Line == nil || !slices.ContainsFunc(lines, func(l *facts.Line) bool { return l.Line == r.Line })
	})
}

// draw draws routes. The stations of some of them are named, and every point
// with its line.
func (m *maker) draw(title string, routes, stations []facts.Route) (svg template.HTML, missed string) {
	m.pictures++
	p := newPicture(m.kit, "picture-"+itoa(m.pictures), routes)
	if p == nil {
		return "", ""
	}
	p.nameStops(stations)
	if len(stations) == 0 {
		p.nameStops(routes)
	}
	for _, r := range routes {
		m.nameEnds(p, r)
	}
	svg = template.HTML(p.svg(m.t("picture_of", "place", title), m.t("side_view"), m.t("top_view"))) // which has escaped it
	slices.Sort(p.missed)
	return svg, strings.Join(slices.Compact(p.missed), ", ")
}

// nameEnds names the pump, and the point of a line with the line's number.
func (m *maker) nameEnds(p *picture, r facts.Route) {
	for _, s := range r.Stops {
		switch {
		case s.Station != nil || !s.Position.Known():
		case m.kit.Pump.Position.Known() && s.Position.Vec() == m.kit.Pump.Position.Vec():
			p.name(s.Position.Vec(), m.t("pump"))
		case r.Line != nil:
			p.name(s.Position.Vec(), r.Line.Short()+" "+r.Line.Point.ID.V)
		}
	}
}

// overview draws all bundles and single tubes, with the pump and the names of
// the bundles.
func (m *maker) overview() (svg template.HTML, missed string) {
	m.pictures++
	p := newPicture(m.kit, "picture-"+itoa(m.pictures), m.kit.Routes())
	if p == nil {
		return "", ""
	}
	for _, r := range m.kit.Routes() {
		if r.Bundle == nil {
			continue
		}
		m.nameEnds(p, r)
		for i := len(r.Stops) - 1; i > 0; i-- {
			if s := r.Stops[i]; s.Position.Known() {
				p.name(s.Position.Vec(), r.Bundle.ID.V)
				break
			}
		}
	}
	svg = template.HTML(p.svg(m.t("picture_of", "place", m.t("overview")), m.t("side_view"), m.t("top_view")))
	slices.Sort(p.missed)
	return svg, strings.Join(slices.Compact(p.missed), ", ")
}

func (m *maker) stationRows(r facts.Route) []stationRow {
	var list []stationRow
	for i, s := range r.Stops {
		if s.Station == nil {
			continue
		}
		one := stationRow{ID: s.Station.ID.V, On: bodyName(s.Body, s.Station.Body.ID.V), Hold: m.hold(s.Station)}
		if one.ID == "" {
			one.ID = itoa(i)
		}
		one.Forward, one.Left, one.Up = m.place(s.Position)
		if len(s.Leaving) > 0 {
			one.Hold += "; " + m.t("leave_here", "lines", strings.Join(s.Leaving, ", "))
		}
		one.Free = m.free(s.Station)
		list = append(list, one)
	}
	return list
}

// hold says what holds at a station.
func (m *maker) hold(s *kit.Station) string {
	var list []string
	if word := s.Hold.V; slices.Contains([]string{"clip", "tie", "grommet", "none"}, word) {
		list = append(list, m.t("hold_"+word))
	}
	if s.Part.ID.V != "" {
		list = append(list, s.Part.ID.V)
	}
	if word := s.TiedTo.V; slices.Contains([]string{"frame", "brake", "fuel", "steering", "hot"}, word) {
		list = append(list, m.t("tied_"+word))
	}
	if s.Passage.V {
		list = append(list, m.t("passage"))
	}
	if s.Grommet.V && s.Hold.V != "grommet" {
		list = append(list, m.t("hold_grommet"))
	}
	if s.Note.V != "" {
		list = append(list, s.Note.V)
	}
	return strings.Join(list, ", ")
}

// free says how much free length lies before a station, and which ties.
func (m *maker) free(s *kit.Station) string {
	return strings.Join(append(m.lengths(s), m.ties(s.Ties)...), "; ")
}

// lengths are the free length before a station, and those of lines that have
// their own.
func (m *maker) lengths(s *kit.Station) []string {
	var list []string
	if length := m.length(s.FreeLength); length != "" {
		list = append(list, length)
	}
	for _, one := range s.MemberLengths {
		if one.Line.Known {
			list = append(list, m.t("members", "line", itoa(int(one.Line.V)), "length", m.length(one.Length)))
		}
	}
	return list
}

func (m *maker) ties(ties []kit.Tied) []string {
	var list []string
	for _, t := range ties {
		list = append(list, m.t("tie_at", "length", m.length(t.At)))
	}
	return list
}

func (m *maker) lineRows(lines []*facts.Line) []lineRow {
	var list []lineRow
	for _, l := range lines {
		one := lineRow{
			Line: l.Short(), Tube: l.Tube.ID.V, Cut: m.length(l.CutLength), PumpFitting: l.PumpFitting.ID.V, PumpMarker: l.PumpMarker.V,
			Point: l.Line.Point.ID.V, PointFitting: l.PointFitting.ID.V, PointMarker: l.PointMarker.V, LeavesAt: l.LeavesAt.V,
		}
		if l.Outlet.Known {
			one.Outlet = itoa(int(l.Outlet.V))
		}
		if p := l.Point.To; p != nil {
			one.Name = p.Name.V
		}
		for _, s := range l.Line.Tail {
			one.Tail = append(one.Tail, m.tailStop(s))
		}
		if last := m.length(l.LastFreeLength); last != "" {
			one.Tail = append(one.Tail, m.t("free_length")+": "+last)
		}
		one.Tail = append(one.Tail, m.ties(l.LastTies)...)
		if note := l.Note.V; note != "" {
			one.Tail = append(one.Tail, m.t("note")+": "+note)
		}
		list = append(list, one)
	}
	return list
}

// tailStop is a station of a line's own way in a few words.
func (m *maker) tailStop(s *kit.Station) string {
	forward, left, up := m.place(s.Position)
	text := bodyName(s.Body.To, s.Body.ID.V) + " " + forward + " / " + left + " / " + up
	if hold := m.hold(s); hold != "" {
		text += ": " + hold
	}
	if lengths := m.lengths(s); len(lengths) > 0 {
		text += "; " + m.t("free_length") + ": " + strings.Join(lengths, "; ")
	}
	for _, tie := range m.ties(s.Ties) {
		text += "; " + tie
	}
	return text
}

// bodyName is what a body is called.
func bodyName(b *kit.Body, id string) string {
	if b == nil {
		return id
	}
	return b.Name.Or(id)
}
