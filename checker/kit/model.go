// Package kit holds the typed model of a kit file and of the parts catalogue
// that it draws on. Every leaf keeps its place in the file; what is missing,
// misspelt or unresolved is a leaf that is not known, with the reason.
//
// The struct tags are the one list of members: `key` is the name in the file
// and in rules, `dim` the dimension (SI inside). The JSON Schemas in package
// schema describe the same members to people; a test holds the two together.
package kit

import (
	"fmt"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/decode"
	"kitgauge/checker/source"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// Written is where a group of members stands in its file.
type Written struct{ Node *source.Node }

// Source is that place.
func (w *Written) Source() *source.Node { return w.Node }

// Kit is one kit file with its references resolved.
type Kit struct {
	Written
	Header      Header        `key:"header"`
	Catalogues  []value.Text  `key:"catalogues" refers:"file"`
	Vehicle     Vehicle       `key:"vehicle"`
	Bodies      []*Body       `key:"bodies"`
	Joints      []*Joint      `key:"joints"`
	Points      []*Point      `key:"points"`
	Pump        PumpFit       `key:"pump"`
	Lines       []*Line       `key:"lines"`
	Bundles     []*Bundle     `key:"bundles"`
	Zones       []*Zone       `key:"zones"`
	Feed        Feed          `key:"feed"`
	Documents   Documents     `key:"documents"`
	PartsList   []*ListedPart `key:"parts_list"`
	Procedure   []*Step       `key:"procedure"`
	Concessions []*Concession `key:"concessions"`
	Parts       *Catalogue    // that the references were resolved with
}

// Family is the unit family in which the kit's values are shown.
func (k *Kit) Family() units.Family {
	if k.Header.Units.V == "inch" {
		return units.Inch
	}
	return units.Metric
}

// Header identifies the kit: the fields of a title block (ISO 7200).
type Header struct {
	Written
	Number    value.Text `key:"number"`
	Revision  value.Text `key:"revision"`
	Title     value.Text `key:"title"`
	Status    value.Text `key:"status" words:"draft,for-review,released"`
	Units     value.Text `key:"units"`
	Owner     value.Text `key:"owner"`
	DrawnBy   value.Text `key:"drawn_by"`
	CheckedBy value.Text `key:"checked_by"`
	Date      value.Text `key:"date"`
	Note      value.Text `key:"note"`
}

// Vehicle is what the kit goes on.
type Vehicle struct {
	Written
	Description    value.Text      `key:"description"`
	Datum          value.Text      `key:"datum"`
	Outline        Outline         `key:"outline"`
	Ambient        Range           `key:"ambient" dim:"temperature"`
	WashDown       value.Text      `key:"wash_down" words:"none,splash,hose,pressure"`
	HoursADay      value.Number    `key:"hours_a_day" dim:"time"`
	DaysAWeek      value.Count     `key:"days_a_week"`
	Supply         value.Number    `key:"supply" dim:"voltage"`
	LeastSupply    value.Number    `key:"least_supply" dim:"voltage"`
	RefillInterval value.Number    `key:"refill_interval" dim:"time"`
	RaisedBody     value.Flag      `key:"raised_body"`
	HeatSources    value.Text      `key:"heat_sources" words:"none,listed"`
	GreasedBefore  []*FormerGrease `key:"greased_before"`
}

// Outline is the box round the vehicle, from one corner to the other.
type Outline struct {
	Written
	From Vector `key:"from" dim:"length"`
	To   Vector `key:"to" dim:"length"`
}

// FormerGrease is a grease with which the points were greased by hand.
type FormerGrease struct {
	Written
	Designation value.Text   `key:"designation"`
	Thickener   value.Text   `key:"thickener"`
	Points      []value.Text `key:"points" refers:"point"`
	MayMeet     value.Text   `key:"may_meet"`
}

// Range is a pair of values; its dimension is that of the field holding it.
type Range struct {
	Written
	From value.Number `key:"from" dim:"inherit"`
	To   value.Number `key:"to" dim:"inherit"`
}

// Vector is a position or a direction in the vehicle's frame (ISO 8855:
// x forward, y left, z up), written as a list of three.
type Vector struct {
	Written
	X value.Number `key:"x" dim:"inherit" sign:"any"`
	Y value.Number `key:"y" dim:"inherit" sign:"any"`
	Z value.Number `key:"z" dim:"inherit" sign:"any"`
}

// Known reports whether all three are.
func (v Vector) Known() bool { return v.X.Known && v.Y.Known && v.Z.Known }

// Vec returns the bare vector.
func (v Vector) Vec() r3.Vec { return r3.Vec{X: v.X.V, Y: v.Y.V, Z: v.Z.V} }

// ReadNode reads the list of three.
func (v *Vector) ReadNode(d *decode.Decoder, n *source.Node, m value.Member) {
	v.Node = n
	if n.Kind != source.List || len(n.Items) != 3 {
		message, remedy := source.NotThree(m.Key, n)
		why := d.Fail(n, message, remedy)
		v.X.Why, v.Y.Why, v.Z.Why = why, why, why
		return
	}
	m.Signed = true
	before := len(d.Problems)
	for i, p := range []*value.Number{&v.X, &v.Y, &v.Z} {
		d.Value(n.Items[i], p, m)
	}
	v.oneHabit(d, before)
}

// oneHabit tells the commas in the numbers of a list once.
func (v *Vector) oneHabit(d *decode.Decoder, before int) {
	comma := func(p *source.Problem) bool { return strings.Contains(p.Node.Scalar, ",") }
	found := d.Problems[before:]
	if len(found) < 2 || !comma(found[0]) || !slices.ContainsFunc(found[1:], comma) {
		return
	}
	found[0].Message += "; so it is with another number of the list"
	for _, p := range []*value.Number{&v.X, &v.Y, &v.Z} {
		if p.Node != nil && strings.Contains(p.Node.Scalar, ",") {
			p.Why = found[0].Message
		}
	}
	d.Problems = d.Problems[:before+1+len(slices.DeleteFunc(found[1:], comma))]
}

// Body is a rigid part of the vehicle.
type Body struct {
	Written
	ID     value.Text `key:"id" names:"body"`
	Name   value.Text `key:"name"`
	Sprung value.Flag `key:"sprung"`
}

// Joint lets one body move against another. Its range counts from the rest
// position, in which all coordinates of the kit are given.
type Joint struct {
	Written
	ID     value.Text `key:"id" names:"joint"`
	Name   value.Text `key:"name"`
	Role   value.Text `key:"role" words:"steering,suspension,articulation,tipping,cab,drawbar,boom,slide"`
	Kind   value.Text `key:"kind" words:"revolute,prismatic"`
	Parent Ref[Body]  `key:"parent"`
	Child  Ref[Body]  `key:"child"`
	Pivot  Vector     `key:"pivot" dim:"length"`
	Axis   Vector     `key:"axis" dim:"plain_number"`
	Range  Range      `key:"range" dim:"any" sign:"any"`
}

// Finish reads the joint's range, whose dimension depends on its kind.
func (j *Joint) Finish(d *decode.Decoder, n *source.Node) {
	j.directed(d)
	r := n.Get("range")
	if r == nil {
		return
	}
	first := len(d.Problems)
	d.Value(r, &j.Range, value.Member{Key: "range", Dim: rangeDimension(j.Kind.V), Signed: true})
	if other, remedy := j.otherKind(); inUnitsOf(other, r) {
		for _, p := range d.Problems[first:] {
			p.Remedy = remedy
		}
	}
}

// directed refuses an axis that points nowhere.
func (j *Joint) directed(d *decode.Decoder) {
	if !j.Axis.Known() || r3.Norm(j.Axis.Vec()) >= 1e-9 {
		return
	}
	why := d.Fail(j.Axis.Node, fmt.Sprintf("the axis of joint %s has no direction", j.Label()),
		"state the direction in which its hinge pin lies, or in which it slides: [1, 0, 0] is along the vehicle, [0, 1, 0] across, [0, 0, 1] upright")
	for _, v := range []*value.Number{&j.Axis.X, &j.Axis.Y, &j.Axis.Z} {
		*v = value.Unknown[float64](why)
		v.Node = j.Axis.Node
	}
}

// otherKind is the dimension of the range that a joint of the other kind has,
// with what to do where the range is of that.
func (j *Joint) otherKind() (units.Dimension, string) {
	if j.Kind.V == "prismatic" {
		return units.Angle, "its range is an angle, so it turns: write kind: revolute, or the range as a length"
	}
	return units.Length, "its range is a length, so it slides: write kind: prismatic, or the range in deg"
}

// inUnitsOf reports whether both ends of a range are of a dimension.
func inUnitsOf(dim units.Dimension, r *source.Node) bool {
	for _, key := range []string{"from", "to"} {
		end := r.Get(key)
		if end == nil {
			return false
		}
		if _, err := units.Parse(end.Scalar, dim); err != nil {
			return false
		}
	}
	return true
}

// Point is a grease point.
type Point struct {
	Written
	ID            value.Text   `key:"id" names:"point"`
	Name          value.Text   `key:"name"`
	Body          Ref[Body]    `key:"body"`
	Position      Vector       `key:"position" dim:"length"`
	Thread        value.Text   `key:"thread"`
	Access        value.Text   `key:"access" words:"free,tight"`
	NippleRemoved value.Flag   `key:"nipple_removed"`
	Bearing       Bearing      `key:"bearing"`
	Demand        value.Number `key:"demand" dim:"volume_flow"`
	BackPressure  value.Number `key:"back_pressure" dim:"pressure"`
	BackAt        value.Number `key:"back_pressure_at" dim:"temperature"`
	Temperature   value.Number `key:"temperature" dim:"temperature"`
	Grease        Ref[Grease]  `key:"grease"`
	Note          value.Text   `key:"note"`
}

// Bearing is the geometry from which a point's demand follows.
type Bearing struct {
	Written
	Kind     value.Text   `key:"kind" words:"rolling,plain,pin"`
	Diameter value.Number `key:"diameter" dim:"length"`
	Width    value.Number `key:"width" dim:"length"`
	Interval value.Text   `key:"interval" words:"weekly,monthly,yearly"`
}

// PumpFit is the pump as fitted on the vehicle.
type PumpFit struct {
	Written
	Part          Ref[Pump]    `key:"part"`
	Body          Ref[Body]    `key:"body"`
	Position      Vector       `key:"position" dim:"length"`
	Up            Vector       `key:"up" dim:"plain_number"`
	Filler        Vector       `key:"filler" dim:"length"`
	FillerSide    value.Text   `key:"filler_side" words:"left,right,front,rear,top"`
	SideFree      value.Flag   `key:"side_free"`
	Bolts         BoltFit      `key:"bolts"`
	HolePattern   value.Text   `key:"hole_pattern"`
	Timer         Timer        `key:"timer"`
	Fill          Fill         `key:"fill"`
	Grease        Ref[Grease]  `key:"grease"`
	FirstFill     value.Number `key:"first_fill" dim:"volume"`
	LowLevelWarns value.Flag   `key:"low_level_warns"`
	WarningVolume value.Number `key:"warning_volume" dim:"volume"`
	Outlets       []*Outlet    `key:"outlets"`
}

// BoltFit is how the pump is bolted on.
type BoltFit struct {
	Written
	Part         Ref[Bolt]    `key:"part"`
	Count        value.Count  `key:"count"`
	Spacing      value.Number `key:"spacing" dim:"length"`
	Width        value.Number `key:"width" dim:"length"`
	Overhang     value.Number `key:"overhang" dim:"length"`
	Acceleration value.Number `key:"acceleration" dim:"acceleration"`
}

// Place names the bolts.
func (b *BoltFit) Place() string { return "the pump's bolts" }

// Timer is the setting of the pump's timer: a pause, then a run that is
// given as a time or as a number of strokes.
type Timer struct {
	Written
	Pause   value.Number `key:"pause" dim:"time"`
	Run     value.Number `key:"run" dim:"time"`
	Strokes value.Count  `key:"strokes"`
}

// Fill is the grease in the reservoir, and the marks on it.
type Fill struct {
	Written
	Lower  value.Number `key:"lower_mark" dim:"volume"`
	Upper  value.Number `key:"upper_mark" dim:"volume"`
	Filled value.Number `key:"filled" dim:"volume"`
}

// Outlet is one outlet of the pump with the metering element fitted to it.
type Outlet struct {
	Written
	Number       value.Count  `key:"number" names:"outlet"`
	Element      Ref[Element] `key:"element"`
	StrokeVolume value.Number `key:"stroke_volume" dim:"volume"`
	Blanked      value.Flag   `key:"blanked"`
}

// Line is one tube from an outlet to a grease point.
type Line struct {
	Written
	Number         value.Count  `key:"number" names:"line"`
	Outlet         value.Count  `key:"outlet" refers:"outlet" once:"yes"`
	Point          Ref[Point]   `key:"point" once:"yes"`
	Tube           Ref[Tube]    `key:"tube"`
	Bundle         Ref[Bundle]  `key:"bundle"`
	Single         value.Flag   `key:"single"`
	LeavesAt       value.Text   `key:"leaves_at" refers:"station" in:"bundle"`
	Tail           []*Station   `key:"tail"`
	LastFreeLength value.Number `key:"last_free_length" dim:"length"`
	LastTies       []Tied       `key:"last_ties"`
	CutLength      value.Number `key:"cut_length" dim:"length"`
	PumpFitting    Ref[Fitting] `key:"pump_fitting"`
	PointFitting   Ref[Fitting] `key:"point_fitting"`
	PumpMarker     value.Text   `key:"pump_marker" refers:"line" once:"yes"`
	PointMarker    value.Text   `key:"point_marker" refers:"line" once:"yes"`
	Note           value.Text   `key:"note"`

	stationMeant string // see StationMeant
}

// Bundle is a group of tubes in one conduit, with its route.
type Bundle struct {
	Written
	ID      value.Text   `key:"id" names:"bundle"`
	Name    value.Text   `key:"name"`
	Conduit Ref[Conduit] `key:"conduit"`
	Pulled  value.Flag   `key:"pulled"`
	Route   []*Station   `key:"route"`
}

// Station is a place on a route, fixed to a body.
type Station struct {
	Written
	ID            value.Text      `key:"id" names:"station"`
	Body          Ref[Body]       `key:"body"`
	Position      Vector          `key:"position" dim:"length"`
	Hold          value.Text      `key:"hold" words:"clip,tie,grommet,none"`
	Part          Ref[Tie]        `key:"part"`
	TiedTo        value.Text      `key:"tied_to" words:"none,frame,brake,fuel,steering,hot"`
	Passage       value.Flag      `key:"passage"`
	Grommet       value.Flag      `key:"grommet"`
	FreeLength    value.Number    `key:"free_length" dim:"length"`
	SagRoom       value.Number    `key:"sag_room" dim:"length"`
	Ties          []Tied          `key:"ties"`
	Uncovered     value.Flag      `key:"uncovered"`
	MemberLengths []*MemberLength `key:"member_lengths"`
	BendRadius    value.Number    `key:"bend_radius" dim:"length"`
	Note          value.Text      `key:"note"`
}

// Tied is a tie round the tubes between two stations, by its distance from
// the first.
type Tied struct {
	Written
	At value.Number `key:"at" dim:"length"`
}

// MemberLength is the free length of one line of a bundle where it differs
// from that of the bundle.
type MemberLength struct {
	Written
	Line   value.Count  `key:"line" refers:"line" once:"yes"`
	Length value.Number `key:"length" dim:"length"`
}

// Zone is a place to keep away from: a capsule (from, to, radius) or a box
// (from, to), fixed to a body.
type Zone struct {
	Written
	ID          value.Text   `key:"id" names:"zone"`
	Name        value.Text   `key:"name"`
	Kind        value.Text   `key:"kind" words:"heat,moving,wheel,edge"`
	Shape       value.Text   `key:"shape" words:"capsule,cylinder,box"`
	Body        Ref[Body]    `key:"body"`
	From        Vector       `key:"from" dim:"length"`
	To          Vector       `key:"to" dim:"length"`
	Radius      value.Number `key:"radius" dim:"length"`
	Clearance   value.Number `key:"clearance" dim:"length" sign:"any"` // a rule judges it
	Shielded    value.Flag   `key:"shielded"`
	Temperature value.Number `key:"temperature" dim:"temperature"`
}

// Feed is the pump's electrical feed.
type Feed struct {
	Written
	TakeOff      value.Text      `key:"take_off" words:"ignition,battery"`
	Circuit      Circuit         `key:"circuit"`
	Fuse         Ref[Fuse]       `key:"fuse"`
	FuseDistance value.Number    `key:"fuse_distance" dim:"length"`
	Sheathed     value.Flag      `key:"sheathed"`
	FuseWarmth   value.Number    `key:"fuse_temperature" dim:"temperature"`
	Holder       value.Number    `key:"holder_resistance" dim:"resistance"`
	Cable        Ref[Cable]      `key:"cable"`
	Length       value.Number    `key:"length" dim:"length"`
	Loaded       value.Count     `key:"loaded_conductors"`
	Return       value.Text      `key:"return" words:"cable,chassis"`
	ReturnOhm    value.Number    `key:"return_resistance" dim:"resistance"`
	Passages     []*Passage      `key:"passages"`
	Connectors   []*ConnectorFit `key:"connectors"`
	Temperature  value.Number    `key:"temperature" dim:"temperature"`
	Note         value.Text      `key:"note"`
}

// Circuit is the vehicle's circuit from which the feed is taken.
type Circuit struct {
	Written
	Rating value.Number `key:"rating" dim:"current"`
	Load   value.Number `key:"load" dim:"current"`
}

// Passage is where the feed goes through sheet metal.
type Passage struct {
	Written
	Name    value.Text `key:"name"`
	Grommet value.Flag `key:"grommet"`
}

// ConnectorFit is a connector of the feed, and where it sits.
type ConnectorFit struct {
	Written
	Name  value.Text     `key:"name"`
	Part  Ref[Connector] `key:"part"`
	Place value.Text     `key:"place"`
}

// Documents go with the kit.
type Documents struct {
	Written
	Schematic    Document   `key:"schematic"`
	CallOutSheet Document   `key:"call_out_sheet"`
	Instructions Document   `key:"instructions"`
	SafetyNotice value.Text `key:"safety_notice"`
}

// Document is one of them. Rows are those of the call-out sheet.
type Document struct {
	Written
	Number   value.Text `key:"number"`
	Revision value.Text `key:"revision"`
	Rows     []*Row     `key:"rows"`
}

// Row is a row of the call-out sheet.
type Row struct {
	Written
	Line value.Count `key:"line" refers:"line" once:"yes"`
	Name value.Text  `key:"name"`
}

// ListedPart is a row of the parts list.
type ListedPart struct {
	Written
	Entry    *Part        // the catalogue's entry; nil where there is none
	Part     value.Text   `key:"part" refers:"part" once:"yes"`
	Quantity value.Count  `key:"quantity"`
	Length   value.Number `key:"length" dim:"length"`
	Volume   value.Number `key:"volume" dim:"volume"`
}

// Step is a step of the installation procedure.
type Step struct {
	Written
	Kind  value.Text    `key:"step" words:"warn,protect-eyes,protect-hands,brief,shut-down,remove-key,isolate-battery,lock-out,relieve-pressure,verify-isolation,chock,support,prop,remove-wheel,drill,mount-pump,clean-point,remove-nipple,fit-line,prime-line,connect-line,fill,prime,connect-feed,refit-wheel,torque,clear-tools,clear-people,remove-locks,tell-people,restore,reconnect-battery,test-run,leak-check,slack-check,hand-over,re-torque" names:"step"`
	Text  value.Text    `key:"text"`
	Lines []value.Count `key:"lines" refers:"line"`
}

// Concession is a permission to release what does not conform (ISO 9000).
type Concession struct {
	Written
	Rule      value.Text `key:"rule" refers:"rule"`
	Place     value.Text `key:"place" refers:"place"`
	Reason    value.Text `key:"reason"`
	GrantedBy value.Text `key:"granted_by"`
	Until     value.Text `key:"until"`
	Severity  value.Text `key:"severity" words:"minor,major,critical"`
	Value     value.Text `key:"value"`
}
