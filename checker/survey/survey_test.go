package survey_test

import (
	"bytes"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"kitgauge/checker/document"
	"kitgauge/checker/internal/fleet"
	"kitgauge/checker/source"
	"kitgauge/checker/survey"
	"kitgauge/checker/units"
	"kitgauge/examples"
)

func parse(t testing.TB, text []byte) *source.Node {
	t.Helper()
	docs, problems := source.Parse("test.kit.yaml", text)
	if len(problems) > 0 {
		t.Fatal(problems[0])
	}
	return docs[0].Root
}

// kits are the examples and some generated ones, by name.
func kits(t testing.TB) map[string]*source.Node {
	t.Helper()
	all := map[string]*source.Node{}
	for _, name := range []string{"gritter", "loader", "trailer"} {
		_, text, found := examples.Kit(name)
		if !found {
			t.Fatal(name)
		}
		all[name] = parse(t, text)
	}
	for seed := range uint64(3) {
		k, err := fleet.New(seed, 12+12*int(seed), fleet.Options{})
		if err != nil {
			t.Fatal(err)
		}
		all[fmt.Sprintf("fleet %d", seed)] = parse(t, k.YAML())
	}
	return all
}

// through writes a survey and reads it back.
func throughXLSX(t testing.TB, s *survey.Survey) *survey.Survey {
	t.Helper()
	var b bytes.Buffer
	if err := s.WriteXLSX(&b, survey.Usual); err != nil {
		t.Fatal(err)
	}
	grids, why := survey.ReadXLSX(b.Bytes())
	if why != nil {
		t.Fatal(why)
	}
	return fromGrids(t, grids)
}

func throughCSV(t testing.TB, s *survey.Survey) *survey.Survey {
	t.Helper()
	files, err := s.CSV()
	if err != nil {
		t.Fatal(err)
	}
	var grids []survey.Grid
	for _, f := range files {
		g, problems := survey.ReadCSV(f)
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		grids = append(grids, g)
	}
	return fromGrids(t, grids)
}

func fromGrids(t testing.TB, grids []survey.Grid) *survey.Survey {
	t.Helper()
	s, problems := survey.FromGrids(grids)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	return s
}

// A kit goes to the sheet and comes back as the same kit, as far as the sheet
// goes: vehicle, bodies, joints and zones as a whole, points without what is
// decided of them, and every station with its way.
func TestKitToSheetAndBack(t *testing.T) {
	for name, root := range kits(t) {
		written := survey.FromKit(root)
		for by, s := range map[string]*survey.Survey{"": written, " by XLSX": throughXLSX(t, written), " by CSV": throughCSV(t, written)} {
			t.Run(name+by, func(t *testing.T) { compare(t, root, s.Kit()) })
		}
	}
}

func compare(t *testing.T, root *source.Node, p *survey.Part) {
	t.Helper()
	if len(p.Open) > 0 {
		t.Fatal(p.Open)
	}
	var ways document.List
	for _, s := range p.Stations {
		ways = append(ways, s.Members.With("way", s.Way))
	}
	back := parse(t, yaml(document.Of("header", p.Header, "vehicle", p.Vehicle, "bodies", p.Bodies, "joints", p.Joints, "points", p.Points, "zones", p.Zones, "stations", ways)))
	for _, section := range []string{"vehicle", "bodies", "joints", "zones"} {
		if diff := cmp.Diff(plain(root.Get(section)), plain(back.Get(section))); diff != "" {
			t.Errorf("%s (-kit +back):\n%s", section, diff)
		}
	}
	if diff := cmp.Diff(without(root.Get("points"), "nipple_removed", "grease"), plain(back.Get("points"))); diff != "" {
		t.Errorf("points (-kit +back):\n%s", diff)
	}
	if diff := cmp.Diff(stationsOf(root), plain(back.Get("stations"))); diff != "" {
		t.Errorf("stations (-kit +back):\n%s", diff)
	}
	for _, key := range []string{"number", "title", "owner", "drawn_by", "date", "units"} {
		if diff := cmp.Diff(plain(root.At("header", key)), plain(back.At("header", key))); diff != "" {
			t.Error(diff)
		}
	}
}

func yaml(o document.Object) []byte {
	var b bytes.Buffer
	document.YAML(&b, o)
	return b.Bytes()
}

func plain(n *source.Node) any {
	if n == nil {
		return nil
	}
	return n.Plain()
}

func without(list *source.Node, keys ...string) any {
	var out []any
	for _, item := range list.Items {
		m := maps.Clone(item.Plain().(map[string]any))
		for _, key := range keys {
			delete(m, key)
		}
		out = append(out, m)
	}
	return out
}

// stationsOf lists the stations of a kit with their way, without what is
// decided of them.
func stationsOf(root *source.Node) any {
	var out []any
	add := func(way string, list *source.Node) {
		if list == nil {
			return
		}
		for _, m := range without(list, "ties", "free_length", "part", "member_lengths").([]any) {
			m.(map[string]any)["way"] = way
			out = append(out, m)
		}
	}
	for _, b := range root.Get("bundles").Items {
		add(b.Get("id").Scalar, b.Get("route"))
	}
	for _, l := range root.Get("lines").Items {
		add(l.Get("point").Scalar, l.Get("tail"))
	}
	return out
}

// The same survey gives the same bytes.
func TestSameBytes(t *testing.T) {
	var first bytes.Buffer
	for i := range 3 {
		var b bytes.Buffer
		if err := survey.Blank(units.Metric).WriteXLSX(&b, survey.A4); err != nil {
			t.Fatal(err)
		}
		if i == 0 {
			first = b
		} else if !bytes.Equal(first.Bytes(), b.Bytes()) {
			t.Fatal("two surveys differ")
		}
	}
}

// A blank survey is read as one in which nothing is filled in.
func TestBlank(t *testing.T) {
	for _, f := range []units.Family{units.Metric, units.Inch} {
		if n := throughXLSX(t, survey.Blank(f)).Count(); n != 0 {
			t.Errorf("%d cells are filled in", n)
		}
	}
}

// Every cell that is wrong is named by its sheet and its place, and what stands
// in it is kept.
func TestWrongCells(t *testing.T) {
	_, text, _ := examples.Kit("trailer")
	files, err := survey.FromKit(parse(t, text)).CSV()
	if err != nil {
		t.Fatal(err)
	}
	wrong := []struct{ was, is, want string }{
		{"A1,\"Spring pin, left\",chassis,450", "A1,\"Spring pin, left\",chasis,450", `points!C2: the sheet bodies has no chasis; nearest is "chassis"`},
		{"500,600,M10x1", "5OO,600,M10x1", `points!E2: `},
		{"60,520,500,M10x1", "60,,500,M10x1", "points!E3: position y is empty"},
		{"M10x1,free,plain,26", "M10x1,loose,plain,26", `points!H4: "loose" is none of the words for access`},
		{"yes", "maybe", `"maybe" is neither yes nor no`},
	}
	var grids []survey.Grid
	for _, f := range files {
		s := string(f.Text)
		for _, w := range wrong {
			s = strings.Replace(s, w.was, w.is, 1)
		}
		g, problems := survey.ReadCSV(survey.File{Name: f.Name, Text: []byte(s)})
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		grids = append(grids, g)
	}
	p := fromGrids(t, grids).Kit()
	var said []string
	for _, o := range p.Open {
		said = append(said, o.Error())
	}
	kept := string(yaml(document.Of("bodies", p.Bodies, "points", p.Points)))
	for _, w := range wrong {
		if !slices.ContainsFunc(said, func(s string) bool { return strings.Contains(s, w.want) }) {
			t.Errorf("nothing says %q:\n%s", w.want, strings.Join(said, "\n"))
		}
	}
	for _, text := range []string{"chasis", "5OO", "loose", "maybe", "[60 mm, ?, 500 mm]"} {
		if !strings.Contains(kept, text) {
			t.Errorf("%q is lost in\n%s", text, kept)
		}
	}
}
