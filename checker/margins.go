package checker

import (
	"slices"
	"time"

	"kitgauge/checker/engine"
	"kitgauge/checker/source"
)

// MarginsAt is how near the rules of some packs, all where none is named, come
// to their limits at some places of a kit that was checked: for whoever shows
// it beside the text. It evaluates the rules there anew, on what the check has
// computed. There is none where the rules cannot be used.
func (c *Checker) MarginsAt(r *Result, at func(*source.Node) bool, packs ...string) []engine.Margin {
	config, err := c.Config(r.File)
	if err != nil || r.Facts == nil {
		return nil
	}
	there := *config
	there.options.At = func(s engine.Subject) bool { return at(s.Source()) }
	if len(packs) > 0 {
		there.Packs = slices.DeleteFunc(slices.Clone(config.Packs), func(p *engine.Pack) bool { return !slices.Contains(packs, p.Name) })
	}
	w := newWatch(c.options.Time, time.Now())
	defer w.stop()
	outcome, err := evaluate(r.Facts, &there, w)
	if err != nil || w.late() {
		return nil
	}
	return outcome.Margins
}
