package facts

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
	Spare       value.Number    `key:"spare" dim:"current"` // what the vehicle's circuit has left
}

// NominalCable is a nominal area with what the feed would lose in it.
type NominalCable struct {
	Area        value.Number `key:"area" dim:"area"`
	Drop        value.Number `key:"drop" dim:"plain_number"`
	PumpVoltage value.Number `key:"pump_voltage" dim:"voltage"`
}

// fuseShare is the share of its rating that a fuse carries for good, and
// dropAllowed the drop for which the next cable is chosen: common practice,
// no source. They serve the figures that are shown for every kit. The limits
// of the power pack are what a kit is checked against, and the rules choose
// fuses and cables by them.
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
	feed.FuseNamed = value.Known(feed.Fuse.ID.Known)
	feed.LeavesCab = value.Known(leavesCab(feed.Connectors))
	f.voltage()
	f.draw()
	f.fuse()
	f.drop()
}

func leavesCab(connectors []*ConnectorFit) bool {
	inside, outside := false, false
	for _, c := range connectors {
		inside = inside || c.ConnectorFit.Place.V == "cab"
		outside = outside || c.ConnectorFit.Place.Known && c.ConnectorFit.Place.V != "cab"
	}
	return inside && outside
}

func (f *Kit) voltage() {
	var need value.Need
	supply := need.Number("the supply voltage of the vehicle", f.Kit.Vehicle.Supply)
	part := f.Kit.Pump.Part.To
	if part == nil {
		f.Feed.SameVoltage = value.Unknown[bool](f.Kit.Pump.Part.Reason("the part of the pump"))
		return
	}
	made := need.Number("the voltage of "+part.Place(), part.Voltage)
	f.Feed.SameVoltage = value.Known(made == supply)
	if need.Missing() {
		f.Feed.SameVoltage = value.Unknown[bool](need.Why())
	}
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
	f.ratings()
}

// ratings sets the fuse and the cable among the standard ratings of fuses.
func (f *Kit) ratings() {
	feed := &f.Feed
	var need value.Need
	if fuse := feed.Fuse.To; fuse == nil {
		need.Lack(feed.Fuse.Reason("the fuse of the feed"))
	} else {
		rating := need.Number("the rating of "+fuse.Place(), fuse.Rating)
		feed.Standard = value.Known(power.IsStandardFuse(rating))
	}
	if need.Missing() {
		feed.Standard = value.Unknown[bool](need.Why())
	}
	need = value.Need{}
	if cable := feed.Cable.To; cable == nil {
		need.Lack(feed.Cable.Reason("the cable of the feed"))
	} else if rating := need.Number("the rating of "+cable.Place(), cable.Rating); !need.Missing() {
		feed.CableFuse = value.Result(power.LargestFuse(rating))
	}
	if need.Missing() {
		feed.CableFuse = need.Unknown()
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
		feed.Cables = nominalCables(in)
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
