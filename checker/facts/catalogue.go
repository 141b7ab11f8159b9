package facts

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/catalogue"
	"kitgauge/checker/quantities/environment"
	"kitgauge/checker/quantities/fittings"
	"kitgauge/checker/quantities/flow"
	"kitgauge/checker/quantities/mounting"
	"kitgauge/checker/quantities/power"
	"kitgauge/checker/source"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// The parts that the kit uses, as their catalogue has them. A finding of
// theirs stands at the catalogue's entry, once, however many kits and lines
// draw on it.

// listing is an entry of the catalogue as a place of findings.
type listing struct {
	part   *kit.Part
	Strays []string `key:"strays"` // members that a rule of its series or of its description names
}

// Place names the part.
func (l *listing) Place() string { return partName(l.part) }

// Source is the catalogue's entry.
func (l *listing) Source() *source.Node { return l.part.Node }

// PumpPart is a pump of the catalogue with what its figures amount to.
type PumpPart struct {
	*kit.Pump
	listing
	Power         value.Number `key:"power" dim:"power"`             // voltage times draw
	GreaseShare   value.Number `key:"mass_share" dim:"plain_number"` // the pump's mass over that of the grease it holds
	GradesKnown   value.Flag   `key:"grades_known"`
	SoftFirst     value.Flag   `key:"grades_in_order"` // the softest grease is no stiffer than the stiffest
	BoltSize      value.Number `key:"bolt_diameter" dim:"length"`
	SealKnown     value.Flag   `key:"enclosure_known"`
	ThreadProblem value.Text   `key:"thread_problem"`      // why that of its outlets cannot be read, or ""
	ThreadUsual   value.Text   `key:"usual_outlet_thread"` // of the others of its series, where none of the fittings in its outlets goes in
}

// ElementPart is a metering element of the catalogue.
type ElementPart struct {
	*kit.Element
	listing
	Pump        kit.Ref[kit.Pump] `key:"pump"`         // the kit's
	SeriesMeant value.Text        `key:"series_meant"` // that of the kit's pump, where all others of its maker's numbers have that
}

// TubePart is a tube of the catalogue with its wall.
type TubePart struct {
	*kit.Tube
	listing
	Wall      value.Number `key:"wall" dim:"length"`
	Stress    value.Number `key:"stress" dim:"pressure"`      // in the wall, at the stated pressure
	Strength  value.Number `key:"strength" dim:"pressure"`    // that no tube of the material reaches
	Idle      value.Number `key:"idle_stress" dim:"pressure"` // below which the wall of a pressure line would be several times too thick
	ForLow    value.Flag   `key:"for_low_pressure"`           // its description names suction, vents or the like
	Strains   value.Text   `key:"stress_says"`                // both in MPa
	Hottest   value.Number `key:"hottest" dim:"temperature"`  // for the material
	ShareFall value.Flag   `key:"shares_fall"`                // the derating falls as the tube grows warm
	ShareMost value.Number `key:"greatest_share" dim:"plain_number"`
	ShareLow  value.Number `key:"least_share" dim:"plain_number"`
	ShareHot  value.Number `key:"warmest_share" dim:"temperature"` // the warmest temperature with a share
	ShareCold value.Number `key:"coldest_share" dim:"temperature"`
}

// ConduitPart is a conduit of the catalogue.
type ConduitPart struct {
	*kit.Conduit
	listing
}

// FittingPart is a fitting of the catalogue.
type FittingPart struct {
	*kit.Fitting
	listing
	ThreadProblem value.Text  `key:"thread_problem"` // why its thread cannot be read, or ""
	NeverGoesIn   value.Count `key:"never_goes_in"`  // in how many holes of one thread it is, none of which it goes into
	ThreadMeant   value.Text  `key:"thread_meant"`   // what would go in there
}

// FusePart is a fuse of the catalogue.
type FusePart struct {
	*kit.Fuse
	listing
}

// CablePart is a cable of the catalogue.
type CablePart struct {
	*kit.Cable
	listing
	PerArea   value.Number `key:"per_mm2" dim:"plain_number"` // amperes to a mm2
	HeatFault value.Text   `key:"heat_fault"`                 // how class, limit and range disagree, "" where they do not
	HeatOver  value.Flag   `key:"heat_over"`                  // more is promised than the class or the limit stands
}

// ConnectorPart is a connector of the catalogue.
type ConnectorPart struct {
	*kit.Connector
	listing
	SealKnown value.Flag `key:"enclosure_known"`
}

// GreasePart is a grease of the catalogue with what its grade and its oil say.
type GreasePart struct {
	*kit.Grease
	listing
	Yield      value.Number `key:"yield_at_25" dim:"pressure"`
	YieldLeast value.Number `key:"yield_least" dim:"pressure"` // of greases of its grade, at 25 degC
	YieldMost  value.Number `key:"yield_most" dim:"pressure"`
	YieldSays  value.Text   `key:"yield_says"`                   // the three in Pa
	Halving    value.Number `key:"halving" dim:"plain_number"`   // K; as stated, else of its two yield stresses
	OilSlope   value.Number `key:"oil_slope" dim:"plain_number"` // on the chart of ASTM D341
	GreaseInCold
}

// BoltPart is a bolt of the catalogue with its size as a number.
type BoltPart struct {
	*kit.Bolt
	listing
	Diameter   value.Number `key:"diameter" dim:"length"`
	Coarse     value.Number `key:"coarse_pitch" dim:"length"` // of its size
	ClassKnown value.Flag   `key:"class_known"`
}

// TiePart is a clip or tie of the catalogue.
type TiePart struct {
	*kit.Tie
	listing
}

// Rating is the range of temperatures that a part is made for.
type Rating struct {
	Kind    value.Text   `key:"kind"`
	From    value.Number `key:"from" dim:"temperature"`
	To      value.Number `key:"to" dim:"temperature"`
	Hottest value.Number `key:"hottest" dim:"temperature"` // for the material of a tube
	part    *kit.Part
	node    *source.Node
}

// Place names the part.
func (r *Rating) Place() string { return partName(r.part) }

// Source is the range's place in the catalogue.
func (r *Rating) Source() *source.Node { return r.node }

// ratingOf returns the range of a part that is whole and that neither its
// series nor its description names as wrong.
func ratingOf(part *kit.Part, r *kit.Range, strays []string) *Rating {
	if r.Node == nil || r.From.Node == nil || r.To.Node == nil ||
		slices.Contains(strays, "temperature from") || slices.Contains(strays, "temperature to") {
		return nil
	}
	return &Rating{Kind: part.Kind, From: r.From, To: r.To, part: part, node: r.Node}
}

// entries is what rules look at in the catalogue.
type entries struct {
	kit        *kit.Kit
	options    *Options
	pumps      []*PumpPart
	elements   []*ElementPart
	tubes      []*TubePart
	conduits   []*ConduitPart
	fittings   []*FittingPart
	fuses      []*FusePart
	cables     []*CablePart
	connectors []*ConnectorPart
	greases    []*GreasePart
	bolts      []*BoltPart
	ties       []*TiePart
	ratings    []*Rating
	figures    []*EntryFigure
	mentions   []*Mention
}

// catalogueEntries looks at the entries of the parts that the kit uses or
// lists, in the order in which it names them.
func catalogueEntries(k *kit.Kit, used *inUse, o *Options) *entries {
	e := &entries{kit: k, options: o}
	if k.Parts == nil {
		return e
	}
	var numbers []string
	for _, u := range used.parts {
		numbers = append(numbers, u.Number.V)
	}
	for _, row := range k.PartsList {
		numbers = append(numbers, row.Part.V)
	}
	seen := map[string]bool{}
	for _, n := range numbers {
		entry := k.Parts.Entry(n)
		if entry == nil || seen[n] {
			continue
		}
		seen[n] = true
		part := kit.Common(entry)
		e.add(entry, listing{part: part, Strays: e.compare(entry)}, used.of[part] != nil)
	}
	return e
}

// compare holds an entry against its description, its number and its series,
// and returns the members that they name as wrong.
func (e *entries) compare(entry any) []string {
	var strays []string
	for _, m := range mentionsOf(e.kit, entry) {
		e.mentions = append(e.mentions, m)
		if !m.Agrees.V {
			strays = append(strays, m.Member.V)
		}
	}
	for _, x := range figuresOf(e.kit, entry, e.options) {
		if slices.Contains(strays, x.Name.V) {
			continue // named already
		}
		e.figures = append(e.figures, x)
		if x.Stray.V {
			strays = append(strays, x.Name.V)
		}
	}
	return strays
}

// rating returns the temperatures of an entry whose kind has them.
func (e *entries) rating(entry any, at listing) *Rating {
	switch p := entry.(type) {
	case *kit.Pump:
		return ratingOf(&p.Part, &p.Temperature, at.Strays)
	case *kit.Tube:
		r := ratingOf(&p.Part, &p.Temperature, at.Strays)
		if r != nil {
			r.Hottest = value.Known(catalogue.MaterialOf(p.Material.V).Hottest)
		}
		return r
	case *kit.Conduit:
		return ratingOf(&p.Part, &p.Temperature, at.Strays)
	case *kit.Fitting:
		return ratingOf(&p.Part, &p.Temperature, at.Strays)
	case *kit.Cable:
		return ratingOf(&p.Part, &p.Temperature, at.Strays)
	case *kit.Tie:
		return ratingOf(&p.Part, &p.Temperature, at.Strays)
	}
	return nil
}

// add takes one entry up; fitted is whether the kit uses it, or has it as a
// spare only.
func (e *entries) add(entry any, at listing, fitted bool) {
	if r := e.rating(entry, at); r != nil {
		e.ratings = append(e.ratings, r)
	}
	switch p := entry.(type) {
	case *kit.Pump:
		e.pumps = append(e.pumps, pumpEntry(p, at))
	case *kit.Element:
		s := &ElementPart{Element: p, listing: at}
		if fitted {
			s.Pump = e.kit.Pump.Part
			s.SeriesMeant = seriesMeant(e.kit, p)
		}
		e.elements = append(e.elements, s)
	case *kit.Tube:
		e.tubes = append(e.tubes, tubeEntry(p, at))
	case *kit.Conduit:
		e.conduits = append(e.conduits, &ConduitPart{p, at})
	case *kit.Fitting:
		e.fittings = append(e.fittings, &FittingPart{Fitting: p, listing: at, ThreadProblem: unreadable(p.Thread)})
	case *kit.Fuse:
		e.fuses = append(e.fuses, &FusePart{p, at})
	case *kit.Cable:
		e.cables = append(e.cables, cableEntry(p, at))
	case *kit.Connector:
		e.connectors = append(e.connectors, &ConnectorPart{p, at, isEnclosure(p.Enclosure)})
	case *kit.Grease:
		e.greases = append(e.greases, e.greaseEntry(p, at))
	case *kit.Bolt:
		e.bolts = append(e.bolts, boltEntry(p, at))
	case *kit.Tie:
		e.ties = append(e.ties, &TiePart{p, at})
	}
}

// unreadable says why a thread that is stated cannot be read, "" where it can.
func unreadable(thread value.Text) value.Text {
	if !thread.Known {
		return value.Known("")
	}
	if _, err := fittings.Parse(thread.V); err != nil {
		return value.Known(err.Error())
	}
	return value.Known("")
}

// fewEntries is of how many others at least it is concluded that an entry is
// wrong. Common practice, no source.
const fewEntries = 2

// seriesMeant is the series of the kit's pump where an element has another, and
// all elements whose numbers begin as its own have the pump's.
func seriesMeant(k *kit.Kit, e *kit.Element) value.Text {
	pump := k.Pump.Part.To
	if pump == nil || len(pump.Elements) != 1 || !e.Series.Known || e.Series.V == pump.Elements[0].V {
		return value.Text{}
	}
	n := 0
	for _, entry := range k.Parts.OfKind("element") {
		other, is := entry.(*kit.Element)
		if !is || other == e || series(other) != series(e) {
			continue
		}
		if other.Series.V != pump.Elements[0].V {
			return value.Text{}
		}
		n++
	}
	if n < fewEntries {
		return value.Text{}
	}
	return value.Known(pump.Elements[0].V)
}

// fewHoles is in how many holes at least a fitting has to be before its entry
// is doubted. Common practice, no source.
const fewHoles = 3

// neverGoesIn finds fittings that go into none of the holes in which they are,
// where those are all of one thread.
func (e *entries) neverGoesIn(ends []*LineEnd) {
	if e.oddOutlets(ends) {
		return
	}
	for _, f := range e.fittings {
		needed, n := "", int64(0)
		for _, end := range ends {
			if end.Fitting.To != f.Fitting {
				continue
			}
			if !end.Readable.V || end.GoesIn.V || needed != "" && end.NeededThread.V != needed {
				n = 0
				break
			}
			needed = end.NeededThread.V
			n++
		}
		if n >= fewHoles {
			f.NeverGoesIn, f.ThreadMeant = value.Known(n), value.Known(needed)
		}
	}
}

// oddOutlets tells of a pump whose outlets alone of its series have another
// thread, where none of the fittings in them goes in: then it is the pump's
// entry that is doubted and not that of a fitting.
func (e *entries) oddOutlets(ends []*LineEnd) bool {
	for _, p := range e.pumps {
		usual := ""
		n := 0
		for _, o := range e.kit.Parts.OfKind(p.Kind.V) {
			peer, is := o.(*kit.Pump)
			if !is || peer == p.Pump || series(peer) != series(p.Pump) || !peer.OutletThread.Known {
				continue
			}
			if n++; usual != "" && usual != peer.OutletThread.V {
				usual = p.OutletThread.V
			} else if usual == "" {
				usual = peer.OutletThread.V
			}
		}
		if e.kit.Pump.Part.To != p.Pump || n < 2 || usual == p.OutletThread.V || !p.OutletThread.Known || noneGoesIn(ends) < fewHoles {
			continue
		}
		p.ThreadUsual = value.Known(usual)
		return true
	}
	return false
}

// noneGoesIn is how many fittings are in the outlets of the pump, 0 where one
// of them goes in.
func noneGoesIn(ends []*LineEnd) int {
	n := 0
	for _, end := range ends {
		if end.At.V != "pump" {
			continue
		}
		if !end.Readable.V || end.GoesIn.V {
			return 0
		}
		n++
	}
	return n
}

// usualDensity is that of mineral-oil grease [kg/m³], 850 to 950, from memory:
// a pump is judged without the grease of one kit.
const usualDensity = 900.0

func pumpEntry(p *kit.Pump, at listing) *PumpPart {
	s := &PumpPart{Pump: p, listing: at}
	s.Power = value.Compute(func(n *value.Need) (float64, error) {
		return n.Number("its voltage", p.Voltage) * n.Number("its draw", p.Draw), nil
	})
	s.GreaseShare = value.Compute(func(n *value.Need) (float64, error) {
		mass, volume := n.Number("its mass", p.Mass), n.Number("its reservoir", p.Reservoir)
		if volume <= 0 {
			n.Stop("its reservoir holds nothing")
		}
		return mass / (volume * usualDensity), nil
	})
	s.ThreadProblem = unreadable(p.OutletThread)
	s.BoltSize, s.SealKnown = metricSize(p.BoltSize), isEnclosure(p.Enclosure)
	if !p.SoftestGrease.Known || !p.StiffestGrease.Known {
		return s
	}
	soft, err := flow.ConsistencyRank(p.SoftestGrease.V)
	stiff, err2 := flow.ConsistencyRank(p.StiffestGrease.V)
	s.GradesKnown = value.Known(err == nil && err2 == nil)
	s.SoftFirst = value.Known(err != nil || err2 != nil || soft <= stiff)
	return s
}

// lowPressure is what tubes that stand little are called.
var lowPressure = regexp.MustCompile(`(?i)\b(suction|vents?|venting|breather|drain|return|low[- ]pressure|overflow|leak[- ]?off)\b`)

func tubeEntry(t *kit.Tube, at listing) *TubePart {
	s := &TubePart{Tube: t, listing: at, ShareFall: value.Known(true)}
	if t.Outer.Known && t.Inner.Known {
		s.Wall = value.Known((t.Outer.V - t.Inner.V) / 2)
		if t.Pressure.Known {
			s.Stress = value.Result(catalogue.HoopStress(t.Pressure.V, t.Outer.V, t.Inner.V))
		}
	}
	m := catalogue.MaterialOf(t.Material.V)
	s.Strains = value.Known(fmt.Sprintf("%.3g MPa, and tubes of that kind stand less than %.3g MPa", s.Stress.V/1e6, m.Most/1e6))
	s.Idle, s.ForLow = value.Known(m.Least), value.Known(lowPressure.MatchString(t.Description.V))
	s.Strength, s.Hottest = value.Known(m.Most), value.Known(m.Hottest)
	for i, d := range t.Derating {
		if !d.Share.Known || !d.Temperature.Known {
			continue
		}
		if !s.ShareMost.Known || d.Share.V > s.ShareMost.V {
			s.ShareMost = value.Known(d.Share.V)
		}
		if !s.ShareLow.Known || d.Share.V < s.ShareLow.V {
			s.ShareLow = value.Known(d.Share.V)
		}
		if !s.ShareHot.Known || d.Temperature.V > s.ShareHot.V {
			s.ShareHot = value.Known(d.Temperature.V)
		}
		if !s.ShareCold.Known || d.Temperature.V < s.ShareCold.V {
			s.ShareCold = value.Known(d.Temperature.V)
		}
		if i > 0 && t.Derating[i-1].Share.Known && t.Derating[i-1].Temperature.Known {
			warmer, less := d.Temperature.V > t.Derating[i-1].Temperature.V, d.Share.V <= t.Derating[i-1].Share.V
			s.ShareFall.V = s.ShareFall.V && warmer && less
		}
	}
	return s
}

// room is the temperature [K] to which the yield stresses of the grades refer.
const room = 298.15

func (e *entries) greaseEntry(g *kit.Grease, at listing) *GreasePart {
	s := &GreasePart{Grease: g, listing: at, Yield: g.YieldStress}
	law := value.Try(func(n *value.Need) (greaseLaw, error) {
		return lawOf(n, g, n.Number("how far a yield stress is carried", e.options.limit("flow/carried")), e.kit.Family()), nil
	})
	if l, err := law.Result(); err == nil {
		if roomy, err := l.at(room); err == nil {
			s.Yield = value.Known(roomy)
		}
	}
	s.GreaseInCold = greaseInCold(g, law, e.options, at.Strays)
	if g.Grade.Known {
		if least, most, err := catalogue.YieldBand(g.Grade.V); err == nil {
			s.YieldLeast, s.YieldMost = value.Known(least), value.Known(most)
			s.YieldSays = value.Known(fmt.Sprintf("%.4g Pa at 25 degC does not go with NLGI %s, of which greases have %g to %g Pa", s.Yield.V, g.Grade.V, least, most))
		}
	}
	if g.YieldHalving.Known {
		s.Halving = value.Known(g.YieldHalving.V)
	} else if l, err := law.Result(); err == nil {
		s.Halving = value.Known(l.law.Halving)
	}
	if g.OilViscosity.Known && g.OilViscosityH.Known {
		s.OilSlope = value.Result(catalogue.OilSlope(g.OilViscosity.V, g.OilViscosityH.V))
	}
	return s
}

func cableEntry(c *kit.Cable, at listing) *CablePart {
	s := &CablePart{Cable: c, listing: at}
	if c.Rating.Known && c.Area.Known && c.Area.V > 0 {
		s.PerArea = value.Known(c.Rating.V / (c.Area.V * 1e6))
	}
	s.heat()
	return s
}

// heat holds class, limit of the insulation and range of a cable against each
// other: the limit is that of the class, and the range goes no farther.
func (s *CablePart) heat() {
	s.HeatFault, s.HeatOver = value.Known(""), value.Known(false)
	show := func(t float64) string { return units.Format(t, units.Temperature, units.Metric) }
	limit, most := s.Limit, s.Temperature.To
	var stands value.Number
	if s.Class.Known {
		stands = value.Result(power.InsulationLimit(s.Class.V))
	}
	const hair = 0.01 // K, of rounding
	tell := func(what string, is, may value.Number, of string) bool {
		if !is.Known || !may.Known || is.V <= may.V+hair {
			return false
		}
		s.HeatFault, s.HeatOver = value.Known(what+" "+show(is.V)+", and "+of+" stands "+show(may.V)), value.Known(true)
		return true
	}
	class := "class " + s.Class.V
	switch {
	case tell("the limit of its insulation is said to be", limit, stands, class), tell("it is said to be made for up to", most, stands, class),
		tell("it is said to be made for up to", most, limit, "its insulation"):
	case limit.Known && stands.Known && limit.V < stands.V-hair:
		s.HeatFault = value.Known("the limit of its insulation is said to be " + show(limit.V) + ", and " + class + " stands " + show(stands.V))
	}
}

// metricSize is the diameter in a size such as M8; it is not known of others.
func metricSize(size value.Text) value.Number {
	if !strings.HasPrefix(size.V, "M") {
		return value.Number{}
	}
	return value.Result(units.Parse(size.V[1:]+" mm", units.Length))
}

// isEnclosure reports whether a code of protection is one that there is.
func isEnclosure(code value.Text) value.Flag {
	if !code.Known {
		return value.Flag{}
	}
	_, err := environment.ParseIngress(code.V)
	return value.Known(err == nil)
}

func boltEntry(b *kit.Bolt, at listing) *BoltPart {
	s := &BoltPart{Bolt: b, listing: at, ClassKnown: value.Known(false)}
	if s.Diameter = metricSize(b.Size); s.Diameter.Known {
		thread, err := mounting.Coarse(s.Diameter.V)
		s.Coarse = value.Result(thread.Pitch, err)
	}
	if b.PropertyClass.Known {
		_, err := mounting.ProofStress(b.PropertyClass.V, 0.008)
		s.ClassKnown.V = err == nil
	}
	return s
}
