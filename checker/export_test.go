package checker

import (
	"fmt"
	"time"

	"kitgauge/checker/engine"
	"kitgauge/checker/facts"
	"kitgauge/checker/faultcard"
	"kitgauge/checker/finding"
)

// Alone evaluates each built-in pack with the facts that it needs alone, and
// lists where it finds another number than in a whole check.
func Alone(r *Result) []string {
	var out []string
	config, _ := New(Options{NoSettings: true}).Config(r.File)
	for _, p := range config.Packs {
		one := *config
		one.Packs = []*engine.Pack{p}
		k := facts.Compute(r.Facts.Kit, facts.Options{Limit: one.Limit, On: "2026-11-25", Packs: names(one.Packs)})
		outcome, err := evaluate(k, &one, newWatch(0, time.Time{}))
		if err != nil {
			return []string{err.Error()}
		}
		found := finding.Count(outcome.Findings, finding.Violated, finding.NotEvaluated)
		for key, n := range finding.Count(r.Findings, finding.Violated, finding.NotEvaluated) {
			if len(key.Rule) > len(p.Name) && key.Rule[:len(p.Name)+1] == p.Name+"/" && found[key] != n {
				out = append(out, fmt.Sprintf("%v: %d alone, %d in a whole check", key, found[key], n))
			}
			delete(found, key)
		}
		for key, n := range found {
			out = append(out, fmt.Sprintf("%v: %d alone, none in a whole check", key, n))
		}
	}
	return out
}

// FixText mends a kit that has a card's fault.
func (c *Checker) FixText(fault *faultcard.Card, file string, text []byte, o FixOptions) (*Fix, error) {
	c, err := c.playing(fault)
	if err != nil {
		return nil, err
	}
	return c.Fix(file, text, o)
}

// SlipFirst is why edits wait behind which one slip may be.
const SlipFirst = slipFirst

// Reading is a Checker like c that reads catalogues and concessions with read.
func (c *Checker) Reading(read func(kit, file string) ([]byte, error)) *Checker {
	options := c.options
	options.ReadFile = read
	return &Checker{options: options, packs: c.packs}
}
