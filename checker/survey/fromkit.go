package survey

import (
	"slices"
	"strconv"
	"strings"

	"kitgauge/checker/source"
	"kitgauge/checker/units"
)

// FromKit fills a survey from a kit file, as far as a survey goes. A value
// stays as it is written: the number alone where it is in the unit of the
// head, else the number with its unit.
func FromKit(root *source.Node) *Survey {
	f := units.Metric
	if u := root.At("header", "units"); u != nil && u.Scalar == "inch" {
		f = units.Inch
	}
	s := Blank(f)
	for _, sheet := range s.Sheets {
		switch {
		case sheet.Form:
			sheet.Rows = []Row{sheet.row(root)}
		case sheet.Name == "stations":
			sheet.stations(root)
		default:
			for _, n := range items(root, listAt[sheet.Name]...) {
				sheet.Rows = append(sheet.Rows, sheet.row(n))
			}
		}
	}
	s.former(root)
	return s
}

// listAt is where a kit file has the things of a list.
var listAt = map[string][]string{
	"bodies": {"bodies"}, "joints": {"joints"}, "greases": {"vehicle", "greased_before"}, "points": {"points"}, "zones": {"zones"},
	"passages": {"feed", "passages"}, "connectors": {"feed", "connectors"},
}

func items(n *source.Node, path ...string) []*source.Node {
	if n = n.At(path...); n == nil || n.Kind != source.List {
		return nil
	}
	return n.Items
}

// row reads the members of a thing.
func (s *Sheet) row(n *source.Node) Row {
	row := make(Row, len(s.Columns))
	for i, c := range s.Columns {
		if at := lookup(n, c.Key); at != nil {
			row[i].Text = c.shown(at, c.unitAs(scalar(n, "kind"), s.Units[i]))
		}
	}
	return row
}

// lookup finds a member; of a list of three, x, y and z.
func lookup(n *source.Node, key string) *source.Node {
	for part := range strings.SplitSeq(key, ".") {
		if n == nil {
			return nil
		}
		if i := slices.Index([]string{"x", "y", "z"}, part); i >= 0 && n.Kind == source.List {
			if i >= len(n.Items) {
				return nil
			}
			n = n.Items[i]
			continue
		}
		n = n.Get(part)
	}
	return n
}

// shown is what a cell shows of a value.
func (c *Column) shown(n *source.Node, unit string) string {
	switch c.kind {
	case flag:
		switch n.Scalar {
		case "true":
			return "yes"
		case "false":
			return "no"
		}
	case number:
		bare, found := strings.CutSuffix(n.Scalar, " "+unit)
		if _, err := strconv.ParseFloat(bare, 64); found && err == nil {
			return bare
		}
	}
	return n.Scalar
}

// stations lists the stations of the bundles, then those of the last pieces to
// single points, each on its way.
func (s *Sheet) stations(root *source.Node) {
	add := func(way string, route []*source.Node) {
		for _, n := range route {
			row := s.row(n)
			for i, c := range s.Columns {
				if c.Key == wayKey {
					row[i].Text = way
				}
			}
			s.Rows = append(s.Rows, row)
		}
	}
	for _, b := range items(root, "bundles") {
		add(scalar(b, "id"), items(b, "route"))
	}
	for _, l := range items(root, "lines") {
		add(scalar(l, "point"), items(l, "tail"))
	}
}

func scalar(n *source.Node, key string) string {
	if n = n.Get(key); n == nil {
		return ""
	}
	return n.Scalar
}

// former notes at each point the greases that it has had.
func (s *Survey) former(root *source.Node) {
	points := s.sheet("points")
	for _, g := range items(root, "vehicle", "greased_before") {
		var only []string
		for _, p := range items(g, "points") {
			only = append(only, p.Scalar)
		}
		for _, row := range points.Rows {
			if only != nil && !slices.Contains(only, points.cell(row, "id").Text) {
				continue
			}
			for i, c := range points.Columns {
				if c.Key == formerKey {
					row[i].Text = strings.TrimPrefix(row[i].Text+", "+scalar(g, "designation"), ", ")
				}
			}
		}
	}
}
