package facts

import (
	"slices"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/environment"
	"kitgauge/checker/quantities/power"
	"kitgauge/checker/quantities/survey"
	"kitgauge/checker/value"
)

// Feed is the electrical feed with its currents and voltages.
type Feed struct {
	*kit.Feed
	FeedSurvey
	FeedCable
	FeedLoop
	Passages    []*Passage      `key:"passages"`
	Connectors  []*ConnectorFit `key:"connectors"`
	FuseNamed   value.Flag      `key:"fuse_named"`                    // a fuse is named, known or not
	InSheath    value.Flag      `key:"sheathed_to_fuse"`              // said to be
	LeavesCab   value.Flag      `key:"leaves_cab"`                    // one connector is in the cab, another is not
	SameVoltage value.Flag      `key:"same_voltage"`                  // pump and vehicle
	HighestDraw value.Number    `key:"highest_draw" dim:"current"`    // at the pump's minimum voltage
	FuseAir     value.Number    `key:"fuse_air" dim:"temperature"`    // at the fuse: as stated, else as along the cable
	FuseShare   value.Number    `key:"fuse_share" dim:"plain_number"` // of its rating, that it carries for good there
	FuseNeed    value.Number    `key:"fuse_need" dim:"current"`       // for the draw, and for the start where it is stated
	NextFuse    value.Number    `key:"next_fuse" dim:"current"`
	Standard    value.Flag      `key:"fuse_is_standard"`
	CableMeant  value.Text      `key:"cable_meant"`         // the smallest of the catalogue that stands fuse and drop
	Spare       value.Number    `key:"spare" dim:"current"` // what the vehicle's circuit has left of what its fuse carries for good
}

// NominalCable is a nominal area with what the feed would lose in it.
type NominalCable struct {
	Area         value.Number `key:"area" dim:"area"`
	Drop         value.Number `key:"drop" dim:"plain_number"`
	PumpVoltage  value.Number `key:"pump_voltage" dim:"voltage"`
	StartVoltage value.Number `key:"start_voltage" dim:"voltage"`
	WholeDrop    value.Number `key:"whole_drop" dim:"plain_number"`
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
	Needs   value.Text `key:"needs"` // the protection that its place asks for
	Sealed  value.Flag `key:"sealed"`
	Meant   value.Text `key:"meant"`         // the first of the catalogue that is sealed for its place
	Outside value.Text `key:"named_outside"` // the word of its name that is no place in the cab, where it is said to be there
}

// Place names the connector.
func (c *ConnectorFit) Place() string { return "the feed, connector " + c.Name.Or("without a name") }

// feed works out currents and voltages.
func feed(k *kit.Kit, o *Options) Feed {
	f := Feed{Feed: &k.Feed, FuseNamed: value.Known(k.Feed.Fuse.ID.Known), InSheath: value.Known(k.Feed.Sheathed.V)}
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
	f.cable(k, o)
	f.fuse(k, o)
	f.wiring(k, o)
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

// fuse sets the fuse that draw and start need, and what it leaves the circuit.
func (f *Feed) fuse(k *kit.Kit, o *Options) {
	f.FuseAir = f.FuseWarmth
	if f.FuseAir.Node == nil {
		f.FuseAir = f.Air
	}
	f.FuseShare = value.Compute(func(n *value.Need) (float64, error) {
		return power.Warmth{
			Share: n.Number("the fuse share", o.limit("power/fuse_share")), Fall: n.Number("the fall of the fuse share", o.limit("power/fuse_fall")),
			Temperature: n.Number("the temperature at the fuse", f.FuseAir),
		}.ShareLeft()
	})
	f.FuseNeed = value.Compute(func(n *value.Need) (float64, error) {
		draw := n.Number("the highest draw", f.HighestDraw)
		need, err := power.Load{Draw: draw, Share: n.Number("the fuse share", f.FuseShare)}.FuseNeed()
		if start := pumpPart(n, k).StartCurrent; start.Known && err == nil {
			need = max(need, start.V/n.Number("what a fuse carries for a moment", o.limit("power/fuse_start")))
		}
		return need, err
	})
	f.NextFuse = value.Compute(func(n *value.Need) (float64, error) {
		return power.NextFuse(n.Number("the least fuse", f.FuseNeed))
	})
	f.Spare = value.Compute(func(n *value.Need) (float64, error) {
		draw := n.Number("the highest draw", f.HighestDraw)
		return power.Circuit{
			Rating:   n.Number("the rating of the feed's circuit", f.Circuit.Rating) * n.Number("the fuse share", f.FuseShare),
			Existing: n.Number("the load of the feed's circuit", f.Circuit.Load),
			Added:    draw,
		}.Spare()
	})
	f.Standard = value.Compute(func(n *value.Need) (bool, error) {
		fuse := f.Fuse.Of(n, "the fuse of the feed")
		return power.IsStandardFuse(n.Number("the rating of "+fuse.Place(), fuse.Rating)), nil
	})
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

// outsideWords name places outside of a cab, and besideWords what may stand
// beside them in the name of one. A socket alone may be one of the cab's.
var (
	outsideWords = []string{"pump", "trailer", "frame", "chassis", "hopper", "drawbar", "axle", "engine", "bumper"}
	besideWords  = []string{"the", "a", "socket", "rear", "front", "left", "right", "grease", "greasing"}
	atWords      = []string{"at", "on", "beside", "near", "under", "below", "behind"}
)

// namedOutside returns the word of a name that says that the connector itself is
// at a place outside of the cab: "at the pump", and not "at the relay of the
// pump" or "to the frame harness", which may be in the cab as well. A pump may
// be in it, where its body is a cab.
func namedOutside(name string, k *kit.Kit) value.Text {
	words := survey.Words(name)
	if b := k.Pump.Body.To; b != nil && slices.Contains(survey.Words(b.Name.V+" "+b.ID.V), "cab") {
		return value.Text{}
	}
	at := slices.IndexFunc(words, func(w string) bool { return slices.Contains(atWords, w) })
	if at < 0 || slices.ContainsFunc(words[:at], func(w string) bool { return w != "connector" && w != "plug" }) {
		return value.Text{}
	}
	var out value.Text
	for _, w := range words[at+1:] {
		switch {
		case slices.Contains(outsideWords, w):
			out = value.Known(w)
		case !slices.Contains(besideWords, w):
			return value.Text{}
		}
	}
	return out
}

func connector(c *kit.ConnectorFit, k *kit.Kit) *ConnectorFit {
	out := &ConnectorFit{ConnectorFit: c}
	if c.Place.V == "cab" {
		out.Outside = namedOutside(c.Name.V, k)
	}
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
