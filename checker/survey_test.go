package checker_test

import (
	"encoding/json"
	"fmt"
	"strconv"
	"strings"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/faultcard"
	"kitgauge/checker/internal/fleet"
	"kitgauge/examples"
)

// TestSurveyStaysSilent plays what vehicles and kits truly are, put into the
// examples: nothing is found, or nothing of the pack survey where the change
// would take more of the kit with it.
func TestSurveyStaysSilent(t *testing.T) {
	cylinder := func(side, sign string) string {
		return fmt.Sprintf(`{id: wheel-%s, name: %s front wheel, kind: wheel, shape: cylinder, body: knuckle-%s, from: [0 mm, %s965 mm, 500 mm], to: [0 mm, %s1245 mm, 500 mm], radius: 500 mm}`, side, side, side, sign, sign)
	}
	for _, tt := range []struct {
		name, kit, patch string
		surveyOnly       bool
	}{
		{name: "the pump's upward direction left out", kit: "gritter", patch: `[{op: remove, path: /pump/up}]`},
		{name: "wheels drawn as cylinders", kit: "gritter", patch: `[{op: replace, path: /zones/1, value: ` + cylinder("left", "") + `}, {op: replace, path: /zones/2, value: ` + cylinder("right", "-") + `}]`},
		{name: "a title that counts nothing", kit: "trailer", patch: `[{op: replace, path: /header/title, value: Salt trailer}]`},
		{name: "one ladder, on the left", kit: "gritter", patch: `[{op: add, path: /zones/-, value: {id: ladder-left, name: left ladder, kind: edge, shape: box, body: chassis, from: [-2 m, 1150 mm, 500 mm], to: [-1.6 m, 1240 mm, 1500 mm]}}]`},
		{name: "no heat source on a trailer, and said so", kit: "trailer", patch: `[{op: add, path: /vehicle/heat_sources, value: none}]`},
		{name: "heat sources listed, and said so", kit: "gritter", patch: `[{op: add, path: /vehicle/heat_sources, value: listed}]`},
		{name: "a point 30 mm off the mirror image of its twin", kit: "gritter", surveyOnly: true, patch: `[{op: replace, path: /points/4/position/0, value: -230 mm}]`},
		{name: "an articulation that twists the frames", kit: "loader", surveyOnly: true, patch: `[{op: replace, path: /joints/0/axis, value: [1, 0, 0]}, {op: replace, path: /joints/0/range, value: {from: -12 deg, to: 12 deg}}]`},
		{name: "a body that tips to the side", kit: "gritter", surveyOnly: true, patch: `[{op: replace, path: /joints/4/axis, value: [1, 0, 0]}, {op: replace, path: /joints/4/pivot, value: [-3000 mm, -420 mm, 1120 mm]}, {op: replace, path: /joints/4/name, value: side tipping}, {op: replace, path: /points/22/name, value: "Body latch, left"}, {op: replace, path: /points/23/name, value: "Body latch, right"}]`},
		{name: "kingpins without inclination, and equal locks", kit: "gritter", surveyOnly: true, patch: `[{op: replace, path: /joints/1/axis, value: [0, 0, 1]}, {op: replace, path: /joints/2/axis, value: [0, 0, 1]}, {op: replace, path: /joints/1/range, value: {from: -40 deg, to: 40 deg}}, {op: replace, path: /joints/2/range, value: {from: -40 deg, to: 40 deg}}]`},
		{name: "the axis of one kingpin written the other way round", kit: "gritter", patch: `[{op: replace, path: /joints/2/axis, value: [0, -0.1, -1]}, {op: replace, path: /joints/2/range, value: {from: -38 deg, to: 44 deg}}]`},
	} {
		t.Run(tt.name, func(t *testing.T) {
			text := fmt.Sprintf("pack: survey\ncards:\n  - {rule: x, fault: none, kit: %s, patch: %s}\n", tt.kit, tt.patch)
			_, cards, problems := faultcard.Read(parse(t, "silent.yaml", []byte(text)))
			if len(problems) > 0 {
				t.Fatal(problems[0])
			}
			clean, err := checker.Clean(tt.kit)
			if err != nil {
				t.Fatal(err)
			}
			r, err := checker.OnExamples().Play(&cards[0], clean)
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range r.Findings {
				if !tt.surveyOnly || strings.HasPrefix(f.Rule, "survey/") {
					t.Errorf("%s at %s: %s; %s", f.Rule, f.Place, f.Message, f.Remedy)
				}
			}
		})
	}
}

// swapped exchanges left and right in a text.
var swapped = strings.NewReplacer("left", "right", "right", "left", "Left", "Right", "Right", "Left")

// mirror makes the kit of a vehicle that is built the other way round: y
// changes its sign, an axis of rotation turns as axial vectors do, and left and
// right are exchanged in the names and notes.
func mirror(v any, key string, slides bool) any {
	switch v := v.(type) {
	case map[string]any:
		_, stated := v["kind"]
		if stated {
			slides = v["kind"] == "prismatic"
		}
		for k, x := range v {
			v[k] = mirror(x, k, slides)
		}
		return v
	case []any:
		for i, x := range v {
			v[i] = mirror(x, key, slides)
		}
		if len(v) != 3 {
			return v
		}
		switch {
		case key == "axis" && !slides:
			v[0], v[2] = negative(v[0]), negative(v[2])
		case key == "axis", key == "position", key == "pivot", key == "from", key == "to", key == "filler", key == "up":
			v[1] = negative(v[1])
		}
		return v
	case string:
		if key == "name" || key == "note" || key == "filler_side" {
			return swapped.Replace(v)
		}
	}
	return v
}

func negative(v any) any {
	switch v := v.(type) {
	case float64:
		return -v + 0
	case string:
		if after, was := strings.CutPrefix(v, "-"); was {
			return after
		}
		return "-" + v
	}
	return v
}

// inches writes every length of a kit in inches of four figures.
func inches(v any) any {
	switch v := v.(type) {
	case map[string]any:
		for k, x := range v {
			v[k] = inches(x)
		}
	case []any:
		for i, x := range v {
			v[i] = inches(x)
		}
	case string:
		number, unit, _ := strings.Cut(v, " ")
		scale := map[string]float64{"mm": 1 / 25.4, "m": 1000 / 25.4}[unit]
		if n, err := strconv.ParseFloat(number, 64); err == nil && scale != 0 {
			return strconv.FormatFloat(n*scale, 'g', 4, 64) + " in"
		}
	}
	return v
}

// TestSurveyOfOtherHands holds the pack silent on the examples and on made
// kits built the other way round, and written in inches.
func TestSurveyOfOtherHands(t *testing.T) {
	texts := map[string][]byte{}
	for _, name := range []string{"gritter", "loader", "trailer"} {
		doc, err := checker.Clean(name)
		if err != nil {
			t.Fatal(err)
		}
		texts[name] = doc.Root.JSON()
	}
	for seed := range uint64(40) {
		if seed%3 != 0 && !*full {
			continue
		}
		k, err := fleet.New(seed, 4+int(seed*7%80), fleet.Options{})
		if err != nil {
			t.Fatal(err)
		}
		texts[fmt.Sprintf("made kit %d", seed)] = k.JSON()
	}
	c := checker.New(checker.Options{NoSettings: true, ReadFile: func(kit, name string) ([]byte, error) {
		if text, err := fleet.ReadFile(kit, name); err == nil {
			return text, nil
		}
		return examples.ReadFile(kit, name)
	}})
	for name, text := range texts {
		for hand, change := range map[string]func(any) any{
			"mirrored":           func(v any) any { return mirror(v, "", false) },
			"inches":             inches,
			"mirrored in inches": func(v any) any { return inches(mirror(v, "", false)) },
		} {
			var tree any
			if err := json.Unmarshal(text, &tree); err != nil {
				t.Fatal(err)
			}
			changed, err := json.Marshal(change(tree))
			if err != nil {
				t.Fatal(err)
			}
			file := "fleet.kit.json"
			if !strings.HasPrefix(name, "made") {
				file = name + "/" + name + ".kit.json"
			}
			results, err := c.Check(file, changed)
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range results[0].Findings {
				if strings.HasPrefix(f.Rule, "survey/") || strings.HasPrefix(f.Rule, "file/") || hand == "mirrored" {
					t.Errorf("%s, %s: %s at %s: %s; %s", name, hand, f.Rule, f.Place, f.Message, f.Remedy)
				}
			}
			if results[0].Checks == 0 {
				t.Errorf("%s, %s: nothing was checked", name, hand)
			}
		}
	}
}
