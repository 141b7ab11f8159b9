package slip_test

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"

	"kitgauge/checker/finding"
	"kitgauge/checker/slip"
	"kitgauge/checker/source"
)

const vehicle = `
bodies:
  - {id: chassis}
  - {id: axle}
points:
  - {id: FL3, name: kingpin left, body: axle, position: [-20 mm, 880 mm, 630 mm], thread: M10x1}
  - {id: FR3, name: kingpin right, body: axle, position: [-20 mm, -880 mm, 630 mm], thread: M10x1}
  - {id: RL1, name: spring left, body: chassis, position: [-3180 mm, 440 mm, 700 mm], thread: M10x1}
joints:
  - {id: kingpin-left, axis: [0, -0.1, 1], range: {from: -38 deg, to: 44 deg}}
  - {id: kingpin-right, axis: [0, 0.1, 1], range: {from: -44 deg, to: 38 deg}}
pump:
  timer: {pause: 58 min, run: 2 min}
  position: [-1600 mm, 620 mm, 1050 mm]
`

func parse(t *testing.T, text string) *source.Document {
	t.Helper()
	docs, problems := source.Parse("a.kit.yaml", []byte(text))
	if len(problems) > 0 {
		t.Fatal(problems[0])
	}
	return docs[0]
}

// differs finds as much wrong as there are values that differ from the right
// ones, once more for every thing that depends on the value: a check whose
// truth is known. A value taken away cannot be judged.
func differs(right *source.Document, times int) slip.Trial {
	return func(tree slip.Tree, _ int, _ bool) slip.Checked {
		var out []finding.Finding
		var walk func(a, b *source.Node)
		walk = func(a, b *source.Node) {
			if b.Kind != source.Null && a.Scalar != b.Scalar {
				for i := range times {
					out = append(out, finding.Finding{Rule: fmt.Sprintf("r/%d", i), Identity: a.Pointer(), Status: finding.Violated})
				}
			}
			for i := range a.Items {
				walk(a.Items[i], b.Items[i])
			}
		}
		walk(right.Root, tree[0].Root)
		return slip.Checked{Findings: out}
	}
}

// Each way to slip is found again, as the first or as one of the equally good.
func TestSearch(t *testing.T) {
	right := parse(t, vehicle)
	for _, tt := range []struct{ name, was, is, want string }{
		{"a sign lost", "[-20 mm, 880 mm", "[-20 mm, -880 mm", "point FL3, position y is -880 mm, and 880 mm may be meant"},
		{"the minus of x forgotten", "[-3180 mm, 440", "[3180 mm, 440", "point RL1, position x is 3180 mm, and -3180 mm may be meant"},
		{"a nought too many", "440 mm, 700 mm", "440 mm, 7000 mm", "point RL1, position z is 7000 mm, and 700 mm may be meant"},
		{"h for min", "pause: 58 min", "pause: 58 h", "pump, timer pause is 58 h, and 58 min may be meant"},
		{"in for mm", "[-1600 mm, 620 mm, 1050 mm]", "[-1600 in, 620 in, 1050 in]", "pump, position is -1600 in, 620 in, 1050 in, and -1600 mm, 620 mm, 1050 mm may be meant"},
		{"the body of the neighbour", "body: chassis", "body: axle", "point RL1, body is axle, and chassis may be meant"},
		{"the range of the twin copied", "{from: -44 deg, to: 38 deg}", "{from: -38 deg, to: 44 deg}", "joint kingpin-right, range is -38 deg, 44 deg, and -44 deg, 38 deg may be meant"},
		{"the signs of a range exchanged", "{from: -38 deg, to: 44 deg}", "{from: -44 deg, to: 38 deg}", "joint kingpin-left, range is -44 deg, 38 deg, and -38 deg, 44 deg may be meant"},
		{"components of an axis exchanged", "axis: [0, 0.1, 1]", "axis: [0, 1, 0.1]", "joint kingpin-right, axis is 1, 0.1, and 0.1, 1 may be meant"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			text := strings.Replace(vehicle, tt.was, tt.is, 1)
			if text == vehicle {
				t.Fatalf("%q does not stand in the kit", tt.was)
			}
			tree := func() slip.Tree { return slip.Tree{parse(t, text)} }
			trial := differs(right, 3)
			report := slip.Search(tree, trial(tree(), 0, true).Findings, trial, slip.Options{Trials: 2000, Workers: 2})
			if !slices.ContainsFunc(report.Best, func(e slip.Explanation) bool { return e.Change.String() == tt.want && e.Left == 0 }) {
				t.Errorf("got %v, want %q", report.Says(), tt.want)
			}
		})
	}
}

// Two mistakes that have nothing to do with each other are not explained by
// one slip, and a kit without findings is not searched.
func TestSearchDoesNotGuess(t *testing.T) {
	right := parse(t, vehicle)
	trial := differs(right, 2)
	text := strings.Replace(strings.Replace(vehicle, "pause: 58 min", "pause: 58 h", 1), "[-3180 mm, 440", "[3180 mm, 440", 1)
	tree := func() slip.Tree { return slip.Tree{parse(t, text)} }
	if report := slip.Search(tree, trial(tree(), 0, true).Findings, trial, slip.Options{Trials: 2000}); len(report.Best) > 0 {
		t.Errorf("got %v, want none: each of two mistakes is half of what is found", report.Says())
	}
	clean := func() slip.Tree { return slip.Tree{parse(t, vehicle)} }
	if report := slip.Search(clean, nil, trial, slip.Options{Trials: 2000}); report.Tried > 0 || report.Says() != nil {
		t.Errorf("got %+v of a kit without findings", report)
	}
}

// The same kit gets the same answer however many trials go on at once.
func TestSearchIsSteady(t *testing.T) {
	right := parse(t, vehicle)
	trial := differs(right, 3)
	text := strings.Replace(vehicle, "440 mm, 700 mm", "440 mm, 70 mm", 1)
	tree := func() slip.Tree { return slip.Tree{parse(t, text)} }
	want := fmt.Sprintf("%+v", slip.Search(tree, trial(tree(), 0, true).Findings, trial, slip.Options{Trials: 60, Workers: 1}))
	for workers := 2; workers < 6; workers++ {
		got := fmt.Sprintf("%+v", slip.Search(tree, trial(tree(), 0, true).Findings, trial, slip.Options{Trials: 60, Workers: workers}))
		if got != want {
			t.Errorf("%d at once: got %s, want %s", workers, got, want)
		}
	}
}

// What is taken away or changed for a trial comes back to the byte. The bodies
// have nothing but their names, which stay.
func TestUndo(t *testing.T) {
	doc := parse(t, vehicle)
	before := doc.Root.JSON()
	for _, n := range doc.Root.Items {
		undo := slip.Without(n)
		if n.Key() != "bodies" && bytes.Equal(before, doc.Root.JSON()) {
			t.Errorf("%s was not taken away", n.Pointer())
		}
		undo()
	}
	c := slip.Change{Edits: []slip.Edit{{Pointer: "/pump/timer/pause", From: "58 min", To: "58 h"}}}
	undo, ok := c.Apply(slip.Tree{doc})
	if !ok || doc.Root.Lookup("/pump/timer/pause").Scalar != "58 h" {
		t.Errorf("the change was not made")
	}
	undo()
	if !bytes.Equal(before, doc.Root.JSON()) {
		t.Errorf("got %s, want %s", doc.Root.JSON(), before)
	}
	if _, ok := (&slip.Change{Edits: []slip.Edit{{Pointer: "/nowhere"}}}).Apply(slip.Tree{doc}); ok {
		t.Error("a change of what is not there was made")
	}
}

// What is conceded or known is not to be explained, and does not count as
// added by a change.
func TestSearchBesideSettled(t *testing.T) {
	right := parse(t, vehicle)
	trial := differs(right, 3)
	text := strings.Replace(strings.Replace(vehicle, "pause: 58 min", "pause: 58 h", 1), "thread: M10x1", "thread: M8x1", 1)
	tree := func() slip.Tree { return slip.Tree{parse(t, text)} }
	found := trial(tree(), 0, true).Findings
	for i := range found {
		if strings.HasSuffix(found[i].Identity, "/thread") {
			found[i].Status = finding.Conceded
		}
	}
	report := slip.Search(tree, found, trial, slip.Options{Trials: 2000})
	if len(report.Best) != 1 || report.Findings != 3 || report.Best[0].Change.String() != "pump, timer pause is 58 h, and 58 min may be meant" {
		t.Errorf("got %d findings and %v, want the pause alone", report.Findings, report.Says())
	}
	for i := range found {
		found[i].Status = finding.Known
	}
	if report := slip.Search(tree, found, trial, slip.Options{Trials: 2000}); report.Tried > 0 {
		t.Errorf("%d changes were tried for a kit in which all is known", report.Tried)
	}
}

const told = `
header: {number: WS-0207, title: "Gritter, 34 points", date: 2026-09-14}
bodies: [{id: chassis}, {id: axle}]
points:
  - {id: H3, name: "bearing, left", position: [-2300 mm, 360 mm, 1420 mm]}
  - {id: H4, name: "bearing, right", position: [-2300 mm, -360 mm, 1420 mm]}
lines:
  - {number: 1, point: H3, bundle: L, leaves_at: l-2, cut_length: 2545 mm}
  - {number: 2, point: H4, bundle: R, leaves_at: r-2, cut_length: 1345 mm}
  - {number: 3, point: H4, bundle: R, leaves_at: r-2, cut_length: 2655 mm}
  - {number: 4, point: H3, bundle: L, leaves_at: l-2, cut_length: 2830 mm}
  - {number: 5, point: H3, bundle: L, leaves_at: l-2, cut_length: 2700 mm}
bundles:
  - id: L
    route:
      - {id: l-1, position: [-1350 mm, 470 mm, 980 mm], hold: clip}
      - {id: l-2, position: [-980 mm, 470 mm, 920 mm], hold: clip, free_length: 350 mm}
      - {id: l-3, position: [-620 mm, 470 mm, 900 mm], hold: clip}
      - {id: l-4, position: [-280 mm, 470 mm, 900 mm], hold: clip}
  - id: R
    route:
      - {id: r-1, position: [-1350 mm, -470 mm, 980 mm], hold: clip}
      - {id: r-2, position: [-980 mm, -470 mm, 920 mm], hold: clip, free_length: 350 mm}
feed: {load: 4 A, take_off: ignition}
documents:
  instructions: {number: WS-0207-I}
  call_out_sheet:
    rows:
      - {line: 1, name: "bearing, left"}
      - {line: 2, name: "bearing, right"}
procedure:
  - {step: fill, text: Fill the reservoir.}
  - {step: prime, text: Bleed the pump.}
  - {step: test-run, text: Run the pump.}
`

// says makes one finding of all that differs from the right values, which
// stands at a place and says something.
func saying(right *source.Document, pointer, text string) slip.Trial {
	all := differs(right, 1)
	return func(tree slip.Tree, changed int, whole bool) slip.Checked {
		found := all(tree, changed, whole)
		for i := range found.Findings {
			f := &found.Findings[i]
			f.Pos.File, f.Pointer, f.Message = "a.kit.yaml", pointer, text
		}
		return found
	}
}

// What findings name is tried: figures, as their like are written, words,
// texts, things to exchange or to move.
func TestSearchListens(t *testing.T) {
	right := parse(t, told)
	for _, tt := range []struct{ name, was, is, pointer, says, want string }{
		{"a figure", "350 mm}\n      - {id: l-3", "325 mm}\n      - {id: l-3", "/bundles/0/route/1/free_length", "lengthen it by 25 mm to 350 mm", "station l-2, free length is 325 mm, and 350 mm may be meant"},
		{"a figure as its like are written", "2655 mm", "2631 mm", "/lines/2/cut_length", "cut it to 2651 mm", "line 3, cut length is 2631 mm, and 2655 mm may be meant"},
		{"a coordinate", "360 mm, 1420 mm]}\n  - {id: H4", "360 mm, 3300 mm]}\n  - {id: H4", "/points/0/position", "correct the position, to z: 1420 mm", "point H3, position z is 3300 mm, and 1420 mm may be meant"},
		{"a number in a title", "34 points", "43 points", "/header/title", "the title says 43 points, the kit has 34", "header, title is Gritter, 43 points, and Gritter, 34 points may be meant"},
		{"a number of a paper", "WS-0207-I", "WS-0311-I", "/documents/instructions/number", "WS-0311-I is named after WS-0311; the kit is WS-0207", "documents, instructions number is WS-0311-I, and WS-0207-I may be meant"},
		{"digits in each other's place", "2026-09-14", "2062-09-14", "/header/date", "the date lies ahead", "header, date is 2062-09-14, and 2026-09-14 may be meant"},
		{"a digit too many", "load: 4 A", "load: 14 A", "/feed/load", "take a circuit with 4 A to spare", "feed, load is 14 A, and 4 A may be meant"},
		{"a unit forgotten", "-280 mm, 470 mm", "-280 mm, 470", "/bundles/0/route/3/position/1", "it has no unit", "station l-4, position y is 470, and 470 mm may be meant"},
		{"a row numbered twice", "{line: 2, name", "{line: 1, name", "/documents/call_out_sheet/rows/1/line", "line 1 already has a row", "row 1, line is 1, and 2 may be meant"},
		{"a bundle and its station", "bundle: R, leaves_at: r-2, cut_length: 2655", "bundle: L, leaves_at: l-2, cut_length: 2655", "/lines/2", "it goes across", "line 3 is L, l-2, and R, r-2 may be meant"},
		{"nothing holds two stations", "900 mm], hold: clip}\n      - {id: l-4, position: [-280 mm, 470 mm, 900 mm], hold: clip}", "900 mm], hold: none}\n      - {id: l-4, position: [-280 mm, 470 mm, 900 mm], hold: none}", "/bundles/0/route/2", "nothing holds l-3 and l-4", "station l-3, hold is none, none, and clip, clip may be meant"},
		{"two coordinates of a neighbour", "[-620 mm, 470 mm, 900 mm]", "[-620 mm, 220 mm, 760 mm]", "/bundles/0/route/2", "l-3 is too near", "station l-3, position is 220 mm, 760 mm, and 470 mm, 900 mm may be meant"},
		{"a step too early", "{step: prime, text: Bleed the pump.}\n  - {step: test-run, text: Run the pump.}", "{step: test-run, text: Run the pump.}\n  - {step: prime, text: Bleed the pump.}", "/procedure/1", "prime comes only after test-run", "step test-run may belong a place further down of its list"},
		{"two names, and on the sheet", "left", "LEFT", "/points/0/name", "exchange the names of H3 and H4", ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			text := strings.Replace(told, tt.was, tt.is, 1)
			if tt.want == "" {
				text = strings.NewReplacer("left", "right", "right", "left").Replace(told)
				tt.want = "point H3, name: bearing, right and bearing, left may stand in each other's place, wherever they are written"
			}
			if text == told {
				t.Fatalf("%q does not stand in the kit", tt.was)
			}
			tree := func() slip.Tree { return slip.Tree{parse(t, text)} }
			trial := saying(right, tt.pointer, tt.says)
			report := slip.Search(tree, trial(tree(), 0, true).Findings, trial, slip.Options{Trials: 2000, Workers: 2})
			if !slices.ContainsFunc(report.Best, func(e slip.Explanation) bool { return e.Change.String() == tt.want && e.Left == 0 }) {
				t.Errorf("got %q, want %q", report.Says(), tt.want)
			}
		})
	}
}

// A switch by which a rule no longer applies is no explanation.
func TestSearchSilenced(t *testing.T) {
	tree := func() slip.Tree { return slip.Tree{parse(t, "feed: {spare: true, cable: thin}")} }
	trial := func(tree slip.Tree, _ int, _ bool) slip.Checked {
		feed := tree[0].Root.Get("feed")
		if feed.Get("spare").Scalar != "true" || feed.Get("cable").Kind == source.Null {
			return slip.Checked{}
		}
		f := finding.Finding{Rule: "r/cable", Status: finding.Violated, Pointer: "/feed", Pos: source.Pos{File: "a.kit.yaml"}}
		return slip.Checked{Findings: []finding.Finding{f}, Judged: map[string]int{"r/cable": 1}}
	}
	if report := slip.Search(tree, trial(tree(), 0, true).Findings, trial, slip.Options{Trials: 100}); len(report.Best) > 0 {
		t.Errorf("got %q, want none", report.Says())
	}
}
