package checker_test

import (
	"fmt"
	"strings"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/faultcard"
	"kitgauge/checker/slip"
	"kitgauge/checker/units"
	"kitgauge/examples"
)

// TestRightEdits plays changes that are right as engineering, and the rule that
// once told of each has to be silent. Common practice, no source.
func TestRightEdits(t *testing.T) {
	set := func(path, to string) string { return fmt.Sprintf("{op: replace, path: %s, value: %q}", path, to) }
	named := func(point, to string) string { return set("/points/"+point+"/name", to) }
	for _, tt := range []struct{ rule, kit, patch string }{
		{"safety/every-energy-relieved", "trailer", set("/procedure/0/text", "Go through battery, air, springs and the drawbar; the hydraulics of the towing vehicle stay uncoupled; tell the yard that the trailer is out of use.")},
		{"safety/every-energy-relieved", "trailer", set("/procedure/24/text", "Give energy back; the hydraulic brake of the towing vehicle stays as it is.")},
		{"safety/every-energy-relieved", "trailer", set("/procedure/24/text", "Give energy back. Hydraulics of the tractor: see its own papers.")},
		{"survey/point-end", "gritter", named("1", "Rear shackle of front spring, left") + ", " + named("8", "Rear shackle of front spring, right")},
		{"survey/point-end", "gritter", named("1", "Rear spring pin of the front axle, left") + ", " + named("8", "Rear spring pin of the front axle, right")},
		{"survey/point-end", "gritter", named("14", "Front spring pin of the rear axle, left") + ", " + named("18", "Front spring pin of the rear axle, right")},
		{"survey/point-end", "gritter", named("1", "Rear spring shackle, front axle, left") + ", " + named("8", "Rear spring shackle, front axle, right")},
		{"survey/point-end", "gritter", named("1", "Rear shackle, left") + ", " + named("8", "Rear shackle, right")},
		{"survey/axles-counted", "gritter", set("/vehicle/description", "Truck with single-axle drive, tipping hopper and front plough")},
		{"survey/axles-counted", "gritter", set("/vehicle/description", "Single-axle drive truck with tipping hopper and front plough")},
		{"survey/axles-counted", "gritter", set("/vehicle/description", "Invented gritter truck, twin steered axles in front, single axle behind")},
		{"survey/axles-counted", "gritter", set("/vehicle/description", "Gritter truck with a one-axle bogie")},
		{"survey/axles-described", "trailer", set("/header/title", "Salt trailer for the 4x2 gritters, 8 points")},
		{"survey/axles-described", "gritter", set("/vehicle/description", "Gritter truck with a tandem-axle trailer behind")},
		{"survey/datum-axle", "gritter", set("/vehicle/datum", "on the ground, 3700 mm before the rear axle, midway between the front wheels")},
		{"survey/datum-axle", "gritter", set("/vehicle/datum", "one wheelbase before the centre of the rear axle, on the ground")},
		{"survey/range-sides", "trailer", "{op: replace, path: /joints/1/axis, value: [0, 0, 1]}, {op: replace, path: /joints/1/range, value: {from: -5 deg, to: 20 deg}}"},
		{"survey/range-sides", "loader", set("/joints/0/range/to", "83 deg")},
		{"routing/pump-moved", "gritter", longer(t, "gritter", 60)},
		{"routing/pump-moved", "gritter", longer(t, "gritter", 100)},
		{"routing/pump-moved", "trailer", longer(t, "trailer", 80)},
	} {
		for _, f := range withPatch(t, tt.kit, tt.patch).Findings {
			if f.Rule == tt.rule {
				t.Errorf("%s: %s at %s: %s", tt.patch, f.Rule, f.Place, f.Message)
			}
		}
	}
}

// Words of another step never stand for those of a step.
func TestNoTextOfAnotherStep(t *testing.T) {
	file, text, _ := examples.Kit("trailer")
	given := strings.Replace(string(text), "Give energy back.", "Give energy back with air and hydraulics.", 1)
	results, err := checker.New(checker.Options{ReadFile: examples.ReadFile, NoSettings: true, On: "2026-11-25", Slips: slip.Usual}).Check(file, []byte(given))
	if err != nil {
		t.Fatal(err)
	}
	r := results[0]
	if !strings.Contains(rulesOf(r.Findings), "safety/every-energy-relieved") {
		t.Errorf("nothing is found of the hydraulics: %s", rulesOf(r.Findings))
	}
	if says := strings.Join(r.Slips.Says(), "; "); strings.Contains(says, "text is") {
		t.Errorf("the slips are %s", says)
	}
}

// longer is the patch that makes every line of an example so much longer [mm].
func longer(t *testing.T, name string, by float64) string {
	t.Helper()
	clean, err := checker.Clean(name)
	if err != nil {
		t.Fatal(err)
	}
	var edits []string
	for i, l := range clean.Root.Get("lines").Items {
		si, err := units.Parse(l.Get("cut_length").Scalar, units.Length)
		if err != nil {
			t.Fatal(err)
		}
		edits = append(edits, fmt.Sprintf("{op: replace, path: /lines/%d/cut_length, value: %.0f mm}", i, si*1000+by))
	}
	return strings.Join(edits, ", ")
}

// withPatch checks an example with a change.
func withPatch(t *testing.T, kit, patch string) *checker.Result {
	t.Helper()
	text := fmt.Sprintf("pack: survey\ncards:\n  - {rule: x, fault: none, kit: %s, patch: [%s]}\n", kit, patch)
	_, cards, problems := faultcard.Read(parse(t, "right.yaml", []byte(text)))
	if len(problems) > 0 {
		t.Fatal(problems[0])
	}
	clean, err := checker.Clean(kit)
	if err != nil {
		t.Fatal(err)
	}
	r, err := checker.OnExamples().Play(&cards[0], clean)
	if err != nil {
		t.Fatal(err)
	}
	return r
}
