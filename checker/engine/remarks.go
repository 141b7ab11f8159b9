package engine

import (
	celast "github.com/google/cel-go/common/ast"
	"github.com/google/cel-go/common/types"

	"kitgauge/checker/source"
)

// Remarks lists what can hardly be meant in a pack that compiles: limits and
// names that nothing uses, and conditions that do not depend on the kit.
func (p *Pack) Remarks() []*source.Problem {
	var out []*source.Problem
	for _, r := range p.Rules {
		r.compile()
		out = append(append(out, r.constants()...), r.unused()...)
	}
	return append(out, p.unusedLimits()...)
}

// constants finds conditions that are the same for every kit.
func (r *Rule) constants() []*source.Problem {
	var out []*source.Problem
	for _, c := range []struct {
		e             *expression
		always, never string
	}{
		{r.given, "this condition always holds", "this condition never holds, so the rule never applies"},
		{r.must, "this condition always holds, so the rule never fires", "this condition never holds, so the rule always fires"},
		{r.raiseOn, "this condition always holds", "this condition never holds, so the severity is never raised"},
	} {
		if c.e == nil || c.e.ast == nil || names(c.e.ast.NativeRep().Expr()) {
			continue
		}
		message := c.never
		if v, _, err := c.e.program.Eval(map[string]any{}); err == nil && v == types.True {
			message = c.always
		}
		out = append(out, c.e.problemAt(1, 0, message, "let it look at the kit"))
	}
	return out
}

// names reports whether an expression names anything of the kit or a limit.
func names(e celast.Expr) bool {
	found := false
	celast.PostOrderVisit(e, celast.NewExprVisitor(func(x celast.Expr) {
		found = found || x.Kind() == celast.IdentKind
	}))
	return found
}
