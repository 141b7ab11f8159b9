// Package facts computes from a kit what its rules look at: it takes the
// values that each formula needs from the model, and keeps the result, or the
// reason why there is none. The formulas stand in the packages below
// quantities, one a discipline; the files of this package have their names.
package facts

import (
	"fmt"
	"slices"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/motion"
	"kitgauge/checker/source"
	"kitgauge/checker/value"
)

// kindOf is a kind with the list of its things.
type kindOf struct {
	value.Kind
	list func(*Kit) []value.Subject
}

func of[T any, S interface {
	*T
	value.Subject
}](name, doc string, list func(*Kit) []S) kindOf {
	return kindOf{value.KindOf[T](name, doc), func(k *Kit) []value.Subject {
		things := list(k)
		out := make([]value.Subject, len(things))
		for i, s := range things {
			out[i] = s
		}
		return out
	}}
}

// spot is what a thing is called, and where it stands in the file.
type spot struct {
	place string
	node  *source.Node
}

// Place names the thing.
func (s *spot) Place() string { return s.place }

// Source is the thing's place in the file.
func (s *spot) Source() *source.Node { return s.node }

var kinds = []kindOf{
	of("kit", "the whole kit", func(k *Kit) []*Kit { return []*Kit{k} }),
	of("joint", "a joint between two bodies of the vehicle", func(k *Kit) []*Joint { return k.Joints }),
	of("point", "a grease point", func(k *Kit) []*Point { return k.Points }),
	of("pump", "the pump as fitted", func(k *Kit) []*PumpFit { return []*PumpFit{&k.Pump} }),
	of("outlet", "an outlet of the pump", func(k *Kit) []*Outlet { return k.Outlets }),
	of("line", "a tube from an outlet to a point", func(k *Kit) []*Line { return k.Lines }),
	of("bundle", "a group of tubes in one conduit", func(k *Kit) []*Bundle { return k.Bundles }),
	of("span", "a free length of tube or bundle between two bodies", func(k *Kit) []*Span { return k.Spans }),
	of("station", "a station of a route", func(k *Kit) []*StationFit { return k.Stations }),
	of("segment", "a piece of a route from one stop to the next", func(k *Kit) []*Segment { return k.Segments }),
	of("stretch", "a run on one body between two stops that hold the tubes", func(k *Kit) []*Stretch { return k.Stretches }),
	of("corner", "a turn of a route on one body", func(k *Kit) []*Corner { return k.Corners }),
	of("approach", "a segment of a route near a zone", func(k *Kit) []*Approach { return k.Approaches }),
	of("feed", "the electrical feed", func(k *Kit) []*Feed { return []*Feed{&k.Feed} }),
	of("passage", "a passage of the feed through sheet metal", func(k *Kit) []*Passage { return k.Feed.Passages }),
	of("connector", "a connector of the feed", func(k *Kit) []*ConnectorFit { return k.Feed.Connectors }),
	of("step", "a step of the installation procedure", func(k *Kit) []*Step { return k.Procedure }),
	of("end", "an end of a line, with its fitting", func(k *Kit) []*LineEnd { return k.Ends }),
	of("fitting", "a kind of fitting that the kit uses", func(k *Kit) []*FittingKind { return k.Fittings }),
	of("pump_zone", "a hot, moving or wheel zone, as the pump sees it", func(k *Kit) []*PumpZone { return k.PumpZones }),
	of("fitting_zone", "a heat zone, as a fitting at a grease point sees it", func(k *Kit) []*FittingZone { return k.HotEnds }),
	of("part", "a part of the catalogue that the kit uses", func(k *Kit) []*UsedPart { return k.Parts }),
	of("former_grease", "a grease from greasing by hand", func(k *Kit) []*EarlierGrease { return k.Former }),
	of("document", "a document that goes with the kit", func(k *Kit) []*IssuedDocument { return k.Papers }),
	of("row", "a row of the call-out sheet", func(k *Kit) []*CallOutRow { return k.Rows }),
	of("listed", "a row of the parts list", func(k *Kit) []*ListRow { return k.ListRows }),
	of("concession", "a permission to release what does not conform", func(k *Kit) []*GrantedConcession { return k.Granted }),
	of("pump_part", "a pump in the catalogue that the kit uses", func(k *Kit) []*PumpPart { return k.entries.pumps }),
	of("element", "a metering element in the catalogue that the kit uses", func(k *Kit) []*ElementPart { return k.entries.elements }),
	of("tube", "a tube in the catalogue that the kit uses", func(k *Kit) []*TubePart { return k.entries.tubes }),
	of("conduit", "a conduit in the catalogue that the kit uses", func(k *Kit) []*ConduitPart { return k.entries.conduits }),
	of("fitting_part", "a fitting in the catalogue that the kit uses", func(k *Kit) []*FittingPart { return k.entries.fittings }),
	of("fuse", "a fuse in the catalogue that the kit uses", func(k *Kit) []*FusePart { return k.entries.fuses }),
	of("cable", "a cable in the catalogue that the kit uses", func(k *Kit) []*CablePart { return k.entries.cables }),
	of("connector_part", "a connector in the catalogue that the kit uses", func(k *Kit) []*ConnectorPart { return k.entries.connectors }),
	of("grease", "a grease in the catalogue that the kit uses", func(k *Kit) []*GreasePart { return k.entries.greases }),
	of("bolt", "a bolt in the catalogue that the kit uses", func(k *Kit) []*BoltPart { return k.entries.bolts }),
	of("tie", "a clip or tie in the catalogue that the kit uses", func(k *Kit) []*TiePart { return k.entries.ties }),
	of("rating", "the temperatures that a part of the catalogue stands", func(k *Kit) []*Rating { return k.entries.ratings }),
	of("entry_figure", "a number in the catalogue beside those of its series", func(k *Kit) []*EntryFigure { return k.entries.figures }),
	of("mention", "a number that a part's description holds", func(k *Kit) []*Mention { return k.entries.mentions }),
	of("body", "a rigid part of the vehicle", func(k *Kit) []*SurveyedBody { return k.BodyFits }),
	of("zone", "a place to keep away from", func(k *Kit) []*SurveyedZone { return k.ZoneFits }),
	of("twin", "two grease points that are mirror images by their names", func(k *Kit) []*Twin { return k.Twins }),
}

// Kinds lists them. The name is that of the variable in a rule's expressions.
func Kinds() []value.Kind {
	list := make([]value.Kind, len(kinds))
	for i, k := range kinds {
		list[i] = k.Kind
	}
	return list
}

// Subjects lists the things of one kind, in file order.
func (k *Kit) Subjects(kind string) []value.Subject {
	for _, known := range kinds {
		if known.Name == kind {
			return known.list(k)
		}
	}
	return nil
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
	Undone    []string     `key:"work_undone"` // kinds of work that the procedure lacks
	LineGaps  []string     `key:"line_gaps"`
	Free      []string     `key:"free_outlets"`       // without a line
	Unplaced  []string     `key:"stops_without_body"` // stations, points and pump that state no body
	PumpLines value.Count  `key:"line_count"`
	Coldest   value.Number `key:"coldest" dim:"temperature"`

	Stock    Stock `key:"stock"`
	Parts    []*UsedPart
	ListRows []*ListRow

	KitRouting
	KitEnvironment
	KitPaperwork
	KitFittings
	KitMounting
	KitSurvey
	KitHours

	graph   *kit.Graph
	spent   int
	entries *entries
}

// Place names the kit.
func (k *Kit) Place() string { return "the kit" }

// Options is what a computation is handed in.
type Options struct {
	// Limit is the value in force, in SI, of a limit of the rule packs, by
	// pack and name: "power/fuse_share". It is not known where the pack is not
	// in use. Without Limit no limit is known.
	Limit func(id string) value.Number
	// On is the day on which the kit is looked at: 2026-11-25; "" where no day
	// is taken.
	On string
	// Stop ends the computation early once it returns true. The result is not
	// whole then, and of no use. Nil never ends it.
	Stop func() bool
	// Memory keeps what takes long from one computation to the next; nil where
	// there is only one.
	Memory *Memory
	// Packs are the rule packs that will look at the facts; nil is all. What
	// serves others alone is left out, and the words that make no rule hold.
	Packs []string
}

// serves reports whether one of some packs will look at the facts.
func (o *Options) serves(packs ...string) bool {
	return o.Packs == nil || slices.ContainsFunc(packs, func(p string) bool { return slices.Contains(o.Packs, p) })
}

// limit is the value of a limit in force.
func (o *Options) limit(id string) value.Number {
	if o.Limit == nil {
		return value.Unknown[float64]("the limit " + id + " is not known here")
	}
	return o.Limit(id)
}

func (o *Options) stopped() bool { return o.Stop != nil && o.Stop() }

// mostBoxes is the budget of all searches of a kit together, for distances
// over the ranges of joints, and of the pairs of a segment and a zone: some
// seconds. A kit of 84 points takes a hundredth of it, one of 2000 some two tenths.
const mostBoxes = 3_000_000

// Compute works out everything that the rules look at.
func Compute(k *kit.Kit, o Options) *Kit { return compute(k, &o, &motion.Budget{Boxes: mostBoxes}) }

// compute puts the facts of all disciplines together. What one needs of
// another it is handed in, so that they cannot be worked out in a wrong order.
func compute(k *kit.Kit, o *Options, search *motion.Budget) *Kit {
	budget := search.Boxes
	g := kit.NewGraph(k)
	p := joinPorts(k)
	f := &Kit{
		Kit: k, graph: g, Coldest: k.Vehicle.Ambient.From, Unplaced: unplaced(g),
		Points: p.points, Outlets: p.outlets, Bundles: p.bundles, Lines: p.lines, LineGaps: p.gaps, Free: freeOutlets(p.outlets),
		PumpLines: value.Known(int64(len(p.lines))), Stock: stock(k),
	}
	f.Spans = spans(g, search, o)
	f.Joints = joints(k, f.Spans)
	f.Feed = feed(k, o)
	f.Procedure, f.StepKinds = steps(k)
	f.Undone = work(k, f.Procedure)
	feet := newFooting(g, search)
	f.KitRouting = routeFacts(g, feet, o)
	if o.serves("routing", "bundles", "mounting") {
		f.Approaches = approaches(g, f.Spans, search, o)
	}

	cycle, cold, designated, read := timerCycle(k), coldGrease(k, o), designation(k), threads{}
	f.Pump = PumpFit{
		PumpFit: &k.Pump, Outlets: p.outlets, PumpReservoir: reservoir(k, p.outlets, cycle), PumpDosing: pumpDosing(cycle),
		PumpFlow: pumpFlow(k, cold), PumpFittings: pumpFittings(k, read), PumpEnvironment: pumpEnvironment(k, designated), PumpMounting: pumpMounting(k, feet, o),
	}
	packed := packer{}
	for i, b := range f.Bundles {
		b.BundlePacking = packed.bundle(g, g.Routes[i])
	}
	names, markers := pointPaperwork(k), linePaperwork(k)
	for i, l := range f.Lines {
		l.LinePaperwork = markers[i]
		l.LineRouting = lineRouting(g, g.Routes[len(k.Bundles)+i])
		l.LineFlow = lineFlow(k, l, cold)
	}
	f.Pump.PumpRouting = pumpRouting(g, f.Lines, o)
	served := served(p.lines)
	for i, p := range f.Points {
		p.PointPaperwork = names[i]
		p.PointDosing = pointDosing(k, p, served[p.Point], cycle, f.Pump.Strokes)
		p.PointEnvironment = pointEnvironment(k, p.Point, designated)
		p.ThreadProblem = value.Known(read.of(p.Thread, "its thread").Why())
	}
	f.Pump.judge(k, f.Points, cycle, o)
	f.KitFittings = fittingFacts(k, f.Lines, read)
	f.PumpZones, f.HotEnds = pumpZones(g, search, o), fittingZones(g, search, o)
	f.KitEnvironment = formerGreases(k)
	inUse := partsInUse(g, f.Pump.FirstNeed)
	f.Parts = inUse.parts
	f.KitPaperwork = paperwork(k)
	f.ListRows = partsList(k, inUse)
	f.entries = &entries{}
	if o.serves("catalogue") {
		f.entries = catalogueEntries(k, inUse, o)
		f.entries.neverGoesIn(f.Ends)
	}
	if o.serves("survey") {
		surveyed(f, o)
	}
	f.spent = budget - search.Boxes
	return f
}

// Spent is what the searches over the ranges of joints took, in their own
// measure: the same for the same kit on every machine.
func (f *Kit) Spent() int { return f.spent }

// Joint is a joint with what crosses it.
type Joint struct {
	*kit.Joint
	Crossings value.Count `key:"crossings"`
	HasRange  value.Flag  `key:"has_range"`
	Fixed     value.Flag  `key:"fixed"` // a range of no width
	JointSurvey
}

// Place names the joint.
func (j *Joint) Place() string { return "joint " + j.Label() }

// joints lists the joints with the number of spans that cross each.
func joints(k *kit.Kit, spans []*Span) []*Joint {
	crossings := map[*kit.Joint]int64{}
	for _, s := range spans {
		all := s.chain.All()
		for i, j := range all {
			if !slices.Contains(all[:min(i, motion.MostJoints)], j) { // in a circle of bodies it may stand twice
				crossings[j]++
			}
		}
	}
	var list []*Joint
	for _, j := range k.Joints {
		r := j.Range
		list = append(list, &Joint{
			Joint: j, Crossings: value.Known(crossings[j]),
			HasRange: value.Known(r.From.Node != nil && r.To.Node != nil),
			Fixed:    value.Known(r.From.Known && r.To.Known && r.From.V == r.To.V),
		})
	}
	return list
}

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
func (p *Point) Place() string { return pointPlace(p.Point) }

func pointPlace(p *kit.Point) string {
	if p.Name.Known {
		return fmt.Sprintf("point %s (%s)", p.ID.Or("?"), p.Name.V)
	}
	return "point " + p.ID.Or("?")
}

// Side is the side of the vehicle on which the point lies, whatever its name
// says: left, right or middle; "" where that is not known.
func (p *Point) Side() string { return sideOf(p.Position.Y) }

// Outlet is an outlet of the pump: those of the file, and those that the pump
// has beside.
type Outlet struct {
	*kit.Outlet
	Lines        []string    `key:"lines"`       // the numbers of the lines
	SameNumber   value.Count `key:"same_number"` // how many outlets have had the number so far
	Exists       value.Flag  `key:"exists"`
	Listed       value.Flag  `key:"listed"` // stated in the file
	BlankedOff   value.Flag  `key:"blanked_off"`
	Fitted       value.Flag  `key:"fitted"` // an element is named, known or not
	ElementFits  value.Flag  `key:"element_fits"`
	Exchanged    value.Count `key:"exchanged_with"` // the outlet whose element it seems to have
	ExchangeSays value.Text  `key:"exchange_says"`  // what says so, at the first of the two
	node         *source.Node
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
	OutletExists value.Flag      `key:"outlet_exists"`  // the pump has an outlet of that number
	PointProblem value.Text      `key:"point_problem"`  // why the line's point is not known
	BundleLost   value.Text      `key:"bundle_problem"` // why the bundle that it names is not known
	PointSpelt   value.Text      `key:"point_spelt"`    // the point that is meant by a misspelt one, where one alone is nearest
	BundleSpelt  value.Text      `key:"bundle_spelt"`   // the same of its bundle
	SharesOutlet []string        `key:"shares_outlet"`  // earlier lines on the outlet
	SameNumber   value.Count     `key:"same_number"`    // how many lines have had the number so far
	LineRouting
	LineFlow
	LinePaperwork
	LineSurvey
	LineLaid
}

// Place names the line.
func (l *Line) Place() string { return l.Label() }

// Bundle is a bundle with its lines.
type Bundle struct {
	*kit.Bundle
	Lines []string `key:"lines"`
	BundlePacking
}

// Place names the bundle.
func (b *Bundle) Place() string { return "bundle " + b.ID.Or("without an id") }
