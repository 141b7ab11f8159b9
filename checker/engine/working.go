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

// terms is the working, without what was seen before.
func (e *expression) terms(s *scope, seen map[string]bool) []finding.Term {
	ast, program := e.tracked(s.budget)
	if program == nil {
		return nil
	}
	_, details, _ := program.Eval(s)
	if details == nil {
		return nil
	}
	native := ast.NativeRep()
	checker := dimensionChecker{ast: native, expr: e}
	var terms []placedTerm
	visit(native.Expr(), func(x celast.Expr) {
		v, ok := details.State().Value(x.ID())
		if !ok || types.IsUnknownOrError(v) || whole(v) {
			return
		}
		text, err := cel.ExprToString(x, native.SourceInfo())
		text = strings.Join(strings.Fields(text), " ") // CEL breaks long lines
		if err != nil || seen[text] {
			return
		}
		at := native.SourceInfo().GetStartLocation(x.ID())
		add := func(t finding.Term) {
			terms = append(terms, placedTerm{at.Line(), at.Column(), len(terms), t})
		}
		if x.Kind() == celast.IdentKind {
			n := checker.name(text)
			if n == nil {
				return
			}
			for _, t := range n.terms(s, seen) {
				add(t)
			}
		}
		seen[text] = true
		add(finding.Term{Expression: text, Value: show(v, checker.of(x), s.world.Family)})
	})
	sort.SliceStable(terms, func(i, j int) bool { return terms[i].order < terms[j].order })
	out := make([]finding.Term, len(terms))
	for i, t := range terms {
		out[i] = t.Term
	}
	return out
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
func (e *expression) tracked(b budget) (*cel.Ast, cel.Program) {
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
		program, err := env.Program(ast, cel.EvalOptions(cel.OptTrackState), cel.CostLimit(b.place))
		if err == nil {
			e.trackedAST, e.trackedProgram = ast, program
		}
	})
	return e.trackedAST, e.trackedProgram
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
