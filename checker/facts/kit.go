// Package facts computes from a kit what its rules look at: it takes the
// values that each pure function below needs from the model, and keeps the
// result, or the reason why there is none. The formulas themselves stand in
// the sub-packages, one a discipline.
package facts

import (
	"fmt"
	"reflect"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/motion"
	"kitgauge/checker/source"
	"kitgauge/checker/value"
)

// Kind is one kind of thing that rules can look at.
type Kind struct {
	Name string
	Type reflect.Type
	Doc  string
}

// Kinds lists them. The name is that of the variable in a rule's expressions.
func Kinds() []Kind {
	return []Kind{
		{"kit", reflect.TypeFor[Kit](), "the whole kit"},
		{"joint", reflect.TypeFor[Joint](), "a joint between two bodies of the vehicle"},
		{"point", reflect.TypeFor[Point](), "a grease point"},
		{"pump", reflect.TypeFor[PumpFit](), "the pump as fitted"},
		{"outlet", reflect.TypeFor[Outlet](), "an outlet of the pump"},
		{"line", reflect.TypeFor[Line](), "a tube from an outlet to a point"},
		{"bundle", reflect.TypeFor[Bundle](), "a group of tubes in one conduit"},
		{"span", reflect.TypeFor[Span](), "a free length of tube or bundle between two bodies"},
		{"station", reflect.TypeFor[StationFit](), "a station of a route"},
		{"segment", reflect.TypeFor[Segment](), "a piece of a route from one stop to the next"},
		{"stretch", reflect.TypeFor[Stretch](), "a run on one body between two stops that hold the tubes"},
		{"corner", reflect.TypeFor[Corner](), "a turn of a route on one body"},
		{"approach", reflect.TypeFor[Approach](), "a segment of a route near a zone"},
		{"feed", reflect.TypeFor[Feed](), "the electrical feed"},
		{"passage", reflect.TypeFor[Passage](), "a passage of the feed through sheet metal"},
		{"connector", reflect.TypeFor[ConnectorFit](), "a connector of the feed"},
		{"step", reflect.TypeFor[Step](), "a step of the installation procedure"},
		{"end", reflect.TypeFor[LineEnd](), "an end of a line, with its fitting"},
		{"fitting", reflect.TypeFor[FittingKind](), "a kind of fitting that the kit uses"},
		{"pump_zone", reflect.TypeFor[PumpZone](), "a hot, moving or wheel zone, as the pump sees it"},
		{"part", reflect.TypeFor[UsedPart](), "a part of the catalogue that the kit uses"},
		{"former_grease", reflect.TypeFor[EarlierGrease](), "a grease from greasing by hand"},
		{"document", reflect.TypeFor[IssuedDocument](), "a document that goes with the kit"},
		{"row", reflect.TypeFor[CallOutRow](), "a row of the call-out sheet"},
		{"listed", reflect.TypeFor[ListRow](), "a row of the parts list"},
		{"concession", reflect.TypeFor[GrantedConcession](), "a permission to release what does not conform"},
		{"body", reflect.TypeFor[SurveyedBody](), "a rigid part of the vehicle"},
		{"zone", reflect.TypeFor[SurveyedZone](), "a place to keep away from"},
		{"twin", reflect.TypeFor[Twin](), "two grease points that are mirror images by their names"},
	}
}

// Subject is a thing that rules look at, with its place.
type Subject interface {
	Place() string
	Source() *source.Node
}

// Kit is a kit with everything computed. A field of the same name as one of
// the embedded kit takes its place.
type Kit struct {
	*kit.Kit
	Joints    []*Joint `key:"joints"`
	Points    []*Point `key:"points"`
	Pump      PumpFit  `key:"pump"`
	Outlets   []*Outlet
	Lines     []*Line      `key:"lines"`
	Bundles   []*Bundle    `key:"bundles"`
	Spans     []*Span      `key:"spans"`
	Feed      Feed         `key:"feed"`
	Procedure []*Step      `key:"procedure"`
	StepKinds []string     `key:"step_kinds"`
	LineGaps  []string     `key:"line_gaps"`
	Unplaced  []string     `key:"stops_without_body"` // stations, points and pump that state no body
	PumpLines value.Count  `key:"line_count"`
	Coldest   value.Number `key:"coldest" dim:"temperature"`

	KitRouting
	KitEnvironment
	KitPaperwork
	KitFittings
	KitMounting
	KitSurvey

	bodies  map[*kit.Body]*kit.Joint // the joint by which each body hangs
	chains  map[*kit.Body]hung       // as far as they were asked for
	allRuns []run
	search  *motion.Budget // of all searches together
	stop    func() bool    // nil never ends the computation early
}

// mostBoxes is the budget of all searches of a kit together, for distances
// over the ranges of joints, and of the pairs of a segment and a zone: some
// seconds. A kit of 84 points takes a hundredth of it, one of 2000 a quarter.
const mostBoxes = 3_000_000

func (f *Kit) stopped() bool { return f.stop != nil && f.stop() }

// Place names the kit.
func (k *Kit) Place() string { return "the kit" }

// Source is the root of the kit file.
func (k *Kit) Source() *source.Node { return k.Node }

// Subjects lists the things of one kind, in file order.
func (k *Kit) Subjects(kind string) []Subject {
	switch kind {
	case "kit":
		return []Subject{k}
	case "pump":
		return []Subject{&k.Pump}
	case "feed":
		return []Subject{&k.Feed}
	case "joint":
		return subjects(k.Joints)
	case "point":
		return subjects(k.Points)
	case "outlet":
		return subjects(k.Outlets)
	case "line":
		return subjects(k.Lines)
	case "bundle":
		return subjects(k.Bundles)
	case "span":
		return subjects(k.Spans)
	case "station":
		return subjects(k.Stations)
	case "segment":
		return subjects(k.Segments)
	case "stretch":
		return subjects(k.Stretches)
	case "corner":
		return subjects(k.Corners)
	case "approach":
		return subjects(k.Approaches)
	case "passage":
		return subjects(k.Feed.Passages)
	case "connector":
		return subjects(k.Feed.Connectors)
	case "step":
		return subjects(k.Procedure)
	case "end":
		return subjects(k.Ends)
	case "fitting":
		return subjects(k.KitFittings.Fittings)
	case "pump_zone":
		return subjects(k.PumpZones)
	case "part":
		return subjects(k.used.parts)
	case "former_grease":
		return subjects(k.Former)
	case "document":
		return subjects(k.Papers)
	case "row":
		return subjects(k.Rows)
	case "listed":
		return subjects(k.ListRows)
	case "concession":
		return subjects(k.Granted)
	case "body":
		return subjects(k.BodyFits)
	case "zone":
		return subjects(k.ZoneFits)
	case "twin":
		return subjects(k.Twins)
	}
	return nil
}

func subjects[T Subject](list []T) []Subject {
	out := make([]Subject, len(list))
	for i, s := range list {
		out[i] = s
	}
	return out
}

// Compute works out everything that the rules look at.
func Compute(k *kit.Kit) *Kit { return ComputeUntil(k, nil) }

// ComputeUntil is Compute that ends early once stop returns true. The result
// is not whole then, and of no use.
func ComputeUntil(k *kit.Kit, stop func() bool) *Kit { return compute(k, stop, mostBoxes) }

func compute(k *kit.Kit, stop func() bool, boxes int) *Kit {
	f := &Kit{Kit: k, Coldest: k.Vehicle.Ambient.From, search: &motion.Budget{Boxes: boxes}, stop: stop}
	for _, part := range []func(){
		f.joints, f.ports, f.spans, f.reservoir, f.feed, f.steps, f.routing, f.bundling,
		f.dosing, f.flow, f.fittings, f.mounting, f.environment, f.paperwork, f.survey,
	} {
		if f.stopped() {
			break
		}
		part()
	}
	return f
}

// Joint is a joint with what crosses it.
type Joint struct {
	*kit.Joint
	Crossings value.Count `key:"crossings"`
	HasRange  value.Flag  `key:"has_range"`
	Fixed     value.Flag  `key:"fixed"` // a range of no width
	JointSurvey
}

// Place names the joint.
func (j *Joint) Place() string { return "joint " + jointName(j.Joint) }

// Source is the joint's place in the file.
func (j *Joint) Source() *source.Node { return j.Node }

func jointName(j *kit.Joint) string { return j.Name.Or(j.ID.Or("without a name")) }

func bodyName(b *kit.Body) string { return b.Name.Or(b.ID.Or("a body without a name")) }

// Point is a grease point with the lines that end at it.
type Point struct {
	*kit.Point
	Lines    []string    `key:"lines"`     // the numbers of the lines
	SameID   value.Count `key:"same_id"`   // how many points have had the id so far
	SharedID value.Flag  `key:"id_shared"` // with another point
	PointDosing
	PointEnvironment
	PointPaperwork
	PointFittings
	PointSurvey
}

// Place names the point.
func (p *Point) Place() string {
	if p.Name.Known {
		return fmt.Sprintf("point %s (%s)", p.ID.Or("?"), p.Name.V)
	}
	return "point " + p.ID.Or("?")
}

// Source is the point's place in the file.
func (p *Point) Source() *source.Node { return p.Node }

// Outlet is an outlet of the pump: those of the file, and those that the pump
// has beside.
type Outlet struct {
	*kit.Outlet
	Lines       []string    `key:"lines"`       // the numbers of the lines
	SameNumber  value.Count `key:"same_number"` // how many outlets have had the number so far
	Exists      value.Flag  `key:"exists"`
	Listed      value.Flag  `key:"listed"` // stated in the file
	BlankedOff  value.Flag  `key:"blanked_off"`
	Fitted      value.Flag  `key:"fitted"` // an element is named, known or not
	ElementFits value.Flag  `key:"element_fits"`
	node        *source.Node
}

// Place names the outlet.
func (o *Outlet) Place() string {
	if !o.Number.Known {
		return "an outlet without a number"
	}
	return fmt.Sprintf("outlet %d", o.Number.V)
}

// Source is the outlet's place in the file, or the pump's.
func (o *Outlet) Source() *source.Node { return o.node }

// Line is a tube with what it joins.
type Line struct {
	*kit.Line
	Point        kit.Ref[Point]  `key:"point"`
	Bundle       kit.Ref[Bundle] `key:"bundle"`
	OutletFit    kit.Ref[Outlet] `key:"outlet_fit"`
	OutletExists value.Flag      `key:"outlet_exists"` // the pump has an outlet of that number
	PointProblem value.Text      `key:"point_problem"` // why the line's point is not known
	SharesOutlet []string        `key:"shares_outlet"` // earlier lines on the outlet
	SameNumber   value.Count     `key:"same_number"`   // how many lines have had the number so far
	LineRouting
	LineFlow
	LinePaperwork
}

// Place names the line.
func (l *Line) Place() string { return lineName(l.Line) }

func lineName(l *kit.Line) string {
	if !l.Number.Known {
		return "a line without a number"
	}
	return fmt.Sprintf("line %d", l.Number.V)
}

// Source is the line's place in the file.
func (l *Line) Source() *source.Node { return l.Node }

// Bundle is a bundle with its lines.
type Bundle struct {
	*kit.Bundle
	Lines []string `key:"lines"`
	BundlePacking
}

// Place names the bundle.
func (b *Bundle) Place() string { return "bundle " + b.ID.Or("without an id") }

// Source is the bundle's place in the file.
func (b *Bundle) Source() *source.Node { return b.Node }
