package engine

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/google/cel-go/cel"
	celast "github.com/google/cel-go/common/ast"
	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/traits"

	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// declare declares a function to CEL.
func declare(f *value.Function) cel.EnvOption {
	args := make([]*cel.Type, len(f.Args))
	for i := range args {
		args[i] = cel.DoubleType
	}
	return cel.Function(f.Name, cel.Overload(f.Name+"_numbers", args, cel.DoubleType, cel.FunctionBinding(func(vals ...refVal) refVal {
		numbers := make([]float64, len(vals))
		for i, v := range vals {
			numbers[i] = float64(v.(types.Double))
		}
		out, err := f.Call(numbers)
		if err != nil {
			return types.WrapErr(err)
		}
		return types.Double(out)
	})))
}

// dimension checks the dimensions of a call's arguments and returns that of
// its result.
func (c *dimensionChecker) function(f *value.Function, e celast.Expr, args []dimension) dimension {
	for i, a := range args {
		want := dimension{Dimension: f.Args[i].Dim, known: true}
		if a.known && !a.fits(want) {
			c.report(e.AsCall().Args()[i], fmt.Sprintf("%s takes %s as its %s, and this is %s", f.Name, units.Article(want.String()), f.Args[i].Name, units.Article(a.String())), "")
		}
	}
	return dimension{Dimension: f.Result, known: true}
}

// measured is the dimension of measure("30 mm").
func (c *dimensionChecker) measured(e celast.Expr) dimension {
	arg := e.AsCall().Args()[0]
	text, ok := "", false
	if arg.Kind() == celast.LiteralKind {
		text, ok = arg.AsLiteral().Value().(string)
	}
	if !ok {
		c.report(arg, "measure takes a text in quotes", `write measure("30 mm")`)
		return dimension{}
	}
	_, dim, err := measure(text)
	if err != nil {
		c.report(arg, err.Error(), `write a number with its unit, as in measure("30 mm")`)
		return dimension{}
	}
	return dimension{Dimension: dim, known: true}
}

// functions lists the names of what a rule can call: its own functions and
// those of the language that fit a kit.
func (p *Pack) functions() []string {
	list := strings.Fields("all contains double endsWith exists exists_one filter has int join larger map matches measure round_up size smaller startsWith string")
	for i := range p.vocabulary.functions {
		list = append(list, p.vocabulary.functions[i].Name)
	}
	slices.Sort(list)
	return list
}

// takes tells what a function is applied to.
func (p *Pack) takes(name string) string {
	if f := p.vocabulary.function(name); f != nil {
		args := make([]string, len(f.Args))
		for i, a := range f.Args {
			args[i] = a.Name + " (" + units.Article(a.Dim.String()) + ")"
		}
		return name + " takes " + strings.Join(args, ", ")
	}
	switch name {
	case "larger", "smaller", "round_up":
		return name + " takes two numbers; double(n) makes a count a number"
	case "size":
		return "size takes a list or a text"
	case "join":
		return "join stands behind a list of texts, as in x.join()"
	case "contains", "startsWith", "endsWith", "matches":
		return name + " stands behind a text and takes another, as in x." + name + `("a")`
	}
	return "it takes something else"
}

// calls declares all functions to CEL.
func (v *Types) calls() []cel.EnvOption {
	options := builtins()
	for i := range v.functions {
		options = append(options, declare(&v.functions[i]))
	}
	return options
}

// builtins are the functions that rules have beside CEL's own and those of
// the engineering.
func builtins() []cel.EnvOption {
	pair := []*cel.Type{cel.DoubleType, cel.DoubleType}
	pick := func(second func(a, b types.Double) bool) cel.OverloadOpt {
		return cel.BinaryBinding(func(a, b refVal) refVal {
			if second(a.(types.Double), b.(types.Double)) {
				return b
			}
			return a
		})
	}
	anyList := cel.ListType(cel.TypeParamType("T"))
	beyond := func(is func(a, b float64) bool) cel.OverloadOpt {
		return cel.BinaryBinding(func(a, b refVal) refVal {
			return types.Bool(is(float64(a.(types.Double)), float64(b.(types.Double))))
		})
	}
	return []cel.EnvOption{
		cel.Function("above", cel.Overload("above_double_double", pair, cel.BoolType, beyond(above))),
		cel.Function("below", cel.Overload("below_double_double", pair, cel.BoolType,
			beyond(func(a, b float64) bool { return above(b, a) }))),
		cel.Function("measure", cel.Overload("measure_string", []*cel.Type{cel.StringType}, cel.DoubleType, cel.UnaryBinding(func(text refVal) refVal {
			si, _, err := measure(string(text.(types.String)))
			if err != nil {
				return types.WrapErr(err)
			}
			return types.Double(si)
		}))),
		cel.Function("join", cel.MemberOverload("list_string_join", []*cel.Type{cel.ListType(cel.StringType)}, cel.StringType,
			cel.UnaryBinding(join))),
		cel.Function("lack", cel.MemberOverload("list_lack", []*cel.Type{anyList}, cel.StringType, cel.UnaryBinding(lack))),
		cel.Function("offer", cel.MemberOverload("list_offer_string", []*cel.Type{anyList, cel.StringType}, cel.StringType, cel.BinaryBinding(offer))),
		cel.Function("larger", cel.Overload("larger_double_double", pair, cel.DoubleType,
			pick(func(a, b types.Double) bool { return b > a }))),
		cel.Function("round_up", cel.Overload("round_up_double_double", pair, cel.DoubleType, cel.BinaryBinding(roundUp))),
		cel.Function("smaller", cel.Overload("smaller_double_double", pair, cel.DoubleType,
			pick(func(a, b types.Double) bool { return b < a }))),
	}
}

// join puts the texts of a list together.
func join(list refVal) refVal {
	w := writer{most: longestText}
	w.value(list, dimension{}, units.Metric)
	if w.cut {
		return types.WrapErr(errTooLong)
	}
	return types.String(w.String())
}

// listedPart is an entry of a catalogue.
type listedPart interface{ Listed() string }

// offer names the first part of a list with its kind, "conduit FG-C17"; of an
// empty list any of the kind, "a conduit".
func offer(list, kind refVal) refVal {
	word := string(kind.(types.String))
	l := list.(traits.Lister)
	if l.Size() == types.IntZero {
		return types.String(units.Article(word))
	}
	if i, is := l.Get(types.IntZero).(*instance); is {
		if p, is := i.native.(listedPart); is {
			return types.String(word + " " + p.Listed())
		}
	}
	return types.NewErr("offer needs a list of parts")
}

// lack says of an empty list that no catalogue holds what was asked of it.
func lack(list refVal) refVal {
	if list.(traits.Lister).Size() == types.IntZero {
		return types.String("; nothing in the catalogue is")
	}
	return types.String("")
}

// roundUp is the least multiple of a step that is not below a value, apart
// from rounding.
func roundUp(value, step refVal) refVal {
	v, s := float64(value.(types.Double)), float64(step.(types.Double))
	if s <= 0 {
		return types.NewErr("round_up needs a step above 0")
	}
	return types.Double(math.Ceil(v/s-1e-9) * s)
}
