package checker

import (
	"slices"

	"kitgauge/checker/engine"
	"kitgauge/checker/faultcard"
	"kitgauge/checker/finding"
	"kitgauge/checker/report"
	"kitgauge/checker/settings"
	"kitgauge/checker/source"
)

// Explanation is what there is to say of a rule.
type Explanation struct {
	Rule *engine.Rule
	// Set is what the settings make of its severity; nil where they do not.
	Set     *settings.Override
	Limits  []LimitInForce
	Example *Example // nil where no built-in fault card shows it
}

// LimitInForce is a limit that a rule uses, as it stands for a kit.
type LimitInForce struct {
	*engine.Limit
	Pack *engine.Pack
	SI   float64
	Set  *settings.Override // what the settings make of it; nil where they do not
}

// Example is a kit that passes a rule, and the fault with which it fails.
type Example struct {
	Card  *faultcard.Card
	Clean *source.Document
	Found *finding.Finding // what the rule says of the fault
}

// Explain explains a rule as it stands for the kit of a file; "" is no kit,
// and no settings apply. It returns nil and the ids of all rules in use where
// there is no such rule.
func (c *Checker) Explain(id, kit string) (*Explanation, []string, error) {
	config, err := c.Config(kit)
	if err != nil {
		return nil, nil, err
	}
	var ids []string
	for _, pack := range config.Packs {
		for _, rule := range pack.Rules {
			if rule.ID == id {
				e, err := config.explain(pack, rule)
				return e, nil, err
			}
			ids = append(ids, rule.ID)
		}
	}
	return nil, ids, nil
}

func (p *Config) explain(pack *engine.Pack, rule *engine.Rule) (*Explanation, error) {
	e := &Explanation{Rule: rule, Set: p.severitySet(rule.ID)}
	for _, l := range rule.UsedLimits() {
		id := pack.Name + "/" + l.Name
		e.Limits = append(e.Limits, LimitInForce{Limit: l, Pack: pack, SI: p.Limit(id).V, Set: p.limitSet(id)})
	}
	var err error
	e.Example, err = example(rule)
	return e, err
}

// example plays the first fault card of a rule.
func example(rule *engine.Rule) (*Example, error) {
	cards, _ := Cards(report.Pack(rule.ID))
	i := slices.IndexFunc(cards, func(c faultcard.Card) bool { return c.Rule == rule.ID })
	if i < 0 {
		return nil, nil
	}
	clean, err := Clean(cards[i].Kit)
	if err != nil {
		return nil, err
	}
	r, err := OnExamples().Play(&cards[i], clean)
	if err != nil {
		return nil, err
	}
	e := &Example{Card: &cards[i], Clean: clean}
	if at := slices.IndexFunc(r.Findings, func(f finding.Finding) bool { return f.Rule == rule.ID && f.Status == finding.Violated }); at >= 0 {
		e.Found = &r.Findings[at]
	}
	return e, nil
}
