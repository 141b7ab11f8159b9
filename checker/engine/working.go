package engine

import (
	"sort"
	"strings"

	"github.com/google/cel-go/cel"
	celast "github.com/google/cel-go/common/ast"
	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"

	"kitgauge/checker/finding"
)

// working evaluates the expression once more and keeps the value of every
// part that says something: each member read, each computation, each
// comparison, each name with the working of what it stands for. It is only
// done for a rule that does not hold.
func (e *expression) working(s *scope) []finding.Term {
	return e.terms(s, map[string]bool{})
}

// What the working of a finding shows at most; what is beyond is left out, the
// last parts first.
const (
	mostTerms   = 100
	longestTerm = 1000 // bytes of a part, and of its value
)

// terms is the working, without what was seen before.
func (e *expression) terms(s *scope, seen map[string]bool) []finding.Term {
	program := e.tracked(s.budget)
	if program == nil || s.over() {
		return nil
	}
	_, details, _ := program.Eval(s)
	if details == nil {
		return nil
	}
	s.took(details)
	var terms []placedTerm
	for i := range e.shown {
		p := &e.shown[i]
		v, ok := details.State().Value(p.id)
		if !ok || types.IsUnknownOrError(v) || whole(v) || seen[p.text] {
			continue
		}
		add := func(t finding.Term) {
			terms = append(terms, placedTerm{p.line, p.column, len(terms), t})
		}
		if p.ident {
			if p.name == nil {
				continue
			}
			for _, t := range p.name.terms(s, seen) {
				add(t)
			}
		}
		seen[p.text] = true
		add(finding.Term{Expression: p.text, Value: clipped(show(v, p.dim, s.world.Family))})
		if len(terms) > mostTerms {
			break
		}
	}
	sort.SliceStable(terms, func(i, j int) bool { return terms[i].order < terms[j].order })
	out := make([]finding.Term, min(len(terms), mostTerms))
	for i := range out {
		out[i] = terms[i].Term
	}
	return out
}

// clipped is a text of the working, cut where it is too long.
func clipped(text string) string {
	if len(text) <= longestTerm {
		return text
	}
	w := writer{most: longestTerm}
	w.write(text)
	return w.String() + cutShort
}

// shownPart is a part of an expression that the working shows with its value.
type shownPart struct {
	id           int64
	text         string
	line, column int
	dim          dimension
	ident        bool
	name         *named // that it is, if it is one
}

// parts are those that can be shown, inner ones first: their texts are the
// same at every place.
func (e *expression) parts(ast *cel.Ast) []shownPart {
	native := ast.NativeRep()
	checker := dimensionChecker{ast: native, expr: e}
	var list []shownPart
	visit(native.Expr(), func(x celast.Expr) {
		if len(list) > 2*mostTerms { // some have no value, or are seen before
			return
		}
		text, err := cel.ExprToString(x, native.SourceInfo())
		if err != nil {
			return
		}
		text = strings.Join(strings.Fields(text), " ") // CEL breaks long lines
		at := native.SourceInfo().GetStartLocation(x.ID())
		p := shownPart{id: x.ID(), text: clipped(text), line: at.Line(), column: at.Column(), dim: checker.of(x), ident: x.Kind() == celast.IdentKind}
		if p.ident {
			p.name = checker.name(text)
		}
		list = append(list, p)
	})
	return list
}

// whole tells what is shown by its parts alone.
func whole(v ref.Val) bool {
	switch v.(type) {
	case *instance, *limitMap:
		return true
	}
	return false
}

// tracked is the expression with its text's places, made ready to keep the
// values of its parts; once, as a kit may break a rule at every line.
func (e *expression) tracked(b budget) cel.Program {
	e.track.Do(func() {
		if e.program == nil {
			return // the rule is faulty
		}
		env := e.env()
		ast := e.ast
		if ast == nil { // it was compiled ahead, without the places in its text
			fresh, issues := env.Compile(e.text)
			if issues.Err() != nil {
				return
			}
			ast = fresh
		}
		program, err := env.Program(ast, cel.EvalOptions(cel.OptTrackState), bounded(), cel.CostTracking(charge{}), cel.CostLimit(b.place))
		if err == nil {
			e.trackedProgram, e.shown = program, e.parts(ast)
		}
	})
	return e.trackedProgram
}

type placedTerm struct {
	line, column, order int
	finding.Term
}

// visit calls f for the parts of an expression, inner ones first. It stays
// outside of the bodies of macros, whose values change with every item.
func visit(e celast.Expr, f func(celast.Expr)) {
	switch e.Kind() {
	case celast.SelectKind, celast.IdentKind:
		f(e)
	case celast.CallKind:
		call := e.AsCall()
		if call.IsMemberFunction() {
			visit(call.Target(), f)
		}
		for _, a := range call.Args() {
			visit(a, f)
		}
		f(e)
	case celast.ComprehensionKind:
		visit(e.AsComprehension().IterRange(), f)
		f(e)
	}
}
