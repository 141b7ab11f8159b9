package editor_test

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/editor"
	"kitgauge/checker/engine"
	"kitgauge/checker/source"
	"kitgauge/examples"
)

// checked are options with what a check has computed of a text.
func checked(t testing.TB, name string, text []byte, read func(from, file string) ([]byte, error)) editor.Options {
	t.Helper()
	c := checker.New(checker.Options{NoSettings: true, ReadFile: read})
	results, err := c.Check(name, text)
	if err != nil {
		t.Fatal(err)
	}
	packs, _ := c.Packs()
	return editor.Options{
		Facts: results[0].Facts, Packs: packs,
		Margins: func(at func(*source.Node) bool, packs ...string) []engine.Margin {
			return c.MarginsAt(results[0], at, packs...)
		},
	}
}

const gritter = "gritter/gritter.kit.yaml"

// behind is the byte behind a piece of a text.
func behind(t testing.TB, text []byte, piece string) int {
	t.Helper()
	at := bytes.Index(text, []byte(piece))
	if at < 0 {
		t.Fatalf("there is no %q in the text", piece)
	}
	return at + len(piece)
}

// What a check computed stands beside the text, also once that has changed and
// cannot be read. The slack is what the check itself reports as its margin.
func TestFigures(t *testing.T) {
	text := example(t, gritter)
	o := checked(t, gritter, text, examples.ReadFile)
	want := map[string]string{}
	for _, m := range o.Margins(func(*source.Node) bool { return true }, "slack") {
		if strings.HasSuffix(m.Rule, "/steered") || strings.HasSuffix(m.Rule, "/sprung") || strings.HasSuffix(m.Rule, "/articulated") {
			want[m.Node.Identity()] = m.Value.Text
		}
	}
	for _, now := range [][]byte{text, slicesOf("# a line more\nheader: {\n", text)} {
		got := editor.Open(gritter, now, shelf{}, o).Figures(0, len(now))
		if len(got) != len(want) || len(got) < 9 {
			t.Errorf("%d figures, want %d", len(got), len(want))
		}
		for _, f := range got {
			if before := string(now[f.At-3 : f.At]); before != " mm" || !strings.HasPrefix(f.Text, "slack ") || !strings.Contains(f.Text, " of ") {
				t.Errorf("%q stands behind %q", f.Text, before)
			}
		}
	}
	at := behind(t, text, "hold: clip, free_length: 475 mm")
	if got := editor.Open(gritter, text, shelf{}, o).Figures(at-3, at+3); len(got) != 1 || got[0].At != at || got[0].Text != "slack "+strings.TrimSuffix(want["/bundles/id=FL/route/id=fl-6"], " mm")+" of 20 mm" {
		t.Errorf("got %+v, and the check has %s", got, want["/bundles/id=FL/route/id=fl-6"])
	}
}

func slicesOf(before string, text []byte) []byte { return append([]byte(before), text...) }

// What is computed is said of what stands at a place.
func TestHoverOfComputed(t *testing.T) {
	text := example(t, gritter)
	v := editor.Open(gritter, text, shelf{}, checked(t, gritter, text, examples.ReadFile))
	for piece, says := range map[string][]string{
		"hold: clip, free_length: 475": {"**Free length**", "A span to a sprung axle keeps slack: ", "(`slack/sprung`)"},
		"  - {id: fl-6":                {"**station fl-6**", "- slack: ", "(`slack/sprung`)"},
		"  - number: 3":                {"**line 3**", "- start pressure: ", "The pump starts the grease in the cold: ", "at most 120 bar"},
		"    tube: FG-T4":              {"**part FG-T4** ", "- Outer diameter: 4 mm"},
		"    parent: front-axle":       {"**body front-axle** front axle", "- Sprung: false"},
		"  - id: kingpin-left":         {"**joint kingpin-left** left kingpin", "- Range: {from: -38 deg, to: 44 deg}"},
	} {
		h, _ := v.Hover(behind(t, text, piece))
		for _, s := range says {
			if !strings.Contains(h.Text, s) {
				t.Errorf("%s: %q is not said:\n%s", piece, s, h.Text)
			}
		}
	}
}

// Concessions and settings name rules, limits, packs and places of the check.
func TestNamesOfRules(t *testing.T) {
	o := checked(t, gritter, example(t, gritter), examples.ReadFile)
	for _, tt := range []struct{ name, text, label, says string }{
		{"g.concessions.yaml", "concessions: [{rule: ¦slack/steered}]", "slack/steered", "A steered span keeps slack at full lock (major)"},
		{"g.concessions.yaml", "concessions: [{rule: slack/steered, place: ¦}]", "bundle FL, span front axle to left knuckle", ""},
		{"kitgauge.settings.yaml", "limits: {slack¦/grip: {is: 50 mm}}", "slack/grip", "60 mm"},
		{"kitgauge.settings.yaml", "severities:\n  slack¦/steered: {is: minor}", "slack/steered", "A steered span"},
		{"kitgauge.settings.yaml", "packs: {leave_out: {¦}}", "flow", ""},
		{"kitgauge.settings.yaml", "packs: {leave_out: [slack, ¦]}", "flow", ""},
		{"kitgauge.settings.yaml", "packs:\n  leave_out:\n    ¦", "flow", ""},
		{"kitgauge.settings.yaml", "packs:\n  leave_out:\n    - ¦", "flow", ""},
		{"kitgauge.settings.yaml", "packs:\n  leave_out:\n    fl¦ow: {reason: none}", "flow", "The pressures"},
		{"kitgauge.settings.yaml", "limits: {¦}", "slack/grip", ""},
		{"kitgauge.settings.yaml", "limits:\n  ¦", "slack/grip", ""},
		{"kitgauge.settings.yaml", "limits:\n  slack/grip:\n    ¦", "is", ""},
		{"kitgauge.settings.yaml", "severities: {¦}", "slack/steered", ""},
		{"kitgauge.settings.yaml", "severities:\n  ¦", "slack/steered", ""},
		{"kitgauge.settings.yaml", "severities: {slack/steered: {is: ¦}}", "minor", ""},
		{"kitgauge.settings.yaml", "loosen_below: [gate, ¦]", "slack/grip", ""},
		{"kitgauge.settings.yaml", "loosen_below:\n  - ¦", "gate", ""},
		{"kitgauge.settings.yaml", "loosen_below: [slack/g¦rip]", "slack/grip", "60 mm"},
		{"kitgauge.settings.yaml", "loosen_below:\n  - slack/st¦eered", "slack/steered", "A steered span"},
		{"kitgauge.settings.yaml", "loosen_below: [fl¦ow]", "flow", "**flow**"},
		{"g.concessions.yaml", "concessions:\n  - rule: ¦", "slack/steered", ""},
		{"g.concessions.yaml", "concessions:\n  - rule: slack/steered\n    place: ¦", "bundle FL, span front axle to left knuckle", ""},
		{"g.concessions.yaml", "concessions:\n  - rule: slack/steered\n    severity: ¦", "critical", ""},
		{"g.concessions.yaml", "concessions: [{¦}]", "rule", ""},
		{"g.kit.yaml", "concessions: [{rule: ¦}]", "slack/steered", ""},
		{"kitgauge.settings.yaml", "gate: ¦", "major", ""},
		{"kitgauge.settings.yaml", "¦", "limits", ""},
	} {
		at := strings.Index(tt.text, mark)
		v := editor.Open(tt.name, []byte(strings.Replace(tt.text, mark, "", 1)), shelf{}, o)
		found := false
		for _, c := range v.Completions(at) {
			found = found || c.Label == tt.label
		}
		h, _ := v.Hover(at)
		if !found || !strings.Contains(h.Text, tt.says) {
			t.Errorf("%s: %s is offered: %v, and it is said %q", tt.text, tt.label, found, h.Text)
		}
	}
}

// How long each call takes on the kit of 84 points.
func BenchmarkView(b *testing.B) {
	const name = "../../testdata/kits/large.kit.yaml"
	text, err := os.ReadFile(name)
	if err != nil {
		b.Fatal(err)
	}
	disk := func(_, file string) ([]byte, error) { return os.ReadFile(file) }
	o := checked(b, name, text, disk)
	at := behind(b, text, "\n  - number: 40")
	o.Before = editor.Open(name, text, reader(disk), o)
	for call, do := range map[string]func(v *editor.View){
		"Open":        func(*editor.View) {},
		"Completions": func(v *editor.View) { v.Completions(behind(b, text, "conduit: ")) },
		"Hover":       func(v *editor.View) { v.Hover(at) },
		"Definition":  func(v *editor.View) { v.Definition(at) },
		"References":  func(v *editor.View) { v.References(at) },
		"Rename":      func(v *editor.View) { _, _ = v.Rename(at, "999") },
		"Symbols":     func(v *editor.View) { v.Symbols() },
		"Folds":       func(v *editor.View) { v.Folds() },
		"Figures":     func(v *editor.View) { v.Figures(0, len(text)) },
	} {
		b.Run(call, func(b *testing.B) {
			for range b.N {
				do(editor.Open(name, text, reader(disk), o))
			}
		})
	}
}

type reader func(from, file string) ([]byte, error)

func (r reader) ReadFile(path string) ([]byte, error) { return r("", path) }

// An outlet that the pump has, and the file does not list, is free as well.
func TestOutletNotListed(t *testing.T) {
	text := bytes.Replace(example(t, gritter), []byte("    - {number: 36, blanked: true}\n"), nil, 1)
	v := editor.Open(gritter, text, shelf{}, checked(t, gritter, text, examples.ReadFile))
	labels := map[string]string{}
	for _, c := range v.Completions(behind(t, text, "outlet: 3")) {
		labels[c.Label] = c.Detail
	}
	if len(labels) != 3 || labels["35"] != "blanked so far" || labels["36"] != "not listed yet" {
		t.Errorf("got %v, want the line's own outlet 3, 35 and 36", labels)
	}
}
