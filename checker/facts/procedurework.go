package facts

import (
	"regexp"
	"slices"
	"strconv"
	"strings"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/catalogue"
	"kitgauge/checker/quantities/procedure"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// StepWork is what a step says of the work.
type StepWork struct {
	Early        []string   `key:"work_first"`        // work that comes only after it and is needed before
	LinesLeft    []string   `key:"lines_left"`        // lines that no step of its kind names, at the first of them
	LinesNoSuch  []string   `key:"lines_absent"`      // numbers that no line has
	Denies       value.Text `key:"denies"`            // words of its text against its kind, or ""
	HandSaid     value.Text `key:"hand_said"`         // words of its text that have a hand put to what is under pressure
	Guards       value.Flag `key:"guards"`            // part of applying energy control, or of holding the vehicle
	TextOf       value.Text `key:"text_of"`           // the step whose text it seems to have
	Lifted       value.Text `key:"chocks_lifted"`     // the end of the vehicle that it chocks and another step lifts, or ""
	LiftsOther   value.Text `key:"lifts_other"`       // the end that it lifts while most steps lift the other, or ""
	OtherSays    value.Text `key:"lifts_beside"`      // the first of those steps
	FigureSaid   value.Text `key:"figure_said"`       // a figure of its text that is not the kit's
	FigureIs     value.Text `key:"figure_is"`         // what the kit has
	FigureOpen   value.Flag `key:"figure_open"`       // the text may be right: the kit would take that figure as well
	Unrelieved   []string   `key:"energies_left"`     // that other steps name, and none that relieves pressure; at the first of those
	UnrelievedBy []string   `key:"energies_named_by"` // the kinds of step that name them
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
	if i := slices.Index(kinds, "relieve-pressure"); i >= 0 {
		steps[i].Unrelieved, steps[i].UnrelievedBy = procedure.EnergiesLeft(kinds, texts)
	}
	numbers := lineNumbers(k)
	for i, s := range steps {
		kind, _ := procedure.Lookup(s.Kind.V)
		s.Early, s.FigureOpen = early[i], value.Known(false)
		s.Denies = value.Known(procedure.Contradiction(s.Kind.V, s.Text.V))
		if said := procedure.HandToPressure(s.Text.V); said != "" {
			s.HandSaid = value.Known(said)
		}
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
// reservoir, a template that is named for the holes against the pump's, and the
// bolts that are named for the pump against its own.
func (s *Step) figure(k *kit.Kit) {
	switch s.Kind.V {
	case "fill":
		s.fillFigure(k)
	case "drill", "mount-pump":
		said, has := codes.FindAllStringSubmatch(s.Text.V, -1), codes.FindStringSubmatch(k.Pump.HolePattern.V)
		for _, c := range said {
			if has != nil && c[1] == has[1] && c[2] != has[2] {
				s.FigureSaid, s.FigureIs = value.Known(c[0]), k.Pump.HolePattern
			}
		}
		if !s.FigureSaid.Known && s.Kind.V == "mount-pump" {
			s.boltFigure(k.Pump.Bolts)
		}
	}
}

// fillFigure holds the one volume of a filling step against the fill. The first
// fill of reservoir and lines may be named instead, or the upper mark.
func (s *Step) fillFigure(k *kit.Kit) {
	fill := k.Pump.Fill
	named := numbersOf(decimalComma.ReplaceAllString(s.Text.V, "$1.$2"), units.Volume)
	if len(named) != 1 || !fill.Filled.Known || fill.Upper.Known && fill.Filled.V > fill.Upper.V || fill.Lower.Known && fill.Filled.V < fill.Lower.V {
		return // what lies beyond the marks is another rule's
	}
	agrees := func(v value.Number) bool { return v.Known && catalogue.Near(named[0].si, v.V, catalogue.Printed) }
	if agrees(fill.Filled) || agrees(k.Pump.FirstFill) || strings.Contains(strings.ToLower(s.Text.V), "mark") && agrees(fill.Upper) {
		return
	}
	s.FigureSaid, s.FigureIs = value.Known(named[0].text), value.Known("a fill of "+written(fill.Filled))
	s.FigureOpen = value.Known(fill.Lower.Known && fill.Upper.Known && named[0].si >= fill.Lower.V && named[0].si <= fill.Upper.V)
}

// Bolts as texts name them, with the count before and the size before or after.
var (
	boltsSaid = regexp.MustCompile(`(?i)\b(?:(two|three|four|five|six|[2-6]) )?(?:(M[0-9]+)(?:x[0-9.]+)? )?(?:bolts?|screws?)(?: (?:of )?(M[0-9]+)\b)?`)
	boltsOf   = regexp.MustCompile(`(?i)\b(?:brackets?|plates?|console|cover|clips?)\b`)
	counted   = []string{"no", "one", "two", "three", "four", "five", "six"}
)

// boltFigure holds the count and the size of the bolts that a text names
// against the pump's. Where it speaks of a bracket they may be that one's.
func (s *Step) boltFigure(fit kit.BoltFit) {
	if boltsOf.MatchString(s.Text.V) {
		return
	}
	for _, m := range boltsSaid.FindAllStringSubmatch(s.Text.V, -1) {
		is := m[0]
		if n := fit.Count; m[1] != "" && n.Known && n.V > 1 && n.V < int64(len(counted)) {
			digits := strconv.FormatInt(n.V, 10)
			switch word := strings.ToLower(m[1]); {
			case word == digits || word == counted[n.V]:
			case slices.Contains(counted, word):
				is = strings.Replace(is, m[1], counted[n.V], 1)
			default:
				is = strings.Replace(is, m[1], digits, 1)
			}
		}
		if bolt := fit.Part.To; bolt != nil && bolt.Size.Known {
			for _, size := range m[2:] {
				if size != "" && !strings.EqualFold(size, bolt.Size.V) {
					is = strings.Replace(is, size, bolt.Size.V, 1)
				}
			}
		}
		if is != m[0] {
			s.FigureSaid, s.FigureIs = value.Known(m[0]), value.Known(is)
			return
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
