package facts

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/routing"
	"kitgauge/checker/quantities/survey"
	"kitgauge/checker/source"
	"kitgauge/checker/value"
)

// SurveyedZone is a zone with what can be told of its size and place.
type SurveyedZone struct {
	*kit.Zone
	Lacks        []string     `key:"lacks"`
	Thickness    value.Number `key:"thickness" dim:"length"` // least of its sizes
	Diameter     value.Number `key:"diameter" dim:"length"`  // of a wheel, from its height or length
	Width        value.Number `key:"width" dim:"length"`     // of a wheel
	Longest      value.Number `key:"longest" dim:"length"`
	Silencer     value.Flag   `key:"silencer"` // as its name says
	Exhaust      value.Flag   `key:"exhaust"`  // as its name says, or a silencer
	Outside      value.Number `key:"outside" dim:"length"`
	Beyond       value.Number `key:"beyond" dim:"length"` // how far a part of it lies beyond the outline
	BeyondFace   value.Text   `key:"beyond_face"`
	NamedSide    value.Text   `key:"named_side"`
	LiesSide     value.Text   `key:"lies_side"`
	FromBody     value.Number `key:"from_body" dim:"length"` // from the pivot of the knuckle that carries it
	Twin         value.Text   `key:"twin"`
	TwinSize     value.Text   `key:"twin_size"` // where it is the smaller of the two
	OwnSize      value.Text   `key:"own_size"`
	TwinPlaceOff value.Number `key:"twin_off" dim:"length"`
	TwinMeant    value.Text   `key:"twin_meant"`
	BodyMeant    value.Text   `key:"body_meant"` // the mirror image of its twin's
	SteersBy     value.Text   `key:"steers_by"`  // the articulation by which the vehicle steers, of a part of its steering that is on neither of its bodies
	SteersOn     value.Text   `key:"steers_on"`  // those two bodies
	Slender      value.Flag   `key:"slender"`    // as its name says: a shaft, a ram, a rod, a pipe
	CapsReach    value.Text   `key:"caps_reach"` // the points in its round ends
	Holds        value.Text   `key:"holds"`      // the points and stations that lie inside it, of a round part that is no wheel
	SameID       value.Text   `key:"same_id"`    // the name of an earlier zone with its id
	KindMeant    value.Text   `key:"kind_meant"` // by its name or by its twin
	KindBy       value.Text   `key:"kind_meant_by"`
	Through      value.Text   `key:"through"` // the part that an exhaust goes through
	ThroughBy    value.Number `key:"through_by" dim:"length"`
	Moves        value.Text   `key:"moves_by"`     // the boom, the tipping body, the drawbar or the knuckle on which it is
	OnFrame      value.Flag   `key:"on_frame"`     // its body hangs on no springs itself, and is hung on some
	MissingTwin  value.Text   `key:"missing_twin"` // the side on which no wheel is listed
}

// Place names the zone.
func (z *SurveyedZone) Place() string { return "zone " + zoneName(z.Zone) }

// Source is the zone's place in the file.
func (z *SurveyedZone) Source() *source.Node { return z.Node }

// zonesStand looks at every zone, then at mirror images.
func (s *surveyor) zonesStand() {
	var list []labelled
	for _, z := range s.Kit.Kit.Zones {
		sz := &SurveyedZone{Zone: z}
		s.ZoneFits = append(s.ZoneFits, sz)
		list = append(list, labelled{z.ID, z.Name})
		s.zoneLacks(sz)
		s.zoneWords(sz)
		s.zoneSize(sz)
		s.zonePlace(sz)
		s.caps(sz)
		s.holds(sz)
	}
	for _, p := range pairs(list) {
		s.zoneTwins(s.ZoneFits[p.left], s.ZoneFits[p.right])
	}
	first := map[string]string{}
	for _, z := range s.ZoneFits {
		z.SameID = sameID(first, z.ID, zoneName(z.Zone))
		s.zoneKind(z)
		s.zoneMoves(z)
		s.zoneSteers(z)
		s.zoneThrough(z)
		s.wheelMissing(z)
	}
}

// zoneSteers doubts the body of a part of the steering of a vehicle that steers
// by its articulation: it is on one of the bodies that that joins.
func (s *surveyor) zoneSteers(z *SurveyedZone) {
	if z.Body.To == nil || !named(z.Zone, "steering", "articulation") {
		return
	}
	for _, j := range s.Joints {
		p, c := j.Parent.To, j.Child.To
		if j.Role.V == "steering" {
			return // knuckles, links and arms go with the wheels
		}
		if j.Role.V != "articulation" || p == nil || c == nil || j.FromVertical.V > s.limit("articulation_lean") {
			continue
		}
		if z.Body.To == p || z.Body.To == c {
			return
		}
		z.SteersBy, z.SteersOn = value.Known(j.Joint.Label()), value.Known(p.Label()+" or "+c.Label())
	}
}

func (s *surveyor) zoneLacks(z *SurveyedZone) {
	for _, m := range []struct {
		name string
		node *source.Node
		asks bool
	}{
		{"its body", z.Body.ID.Node, true}, {"from", z.From.Node, true}, {"to", z.To.Node, true},
		{"its radius", z.Radius.Node, round(z.Zone)}, {"how hot it becomes", z.Temperature.Node, z.Kind.V == "heat"},
	} {
		if m.asks && m.node == nil {
			z.Lacks = append(z.Lacks, m.name)
		}
	}
}

func round(z *kit.Zone) bool { return z.Shape.V == "capsule" || z.Shape.V == "cylinder" }

func (s *surveyor) zoneWords(z *SurveyedZone) {
	z.Silencer = value.Known(silencer(z.Zone))
	z.Slender = value.Known(named(z.Zone, "shaft", "ram", "rod", "pipe", "stack"))
	z.Exhaust = value.Known(exhaust(z.Zone))
}

// named reports whether one of the words is in the name or the id of a zone.
func named(z *kit.Zone, list ...string) bool {
	return slices.ContainsFunc(survey.Words(z.Name.V+" "+z.ID.V), func(w string) bool { return slices.Contains(list, w) })
}

func silencer(z *kit.Zone) bool {
	return named(z, "silencer", "muffler", "converter", "catalyst") && !named(z, "pipe", "stack", "manifold")
}

func exhaust(z *kit.Zone) bool {
	return silencer(z) || named(z, "exhaust", "turbocharger", "turbo", "dpf", "manifold", "silencer", "muffler")
}

func (s *surveyor) zoneSize(z *SurveyedZone) {
	if !z.From.Known() || !z.To.Known() {
		return
	}
	d := r3.Sub(z.To.Vec(), z.From.Vec())
	switch {
	case z.Shape.V == "box":
		sizes := []float64{math.Abs(d.X), math.Abs(d.Y), math.Abs(d.Z)}
		z.Diameter, z.Width = value.Known(kit.Settled(max(sizes[0], sizes[2]))), value.Known(kit.Settled(sizes[1]))
		z.Thickness, z.Longest = value.Known(kit.Settled(slices.Min(sizes))), value.Known(kit.Settled(slices.Max(sizes)))
	case round(z.Zone) && z.Radius.Known:
		z.Thickness, z.Diameter = value.Known(kit.Settled(2*z.Radius.V)), value.Known(kit.Settled(2*z.Radius.V))
		z.Width = value.Known(kit.Settled(r3.Norm(d)))
		z.Longest = value.Known(kit.Settled(max(r3.Norm(d), 2*z.Radius.V)))
	}
}

// spread is the box round a zone.
func spread(z *kit.Zone) survey.Box {
	b := survey.NewBox(z.From.Vec(), z.To.Vec())
	if round(z) {
		r := r3.Vec{X: z.Radius.V, Y: z.Radius.V, Z: z.Radius.V}
		b.Low, b.High = r3.Sub(b.Low, r), r3.Add(b.High, r)
	}
	return b
}

func (s *surveyor) zonePlace(z *SurveyedZone) {
	if !z.From.Known() || !z.To.Known() {
		return
	}
	box := spread(z.Zone)
	if s.boxKnown {
		gap := 0.0
		for _, n := range []string{"x", "y", "z"} {
			gap = max(gap, survey.Of(box.Low, n)-survey.Of(s.box.High, n), survey.Of(s.box.Low, n)-survey.Of(box.High, n))
		}
		z.Outside = value.Known(kit.Settled(gap))
		for _, corner := range []r3.Vec{z.From.Vec(), z.To.Vec()} {
			if out, face := s.box.Beyond(corner); !z.Beyond.Known || out > z.Beyond.V {
				z.Beyond, z.BeyondFace = value.Known(kit.Settled(out)), value.Known(string(face))
			}
		}
	}
	z.NamedSide, z.LiesSide = value.Known((labelled{z.ID, z.Name}).side()), value.Known("")
	switch {
	case box.Low.Y > 0:
		z.LiesSide = value.Known("left")
	case box.High.Y < 0:
		z.LiesSide = value.Known("right")
	}
	if j := s.graph.HangsBy(z.Body.To); z.Body.To != nil && j != nil && j.Role.V == "steering" && j.Pivot.Known() && !s.pivotDoubtful(z.Body.To) {
		away, _ := box.Beyond(j.Pivot.Vec())
		z.FromBody = value.Known(kit.Settled(away))
	}
}

// pivotDoubtful reports whether the joint of a body, or its pivot, is named for
// a mistake of its own.
func (s *surveyor) pivotDoubtful(b *kit.Body) bool {
	return slices.ContainsFunc(s.Joints, func(j *Joint) bool {
		return j.Child.To == b && (j.OtherParent.Known || j.PivotMeant.Known && j.PivotOff.V > s.limit("pivot_off") ||
			j.PivotOutside.V > s.limit("pivot_outside") || j.TwinSuspect.V && j.TwinPivotOff.V > s.limit("twin_pivot"))
	})
}

// caps finds the grease points that lie in the round end of a capsule, beyond
// the end of its axis.
func (s *surveyor) caps(z *SurveyedZone) {
	if z.Shape.V != "capsule" || !z.From.Known() || !z.To.Known() || !z.Radius.Known {
		return
	}
	from, to := z.From.Vec(), z.To.Vec()
	d := r3.Sub(to, from)
	long := r3.Dot(d, d)
	if long == 0 {
		return
	}
	var in []*Point
	for _, p := range s.Points {
		if !p.Position.Known() || ownPin(z.Zone, p.Position) {
			continue
		}
		v := p.Position.Vec()
		end := from
		if t := r3.Dot(r3.Sub(v, from), d) / long; t > 1 {
			end = to
		} else if t >= 0 {
			continue
		}
		if r3.Norm(r3.Sub(v, end)) < z.Radius.V {
			in = append(in, p)
		}
	}
	if len(in) > 0 {
		z.CapsReach = value.Known(pointIDs(in))
	}
}

// fewHeld is how many places have to lie inside of a part before that is
// doubted and not they. Common practice, no source.
const fewHeld = 2

// holds finds the grease points and stations that lie inside of a round part at
// rest, where nothing can be greased or led but its own pins.
func (s *surveyor) holds(z *SurveyedZone) {
	if !round(z.Zone) || z.Kind.V == "wheel" || z.CapsReach.Known || !z.From.Known() || !z.To.Known() || !z.Radius.Known {
		return
	}
	axis := routing.Segment{A: z.From.Vec(), B: z.To.Vec()}
	inside := func(v kit.Vector) bool {
		if !v.Known() {
			return false
		}
		d, err := routing.Apart(axis, routing.Segment{A: v.Vec(), B: v.Vec()})
		return err == nil && d < z.Radius.V
	}
	var in []string
	for _, p := range s.Points {
		if inside(p.Position) && !ownPin(z.Zone, p.Position) {
			in = append(in, "point "+p.ID.Or("?"))
		}
	}
	for _, t := range s.Stations {
		if inside(t.Position) {
			in = append(in, "station "+t.ID.Or("?"))
		}
	}
	if len(in) >= fewHeld {
		if len(in) > 4 {
			in = append(in[:4], "...")
		}
		z.Holds = value.Known(strings.Join(in, ", "))
	}
}

// zoneTwins compares the sizes and the places of two mirror images. Of two
// sizes the smaller is doubted: it keeps less away.
func (s *surveyor) zoneTwins(left, right *SurveyedZone) {
	left.Twin, right.Twin = value.Known(zoneName(right.Zone)), value.Known(zoneName(left.Zone))
	s.zoneBodies(left, right)
	if left.Kind.V != right.Kind.V || left.Shape.V != right.Shape.V || !left.Thickness.Known || !right.Thickness.Known {
		return
	}
	a, b := spread(left.Zone), spread(right.Zone)
	sizeA, sizeB := r3.Sub(a.High, a.Low), r3.Sub(b.High, b.Low)
	for _, n := range []struct{ of, word string }{{"x", "long"}, {"y", "wide"}, {"z", "high"}} {
		va, vb := survey.Of(sizeA, n.of), survey.Of(sizeB, n.of)
		if _, slip := survey.IsSlip(va, vb, survey.Drawn); left.Kind.V != "wheel" && !slip {
			continue
		}
		if math.Abs(va-vb) <= max(survey.Tape, survey.Sketch*max(va, vb)) {
			continue
		}
		small := left
		if va > vb {
			small = right
		}
		small.OwnSize = value.Known(s.length(min(va, vb)) + " " + n.word)
		small.TwinSize = value.Known(s.length(max(va, vb)))
		return
	}
	s.zoneTwinPlaces(left, right)
}

// zoneBodies compares the bodies of two mirror images. The one on a body that
// itself has a mirror image, and bears the side of the zone, is believed.
func (s *surveyor) zoneBodies(left, right *SurveyedZone) {
	l, r := left.Body.To, right.Body.To
	if l == nil || r == nil || s.image(r) == l {
		return
	}
	z, as := right, l
	if left.Kind.V == "wheel" && l.Sprung.Known && r.Sprung.Known && l.Sprung.V != r.Sprung.V { // wheels are not sprung
		if l.Sprung.V {
			z, as = left, r
		}
		z.BodyMeant = value.Known(s.image(as).Label())
		return
	}
	if s.mirrorOf[l] == nil && s.mirrorOf[r] != nil || s.mirrorOf[l] != nil && (labelled{l.ID, l.Name}).side() != (labelled{left.ID, left.Name}).side() {
		z, as = left, r
	}
	z.BodyMeant = value.Known(s.image(as).Label())
}

func (s *surveyor) zoneTwinPlaces(left, right *SurveyedZone) {
	m := func(z *SurveyedZone) r3.Vec { return r3.Scale(0.5, r3.Add(z.From.Vec(), z.To.Vec())) }
	off := r3.Norm(r3.Sub(m(left), survey.Mirror(m(right))))
	names := survey.Differs(m(left), survey.Mirror(m(right)), survey.Apart)
	if len(names) == 0 || left.Kind.V != "wheel" && !slipped(m(left), survey.Mirror(m(right)), names) {
		return
	}
	z, twin := right, left
	if s.zoneDoubt(left) > s.zoneDoubt(right) {
		z, twin = left, right
	}
	from, to := survey.Mirror(twin.From.Vec()), survey.Mirror(twin.To.Vec())
	z.TwinPlaceOff = value.Known(kit.Settled(off))
	z.TwinMeant = value.Known(fmt.Sprintf("from %s to %s", s.position(from), s.position(to)))
}

func slipped(p, q r3.Vec, names []string) bool {
	_, is := survey.IsSlip(survey.Of(p, names[0]), survey.Of(q, names[0]), survey.Drawn)
	return len(names) == 1 && is
}

func (s *surveyor) zoneDoubt(z *SurveyedZone) float64 {
	d := z.Outside.V + z.FromBody.V
	if z.NamedSide.V != "" && z.LiesSide.V != "" && z.NamedSide.V != z.LiesSide.V {
		d += 4
	}
	return d
}

// winterWords are those of winter service, in which frost is the rule.
var winterWords = []string{"plough", "plow", "gritter", "snow", "snowplough", "snowplow", "winter", "deicing"}

func winterWord(texts ...string) (string, bool) {
	for _, w := range survey.Words(strings.Join(texts, " ")) {
		if slices.Contains(winterWords, w) {
			return w, true
		}
	}
	return "", false
}
