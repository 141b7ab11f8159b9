package facts

import (
	"slices"
	"strings"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/power"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// FeedLoop is the way of the current from the source to the pump and back,
// with what is left at the pump when the supply is at its least.
type FeedLoop struct {
	LeastSupply  value.Number    `key:"supply_at_least" dim:"voltage"` // as stated, else 1.75 V a cell
	Contacts     value.Number    `key:"contacts" dim:"resistance"`     // of all connectors, there and back
	FuseHolder   value.Number    `key:"fuse_and_holder" dim:"resistance"`
	Chassis      value.Number    `key:"chassis" dim:"resistance"`          // 0 where the return is a cable
	Resistance   value.Number    `key:"resistance" dim:"resistance"`       // of the conductors there and back
	WholeOhm     value.Number    `key:"whole_resistance" dim:"resistance"` // with contacts, fuse and holder
	Drop         value.Number    `key:"drop" dim:"plain_number"`           // in the conductors, share of the supply voltage
	WholeDrop    value.Number    `key:"whole_drop" dim:"plain_number"`     // with contacts, fuse and holder
	PumpVoltage  value.Number    `key:"pump_voltage" dim:"voltage"`        // at the least supply, running
	StartVoltage value.Number    `key:"start_voltage" dim:"voltage"`       // at the least supply, starting
	Longest      value.Number    `key:"longest" dim:"length"`              // with the drop that is allowed in its cable, its pump at its least voltage
	NextCable    value.Number    `key:"next_cable" dim:"area"`
	Cables       []*NominalCable `key:"nominal_cables"`
	Returns      []*NominalCable `key:"with_return"`                   // the same, with the way back in a core of the cable
	Stock        []*StockCable   `key:"stock"`                         // of the catalogue, that stand air and fuse, by area; not the one in use
	Taken        value.Text      `key:"taken"`                         // what of it is not stated, and what is taken for it
	ChassisMost  value.Number    `key:"chassis_most" dim:"resistance"` // where no cable makes up for the chassis: what it may have
	ChassisTaken value.Text      `key:"chassis_taken"`                 // the same of the chassis alone
}

// A wiring is the feed's way there and back. The cable is taken as flexible and
// as warm as the air along it.
type wiring struct {
	conductors power.Feed // at the nominal voltage, with the chassis where it is the return
	whole      power.Feed // at the least supply, with contacts, fuse and holder
	start      *power.Start
}

// wiring works out what is lost, and what is left at the pump.
func (f *Feed) wiring(k *kit.Kit, o *Options) {
	t := &takings{family: k.Family()}
	f.leastSupply(&k.Vehicle, o, t)
	f.contacts(o, t)
	f.fuseAndHolder(o, t)
	f.chassis(o, t)
	if len(t.words) > 0 {
		f.Taken = value.Known(strings.Join(t.words, ", "))
	}
	way := value.Try(func(n *value.Need) (wiring, error) { return f.way(n, k) })
	f.NextCable = value.Compute(func(n *value.Need) (float64, error) {
		l := way.Of(n)
		for _, a := range power.NominalAreas() {
			f.Cables = append(f.Cables, l.with(a))
		}
		f.stocked(k, o, l)
		return l.conductors.NextCableArea(n.Number("the drop allowed", o.limit("power/drop")))
	})
	value.Fill(func(n *value.Need) error {
		l, cable := way.Of(n), f.Cable.Of(n, "the cable of the feed")
		at := l.with(n.Number("the area of "+cable.Place(), cable.Area))
		f.Drop, f.WholeDrop, f.PumpVoltage, f.StartVoltage = at.Drop, at.WholeDrop, at.PumpVoltage, at.StartVoltage
		l.conductors.Cable.Area, l.whole.Cable.Area = at.Area.V, at.Area.V
		f.Resistance, f.WholeOhm = value.Result(l.conductors.Resistance()), value.Result(l.whole.Resistance())
		return nil
	}, &f.Resistance, &f.WholeOhm, &f.Drop, &f.WholeDrop, &f.PumpVoltage, &f.StartVoltage)
	f.longest(k, o)
	f.chassisMost(k, o)
}

// longest works out how long the feed may be with its cable: what is lost in
// the conductors grows with their length, and so, nearly, does the rest of what
// the pump lacks.
func (f *Feed) longest(k *kit.Kit, o *Options) {
	pump := k.Pump.Part.To
	if f.Return.V != "cable" || pump == nil || !pump.MinimumVoltage.Known {
		return
	}
	f.Longest = value.Compute(func(n *value.Need) (float64, error) {
		length, drop := n.Number("the length of the feed", f.Length), n.Number("the drop", f.Drop)
		share := n.Number("the drop allowed", o.limit("power/drop")) / drop
		whole, most := n.Number("the drop with contacts and fuse", f.WholeDrop), n.Number("the whole drop allowed", o.limit("power/whole_drop"))
		share = min(share, (most-(whole-drop))/drop)
		lost := f.LeastSupply.V - n.Number("the voltage at the pump", f.PumpVoltage)
		inCable := lost * drop / whole
		share = min(share, (f.LeastSupply.V-pump.MinimumVoltage.V-(lost-inCable))/inCable)
		if share <= 0 {
			n.Stop("its contacts alone lose more than is allowed")
		}
		return length * share, nil
	})
}

// chassisMost works out what the chassis may have, where it takes so much that
// no usual cable makes up for it.
func (f *Feed) chassisMost(k *kit.Kit, o *Options) {
	most := o.limit("power/drop")
	pump := k.Pump.Part.To
	if f.Return.V != "chassis" || pump == nil || !pump.MinimumVoltage.Known || !most.Known || !f.PumpVoltage.Known || !f.Drop.Known || f.LeastSupply.V <= pump.MinimumVoltage.V {
		return
	}
	does := func(c *NominalCable) bool {
		return c.Drop.Known && c.Drop.V <= most.V && leaves(pump, c.PumpVoltage, c.StartVoltage)
	}
	if slices.ContainsFunc(f.Cables, does) {
		return
	}
	over := max(f.Resistance.V*(1-most.V/f.Drop.V), f.WholeOhm.V-f.WholeOhm.V*(f.LeastSupply.V-pump.MinimumVoltage.V)/(f.LeastSupply.V-f.PumpVoltage.V))
	if pump.StartCurrent.Known && pump.Voltage.Known { // the motor at rest is a resistance
		over = max(over, f.WholeOhm.V-pump.Voltage.V/pump.StartCurrent.V*(f.LeastSupply.V/pump.MinimumVoltage.V-1))
	}
	if left := f.Chassis.V - over; over > 0 && left > 0 {
		f.ChassisMost = value.Known(left)
	}
}

// way puts the wiring together; the area of the cable is left open.
func (f *Feed) way(n *value.Need, k *kit.Kit) (wiring, error) {
	length := n.Number("the length of the feed", f.Length)
	in := power.Feed{
		SupplyVoltage: n.Number("the supply voltage of the vehicle", k.Vehicle.Supply),
		Draw:          n.Number("the highest draw", f.HighestDraw),
		Cable: power.Conductor{
			Length: length, Allowance: power.FlexibleAllowance,
			Temperature: n.Number("the temperature of the cable", f.Air),
		},
	}
	if n.Text("the return of the feed", f.Return) == "cable" {
		in.ReturnLength = length
	}
	in.ReturnResistance = n.Number("the resistance of the chassis", f.Chassis)
	l := wiring{conductors: in, whole: in}
	l.whole.SupplyVoltage = n.Number("the least supply voltage", f.LeastSupply)
	l.whole.ReturnResistance += n.Number("the resistance of the connectors", f.Contacts) + n.Number("the resistance of fuse and holder", f.FuseHolder)
	if pump := pumpPart(n, k); pump.StartCurrent.Known && pump.Voltage.Known {
		l.start = &power.Start{Supply: l.whole.SupplyVoltage, Current: pump.StartCurrent.V, Voltage: pump.Voltage.V}
	}
	return l, nil
}

// with is what comes of the wiring with a cable of an area.
func (l wiring) with(area float64) *NominalCable {
	l.conductors.Cable.Area, l.whole.Cable.Area = area, area
	at := &NominalCable{
		Area: value.Known(area), Drop: value.Result(l.conductors.DropFraction()), PumpVoltage: value.Result(l.whole.PumpVoltage()),
	}
	all := l.whole
	all.SupplyVoltage = l.conductors.SupplyVoltage
	at.WholeDrop = value.Result(all.DropFraction())
	if ohm, err := l.whole.Resistance(); err == nil && l.start != nil {
		s := *l.start
		s.Resistance = ohm
		at.StartVoltage = value.Result(s.PumpVoltage())
	}
	return at
}

// takings are the figures that are taken because none is stated.
type takings struct {
	family units.Family
	words  []string
}

func (t *takings) take(what string, v float64, dim units.Dimension) {
	t.words = append(t.words, what+" "+units.Format(v, dim, t.family))
}

func (f *Feed) leastSupply(v *kit.Vehicle, o *Options, t *takings) {
	f.LeastSupply = v.LeastSupply
	if v.LeastSupply.Node != nil {
		return
	}
	f.LeastSupply = value.Compute(func(n *value.Need) (float64, error) {
		least := n.Number("the supply voltage of the vehicle", v.Supply) * n.Number("the least share of the supply", o.limit("power/least_supply"))
		t.take("least supply", least, units.Voltage)
		return least, nil
	})
}

// contacts adds up the contacts of the connectors: one each way where the
// return is a cable, else one.
func (f *Feed) contacts(o *Options, t *takings) {
	if len(f.Connectors) == 0 {
		f.Contacts = value.Known(0.)
		t.words = append(t.words, "no connector")
		return
	}
	f.Contacts = value.Compute(func(n *value.Need) (float64, error) {
		sum, usual, ways := 0., n.Number("the usual resistance of a contact", o.limit("power/contact")), 1
		if n.Text("the return of the feed", f.Return) == "cable" {
			ways = 2
		}
		missing := false
		for _, c := range f.Connectors {
			ohm := usual
			if part := c.Part.To; part != nil && part.Contact.Known {
				ohm = part.Contact.V
			} else {
				missing = true
			}
			sum += float64(ways) * ohm
		}
		if missing {
			t.take("a contact", usual, units.Resistance)
		}
		return sum, nil
	})
}

// fuseAndHolder takes what the catalogue states of the fuse, and the feed of
// its holder. A fuse that is not known does not count.
func (f *Feed) fuseAndHolder(o *Options, t *takings) {
	fuse := f.Fuse.To
	if fuse == nil {
		f.FuseHolder = value.Known(0.)
		t.words = append(t.words, "no fuse")
		return
	}
	f.FuseHolder = value.Compute(func(n *value.Need) (float64, error) {
		link, holder := fuse.Resistance.V, f.Holder.V
		if !fuse.Resistance.Known {
			var err error
			link, err = power.FuseResistance(n.Number("the rating of "+fuse.Place(), fuse.Rating), n.Number("the loss of a fuse", o.limit("power/fuse_loss")))
			if err != nil {
				return 0, err
			}
			t.take("fuse", link, units.Resistance)
		}
		if !f.Holder.Known { // one contact on each side of the fuse
			holder = 2 * n.Number("the usual resistance of a contact", o.limit("power/contact"))
			t.take("holder", holder, units.Resistance)
		}
		return link + holder, nil
	})
}

// chassis is the way back where the chassis is the return.
func (f *Feed) chassis(o *Options, t *takings) {
	f.Chassis = f.ReturnOhm
	if f.Return.V != "chassis" {
		f.Chassis = value.Known(0.)
		return
	}
	if f.ReturnOhm.Node != nil {
		return
	}
	f.Chassis = value.Compute(func(n *value.Need) (float64, error) {
		ohm := n.Number("the loss of an earth return", o.limit("power/earth_loss")) / n.Number("the highest draw", f.HighestDraw)
		t.take("chassis", ohm, units.Resistance)
		f.ChassisTaken = value.Known(t.words[len(t.words)-1])
		return ohm, nil
	})
}
