package value

import (
	"reflect"
	"strings"

	"kitgauge/checker/source"
	"kitgauge/checker/units"
)

// Subject is a thing that rules look at, with its place.
type Subject interface {
	Place() string // in the trade's own words: "line 7"
	Source() *source.Node
}

// Kind is one kind of thing that rules can look at.
type Kind struct {
	Name string       // of the variable in a rule's expressions: "line"
	Type reflect.Type // a struct with `key` and `dim` tags
	Doc  string
}

// KindOf is the kind of the struct type T.
func KindOf[T any](name, doc string) Kind { return Kind{name, reflect.TypeFor[T](), doc} }

// Function is an engineering function that rules can call: numbers in SI in,
// a number in SI out, each with its dimension, which is checked when a pack
// is loaded.
type Function struct {
	Name   string
	Doc    string
	Args   []Argument
	Result units.Dimension
	Call   func(args []float64) (float64, error)
}

// Argument is one argument of a Function.
type Argument struct {
	Name string
	Dim  units.Dimension
}

// Signature shows how the function is called: next_fuse(current) -> current.
func (f *Function) Signature() string {
	args := make([]string, len(f.Args))
	for i, a := range f.Args {
		args[i] = a.Name
	}
	return f.Name + "(" + strings.Join(args, ", ") + ") -> " + f.Result.String()
}
