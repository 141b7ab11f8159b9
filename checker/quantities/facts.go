// Package quantities computes from a kit what its rules look at: it takes the
// values that each pure function below needs from the model, and keeps the
// result, or the reason why there is none. The formulas themselves stand in
// the sub-packages, one a discipline.
package quantities

import (
	"fmt"
	"reflect"

	"kitgauge/checker/kit"
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
		{"feed", reflect.TypeFor[Feed](), "the electrical feed"},
		{"passage", reflect.TypeFor[Passage](), "a passage of the feed through sheet metal"},
		{"connector", reflect.TypeFor[ConnectorFit](), "a connector of the feed"},
		{"step", reflect.TypeFor[Step](), "a step of the installation procedure"},
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
	PumpLines value.Count  `key:"line_count"`
	Coldest   value.Number `key:"coldest" dim:"temperature"`

	KitPaperwork

	bodies map[*kit.Body]*kit.Joint // the joint by which each body hangs
}

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
	case "passage":
		return subjects(k.Feed.Passages)
	case "connector":
		return subjects(k.Feed.Connectors)
	case "step":
		return subjects(k.Procedure)
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
func Compute(k *kit.Kit) *Kit {
	f := &Kit{Kit: k, Coldest: k.Vehicle.Ambient.From}
	f.joints()
	f.ports()
	f.spans()
	f.reservoir()
	f.feed()
	f.steps()
	f.routing()
	f.bundling()
	f.dosing()
	f.flow()
	f.fittings()
	f.mounting()
	f.environment()
	f.paperwork()
	return f
}

// Joint is a joint with what crosses it.
type Joint struct {
	*kit.Joint
	Crossings value.Count `key:"crossings"`
	HasRange  value.Flag  `key:"has_range"`
	Fixed     value.Flag  `key:"fixed"` // a range of no width
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
	Lines  []string    `key:"lines"` // the numbers of the lines
	SameID value.Count `key:"same_id"`
	PointDosing
	PointEnvironment
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
	Lines       []string   `key:"lines"` // the numbers of the lines
	Exists      value.Flag `key:"exists"`
	Listed      value.Flag `key:"listed"` // stated in the file
	BlankedOff  value.Flag `key:"blanked_off"`
	Fitted      value.Flag `key:"fitted"` // an element is named, known or not
	ElementFits value.Flag `key:"element_fits"`
	node        *source.Node
}

// Place names the outlet.
func (o *Outlet) Place() string { return fmt.Sprintf("outlet %d", o.Number.V) }

// Source is the outlet's place in the file, or the pump's.
func (o *Outlet) Source() *source.Node { return o.node }

// Line is a tube with what it joins.
type Line struct {
	*kit.Line
	Point        kit.Ref[Point]  `key:"point"`
	Bundle       kit.Ref[Bundle] `key:"bundle"`
	OutletFit    kit.Ref[Outlet] `key:"outlet_fit"`
	PointProblem value.Text      `key:"point_problem"` // why the line's point is not known
	SharesOutlet []string        `key:"shares_outlet"` // earlier lines on the outlet
	SameNumber   value.Count     `key:"same_number"`
	LineRouting
	LineFlow
	LineFittings
	LineEnvironment
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
