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
