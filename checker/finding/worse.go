package finding

import (
	"fmt"
	"math"

	"kitgauge/checker/units"
)

// State is what a concession was granted for, or what a record of known
// findings holds: how grave the finding was, and its value. Worse is not
// covered.
type State struct {
	// Severity is a word of Severities. Where it is empty, the state is one as
	// grave as the rule's pack makes it, and not as a case that the pack raises.
	Severity string
	// Value is the value as a report shows it, "9.108 mm". Where it is empty,
	// any value of that severity is meant.
	Value string
}

// Worse says in what a finding is worse than the state: "it is critical, and
// was major"; "" where it is not. The margin may be worse by a share of what
// it was.
func (s State) Worse(f *Finding, share float64) string {
	was, err := ParseSeverity(s.Severity)
	if err != nil || s.Severity == "" {
		was = f.Own
	}
	if was != None && f.Severity > was {
		return fmt.Sprintf("it is %s now, and was %s", f.Severity, was)
	}
	if s.Value == "" || f.Value == nil || f.Limit == nil || f.Margin == nil {
		return ""
	}
	v, err := s.si(f)
	if err != nil {
		return fmt.Sprintf("the value is %s now, and was %s, which cannot be compared", f.Value.Text, s.Value)
	}
	is, before := f.Margin.SI, f.Limit.SI-v
	if (f.Value.SI-f.Limit.SI > 0) == (is > 0) { // the limit is the least
		before = v - f.Limit.SI
	}
	if is < before-share*math.Abs(before)-rounding*math.Abs(f.Value.SI) {
		return fmt.Sprintf("the value is %s now, and was %s, with a limit of %s", f.Value.Text, s.Value, f.Limit.Text)
	}
	return ""
}

// rounding is what a value that is shown with four figures may be off.
const rounding = 0.5e-3

// si reads the value as one of the finding's kind.
func (s State) si(f *Finding) (float64, error) {
	dim, known := units.Named(f.Value.Dimension)
	if !known {
		return 0, fmt.Errorf("%q is no dimension", f.Value.Dimension)
	}
	return units.Parse(s.Value, dim)
}
