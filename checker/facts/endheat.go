package facts

import (
	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/motion"
	"kitgauge/checker/quantities/routing"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// FittingZone is a heat zone as a fitting at a grease point sees it.
type FittingZone struct {
	spot
	Fitting     value.Text   `key:"fitting"` // its number
	Zone        value.Text   `key:"zone"`
	Temperature value.Number `key:"temperature" dim:"temperature"` // of the zone
	Stands      value.Number `key:"stands" dim:"temperature"`      // the fitting
	Distance    value.Number `key:"distance" dim:"length"`         // least over all positions of the joints
	When        value.Text   `key:"when"`                          // how the joints stand there, "" where none moves them
	HeatKeep    value.Number `key:"heat_keep" dim:"length"`        // where the zone makes the fitting as warm as it stands
	Shield      value.Flag   `key:"shield"`                        // one would do
}

// viewOfFitting is how much nearer to a heat zone than with its joints at rest a
// point is thought to come [m].
const viewOfFitting = 0.5

// fittingZones holds the fittings at the points against what is hot. The tube
// that ends there keeps the usual distance; this is about what the fitting
// stands. Those at the pump are as near as the pump.
func fittingZones(g *kit.Graph, search *motion.Budget, o *Options) []*FittingZone {
	var zones []*FittingZone
	for _, z := range g.Kit.Zones {
		if z.Kind.V != "heat" || !z.Temperature.Known || o.stopped() {
			continue
		}
		if most := hottestZone(z, o); most.Known && z.Temperature.V > most.V {
			continue // a slip, of which the survey tells
		}
		hot, err := heatShape(g.Kit, z).hot.Result()
		if err != nil {
			continue // the rules of the zone say why
		}
		for _, l := range g.Kit.Lines {
			if f := fittingZone(g, l, z, hot, search); f != nil {
				zones = append(zones, f)
			}
		}
	}
	return zones
}

// heatShape is a heat zone made ready to be asked for distances.
func heatShape(k *kit.Kit, z *kit.Zone) *zoneShape {
	s := &zoneShape{Zone: z, name: zoneName(z)}
	s.solid = value.Try(func(n *value.Need) (solid, error) { return solidOf(n, z), nil })
	s.hot = hotZone(k, s)
	return s
}

// fittingZone is one of them; nil where the fitting stands what reaches it.
func fittingZone(g *kit.Graph, l *kit.Line, z *kit.Zone, hot routing.Heat, search *motion.Budget) *FittingZone {
	point, fitting := l.Point.To, l.PointFitting.To
	if point == nil || fitting == nil || !fitting.Temperature.To.Known || !point.Position.Known() {
		return nil
	}
	hot.Shielded = z.Shielded.V
	keep, err := hot.Keep(fitting.Temperature.To.V)
	if err != nil || keep <= 0 {
		return nil
	}
	out := &FittingZone{
		spot:    spot{l.Label() + ", fitting at the point, near " + zoneName(z), l.PointFitting.Source()},
		Fitting: fitting.Number, Zone: value.Known(zoneName(z)), Temperature: z.Temperature, Stands: fitting.Temperature.To,
		HeatKeep: value.Known(kit.Settled(keep)), When: value.Known(""),
	}
	near := false // what keeps it from being known before that is told by joints, points and zones
	value.Fill(func(n *value.Need) error {
		at := point.Position.Of(n, "the position of the point of "+l.Label())
		in, between := placeAndZone(n, g, point.Body.Of(n, "the body of the point of "+l.Label()), routing.Segment{A: at, B: at}, z)
		rest, err := routing.PathDistance([]r3.Vec{at, at}, in.Zone, math.Inf(1))
		if near = err == nil && rest.Distance <= keep+viewOfFitting; !near {
			return err
		}
		in.Budget = search
		c, err := routing.MovingClearance(in)
		if err != nil {
			return err
		}
		out.Distance, out.When = value.Known(kit.Settled(c.Distance)), value.Known(kit.Standing(between, c.Joints, g.Kit.Family()))
		hot.Shielded = true
		behind, err := hot.Keep(out.Stands.V)
		out.Shield = value.Known(err == nil && !z.Shielded.V && c.Distance >= behind)
		return nil
	}, &out.Distance)
	if !near {
		return nil
	}
	return out
}

// keepOfPump is how far the pump keeps from a zone: as the zone itself says,
// else the usual, or more where it would grow warmer there than it stands.
func keepOfPump(k *kit.Kit, z *kit.Zone, o *Options) (keep value.Number, says value.Text) {
	keep, says = o.limit(pumpLimitOf(z)), value.Known("")
	if z.Clearance.Known {
		return z.Clearance, says
	}
	part := k.Pump.Part.To
	if z.Kind.V != "heat" || !keep.Known || part == nil || !part.Temperature.To.Known || !z.Temperature.Known {
		return keep, says
	}
	hot, err := heatShape(k, z).hot.Result()
	if most := hottestZone(z, o); err != nil || most.Known && z.Temperature.V > most.V {
		return keep, says
	}
	hot.Shielded = z.Shielded.V
	if far, err := hot.Keep(part.Temperature.To.V); err == nil && far > keep.V {
		show := func(t value.Number) string { return units.Format(t.V, units.Temperature, k.Family()) }
		return value.Known(kit.Settled(far)), value.Known(" where " + show(z.Temperature) + " shine on what stands " + show(part.Temperature.To))
	}
	return keep, says
}
