package fill

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"kitgauge/checker"
	"kitgauge/checker/edit"
	"kitgauge/checker/finding"
	"kitgauge/checker/value"
)

type limit = value.Number

// choice is one thing that is chosen: a part, or a length.
type choice struct {
	place   string   // "line 7, at the pump"
	about   []string // how the places of findings begin that are about it
	options []option // in rising order
	judged  judges   // what decides about it
	least   bool     // the first is taken where none will do
}

// option is one of its values.
type option struct {
	label   string // "FG-F4A"
	changes []edit.Change
	parts   []string // that it brings in
}

// mostOptions is how many values of one thing are tried.
const mostOptions = 60

// choose takes for each thing the first option that all rules judge that decide
// about it, and with which none finds more about it than it did before. What
// cannot be judged, whichever option it is, is left with what is missing. The options of all are tried at once, the first
// of each, then the second of those that it did not do for.
func (f *filler) choose(choices []choice) error {
	before := weigh(f.now.Findings)
	taken, why, grave := make([]int, len(choices)), make([]string, len(choices)), make([]int, len(choices))
	for i := range taken {
		taken[i] = -1
	}
	for column := range mostOptions {
		var changes []edit.Change
		trying := map[int]option{}
		for i, c := range choices {
			at := taken[i]
			if at < 0 && column < len(c.options) {
				if reason, out := f.banned[c.key(column)]; out {
					why[i] = reason
					continue
				}
				at = column
				trying[i] = c.options[at]
			}
			if at >= 0 {
				changes = append(changes, c.options[at].changes...)
			}
		}
		if len(trying) == 0 {
			if slices.ContainsFunc(choices, func(c choice) bool { return column < len(c.options) }) && slices.Contains(taken, -1) {
				continue
			}
			break
		}
		_, result, err := f.try(changes)
		if err != nil {
			return err
		}
		for i, o := range trying {
			if lacks := choices[i].unjudged(result, o); lacks != "" {
				if why[i] == "" {
					why[i], grave[i] = "nothing was chosen, as not every rule could judge it: "+lacks, math.MaxInt
				}
				continue
			}
			reason, weighs := added(before, result, choices[i], o)
			if reason == "" {
				taken[i] = column
			} else if why[i] == "" || weighs < grave[i] { // of what comes nearest
				why[i], grave[i] = o.label+" will not do: "+reason, weighs
			}
		}
	}
	return f.settle(choices, taken, why)
}

// settle makes what was chosen.
func (f *filler) settle(choices []choice, taken []int, why []string) error {
	var changes []edit.Change
	for i, c := range choices {
		at := taken[i]
		if at < 0 {
			if len(c.options) == 0 && why[i] == "" {
				why[i] = "the catalogue has nothing of that kind for this vehicle"
			}
			f.lacks(c.place, why[i])
			if !c.least || len(c.options) == 0 {
				continue
			}
			at = 0
		}
		changes = append(changes, c.options[at].changes...)
		for _, e := range c.options[at].changes {
			f.note(c.place, said(e))
		}
		c.options = c.options[at : at+1]
		f.chosen[f.group+" "+c.place] = c
	}
	return f.accept(changes)
}

// key names an option of the choice.
func (c *choice) key(at int) string { return c.place + ": " + c.options[at].label }

// added is what is found about a choice with one of its options that was not
// found without it, "" where nothing is, and how grave all of that is. What has
// only to be listed beside it does not count.
func added(before map[rulePlace]weight, r *checker.Result, c choice, o option) (reason string, grave int) {
	is := weigh(r.Findings)
	for i := range r.Findings {
		x := &r.Findings[i]
		k := placeOf(x)
		lacking := x.Status == finding.NotEvaluated && o.named(x.Message)
		if !lacking && (x.Status != finding.Violated || !c.concerns(x.Place, o) || !is[k].more(before[k]) || onlyListed(x)) {
			continue
		}
		if reason == "" {
			reason = fmt.Sprintf("%s: %s", x.Rule, x.Message)
		}
		grave += burden(x.Severity)
	}
	return reason, grave
}

// onlyListed reports whether a finding goes once something is added to a list.
func onlyListed(x *finding.Finding) bool {
	return len(x.Edits) > 0 && !x.Choice && !slices.ContainsFunc(x.Edits, func(c edit.Change) bool { return c.Do != edit.Insert })
}

// concerns reports whether a finding at a place is about the choice.
func (c *choice) concerns(place string, o option) bool {
	for _, about := range c.about {
		if place == about || strings.HasPrefix(place, about+", ") || strings.HasPrefix(place, about+" (") {
			return true
		}
	}
	return slices.ContainsFunc(o.parts, func(part string) bool {
		return place == "part "+part || strings.HasPrefix(place, "part "+part+" (")
	})
}

// named reports whether a message is about one of its parts, as where a figure
// of it is not stated.
func (o *option) named(message string) bool {
	return slices.ContainsFunc(o.parts, func(part string) bool { return strings.Contains(message+" ", "part "+part+" ") })
}

// ban notes which of the options that were chosen turned out not to do; false
// where none did.
func (f *filler) ban() bool {
	some := false
	for _, c := range f.chosen {
		if why, _ := added(f.was, f.now, c, c.options[0]); why != "" && !c.least {
			if _, already := f.banned[c.key(0)]; !already {
				f.banned[c.key(0)] = c.options[0].label + " will not do: " + why
				some = true
			}
		}
	}
	return some
}

// rulePlace is what makes a finding the same before and after a change.
type rulePlace struct{ rule, place string }

func placeOf(f *finding.Finding) rulePlace { return rulePlace{f.Rule, f.Place} }

// weight is how often a rule is violated at a place, and how gravely.
type weight struct {
	count int
	worst finding.Severity
}

func (w weight) more(than weight) bool { return w.count > than.count || w.worst > than.worst }

// weigh adds up what is violated.
func weigh(list []finding.Finding) map[rulePlace]weight {
	out := map[rulePlace]weight{}
	for i := range list {
		if f := &list[i]; f.Status == finding.Violated {
			k := placeOf(f)
			out[k] = weight{out[k].count + 1, max(out[k].worst, f.Severity)}
		}
	}
	return out
}

// burden is how much is still found.
func (f *filler) burden() int {
	sum := len(f.open)
	for i := range f.now.Findings {
		if x := &f.now.Findings[i]; x.Status == finding.Violated || x.Status == finding.NotEvaluated {
			sum += burden(x.Severity)
		}
	}
	return sum
}

// burden weighs a finding: one of a class as much as many of the class below.
func burden(s finding.Severity) int { return 1 << (6 * int(s)) }
