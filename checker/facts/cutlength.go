package facts

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/routing"
	"kitgauge/checker/value"
)

// lineRouting adds up the way of a line: the hops of its bundle up to where
// it leaves, then its tail.
func lineRouting(g *kit.Graph, tail *kit.Route) LineRouting {
	line := tail.Line
	l := LineRouting{BundleNamed: value.Known(line.Bundle.ID.Node != nil), LeavesKnown: leavesKnown(line), LeavesSpelt: spelt(line.StationMeant())}
	l.leavesElsewhere(g.Kit, line)
	why := value.Why(func(n *value.Need) error {
		traceable(n, line, l)
		var sum hops
		if i := slices.Index(g.Kit.Bundles, line.Bundle.To); i >= 0 {
			sum.add(n, line, g.Routes[i], 1, tail.First+1)
		}
		before := sum.route + sum.free
		sum.add(n, line, tail, tail.First, len(tail.Stops))
		l.RouteLength, l.FreeLengths = value.Known(sum.route), value.Known(sum.free)
		l.TailLength = value.Known(sum.route + sum.free - before)
		return nil
	})
	l.Traced = value.Known(why == "")
	if why != "" {
		unknown := value.Unknown[float64](why)
		l.RouteLength, l.FreeLengths, l.TailLength = unknown, unknown, unknown
	}
	l.Insertion = value.Compute(func(n *value.Need) (float64, error) {
		return insertion(n, line.PumpFitting, "pump", line) + insertion(n, line.PointFitting, "point", line), nil
	})
	l.Needed = needed(l)
	return l
}

// leavesElsewhere finds the station of its own bundle that is nearest to the
// point of a line, on its body, where the line is said to leave at a station of
// another bundle: that is no slip of spelling.
func (l *LineRouting) leavesElsewhere(k *kit.Kit, line *kit.Line) {
	p, own := line.Point.To, line.Bundle.To
	if l.LeavesKnown.V || own == nil || p == nil || !p.Position.Known() || !line.LeavesAt.Known {
		return
	}
	of := func(b *kit.Bundle) bool {
		return b != own && slices.ContainsFunc(b.Route, func(s *kit.Station) bool { return s.ID.Known && s.ID.V == line.LeavesAt.V })
	}
	if !slices.ContainsFunc(k.Bundles, of) {
		return
	}
	nearest := math.Inf(1)
	for _, s := range own.Route {
		if !s.ID.Known || !s.Position.Known() || s.Body.To != p.Body.To {
			continue
		}
		if d := r3.Norm(r3.Sub(s.Position.Vec(), p.Position.Vec())); d < nearest {
			l.LeavesNear, nearest = s.ID, d
		}
	}
	if l.LeavesNear.Known && l.LeavesNear.V != l.LeavesSpelt.V {
		l.LeavesSpelt = spelt("") // its spelling and its place say different things
	}
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

// traceable stops at what keeps a route from being a whole one.
func traceable(n *value.Need, line *kit.Line, l LineRouting) {
	pointOf(n, line)
	switch name := line.Label(); {
	case line.Bundle.To == nil && l.BundleNamed.V:
		n.Stop(line.Bundle.Reason("the bundle of " + name))
	case line.Bundle.To == nil && !line.Single.V:
		n.Stop(name + " is in no bundle and is not single")
	case line.Bundle.To != nil && !l.LeavesKnown.V:
		n.Stop("where " + name + " leaves its bundle is not known")
	}
}

// hops adds up lengths, on one body and between two.
type hops struct{ route, free float64 }

// add adds the hops of a route from one on, up to but not with another.
func (h *hops) add(n *value.Need, l *kit.Line, r *kit.Route, from, to int) {
	for i := from; i < min(to, len(r.Stops)); i++ {
		d, known := r.Hop(i)
		switch {
		case !known:
			n.Stop("a position or a body is not known between " + r.Names[i-1] + " and " + r.Names[i])
		case r.Astray(i):
			n.Stop("the way from " + r.Names[i-1] + " to " + r.Names[i] + " is longer than the vehicle")
		case r.Fixed(i):
			h.route += d
		default:
			free := memberLength(l, r.Stops[i].Members, r.Stops[i].FreeLength)
			h.free += n.Number("the free length from "+r.Names[i-1]+" to "+r.Names[i], free)
		}
	}
}

// insertion is the length of tube inside a fitting.
func insertion(n *value.Need, of kit.Ref[kit.Fitting], end string, l *kit.Line) float64 {
	f := of.Of(n, "the fitting at the "+end+" of "+l.Label())
	return n.Number("the insertion of "+f.Place(), f.Insertion)
}

// needed is the length to cut without anything to trim, up to the next whole
// millimetre: nobody cuts finer. It is a nanometre less, so that a tube cut to
// just that length is long enough in floating point too.
func needed(l LineRouting) value.Number {
	const millimetre, nanometre = 1e-3, 1e-9
	return value.Compute(func(n *value.Need) (float64, error) {
		length, err := routing.Cut{
			Route:     n.Number("the route", l.RouteLength),
			Free:      n.Number("the free lengths", l.FreeLengths),
			Insertion: n.Number("the insertion", l.Insertion),
		}.Length()
		return math.Ceil(length/millimetre-nanometre/millimetre)*millimetre - nanometre, err
	})
}
