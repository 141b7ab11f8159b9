package kit

import "kitgauge/checker/value"

// Part is what every catalogue entry has.
type Part struct {
	Written
	Number      value.Text `key:"number" names:"part"`
	Kind        value.Text `key:"kind"`
	Description value.Text `key:"description"`
	Maker       value.Text `key:"maker"`
}

func (p *Part) base() *Part { return p }

// Pump is an electric pump with its timer.
type Pump struct {
	Part
	Voltage        value.Number `key:"voltage" dim:"voltage"`
	MinimumVoltage value.Number `key:"minimum_voltage" dim:"voltage"`
	Draw           value.Number `key:"draw" dim:"current"`
	StartCurrent   value.Number `key:"start_current" dim:"current"`
	Outlets        value.Count  `key:"outlets"`
	Elements       []value.Text `key:"element_series" refers:"series"`
	Reservoir      value.Number `key:"reservoir" dim:"volume"`
	Pressure       value.Number `key:"pressure" dim:"pressure"`
	SoftestGrease  value.Text   `key:"softest_grease"`
	StiffestGrease value.Text   `key:"stiffest_grease"`
	Temperature    Range        `key:"temperature" dim:"temperature"`
	Pause          Range        `key:"pause" dim:"time"`
	Run            Range        `key:"run" dim:"time"`
	Strokes        value.Flag   `key:"counts_strokes"`
	StrokeTime     value.Number `key:"stroke_time" dim:"time"`
	ElementDrive   value.Text   `key:"element_drive"`
	DutyShare      value.Number `key:"duty_share" dim:"plain_number"`
	NeedsIgnition  value.Flag   `key:"needs_ignition"`
	Enclosure      value.Text   `key:"enclosure"`
	Tilt           value.Number `key:"tilt" dim:"angle"`
	BoltCount      value.Count  `key:"bolt_count"`
	BoltSize       value.Text   `key:"bolt_size"`
	Mass           value.Number `key:"mass" dim:"mass"`
	LowLevelSwitch value.Flag   `key:"low_level_switch"`
	LineLimit      value.Number `key:"line_limit" dim:"length"`
	OutletThread   value.Text   `key:"outlet_thread"`
}

// Element is a metering element, which delivers a fixed volume a stroke.
type Element struct {
	Part
	Series       value.Text   `key:"series" names:"series"`
	StrokeVolume value.Number `key:"stroke_volume" dim:"volume"`
	Pressure     value.Number `key:"pressure" dim:"pressure"`
}

// Tube carries grease to one point.
type Tube struct {
	Part
	Outer       value.Number `key:"outer" dim:"length"`
	Inner       value.Number `key:"inner" dim:"length"`
	BendRadius  value.Number `key:"bend_radius" dim:"length"`
	BendTo      value.Text   `key:"bend_to"`
	Pressure    value.Number `key:"pressure" dim:"pressure"`
	Derating    []*Derating  `key:"derating"`
	Temperature Range        `key:"temperature" dim:"temperature"`
	Material    value.Text   `key:"material"`
}

// Derating is the share of a tube's pressure that is left when it is warm.
type Derating struct {
	Written
	Temperature value.Number `key:"temperature" dim:"temperature"`
	Share       value.Number `key:"share" dim:"plain_number"`
}

// Conduit covers a bundle.
type Conduit struct {
	Part
	Inner       value.Number `key:"inner" dim:"length"`
	Outer       value.Number `key:"outer" dim:"length"`
	BendRadius  value.Number `key:"bend_radius" dim:"length"`
	BendTo      value.Text   `key:"bend_to"`
	Temperature Range        `key:"temperature" dim:"temperature"`
	Split       value.Flag   `key:"split"`
}

// Fitting ends a tube.
type Fitting struct {
	Part
	Thread      value.Text   `key:"thread"`
	TubeOuter   value.Number `key:"tube_outer" dim:"length"`
	Pressure    value.Number `key:"pressure" dim:"pressure"`
	Temperature Range        `key:"temperature" dim:"temperature"`
	Angle       value.Number `key:"angle" dim:"angle"`
	Insertion   value.Number `key:"insertion" dim:"length"`
}

// Fuse protects the feed.
type Fuse struct {
	Part
	Rating     value.Number `key:"rating" dim:"current"`
	Resistance value.Number `key:"resistance" dim:"resistance"`
}

// Cable carries the feed.
type Cable struct {
	Part
	Area        value.Number `key:"area" dim:"area"`
	Rating      value.Number `key:"rating" dim:"current"`
	RatedAt     value.Number `key:"rated_at" dim:"temperature"`
	Class       value.Text   `key:"temperature_class"`
	Limit       value.Number `key:"insulation_limit" dim:"temperature"`
	Temperature Range        `key:"temperature" dim:"temperature"`
}

// Connector joins the feed.
type Connector struct {
	Part
	Enclosure value.Text   `key:"enclosure"`
	Contact   value.Number `key:"contact_resistance" dim:"resistance"`
}

// Grease is a lubricant with the figures that flow and compatibility need.
type Grease struct {
	Part
	Designation   value.Text      `key:"designation"`
	Grade         value.Text      `key:"grade"`
	Thickener     value.Text      `key:"thickener"`
	Density       value.Number    `key:"density" dim:"density"`
	YieldStress   value.Number    `key:"yield_stress" dim:"pressure"`
	YieldAt       value.Number    `key:"yield_at" dim:"temperature"`
	YieldHalving  value.Number    `key:"yield_halving" dim:"temperature_difference"`
	YieldCold     value.Number    `key:"yield_stress_cold" dim:"pressure"`
	YieldColdAt   value.Number    `key:"yield_cold_at" dim:"temperature"`
	FlowPressures []*FlowPressure `key:"flow_pressures"`
	Consistency   value.Number    `key:"consistency" dim:"plain_number"`
	FlowIndex     value.Number    `key:"flow_index" dim:"plain_number"`
	OilViscosity  value.Number    `key:"oil_viscosity_40" dim:"kinematic_viscosity"`
	OilViscosityH value.Number    `key:"oil_viscosity_100" dim:"kinematic_viscosity"`
}

// FlowPressure is the pressure at which a grease leaves the nozzle of DIN
// 51805 at a temperature.
type FlowPressure struct {
	Written
	Temperature value.Number `key:"temperature" dim:"temperature"`
	Pressure    value.Number `key:"pressure" dim:"pressure"`
}

// Bolt holds the pump.
type Bolt struct {
	Part
	Size          value.Text   `key:"size"`
	Pitch         value.Number `key:"pitch" dim:"length"`
	PropertyClass value.Text   `key:"property_class"`
	Finish        value.Text   `key:"finish"`
}

// Blank closes an outlet without a line.
type Blank struct {
	Part
	Thread value.Text `key:"thread"`
}

// Piece is a part without figures, of which a kit takes some: a marker, a
// holder for the fuse, a bracket.
type Piece struct{ Part }

// Tie holds tubes at a station: a tie, a clip or a grommet.
type Tie struct {
	Part
	Temperature Range `key:"temperature" dim:"temperature"`
}

// Listed is the part's number.
func (p *Part) Listed() string { return p.Number.V }

// Place names the part.
func (p *Part) Place() string { return "part " + p.Number.Or("without a number") }
