package engine

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"sync"

	"github.com/google/cel-go/cel"
	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"

	"kitgauge/checker/source"
)

// named is a value that a rule names once, in with, and uses by that name.
type named struct {
	name string
	*expression

	once  sync.Once
	after *cel.Env
}

// Name is a value that a rule names, as text.
type Name struct{ Name, Is string }

// With lists the values that the rule names, in their order.
func (r *Rule) With() []Name {
	var list []Name
	for _, n := range r.with {
		list = append(list, Name{n.name, n.text})
	}
	return list
}

// MostNames is how many values a rule may name; the schema says the same.
const MostNames = 20

var nameForm = regexp.MustCompile(`^[a-z][a-z0-9_]{0,63}$`)

// reserved are the words that mean something in an expression already.
var reserved = strings.Fields(`limit as break const continue else false for function if import in let loop
	namespace null package return true var void while bool bytes double dyn int list map null_type string type uint`)

// with reads the names of a rule: each can use those before it.
func (r *packReader) with(n *source.Node, rule *Rule) {
	if n == nil {
		return
	}
	if n.Kind != source.Map {
		r.Fail(n, fmt.Sprintf("with is %s; a group of names is needed", n.Kind), "write each name with its expression below it")
		return
	}
	for i, m := range n.Members[:r.most(n, len(n.Members), MostNames)] {
		_, kind := r.types.kinds[m.Key]
		switch {
		case !nameForm.MatchString(m.Key):
			r.failKey(n.Items[i], fmt.Sprintf("%q cannot be a name", m.Key), "names are in lower case, with an underscore between the words")
			rule.refused = append(rule.refused, m.Key)
		case kind || slices.Contains(reserved, m.Key):
			r.failKey(n.Items[i], fmt.Sprintf("%q means something else in an expression", m.Key), "take another name")
			rule.refused = append(rule.refused, m.Key)
		case slices.Contains(r.pack.functions(), m.Key):
			r.failKey(n.Items[i], fmt.Sprintf("%q is a function of expressions", m.Key), "take another name")
			rule.refused = append(rule.refused, m.Key)
		default:
			if e := r.expression(n, m.Key, wantAny, rule); e != nil {
				rule.with = append(rule.with, &named{name: m.Key, expression: e})
			}
		}
	}
}

// env is what the expression can see: the kit, the thing that the rule looks
// at, the limits, and the names before it.
func (e *expression) env() *cel.Env {
	if len(e.names) == 0 {
		return e.rule.pack.env(e.rule.Of)
	}
	return e.names[len(e.names)-1].environment()
}

// environment is what can be seen behind the name, itself included. A faulty
// name fits everywhere, so that its fault is told once.
func (n *named) environment() *cel.Env {
	n.once.Do(func() {
		n.compile()
		t := n.gives
		if t == nil {
			t = types.DynType
		}
		env, err := n.env().Extend(cel.Variable(n.name, t))
		if err != nil {
			panic("engine: " + err.Error()) // the name was looked at when it was read
		}
		n.after = env
	})
	return n.after
}

// named is the value of a name at this place, worked out once. An error stays
// one in all that uses the name.
func (s *scope) named(i int, n *named) ref.Val {
	if s.values[i] == nil {
		n.compile()
		v, err := n.eval(s)
		if err != nil {
			v = types.WrapErr(err)
		}
		s.values[i] = v
	}
	return s.values[i]
}

// words finds the names in an expression, with the members read from them.
var words = regexp.MustCompile(`[A-Za-z_]\w*(?:\.[A-Za-z_]\w*)*`)

// uses reports whether the expression names something: needed, limit.sag. It
// looks at the words alone, those in quotes as well.
func (e *expression) uses(path string) bool {
	for _, word := range words.FindAllString(e.text, -1) {
		if rest, found := strings.CutPrefix(word, path); found && (rest == "" || rest[0] == '.') {
			return true
		}
	}
	return false
}

// uses reports whether any expression of the rule names something.
func (r *Rule) uses(path string) bool {
	return slices.ContainsFunc(r.expressions(), func(e *expression) bool { return e.uses(path) })
}

// unused remarks on names that no expression of the rule uses.
func (r *Rule) unused() []*source.Problem {
	var out []*source.Problem
	for _, n := range r.with {
		if !r.uses(n.name) {
			out = append(out, &source.Problem{Pos: n.node.KeyPos(), Node: n.node, Message: fmt.Sprintf("nothing in this rule uses %s", n.name), Remedy: "use it or take it out"})
		}
	}
	return out
}

// name is the named value that a variable stands for, nil for another
// variable.
func (c *dimensionChecker) name(variable string) *named {
	if slices.Contains(c.locals, variable) {
		return nil
	}
	for _, n := range c.expr.names {
		if n.name == variable {
			return n
		}
	}
	return nil
}

// named is the value that the rule names so, wherever it stands; nil where
// there is none.
func (r *Rule) named(name string) *named {
	if i := slices.IndexFunc(r.with, func(n *named) bool { return n.name == name }); i >= 0 {
		return r.with[i]
	}
	return nil
}

// leadsTo reports whether a value is worked out from a name, itself or by way
// of others that were not seen before.
func (n *named) leadsTo(name string, seen map[*named]bool) bool {
	if seen[n] {
		return false
	}
	seen[n] = true
	return n.uses(name) || slices.ContainsFunc(n.rule.with, func(o *named) bool { return n.uses(o.name) && o.leadsTo(name, seen) })
}
