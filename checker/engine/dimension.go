package engine

import (
	"fmt"
	"slices"
	"strings"

	celast "github.com/google/cel-go/common/ast"
	"github.com/google/cel-go/common/operators"
	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"

	"kitgauge/checker/source"
	"kitgauge/checker/spelling"
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
		c.words(call.Args()[0], call.Args()[1])
		c.words(call.Args()[1], call.Args()[0])
	case operators.In:
		if list := call.Args()[1]; list.Kind() == celast.ListKind {
			c.words(call.Args()[0], list.AsList().Elements()...)
		}
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
		} else if g != nil {
			c.keys(g, call.Args()[1])
		}
		return args[0]
	case "size":
		return dimension{known: true}
	case "measure":
		return c.measured(e)
	case "type", "dyn", "bytes", "duration", "timestamp": // of the language, and of no use to a rule
		c.report(e, fmt.Sprintf("there is no function %q", call.FunctionName()), "the functions are "+strings.Join(c.expr.rule.pack.functions(), ", "))
		return dimension{}
	}
	if f := c.expr.rule.pack.vocabulary.function(call.FunctionName()); f != nil && len(args) == len(f.Args) {
		return c.function(f, e, args)
	}
	return dimension{}
}

// flat reports a list of lists.
func (c *dimensionChecker) flat() {
	done := false
	celast.PostOrderVisit(c.ast.Expr(), celast.NewExprVisitor(func(e celast.Expr) {
		if !done && holder(c.ast.GetType(e.ID())) {
			done = true
			c.report(e, "this makes a list of lists, or of things of several kinds", "make a list of one kind of thing")
		}
	}))
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

// words checks texts that stand in the expression against what the member of
// the kit that they are compared with can be.
func (c *dimensionChecker) words(member celast.Expr, texts ...celast.Expr) {
	known := c.wordsOf(member)
	for _, t := range texts {
		if known == nil || t.Kind() != celast.LiteralKind {
			continue
		}
		if text, is := t.AsLiteral().Value().(string); is && text != "" && !slices.Contains(known, text) {
			c.report(t, fmt.Sprintf("the %s is never %q", called(member), text)+spelling.Hint(text, known), "it is one of "+strings.Join(known, ", "))
		}
	}
}

// keys checks the keys of a group against what the member of the kit by which
// one is chosen can be.
func (c *dimensionChecker) keys(g *limitGroup, member celast.Expr) {
	known := c.wordsOf(member)
	for i, m := range g.node.Get("is").Members {
		if known != nil && !slices.Contains(known, m.Key) {
			n := g.node.Get("is").Items[i]
			c.problems = append(c.problems, &source.Problem{Pos: n.KeyPos(), Node: n, Message: fmt.Sprintf("the %s, by which a rule chooses from limit.%s, is never %q", called(member), g.name, m.Key) + spelling.Hint(m.Key, known), Remedy: "it is one of " + strings.Join(known, ", ")})
		}
	}
}

// wordsOf is all that a text of the kit can be; nil where that is free.
func (c *dimensionChecker) wordsOf(e celast.Expr) []string {
	if e.Kind() != celast.SelectKind {
		return nil
	}
	if f := c.field(e); f != nil {
		return f.words
	}
	return nil
}

// called is a member with the thing that has it, as an expression names them.
func called(e celast.Expr) string {
	s := e.AsSelect()
	if o := s.Operand(); o.Kind() == celast.IdentKind {
		return s.FieldName() + " of " + o.AsIdent()
	}
	return s.FieldName()
}
