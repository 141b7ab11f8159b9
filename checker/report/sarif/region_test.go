package sarif_test

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"kitgauge/checker"
	"kitgauge/checker/report/sarif"
)

// checked is the log of a kit that is checked.
func checked(t *testing.T, file, text string) map[string]any {
	t.Helper()
	c := checker.New(checker.Options{Dir: filepath.Dir(file)})
	results, err := c.Check(filepath.Base(file), []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	run, err := c.Report("0.1.0", results...)
	if err != nil {
		t.Fatal(err)
	}
	return decode(t, write(t, run, sarif.Options{}))
}

func example(t *testing.T, name string) (file, text string) {
	t.Helper()
	file = filepath.Join("..", "..", "..", "examples", name, name+".kit.yaml")
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	return file, string(b)
}

// within is the text of a region (3.30): columns count code points, and the
// end is the place behind the last.
func within(text string, region any) string {
	number := func(key string) int {
		n, _ := region.(map[string]any)[key].(float64)
		return int(n)
	}
	lines := strings.SplitAfter(text, "\n")[number("startLine")-1 : number("endLine")]
	last := len(lines) - 1
	lines[last] = string([]rune(lines[last])[:number("endColumn")-1])
	lines[0] = string([]rune(lines[0])[number("startColumn")-1:])
	return strings.Join(lines, "")
}

func region(v any) any { return at(v, "physicalLocation", "region") }

// TestRegions: a region ends where the value ends, before the bracket, the
// comma and the remark behind it, in flow and in block style.
func TestRegions(t *testing.T) {
	file, text := example(t, "gritter-faulty")
	got := map[string][]string{}
	for _, r := range results(checked(t, file, text)) {
		said := within(text, region(at(r, "locations", 0)))
		if strings.Count(said, "\n") > 0 {
			first, _, _ := strings.Cut(said, "\n")
			said = first + " ... " + said[strings.LastIndexByte(said, '\n')+1:]
		}
		got[at(r, "ruleId").(string)] = append(got[at(r, "ruleId").(string)], said)
	}
	want := map[string][]string{
		"ports/unused-outlet-blanked": {"part: FG-P36 ...     - {number: 35, blanked: true}"},
		"reservoir/not-above-upper":   {"4.3 l"},
		"ports/element-has-line":      {"FG-E15"},
		"routing/cut-length":          {"2710 mm"},
		"ports/outlet-used-once":      {"8"},
		"fittings/look-alike":         {"FG-F4N"},
		"paperwork/part-listed":       {"FG-F4N", "FG-S25"},
		"slack/steered":               {"310 mm"},
		"slack/no-tie-inside":         {"[{at: 190 mm}]"},
		"power/fuse-protects-cable":   {"FG-S25"},
		"power/fuse-near-source":      {"650 mm"},
		"paperwork/row-name":          {`"Kingpin lower bush, left"`},
		"safety/lock-out":             got["safety/lock-out"], // the procedure, to its end
		"safety/supported":            {"step: remove-wheel ...     text: Take both front wheels off."},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
	if whole := got["safety/lock-out"]; len(whole) != 1 || !strings.HasPrefix(whole[0], "- step: brief ... ") {
		t.Errorf("the procedure: got %q", whole)
	}
}

// TestRegionStyles: the same faults in other styles of the same values.
func TestRegionStyles(t *testing.T) {
	file, text := example(t, "trailer")
	for _, tt := range []struct{ name, from, to, want string }{
		{"a key", "fuse_distance: 150 mm", "fuse_distanz: 150 mm", "fuse_distanz"},
		{"a quoted key", "fuse_distance: 150 mm", `"fuse_distanz": 150 mm`, `"fuse_distanz"`},
		{"a remark behind it", "fuse_distance: 150 mm", "fuse_distance: 150 mn # measured", "150 mn"},
		{"double quotes", "fuse_distance: 150 mm", `fuse_distance: "150 mn" # measured`, `"150 mn"`},
		{"single quotes", "fuse_distance: 150 mm", "fuse_distance: '150 mn'", "'150 mn'"},
		{"over two lines", "fuse_distance: 150 mm", "fuse_distance: 150\n    mn", "150\n    mn"},
		{"a block", "fuse_distance: 150 mm", "fuse_distance: >-\n    150 mn\n", ">-\n    150 mn"},
		{"wide characters before it", "fuse_distance: 150 mm", "fuse_distance: 150 mm\n  fuße: {ä: ö}", "fuße"},
		{"an anchor before it", "fuse_distance: 150 mm", "fuse_distance: &d 150 mn", "&d 150 mn"},
	} {
		changed := strings.Replace(text, tt.from, tt.to, 1)
		if changed == text {
			t.Fatalf("%s: the example does not hold %q", tt.name, tt.from)
		}
		var got []string
		for _, r := range results(checked(t, file, changed)) {
			if strings.HasPrefix(at(r, "ruleId").(string), "file/") {
				got = append(got, within(changed, region(at(r, "locations", 0))))
			}
		}
		if !slices.Contains(got, tt.want) {
			t.Errorf("%s: got %q, want %q", tt.name, got, tt.want)
		}
	}
}

// TestRelated: the earlier line on the outlet, the joint that a span goes over,
// the twin.
func TestRelated(t *testing.T) {
	file, text := example(t, "gritter-faulty")
	text = strings.Replace(text, "id: kingpin-right\n", "id: kingpin-left\n", 1)
	got := map[string][]string{}
	for _, r := range results(checked(t, file, text)) {
		list, _ := r.(map[string]any)["relatedLocations"].([]any)
		for _, l := range list {
			said, _, _ := strings.Cut(within(text, region(l)), "\n")
			got[at(r, "ruleId").(string)] = append(got[at(r, "ruleId").(string)], at(l, "message", "text").(string)+" "+said)
		}
	}
	for rule, want := range map[string]string{
		"ports/outlet-used-once": "this line has the outlet already. 8",
		"slack/steered":          "the span goes over this joint. id: kingpin-left",
		"survey/joint-id-once":   "this joint has the id too. kingpin-left",
	} {
		if !slices.Contains(got[rule], want) {
			t.Errorf("%s: got %q, want %q", rule, got[rule], want)
		}
	}
}

// TestFixesMend makes each change that a log proposes, as 3.57 says, and checks
// the kit again: the finding is gone.
func TestFixesMend(t *testing.T) {
	file, text := example(t, "gritter-faulty")
	text = strings.Replace(text, "hold: clip}", "hold: clipp}", 1)
	text = strings.Replace(text, "fuse_distance: 650 mm", "fuse_distance: 650 milimetres", 1)
	mark := func(r any) string { return at(r, "partialFingerprints", sarif.FingerprintKey).(string) }
	var fixed []string
	for _, r := range results(checked(t, file, text)) {
		fixes, _ := r.(map[string]any)["fixes"].([]any)
		if len(fixes) == 0 {
			continue
		}
		after, says := text, at(r, "ruleId").(string)+":"
		pieces := at(fixes[0], "artifactChanges", 0, "replacements").([]any)
		for _, one := range slices.Backward(pieces) {
			old, put := within(text, at(one, "deletedRegion")), at(one, "insertedContent", "text").(string)
			from := len(before(text, at(one, "deletedRegion")))
			after = after[:from] + put + after[from+len(old):]
			says += " " + strings.Join(strings.Fields(old+" -> "+put), " ")
		}
		fixed = append(fixed, says+" | "+at(fixes[0], "description", "text").(string))
		for _, left := range results(checked(t, file, after)) {
			if mark(left) == mark(r) {
				t.Errorf("%s is still found: %s", fixed[len(fixed)-1], at(left, "message", "text"))
			}
		}
	}
	const safe, decision, first = " This follows from the rest of the file.", " Somebody has to decide on this.", " Look first: another finding is about the value that it rests on, and comes first: "
	want := []string{
		"ports/unused-outlet-blanked: -> - {number: 36, blanked: true} | add to the outlets: number 36, blanked true." + safe,
		"reservoir/not-above-upper: 4.3 l -> 4 l | fill to 4 l at most." + decision,
		"file/shape: clipp -> clip | set hold to clip." + safe,
		"routing/cut-length: 2710 mm -> 2789 mm | cut it to 2789 mm." + safe,
		"ports/outlet-used-once: 8 -> 9 | move this line to outlet 9." + decision,
		"fittings/look-alike: FG-F4N -> FG-F4R | take fitting FG-F4R." + decision,
		"paperwork/part-listed: -> - {part: FG-F4N, quantity: 1} | add to the parts list: part FG-F4N, quantity 1." + safe + first + "fittings/look-alike.",
		"slack/steered: 310 mm -> 345 mm | lengthen the free length by 35 mm to 345 mm." + decision,
		"paperwork/part-listed: -> - {part: FG-S25, quantity: 1} | add to the parts list: part FG-S25, quantity 1." + safe + first + "power/fuse-protects-cable.",
		"power/fuse-protects-cable: FG-S25 -> FG-S75 | fit fuse FG-S75 of 7.5 A." + decision,
		"file/value: 650 milimetres -> 650 mm | set fuse distance to 650 mm." + safe,
		`paperwork/row-name: "Kingpin lower bush, left" -> "Kingpin lower bush, right" | set name to Kingpin lower bush, right.` + safe,
	}
	if diff := cmp.Diff(want, fixed); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
}

// before is the text before a region.
func before(text string, region any) string {
	r := region.(map[string]any)
	lines := strings.SplitAfter(text, "\n")[:int(r["startLine"].(float64))]
	lines[len(lines)-1] = string([]rune(lines[len(lines)-1])[:int(r["startColumn"].(float64))-1])
	return strings.Join(lines, "")
}

// TestFingerprints: they stay when a body or the kit's own number is named
// otherwise; the one that rests on the number changes with it.
func TestFingerprints(t *testing.T) {
	file, text := example(t, "gritter-faulty")
	marks := func(text, key string) []string {
		var list []string
		for _, r := range results(checked(t, file, text)) {
			list = append(list, at(r, "partialFingerprints", key).(string))
		}
		slices.Sort(list)
		return list
	}
	renamed := strings.ReplaceAll(text, "name: chassis", "name: main frame")
	if renamed == text {
		t.Fatal("the example has no chassis")
	}
	for _, key := range []string{sarif.FingerprintKey, sarif.PlaceKey} {
		if diff := cmp.Diff(marks(text, key), marks(renamed, key)); diff != "" {
			t.Errorf("%s, a body renamed: -before +after\n%s", key, diff)
		}
		if list := marks(text, key); len(slices.Compact(slices.Clone(list))) != len(list) {
			t.Errorf("%s: two results have one", key)
		}
	}
	numbered := strings.Replace(text, "number: WS-", "number: XS-", 1)
	if diff := cmp.Diff(marks(text, sarif.PlaceKey), marks(numbered, sarif.PlaceKey)); diff != "" {
		t.Errorf("another number: -before +after\n%s", diff)
	}
}

// TestRanks: what can injure comes before what keeps the kit from its job.
func TestRanks(t *testing.T) {
	file, text := example(t, "gritter-faulty")
	for _, r := range results(checked(t, file, text)) {
		want := map[string]float64{"critical": 90, "major": 60, "minor": 30}[at(r, "properties", "severity").(string)]
		if got := at(r, "rank"); got != want {
			t.Errorf("%s: rank %v, want %v", at(r, "ruleId"), got, want)
		}
	}
}
