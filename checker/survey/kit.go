package survey

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"kitgauge/checker/document"
	"kitgauge/checker/spelling"
)

// Part is what a survey says of a kit, in the terms of the kit file.
type Part struct {
	Header, Vehicle, Pump, Feed   document.Object
	Bodies, Joints, Points, Zones document.List
	// Stations are in the order of the sheet; Way tells which belong together.
	Stations []Station
	Open     []Problem // cells that are wrong, and those that lack beside others
}

// Station is a place where a clip can go.
type Station struct {
	Way     string // "" where it is on none
	Members document.Object
}

// Kit makes the part of a kit file that was surveyed. A value that is wrong
// stands there as it was written, with a remark that names its cell.
func (s *Survey) Kit() *Part {
	b := builder{survey: s, part: new(Part), ids: map[string]map[string]bool{}}
	for _, sheet := range s.Sheets {
		b.noteIDs(sheet)
	}
	p := b.part
	root := new(group)
	for _, name := range []string{"vehicle", "pump", "feed"} {
		if sheet := s.sheet(name); len(sheet.Rows) > 0 {
			b.row(root, sheet, sheet.Rows[0])
		}
	}
	p.Bodies, p.Joints, p.Points, p.Zones = b.list("bodies"), b.list("joints"), b.list("points"), b.list("zones")
	b.stations()
	root.put([]string{"vehicle", formerKey}, b.former())
	root.put([]string{"feed", "passages"}, b.list("passages"))
	root.put([]string{"feed", "connectors"}, b.list("connectors"))
	p.Header, p.Vehicle, p.Pump, p.Feed = root.section("header"), root.section("vehicle"), root.section("pump"), root.section("feed")
	return p
}

// group is a group of members that is being filled in.
type group struct {
	keys []string
	of   map[string]any // a value, a *group or a *triple
}

// triple is a place or a direction that is being filled in.
type triple struct {
	values [3]any
	cells  [3]string
	why    []string // what is wrong with it
}

func (g *group) at(key string, create func() any) any {
	if g.of == nil {
		g.of = map[string]any{}
	}
	if g.of[key] == nil {
		g.keys = append(g.keys, key)
		g.of[key] = create()
	}
	return g.of[key]
}

// put sets a value, unless it is an empty list.
func (g *group) put(path []string, v any) {
	if l, is := v.(document.List); is && len(l) == 0 {
		return
	}
	if len(path) > 1 {
		g.at(path[0], func() any { return new(group) }).(*group).put(path[1:], v)
		return
	}
	g.at(path[0], func() any { return v })
}

// section is a group of the group, as it is written.
func (g *group) section(key string) document.Object {
	if in, is := g.of[key].(*group); is {
		return in.object()
	}
	return nil
}

func (g *group) object() document.Object {
	var o document.Object
	for _, key := range g.keys {
		switch v := g.of[key].(type) {
		case *group:
			o = o.With(key, v.object())
		case *triple:
			o = o.With(key, v.list())
		default:
			o = o.With(key, v)
		}
	}
	return o
}

// list is the triple as it is written: left out with a remark where one of the
// three is empty, so that nothing reckons with it.
func (t *triple) list() any {
	said := make([]string, 3)
	for i, v := range t.values {
		if said[i] = "?"; v != nil {
			said[i] = fmt.Sprint(v)
		}
	}
	switch {
	case slices.Contains(said, "?"):
		return document.Remarked{Remark: "open: [" + strings.Join(said, ", ") + "]: " + strings.Join(t.why, "; ")}
	case len(t.why) > 0:
		return document.Remarked{Value: document.List(t.values[:]), Remark: "open: " + strings.Join(t.why, "; ")}
	}
	return document.List(t.values[:])
}

// builder makes the part of the kit.
type builder struct {
	survey *Survey
	part   *Part
	ids    map[string]map[string]bool // by table
}

func (b *builder) open(at, message, remedy string) Problem {
	p := Problem{at, message, remedy}
	b.part.Open = append(b.part.Open, p)
	return p
}

// noteIDs notes what other sheets can name, and what stands twice or not at
// all.
func (b *builder) noteIDs(s *Sheet) {
	if s.Form {
		return
	}
	known := map[string]bool{}
	b.ids[s.Name] = known
	for _, row := range s.Rows {
		switch first := row[0]; {
		case first.Text == "" && s.Name != "stations":
			b.open(cmp.Or(first.At, s.Name), fmt.Sprintf("%s is empty, and this row says something", s.Columns[0].label()), "write one that no other row has")
		case known[first.Text] && s.Columns[0].Key == "id" && s.Name != "stations":
			b.open(first.At, fmt.Sprintf("the id %s is already that of another row", first.Text), "write one that no other row has")
		default:
			known[first.Text] = true
		}
	}
}

func (b *builder) list(name string) document.List {
	sheet := b.survey.sheet(name)
	var out document.List
	for _, row := range sheet.Rows {
		g := new(group)
		b.row(g, sheet, row)
		out = append(out, g.object())
	}
	return out
}

// row puts the cells of a row into a group.
func (b *builder) row(g *group, s *Sheet, row Row) {
	for i, c := range s.Columns {
		if c.Key == wayKey || c.Key == formerKey || i >= len(row) {
			continue
		}
		b.cell(g, c, row[i], c.unitAs(strings.ToLower(s.cell(row, "kind").Text), s.Units[i]))
	}
	b.incomplete(g, s, row)
}

// unitAs is the unit of a cell: the range of a joint is measured as it moves.
func (c *Column) unitAs(kind, head string) string {
	angle, length, either := strings.Cut(head, " or ")
	switch {
	case c.varies && either && kind == "revolute":
		return angle
	case c.varies && either && kind == "prismatic":
		return length
	}
	return head
}

func (b *builder) cell(g *group, c *Column, cell Cell, unit string) {
	path := strings.Split(c.Key, ".")
	last := path[len(path)-1]
	axis := slices.Index([]string{"x", "y", "z"}, last)
	if cell.Text == "" {
		return
	}
	v, wrong := c.value(cell.Text, unit)
	if doubt := pointed(cell.Text); cell.Comma && c.measured() && doubt != nil {
		v, wrong = cell.Text, doubt
	}
	if known := b.ids[c.From]; c.From != "" && len(known) > 0 && !known[cell.Text] {
		wrong = &fault{fmt.Sprintf("the sheet %s has no %s", c.From, cell.Text) + spelling.Hint(cell.Text, keys(known)), "write one of its ids"}
	}
	var why string
	if wrong != nil {
		why = b.open(cmp.Or(cell.At, c.label()), wrong.message, wrong.remedy).Error()
	}
	if axis >= 0 {
		holder := g
		for _, key := range path[:len(path)-2] {
			holder = holder.at(key, func() any { return new(group) }).(*group)
		}
		t := holder.at(path[len(path)-2], func() any { return new(triple) }).(*triple)
		t.values[axis] = v
		if why != "" {
			t.why = append(t.why, why)
		}
		return
	}
	if why != "" {
		v = document.Remarked{Value: v, Remark: "open: " + why}
	}
	g.put(path, v)
}

func keys(set map[string]bool) []string {
	var list []string
	for k := range set {
		list = append(list, k)
	}
	slices.Sort(list)
	return list
}

// incomplete tells of places of which one or two of three numbers are there.
func (b *builder) incomplete(g *group, s *Sheet, row Row) {
	for i, c := range s.Columns {
		last := strings.LastIndexByte(c.Key, '.')
		if i >= len(row) || last < 0 || row[i].Text != "" || axes[c.Key[last+1:]] == "" {
			continue
		}
		at := g
		path := strings.Split(c.Key[:last], ".")
		for _, key := range path[:len(path)-1] {
			at, _ = at.at(key, func() any { return new(group) }).(*group)
		}
		if t, is := at.of[path[len(path)-1]].(*triple); is {
			t.why = append(t.why, b.open(cmp.Or(row[i].At, c.label()), fmt.Sprintf("%s is empty, and the other numbers of this place are there", c.label()), "measure it").Error())
		}
	}
}

// stations lists the stations, with the way on which each lies.
func (b *builder) stations() {
	sheet := b.survey.sheet("stations")
	for _, row := range sheet.Rows {
		g := new(group)
		b.row(g, sheet, row)
		b.part.Stations = append(b.part.Stations, Station{Way: sheet.cell(row, wayKey).Text, Members: g.object()})
	}
}

// former lists the former greases, each with its points where it was not in
// all of them.
func (b *builder) former() document.List {
	points := b.survey.sheet("points")
	in := map[string]document.List{}
	for _, row := range points.Rows {
		cell := points.cell(row, formerKey)
		for name := range strings.SplitSeq(cell.Text, ",") {
			name = strings.TrimSpace(name)
			if name == "" {
				continue
			}
			if !b.ids["greases"][name] {
				b.open(cmp.Or(cell.At, formerKey), fmt.Sprintf("the sheet greases has no %s", name)+spelling.Hint(name, keys(b.ids["greases"])), "give it a row there")
				continue
			}
			in[name] = append(in[name], points.cell(row, "id").Text)
		}
	}
	sheet := b.survey.sheet("greases")
	var out document.List
	for _, row := range sheet.Rows {
		g := new(group)
		b.row(g, sheet, row)
		o := g.object()
		if some := in[sheet.cell(row, "designation").Text]; len(some) < len(points.Rows) {
			o = o.With("points", some)
		}
		out = append(out, o)
	}
	return out
}
