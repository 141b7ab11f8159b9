package compare_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"kitgauge/checker"
	"kitgauge/checker/compare"
	"kitgauge/checker/finding"
	_ "kitgauge/checker/internal/ample"
	"kitgauge/checker/internal/reporttest"
	"kitgauge/examples"
)

// revision checks an example kit with the texts in pairs replaced in it, and
// in its catalogue.
func revision(t testing.TB, name string, pairs ...string) compare.Revision {
	t.Helper()
	replace := func(text []byte) []byte { return []byte(strings.NewReplacer(pairs...).Replace(string(text))) }
	file, text, found := examples.Kit(name)
	if !found {
		t.Fatalf("there is no example %q", name)
	}
	catalogue, _ := examples.ReadFile("", "parts/winter.parts.yaml")
	for i := 0; i < len(pairs); i += 2 {
		if n := strings.Count(string(text), pairs[i]) + strings.Count(string(catalogue), pairs[i]); n == 0 {
			t.Fatalf("%q is nowhere in the texts", pairs[i])
		}
	}
	c := checker.New(checker.Options{NoSettings: true, On: "2026-11-25", ReadFile: func(from, file string) ([]byte, error) {
		text, err := examples.ReadFile(from, file)
		return replace(text), err
	}})
	results, err := c.Check(file, replace(text))
	if err != nil || len(results) != 1 {
		t.Fatal(err, len(results))
	}
	r := results[0]
	return compare.Revision{File: r.File, Shaped: r.Shaped, Facts: r.Facts, Findings: r.Findings}
}

func texts(c compare.Comparison) []string {
	list := []string{}
	for _, change := range c.Changes {
		list = append(list, change.Text)
	}
	return list
}

// Each case is a change of an example kit, and what is said of it.
func TestChanges(t *testing.T) {
	tests := []struct {
		name  string
		kit   string
		pairs []string
		want  []string
	}{
		{"nothing", "gritter", nil, []string{}},
		{"a comment and another way to write a length", "gritter",
			[]string{"# An invented vehicle", "# A vehicle of ours", "cut_length: 2655 mm", "cut_length: 2.655 m"}, []string{}},
		{"a longer tube", "gritter", []string{"cut_length: 2655 mm", "cut_length: 2710 mm"},
			[]string{"line 3 now 55 mm longer (2655 mm to 2710 mm)"}},
		{"a shorter tube", "gritter", []string{"cut_length: 2655 mm", "cut_length: 2600 mm"},
			[]string{"line 3 now 55 mm shorter (2655 mm to 2600 mm)"}},
		{"less than is shown", "gritter", []string{"cut_length: 2655 mm", "cut_length: 2655.3 mm"},
			[]string{"line 3 now 0.3 mm longer (2655 mm to 2655.3 mm)"}},
		{"a fuse and a cable", "gritter", []string{"fuse: FG-S75", "fuse: FG-S10", "cable: FG-W25", "cable: FG-W15"},
			[]string{"fuse 7.5 A to 10 A (FG-S75 to FG-S10)", "cable 2.5 mm2 to 1.5 mm2 (FG-W25 to FG-W15)"}},
		{"an element", "gritter", []string{"{number: 1, element: FG-E15}", "{number: 1, element: FG-E25}"},
			[]string{"outlet 1: element 15 mm3 a stroke to 25 mm3 a stroke (FG-E15 to FG-E25)"}},
		{"a fitting of the same thread", "gritter", []string{"fl-3\n    cut_length: 1345 mm\n    pump_fitting: FG-F4P\n    point_fitting: FG-F4S", "fl-3\n    cut_length: 1345 mm\n    pump_fitting: FG-F4P\n    point_fitting: FG-F4A"},
			[]string{"line 2: point fitting FG-F4S to FG-F4A"}},
		{"a joint's range", "gritter", []string{"range: {from: -38 deg, to: 44 deg}", "range: {from: -40 deg, to: 44 deg}"},
			[]string{"joint left kingpin: range -38..44 deg to -40..44 deg"}},
		{"a point that moved", "gritter", []string{"position: [780 mm, 430 mm, 620 mm]", "position: [783 mm, 434 mm, 620 mm]"},
			[]string{"point FL1: position moved by 5 mm ([780 mm, 430 mm, 620 mm] to [783 mm, 434 mm, 620 mm])"}}, // 3, 4, 5
		{"a free length", "gritter", []string{"position: [-100 mm, 560 mm, 600 mm], hold: clip, free_length: 475 mm", "position: [-100 mm, 560 mm, 600 mm], hold: clip, free_length: 495 mm"},
			[]string{"bundle FL, station fl-6: free length now 20 mm longer (475 mm to 495 mm)"}},
		{"a step less", "gritter", []string{"  - step: lock-out\n    text: Lock and tag the isolator.\n", ""},
			[]string{`step lock-out removed ("Lock and tag the isolator.")`}},
		{"steps in another order", "gritter", []string{
			"  - step: lock-out\n    text: Lock and tag the isolator.\n", "", "text: Put gloves on.\n", "text: Put gloves on.\n  - step: lock-out\n    text: Lock and tag the isolator.\n"},
			[]string{"step lock-out now after protect-hands (was after isolate-battery)"}},
		{"a route in another order", "gritter", []string{"id: fl-3,", "id: fl-4,", "id: fl-4,", "id: fl-3,", "leaves_at: fl-3", "leaves_at: fl-4"},
			[]string{"line 2: leaves at fl-3 to fl-4",
				"bundle FL, station fl-4: position moved by 340 mm ([-280 mm, 470 mm, 900 mm] to [-620 mm, 470 mm, 900 mm])",
				"bundle FL, station fl-3: position moved by 340 mm ([-620 mm, 470 mm, 900 mm] to [-280 mm, 470 mm, 900 mm])",
				"bundle FL, station fl-4 now after fl-2 (was after fl-3)"}},
		{"points and lines in another order in the file", "gritter", []string{
			"    - {number: 1, element: FG-E15}\n", "", "    - {number: 36, blanked: true}\n", "    - {number: 36, blanked: true}\n    - {number: 1, element: FG-E15}\n"}, []string{}},
		{"a station of a tail less", "gritter", []string{"      - {body: chassis, position: [360 mm, 470 mm, 860 mm], hold: clip, ties: [{at: 200 mm}]}\n", ""},
			[]string{"line 1, tail station 1 removed (on chassis, [360 mm, 470 mm, 860 mm])"}},
		{"a point's name and the body's", "gritter", []string{"name: Tie rod end, left\n", "name: Tie rod, left\n", "name: left knuckle", "name: knuckle left"},
			[]string{`body knuckle-left: name "left knuckle" to "knuckle left"`, `point FL5: name "Tie rod end, left" to "Tie rod, left"`}},
		{"the title block", "gritter", []string{"revision: C\n  title", "revision: D\n  title", "status: for-review", "status: released", "  checked_by: R. Okafor\n", ""},
			[]string{"revision C to D", "status for-review to released", `checked by no longer stated (was "R. Okafor")`}},
		{"the timer and the fill", "gritter", []string{"pause: 58 min", "pause: 1 h", "filled: 3.8 l", "filled: 3.6 l"},
			[]string{"timer: pause 58 min to 60 min", "reservoir: filled 3.8 l to 3.6 l"}},
		{"the parts list", "gritter", []string{"{part: FG-F4A, quantity: 3}", "{part: FG-F4A, quantity: 4}", "{part: FG-T4, length: 121 m}", "{part: FG-T4, length: 120 m}", "  - {part: FG-Y1, quantity: 100}\n", ""},
			[]string{"parts list, FG-Y1 removed (100)", "parts list, FG-F4A: quantity 3 to 4", "parts list, FG-T4: length now 1 m shorter (121 m to 120 m)"}},
		{"a part that the catalogue changed", "gritter", []string{"description: Tube 4 x 0.75, filled polyamide\n    maker: Fjellgrease\n    outer: 4 mm\n    inner: 2.5 mm\n    bend_radius: 25 mm",
			"description: Tube 4 x 0.75, filled polyamide\n    maker: Fjellgrease\n    outer: 4 mm\n    inner: 2.5 mm\n    bend_radius: 30 mm", "{number: FG-Y1, kind: tie, description: Cable tie 4.8 mm, maker: Lysvik, temperature: {from: -40 degC,", "{number: FG-Y1, kind: tie, description: Cable tie 4.8 mm, maker: Lysvik, temperature: {from: -20 degC,"},
			[]string{"part FG-T4: bend radius 25 mm to 30 mm", "part FG-Y1: temperature -40..85 degC to -20..85 degC"}}, // the tie is listed and named nowhere
		{"a part that the kit does not use", "gritter", []string{"description: Blade fuse 25 A", "description: Fuse 25 A"}, []string{}},
		{"former greases", "gritter", []string{"points: [H3, H4, H5, H6]", "points: [H6, H3, H1]"},
			[]string{"earlier grease KP2N-30: points: H1 added; H4, H5 removed"}},
		{"a zone that is shielded no more, and warmer", "gritter", []string{"temperature: 350 degC, shielded: true", "temperature: 400 degC"},
			[]string{"zone exhaust silencer: shielded no longer stated (was yes)", "zone exhaust silencer: temperature 350 degC to 400 degC"}},
		{"inches", "loader", []string{"fuse_distance: 8 in", "fuse_distance: 9.5 in", "length: 12 ft", "length: 13 ft"},
			[]string{"feed: fuse distance 8 in to 9.5 in", "feed: length now 12 in longer (144 in to 156 in)"}},
		{"a long text", "gritter", []string{"that is under pressure. The vehicle maker's", "that is under pressure. The truck maker's"},
			[]string{`safety notice "…under pressure. The vehicle maker's instruction…" to "…under pressure. The truck maker's instruction…"`}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			old, new := revision(t, tt.kit), revision(t, tt.kit, tt.pairs...)
			c := compare.Of(old, new)
			if diff := cmp.Diff(tt.want, texts(c)); diff != "" {
				t.Errorf("-want +got:\n%s", diff)
			}
			if len(tt.want) == 0 != c.Same() {
				t.Errorf("Same() = %t with %d changes, %d figures, %d findings", c.Same(), len(c.Changes), len(c.Figures), len(c.Findings))
			}
			for _, change := range c.Changes {
				for _, s := range []*compare.State{change.Old, change.New} {
					if s != nil && s.Pos.Line == 0 {
						t.Errorf("%q: without its place in the file", change.Text)
					}
				}
			}
		})
	}
}

// A point with its line, its outlet and its rows, as a revision adds them.
func TestAddedPoint(t *testing.T) {
	pairs := []string{
		"pump:\n  part: FG-P36", "  - {id: H9, name: Chain tensioner, body: hopper, position: [-4000 mm, 0 mm, 1400 mm], thread: M10x1, demand: 0.03 cm3/h}\n\npump:\n  part: FG-P36",
		"    - {number: 35, blanked: true}", "    - {number: 35, element: FG-E15}",
		"\nbundles:\n", "  - {number: 35, outlet: 35, point: H9, tube: FG-T4, bundle: HO, leaves_at: ho-11, cut_length: 4 m, pump_fitting: FG-F4P, point_fitting: FG-F4S, pump_marker: \"35\", point_marker: \"35\"}\n\nbundles:\n",
	}
	old, new := revision(t, "gritter"), revision(t, "gritter", pairs...)
	there, back := compare.Of(old, new), compare.Of(new, old)
	want := []string{
		`point H9 added ("Chain tensioner")`,
		"outlet 35: element now stated: FG-E15",
		"outlet 35: blanked no longer stated (was yes)",
		"line 35 added (outlet 35, point H9, 4000 mm)",
	}
	if diff := cmp.Diff(want, texts(there)); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
	if got := texts(back); got[0] != `point H9 removed ("Chain tensioner")` || !slices.Contains(got, "line 35 removed (outlet 35, point H9, 4000 mm)") {
		t.Errorf("back: %q", got)
	}
	came := slices.ContainsFunc(there.Findings, func(f compare.Finding) bool {
		return f.Kind == compare.Added && f.New.Rule == "paperwork/row-for-every-line" || f.Kind == compare.Added
	})
	if !came {
		t.Error("a line without a row on the call-out sheet: no finding came")
	}
}

// Numbers that a person can check: 475 mm of free length less 20 mm is 20 mm
// less slack, whatever else is computed from it (recomputed).
func TestFigures(t *testing.T) {
	const before = "position: [-100 mm, 560 mm, 600 mm], hold: clip, free_length: 475 mm"
	c := compare.Of(revision(t, "gritter"), revision(t, "gritter", before, strings.Replace(before, "475", "455", 1)))
	i := slices.IndexFunc(c.Figures, func(f compare.Figure) bool {
		return f.Kind == "span" && f.Name == "slack" && strings.Contains(f.Place, "bundle FL") && strings.Contains(f.Place, "front axle")
	})
	if i < 0 {
		t.Fatalf("the slack did not move: %+v", c.Figures)
	}
	if got := c.Figures[i]; got.By == nil || got.By.Text != "-20 mm" {
		t.Errorf("the slack moved by %+v; want -20 mm", got.By)
	}
	for _, f := range c.Figures {
		if f.Old != nil && f.New != nil && f.Old.Text == f.New.Text {
			t.Errorf("%s, %s: %s to %s has not moved", f.Place, f.Name, f.Old.Text, f.New.Text)
		}
	}
	// What is no longer known has moved too, and says what is missing.
	c = compare.Of(revision(t, "gritter"), revision(t, "gritter", "  length: 6.5 m\n", ""))
	i = slices.IndexFunc(c.Figures, func(f compare.Figure) bool { return f.Name == "pump voltage" })
	if i < 0 || c.Figures[i].Old == nil || c.Figures[i].New != nil || c.Figures[i].NewWhy == "" {
		t.Errorf("without the length of the cable: %+v", c.Figures)
	}
}

// The kelvin and the degree Celsius are the same difference (BIPM SI Brochure,
// 2.3.1, printed): 5 degC warmer is +5 K, never +5 degC.
func TestWarmer(t *testing.T) {
	c := compare.Of(revision(t, "gritter"), revision(t, "gritter", "ambient: {from: -30 degC, to: 35 degC}", "ambient: {from: -30 degC, to: 40 degC}"))
	i := slices.IndexFunc(c.Figures, func(f compare.Figure) bool { return f.Name == "hottest" && f.Kind == "part" })
	if i < 0 || c.Figures[i].By.Text != "+5 K" {
		t.Errorf("got %+v; want a part that is 5 K hotter", c.Figures)
	}
}

func TestFindings(t *testing.T) {
	const fuse, small = "fuse: FG-S75", "fuse: FG-S4"
	clean, faulty := revision(t, "gritter"), revision(t, "gritter", fuse, small)
	kinds := func(c compare.Comparison) (list []string) {
		for _, f := range c.Findings {
			list = append(list, string(f.Kind)+" "+f.Shown().Rule+" "+f.Text)
		}
		return list
	}
	came := kinds(compare.Of(clean, faulty))
	if !slices.Contains(came, "added power/fuse-covers-draw ") {
		t.Errorf("a fuse that is too small: %q", came)
	}
	for _, c := range kinds(compare.Of(faulty, clean)) {
		if !strings.HasPrefix(c, "removed ") {
			t.Errorf("corrected again: %q", c)
		}
	}
	// A finding that is conceded is still there, with another status.
	rule := faulty.Findings[slices.IndexFunc(faulty.Findings, func(f finding.Finding) bool { return strings.HasPrefix(f.Rule, "power/") })]
	conceded := revision(t, "gritter", fuse, small, "procedure:\n", "concessions:\n  - {rule: "+rule.Rule+", place: "+rule.Place+", reason: bench only, granted_by: R. Okafor, until: 2027-01-31}\nprocedure:\n")
	if got, want := kinds(compare.Of(faulty, conceded)), "changed "+rule.Rule+" violated to conceded"; !slices.Contains(got, want) {
		t.Errorf("conceded: %q; want %q among them", got, want)
	}
	// What can no longer be evaluated is the same check with another status.
	unknown := revision(t, "gritter", fuse, small, "    voltage: 24 V\n    minimum_voltage: 18 V\n    draw: 3 A\n", "    voltage: 24 V\n    minimum_voltage: 18 V\n")
	if got := kinds(compare.Of(faulty, unknown)); !slices.ContainsFunc(got, func(s string) bool {
		return strings.HasPrefix(s, "changed power/") && strings.HasSuffix(s, "violated to not evaluated")
	}) {
		t.Errorf("without the draw: %q", got)
	}
	// A kit that was taken over under another number keeps its findings.
	renumbered := revision(t, "gritter", fuse, small, "WS-0207", "WS-0299")
	if got := kinds(compare.Of(faulty, renumbered)); len(got) > 0 {
		t.Errorf("another number: %q", got)
	}
	if faulty.Findings[0].Fingerprint == renumbered.Findings[0].Fingerprint {
		t.Error("the fingerprints do not depend on the number: this test cannot fail")
	}
}

// What is stated and cannot be read is compared as it stands, and the result
// says that it is not whole.
func TestUnread(t *testing.T) {
	c := compare.Of(revision(t, "gritter"), revision(t, "gritter", "fuse_distance: 180 mm", "fuse_distance: 180", "timer: {pause: 58 min, run: 2 min}", "timer: 58"))
	want := []string{"timer: pause no longer stated (was 58 min)", "timer: run no longer stated (was 2 min)", "feed: fuse distance 180 mm to 180"}
	if diff := cmp.Diff(want, texts(c)); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
	same := revision(t, "gritter", "fuse_distance: 180 mm", "fuse_distance: 180")
	if c := compare.Of(same, same); c.Same() || c.Whole() || len(c.Changes) > 0 {
		t.Errorf("two that could not be read: same %t, whole %t, %q", c.Same(), c.Whole(), texts(c))
	}
}

// Two things of one name, and things without one, are told apart by what they
// say; nothing panics.
func TestNameless(t *testing.T) {
	twice := []string{"  - step: clear-tools\n", "  - step: warn\n    text: Second.\n  - step: warn\n    text: Third.\n  - step: clear-tools\n"}
	without := []string{"  - step: clear-tools\n", "  - step: warn\n    text: Third.\n  - step: clear-tools\n"}
	c := compare.Of(revision(t, "gritter", twice...), revision(t, "gritter", without...))
	if diff := cmp.Diff([]string{`step warn removed ("Second.")`}, texts(c)); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
	bare := []string{"  - {id: chassis, name: chassis, sprung: true}\n", "  - {name: x}\n  - {}\n  - 5\n  - {id: chassis, name: chassis, sprung: true}\n", "  - number: 2\n    outlet: 2\n", "  - outlet: 2\n"}
	c = compare.Of(revision(t, "gritter"), revision(t, "gritter", bare...))
	want := []string{"body x added", "body 2 added", "body 3 added", "line 2 removed (outlet 2, point FL2, 1345 mm)", "line 2 added (outlet 2, point FL2, 1345 mm)"}
	if diff := cmp.Diff(want, texts(c)); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
}

// However long two texts are, what differs is in what is left of them.
func TestShortened(t *testing.T) {
	long := strings.Repeat("all the same words ", 30)
	a, b := compare.Shortened(long+"left"+long, long+"right"+long)
	if !strings.Contains(a, "left") || !strings.Contains(b, "right") || len(a) > 80 || len(b) > 80 {
		t.Errorf("got %q and %q", a, b)
	}
	if a, b = compare.Shortened("ab", "ac"); a != "ab" || b != "ac" {
		t.Errorf("short texts: got %q and %q", a, b)
	}
	if a, _ = compare.Shortened(strings.Repeat("x", 1000), reporttest.HarmfulText); len([]rune(a)) > 200 {
		t.Errorf("nothing in common: %d characters left", len([]rune(a)))
	}
}

func BenchmarkOf(b *testing.B) {
	old, new := revision(b, "gritter"), revision(b, "gritter", "pause: 58 min", "pause: 50 min")
	for b.Loop() {
		compare.Of(old, new)
	}
}
