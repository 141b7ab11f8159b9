package facts

import (
	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/routing"
)

// ramWords name parts that work between two pins of their own.
var ramWords = []string{"ram", "rod", "strut", "link"}

// ownPin reports whether a place is a pin of the zone's own: that of a part
// which works between two pins, as its name says, within its radius of one of
// its ends.
func ownPin(z *kit.Zone, v kit.Vector) bool {
	if !round(z) || !named(z, ramWords...) || !v.Known() || !z.From.Known() || !z.To.Known() || !z.Radius.Known {
		return false
	}
	away := min(r3.Norm(r3.Sub(v.Vec(), z.From.Vec())), r3.Norm(r3.Sub(v.Vec(), z.To.Vec())))
	return away <= z.Radius.V
}

// toOwnPin reports whether the segment that ends at the stop i leads to a pin of
// the zone's own and comes near it there only: what is greased at its pin is
// not led round it. It is looked at as the vehicle stands in the file, without
// the last of the way, twice as long as the tube is to keep off its middle.
func toOwnPin(r *kit.Route, i int, z *zoneShape, zone routing.Zone, off float64) bool {
	a, b := r.Stops[i-1], r.Stops[i]
	if z.Kind.V != "moving" || i != len(r.Stops)-1 || b.Station != nil || !ownPin(z.Zone, b.Position) {
		return false
	}
	from, to := a.Position.Vec(), b.Position.Vec()
	whole, last := r3.Norm(r3.Sub(to, from)), 2*(z.Radius.V+z.keep+off)
	if whole <= last {
		to = from
	} else {
		to = r3.Add(to, r3.Scale(last/whole, r3.Sub(from, to)))
	}
	d, err := routing.PathDistance([]r3.Vec{from, to}, zone, z.keep+off+1)
	return err == nil && d.Distance >= z.keep+off
}
