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

// StockCable is a cable of the catalogue with what the feed would lose in it.
type StockCable struct {
	*kit.Cable
	Drop         value.Number `key:"drop" dim:"plain_number"`
	PumpVoltage  value.Number `key:"pump_voltage" dim:"voltage"`
	StartVoltage value.Number `key:"start_voltage" dim:"voltage"`
}

// stocked lists the cables of the catalogue that the next standard fuse
// protects where the feed is laid.
func (f *Feed) stocked(k *kit.Kit, o *Options, l wiring) {
	for _, c := range stockCables(k) {
		if c.Area.Known && c.Area.V > 0 && f.NextFuse.Known && f.carries(c, f.NextFuse.V, o) {
			at := l.with(c.Area.V)
			f.Stock = append(f.Stock, &StockCable{c, at.Drop, at.PumpVoltage, at.StartVoltage})
		}
	}
}

// cableMeant looks for the smallest cable of the catalogue that the next
// standard fuse protects, in which no more is lost than is allowed, and that
// leaves the pump its voltage.
func (f *Feed) cableMeant(k *kit.Kit, o *Options) {
	most := o.limit("power/drop")
	for _, c := range f.Stock {
		if most.Known && c.Drop.Known && c.Drop.V <= most.V && leaves(k.Pump.Part.To, c.PumpVoltage, c.StartVoltage) {
			f.CableMeant = value.Known(fmt.Sprintf("%s (%s)", c.Number.V, units.Format(c.Area.V, units.Area, k.Family())))
			return
		}
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

// leaves reports whether a pump has its minimum voltage, running and at its
// start, as far as that is known.
func leaves(pump *kit.Pump, running, starting value.Number) bool {
	if pump == nil || !pump.MinimumVoltage.Known {
		return true
	}
	least := pump.MinimumVoltage.V
	return (!running.Known || running.V >= least) && (!starting.Known || starting.V >= least)
}
