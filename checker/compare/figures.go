package compare

import (
	"math"
	"strconv"
	"strings"

	"kitgauge/checker/facts"
	"kitgauge/checker/finding"
	"kitgauge/checker/units"
)

// Figure is a computed value that moved. An amount is nil where it is not
// known; then Why says what is missing.
type Figure struct {
	Kind, Place, Name string // "span", "bundle FL, span chassis to front axle", "slack"
	Old, New          *finding.Amount
	By                *finding.Amount // New less Old; nil where one of them is not known
	OldWhy, NewWhy    string
}

// moved compares the computed values of what is in both revisions, by kind,
// place and name. A value that shows the same has not moved.
func moved(old, new []facts.Figures, family units.Family) []Figure {
	before := map[string]facts.Figures{}
	name := naming()
	for _, thing := range old {
		before[name(thing)] = thing
	}
	var list []Figure
	name = naming()
	for _, thing := range new {
		was, found := before[name(thing)]
		if !found {
			continue
		}
		for i, f := range thing.Figures { // of one kind, and so in one order
			if m, differs := figure(was.Figures[i], f, family); differs {
				m.Kind, m.Place = thing.Kind, thing.Place
				list = append(list, m)
			}
		}
	}
	return list
}

// naming names things, and tells those of one name apart by their order.
func naming() func(facts.Figures) string {
	seen := map[string]int{}
	return func(t facts.Figures) string {
		name := t.Kind + "\x00" + t.Place
		seen[name]++
		return name + "\x00" + strconv.Itoa(seen[name])
	}
}

func figure(old, new facts.Figure, family units.Family) (Figure, bool) {
	m := Figure{Name: new.Name, OldWhy: old.Value.Why, NewWhy: new.Value.Why}
	if old.Value.Known {
		m.Old, m.OldWhy = amount(old.Value.V, old.Dimension, family), ""
	}
	if new.Value.Known {
		m.New, m.NewWhy = amount(new.Value.V, new.Dimension, family), ""
	}
	switch {
	case m.Old == nil || m.New == nil:
		return m, (m.Old == nil) != (m.New == nil)
	case m.Old.Text == m.New.Text:
		return m, false
	}
	by := m.New.SI - m.Old.SI
	const noise = 1e-9 // what another order of adding up rounds
	if math.Abs(by) <= noise*max(math.Abs(m.Old.SI), math.Abs(m.New.SI)) {
		return m, false
	}
	m.By = amount(by, new.Dimension, family)
	m.By.Text = difference(by, m.Old.Text, m.New.Text, measure{dim: new.Dimension}, family)
	if by > 0 {
		m.By.Text = "+" + m.By.Text
	}
	return m, true
}

// difference shows a difference in the unit of the two values, where they
// share one; a difference of temperatures in K.
func difference(by float64, old, new string, of measure, family units.Family) string {
	_, unit, _ := strings.Cut(new, " ")
	_, other, _ := strings.Cut(old, " ")
	if of.dim == units.Temperature {
		unit, other = "K", "K"
	}
	if unit == other {
		if text, err := units.FormatIn(by, unit); err == nil {
			return text
		}
	}
	return of.format(by, family)
}

func amount(si float64, dim units.Dimension, family units.Family) *finding.Amount {
	return &finding.Amount{SI: si, Dimension: dim.String(), Text: units.Format(si, dim, family)}
}
