package facts

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/survey"
	"kitgauge/checker/source"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// PlaceSurvey is whether a thing lies where it can.
type PlaceSurvey struct {
	Outside     value.Number `key:"outside" dim:"length"` // how far outside of the vehicle's outline
	OutsideFace value.Text   `key:"outside_face"`         // "behind" it
	Meant       value.Text   `key:"meant"`                // the coordinates that were probably meant
	MeantBy     value.Text   `key:"meant_by"`             // what says so
	BodyMeant   value.Text   `key:"body_meant"`           // the body that it is probably on
	BodyBy      value.Text   `key:"body_meant_by"`
}

// PointSurvey is where a grease point lies, beside its line and its mirror image.
type PointSurvey struct {
	PlaceSurvey
	Reach       value.Number `key:"reach" dim:"length"` // from the last stop of its line
	ReachFrom   value.Text   `key:"reach_from"`
	ReachMeant  value.Text   `key:"reach_meant"`             // the coordinate that would bring it near
	ReachMost   value.Number `key:"reach_most" dim:"length"` // from which on that is taken for a slip: a digit or a unit explains more than a sign does
	SamePlace   value.Text   `key:"same_place"`              // the other point that lies there
	Twin        value.Text   `key:"twin"`
	TwinOff     value.Number `key:"twin_off" dim:"length"` // from the mirror image of its twin, where it is rather this one that is wrong
	TwinHas     value.Text   `key:"twin_has"`              // the twin's own coordinates that are not mirrored
	TwinSays    value.Text   `key:"twin_says"`             // and mirrored
	TwinNow     value.Text   `key:"twin_now"`              // the point's own
	TwinWould   value.Text   `key:"twin_would"`            // and mirrored, for the twin
	Mirrored    value.Flag   `key:"vehicle_mirrored"`      // the other pairs are mirror images, and this one is far from it
	Slip        value.Text   `key:"twin_slip"`             // the slip that would explain it
	BearingOff  value.Text   `key:"bearing_unlike_twin"`
	BearingSays value.Text   `key:"bearing_of_twin"`
	TwoUnits    value.Text   `key:"bearing_two_units"`   // its sizes as they are written, where one is metric and the other in inches
	PressureOff value.Text   `key:"usual_back_pressure"` // where its own is many times that
	Missing     value.Text   `key:"missing_twin"`        // the name of the mirror image that is not there
	WordsOther  value.Text   `key:"words_other"`         // the point with which it may have exchanged its name
	WordsSay    value.Text   `key:"words_say"`
	Exchanged   value.Flag   `key:"exchanged"`      // with its twin
	SwappedWith value.Text   `key:"swapped_with"`   // the point of its side at whose mirrored place its own twin lies
	Swapped     value.Flag   `key:"swapped"`        // it is one of two that have exchanged their places
	SwappedBoth value.Text   `key:"swapped_others"` // the twins of both
	EndSaid     value.Text   `key:"named_end"`      // front or rear, where it lies at the other axle
	EndIs       value.Text   `key:"lies_end"`
	EndSays     value.Text   `key:"end_says"`
	NippleTwin  value.Flag   `key:"nipple_of_twin"` // its twin has its nipple removed, and it has not
}

// StationSurvey is where a station lies, beside its neighbours on the route.
type StationSurvey struct {
	PlaceSurvey
	Detour     value.Number `key:"detour" dim:"length"` // of the route to it, where a slip explains it
	Order      value.Text   `key:"belongs_after"`       // where the route passes it without turning back
	Next       value.Text   `key:"belongs_before"`
	TurnsFor   value.Number `key:"turns_back_for" dim:"length"` // what that saves
	Tightest   value.Number `key:"bend_radius_needed" dim:"length"`
	Twin       value.Text   `key:"twin"`                  // the station of the other side that its neighbours' are beside
	TwinOff    value.Number `key:"twin_off" dim:"length"` // from the mirror image of that, where it is rather this one that is wrong
	TwinNow    value.Text   `key:"twin_now"`              // its own coordinates that differ
	TwinSays   value.Text   `key:"twin_says"`             // and those of the mirror image
	SpanTwin   value.Text   `key:"span_twin"`             // the station at which the mirror image of the span before it ends
	RoomOfTwin value.Text   `key:"sag_room_of_twin"`      // where its own is a slip of that
	FreeOfTwin value.Text   `key:"free_length_of_twin"`   // where its own is a slip of that
	Within     value.Flag   `key:"free_within"`           // a free length is stated to it from a station on the same body
	WithinOf   value.Text   `key:"free_within_from"`
}

// Twin is two grease points that are mirror images by their names.
type Twin struct {
	Exchanged  value.Flag `key:"exchanged"`  // each lies on the side of the other
	BodiesToo  value.Flag `key:"bodies_too"` // and on its body
	LeftPoint  value.Text `key:"left_point"` // as named
	RightPoint value.Text `key:"right_point"`
	node       *source.Node
}

// Place names the twins.
func (t *Twin) Place() string {
	return fmt.Sprintf("points %s and %s", t.LeftPoint.V, t.RightPoint.V)
}

// Source is the first of them in the file.
func (t *Twin) Source() *source.Node { return t.node }

// pointsStand looks at the points one by one, then at mirror images.
func (s *surveyor) pointsStand() {
	var list []labelled
	at := map[*kit.Point]*Point{}
	for _, p := range s.Points {
		list = append(list, labelled{p.ID, p.Name})
		at[p.Point] = p
		p.NippleTwin, p.Swapped = value.Known(false), value.Known(false)
		s.outside(&p.PlaceSurvey, p.Position)
		s.inReach(p)
		p.twoUnits()
	}
	twins := pairs(list)
	s.measureTwins(twins)
	paired := map[int]bool{}
	for _, t := range twins {
		paired[t.left], paired[t.right] = true, true
		s.twin(s.Points[t.left], s.Points[t.right])
	}
	s.samePlaces()
	s.doubts()
	s.pointBodies()
	s.pressures()
	s.wordOrder()
	s.swapped()
	s.missingTwins(list, paired)
}

// leastFigure is the figure below which a size of a bearing is no number of
// millimetres, and from which it is none of inches. A metric pin in a boss
// measured in inches is right. Common practice, no source.
const leastFigure = 10

// twoUnits tells of a bearing with one size in inches and the other not, where
// the figure of one goes with the unit of the other.
func (p *Point) twoUnits() {
	d, w := p.Bearing.Diameter, p.Bearing.Width
	if !d.Known || !w.Known || d.Node == nil || w.Node == nil || inches(d.Node.Scalar) == inches(w.Node.Scalar) {
		return
	}
	if otherFigure(d.Node.Scalar) || otherFigure(w.Node.Scalar) {
		p.TwoUnits = value.Known(fmt.Sprintf("a diameter of %s and a width of %s", d.Node.Scalar, w.Node.Scalar))
	}
}

// otherFigure reports whether the figure of a size goes with the other of
// inches and millimetres.
func otherFigure(text string) bool {
	unit := strings.TrimLeft(text, "+-0123456789. ")
	figure, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(text, unit)), 64)
	return err == nil && (unit == "in" && figure >= leastFigure || (unit == "mm" || unit == "cm") && figure < leastFigure)
}

// inches reports whether a length is written in inches or feet.
func inches(text string) bool {
	unit := strings.TrimLeft(text, "+-0123456789. ")
	return slices.Contains([]string{"in", "ft", "mil"}, unit)
}

func (s *surveyor) outside(to *PlaceSurvey, v kit.Vector) {
	if !s.boxKnown || !v.Known() {
		return
	}
	out, face := s.box.Beyond(v.Vec())
	to.Outside, to.OutsideFace = value.Known(kit.Settled(out)), value.Known(string(face))
}

// inReach holds a point against the last stop of its line.
func (s *surveyor) inReach(p *Point) {
	last := s.last[p.Point].at
	if last == nil || !last.Position.Known() || !p.Position.Known() {
		return
	}
	from, at := last.Position.Vec(), p.Position.Vec()
	reach := r3.Norm(r3.Sub(at, from))
	p.Reach, p.ReachFrom = value.Known(kit.Settled(reach)), value.Known(last.Name)
	slip, least, ok := survey.BestSlip(at, func(q r3.Vec) float64 { return r3.Norm(r3.Sub(q, from)) })
	side := (labelled{p.ID, p.Name}).side()
	if len(p.Lines) != 1 || slip.Coordinate == "y" && side != "" && (side == "left") == (at.Y > 0) {
		return // it lies where its name says: it is the line that goes elsewhere
	}
	if ok && least < survey.Cured*reach && least < survey.Nearby {
		p.ReachMost = value.Known(s.limit("reach"))
		if written := survey.Of(at, slip.Coordinate); slip.Value != -written {
			p.ReachMost = value.Known(s.limit("reach_digit"))
		}
		p.ReachMeant = value.Known(slip.Coordinate + ": " + s.length(slip.Value))
		p.Meant, p.MeantBy = p.ReachMeant, value.Known(fmt.Sprintf("it would then be %s from %s", s.length(least), last.Name))
	}
}

// leastPairs have to be mirror images before a pair that departs is more than
// the way the vehicle is built. Common practice, no source.
const leastPairs = 3

// measureTwins finds how exactly the halves of the vehicle mirror each other.
func (s *surveyor) measureTwins(twins []pair) {
	var off []float64
	for _, t := range twins {
		a, b := s.Points[t.left].Bearing, s.Points[t.right].Bearing
		if a.Diameter.Known && a.Width.Known && b.Diameter.Known && b.Width.Known {
			s.bearingPairs++
			if a.Diameter.V == b.Diameter.V && a.Width.V == b.Width.V {
				s.likePairs++
			}
		}
		if d, ok := departure(s.Points[t.left], s.Points[t.right]); ok {
			off = append(off, d)
		}
	}
	slices.Sort(off)
	if s.pairsOf = len(off); s.pairsOf > 0 {
		s.exact = off[(len(off)-1)/2]
	}
}

func departure(l, r *Point) (float64, bool) {
	if !l.Position.Known() || !r.Position.Known() {
		return 0, false
	}
	return r3.Norm(r3.Sub(l.Position.Vec(), survey.Mirror(r.Position.Vec()))), true
}

// twin compares two points that are mirror images by their names.
func (s *surveyor) twin(left, right *Point) {
	left.Twin, right.Twin = value.Known(right.ID.Or("?")), value.Known(left.ID.Or("?"))
	s.exchanged(left, right)
	s.bearings(left, right)
	for _, of := range [][2]*Point{{left, right}, {right, left}} {
		own, twin := of[0].NippleRemoved, of[1].NippleRemoved
		of[0].NippleTwin = value.Known(own.Known && !own.V && twin.V)
	}
	off, ok := departure(left, right)
	if !ok {
		return
	}
	p, twin := right, left
	if s.pointDoubt(left, right)+s.apart(left) > s.pointDoubt(right, left)+s.apart(right) {
		p, twin = left, right
	}
	at, m := p.Position.Vec(), survey.Mirror(twin.Position.Vec())
	tolerance, share := max(survey.Tape, s.exact), survey.Kin
	if s.exact > survey.Uneven { // halves that are built differently: a slip has to be exact
		tolerance, share = survey.Exact, survey.Verbatim
	}
	names := survey.Differs(at, m, tolerance)
	if len(names) == 0 {
		return
	}
	p.TwinOff = value.Known(kit.Settled(off))
	p.TwinNow = value.Known(s.coordinates(at, names))
	p.TwinHas = value.Known(s.coordinates(twin.Position.Vec(), names))
	p.TwinSays = value.Known(s.coordinates(m, names))
	p.TwinWould = value.Known(s.coordinates(survey.Mirror(at), names))
	p.Mirrored = value.Known(s.pairsOf >= leastPairs && s.exact <= survey.Uneven && off > max(survey.Departs, 6*s.exact))
	if len(names) == 1 {
		if survey.Transposed(survey.Of(at, names[0]), survey.Of(m, names[0]), s.inch()) && s.pairsOf >= leastPairs && s.exact < survey.Exact {
			p.Slip = value.Known("two digits in each other's place")
		} else if kind, is := survey.IsSlip(survey.Of(at, names[0]), survey.Of(m, names[0]), share); is {
			p.Slip = value.Known(kind)
		}
	}
	if p.Mirrored.V || p.Slip.Known {
		p.Meant = p.TwinSays
		p.MeantBy = value.Known(fmt.Sprintf("that is the mirror image of its twin %s (%s)", twin.ID.Or("?"), p.TwinHas.V))
	}
}

// apart is a little that grows with how far a point lies, mirrored to one side,
// from the nearest of the others that are no twin of it: between twins of
// which nothing else speaks against the one that alone is believed less.
func (s *surveyor) apart(p *Point) float64 {
	least := 1.0
	for _, o := range s.Points {
		if o == p || o.Twin.Known && o.Twin.V == p.ID.V || !o.Position.Known() || !p.Position.Known() || o.Body.To != p.Body.To {
			continue
		}
		a, b := p.Position.Vec(), o.Position.Vec()
		a.Y, b.Y = math.Abs(a.Y), math.Abs(b.Y)
		least = min(least, r3.Norm(r3.Sub(a, b)))
	}
	return least / 1000
}

// inch reports whether the kit is measured in inches.
func (s *surveyor) inch() bool { return s.Family() == units.Inch }

// pointDoubt says how little a point goes with its name and its line, beside
// its twin.
func (s *surveyor) pointDoubt(p, twin *Point) float64 {
	d := 0.0
	side := (labelled{p.ID, p.Name}).side()
	if y := p.Position.Y.V; side != "" && math.Abs(y) > survey.Flush && (side == "left") != (y > 0) {
		d += 4
	}
	d += min(p.Outside.V, 4)
	if by := p.Reach.V - twin.Reach.V; p.Reach.Known && twin.Reach.Known && by > survey.Apart {
		d += min(by, 4)
	}
	if s.crowded(p) {
		d += 2
	}
	return d
}

func (s *surveyor) crowded(p *Point) bool {
	return slices.ContainsFunc(s.Points, func(o *Point) bool { return o != p && at(o, p) })
}

// at reports whether two points lie so near that their fittings find no room.
func at(a, b *Point) bool {
	return a.Position.Known() && b.Position.Known() && r3.Norm(r3.Sub(a.Position.Vec(), b.Position.Vec())) < survey.Touching
}

// exchanged tells of twins that each lie where the other should.
func (s *surveyor) exchanged(left, right *Point) {
	t := &Twin{LeftPoint: left.ID, RightPoint: right.ID, Exchanged: value.Known(false), BodiesToo: value.Known(false), node: left.Node}
	for _, p := range s.Points {
		if p == left || p == right {
			t.node = p.Node
			break
		}
	}
	s.Twins = append(s.Twins, t)
	ly, ry := left.Position.Y, right.Position.Y
	if !ly.Known || !ry.Known || (labelled{left.ID, left.Name}).side() == "" {
		return
	}
	t.Exchanged = value.Known(ly.V < -survey.Flush && ry.V > survey.Flush)
	left.Exchanged, right.Exchanged = t.Exchanged, t.Exchanged
	if t.Exchanged.V {
		s.doubtful[left], s.doubtful[right] = true, true
	}
	if l, r := left.Body.To, right.Body.To; l != nil && r != nil {
		t.BodiesToo = value.Known((labelled{l.ID, l.Name}).side() == "right" && (labelled{r.ID, r.Name}).side() == "left")
	}
}

// bearings compares the bearings and the back pressures of twins.
func (s *surveyor) bearings(left, right *Point) {
	for _, of := range [][2]*Point{{left, right}, {right, left}} {
		p, twin := of[0], of[1]
		for _, d := range []struct {
			name      string
			own, twin value.Number
		}{{"a diameter", p.Bearing.Diameter, twin.Bearing.Diameter}, {"a width", p.Bearing.Width, twin.Bearing.Width}} {
			_, slip := survey.IsSlip(d.own.V, d.twin.V, survey.Twinned)
			if d.own.Known && d.twin.Known && slip && oddBearing(p) >= oddBearing(twin) {
				p.BearingOff = value.Known(d.name + " of " + s.length(d.own.V))
				p.BearingSays = value.Known(s.length(d.twin.V))
			}
		}
		k, t := p.Bearing.Kind, twin.Bearing.Kind
		if k.Known && t.Known && (k.V == "rolling") != (t.V == "rolling") && (k.V == "rolling") == !p.Bearing.Interval.Known && oddBearing(p) >= oddBearing(twin) {
			p.BearingOff, p.BearingSays = value.Known("a "+k.V+" bearing"), value.Known("a "+t.V+" one")
		}
	}
	if !left.BearingOff.Known && !right.BearingOff.Known {
		s.turnedBearing(left, right)
	}
	if !left.BearingOff.Known && !right.BearingOff.Known {
		s.likeBearings(left, right)
	}
}

// turnedBearing finds a diameter and a width that are exchanged: the twin has
// them the other way round. Of the two the less usual one is in doubt.
func (s *surveyor) turnedBearing(left, right *Point) {
	a, b := left.Bearing, right.Bearing
	if s.likePairs < leastPairs-1 || 4*s.likePairs < 3*(s.bearingPairs-1) {
		return // the sides of this vehicle have bearings of their own
	}
	same := func(x, y value.Number) bool {
		return x.Known && y.Known && x.V > 0 && math.Abs(x.V/y.V-1) <= survey.Twinned
	}
	if !same(a.Diameter, b.Width) || !same(a.Width, b.Diameter) || max(a.Diameter.V, a.Width.V) < survey.Turned*min(a.Diameter.V, a.Width.V) {
		return // so near each other the two may be what the sides have
	}
	p, twin := right, left
	if oddBearing(left) > oddBearing(right) {
		p, twin = left, right
	}
	say := func(of kit.Bearing) string {
		return fmt.Sprintf("a diameter of %s and a width of %s", s.length(of.Diameter.V), s.length(of.Width.V))
	}
	p.BearingOff, p.BearingSays = value.Known(say(p.Bearing)), value.Known(say(twin.Bearing))
}

// likeBearings compares the kinds of twins' bearings of one size, and how
// often they were greased by hand. That one is in doubt which is rarer on this
// vehicle, or else gets less fitly what it needs, or else comes later.
func (s *surveyor) likeBearings(left, right *Point) {
	a, b := left.Bearing, right.Bearing
	if !a.Diameter.Known || !a.Width.Known || a.Diameter.V != b.Diameter.V || a.Width.V != b.Width.V {
		return
	}
	kinds := a.Kind.Known && b.Kind.Known && a.Kind.V != b.Kind.V
	every := a.Interval.Known && b.Interval.Known && farApart(a.Interval.V, b.Interval.V)
	if !kinds && !every {
		return
	}
	p, twin := right, left
	if s.bearingDoubt(left) > s.bearingDoubt(right) {
		p, twin = left, right
	}
	if kinds {
		p.BearingOff, p.BearingSays = value.Known("a "+p.Bearing.Kind.V+" bearing"), value.Known("a "+twin.Bearing.Kind.V+" one")
		return
	}
	p.BearingOff, p.BearingSays = value.Known("the interval "+p.Bearing.Interval.V), value.Known("the interval "+twin.Bearing.Interval.V)
}

// farApart tells intervals that no two sides of a vehicle have: the one is
// weekly and the other yearly.
func farApart(a, b string) bool {
	return a == "weekly" && b == "yearly" || a == "yearly" && b == "weekly"
}

// bearingDoubt is how little a bearing goes with the others of its size, and
// with what its point gets.
func (s *surveyor) bearingDoubt(p *Point) float64 {
	doubt := 0.0
	for _, o := range s.Points {
		a, b := p.Bearing, o.Bearing
		if o != p && a.Diameter.V == b.Diameter.V && a.Width.V == b.Width.V && a.Kind.V == b.Kind.V && a.Interval.V == b.Interval.V {
			doubt -= 10
		}
	}
	if p.DoseRatio.Known && p.DoseRatio.V > 0 {
		doubt += math.Abs(math.Log(p.DoseRatio.V))
	}
	return doubt
}

// oddBearing is how far the width of a bearing is from its diameter, as the
// logarithm of their ratio. A rolling bearing is narrow.
func oddBearing(p *Point) float64 {
	d, w := p.Bearing.Diameter, p.Bearing.Width
	if !d.Known || !w.Known || d.V <= 0 || w.V <= 0 {
		return 0
	}
	usual := survey.PlainWidth
	if p.Bearing.Kind.V == "rolling" {
		usual = survey.RollerWidth
	}
	return math.Abs(math.Log(w.V / d.V / usual))
}

// samePlaces finds points that lie at one place. Of two that one is doubted
// whose twin lies elsewhere.
func (s *surveyor) samePlaces() {
	for i, p := range s.Points {
		for _, o := range s.Points[:i] {
			if !at(o, p) || o.Twin.Known && o.Twin.V == p.ID.V && o.TwinOff.Known != p.TwinOff.Known {
				continue // of twins that lie at one place the sign of one is wrong
			}
			copied, of := p, o
			if o.TwinOff.Known && !p.TwinOff.Known {
				copied, of = o, p
			}
			if !copied.SamePlace.Known {
				copied.SamePlace = of.ID
			}
		}
	}
}

// doubts are the points that are named for their place themselves, so that
// nothing else is concluded from it.
func (s *surveyor) doubts() {
	for _, p := range s.Points {
		if p.Outside.V > s.limit("outside") || p.SamePlace.Known || p.Mirrored.V || p.Slip.Known || p.ReachMeant.Known && p.Reach.V > p.ReachMost.V {
			s.doubtful[p] = true
		}
	}
}

// pressures finds a back pressure that is many times that of the others.
func (s *surveyor) pressures() {
	var all []float64
	for _, p := range s.Points {
		if p.BackPressure.Known {
			all = append(all, p.BackPressure.V)
		}
	}
	if len(all) < 4 {
		return
	}
	slices.Sort(all)
	usual := all[len(all)/2]
	for _, p := range s.Points {
		if v := p.BackPressure; v.Known && usual > 0 && (v.V > 8*usual || v.V < usual/8) {
			p.PressureOff = value.Known(s.pressure(usual))
		}
	}
}

// wordOrder holds names that differ in upper and lower, front and rear, or
// inner and outer alone against the places. Where the names say a side the
// other side has to say otherwise: then it is the names that are exchanged.
func (s *surveyor) wordOrder() {
	type named struct {
		*Point
		more bool
	}
	groups := map[string][]named{}
	for _, p := range s.Points {
		if !p.Position.Known() {
			continue
		}
		for _, o := range survey.Opposed(p.Name.V) {
			for _, other := range groups[o.Key] {
				if other.more != o.IsMore {
					s.wordPair(other.Point, p, o)
				}
			}
			if len(groups[o.Key]) < 2 {
				groups[o.Key] = append(groups[o.Key], named{p, o.IsMore})
			}
		}
	}
}

// wordPair compares two points whose names have opposite words; that is the
// word of the second.
func (s *surveyor) wordPair(first, second *Point, that survey.Opposite) {
	up, down := first, second
	if that.IsMore {
		up, down = second, first
	}
	by := along(down, that.Of) - along(up, that.Of)
	if by < survey.Flush || !s.exchangedWords(first, second) {
		return
	}
	first.WordsOther = second.ID
	first.WordsSay = value.Known(fmt.Sprintf("%s, named %s, lies %s %s %s, named %s",
		up.ID.Or("?"), that.More, s.length(by), lies[that.Of], down.ID.Or("?"), that.Less))
}

var lies = map[string]string{"z": "below", "x": "behind", "w": "nearer to the middle than"}

func along(p *Point, of string) float64 {
	if of == "w" {
		return math.Abs(p.Position.Y.V)
	}
	return survey.Of(p.Position.Vec(), of)
}

// exchangedWords reports whether the mirror images of two points lie at each
// other's place, or the points have no side.
func (s *surveyor) exchangedWords(a, b *Point) bool {
	key, side := survey.Key(a.Name.V)
	if side == "" {
		return true
	}
	keyB, _ := survey.Key(b.Name.V)
	var ma, mb *Point
	for _, p := range s.Points {
		k, sd := survey.Key(p.Name.V)
		switch {
		case sd == "" || sd == side:
		case k == key:
			ma = p
		case k == keyB:
			mb = p
		}
	}
	if ma == nil || mb == nil {
		return false
	}
	x, okX := departure(a, mb)
	y, okY := departure(b, ma)
	exactly := survey.Flush
	if s.pairsOf >= leastPairs && s.exact < exactly {
		exactly = survey.Uneven
	}
	return okX && okY && max(x, y) < exactly
}

// swapped tells of two points of one side of which each lies where the mirror
// image of the other's twin is: they have exchanged their positions, or their
// names. Of the two sides that one is doubted whose lines have farther to go.
// Of many points that are no mirror images some fall so by chance.
func (s *surveyor) swapped() {
	if s.pairsOf > 2*leastPairs && s.exact > survey.Uneven {
		return
	}
	byName := map[string]*Point{}
	for _, p := range s.Points {
		if key, side := survey.Key(p.Name.V); side != "" && byName[side+key] == nil {
			byName[side+key] = p
		}
	}
	twin := func(p *Point) *Point {
		key, side := survey.Key(p.Name.V)
		if side == "" || byName[side+key] != p {
			return nil
		}
		return byName[map[string]string{"left": "right", "right": "left"}[side]+key]
	}
	var list, twins []*Point
	for _, p := range s.Points {
		if t := twin(p); t != nil {
			list, twins = append(list, p), append(twins, t)
		}
	}
	for i, a := range list {
		for k, b := range list[i+1:] {
			ta, tb := twins[i], twins[i+1+k]
			if ta == b || a.Swapped.V || a.WordsOther.Known || ta.Swapped.V || tb.Swapped.V || !sameSide(a, b) {
				continue
			}
			if crossed(a, tb, b, ta) && s.swapDoubt(a, b) >= s.swapDoubt(ta, tb) {
				a.SwappedWith, a.Swapped, b.Swapped = b.ID, value.Known(true), value.Known(true)
				a.SwappedBoth = value.Known(ta.ID.Or("?") + " and " + tb.ID.Or("?"))
				s.doubtful[a], s.doubtful[b] = true, true
				for _, right := range []*Point{ta, tb} {
					right.Mirrored, right.Slip, right.Meant, right.MeantBy = value.Known(false), value.Text{}, value.Text{}, value.Text{}
				}
			}
		}
	}
}

func sameSide(a, b *Point) bool {
	return a.Position.Known() && b.Position.Known() && a.Position.Y.V*b.Position.Y.V > 0
}

// crossed reports whether a lies where the mirror image of tb is and b where
// that of ta is, and the two are not one place.
func crossed(a, tb, b, ta *Point) bool {
	x, okX := departure(a, tb)
	y, okY := departure(b, ta)
	own, okOwn := departure(a, ta)
	return okX && okY && okOwn && max(x, y) < survey.Flush && own > 2*survey.Flush
}

// swapDoubt is how far the lines of two points have to go to them, and how
// little their words and their bodies go with it.
func (s *surveyor) swapDoubt(a, b *Point) float64 {
	d := a.Reach.V + b.Reach.V
	for _, p := range []*Point{a, b} {
		q := b
		if p == b {
			q = a
		}
		for _, l := range s.Lines {
			if name := s.rowName(l); l.Point.To == p && name != "" && name != p.Name.V {
				d++ // it was renamed here alone
			}
		}
		for _, o := range survey.Opposed(p.Name.V) {
			if has := opposes(q, o); has && (along(p, o.Of) < along(q, o.Of)) == o.IsMore {
				d++
			}
		}
	}
	return d
}

// opposes reports whether the name of a point has the opposite word.
func opposes(q *Point, o survey.Opposite) bool {
	return slices.ContainsFunc(survey.Opposed(q.Name.V), func(w survey.Opposite) bool { return w.Opposites == o.Opposites && w.IsMore != o.IsMore })
}

// missingTwins tells of the one point of a side whose mirror image was
// forgotten: all others of its group have theirs, the group is itself one of
// two sides, and the title does not say that the points are all there.
func (s *surveyor) missingTwins(list []labelled, paired map[int]bool) {
	if n, ok := titleCount(s.Header.Title.V); ok && n == int64(len(s.Points)) {
		return
	}
	type group struct{ paired, alone []int }
	groups := map[string]*group{}
	for i, l := range list {
		id, side := survey.IDKey(l.id.V)
		words := survey.Words(id)
		if side == "" || len(words) == 0 || l.side() != side && l.named() {
			continue
		}
		key := words[0] + " " + side
		if groups[key] == nil {
			groups[key] = &group{}
		}
		if g := groups[key]; paired[i] {
			g.paired = append(g.paired, i)
		} else {
			g.alone = append(g.alone, i)
		}
	}
	for _, g := range groups {
		if len(g.alone) != 1 || len(g.paired) < leastPairs {
			continue
		}
		p := s.Points[g.alone[0]]
		other := map[string]string{"left": "right", "right": "left"}[list[g.alone[0]].side()]
		p.Missing = value.Known(other)
	}
}
