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
	"kitgauge/checker/workbook"
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
	if err := s.WriteXLSX(&b, workbook.Usual); err != nil {
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
		if err := survey.Blank(units.Metric).WriteXLSX(&b, workbook.A4); err != nil {
			t.Fatal(err)
		}
		if i == 0 {
			first = b
		} else if !bytes.Equal(first.Bytes(), b.Bytes()) {
			t.Fatal("two surveys differ")
		}
	}
}

// A blank survey is read as one in which nothing is filled in but its units.
func TestBlank(t *testing.T) {
	for _, f := range []units.Family{units.Metric, units.Inch} {
		s := throughXLSX(t, survey.Blank(f))
		if n := s.Count(); n != 1 || s.Family != f {
			t.Errorf("%d cells are filled in, family %v", n, s.Family)
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

// Whatever stands in a cell is in the kit, or is told: nothing is lost.
func TestNothingLost(t *testing.T) {
	_, text, _ := examples.Kit("trailer")
	root := parse(t, text)
	const strange = "zzz"
	for i, sheet := range survey.FromKit(root).Sheets {
		for c, column := range sheet.Columns {
			s := survey.FromKit(root)
			at := s.Sheets[i]
			if len(at.Rows) == 0 {
				at.Rows = []survey.Row{make(survey.Row, len(at.Columns))}
			}
			at.Rows[0][c] = survey.Cell{Text: strange, At: "here!A1"}
			p := s.Kit()
			told := slices.ContainsFunc(p.Open, func(o survey.Problem) bool { return o.At == "here!A1" && strings.Contains(o.Message, strange) })
			kept := bytes.Contains(yaml(whole(p)), []byte(strange))
			if !told && !kept {
				t.Errorf("%s, %s: %q is lost", sheet.Name, column.Key, strange)
			}
		}
	}
}

// What people write by hand is read as it is meant.
func TestByHand(t *testing.T) {
	g, _ := survey.ReadCSV(survey.File{Name: "points.csv", Text: []byte("\ufeffPoints of gritter 7\n\nID;Name;Position_X (cm);position.y (mm);Position  z;Access;bearing.diameter\n1;Pin;1,5;-20;0.9 m;FREE;1/4 in\n")})
	if got, want := string(yaml(document.Of("points", fromGrids(t, []survey.Grid{g}).Kit().Points))), "points:\n  - {id: \"1\", name: Pin, position: [1.5 cm, -20 mm, 0.9 m], access: free, bearing: {diameter: 1/4 in}}\n"; got != want {
		t.Errorf("got\n%swant\n%s", got, want)
	}
	g, _ = survey.ReadCSV(survey.File{Name: "bodies.csv", Text: []byte("id;sprung\na;x\nb;\"\"\"\"\nc;-\n")})
	p := fromGrids(t, []survey.Grid{g}).Kit()
	if got, want := string(yaml(document.Of("bodies", p.Bodies))), "bodies:\n  - {id: a, sprung: true}\n  - {id: b, sprung: true}\n  - {id: c, sprung: false}\n"; got != want || len(p.Open) > 0 {
		t.Errorf("got\n%swant\n%s%v", got, want, p.Open)
	}
}

// A spreadsheet keeps a day as the number of days since 1899-12-30: 44927 is
// 2023-01-01 (ISO/IEC 29500-1, 18.17.4.1, and any spreadsheet).
func TestDay(t *testing.T) {
	for in, want := range map[string]string{"44927": "2023-01-01", "2026-11-02": "2026-11-02"} {
		g, _ := survey.ReadCSV(survey.File{Name: "vehicle.csv", Text: []byte("member,value\nheader date," + in + "\n")})
		if got := string(yaml(fromGrids(t, []survey.Grid{g}).Kit().Header)); got != "date: "+want+"\n" {
			t.Errorf("%s: got %q", in, got)
		}
	}
}
