package facts

import (
	"fmt"
	"math"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/environment"
	"kitgauge/checker/quantities/power"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// Feed is the electrical feed with its currents and voltages.
type Feed struct {
	*kit.Feed
	FeedSurvey
	Passages    []*Passage      `key:"passages"`
	Connectors  []*ConnectorFit `key:"connectors"`
	FuseNamed   value.Flag      `key:"fuse_named"`                 // a fuse is named, known or not
	LeavesCab   value.Flag      `key:"leaves_cab"`                 // one connector is in the cab, another is not
	SameVoltage value.Flag      `key:"same_voltage"`               // pump and vehicle
	HighestDraw value.Number    `key:"highest_draw" dim:"current"` // at the pump's minimum voltage
	FuseNeed    value.Number    `key:"fuse_need" dim:"current"`
	NextFuse    value.Number    `key:"next_fuse" dim:"current"`
	Standard    value.Flag      `key:"fuse_is_standard"`
	CableFuse   value.Number    `key:"cable_fuse" dim:"current"`    // the largest standard rating that the cable stands
	Resistance  value.Number    `key:"resistance" dim:"resistance"` // there and back
	PumpVoltage value.Number    `key:"pump_voltage" dim:"voltage"`
	Drop        value.Number    `key:"drop" dim:"plain_number"` // share of the supply voltage
	NextCable   value.Number    `key:"next_cable" dim:"area"`
	Cables      []*NominalCable `key:"nominal_cables"`
	CableMeant  value.Text      `key:"cable_meant"`         // the smallest of the catalogue that stands fuse and drop
	Spare       value.Number    `key:"spare" dim:"current"` // what the vehicle's circuit has left
}

// NominalCable is a nominal area with what the feed would lose in it.
type NominalCable struct {
	Area        value.Number `key:"area" dim:"area"`
	Drop        value.Number `key:"drop" dim:"plain_number"`
	PumpVoltage value.Number `key:"pump_voltage" dim:"voltage"`
}

// Place names the feed.
func (f *Feed) Place() string { return "the feed" }

// Passage is a passage of the feed.
type Passage struct{ *kit.Passage }

// Place names the passage.
func (p *Passage) Place() string { return "the feed, passage " + p.Name.Or("without a name") }

// ConnectorFit is a connector of the feed.
type ConnectorFit struct {
	*kit.ConnectorFit
	Needs  value.Text `key:"needs"` // the protection that its place asks for
	Sealed value.Flag `key:"sealed"`
	Meant  value.Text `key:"meant"` // the first of the catalogue that is sealed for its place
}

// Place names the connector.
func (c *ConnectorFit) Place() string { return "the feed, connector " + c.Name.Or("without a name") }

// feed works out currents and voltages.
func feed(k *kit.Kit, o *Options) Feed {
	f := Feed{Feed: &k.Feed, FuseNamed: value.Known(k.Feed.Fuse.ID.Known)}
	for _, p := range k.Feed.Passages {
		f.Passages = append(f.Passages, &Passage{p})
	}
	for _, c := range k.Feed.Connectors {
		f.Connectors = append(f.Connectors, connector(c, k))
	}
	f.LeavesCab = value.Known(leavesCab(f.Connectors))
	f.SameVoltage = value.Compute(func(n *value.Need) (bool, error) {
		part := pumpPart(n, k)
		supply := n.Number("the supply voltage of the vehicle", k.Vehicle.Supply)
		return n.Number("the voltage of "+part.Place(), part.Voltage) == supply, nil
	})
	f.HighestDraw = value.Compute(func(n *value.Need) (float64, error) {
		part := pumpPart(n, k)
		return power.Motor{
			Draw:           n.Number("the draw of "+part.Place(), part.Draw),
			Voltage:        n.Number("the voltage of "+part.Place(), part.Voltage),
			MinimumVoltage: n.Number("the minimum voltage of "+part.Place(), part.MinimumVoltage),
		}.HighestDraw()
	})
	f.fuse(o)
	f.drop(&k.Vehicle, o)
	f.cableMeant(k, o)
	return f
}

func leavesCab(connectors []*ConnectorFit) bool {
	inside, outside := false, false
	for _, c := range connectors {
		inside = inside || c.ConnectorFit.Place.V == "cab"
		outside = outside || c.ConnectorFit.Place.Known && c.ConnectorFit.Place.V != "cab"
	}
	return inside && outside
}

// fuse sets the draw, the fuse and the cable among the standard ratings of
// fuses.
func (f *Feed) fuse(o *Options) {
	f.FuseNeed = value.Compute(func(n *value.Need) (float64, error) {
		draw := n.Number("the highest draw", f.HighestDraw)
		return power.Load{Draw: draw, Share: n.Number("the fuse share", o.limit("power/fuse_share"))}.FuseNeed()
	})
	f.NextFuse = value.Compute(func(n *value.Need) (float64, error) {
		return power.NextFuse(n.Number("the least fuse", f.FuseNeed))
	})
	f.Spare = value.Compute(func(n *value.Need) (float64, error) {
		draw := n.Number("the highest draw", f.HighestDraw)
		return power.Circuit{
			Rating:   n.Number("the rating of the feed's circuit", f.Circuit.Rating),
			Existing: n.Number("the load of the feed's circuit", f.Circuit.Load),
			Added:    draw,
		}.Spare()
	})
	f.Standard = value.Compute(func(n *value.Need) (bool, error) {
		fuse := f.Fuse.Of(n, "the fuse of the feed")
		return power.IsStandardFuse(n.Number("the rating of "+fuse.Place(), fuse.Rating)), nil
	})
	f.CableFuse = value.Compute(func(n *value.Need) (float64, error) {
		cable := f.Cable.Of(n, "the cable of the feed")
		return power.LargestFuse(n.Number("the rating of "+cable.Place(), cable.Rating))
	})
}

// cableMeant looks for the smallest cable of the catalogue that the next
// standard fuse protects and in which no more is lost than is allowed.
func (f *Feed) cableMeant(k *kit.Kit, o *Options) {
	most := o.limit("power/drop")
	if k.Parts == nil || !f.NextFuse.Known || !most.Known {
		return
	}
	var best *kit.Cable
	for _, e := range k.Parts.OfKind("cable") {
		c, is := e.(*kit.Cable)
		if !is || !c.Area.Known || !c.Rating.Known || c.Rating.V < f.NextFuse.V || best != nil && c.Area.V >= best.Area.V {
			continue
		}
		if f.lost(c.Area.V) <= most.V {
			best = c
		}
	}
	if best != nil {
		f.CableMeant = value.Known(fmt.Sprintf("%s (%s)", best.Number.V, units.Format(best.Area.V, units.Area, k.Family())))
	}
}

// lost is the drop in the nominal area that is next below or equal to another,
// as a share of the supply voltage; more than all where there is none.
func (f *Feed) lost(area float64) float64 {
	drop := math.Inf(1)
	for _, c := range f.Cables {
		if c.Area.V <= area*(1+1e-9) && c.Drop.Known {
			drop = c.Drop.V
		}
	}
	return drop
}

// drop works out the voltage that is left at the pump. The cable is taken as
// flexible and as warm as the place that the feed states, or as the warmest
// ambient.
func (f *Feed) drop(v *kit.Vehicle, o *Options) {
	warm := f.Temperature
	if warm.Node == nil {
		warm = v.Ambient.To
	}
	feed := value.Try(func(n *value.Need) (power.Feed, error) {
		length := n.Number("the length of the feed", f.Length)
		in := power.Feed{
			SupplyVoltage: n.Number("the supply voltage of the vehicle", v.Supply),
			Draw:          n.Number("the highest draw", f.HighestDraw),
			Cable: power.Conductor{
				Length: length, Allowance: power.FlexibleAllowance,
				Temperature: n.Number("the temperature of the cable", warm),
			},
		}
		if n.Text("the return of the feed", f.Return) == "cable" {
			in.ReturnLength = length
		}
		return in, nil
	})
	f.NextCable = value.Compute(func(n *value.Need) (float64, error) {
		in := feed.Of(n)
		f.Cables = nominalCables(in)
		return in.NextCableArea(n.Number("the drop allowed", o.limit("power/drop")))
	})
	value.Fill(func(n *value.Need) error {
		in, cable := feed.Of(n), f.Cable.Of(n, "the cable of the feed")
		in.Cable.Area = n.Number("the area of "+cable.Place(), cable.Area)
		f.Resistance = value.Result(in.Resistance())
		f.Drop = value.Result(in.DropFraction())
		f.PumpVoltage = value.Result(in.PumpVoltage())
		return nil
	}, &f.Resistance, &f.Drop, &f.PumpVoltage)
}

// nominalCables tries the feed with every nominal area.
func nominalCables(in power.Feed) []*NominalCable {
	var cables []*NominalCable
	for _, a := range power.NominalAreas() {
		in.Cable.Area = a
		cables = append(cables, &NominalCable{
			Area: value.Known(a), Drop: value.Result(in.DropFraction()), PumpVoltage: value.Result(in.PumpVoltage()),
		})
	}
	return cables
}

// exposure is the wash-down class against which a connector has to be sealed:
// inside the cab none, elsewhere that of the vehicle, splash at the least.
func exposure(place string, washDown value.Text) string {
	switch {
	case place == "cab":
		return "none"
	case washDown.Known && washDown.V != "none":
		return washDown.V
	}
	return "splash"
}

func connector(c *kit.ConnectorFit, k *kit.Kit) *ConnectorFit {
	out := &ConnectorFit{ConnectorFit: c}
	value.Fill(func(n *value.Need) error {
		place := n.Text("the place of "+out.Place(), c.Place)
		part := c.Part.Of(n, "the part of "+out.Place())
		code := n.Text("the enclosure of "+part.Place(), part.Enclosure)
		needed, err := environment.IngressFor(exposure(place, k.Vehicle.WashDown))
		if err != nil {
			return err
		}
		out.Needs = value.Known(needed)
		out.Sealed = value.Compute(func(*value.Need) (bool, error) { return environment.IngressCovers(code, needed) })
		return nil
	}, &out.Needs, &out.Sealed)
	for _, p := range listed[kit.Connector](k, "connector", nil) {
		if covers, err := environment.IngressCovers(p.Enclosure.V, out.Needs.V); err == nil && covers && out.Needs.Known && !out.Meant.Known {
			out.Meant = p.Number
		}
	}
	return out
}
