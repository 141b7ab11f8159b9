package facts

import (
	"slices"
	"strconv"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/procedure"
	"kitgauge/checker/value"
)

// StepWork is what a step says of the work.
type StepWork struct {
	Early       []string   `key:"work_first"`   // work that comes only after it and is needed before
	LinesLeft   []string   `key:"lines_left"`   // lines that no step of its kind names, at the first of them
	LinesNoSuch []string   `key:"lines_absent"` // numbers that no line has
	Denies      value.Text `key:"denies"`       // words of its text against its kind, or ""
	Guards      value.Flag `key:"guards"`       // part of applying energy control, or of holding the vehicle
}

// everyLine are the kinds that are done to every line; what is left out of the
// priming is another rule's.
var everyLine = []string{"fit-line", "connect-line"}

// work looks whether the procedure does what the kit needs. It returns the
// kinds of work that no step does.
func work(k *kit.Kit, steps []*Step) (undone []string) {
	kinds := make([]string, len(steps))
	for i, s := range steps {
		kinds[i] = s.Kind.V
	}
	early := procedure.Early(kinds)
	numbers := lineNumbers(k)
	for i, s := range steps {
		kind, _ := procedure.Lookup(s.Kind.V)
		s.Early = early[i]
		s.Denies = value.Known(procedure.Contradiction(s.Kind.V, s.Text.V))
		s.Guards = value.Known(kind.Control || slices.Contains(guards, kind.Name))
		for _, n := range s.Lines {
			if n.Known && !slices.Contains(numbers, n.V) {
				s.LinesNoSuch = append(s.LinesNoSuch, strconv.FormatInt(n.V, 10))
			}
		}
	}
	for _, kind := range everyLine {
		linesLeft(steps, kind, numbers)
	}
	return procedure.Undone(kinds, procedure.Job{
		Pump: k.Pump.Node != nil, Lines: len(k.Lines) > 0, Feed: k.Feed.Node != nil,
	})
}

// guards are the kinds that protect people beside the control of energy.
var guards = []string{"chock", "support", "prop", "protect-eyes", "protect-hands"}

// lineNumbers are those of the kit's lines, in the order of the file.
func lineNumbers(k *kit.Kit) []int64 {
	var numbers []int64
	for _, l := range k.Lines {
		if l.Number.Known {
			numbers = append(numbers, l.Number.V)
		}
	}
	return numbers
}

// linesLeft finds the lines that no step of a kind names. A step that names
// none is for all.
func linesLeft(steps []*Step, kind string, numbers []int64) {
	named := map[int64]bool{}
	var first *Step
	for _, s := range steps {
		if s.Kind.V != kind {
			continue
		}
		if len(s.Lines) == 0 {
			return
		}
		if first == nil {
			first = s
		}
		for _, n := range s.Lines {
			named[n.V] = true
		}
	}
	if first == nil {
		return
	}
	for _, n := range numbers {
		if !named[n] {
			first.LinesLeft = append(first.LinesLeft, strconv.FormatInt(n, 10))
		}
	}
}
