package engine

import (
	"slices"

	"github.com/google/cel-go/common/types"

	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// Description is what a rule writer needs to know of one kind of thing.
type Description struct {
	Name   string
	Doc    string // "" for what is only reached from a kind
	Fields []Field
}

// Field is one member that expressions can read.
type Field struct {
	Key  string
	Type string // "length", "count", "text", "yes or no", "list of line", ...
}

// Describe lists the kinds of thing in their order, then what they lead to in
// alphabetical order.
func (v *Types) Describe() []Description {
	var out []Description
	listed := map[*object]bool{}
	for _, name := range v.names {
		o := v.byType[v.kinds[name].Type]
		listed[o] = true
		out = append(out, Description{name, v.kinds[name].Doc, o.describe()})
	}
	for _, name := range sortedKeys(v.objects) {
		if o := v.objects[name]; !listed[o] {
			out = append(out, Description{name, "", o.describe()})
		}
	}
	return out
}

func sortedKeys(objects map[string]*object) []string {
	var names []string
	for name := range objects {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

func (o *object) describe() []Field {
	var fields []Field
	for _, key := range o.keys {
		fields = append(fields, Field{key, o.fields[key].describe()})
	}
	return fields
}

func (f *field) describe() string {
	switch t := f.cel.Type; {
	case t == types.DoubleType && f.hasDim && f.dim == units.Plain:
		return "number"
	case t == types.DoubleType && f.hasDim:
		return f.dim.String()
	case t == types.DoubleType:
		return "as the holder's"
	case t == types.IntType:
		return "count"
	case t == types.BoolType:
		return "yes or no"
	case t == types.StringType:
		return "text"
	case t.Kind() == types.ListKind && f.of != nil:
		return "list of " + f.of.name
	case t.Kind() == types.ListKind && t.Parameters()[0] == types.IntType:
		return "list of counts"
	case t.Kind() == types.ListKind:
		return "list of texts"
	case f.of != nil && f.hasDim:
		return f.of.name + " (" + f.dim.String() + ")"
	case f.of != nil:
		return f.of.name
	}
	return "value"
}

// Functions lists the engineering functions that rules can call.
func (v *Types) Functions() []value.Function { return v.functions }
