package facts

import (
	"fmt"
	"math"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/routing"
	"kitgauge/checker/value"
)

// lineRouting adds up the way of a line: the hops of its bundle up to where
// it leaves, then its tail.
func (f *Kit) lineRouting(l *Line, bundle, tail *walk) {
	l.BundleNamed = value.Known(l.Line.Bundle.ID.Node != nil)
	l.LeavesKnown = leavesKnown(l.Line)
	sum := &cutSum{f: f, line: l.Line}
	sum.untraceable(l)
	if bundle != nil {
		for i := 1; i <= tail.from && i < len(bundle.stops); i++ {
			sum.add(bundle, i)
		}
	}
	before := sum.route + sum.free
	for i := tail.first; i < len(tail.stops); i++ {
		sum.add(tail, i)
	}
	l.Traced = value.Known(sum.why == "")
	l.RouteLength, l.FreeLengths = sum.number(sum.route), sum.number(sum.free)
	l.TailLength = sum.number(sum.route + sum.free - before)
	l.Insertion = insertion(l.Line)
	l.Needed = f.needed(l)
}

func leavesKnown(l *kit.Line) value.Flag {
	b := l.Bundle.To
	if b == nil {
		return value.Known(false)
	}
	for _, s := range b.Route {
		if l.LeavesAt.Known && s.ID.Known && s.ID.V == l.LeavesAt.V {
			return value.Known(true)
		}
	}
	return value.Known(false)
}

// cutSum adds up hops; why is the first thing that is not known.
type cutSum struct {
	f           *Kit
	line        *kit.Line
	route, free float64
	why         string
}

func (c *cutSum) lack(why string) {
	if c.why == "" {
		c.why = why
	}
}

func (c *cutSum) number(v float64) value.Number {
	if c.why != "" {
		return value.Unknown[float64](c.why)
	}
	return value.Known(v)
}

// untraceable notes what keeps a route from being a whole one.
func (c *cutSum) untraceable(l *Line) {
	switch {
	case l.Line.Point.To == nil:
		c.lack(l.Line.Point.Reason("the point of " + l.Place()))
	case l.Line.Bundle.To == nil && l.BundleNamed.V:
		c.lack(l.Line.Bundle.Reason("the bundle of " + l.Place()))
	case l.Line.Bundle.To == nil && !l.Single.V:
		c.lack(l.Place() + " is in no bundle and is not single")
	case l.Line.Bundle.To != nil && !l.LeavesKnown.V:
		c.lack("where " + l.Place() + " leaves its bundle is not known")
	}
}

// add adds the hop that ends at the stop i of the walk.
func (c *cutSum) add(w *walk, i int) {
	d, known := w.hop(i)
	switch {
	case !known:
		c.lack("a position or a body is not known between " + w.names[i-1] + " and " + w.names[i])
	case c.f.astray(w, i):
		c.lack("the way from " + w.names[i-1] + " to " + w.names[i] + " is longer than the vehicle")
	case w.fixed(i):
		c.route += d
	default:
		free := w.stops[i].freeLength
		for _, m := range w.stops[i].members {
			if m.Line.Known && m.Line.V == c.line.Number.V {
				free = m.Length
			}
		}
		if !free.Known {
			c.lack(free.Reason(fmt.Sprintf("the free length from %s to %s", w.names[i-1], w.names[i])))
		}
		c.free += free.V
	}
}

// insertion is the length of tube inside the two fittings.
func insertion(l *kit.Line) value.Number {
	var need value.Need
	total := 0.0
	for _, end := range []struct {
		of   *kit.Ref[kit.Fitting]
		name string
	}{{&l.PumpFitting, "the fitting at the pump of "}, {&l.PointFitting, "the fitting at the point of "}} {
		if end.of.To == nil {
			need.Lack(end.of.Reason(end.name + lineName(l)))
			continue
		}
		total += need.Number("the insertion of "+end.of.To.Place(), end.of.To.Insertion)
	}
	if need.Missing() {
		return need.Unknown()
	}
	return value.Known(total)
}

// needed is the length to cut without anything to trim, up to the next whole
// millimetre: nobody cuts finer. It is a nanometre less, so that a tube cut to
// just that length is long enough in floating point too.
func (f *Kit) needed(l *Line) value.Number {
	const millimetre, nanometre = 1e-3, 1e-9
	var need value.Need
	cut := routing.Cut{
		Route:     need.Number("the route", l.RouteLength),
		Free:      need.Number("the free lengths", l.FreeLengths),
		Insertion: need.Number("the insertion", l.Insertion),
	}
	if need.Missing() {
		return need.Unknown()
	}
	length, err := cut.Length()
	return value.Result(math.Ceil(length/millimetre-nanometre/millimetre)*millimetre-nanometre, err)
}
