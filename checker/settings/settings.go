// Package settings reads the settings file that an organisation keeps beside
// its kits: which packs are used, which limits and severities differ from the
// packs' own and why, which packs are added, and the gate.
package settings

import (
	"fmt"
	"strings"

	"kitgauge/checker/finding"
	"kitgauge/checker/source"
	"kitgauge/checker/spelling"
	"kitgauge/checker/units"
)

// FileName is the name under which settings are looked for, from the kit's
// directory upwards.
const FileName = "kitgauge.settings.yaml"

// Settings are those of one file. The zero Settings changes nothing.
type Settings struct {
	Node       *source.Node
	LeaveOut   []*source.Node // names of packs that are not used
	Add        []*source.Node // names of pack files, relative to this one
	Limits     []Override
	Severities []Override
	Gate       finding.Severity
	HasGate    bool
}

// Override is a limit or a severity that differs from the pack's own.
type Override struct {
	Name   string // "slack/steered_slack", or a rule's id
	Is     string // as written
	Reason string
	Node   *source.Node
}

// Pos is where the override stands.
func (o Override) Pos() source.Pos { return o.Node.KeyPos() }

type reader struct {
	settings *Settings
	problems []*source.Problem
}

// Read reads a settings file. Its shape has been held against the schema;
// what is missing here is left out.
func Read(doc *source.Document) (*Settings, []*source.Problem) {
	r := &reader{settings: &Settings{Node: doc.Root}}
	if packs := doc.Root.Get("packs"); packs != nil {
		r.settings.LeaveOut = items(packs.Get("leave_out"))
		r.settings.Add = items(packs.Get("add"))
	}
	r.settings.Limits = r.overrides(doc.Root.Get("limits"))
	r.settings.Severities = r.overrides(doc.Root.Get("severities"))
	if gate := doc.Root.Get("gate"); gate != nil {
		severity, err := finding.ParseSeverity(gate.Scalar)
		if err != nil {
			r.fail(gate, err.Error(), "")
		}
		r.settings.Gate, r.settings.HasGate = severity, err == nil
	}
	return r.settings, r.problems
}

func items(n *source.Node) []*source.Node {
	if n == nil {
		return nil
	}
	return n.Items
}

func (r *reader) fail(n *source.Node, message, remedy string) {
	r.problems = append(r.problems, &source.Problem{Pos: n.Pos(), Node: n, Message: message, Remedy: remedy})
}

func (r *reader) overrides(n *source.Node) []Override {
	if n == nil || n.Kind != source.Map {
		return nil
	}
	var list []Override
	for i, m := range n.Members {
		o := Override{Name: m.Key, Node: n.Items[i]}
		if is := o.Node.Get("is"); is != nil {
			o.Is = is.Scalar
		}
		if reason := o.Node.Get("reason"); reason != nil {
			o.Reason = strings.TrimSpace(reason.Scalar)
		}
		if o.Reason == "" {
			r.fail(o.Node, m.Key+" is changed without a reason", "write reason: and why this fleet differs")
		}
		list = append(list, o)
	}
	return list
}

// Limit is what the settings need to know of a pack's limit.
type Limit struct {
	Name string // with its pack: "slack/steered_slack"
	Dim  units.Dimension
	Text string
}

// LimitValues reads the overridden limits in SI, by name.
func (s *Settings) LimitValues(limits []Limit) (map[string]float64, []*source.Problem) {
	r := &reader{settings: s}
	values := map[string]float64{}
	var names []string
	byName := map[string]Limit{}
	for _, l := range limits {
		names = append(names, l.Name)
		byName[l.Name] = l
	}
	for _, o := range s.Limits {
		l, known := byName[o.Name]
		if !known {
			r.unknown(o, "limit", names)
			continue
		}
		si, err := units.Parse(o.Is, l.Dim)
		if err != nil {
			r.fail(o.at("is"), fmt.Sprintf("%s: %s", o.Name, err), fmt.Sprintf("the pack's own limit is %s", l.Text))
			continue
		}
		values[o.Name] = si
	}
	return values, r.problems
}

// RuleSeverities reads the overridden severities, by rule.
func (s *Settings) RuleSeverities(rules []string) (map[string]finding.Severity, []*source.Problem) {
	r := &reader{settings: s}
	severities := map[string]finding.Severity{}
	known := map[string]bool{}
	for _, id := range rules {
		known[id] = true
	}
	for _, o := range s.Severities {
		if !known[o.Name] {
			r.unknown(o, "rule", rules)
			continue
		}
		severity, err := finding.ParseSeverity(o.Is)
		if err != nil || severity == finding.None {
			r.fail(o.at("is"), fmt.Sprintf("%q is no severity of a rule", o.Is), "write critical, major or minor; a rule is not switched off, a finding is conceded")
			continue
		}
		severities[o.Name] = severity
	}
	return severities, r.problems
}

func (r *reader) unknown(o Override, what string, names []string) {
	message := fmt.Sprintf("there is no %s %q in the packs in use", what, o.Name)
	if n := spelling.Nearest(o.Name, names); n != "" {
		message += fmt.Sprintf("; nearest is %q", n)
	}
	r.problems = append(r.problems, &source.Problem{Pos: o.Pos(), Node: o.Node, Message: message, Remedy: "correct the name or take it out"})
}

func (o Override) at(key string) *source.Node {
	if n := o.Node.Get(key); n != nil {
		return n
	}
	return o.Node
}

// ForLimit returns the override of a limit.
func (s *Settings) ForLimit(name string) (Override, bool) { return lookup(s.Limits, name) }

// ForRule returns the override of a rule's severity.
func (s *Settings) ForRule(id string) (Override, bool) { return lookup(s.Severities, id) }

func lookup(list []Override, name string) (Override, bool) {
	for _, o := range list {
		if o.Name == name {
			return o, true
		}
	}
	return Override{}, false
}
