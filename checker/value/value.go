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

// Need collects what a computation needs and keeps the first thing missing.
// Its methods return the bare value, so a computation reads in one line:
//
//	var need value.Need
//	length := need.Number("the length of the cable", feed.Length)
//	area := need.Number("the area of the cable", cable.Area)
//	if need.Missing() { return need.Unknown() }
type Need struct{ why string }

func take[T float64 | int64 | string | bool](n *Need, what string, o Of[T]) T {
	if !o.Known && n.why == "" {
		n.why = o.Reason(what)
	}
	return o.V
}

// Number takes a number.
func (n *Need) Number(what string, o Number) float64 { return take(n, what, o) }

// Count takes a count.
func (n *Need) Count(what string, o Count) int64 { return take(n, what, o) }

// Text takes a text.
func (n *Need) Text(what string, o Text) string { return take(n, what, o) }

// Lack records a reason of the caller's own.
func (n *Need) Lack(why string) {
	if n.why == "" {
		n.why = why
	}
}

// Missing reports whether anything was unknown.
func (n *Need) Missing() bool { return n.why != "" }

// Why is the first reason, "" where nothing is missing.
func (n *Need) Why() string { return n.why }

// Unknown returns the number that could not be computed.
func (n *Need) Unknown() Number { return Number{Why: n.why} }

// Reason says why the value is not known, naming it as what.
func (o Of[T]) Reason(what string) string {
	if o.Why != "" {
		return o.Why
	}
	return fmt.Sprintf("%s is not stated", what)
}
