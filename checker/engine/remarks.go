package engine

import (
	"fmt"

	celast "github.com/google/cel-go/common/ast"
	"github.com/google/cel-go/common/types"

	"kitgauge/checker/source"
)

// Remarks lists what can hardly be meant in a pack that compiles: limits that
// no rule uses, and conditions that do not depend on the kit.
func (p *Pack) Remarks() []*source.Problem {
	var out []*source.Problem
	used := map[string]bool{}
	for _, r := range p.Rules {
		r.compile()
		for _, l := range r.UsedLimits() {
			used[l.Name] = true
		}
		out = append(out, r.constants()...)
	}
	for _, l := range p.Limits {
		if !used[l.Name] {
			out = append(out, &source.Problem{Pos: l.Node.KeyPos(), Node: l.Node, Message: fmt.Sprintf("no rule uses limit.%s", l.Name), Remedy: "use it or take it out"})
		}
	}
	return out
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
