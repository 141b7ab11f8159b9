// Package value holds the leaves of the model: a number, a count, a text or
// a yes/no that is either known, or not, with the reason. What is unknown
// stays unknown through every computation, so that a rule which needs it is
// reported as not evaluated and never passes in silence.
package value

import (
	"fmt"

	"kitgauge/checker/source"
)

// Of is one value of the kit file, or one computed from it. The zero Of is
// "not stated". Numbers are in SI; their dimension stands in the tag of the
// struct field that holds them.
type Of[T float64 | int64 | string | bool] struct {
	V     T
	Known bool
	Why   string       // why it is not known; "" means that it was not stated
	Node  *source.Node // where it was stated; nil where it was computed
}

// The four kinds of leaf.
type (
	Number = Of[float64]
	Count  = Of[int64]
	Text   = Of[string]
	Flag   = Of[bool]
)

// Cell is what every leaf offers to the rule engine: the bare value, or the
// reason why there is none ("" for "not stated").
type Cell interface {
	Cell() (v any, known bool, why string)
	Source() *source.Node
}

// Cell implements [Cell].
func (o *Of[T]) Cell() (any, bool, string) { return o.V, o.Known, o.Why }

// Source implements [Cell].
func (o *Of[T]) Source() *source.Node { return o.Node }

// Known returns a computed value.
func Known[T float64 | int64 | string | bool](v T) Of[T] { return Of[T]{V: v, Known: true} }

// Unknown returns a value that could not be computed, with the reason.
func Unknown[T float64 | int64 | string | bool](why string) Of[T] { return Of[T]{Why: why} }

// Or returns the value where it is known, else the fallback.
func (o Of[T]) Or(fallback T) T {
	if o.Known {
		return o.V
	}
	return fallback
}

// Result turns what a quantity returned into a Number: an error becomes the
// reason why the number is not known.
func Result(v float64, err error) Number {
	if err != nil {
		return Number{Why: err.Error()}
	}
	return Known(v)
}

// Reason says why the value is not known, naming it as what.
func (o Of[T]) Reason(what string) string {
	if o.Why != "" {
		return o.Why
	}
	return fmt.Sprintf("%s is not stated", what)
}
