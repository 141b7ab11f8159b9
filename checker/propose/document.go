package propose

import (
	"fmt"
	"slices"
	"strconv"

	"kitgauge/checker/document"
	"kitgauge/checker/kit"
)

// document is the kit as far as it is decided.
func (p *planner) document() document.Object {
	catalogues := document.List{}
	for _, name := range p.options.Catalogues {
		catalogues = append(catalogues, name)
	}
	s := p.part
	return document.Of(
		"header", p.header(),
		"catalogues", catalogues,
		"vehicle", cloned(s.Vehicle),
		"bodies", clone(s.Bodies),
		"joints", clone(s.Joints),
		"points", p.points(),
		"pump", p.pumpFit(),
		"lines", p.lineList(),
		"bundles", p.bundleList(),
		"zones", clone(s.Zones),
		"feed", p.feedMembers(),
		"documents", p.documents(),
		"parts_list", p.partsList(),
		"procedure", p.procedure(),
	)
}

// get is the text of a member, "" where it is not there or open.
func get(o document.Object, key string) string {
	for _, m := range o {
		if m.Key == key {
			switch v := m.Value.(type) {
			case string:
				return v
			case document.Bare:
				return string(v)
			}
		}
	}
	return ""
}

// clone copies a tree, so that marks in one do not show in the other.
func clone(v any) any {
	switch v := v.(type) {
	case document.Object:
		return cloned(v)
	case document.List:
		out := make(document.List, len(v))
		for i, item := range v {
			out[i] = clone(item)
		}
		return out
	case document.Remarked:
		v.Value = clone(v.Value)
		return v
	}
	return v
}

func cloned(o document.Object) document.Object {
	out := make(document.Object, len(o))
	for i, m := range o {
		out[i] = document.Member{Key: m.Key, Value: clone(m.Value)}
	}
	return out
}

// header is the title block: a draft at its first revision.
func (p *planner) header() document.Object {
	h := p.part.Header
	title := member(h, "title")
	if what := get(p.part.Vehicle, "description"); title == nil && what != "" {
		title = fmt.Sprintf("%s, %d points", what, len(p.part.Points))
	}
	number := member(h, "number")
	if number == nil {
		number = unnumbered
	}
	o := document.Of("number", number, "revision", firstRevision, "title", title, "status", "draft", "units", get(h, "units"))
	if get(h, "units") == "" {
		o = append(o, document.Member{Key: "units", Value: "metric"})
	}
	for _, key := range []string{"owner", "drawn_by", "date"} {
		o = o.With(key, member(h, key))
	}
	return o
}

const firstRevision = "A"

// A kit has to have a number: it is kept under it, and its papers are named
// after it.
const (
	unnumbered = "unnumbered"
	giveNumber = "give the kit its number, and its papers theirs"
)

// member is the value of a member as it stands, nil where it is not there.
func member(o document.Object, key string) any {
	for _, m := range o {
		if m.Key == key {
			return m.Value
		}
	}
	return nil
}

// points are as surveyed; the nipple of each makes room for the fitting.
func (p *planner) points() document.List {
	var out document.List
	for _, item := range p.part.Points {
		o, _ := clone(item).(document.Object)
		out = append(out, o.With("nipple_removed", document.Flag(true)))
	}
	return out
}

// pumpFit is where the pump is, as surveyed, with what is decided of it.
func (p *planner) pumpFit() document.Object {
	d := &p.pump
	o := document.Of("part", d.part)
	bolts := document.Of("part", d.bolts, "count", counted(d.boltCount))
	for _, m := range cloned(p.part.Pump) {
		in, _ := m.Value.(document.Object)
		switch m.Key {
		case "bolts":
			bolts = append(bolts, in...)
		case "fill":
			o = o.With("fill", in.With("filled", p.volume(d.filled)))
		default:
			o = o.With(m.Key, m.Value)
		}
	}
	if p.base != nil && member(bolts, "acceleration") == nil {
		bolts = bolts.With("acceleration", in(p.limit("survey/acceleration"), "gn"))
	}
	if pump, is := p.entry(d.part).(*kit.Pump); is && pump.LowLevelSwitch.V && member(o, "low_level_warns") == nil {
		o = o.With("low_level_warns", document.Flag(true))
	}
	o = o.With("bolts", bolts).With("timer", p.timer()).With("grease", d.grease).With("first_fill", p.volume(d.first))
	var outlets document.List
	for n := 1; n <= d.outlets; n++ {
		outlet := document.Of("number", document.Whole(n))
		if n <= len(p.lines) {
			outlet = outlet.With("element", p.lines[n-1].element)
		} else {
			outlet = outlet.With("blanked", document.Flag(true))
		}
		outlets = append(outlets, outlet)
	}
	return o.With("outlets", outlets)
}

func counted(n int64) any {
	if n == 0 {
		return nil
	}
	return document.Bare(strconv.FormatInt(n, 10))
}

func (p *planner) timer() document.Object {
	d := &p.pump
	if d.pause == 0 {
		return nil
	}
	o := document.Of("pause", in(d.pause, "min"))
	if d.run > 0 {
		return o.With("run", in(d.run, "min"))
	}
	return o.With("strokes", document.Whole(d.strokes))
}

// volume writes one of grease; "" where it is not decided.
func (p *planner) volume(si float64) string {
	switch {
	case si == 0:
		return ""
	case p.inch():
		return in(si, "in3")
	}
	return in(si, "l")
}

func (p *planner) lineList() document.List {
	var out document.List
	for i, l := range p.lines {
		n := document.Whole(i + 1)
		tube := p.tube
		if l.untubed != "" {
			tube = ""
		}
		o := document.Of("number", n, "outlet", n, "point", l.point.ID.V, "tube", tube)
		if l.bundle != nil {
			o = o.With("bundle", l.bundle.id).With("leaves_at", l.bundle.route[l.leaves].id)
		} else {
			o = o.With("single", document.Flag(true))
		}
		o = o.With("tail", p.stations(l.tail))
		if l.lastFree > 0 {
			o = o.With("last_free_length", p.length(l.lastFree))
		}
		o = o.With("last_ties", p.ties(l.lastTies))
		if l.cut > 0 {
			o = o.With("cut_length", p.length(l.cut))
		}
		marker := strconv.Itoa(i + 1)
		out = append(out, o.With("pump_fitting", l.pumpEnd).With("point_fitting", l.pointEnd).
			With("pump_marker", marker).With("point_marker", marker).With("note", l.note))
	}
	return out
}

// mostStations is how many stations of the survey are read as one bundle: no
// more than a route may have.
const mostStations = 400

func (p *planner) bundleList() document.List {
	var out document.List
	for _, b := range p.bundles {
		out = append(out, document.Of("id", b.id, "name", b.name, "conduit", b.conduit, "route", p.stations(b.route)))
	}
	if p.base == nil { // the stations are read once, as those of bundles
		for chunk := range slices.Chunk(p.part.Stations, mostStations) {
			var route document.List
			for _, s := range chunk {
				route = append(route, cloned(s.Members))
			}
			out = append(out, document.Of("id", "survey", "route", route))
		}
	}
	return out
}

func (p *planner) stations(route []*station) document.List {
	var out document.List
	for _, s := range route {
		o := document.Of("id", s.id)
		for _, m := range cloned(s.members) {
			if m.Key != "id" {
				o = o.With(m.Key, m.Value)
			}
		}
		if member(o, "hold") == nil {
			o = o.With("hold", "clip")
		}
		if s.free > 0 {
			o = o.With("free_length", p.length(s.free))
		}
		out = append(out, o.With("ties", p.ties(s.ties)))
	}
	return out
}

func (p *planner) ties(at []float64) document.List {
	var out document.List
	for _, d := range at {
		out = append(out, document.Of("at", p.length(d)))
	}
	return out
}

// feedMembers is the feed as surveyed, with what is decided of it.
func (p *planner) feedMembers() document.Object {
	o := document.Of("fuse", p.feed.fuse, "cable", p.feed.cable)
	for _, m := range cloned(p.part.Feed) {
		fits, is := m.Value.(document.List)
		if m.Key == "connectors" && is {
			for i, name := range p.feed.connectors {
				if c, is := fits[i].(document.Object); is {
					fits[i] = c.With("part", name)
				}
			}
		}
		o = o.With(m.Key, m.Value)
	}
	return o
}

// pointer makes a JSON Pointer of keys and places in lists.
func pointer(path ...any) string {
	text := ""
	for _, key := range path {
		text += "/" + fmt.Sprint(key)
	}
	return text
}
