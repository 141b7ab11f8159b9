package facts

import (
	"regexp"
	"slices"
	"strconv"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/procedure"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// StepWork is what a step says of the work.
type StepWork struct {
	Early       []string   `key:"work_first"`    // work that comes only after it and is needed before
	LinesLeft   []string   `key:"lines_left"`    // lines that no step of its kind names, at the first of them
	LinesNoSuch []string   `key:"lines_absent"`  // numbers that no line has
	Denies      value.Text `key:"denies"`        // words of its text against its kind, or ""
	Guards      value.Flag `key:"guards"`        // part of applying energy control, or of holding the vehicle
	TextOf      value.Text `key:"text_of"`       // the step whose text it seems to have
	Lifted      value.Text `key:"chocks_lifted"` // the end of the vehicle that it chocks and another step lifts, or ""
	LiftsOther  value.Text `key:"lifts_other"`   // the end that it lifts while most steps lift the other, or ""
	OtherSays   value.Text `key:"lifts_beside"`  // the first of those steps
	FigureSaid  value.Text `key:"figure_said"`   // a figure of its text that is not the kit's
	FigureIs    value.Text `key:"figure_is"`     // what the kit has
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
	texts := make([]string, len(steps))
	for i, s := range steps {
		texts[i] = s.Text.V
	}
	early, misplaced, ends := procedure.Early(kinds), procedure.Misplaced(kinds, texts), procedure.LiftedEnds(kinds, texts)
	numbers := lineNumbers(k)
	for i, s := range steps {
		kind, _ := procedure.Lookup(s.Kind.V)
		s.Early = early[i]
		s.Denies = value.Known(procedure.Contradiction(s.Kind.V, s.Text.V))
		s.Guards = value.Known(kind.Control || slices.Contains(guards, kind.Name))
		s.lifts(ends[i], steps)
		if j := misplaced[i]; j >= 0 {
			s.TextOf = value.Known(steps[j].Place())
		}
		s.figure(k)
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

// lifts tells of a step that chocks what the others lift, or lifts what they
// leave on the ground.
func (s *Step) lifts(e procedure.Ends, steps []*Step) {
	s.Lifted, s.LiftsOther, s.OtherSays = value.Known(""), value.Known(""), value.Known("")
	switch {
	case e.Lifted == "":
	case s.Kind.V == "chock":
		s.Lifted = value.Known(e.Others)
	default:
		s.LiftsOther, s.OtherSays = value.Known(e.Lifted), value.Known(steps[e.At].Place())
	}
}

// figure holds the volume that a filling step names against the fill of the
// reservoir: one above the upper mark, or less than half of the fill, is a slip,
// others may be a choice. It holds a template that is named for the holes
// against the pump's.
func (s *Step) figure(k *kit.Kit) {
	switch s.Kind.V {
	case "fill":
		fill := k.Pump.Fill
		named := numbersOf(decimalComma.ReplaceAllString(s.Text.V, "$1.$2"), units.Volume)
		if len(named) != 1 || !fill.Filled.Known {
			return
		}
		if v := named[0].si; v >= fill.Filled.V/2 && (!fill.Upper.Known || v <= max(fill.Upper.V, fill.Filled.V)) {
			return
		}
		s.FigureSaid, s.FigureIs = value.Known(named[0].text), value.Known("a fill of "+written(fill.Filled))
	case "drill", "mount-pump":
		said, has := codes.FindAllStringSubmatch(s.Text.V, -1), codes.FindStringSubmatch(k.Pump.HolePattern.V)
		for _, c := range said {
			if has != nil && c[1] == has[1] && c[2] != has[2] {
				s.FigureSaid, s.FigureIs = value.Known(c[0]), k.Pump.HolePattern
			}
		}
	}
}

// decimalComma is that of German or French texts.
var decimalComma = regexp.MustCompile(`([0-9]),([0-9])`)

// codes are the numbers of templates and drawings: letters, then digits.
var codes = regexp.MustCompile(`\b([A-Z]+)[- ]?([0-9]+)\b`)

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
