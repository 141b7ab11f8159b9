package checker

import (
	"slices"

	"kitgauge/checker/engine"
	"kitgauge/checker/faultcard"
	"kitgauge/checker/finding"
	"kitgauge/checker/report"
	"kitgauge/checker/settings"
	"kitgauge/checker/source"
	"kitgauge/examples"
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

// Example is an example kit and a fault for which it fails, both checked with
// the limits in force: with those of the pack the kit passes as it stands.
type Example struct {
	Card  *faultcard.Card
	Clean *source.Document
	Said  *finding.Finding // what the rule says of the kit as it stands; nil where it passes
	Found *finding.Finding // what the rule says of the fault; nil where it passes
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
				e, err := c.explain(config, pack, rule)
				return e, nil, err
			}
			ids = append(ids, rule.ID)
		}
	}
	return nil, ids, nil
}

func (c *Checker) explain(p *Config, pack *engine.Pack, rule *engine.Rule) (*Explanation, error) {
	e := &Explanation{Rule: rule, Set: p.severitySet(rule.ID)}
	for _, l := range rule.UsedLimits() {
		id := pack.Name + "/" + l.Name
		e.Limits = append(e.Limits, LimitInForce{Limit: l, Pack: pack, SI: p.Limit(id).V, Set: p.limitSet(id)})
	}
	cards, problems := Cards(report.Pack(rule.ID))
	if len(problems) > 0 {
		return nil, problems[0]
	}
	i := slices.IndexFunc(cards, func(c faultcard.Card) bool { return c.Rule == rule.ID })
	if i < 0 {
		return e, nil
	}
	on := c.With(Options{ReadFile: examples.ReadFile, On: dayOfExamples, layers: p.Files, NoSettings: true, Policy: c.options.Policy})
	var err error
	e.Example, err = on.example(&cards[i])
	return e, err
}

// example checks an example kit without and with the fault of a card.
func (c *Checker) example(card *faultcard.Card) (*Example, error) {
	e := &Example{Card: card}
	var err error
	if e.Clean, err = Clean(card.Kit); err != nil {
		return nil, err
	}
	clean, err := c.Check(e.Clean.File, e.Clean.Text)
	if err != nil {
		return nil, err
	}
	faulty, err := c.Play(card, e.Clean)
	if err != nil {
		return nil, err
	}
	e.Said = first(clean[0].Findings, card.Rule, nil)
	e.Found = first(faulty.Findings, card.Rule, clean[0].Findings)
	return e, nil
}

// first is the first finding of a rule at a place that has none already, and
// where there is no such place, the first; nil where the rule says nothing.
func first(list []finding.Finding, rule string, already []finding.Finding) *finding.Finding {
	var found *finding.Finding
	for i := range list {
		f := &list[i]
		if f.Rule != rule {
			continue
		}
		if !slices.ContainsFunc(already, func(o finding.Finding) bool { return o.Rule == rule && o.Place == f.Place }) {
			return f
		}
		if found == nil {
			found = f
		}
	}
	return found
}
