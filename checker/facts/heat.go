package facts

import (
	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/routing"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// hotZone is a heat zone as it radiates in the warmest air.
func hotZone(k *kit.Kit, s *zoneShape) value.Maybe[routing.Heat] {
	return value.Try(func(n *value.Need) (routing.Heat, error) {
		return routing.Heat{
			Zone:        s.solid.Of(n).Zone,
			Temperature: n.Number("the temperature of zone "+s.name, s.Temperature),
			Ambient:     n.Number("the highest ambient temperature (ambient) of the vehicle", k.Vehicle.Ambient.To),
		}, nil
	})
}

// weakestRating is the lowest of the highest temperatures that tubes and
// conduits of the kit stand: no piece of a route asks for more distance.
func weakestRating(k *kit.Kit) value.Number {
	var lowest value.Number
	take := func(t value.Number) {
		if t.Known && (!lowest.Known || t.V < lowest.V) {
			lowest = t
		}
	}
	for _, l := range k.Lines {
		if t := l.Tube.To; t != nil {
			take(t.Temperature.To)
		}
	}
	for _, b := range k.Bundles {
		if c := b.Conduit.To; c != nil {
			take(c.Temperature.To)
		}
	}
	return lowest
}

// heatAsks is the distance that something which stands a temperature asks of a
// heat zone: the usual one, or more where it would grow too warm there; and
// little where it stands what the zone becomes. A zone hotter than any is a slip,
// of which the survey tells.
type heatAsks struct {
	keep           float64
	stood, farther bool // it stands it all; it asks for more than is usual
}

func (z *zoneShape) heat(stands value.Number, shielded bool, o *Options) heatAsks {
	usual := "routing/heat"
	if shielded {
		usual += "_shielded"
	}
	asks := heatAsks{keep: o.limit(usual).V}
	if most := hottestZone(z.Zone, o); !stands.Known || !z.Temperature.Known || most.Known && z.Temperature.V > most.V {
		return asks
	}
	if stands.V >= z.Temperature.V {
		return heatAsks{keep: min(asks.keep, o.limit("routing/heat_stood").V), stood: true}
	}
	hot, err := z.hot.Result()
	if err != nil {
		return asks
	}
	hot.Shielded = shielded
	if keep, err := hot.Keep(stands.V); err == nil && keep > asks.keep {
		return heatAsks{keep: kit.Settled(keep), farther: true}
	}
	return asks
}

// hottestZone is the most that a zone of its name becomes.
func hottestZone(z *kit.Zone, o *Options) value.Number {
	if exhaust(z) {
		return o.limit("survey/heat_most")
	}
	return o.limit("survey/heat_other")
}

// asks works out how far tubes and conduit keep from the zone, and what would
// help them.
func (a *Approach) asks(z *zoneShape, family units.Family, o *Options) {
	stands := a.TubeRating
	if a.ConduitRating.Known && stands.Known && a.ConduitRating.V < stands.V {
		stands = a.ConduitRating
	}
	now := z.heat(stands, z.Shielded.V, o)
	a.HeatKeep = value.Known(now.keep)
	show := func(t value.Number) string { return units.Format(t.V, units.Temperature, family) }
	switch {
	case now.stood:
		a.HeatSays = value.Known(" for what stands the " + show(z.Temperature) + " that it becomes")
	case now.farther:
		a.HeatSays = value.Known(" where " + show(z.Temperature) + " shine on what stands " + show(stands))
	}
	if !a.Distance.Known || now.stood || a.Distance.V >= now.keep {
		return
	}
	helps := ""
	if !z.Shielded.V && a.Distance.V >= z.heat(stands, true, o).keep {
		helps = ", or fit a heat shield and state it"
	}
	if z.Temperature.Known && a.Distance.V >= o.limit("routing/heat_stood").V {
		what := "tubes"
		if a.Covered.V {
			what = "tubes and conduit"
		}
		helps += ", or take " + what + " that stand " + units.FormatAtLeast(z.Temperature.V, units.Temperature, family)
	}
	a.HeatHelps = value.Known(helps)
}
