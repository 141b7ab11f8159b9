package engine

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"github.com/google/cel-go/cel"
	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"
	"github.com/google/cel-go/interpreter"

	"kitgauge/checker/finding"
	"kitgauge/checker/source"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// Subject is a thing that rules look at: a pointer to a struct of one of the
// vocabulary's kinds.
type Subject = value.Subject

// Input is one kit with everything computed.
type Input struct {
	Kit      Subject
	Family   units.Family
	Subjects func(kind string) []Subject
	// Stop ends the evaluation early where it returns true: the outcome is not
	// whole then, and of no use. Nil never does.
	Stop func() bool
}

func (w *Input) stopped() bool { return w.Stop != nil && w.Stop() }

// Margin is how near one rule came to its limit at one place.
type Margin struct {
	Rule, Place          string
	Value, Limit, Margin finding.Amount
	Share                float64      // margin over limit; over 1 where the limit is 0
	AtMost               bool         // the value may not exceed the limit
	Node                 *source.Node // where the place stands in the file; nil where only the least was asked for
}

// Outcome is what the evaluation of packs gave.
type Outcome struct {
	Findings     []finding.Finding
	Omitted      []finding.Omitted // what is beyond finding.MostOfRule
	Rules        int               // that were looked at
	Checks       int               // rule at a place where it applies
	NotEvaluated int               // of the checks
	Waiting      int               // of the checks: they do not hold, and need not yet
	Margins      []Margin          // the least of each rule with a comparison, where asked for
	Steps        uint64            // that the evaluation took, where they are counted
	Judged       map[string]int    // at how many places each rule could be judged, where asked for
}

// Options changes how packs are evaluated.
type Options struct {
	Margins    bool                        // ask for the least margin of every rule
	Judged     bool                        // ask at how many places each rule could be judged
	Limits     map[string]float64          // values that differ from the packs' own, in SI, by "pack/limit"
	Severities map[string]finding.Severity // those that differ from the packs' own, by rule
	// At says which places are looked at, and asks for the margins of each; nil
	// looks at all.
	At    func(Subject) bool
	Spent uint64 // steps that other packs took of what they may take together
}

// scope is what an expression sees: the kit, the thing looked at, the limits.
type scope struct {
	world  *Input
	kind   string
	it     any
	limits *limitValues
	budget budget
	spent  *uint64 // steps of this pack so far, and of those with which it shares

	counted bool // whether steps are counted

	names  []*named  // of the rule
	values []ref.Val // of the names at this place, as far as they were asked for
}

// move goes on to the next place.
func (s *scope) move(it any) {
	s.it = it
	clear(s.values)
}

// ResolveName implements CEL's activation.
func (s *scope) ResolveName(name string) (any, bool) {
	switch name {
	case s.kind:
		return s.it, true
	case "kit":
		return s.world.Kit, true
	case "limit":
		return s.limits, true
	}
	for i, n := range s.names {
		if n.name == name {
			return s.named(i, n), true
		}
	}
	return nil, false
}

// Parent implements CEL's activation.
func (s *scope) Parent() interpreter.Activation { return nil }

// eval evaluates the expression, which has been compiled.
func (e *expression) eval(s *scope) (ref.Val, error) {
	if e.program == nil {
		return nil, errors.New("the expression is faulty")
	}
	if s.over() {
		return nil, s.budget.ofKit()
	}
	v, details, err := e.program.Eval(s)
	s.took(details)
	if err != nil {
		if strings.Contains(err.Error(), "cost limit exceeded") {
			return nil, s.budget.ofPlace()
		}
		return nil, err
	}
	if v = finite(v); types.IsError(v) {
		return nil, errNotFinite
	}
	return v, nil
}

// over reports whether all steps are used up.
func (s *scope) over() bool { return s.counted && *s.spent > s.budget.kit }

// charge counts what is beside the expressions.
func (s *scope) charge(steps uint64) {
	if s.counted {
		*s.spent += steps
	}
}

// took counts what an evaluation took; nothing where no cost is counted.
func (s *scope) took(details *cel.EvalDetails) {
	if cost := details.ActualCost(); cost != nil {
		*s.spent += *cost
	}
}

// holds evaluates a condition.
func (e *expression) holds(s *scope) (bool, error) {
	v, err := e.eval(s)
	if err != nil {
		return false, err
	}
	return v == types.True, nil
}

func (e *expression) number(s *scope) (float64, error) {
	v, err := e.eval(s)
	if err != nil {
		return 0, err
	}
	switch n := v.(type) {
	case types.Double:
		return float64(n), nil
	case types.Int:
		return float64(n), nil
	}
	return 0, errors.New("the result is not a number")
}

// reason is why an expression could not be evaluated, for a person.
func reason(err error) string {
	var m *Missing
	if errors.As(err, &m) {
		return m.Error()
	}
	switch text := err.Error(); {
	case strings.Contains(text, "index out of bounds"):
		return "a list has no such item"
	default:
		return text
	}
}

// Evaluate runs the rules of a pack over a kit. A rule whose expressions are
// faulty is an error; ReadPack and Compile report it with its place.
func (p *Pack) Evaluate(w *Input, o Options) (Outcome, []*source.Problem) {
	var out Outcome
	var problems []*source.Problem
	limits := p.inForce(o)
	spent := o.Spent
	for _, r := range p.Rules {
		if w.stopped() {
			break
		}
		out.Rules++
		subjects := w.Subjects(r.Of)
		if len(subjects) == 0 {
			continue
		}
		if bad := r.ready(); len(bad) > 0 {
			problems = append(problems, bad...)
			continue
		}
		run := ruleRun{rule: r, out: &out, options: o}
		here := scope{world: w, kind: r.Of, limits: limits, budget: p.budget, spent: &spent, counted: !p.Unbudgeted, names: r.with, values: make([]ref.Val, len(r.with))} // one for all places
		for i, it := range subjects {
			if w.stopped() {
				break
			}
			if o.At != nil && !o.At(it) {
				continue
			}
			here.move(it)
			if here.over() {
				run.giveUp(it, &here, len(subjects)-i)
				break
			}
			run.at(&here, it)
			here.charge(placeSteps)
		}
		out.Omitted = append(out.Omitted, run.omitted...)
		if o.Judged && run.judged > 0 {
			if out.Judged == nil {
				out.Judged = map[string]int{}
			}
			out.Judged[r.ID] = run.judged
		}
		if run.least != nil {
			out.Margins = append(out.Margins, *run.least)
		}
	}
	out.Steps = spent - o.Spent
	return out, problems
}

// Prepare compiles ahead what every evaluation needs. What is faulty is
// reported when it is used, or by Compile.
func (p *Pack) Prepare() {
	for _, r := range p.Rules {
		if _, known := p.vocabulary.kinds[r.Of]; known {
			r.ready()
		}
	}
}

// ready compiles what every evaluation needs. Of a pack that was compiled when
// the program was built, what must hold waits until the rule first applies.
func (r *Rule) ready() []*source.Problem {
	var problems []*source.Problem
	needed := r.needed()
	if r.pack.stored != nil && r.given != nil {
		needed = needed[:1]
	}
	for _, e := range needed {
		e.compile()
		problems = append(problems, e.problems...)
	}
	return problems
}

// needed lists the expressions that an evaluation needs, given first. Of the
// names it may need each.
func (r *Rule) needed() []*expression {
	var list []*expression
	if r.given != nil {
		list = append(list, r.given)
	}
	for _, n := range r.with {
		list = append(list, n.expression)
	}
	if r.derived {
		return append(list, r.compare.value, r.compare.limit)
	}
	return append(list, r.must)
}

// ruleRun evaluates one rule at one place after the other.
type ruleRun struct {
	rule    *Rule
	out     *Outcome
	options Options
	least   *Margin
	listed  [finding.Critical + 1]int // findings, by severity
	omitted []finding.Omitted

	compiled bool // what must hold
	judged   int  // places
}

// lists counts a finding, and reports whether it is one of those that are
// listed.
func (run *ruleRun) lists(severity finding.Severity, status finding.Status) bool {
	if run.listed[severity]++; run.listed[severity] <= finding.MostOfRule {
		return true
	}
	for i := range run.omitted {
		if o := &run.omitted[i]; o.Severity == severity && o.Status == status {
			o.Count++
			return false
		}
	}
	run.omitted = append(run.omitted, finding.Omitted{Rule: run.rule.ID, Severity: severity, Status: status, Count: 1})
	return false
}

// holds evaluates what must hold. Where that is a comparison alone, a value
// that differs from its limit by no more than it was measured to is on the
// limit, and holds.
func (r *Rule) holds(s *scope) (bool, error) {
	if !r.derived {
		return r.must.holds(s)
	}
	value, limit, err := r.compare.numbers(s)
	if err != nil {
		return false, err
	}
	if r.compare.atMost {
		return !above(value, limit), nil
	}
	return !above(limit, value), nil
}

// above reports whether a number is above another by more than what is
// measured to four figures can be off.
func above(a, b float64) bool {
	return a-b > measured*max(math.Abs(a), math.Abs(b))
}

// measured is the share by which a value that was taken to four figures, in
// whatever unit, differs at most from what was measured: half a unit of the
// last figure of 1.000. It is written with four as well, so that nothing that
// reads like its limit is beyond it.
const measured = 0.5e-3

// rounding is the share by which two results of the same arithmetic differ.
const rounding = 1e-9

func (run *ruleRun) at(s *scope, it Subject) {
	r := run.rule
	if r.given != nil {
		applies, err := r.given.holds(s)
		if err != nil {
			run.notEvaluated(it, s, err)
			return
		}
		if !applies {
			return
		}
	}
	if !run.compiled {
		run.compiled = true
		for _, e := range r.needed() {
			e.compile() // once; nothing where ready did it
		}
	}
	run.out.Checks++
	ok, err := r.holds(s)
	switch {
	case err != nil:
		run.out.Checks--
		run.notEvaluated(it, s, err)
		return
	case !ok && r.waiting(s):
		run.out.Waiting++
	case !ok:
		if severity := run.severity(r.raised(s)); run.lists(severity, finding.Violated) {
			f := r.violated(s, it)
			f.Severity = severity
			s.charge(weight(&f))
			run.out.Findings = append(run.out.Findings, f)
		}
	}
	run.judged++
	if (run.options.Margins || run.options.At != nil) && r.compare != nil {
		run.margin(s, it)
	}
}

// severity is that of the settings, where they change it.
func (run *ruleRun) severity(own finding.Severity) finding.Severity {
	if s, changed := run.options.Severities[run.rule.ID]; changed {
		return s
	}
	return own
}

func (run *ruleRun) notEvaluated(it Subject, s *scope, err error) {
	run.out.Checks++
	run.out.NotEvaluated++
	severity := run.severity(run.rule.Severity)
	if !run.lists(severity, finding.NotEvaluated) {
		return
	}
	f := run.rule.finding(it, s)
	f.Severity = severity
	f.Status = finding.NotEvaluated
	f.Message = "not evaluated: " + reason(err)
	s.charge(weight(&f))
	run.out.Findings = append(run.out.Findings, f)
}

// giveUp says at one place that this and the others of so many cannot be
// judged any more, because all steps are used up.
func (run *ruleRun) giveUp(it Subject, s *scope, places int) {
	run.notEvaluated(it, s, s.budget.ofKit())
	if rest := places - 1; rest > 0 {
		run.out.Checks += rest
		run.out.NotEvaluated += rest
		run.omitted = append(run.omitted, finding.Omitted{Rule: run.rule.ID, Severity: run.severity(run.rule.Severity), Status: finding.NotEvaluated, Count: rest})
	}
}

// weight is what a finding costs: what is said of it goes into every report.
func weight(f *finding.Finding) uint64 {
	bytes := len(f.Rule) + len(f.Title) + len(f.Basis) + len(f.Message) + len(f.Remedy)
	for _, t := range f.Working {
		bytes += len(t.Expression) + len(t.Value)
	}
	return findingSteps + uint64(bytes)
}

// finding has what violated and not evaluated findings share.
func (r *Rule) finding(it Subject, s *scope) finding.Finding {
	n := it.Source()
	if n == nil {
		n = s.world.Kit.Source()
	}
	for _, key := range r.At {
		if m := n.Get(key); m != nil {
			n = m
		}
	}
	return finding.Finding{
		Rule: r.ID, Title: r.Title, Severity: r.Severity, Own: r.Severity, Basis: r.Basis, Cause: r.Cause, LastCause: r.LastCause,
		Pos: n.Pos(), Pointer: n.Pointer(), Identity: identity(n), Place: it.Place(),
	}
}

// identity tells documents of one file apart.
func identity(n *source.Node) string {
	if d := n.Document(); d != nil && d.Index > 0 {
		return fmt.Sprintf("%d:%s", d.Index, n.Identity())
	}
	return n.Identity()
}

// waiting reports whether the rule need not hold yet.
func (r *Rule) waiting(s *scope) bool {
	if r.waits == nil {
		return false
	}
	r.compile()
	yet, err := r.waits.holds(s)
	return err == nil && yet
}

// raised is the severity at a place where the rule does not hold.
func (r *Rule) raised(s *scope) finding.Severity {
	r.compile() // the rest of the expressions, once
	if r.raiseOn != nil {
		if up, err := r.raiseOn.holds(s); err == nil && up {
			return r.raiseTo
		}
	}
	return r.Severity
}

func (r *Rule) violated(s *scope, it Subject) finding.Finding {
	f := r.finding(it, s)
	f.Status = finding.Violated
	f.Message, f.Remedy = r.says.fill(s), r.remedy.fill(s)
	if r.compare != nil {
		if value, limit, err := r.compare.numbers(s); err == nil {
			v, l, m := r.compare.amounts(value, limit, s.world.Family)
			f.Value, f.Limit, f.Margin = &v, &l, &m
		}
	}
	f.Working = r.must.working(s)
	r.mends(&f, s, it)
	f.Related = r.places(s, f.Pos)
	return f
}
