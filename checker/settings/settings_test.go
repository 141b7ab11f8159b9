package settings_test

import (
	"strings"
	"testing"

	"kitgauge/checker/settings"
	"kitgauge/checker/source"
	"kitgauge/checker/units"
	"kitgauge/schema"
)

const fleet = `packs: {leave_out: [mounting], add: [own.pack.yaml]}
gate: minor
limits:
  slack/steered_slack: {is: 40 mm, reason: winter}
  slack/ratio: {is: "0.1", reason: winter}
  flow/warmth: {is: -10 degC, reason: winter}
severities:
  slack/steered: {is: critical, reason: winter}
`

// What is wrong is told once, with its place and what would be right.
func TestReadFaulty(t *testing.T) {
	for _, tt := range []struct{ text, want string }{
		{"packs: [flow]", "1:8: this is a list; a group of members is needed"},
		{"packs: {add: own.pack.yaml}", "1:14: add is text; a list is needed; write its items below it, each after a dash"},
		{"limits: [1]", "1:9: limits is a list; a group of members is needed; write its members below it, each with its name before the colon"},
		{"limits: {a/b: 30 mm}", "1:15: this is text; a group of members is needed"},
		{"limits: {a/b: {is: 30 mm}}", "1:15: a/b has no reason; write reason: and why this fleet differs"},
		{"limits: {a/b: {is: 30 mm, reason: ' '}}", "1:35: a/b has no reason; write reason: and why this fleet differs"},
		{"severities: {a/b: {reason: r}}", "1:19: a/b has no is; write is: and the value that holds instead"},
		{"severities: {a/b: {is: [major], reason: r}}", "1:24: is is a list; text is needed; write one value after the colon"},
		{"gate: [major]", "1:7: gate is a list; text is needed"},
		{"gate: grave", `1:7: `},
	} {
		docs, _ := source.Parse("s", []byte(tt.text))
		s, problems := settings.Read(docs[0])
		if len(problems) != 1 || !strings.HasPrefix(problems[0].Error(), "s:"+tt.want) {
			t.Errorf("%s: got %v, want one problem %s", tt.text, problems, tt.want)
		}
		for _, o := range append(s.Limits, s.Severities...) {
			if o.Node == nil || o.Name != "a/b" {
				t.Errorf("%s: got %+v", tt.text, o)
			}
		}
	}
}

// FuzzRead reads settings as a check does: their shape, their members, and
// what they change in the packs.
func FuzzRead(f *testing.F) {
	f.Add([]byte(fleet))
	f.Add([]byte("packs: []\ngate: [x]\nlimits: [1]\nseverities: {a: b, c: [], d: {is: {}}}"))
	f.Add([]byte("limits: {slack/steered_slak: {is: 1}, slack/ratio: {is: 1e999, reason: ' '}, slack/steered_slack: {is: 5 V, reason: r}}"))
	f.Add([]byte("packs: {leave_out: {a: b}, add: x}\ngate: none\nseverities: {slack/steered: {is: none, reason: r}}"))
	limits := []settings.Limit{
		{Name: "slack/steered_slack", Dim: units.Length, Text: "30 mm"},
		{Name: "slack/ratio", Dim: units.Plain, Text: "0.05"},
		{Name: "flow/warmth", Dim: units.Temperature, Text: "-30 degC"},
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		docs, _ := source.Parse("kitgauge.settings.yaml", text)
		for _, doc := range docs {
			first := changed(t, doc, limits)
			if second := changed(t, doc, limits); first != second {
				t.Errorf("%q: a second time %s, want %s", text, second, first)
			}
		}
	})
}

// changed reads settings and returns all that is wrong with them.
func changed(t *testing.T, doc *source.Document, limits []settings.Limit) string {
	problems := schema.Validate("settings", doc.Root)
	shaped := len(problems) == 0
	s, more := settings.Read(doc)
	values, faults := s.LimitValues(limits)
	severities, wrong := s.RuleSeverities([]string{"slack/steered", "ports/outlet-used-once"})
	problems = append(append(append(problems, more...), faults...), wrong...)
	if !s.HasGate && shaped && doc.Root.Get("gate") != nil {
		t.Errorf("%q: the gate is passed over", doc.Text)
	}
	for _, l := range limits {
		if v, is := values[l.Name]; is && !(v > -1e31 && v < 1e31) {
			t.Errorf("%q: the limit %s is %v", doc.Text, l.Name, v)
		}
	}
	if len(problems) == 0 && (len(values) != len(s.Limits) || len(severities) != len(s.Severities)) {
		t.Errorf("%q: %d of %d limits and %d of %d severities are taken", doc.Text, len(values), len(s.Limits), len(severities), len(s.Severities))
	}
	var b strings.Builder
	for _, p := range problems {
		if p.Message == "" || p.Pos.File == "" || p.Pos.Line < 1 || p.Node == nil {
			t.Errorf("%q: problem %q at %v", doc.Text, p.Message, p.Pos)
		}
		for _, word := range []string{"%!", "strconv", "float64", "source."} {
			if strings.Contains(p.Error(), word) && !strings.Contains(string(doc.Text), word) {
				t.Errorf("%q: problem %q holds %q", doc.Text, p.Error(), word)
			}
		}
		b.WriteString(p.Error() + "\n")
	}
	return b.String()
}
