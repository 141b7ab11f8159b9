package engine

import (
	"math"

	"kitgauge/checker/finding"
	"kitgauge/checker/units"
)

func (c *comparison) numbers(s *scope) (value, limit float64, err error) {
	if value, err = c.value.number(s); err != nil {
		return 0, 0, err
	}
	limit, err = c.limit.number(s)
	return value, limit, err
}

// amounts shows the pair and the margin between them.
func (c *comparison) amounts(value, limit float64, family units.Family) (v, l, m finding.Amount) {
	dim := c.value.dim
	if !dim.known {
		dim = c.limit.dim
	}
	amount := func(si float64, difference bool) finding.Amount {
		shown := dim.Dimension
		text := units.Format(si, shown, family)
		if difference && shown == units.Temperature {
			text = units.Format(si, units.Plain, family) + " K"
		}
		return finding.Amount{SI: si, Dimension: shown.String(), Text: text}
	}
	margin := value - limit
	if c.atMost {
		margin = limit - value
	}
	return amount(value, false), amount(limit, false), amount(margin, true)
}

func (run *ruleRun) margin(s *scope, it Subject) {
	r := run.rule
	r.compile()
	value, limit, err := r.compare.numbers(s)
	if err != nil {
		return
	}
	m := Margin{Rule: r.ID, Place: it.Place(), AtMost: r.compare.atMost}
	m.Value, m.Limit, m.Margin = r.compare.amounts(value, limit, s.world.Family)
	m.Share = m.Margin.SI
	if limit != 0 {
		m.Share /= math.Abs(limit)
	}
	if run.options.At != nil {
		m.Node = it.Source()
		run.out.Margins = append(run.out.Margins, m)
		return
	}
	if run.least == nil || m.Share < run.least.Share {
		run.least = &m
	}
}
