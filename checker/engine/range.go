package engine

import (
	"fmt"
	"math"
	"slices"

	celast "github.com/google/cel-go/common/ast"
	"github.com/google/cel-go/common/operators"

	"kitgauge/checker/source"
	"kitgauge/checker/units"
)

// Range is what a limit can sensibly be set to, both ends included.
type Range struct {
	Least, Most float64 // SI
	NotZero     bool    // a rule divides by it
	dim         units.Dimension
}

// What bounds a limit of which the pack says nothing. A limit that is a
// hundred times the pack's own is a slip of the unit.
const (
	mostTimes  = 100
	fullTurn   = 2 * math.Pi
	coldest    = 273.15 - 100 // of a temperature
	hottest    = 273.15 + 1500
	difference = 150 // K, below which a temperature is a difference of two
)

// Range is what the limit may be set to: what the pack says with least and
// most, and otherwise what follows from its own value. A limit above 0 is not
// set below it, a temperature is one of a vehicle, an angle is no more than a
// turn.
func (l *Limit) Range() Range {
	r := Range{Least: 0, Most: mostTimes * math.Abs(l.SI), dim: l.Dim}
	switch {
	case l.Dim == units.Temperature && l.SI > difference:
		r.Least, r.Most = coldest, hottest
	case l.SI == 0:
		r.Least, r.Most = -math.MaxFloat64, math.MaxFloat64
	case l.SI < 0:
		r.Least = -r.Most
	}
	if l.Dim == units.Angle {
		r.Least, r.Most = max(r.Least, -fullTurn), min(r.Most, fullTurn)
	}
	if l.least != nil {
		r.Least = *l.least
		r.Most = max(r.Most, r.Least)
	}
	if l.most != nil {
		r.Most = *l.most
		r.Least = min(r.Least, r.Most)
	}
	return r
}

// SensibleRange is the range of a limit of the pack; where a rule divides by
// the limit it is without 0.
func (p *Pack) SensibleRange(l *Limit) Range {
	r := l.Range()
	r.NotZero = r.Least <= 0 && p.dividesBy(l)
	return r
}

// Holds reports whether a value lies in the range, as it is written: what
// comes of rounding is no matter.
func (r Range) Holds(si float64) bool {
	if r.NotZero && si == 0 || math.IsNaN(si) || math.IsInf(si, 0) {
		return false
	}
	return si >= r.Least-rounding*math.Abs(r.Least) && si <= r.Most+rounding*math.Abs(r.Most)
}

// String is the range as a remedy names it.
func (r Range) String() string {
	show := func(si float64) string { return units.Format(si, r.dim, units.Metric) }
	switch {
	case r.Most == math.MaxFloat64 && r.NotZero:
		return "a number other than 0"
	case r.Most == math.MaxFloat64:
		return "a number"
	case r.NotZero && r.Least == 0:
		return fmt.Sprintf("more than 0 and at most %s", show(r.Most))
	case r.NotZero:
		return fmt.Sprintf("a value from %s to %s other than 0", show(r.Least), show(r.Most))
	}
	return fmt.Sprintf("a value from %s to %s", show(r.Least), show(r.Most))
}

// dividesBy reports whether a quotient of the pack's rules has no value where
// the limit is 0.
func (p *Pack) dividesBy(l *Limit) bool {
	names := []string{l.Name}
	for _, g := range p.groups {
		if slices.ContainsFunc(g.of, func(i int) bool { return p.Limits[i] == l }) {
			names = append(names, g.name)
		}
	}
	for _, r := range p.Rules {
		if !slices.Contains(r.UsedLimits(), l) {
			continue
		}
		for _, e := range r.expressions() {
			if e.dividesBy(names) {
				return true
			}
		}
	}
	return false
}

// zeroDivisors reports limits that are 0 in the pack itself where a rule
// divides by them.
func (p *Pack) zeroDivisors() []*source.Problem {
	var problems []*source.Problem
	for _, l := range p.Limits {
		if l.SI == 0 && p.dividesBy(l) {
			problems = append(problems, &source.Problem{Pos: l.Node.KeyPos(), Node: l.Node, Message: fmt.Sprintf("limit.%s is 0, and a rule divides by it", l.Name), Remedy: "write a number other than 0"})
		}
	}
	return problems
}

// parsed is the expression as it stands, without its types; nil where it
// cannot be read.
func (e *expression) parsed() celast.Expr {
	ast, issues := e.rule.pack.env(e.rule.Of).Parse(e.text)
	if issues.Err() != nil {
		return nil
	}
	return ast.NativeRep().Expr()
}

func (e *expression) dividesBy(limits []string) bool {
	root := e.parsed()
	if root == nil {
		return false
	}
	found := false
	celast.PostOrderVisit(root, celast.NewExprVisitor(func(x celast.Expr) {
		if x.Kind() != celast.CallKind {
			return
		}
		switch call := x.AsCall(); call.FunctionName() {
		case operators.Divide, "round_up": // to a step
			found = found || len(call.Args()) == 2 && e.vanishes(call.Args()[1], limits)
		}
	}))
	return found
}

// vanishes reports whether x is 0 wherever one of the limits is.
func (e *expression) vanishes(x celast.Expr, limits []string) bool {
	switch x.Kind() {
	case celast.SelectKind:
		s := x.AsSelect()
		if s.Operand().Kind() == celast.IdentKind && s.Operand().AsIdent() == "limit" {
			return slices.Contains(limits, s.FieldName())
		}
		return e.vanishes(s.Operand(), limits) // limit.least_slack.steered
	case celast.IdentKind:
		i := slices.IndexFunc(e.names, func(n *named) bool { return n.name == x.AsIdent() })
		if i < 0 {
			return false
		}
		is := e.names[i].parsed()
		return is != nil && e.names[i].vanishes(is, limits)
	case celast.CallKind:
		args := x.AsCall().Args()
		switch x.AsCall().FunctionName() {
		case operators.Multiply:
			return e.vanishes(args[0], limits) || e.vanishes(args[1], limits)
		case operators.Divide, operators.Negate, operators.Index, "double", "int":
			return len(args) > 0 && e.vanishes(args[0], limits)
		case operators.Conditional:
			return e.vanishes(args[1], limits) || e.vanishes(args[2], limits)
		}
	}
	return false
}
