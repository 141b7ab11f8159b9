package facts

import (
	"fmt"
	"strings"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/power"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// FeedCable is what the cable of the feed carries where it is laid.
type FeedCable struct {
	Air         value.Number `key:"air" dim:"temperature"`         // along the cable: as stated, else the warmest ambient
	Conductors  value.Count  `key:"conductors"`                    // loaded ones that lie together, the feed's own counted
	CableLimit  value.Number `key:"cable_limit" dim:"temperature"` // that the insulation stands
	CableRating value.Number `key:"cable_rating" dim:"current"`    // for good, in that air and bundle
	CableFuse   value.Number `key:"cable_fuse" dim:"current"`      // the largest standard rating that the cable stands
	CableTaken  value.Text   `key:"cable_taken"`                   // what of it is not stated, and what is taken for it
	CableWorked value.Text   `key:"cable_worked"`                  // how the rating comes about

	family units.Family // of the figures in these texts
}

// cable works out what the cable carries.
func (f *Feed) cable(k *kit.Kit, o *Options) {
	f.family = k.Family()
	f.Air = f.Temperature
	if f.Air.Node == nil {
		f.Air = k.Vehicle.Ambient.To
	}
	own := int64(1)
	if f.Return.V == "cable" {
		own = 2
	}
	f.Conductors = value.Known(max(own, f.Loaded.V))
	value.Fill(func(n *value.Need) error {
		cable := f.Cable.Of(n, "the cable of the feed")
		n.Number("the temperature of the cable", f.Air)
		in, taken, err := ampacity(n, cable, f, o)
		if err != nil {
			return err
		}
		rating, err := in.Derated()
		if err != nil {
			return err
		}
		show := func(v float64, dim units.Dimension) string { return units.Format(v, dim, k.Family()) }
		f.CableRating, f.CableLimit = value.Known(rating), value.Known(in.Limit)
		f.CableFuse = value.Result(power.LargestFuse(rating))
		if len(taken) > 0 {
			f.CableTaken = value.Known(strings.Join(taken, ", "))
		}
		f.CableWorked = value.Known(fmt.Sprintf("%s at %s, insulation for %s; in air of %s, one of %s",
			show(in.Rating, units.Current), show(in.Reference, units.Temperature), show(in.Limit, units.Temperature), show(in.Temperature, units.Temperature), conductors(in.Conductors)))
		if in.Temperature >= in.Limit {
			f.CableWorked.V += "; that is as warm as the insulation may ever be, and the cable carries nothing there"
		}
		return nil
	}, &f.CableRating, &f.CableLimit, &f.CableFuse, &f.CableWorked)
}

func conductors(n int) string {
	if n == 1 {
		return "1 loaded conductor"
	}
	return fmt.Sprintf("%d loaded conductors", n)
}

// ampacity is a cable of the catalogue laid as the feed is, with a word for
// each figure that is taken because none is stated.
func ampacity(n *value.Need, c *kit.Cable, f *Feed, o *Options) (power.Ampacity, []string, error) {
	in := power.Ampacity{
		Rating: n.Number("the rating of "+c.Place(), c.Rating), Reference: c.RatedAt.V, Limit: c.Limit.V,
		Temperature: n.Number("the temperature of the cable", f.Air), Conductors: int(n.Count("the number of loaded conductors", f.Conductors)),
	}
	var taken []string
	if !c.RatedAt.Known {
		in.Reference = n.Number("the temperature for which cables are rated", o.limit("power/rated_at"))
		taken = append(taken, "rated at "+units.Format(in.Reference, units.Temperature, f.family))
	}
	if c.Limit.Known {
		return in, taken, nil
	}
	from := ""
	switch {
	case c.Class.Known:
		limit, err := power.InsulationLimit(c.Class.V)
		if err != nil {
			return in, nil, err
		}
		in.Limit, from = limit, "class "+c.Class.V
	case c.Temperature.To.Known:
		in.Limit, from = c.Temperature.To.V, "the warmest for which it is made"
	default:
		in.Limit, from = n.Number("the usual limit of insulation", o.limit("power/insulation_limit")), "the lowest class of vehicle cables"
	}
	return in, append(taken, "insulation for "+units.Format(in.Limit, units.Temperature, f.family)+" by "+from), nil
}

// cableMeant looks for the smallest cable of the catalogue that the next
// standard fuse protects, in which no more is lost than is allowed, and that
// leaves the pump its voltage.
func (f *Feed) cableMeant(k *kit.Kit, o *Options) {
	most := o.limit("power/drop")
	if k.Parts == nil || !f.NextFuse.Known || !most.Known {
		return
	}
	var best *kit.Cable
	for _, e := range k.Parts.OfKind("cable") {
		c, is := e.(*kit.Cable)
		if !is || !c.Area.Known || best != nil && c.Area.V >= best.Area.V || !f.carries(c, f.NextFuse.V, o) {
			continue
		}
		if at := f.nominal(c.Area.V); at != nil && at.Drop.Known && at.Drop.V <= most.V && at.enough(k.Pump.Part.To) {
			best = c
		}
	}
	if best != nil {
		f.CableMeant = value.Known(fmt.Sprintf("%s (%s)", best.Number.V, units.Format(best.Area.V, units.Area, k.Family())))
	}
}

// carries reports whether a cable laid as the feed is carries a current.
func (f *Feed) carries(c *kit.Cable, current float64, o *Options) bool {
	rating := value.Compute(func(n *value.Need) (float64, error) {
		in, _, err := ampacity(n, c, f, o)
		if err != nil {
			return 0, err
		}
		return in.Derated()
	})
	return rating.Known && rating.V >= current
}

// nominal is the nominal area that is next below or equal to another; nil
// where there is none.
func (f *Feed) nominal(area float64) *NominalCable {
	var at *NominalCable
	for _, c := range f.Cables {
		if c.Area.V <= area*(1+1e-9) {
			at = c
		}
	}
	return at
}

// enough reports whether a pump has its minimum voltage, running and at its
// start, as far as that is known.
func (c *NominalCable) enough(pump *kit.Pump) bool {
	if pump == nil || !pump.MinimumVoltage.Known {
		return true
	}
	least := pump.MinimumVoltage.V
	return (!c.PumpVoltage.Known || c.PumpVoltage.V >= least) && (!c.StartVoltage.Known || c.StartVoltage.V >= least)
}
