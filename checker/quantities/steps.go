package quantities

import (
	"fmt"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/procedure"
	"kitgauge/checker/source"
	"kitgauge/checker/value"
)

// Step is a step of the procedure with what it is let down by.
type Step struct {
	*kit.Step
	Number   value.Count `key:"number"`
	Touches  value.Flag  `key:"touches"`  // work on the vehicle
	Under    value.Flag  `key:"under"`    // usually under the vehicle
	Pressure value.Flag  `key:"pressure"` // something under pressure may come out
	Known    value.Flag  `key:"known"`    // its kind is in the list
	Breaches []*Breach   `key:"breaches"`
}

// Place names the step.
func (s *Step) Place() string {
	return fmt.Sprintf("step %d (%s)", s.Number.V, s.Kind.Or("of no kind"))
}

// Source is the step's place in the file.
func (s *Step) Source() *source.Node { return s.Node }

// Breach is one required order that a step does not keep.
type Breach struct {
	Needs value.Text `key:"needs"` // the kind of step that it needs
	Fault value.Text `key:"fault"` // missing, too late, too early
	After value.Flag `key:"after"` // it is needed after this step, not before
	Basis value.Text `key:"basis"`
}

func (f *Kit) steps() {
	kinds := make([]string, len(f.Kit.Procedure))
	for i, s := range f.Kit.Procedure {
		step := &Step{Step: s, Number: value.Known(int64(i + 1))}
		k, known := procedure.Lookup(s.Kind.V)
		step.Known = value.Known(known)
		step.Touches, step.Under, step.Pressure = value.Known(k.Touches), value.Known(k.Under), value.Known(k.Pressure)
		if known {
			kinds[i] = s.Kind.V
			f.StepKinds = append(f.StepKinds, s.Kind.V)
		}
		f.Procedure = append(f.Procedure, step)
	}
	breaches, err := procedure.Check(kinds, procedure.Conditions{RaisedBody: f.Kit.Vehicle.RaisedBody.V})
	if err != nil {
		return // cannot be: kinds that are not known were left empty
	}
	for _, b := range breaches {
		s := f.Procedure[b.Step]
		s.Breaches = append(s.Breaches, &Breach{
			Needs: value.Known(b.Needs), Fault: value.Known(b.Fault.String()),
			After: value.Known(b.Rule.Need == procedure.FirstNeedsThen), Basis: value.Known(b.Rule.Basis),
		})
	}
}

// Place names the breach, for the working of a rule.
func (b *Breach) Place() string { return b.Needs.V + " " + b.Fault.V }
