package circuit_test

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/facts"
	"kitgauge/checker/finding"
	"kitgauge/checker/golden"
	_ "kitgauge/checker/internal/ample"
	"kitgauge/checker/internal/fleet"
	"kitgauge/checker/report/circuit"
	"kitgauge/checker/report/drawing"
)

var full = flag.Bool("full", false, "draw 200 generated kits, not 20")

// diagrams are the two.
var diagrams = map[string]func(drawing.Input) []drawing.Sheet{"wiring": circuit.Wiring, "hydraulic": circuit.Hydraulic}

var kits = []string{
	"examples/trailer/trailer.kit.yaml", "examples/loader/loader.kit.yaml", "examples/gritter/gritter.kit.yaml",
	"examples/gritter-faulty/gritter-faulty.kit.yaml", "testdata/kits/large.kit.yaml",
}

func kitText(t testing.TB, name string) []byte {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("../../..", name))
	if err != nil {
		t.Fatal(err)
	}
	return text
}

func check(t testing.TB, c *checker.Checker, file string, text []byte) *checker.Result {
	t.Helper()
	results, err := c.Check(file, text)
	if err != nil {
		t.Fatal(err)
	}
	return results[0]
}

// ruled and bare are checkers with all rules and with none; bare reads the
// catalogue of generated kits.
var (
	bareOnDisk = sync.OnceValue(func() *checker.Checker { return checker.New(checker.Options{NoSettings: true, Packs: []string{}}) })

	ruled = sync.OnceValue(func() *checker.Checker { return checker.New(checker.Options{NoSettings: true, On: "2026-11-25"}) })
	bare  = sync.OnceValue(func() *checker.Checker {
		return checker.New(checker.Options{ReadFile: fleet.ReadFile, NoSettings: true, Packs: []string{}})
	})
)

func example(t testing.TB, name string) *checker.Result {
	t.Helper()
	return check(t, ruled(), filepath.Join("../../..", name), kitText(t, name))
}

// made checks a generated kit.
func made(t testing.TB, seed uint64, points int) *checker.Result {
	t.Helper()
	k, err := fleet.New(seed, points, fleet.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return check(t, bare(), "fleet.kit.yaml", k.YAML())
}

// sheets draws a diagram and reads it back.
func sheets(t *testing.T, draw func(drawing.Input) []drawing.Sheet, r *checker.Result, paper drawing.Paper) []*drawn {
	t.Helper()
	var out []*drawn
	for _, s := range draw(drawing.Input{Kit: r.Facts, Findings: r.Findings, Paper: paper}) {
		d := read(t, s.SVG)
		if err := d.legible(); err != nil {
			t.Errorf("%s on %s: %v", s.Title, paper, err)
		}
		out = append(out, d)
	}
	return out
}

// words is everything that stands on sheets, as one text.
func words(list []*drawn) string {
	var b strings.Builder
	for _, d := range list {
		for _, t := range d.texts {
			b.WriteString(t.said + " ")
		}
	}
	return b.String()
}

// things counts the symbols by kind and name.
func things(list []*drawn) map[string]int {
	out := map[string]int{}
	for _, d := range list {
		for _, s := range d.symbols {
			out[s.kind+" "+s.name]++
		}
	}
	return out
}

func TestExamples(t *testing.T) {
	for _, name := range kits {
		r := example(t, name)
		for _, paper := range drawing.Papers() {
			w, h := sheets(t, circuit.Wiring, r, paper), sheets(t, circuit.Hydraulic, r, paper)
			for _, err := range append(wiringNames(r.Facts, w), hydraulicNames(r.Facts, h)...) {
				t.Errorf("%s on %s: %v", filepath.Base(name), paper, err)
			}
			if err := loop(w, r.Facts.Feed.Return.V); err != nil {
				t.Errorf("%s on %s: %v", filepath.Base(name), paper, err)
			}
		}
	}
}

// TestFleet draws generated kits of all sizes: everything of the kit is named,
// and every way can be followed.
func TestFleet(t *testing.T) {
	n := uint64(20)
	if *full {
		n = 200
	}
	for seed := range n {
		points := 4 + int(seed*29%81)
		paper := drawing.Papers()[seed%3]
		r := made(t, seed, points)
		whole(t, fmt.Sprintf("seed %d, %d points on %s", seed, points, paper), r, paper)
	}
}

// TestLarge draws a kit of 200 points, beyond those of the trade.
func TestLarge(t *testing.T) {
	r := made(t, 7, 200)
	whole(t, "200 points", r, drawing.PaperA4)
	for paper, least := range map[drawing.Paper]int{drawing.PaperA3: 4, drawing.PaperA4: 8, drawing.PaperLetter: 8} {
		if n := len(circuit.Hydraulic(drawing.Input{Kit: r.Facts, Paper: paper})); n < least {
			t.Errorf("200 points stand on %d sheets %s, want %d at least", n, paper, least)
		}
	}
}

func whole(t *testing.T, what string, r *checker.Result, paper drawing.Paper) {
	t.Helper()
	w, h := sheets(t, circuit.Wiring, r, paper), sheets(t, circuit.Hydraulic, r, paper)
	for _, err := range append(wiringNames(r.Facts, w), hydraulicNames(r.Facts, h)...) {
		t.Errorf("%s: %v", what, err)
	}
	if err := loop(w, r.Facts.Feed.Return.V); err != nil {
		t.Errorf("%s: %v", what, err)
	}
	for _, err := range served(r.Facts, h) {
		t.Errorf("%s: %v", what, err)
	}
}

// wiringNames holds the wiring diagram to it that it names all of the feed.
func wiringNames(k *facts.Kit, list []*drawn) (errs []error) {
	said, drawn := words(list), things(list)
	want := []string{k.Feed.Fuse.ID.V, k.Feed.Cable.ID.V, k.Pump.Part.ID.V}
	for i, c := range k.Feed.Connectors {
		want = append(want, c.Name.V, c.Part.ID.V)
		if drawn[fmt.Sprintf("connector X%d pin of the feed", i+1)] != 1 {
			errs = append(errs, fmt.Errorf("connector %d has not one pin of the feed", i+1))
		}
	}
	for i, p := range k.Feed.Passages {
		want = append(want, p.Name.V)
		if drawn[fmt.Sprintf("passage passage %d", i+1)] != 1 {
			errs = append(errs, fmt.Errorf("passage %d is not drawn once", i+1))
		}
	}
	pieces := len(k.Feed.Connectors) + len(k.Feed.Passages) + 2
	for i := range pieces {
		want = append(want, fmt.Sprintf("W1.%d cable", i+1))
	}
	for _, w := range want {
		if w != "" && !strings.Contains(said, w) {
			errs = append(errs, fmt.Errorf("%q is not on the wiring diagram", w))
		}
	}
	return errs
}

// hydraulicNames holds the hydraulic schematic to it that it names every outlet,
// line, bundle and point.
func hydraulicNames(k *facts.Kit, list []*drawn) (errs []error) {
	said, drawn := words(list), things(list)
	once := func(name string) {
		if drawn[name] == 0 {
			errs = append(errs, fmt.Errorf("there is no %s", name))
		}
	}
	for _, o := range k.Outlets {
		once("outlet " + o.Place())
	}
	for _, l := range k.Lines {
		once("line " + l.Place())
	}
	var want []string
	for _, p := range k.Points {
		once("point " + p.Place())
		want = append(want, p.ID.V+" "+p.Name.V+"; on "+p.Body.To.Name.V)
	}
	for _, b := range k.Bundles {
		want = append(want, "Bundle "+b.ID.V)
	}
	for _, w := range want {
		if !strings.Contains(said, w) {
			errs = append(errs, fmt.Errorf("%q is not on the hydraulic schematic", w))
		}
	}
	return errs
}

// TestFaulty holds the marks to the places that the findings name.
func TestFaulty(t *testing.T) {
	r := example(t, kits[3])
	for name, rules := range map[string][]string{
		"wiring":    {"power/fuse-protects-cable", "power/fuse-near-source"},
		"hydraulic": {"ports/unused-outlet-blanked", "ports/element-has-line", "ports/outlet-used-once", "reservoir/not-above-upper"},
	} {
		said := words(sheets(t, diagrams[name], r, drawing.PaperA4))
		for _, rule := range rules {
			if !strings.Contains(said, "["+rule+"]") {
				t.Errorf("%s: %s is not listed", name, rule)
			}
		}
		plain := circuit.Wiring(drawing.Input{Kit: r.Facts, Findings: r.Findings, Plain: true, Paper: drawing.PaperA4})
		for _, s := range plain {
			if bytes.Contains(s.SVG, []byte(`class="mark-`)) {
				t.Errorf("%s: a plain sheet has marks", s.Title)
			}
		}
	}
	d := sheets(t, circuit.Hydraulic, r, drawing.PaperA3)
	if n := things(d)["open outlet 36, open"]; n != 1 {
		t.Errorf("outlet 36, which the kit does not list, is open %d times", n)
	}
	if n := things(d)["outlet outlet 8"]; n != 2 {
		t.Errorf("outlet 8, on which two lines are, is drawn %d times", n)
	}
	if n := things(d)["plug outlet 35, blanked"]; n != 1 {
		t.Errorf("outlet 35, which is blanked, has %d plugs", n)
	}
}

// TestFeeds draws feeds of every kind: what the kit states can be followed, and
// what it does not state is said to be so.
func TestFeeds(t *testing.T) {
	text := string(kitText(t, kits[0]))
	from, to := strings.Index(text, "\nfeed:\n"), strings.Index(text, "\ndocuments:\n")
	for _, f := range []struct {
		feed, says string
		lacks      []string // kinds of symbols
	}{
		{"take_off: battery, fuse: FG-S4, fuse_distance: 150 mm, cable: FG-W25, length: 8 m, return: chassis", "length of this piece: 7850 mm", []string{"switch", "connector", "passage", "unknown"}},
		{"take_off: ignition, fuse: FG-S4, circuit: {rating: 10 A}, cable: FG-W99, return: cable", "cable: FG-W99 (not in the catalogue)", []string{"junction", "chassis", "unknown"}},
		{"take_off: ignition, circuit: {rating: 10 A, load: 4 A}, fuse: FG-S4, return: cable, connectors: [{name: plug}, {part: FG-K67}]", "X2 connector without a name", []string{"passage", "chassis"}},
		{"length: 8 m", "return not stated", []string{"fuse", "switch", "chassis"}},
	} {
		r := check(t, ruled(), filepath.Join("../../..", kits[0]), []byte(text[:from]+"\nfeed: {"+f.feed+"}"+text[to:]))
		list := sheets(t, circuit.Wiring, r, drawing.PaperLetter)
		if said := words(list); !strings.Contains(said, f.says) {
			t.Errorf("%s: the diagram does not say %q", f.feed, f.says)
		}
		for thing := range things(list) {
			if kind, _, _ := strings.Cut(thing, " "); slices.Contains(f.lacks, kind) {
				t.Errorf("%s: there is a %s", f.feed, thing)
			}
		}
		if strings.Contains(f.feed, "fuse") {
			if err := loop(list, r.Facts.Feed.Return.V); err != nil {
				t.Errorf("%s: %v", f.feed, err)
			}
		}
	}
}

// TestEndsNamed holds what a fitter reads at the ends of the wires: which terminal
// is which, what the kit does not state, and that what the circuit has to spare
// is counted after the draw.
func TestEndsNamed(t *testing.T) {
	text := string(kitText(t, kits[0]))
	for back, says := range map[string]string{"cable": "terminals: + the feed, − the return", "chassis": "terminals: + the feed, − the chassis"} {
		kitFile := []byte(strings.Replace(text, "return: cable", "return: "+back, 1))
		said := words(sheets(t, circuit.Wiring, check(t, ruled(), filepath.Join("../../..", kits[0]), kitFile), drawing.PaperA4))
		if taken := strings.Contains(said, "taken for it in the figures: ") && !strings.Contains(said, "taken for it in the figures: not known"); taken != (back == "chassis") {
			t.Errorf("return by %s: a resistance of the chassis is said to be taken: %v", back, taken)
		}
		for _, want := range []string{says, "where the minus is connected: not stated", "colours of the cores: not stated", "spare after this draw, computed: 2.633 A"} {
			if !strings.Contains(said, want) {
				t.Errorf("return by %s: the diagram does not say %q", back, want)
			}
		}
	}
}

// TestTitleBlock holds what the title block has no room for to stand in full.
func TestTitleBlock(t *testing.T) {
	owner := "Winter services of the northern counties and of the roads over the high passes, depot east"
	text := strings.Replace(string(kitText(t, kits[0])), "owner: Nordhang Winter Services", "owner: "+owner, 1)
	r := check(t, bareOnDisk(), filepath.Join("../../..", kits[0]), []byte(text))
	for name, draw := range diagrams {
		if !strings.Contains(words(sheets(t, draw, r, drawing.PaperA4)), "Legal owner, in full: "+owner) {
			t.Errorf("%s: the owner does not stand in full", name)
		}
	}
}

// TestGolden keeps the diagrams of the examples on A3, and the bytes the same from
// run to run.
func TestGolden(t *testing.T) {
	for _, name := range kits[:4] {
		r := example(t, name)
		for kind, draw := range diagrams {
			in := drawing.Input{Kit: r.Facts, Findings: r.Findings}
			got, again := draw(in), draw(in)
			for i, s := range got {
				if !bytes.Equal(s.SVG, again[i].SVG) {
					t.Errorf("%s, %s: two runs give different bytes", name, kind)
				}
				base := strings.TrimSuffix(filepath.Base(name), ".kit.yaml")
				golden.Compare(t, filepath.Join("testdata", base+"-"+s.Name+".svg"), s.SVG)
			}
		}
	}
}

// TestDriveNamed holds the schematic to saying how the elements are driven, as the
// catalogue's element_drive has it, and what timer and switch there are.
func TestDriveNamed(t *testing.T) {
	said := words(sheets(t, circuit.Hydraulic, example(t, kits[2]), drawing.PaperA4))
	for _, want := range []string{"each is a pump of its own and delivers by itself", "low-level switch yes"} {
		if !strings.Contains(said, want) {
			t.Errorf("the schematic does not say %q", want)
		}
	}
}

// TestOutside holds every sheet of a kit outside the gate to saying so, and a
// plain one, and one of a kit within the gate, to saying nothing.
func TestOutside(t *testing.T) {
	diagrams := map[string]func(drawing.Input) []drawing.Sheet{"wiring": circuit.Wiring, "hydraulic": circuit.Hydraulic, "schematic": drawing.Sheets}
	for name, draw := range diagrams {
		for _, paper := range []drawing.Paper{drawing.PaperA4} {
			for _, try := range []struct {
				kit     string
				plain   bool
				outside bool
			}{{kits[3], false, true}, {kits[3], true, false}, {kits[0], false, false}} {
				r := example(t, try.kit)
				for _, s := range draw(drawing.Input{Kit: r.Facts, Findings: r.Findings, Paper: paper, Plain: try.plain, Gate: finding.Major}) {
					if got := bytes.Contains(s.SVG, []byte(">Outside the gate (major): 15 findings")); got != try.outside {
						t.Errorf("%s on %s, %s, plain %v: outside the gate is said: %v", name, paper, s.Title, try.plain, got)
					}
				}
			}
		}
	}
}
