package engine

import (
	"fmt"
	"slices"

	celast "github.com/google/cel-go/common/ast"
	"github.com/google/cel-go/common/operators"
	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"

	"kitgauge/checker/units"
)

type refVal = ref.Val

// of returns the dimension of the expression e. What it cannot know, such as
// an item of a list of numbers, is unknown and fits anything.
func (c *dimensionChecker) of(e celast.Expr) dimension {
	switch e.Kind() {
	case celast.LiteralKind:
		return literal(e)
	case celast.IdentKind:
		if n := c.name(e.AsIdent()); n != nil {
			return n.dim
		}
	case celast.SelectKind:
		return c.selection(e)
	case celast.CallKind:
		return c.call(e)
	case celast.ListKind:
		for _, item := range e.AsList().Elements() {
			c.of(item)
		}
	case celast.ComprehensionKind:
		m := e.AsComprehension()
		c.of(m.IterRange())
		outer := c.locals
		c.locals = append(slices.Clone(outer), m.IterVar(), m.IterVar2(), m.AccuVar())
		for _, part := range []celast.Expr{m.AccuInit(), m.LoopCondition(), m.LoopStep(), m.Result()} {
			c.of(part)
		}
		c.locals = outer
	}
	return dimension{}
}

func literal(e celast.Expr) dimension {
	switch v := e.AsLiteral().(type) {
	case types.Double:
		return dimension{known: true, zero: v == 0}
	case types.Int:
		return dimension{known: true, zero: v == 0}
	}
	return dimension{}
}

func (c *dimensionChecker) selection(e celast.Expr) dimension {
	s := e.AsSelect()
	held := c.of(s.Operand())
	if g := c.group(s.Operand()); g != nil {
		c.key(e, g, s.FieldName())
		return held
	}
	f := c.field(e)
	switch {
	case f == nil || s.IsTestOnly():
	case f.hasDim:
		return dimension{Dimension: f.dim, known: true}
	case f.inherit && s.Operand().Kind() == celast.SelectKind:
		if holder := c.field(s.Operand()); holder != nil && holder.hasDim {
			return dimension{Dimension: holder.dim, known: true}
		}
	case f.cel.Type == types.IntType:
		return dimension{known: true}
	}
	return dimension{}
}

// field is the model's field that a selection reads.
func (c *dimensionChecker) field(e celast.Expr) *field {
	s := e.AsSelect()
	t := c.ast.GetType(s.Operand().ID())
	if t == nil || t.Kind() != types.StructKind {
		return nil
	}
	o := c.expr.rule.pack.vocabulary.objects[t.TypeName()]
	if o == nil {
		return nil
	}
	return o.fields[s.FieldName()]
}

func (c *dimensionChecker) call(e celast.Expr) dimension {
	call := e.AsCall()
	if call.IsMemberFunction() {
		c.of(call.Target())
	}
	args := make([]dimension, len(call.Args()))
	for i, a := range call.Args() {
		args[i] = c.of(a)
	}
	switch call.FunctionName() {
	case operators.Add, operators.Subtract, "larger", "smaller", "round_up":
		return c.same(e, args[0], args[1])
	case operators.Less, operators.LessEquals, operators.Greater, operators.GreaterEquals, operators.Equals, operators.NotEquals, "above", "below":
		c.same(e, args[0], args[1])
	case operators.Multiply:
		return product(args[0], args[1], units.Dimension.Times)
	case operators.Divide:
		return product(args[0], args[1], units.Dimension.Per)
	case operators.Negate:
		return args[0]
	case operators.Conditional:
		return c.same(e, args[1], args[2])
	case "double", "int":
		if len(args) == 1 {
			return args[0]
		}
	case operators.Index:
		if g := c.group(call.Args()[0]); g != nil && call.Args()[1].Kind() == celast.LiteralKind {
			c.key(e, g, fmt.Sprint(call.Args()[1].AsLiteral().Value()))
		}
		return args[0]
	case "size":
		return dimension{known: true}
	case "measure":
		return c.measured(e)
	}
	if f := c.expr.rule.pack.vocabulary.function(call.FunctionName()); f != nil && len(args) == len(f.Args) {
		return c.function(f, e, args)
	}
	return dimension{}
}

// report keeps a problem at the place of an expression.
func (c *dimensionChecker) report(e celast.Expr, message, remedy string) {
	at := c.ast.SourceInfo().GetStartLocation(e.ID())
	c.problems = append(c.problems, c.expr.problemAt(at.Line(), at.Column(), message, remedy))
}

// same checks that two operands have one dimension, and returns it.
func (c *dimensionChecker) same(e celast.Expr, a, b dimension) dimension {
	if !a.known || !b.known {
		return dimension{}
	}
	if !a.fits(b) {
		c.report(e, fmt.Sprintf("this joins %s with %s", units.Article(a.String()), units.Article(b.String())), "give both sides the same dimension, with a limit or another field")
		return dimension{}
	}
	if a.zero {
		return b
	}
	return a
}

func product(a, b dimension, op func(a, b units.Dimension) units.Dimension) dimension {
	if !a.known || !b.known {
		return dimension{}
	}
	return dimension{Dimension: op(a.Dimension, b.Dimension), known: true}
}
