package facts

import (
	"fmt"
	"slices"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/procedure"
	"kitgauge/checker/value"
)

// Step is a step of the procedure with what it is let down by.
type Step struct {
	*kit.Step
	Number   value.Count `key:"number"`
	Touches  value.Flag  `key:"touches"`  // work on the vehicle
	Under    value.Flag  `key:"under"`    // usually under the vehicle
	Pressure value.Flag  `key:"pressure"` // something under pressure may come out
	Breaches []*Breach   `key:"breaches"`
	StepWork
}

// Place names the step.
func (s *Step) Place() string {
	return fmt.Sprintf("step %d (%s)", s.Number.V, s.Kind.Or("of no kind"))
}

// Breach is one required order that a step does not keep.
type Breach struct {
	Needs value.Text `key:"needs"` // the kind of step that it needs
	Fault value.Text `key:"fault"` // missing, too late, too early
	After value.Flag `key:"after"` // it is needed after this step, not before
	Says  value.Text `key:"says"`  // the two in words
	Basis value.Text `key:"basis"`
}

// steps lists the steps with what they are let down by, and the kinds of step
// that are known.
func steps(k *kit.Kit) (list []*Step, known []string) {
	kinds := make([]string, len(k.Procedure))
	for i, s := range k.Procedure {
		kind, is := procedure.Lookup(s.Kind.V)
		if is {
			kinds[i] = s.Kind.V
			known = append(known, s.Kind.V)
		}
		list = append(list, &Step{
			Step: s, Number: value.Known(int64(i + 1)),
			Touches: value.Known(kind.Touches), Under: value.Known(kind.Under), Pressure: value.Known(kind.Pressure),
		})
	}
	breaches, err := procedure.Check(kinds, procedure.Conditions{RaisedBody: k.Vehicle.RaisedBody.V})
	if err != nil {
		return list, known // cannot be: kinds that are not known were left empty
	}
	for _, b := range once(breaches, kinds) {
		s := list[b.Step]
		s.Breaches = append(s.Breaches, &Breach{
			Needs: value.Known(b.Needs), Fault: value.Known(b.Fault.String()), Says: value.Known(inWords(b)),
			After: value.Known(b.Rule.Need == procedure.FirstNeedsThen), Basis: value.Known(b.Rule.Basis),
		})
	}
	return list, known
}

// once keeps the first of the breaches that one change would put right: the
// same step is wanted, and the same is wrong with it, by several steps of one
// stretch of work.
func once(breaches []procedure.Breach, kinds []string) []procedure.Breach {
	type cause struct {
		needs       string
		fault       procedure.Fault
		at, stretch int
	}
	stretch := stretches(kinds)
	seen := map[cause]bool{}
	return slices.DeleteFunc(slices.Clone(breaches), func(b procedure.Breach) bool {
		c := cause{b.Needs, b.Fault, b.At, stretch[b.Step]}
		if b.Fault == procedure.Missing {
			c.stretch = 0 // it is missing from all of the procedure
		}
		twice := seen[c]
		seen[c] = true
		return twice
	})
}

// stretches numbers the stretches of work: a new one begins with the first
// work after energy was given back.
func stretches(kinds []string) []int {
	numbers := make([]int, len(kinds))
	n, released := 0, false
	for i, name := range kinds {
		k, _ := procedure.Lookup(name)
		if released && k.Work() {
			n, released = n+1, false
		}
		released = released || k.Release
		numbers[i] = n
	}
	return numbers
}

// inWords tells a breach as a person would who goes through the list.
func inWords(b procedure.Breach) string {
	follows := b.Rule.Need == procedure.FirstNeedsThen
	switch {
	case b.Fault == procedure.Missing && follows:
		return fmt.Sprintf("no %q follows it", b.Needs)
	case b.Fault == procedure.Missing:
		return fmt.Sprintf("no %q comes before it", b.Needs)
	case b.Fault == procedure.TooEarly && follows:
		return fmt.Sprintf("%q (step %d) comes before it and not after it", b.Needs, b.At+1)
	case b.Fault == procedure.TooEarly && b.Rule.Scope == procedure.SinceRelease:
		return fmt.Sprintf("%q (step %d) no longer holds once energy is given back", b.Needs, b.At+1)
	case b.Fault == procedure.TooEarly:
		return fmt.Sprintf("%q (step %d) no longer holds once work is done again", b.Needs, b.At+1)
	}
	return fmt.Sprintf("%q comes only at step %d", b.Needs, b.At+1)
}

// Place names the breach, for the working of a rule.
func (b *Breach) Place() string { return b.Needs.V + " " + b.Fault.V }
