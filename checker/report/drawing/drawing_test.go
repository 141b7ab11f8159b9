package drawing_test

import (
	"bytes"
	"fmt"
	"math"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode"

	"pgregory.net/rapid"

	"kitgauge/checker"
	"kitgauge/checker/finding"
	"kitgauge/checker/golden"
	_ "kitgauge/checker/internal/ample"
	"kitgauge/checker/internal/fleet"
	"kitgauge/checker/report/drawing"
)

func schematic(t testing.TB, r *checker.Result) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := drawing.Schematic(&b, drawing.Input{Kit: r.Facts, Findings: r.Findings}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestSchematicLegible(t *testing.T) {
	for name, r := range examples(t) {
		d := read(t, schematic(t, r))
		if err := d.legible(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if err := d.referenced(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if d.width != 420 || d.height != 297 {
			t.Errorf("%s: got a sheet of %g x %g, want A3 (420 x 297, ISO 216)", name, d.width, d.height)
		}
	}
}

// TestFleetSpans draws the free spans of generated kits.
func TestFleetSpans(t *testing.T) {
	c := checker.New(checker.Options{ReadFile: fleet.ReadFile, NoSettings: true, Packs: []string{}})
	for seed := range uint64(6) {
		r := made(t, c, seed, 4+int(seed*29%81))
		for _, s := range r.Facts.Spans {
			var b bytes.Buffer
			if err := drawing.Span(&b, drawing.Input{Kit: r.Facts, Paper: drawing.Papers()[seed%3]}, s); err != nil {
				t.Errorf("seed %d: %v", seed, err)
				continue
			}
			if err := read(t, b.Bytes()).legible(); err != nil {
				t.Errorf("seed %d, %s: %v", seed, s.Place(), err)
			}
		}
	}
}

// made is a generated kit.
func made(t testing.TB, c *checker.Checker, seed uint64, points int) *checker.Result {
	t.Helper()
	k, err := fleet.New(seed, points, fleet.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return check(t, c, "fleet.kit.yaml", k.YAML())
}

// TestToScale holds the points of both views to the kit's coordinates: an
// identity, ISO 8855: x forward, y left, z up.
func TestToScale(t *testing.T) {
	r := examples(t)["trailer.kit.yaml"]
	svg := schematic(t, r)
	d := read(t, svg)
	scale := regexp.MustCompile(`>1:([0-9.]+)<`).FindSubmatch(svg)
	if scale == nil {
		t.Fatal("the drawing states no scale")
	}
	k := 1000 / number(t, string(scale[1]))
	for _, view := range []string{"side-view", "top-view"} {
		var got [][2]float64
		for _, s := range d.shapes {
			if s.view == view && s.class == "point" {
				got = append(got, [2]float64{s.at["cx"], s.at["cy"]})
			}
		}
		slices.SortFunc(got, compare)
		var want [][2]float64
		for _, p := range r.Facts.Points {
			up := p.Position.Y.V
			if view == "side-view" {
				up = p.Position.Z.V
			}
			want = append(want, [2]float64{p.Position.X.V * k, -up * k})
		}
		slices.SortFunc(want, compare)
		if len(got) != len(want) {
			t.Fatalf("%s: got %d points, want %d", view, len(got), len(want))
		}
		for i := range want {
			dx, dy := got[i][0]-got[0][0]-want[i][0]+want[0][0], got[i][1]-got[0][1]-want[i][1]+want[0][1]
			if math.Hypot(dx, dy) > 0.03 {
				t.Errorf("%s: point %d is off by %.3f, %.3f mm", view, i, dx, dy)
			}
		}
	}
}

func compare(a, b [2]float64) int {
	if math.Abs(a[0]-b[0]) > 0.1 {
		return int(math.Copysign(1, a[0]-b[0]))
	}
	return int(math.Copysign(1, a[1]-b[1]))
}

// TestMarks holds every finding of the faulty kit to a mark or to the list of
// those that have no place, and some to the place that they name.
func TestMarks(t *testing.T) {
	r := examples(t)["gritter-faulty.kit.yaml"]
	in := drawing.Input{Kit: r.Facts, Findings: r.Findings}
	marked := map[string]int{}
	total := 0
	for _, m := range drawing.Marks(in) {
		for i, f := range m.Findings {
			marked[f.Rule] = m.Number
			total++
			if i > 0 && f.Severity > m.Findings[i-1].Severity {
				t.Errorf("mark %d: %s stands after %s", m.Number, f.Severity, m.Findings[i-1].Severity)
			}
		}
	}
	if marked["reservoir/not-above-upper"] == 0 || marked["reservoir/not-above-upper"] != marked["power/fuse-protects-cable"] {
		t.Error("the fill and the feed are not marked at the pump, at one mark")
	}
	if marked["slack/steered"] == 0 || marked["slack/steered"] == marked["reservoir/not-above-upper"] {
		t.Error("the steered span has no mark of its own")
	}
	if marked["safety/lock-out"] != 0 {
		t.Error("a step of the procedure has a mark on the vehicle")
	}
	svg := string(schematic(t, r))
	for _, f := range r.Findings {
		if !strings.Contains(svg, "["+f.Rule+"]") && !strings.Contains(svg, f.Rule+"]") {
			t.Errorf("%s is not in the list of the sheet", f.Rule)
		}
	}
	if total >= len(r.Findings) || total == 0 {
		t.Errorf("got %d of %d findings marked, want most of them", total, len(r.Findings))
	}
	if err := drawing.Schematic(&bytes.Buffer{}, drawing.Input{Kit: r.Facts, Findings: r.Findings, Plain: true}); err != nil {
		t.Error(err)
	}
}

// TestManyFindings gives every member of the kit a finding.
func TestManyFindings(t *testing.T) {
	r := examples(t)["large.kit.yaml"]
	var list []finding.Finding
	for i, p := range r.Facts.Points {
		list = append(list, finding.Finding{Rule: "test/point", Severity: finding.Severity(i % 4), Status: finding.Status(1 + i%4), Pos: p.Node.Pos(), Pointer: p.Node.Pointer(), Place: p.Place(), Message: strings.Repeat("something is wrong ", 1+i%9)})
	}
	var b bytes.Buffer
	if err := drawing.Schematic(&b, drawing.Input{Kit: r.Facts, Findings: list}); err != nil {
		t.Fatal(err)
	}
	d := read(t, b.Bytes())
	if err := d.legible(); err != nil {
		t.Error(err)
	}
	got := 0
	for _, s := range d.shapes {
		if s.view == "top-view" && strings.HasPrefix(s.class, "mark-") && s.class != "mark-leader" {
			got++
		}
	}
	if got != len(list) {
		t.Errorf("got %d marks in the top view, want %d", got, len(list))
	}
}

// TestHostile feeds texts that would be markup, scripts or control characters.
func TestHostile(t *testing.T) {
	hostile := `<script>alert(1)</script>"'&]]>--><style>*{}</style>` + "\u202e\x07\x1b[31m \u2028end\ufffe"
	text := string(kitText(t, kits[0]))
	for _, member := range []string{"title: Salt trailer, 8 points", "owner: Nordhang Winter Services", "number: WS-0311\n", "datum: below the centre of the axle, on the ground",
		"name: \"Spring pin, left\", body", "name: axle springs", "name: left wheel,", "name: axle,", "id: l-2,", "bundle: L\n", "- id: L\n", "leaves_at: l-2\n"} {
		if !strings.Contains(text, member) {
			t.Fatalf("the example does not hold %q", member)
		}
		key, value, _ := strings.Cut(member, ": ")
		value, end := strings.TrimSuffix(strings.TrimSuffix(strings.TrimSuffix(value, "\n"), ","), ", body"), ""
		if rest := strings.TrimPrefix(member, key+": "+value); rest != "" {
			end = rest
		}
		text = strings.ReplaceAll(text, member, fmt.Sprintf("%s: %q%s", key, hostile+strings.Trim(value, `"`), end))
	}
	c := checker.New(checker.Options{NoSettings: true})
	r := check(t, c, filepath.Join("../../..", kits[0]), []byte(text))
	if r.Facts == nil {
		t.Fatalf("the hostile kit cannot be read: %v", r.Findings)
	}
	outputs := [][]byte{schematic(t, r)}
	for _, s := range r.Facts.Spans {
		var b bytes.Buffer
		if err := drawing.Span(&b, drawing.Input{Kit: r.Facts, Findings: r.Findings}, s); err != nil {
			t.Fatal(err)
		}
		outputs = append(outputs, b.Bytes())
	}
	for _, svg := range outputs {
		harmless(t, svg)
		if !bytes.Contains(svg, []byte("&lt;script&gt;")) {
			t.Error("the hostile text is not shown at all")
		}
	}
}

// harmless holds a drawing to the few elements that it is made of.
func harmless(t *testing.T, svg []byte) {
	t.Helper()
	d := read(t, svg)
	for name := range d.names {
		switch name {
		case "svg", "title", "desc", "style", "defs", "pattern", "g", "path", "rect", "circle", "text":
		default:
			t.Errorf("there is an element %q", name)
		}
	}
	if d.names["style"] != 1 || d.names["title"] != 1 {
		t.Errorf("got %d styles and %d titles, want one of each", d.names["style"], d.names["title"])
	}
	for _, a := range d.attributes {
		name, value, _ := strings.Cut(a, "=")
		if strings.HasPrefix(name, "on") || strings.Contains(name, "href") || strings.Contains(value, "url(") && !strings.HasPrefix(value, "url(#") {
			t.Errorf("there is an attribute %s", a)
		}
	}
	for _, r := range string(svg) {
		if r != '\n' && !unicode.IsPrint(r) {
			t.Errorf("there is a character %U", r)
		}
	}
	if err := d.legible(); err != nil {
		t.Error(err)
	}
}

// TestBroken takes lines out of kits: whatever is left is drawn, or refused
// with an error, and stays legible.
func TestBroken(t *testing.T) {
	c := checker.New(checker.Options{NoSettings: true, Packs: []string{}})
	sources := [][]string{strings.Split(string(kitText(t, kits[0])), "\n"), strings.Split(string(kitText(t, kits[2])), "\n")}
	absurd := []string{"1e9 m", "-400 m", "0 mm", "nonsense", "99999 deg"}
	rapid.Check(t, func(t *rapid.T) {
		lines := slices.Clone(rapid.SampledFrom(sources).Draw(t, "kit"))
		for range rapid.IntRange(1, 12).Draw(t, "changes") {
			i := rapid.IntRange(0, len(lines)-1).Draw(t, "line")
			if rapid.Bool().Draw(t, "out") {
				lines = slices.Delete(lines, i, i+1)
				continue
			}
			for _, unit := range []string{" mm", " deg"} {
				if before, after, found := strings.Cut(lines[i], unit); found {
					cut := strings.LastIndexAny(before, "[ ")
					lines[i] = before[:cut+1] + rapid.SampledFrom(absurd).Draw(t, "value") + after
				}
			}
		}
		results, err := c.Check(filepath.Join("../../..", kits[0]), []byte(strings.Join(lines, "\n")))
		if err != nil || results[0].Facts == nil {
			return
		}
		r := results[0]
		var b bytes.Buffer
		if rapid.IntRange(0, 3).Draw(t, "all sheets") > 0 {
			if err := drawing.Views(&b, drawing.Input{Kit: r.Facts, Findings: r.Findings}); err != nil {
				t.Fatal(err)
			}
			read(t, b.Bytes())
		} else {
			for _, s := range drawing.Sheets(drawing.Input{Kit: r.Facts, Findings: r.Findings, Paper: rapid.SampledFrom(drawing.Papers()).Draw(t, "paper")}) {
				if err := read(t, s.SVG).legible(); err != nil {
					t.Fatal(err)
				}
			}
		}
		for _, s := range r.Facts.Spans {
			b.Reset()
			if err := drawing.Span(&b, drawing.Input{Kit: r.Facts, Findings: r.Findings}, s); err != nil {
				continue
			}
			if err := read(t, b.Bytes()).legible(); err != nil {
				t.Fatalf("%s: %v", s.Place(), err)
			}
		}
	})
}

// TestVeryLarge draws a kit beyond those of the trade: it takes more sheets,
// and no larger ones.
func TestVeryLarge(t *testing.T) {
	c := checker.New(checker.Options{ReadFile: fleet.ReadFile, NoSettings: true, Packs: []string{}})
	r := made(t, c, 1, 320)
	list := drawing.Sheets(drawing.Input{Kit: r.Facts})
	if len(list) < 20 {
		t.Errorf("got %d sheets, want many", len(list))
	}
	for _, err := range faults(t, r, list) {
		t.Error(err)
	}
}

// TestGolden keeps two small drawings, and the bytes the same from run to run.
func TestGolden(t *testing.T) {
	r := examples(t)["trailer.kit.yaml"]
	for name, write := range map[string]func(b *bytes.Buffer) error{
		"trailer": func(b *bytes.Buffer) error { return drawing.Schematic(b, drawing.Input{Kit: r.Facts, ID: "plan"}) },
		"span":    func(b *bytes.Buffer) error { return drawing.Span(b, drawing.Input{Kit: r.Facts}, r.Facts.Spans[2]) },
	} {
		var got, again bytes.Buffer
		if err := write(&got); err != nil {
			t.Fatal(err)
		}
		if err := write(&again); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got.Bytes(), again.Bytes()) {
			t.Errorf("%s: two runs give different bytes", name)
		}
		golden.Compare(t, filepath.Join("testdata", name+".svg"), got.Bytes())
	}
}

func BenchmarkSchematic(b *testing.B) {
	r := examples(b)["large.kit.yaml"]
	for b.Loop() {
		if err := drawing.Schematic(&bytes.Buffer{}, drawing.Input{Kit: r.Facts}); err != nil {
			b.Fatal(err)
		}
	}
}
