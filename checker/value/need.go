package value

import "errors"

// Need is what a computation takes its inputs from. The first one that is not
// known ends the computation there and then, and its reason becomes that of
// the result: a reason cannot be lost, and no formula runs on a zero that
// stands for something unknown.
type Need struct {
	why     string
	stopped bool
}

// Stop ends the computation: its result is not known, with the reason.
func (n *Need) Stop(why string) {
	n.why, n.stopped = why, true
	panic(n) // [Why] alone recovers it
}

func take[T float64 | int64 | string | bool](n *Need, what string, o Of[T]) T {
	if !o.Known {
		n.Stop(o.Reason(what))
	}
	return o.V
}

// Number takes a number; what names it where it is not stated.
func (n *Need) Number(what string, o Number) float64 { return take(n, what, o) }

// Count takes a count.
func (n *Need) Count(what string, o Count) int64 { return take(n, what, o) }

// Text takes a text.
func (n *Need) Text(what string, o Text) string { return take(n, what, o) }

// Flag takes a yes or no.
func (n *Need) Flag(what string, o Flag) bool { return take(n, what, o) }

// Why runs a computation, and returns why it came to nothing: the reason of
// the first input that is not known, or its error. It is "" where the
// computation went through.
func Why(f func(n *Need) error) (why string) {
	var n Need
	defer func() {
		if n.stopped { // else a panic is not ours
			_ = recover()
			why = n.why
		}
	}()
	if err := f(&n); err != nil {
		return err.Error()
	}
	return ""
}

// Compute is the result of a computation, or the reason why there is none:
//
//	feed.HighestDraw = value.Compute(func(n *value.Need) (float64, error) {
//		part := pump.Part.Of(n, "the part of the pump")
//		return power.Motor{Draw: n.Number("the draw of "+part.Place(), part.Draw)}.HighestDraw()
//	})
func Compute[T float64 | int64 | string | bool](f func(n *Need) (T, error)) Of[T] {
	m := Try(f)
	return Of[T]{V: m.v, Known: m.why == "", Why: m.why}
}

// Fill runs a computation that sets several results. Where it comes to
// nothing, all of them are unknown for that one reason.
func Fill(f func(n *Need) error, results ...interface{ lose(why string) }) {
	if why := Why(f); why != "" {
		for _, r := range results {
			r.lose(why)
		}
	}
}

func (o *Of[T]) lose(why string) { *o = Of[T]{Why: why} }

// Maybe is an intermediate result of any type, or the reason why there is
// none. The zero Maybe is a zero result that is known.
type Maybe[T any] struct {
	v   T
	why string
}

// Try is Compute for a result of any type.
func Try[T any](f func(n *Need) (T, error)) Maybe[T] {
	var m Maybe[T]
	m.why = Why(func(n *Need) (err error) {
		m.v, err = f(n)
		return err
	})
	if m.why != "" {
		return Maybe[T]{why: m.why}
	}
	return m
}

// Of takes the result for another computation, which ends where there is none.
func (m Maybe[T]) Of(n *Need) T {
	if m.why != "" {
		n.Stop(m.why)
	}
	return m.v
}

// Result returns the result, or the reason as an error.
func (m Maybe[T]) Result() (T, error) {
	if m.why != "" {
		return m.v, errors.New(m.why)
	}
	return m.v, nil
}

// Why is the reason why there is no result, "" where there is one.
func (m Maybe[T]) Why() string { return m.why }
