package engine

import (
	"slices"

	celast "github.com/google/cel-go/common/ast"
	"github.com/google/cel-go/common/operators"
)

// Way is how a value moves when a limit grows.
type Way uint8

// The ways. The zero Way is that of what does not name the limit.
const (
	Still   Way = iota
	Rises       // or stays
	Falls       // or stays
	Unclear     // it cannot be told
)

func (w Way) turned() Way {
	switch w {
	case Rises:
		return Falls
	case Falls:
		return Rises
	}
	return w
}

// and is the way of a value that grows with both.
func (w Way) and(v Way) Way {
	switch {
	case w == Still || w == v:
		return v
	case v == Still:
		return w
	}
	return Unclear
}

// Strictness tells how strict the rules of the pack are when one of its limits
// grows: Rises where a larger limit finds more, Falls where it finds less. It
// is told from what has to hold; where no such condition names the limit, from
// those that tell where a rule applies and when it is graver. What a figure
// makes of the limit before a rule looks at it is not known here.
func (p *Pack) Strictness(l *Limit) Way {
	hold, others := Still, Still
	for _, r := range p.Rules {
		if !slices.Contains(r.UsedLimits(), l) {
			continue
		}
		hold = hold.and(r.must.way(l).turned())
		others = others.and(r.given.way(l)).and(r.raiseOn.way(l)).and(r.waits.way(l).turned())
	}
	switch {
	case hold != Still:
		return hold
	case others != Still:
		return others
	}
	return Unclear // no condition names it, so that something else uses it
}

// way is how the value of an expression moves with a limit; of a condition,
// rising is becoming true.
func (e *expression) way(l *Limit) Way {
	if e == nil {
		return Still
	}
	root := e.parsed()
	if root == nil {
		return Unclear
	}
	return mover{e, l, e.rule.pack.namesOf(l)}.of(root)
}

// namesOf are the names under which expressions read a limit.
func (p *Pack) namesOf(l *Limit) []string {
	names := []string{l.Name}
	for _, g := range p.groups {
		if slices.ContainsFunc(g.of, func(i int) bool { return p.Limits[i] == l }) {
			names = append(names, g.name)
		}
	}
	return names
}

// mover tells how expressions move with a limit.
type mover struct {
	in    *expression
	limit *Limit
	names []string
}

func (m mover) of(x celast.Expr) Way {
	switch x.Kind() {
	case celast.LiteralKind:
		return Still
	case celast.IdentKind:
		return m.ident(x.AsIdent())
	case celast.SelectKind:
		s := x.AsSelect()
		if s.Operand().Kind() == celast.IdentKind && s.Operand().AsIdent() == "limit" {
			if slices.Contains(m.names, s.FieldName()) && !s.IsTestOnly() {
				return Rises
			}
			return Still
		}
		if g := m.group(s.Operand()); g != nil {
			return m.entry(g, s.FieldName())
		}
		return m.of(s.Operand())
	case celast.CallKind:
		return m.call(x.AsCall())
	case celast.ComprehensionKind:
		c := x.AsComprehension()
		if m.of(c.IterRange()).and(m.of(c.AccuInit())) != Still {
			return Unclear
		}
		return m.of(c.LoopStep()).and(m.of(c.Result()))
	case celast.ListKind:
		return m.unlessStill(x.AsList().Elements()...)
	}
	return Unclear
}

// group is the group of limits that an expression names; nil where it names
// none.
func (m mover) group(x celast.Expr) *limitGroup {
	if x.Kind() != celast.SelectKind {
		return nil
	}
	s := x.AsSelect()
	if s.Operand().Kind() != celast.IdentKind || s.Operand().AsIdent() != "limit" {
		return nil
	}
	for _, g := range m.in.rule.pack.groups {
		if g.name == s.FieldName() {
			return g
		}
	}
	return nil
}

// entry is the way of one limit of a group.
func (m mover) entry(g *limitGroup, key string) Way {
	i := slices.Index(g.keys, key)
	if i >= 0 && m.in.rule.pack.Limits[g.of[i]] == m.limit {
		return Rises
	}
	return Still
}

// ident is the way of a name: that of a value which the rule names.
func (m mover) ident(name string) Way {
	i := slices.IndexFunc(m.in.names, func(n *named) bool { return n.name == name })
	if i < 0 {
		return Still
	}
	root := m.in.names[i].parsed()
	if root == nil {
		return Unclear
	}
	return mover{m.in.names[i].expression, m.limit, m.names}.of(root)
}

func (m mover) call(c celast.CallExpr) Way {
	args := c.Args()
	if c.IsMemberFunction() {
		return m.unlessStill(append([]celast.Expr{c.Target()}, args...)...)
	}
	switch c.FunctionName() {
	case operators.LogicalAnd, operators.LogicalOr, operators.Add, "larger", "smaller":
		return m.joint(args)
	case operators.LogicalNot, operators.Negate:
		return m.of(args[0]).turned()
	case operators.Subtract, operators.Greater, operators.GreaterEquals, "above":
		return m.of(args[0]).and(m.of(args[1]).turned())
	case operators.Less, operators.LessEquals, "below":
		return m.of(args[0]).turned().and(m.of(args[1]))
	case operators.Conditional:
		if m.of(args[0]) != Still {
			return Unclear
		}
		return m.of(args[1]).and(m.of(args[2]))
	case operators.Multiply:
		return m.times(args)
	case operators.Index, operators.Divide, "round_up":
		if m.of(args[1]) != Still || c.FunctionName() == operators.Divide && !positive(args[1]) {
			return m.unlessStill(args...)
		}
		return m.of(args[0])
	case operators.In:
		if m.group(args[1]) != nil {
			return m.of(args[0]) // its keys are the pack's
		}
	case "double", "int", operators.NotStrictlyFalse:
		return m.of(args[0])
	}
	return m.unlessStill(args...)
}

// times is the way of a product with a positive number.
func (m mover) times(args []celast.Expr) Way {
	switch {
	case positive(args[0]):
		return m.of(args[1])
	case positive(args[1]):
		return m.of(args[0])
	}
	return m.unlessStill(args...)
}

// positive reports whether an expression is a number above 0 as it stands.
func positive(x celast.Expr) bool {
	if x.Kind() != celast.LiteralKind {
		return false
	}
	switch v := x.AsLiteral().Value().(type) {
	case float64:
		return v > 0
	case int64:
		return v > 0
	}
	return false
}

func (m mover) joint(list []celast.Expr) Way {
	all := Still
	for _, x := range list {
		all = all.and(m.of(x))
	}
	return all
}

// unlessStill is Unclear as soon as one of several moves.
func (m mover) unlessStill(list ...celast.Expr) Way {
	for _, x := range list {
		if m.of(x) != Still {
			return Unclear
		}
	}
	return Still
}
