package quantities

import (
	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/environment"
	"kitgauge/checker/quantities/power"
	"kitgauge/checker/source"
	"kitgauge/checker/value"
)

// Feed is the electrical feed with its currents and voltages.
type Feed struct {
	*kit.Feed
	Passages    []*Passage      `key:"passages"`
	Connectors  []*ConnectorFit `key:"connectors"`
	HighestDraw value.Number    `key:"highest_draw" dim:"current"` // at the pump's minimum voltage
	FuseNeed    value.Number    `key:"fuse_need" dim:"current"`
	NextFuse    value.Number    `key:"next_fuse" dim:"current"`
	Standard    value.Flag      `key:"fuse_is_standard"`
	Resistance  value.Number    `key:"resistance" dim:"resistance"` // there and back
	PumpVoltage value.Number    `key:"pump_voltage" dim:"voltage"`
	Drop        value.Number    `key:"drop" dim:"plain_number"` // share of the supply voltage
	NextCable   value.Number    `key:"next_cable" dim:"area"`
	Spare       value.Number    `key:"spare" dim:"current"` // what the vehicle's circuit has left
}

// fuseShare is the share of its rating that a fuse carries for good, and
// dropAllowed the drop for which the next cable is chosen: common practice,
// no source. The limits of the power pack are what a kit is checked against.
const (
	fuseShare   = 0.75
	dropAllowed = 0.03
)

// Place names the feed.
func (f *Feed) Place() string { return "the feed" }

// Source is the feed's place in the file.
func (f *Feed) Source() *source.Node { return f.Node }

// Passage is a passage of the feed.
type Passage struct{ *kit.Passage }

// Place names the passage.
func (p *Passage) Place() string { return "the feed, passage " + p.Name.Or("without a name") }

// Source is the passage's place in the file.
func (p *Passage) Source() *source.Node { return p.Node }

// ConnectorFit is a connector of the feed.
type ConnectorFit struct {
	*kit.ConnectorFit
	Needs  value.Text `key:"needs"` // the protection that its place asks for
	Sealed value.Flag `key:"sealed"`
}

// Place names the connector.
func (c *ConnectorFit) Place() string { return "the feed, connector " + c.Name.Or("without a name") }

// Source is the connector's place in the file.
func (c *ConnectorFit) Source() *source.Node { return c.Node }

func (f *Kit) feed() {
	feed := &f.Feed
	feed.Feed = &f.Kit.Feed
	for _, p := range f.Kit.Feed.Passages {
		feed.Passages = append(feed.Passages, &Passage{p})
	}
	for _, c := range f.Kit.Feed.Connectors {
		feed.Connectors = append(feed.Connectors, f.connector(c))
	}
	f.draw()
	f.fuse()
	f.drop()
}

func (f *Kit) draw() {
	var need value.Need
	part := f.Kit.Pump.Part.To
	if part == nil {
		f.Feed.HighestDraw = value.Number{Why: f.Kit.Pump.Part.Reason("the part of the pump")}
		return
	}
	m := power.Motor{
		Draw:           need.Number("the draw of "+part.Place(), part.Draw),
		Voltage:        need.Number("the voltage of "+part.Place(), part.Voltage),
		MinimumVoltage: need.Number("the minimum voltage of "+part.Place(), part.MinimumVoltage),
	}
	f.Feed.HighestDraw = need.Unknown()
	if !need.Missing() {
		f.Feed.HighestDraw = value.Result(m.HighestDraw())
	}
}

func (f *Kit) fuse() {
	feed := &f.Feed
	var need value.Need
	draw := need.Number("the highest draw", feed.HighestDraw)
	feed.FuseNeed, feed.NextFuse = need.Unknown(), need.Unknown()
	if !need.Missing() {
		feed.FuseNeed = value.Result(power.Load{Draw: draw, Share: fuseShare}.FuseNeed())
		feed.NextFuse = value.Result(power.NextFuse(feed.FuseNeed.V))
	}
	c := power.Circuit{
		Rating:   need.Number("the rating of the feed's circuit", feed.Circuit.Rating),
		Existing: need.Number("the load of the feed's circuit", feed.Circuit.Load),
		Added:    draw,
	}
	feed.Spare = need.Unknown()
	if !need.Missing() {
		feed.Spare = value.Result(c.Spare())
	}
	switch fuse := feed.Fuse.To; {
	case fuse == nil:
		feed.Standard = value.Flag{Why: feed.Fuse.Why}
	case fuse.Rating.Known:
		feed.Standard = value.Known(power.IsStandardFuse(fuse.Rating.V))
	default:
		feed.Standard = value.Flag{Why: fuse.Rating.Reason("the rating of " + fuse.Place())}
	}
}

// drop works out the voltage that is left at the pump. The cable is taken as
// flexible and as warm as the place that the feed states, or as the warmest
// ambient.
func (f *Kit) drop() {
	feed := &f.Feed
	var need value.Need
	warm := feed.Temperature
	if warm.Node == nil {
		warm = f.Kit.Vehicle.Ambient.To
	}
	length := need.Number("the length of the feed", feed.Length)
	in := power.Feed{
		SupplyVoltage: need.Number("the supply voltage of the vehicle", f.Kit.Vehicle.Supply),
		Draw:          need.Number("the highest draw", feed.HighestDraw),
		Cable: power.Conductor{
			Length: length, Allowance: power.FlexibleAllowance,
			Temperature: need.Number("the temperature of the cable", warm),
		},
	}
	if need.Text("the return of the feed", feed.Return) == "cable" {
		in.ReturnLength = length
	}
	feed.NextCable = need.Unknown()
	if !need.Missing() {
		feed.NextCable = value.Result(in.NextCableArea(dropAllowed))
	}
	if cable := feed.Cable.To; cable != nil {
		in.Cable.Area = need.Number("the area of "+cable.Place(), cable.Area)
	} else {
		need.Lack(feed.Cable.Reason("the cable of the feed"))
	}
	feed.Resistance, feed.Drop, feed.PumpVoltage = need.Unknown(), need.Unknown(), need.Unknown()
	if !need.Missing() {
		feed.Resistance = value.Result(in.Resistance())
		feed.Drop = value.Result(in.DropFraction())
		feed.PumpVoltage = value.Result(in.PumpVoltage())
	}
}

// exposure is the wash-down class against which a connector has to be sealed:
// inside the cab none, elsewhere that of the vehicle, splash at the least.
func (f *Kit) exposure(place string) string {
	if place == "cab" {
		return "none"
	}
	if w := f.Kit.Vehicle.WashDown; w.Known && w.V != "none" {
		return w.V
	}
	return "splash"
}

func (f *Kit) connector(c *kit.ConnectorFit) *ConnectorFit {
	out := &ConnectorFit{ConnectorFit: c}
	var need value.Need
	place := need.Text("the place of "+out.Place(), c.Place)
	code := ""
	if c.Part.To == nil {
		need.Lack(c.Part.Reason("the part of " + out.Place()))
	} else {
		code = need.Text("the enclosure of "+c.Part.To.Place(), c.Part.To.Enclosure)
	}
	if need.Missing() {
		out.Needs, out.Sealed = value.Unknown[string](need.Why()), value.Unknown[bool](need.Why())
		return out
	}
	needed, err := environment.IngressFor(f.exposure(place))
	sealed := false
	if err == nil {
		out.Needs = value.Known(needed)
		sealed, err = environment.IngressCovers(code, needed)
	}
	out.Sealed = value.Known(sealed)
	if err != nil {
		out.Sealed = value.Unknown[bool](err.Error())
	}
	return out
}
