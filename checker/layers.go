package checker

import (
	"fmt"
	"maps"
	"slices"

	"kitgauge/checker/finding"
	"kitgauge/checker/settings"
	"kitgauge/checker/source"
)

// layer is one settings file of several that lie one below the other, and what
// it and those above it come to.
type layer struct {
	file     string
	settings *settings.Settings
	measures *measures
}

// add adds the settings of a file to those of the files above it, which say
// what they may loosen. Packs that the caller chose by name stay as chosen
// unless free.
func (p *Config) add(file string, s *settings.Settings, free bool) []*source.Problem {
	problems := p.choose(s, free)
	p.Settings = s.Below(p.Settings)
	problems = append(problems, p.apply(s)...)
	m := p.measures()
	m.limits, m.severities = maps.Clone(m.limits), maps.Clone(m.severities)
	problems = append(problems, p.guard(s, m)...)
	p.layers = append(p.layers, layer{file, s, m})
	return problems
}

// guard reports what settings loosen that those above do not let them loosen.
func (p *Config) guard(s *settings.Settings, m *measures) []*source.Problem {
	var problems []*source.Problem
	told := map[string]bool{}
	for _, above := range p.layers {
		for _, l := range m.loosenings(above.measures) {
			at := p.placeOf(s, l)
			if at == nil || told[l.name] || above.settings.MayLoosen(l.name) {
				continue
			}
			told[l.name] = true
			pos := at.Pos()
			if at.Parent() != nil && at.Parent().Kind == source.Map {
				pos = at.KeyPos()
			}
			problems = append(problems, &source.Problem{
				Pos: pos, Node: at,
				Message: fmt.Sprintf("%s does not let settings below it loosen %s: %s", above.file, l.name, l),
				Remedy:  fmt.Sprintf("take it out, or have %s stand under loosen_below in %s", l.name, above.file),
			})
		}
	}
	return problems
}

// placeOf is where settings state what is more lenient; nil where they do not.
func (p *Config) placeOf(s *settings.Settings, l loosening) *source.Node {
	switch l.kind {
	case packOut:
		if i := slices.IndexFunc(s.LeaveOut, func(o settings.Omission) bool { return o.Pack == l.name }); i >= 0 {
			return s.LeaveOut[i].Node
		}
	case severityLowered:
		if o, found := s.ForRule(l.name); found {
			return o.Node
		}
	case limitLoosened, limitChanged:
		if o, found := s.ForLimit(l.name); found {
			return o.Node
		}
	case gateLowered:
		return s.GateNode
	}
	return nil
}

// apply works out the limits and severities that the settings of one file
// change.
func (p *Config) apply(s *settings.Settings) []*source.Problem {
	limits, ids := p.changeable()
	values, problems := s.LimitValues(limits)
	severities, more := s.RuleSeverities(ids)
	all, ranks := maps.Clone(p.options.Limits), maps.Clone(p.options.Severities)
	if all == nil {
		all = map[string]float64{}
	}
	if ranks == nil {
		ranks = map[string]finding.Severity{}
	}
	maps.Copy(all, values)
	maps.Copy(all, p.ofCard)
	maps.Copy(ranks, severities)
	p.options.Limits, p.options.Severities = all, ranks
	return append(problems, more...)
}

// changeable lists the limits and the rules that settings can change.
func (p *Config) changeable() (limits []settings.Limit, ids []string) {
	for _, pack := range p.Packs {
		for _, l := range pack.Limits {
			limits = append(limits, settings.Limit{Name: pack.Name + "/" + l.Name, Dim: l.Dim, Text: l.Text, Outside: func(si float64) string {
				if r := pack.SensibleRange(l); !r.Holds(si) {
					return r.String()
				}
				return ""
			}})
		}
		for _, o := range pack.OtherNames() {
			limits = append(limits, settings.Limit{Name: pack.Name + "/" + o.Name, Means: pack.Name + "/" + o.Is})
		}
		for _, r := range pack.Rules {
			ids = append(ids, r.ID)
		}
	}
	return limits, ids
}

// second reports the further documents of a file that holds one: what stands
// in them would be passed over.
func second(docs []*source.Document, what string) []*source.Problem {
	if len(docs) < 2 {
		return nil
	}
	root := docs[1].Root
	return []*source.Problem{{Pos: root.Pos(), Node: root, Message: fmt.Sprintf("%s holds one YAML document, and here begins another", what), Remedy: "join the two into one, without the line --- between them"}}
}
