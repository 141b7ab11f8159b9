package report

import (
	"cmp"
	"slices"
	"strings"

	"kitgauge/checker/finding"
)

// Pack is the part of a rule's id before the slash.
func Pack(rule string) string {
	pack, _, _ := strings.Cut(rule, "/")
	return pack
}

// AllRules lists the rules in use and those that only findings name, such as
// the faults of the file itself: each once, sorted by id. What a finding does
// not tell of its rule stays empty; its severity is the gravest one found.
func (r Run) AllRules() []Rule {
	byID := map[string]Rule{}
	for i := range r.Kits {
		for _, f := range r.Kits[i].Findings {
			rule := byID[f.Rule]
			rule.ID, rule.Title, rule.Basis = f.Rule, cmp.Or(rule.Title, f.Title), cmp.Or(rule.Basis, f.Basis)
			rule.Severity = max(rule.Severity, f.Severity)
			byID[f.Rule] = rule
		}
	}
	for _, g := range r.Gone {
		if _, known := byID[g.Rule]; !known {
			byID[g.Rule] = Rule{ID: g.Rule, Severity: finding.None}
		}
	}
	for _, rule := range r.Rules {
		byID[rule.ID] = rule
	}
	list := make([]Rule, 0, len(byID))
	for _, rule := range byID { // in any order: it is sorted below
		list = append(list, rule)
	}
	slices.SortFunc(list, func(a, b Rule) int { return cmp.Compare(a.ID, b.ID) })
	return list
}
