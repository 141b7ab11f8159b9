package facts

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/survey"
	"kitgauge/checker/source"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// SurveyedBody is a body with how it hangs.
type SurveyedBody struct {
	*kit.Body
	Loose       value.Flag `key:"loose"`         // no joint joins it to the pump's body, and it is the first of those on it
	Hangs       value.Text `key:"would_hang"`    // how its mirror image hangs
	OnUnsprung  value.Text `key:"on_unsprung"`   // the unsprung body on which it hangs by a joint other than a spring
	Axle        value.Flag `key:"axle"`          // called an axle, and hung on springs
	Steered     value.Flag `key:"steered"`       // a steering joint turns it
	Wheels      value.Flag `key:"carries_wheel"` // a wheel zone is on it
	WheelOfTwin value.Text `key:"wheel_of_twin"` // the wheel zone on its mirror image
	SameID      value.Text `key:"same_id"`       // the name of an earlier body with its id
	SpringsOn   value.Text `key:"springs_under"` // the springs that hang on it, where it hangs on none
}

// Place names the body.
func (b *SurveyedBody) Place() string { return "body " + b.Body.Label() }

// Source is the body's place in the file.
func (b *SurveyedBody) Source() *source.Node { return b.Node }

// KitSurvey is what the survey says of the vehicle as a whole.
type KitSurvey struct {
	BodyFits      []*SurveyedBody
	ZoneFits      []*SurveyedZone
	Twins         []*Twin
	MostlyOutside value.Text   `key:"outline_face"`  // beyond which face of the outline a good part of the kit lies
	OutsideFaces  []string     `key:"outline_faces"` // each of them
	OutsideCount  value.Count  `key:"outside_count"`
	OutlineFits   value.Text   `key:"outline_needed"` // where that face has to be
	OutlineLong   value.Number `key:"outline_length" dim:"length"`
	OutlineWide   value.Number `key:"outline_width" dim:"length"`
	OutlineHigh   value.Number `key:"outline_height" dim:"length"`
	TitleCount    value.Count  `key:"title_count"` // of points, as the title says
	PointCount    value.Count  `key:"point_count"`
	ZonesListed   value.Flag   `key:"zones_listed"`
	HeatListed    value.Text   `key:"heat_zone"`   // the first heat zone
	Engine        value.Text   `key:"engine_word"` // that says that the vehicle drives itself, and not by electricity
	WinterWork    value.Text   `key:"winter_word"`
	LookedAt      value.Text   `key:"looked_at"`              // the day on which the kit is looked at
	DateAhead     value.Flag   `key:"date_ahead"`             // it was issued after that day
	RaisedBy      value.Text   `key:"raised_by"`              // the first joint that raises something
	RaisedCrossed value.Text   `key:"raised_crossed"`         // the first of them that a line crosses
	DatumSaid     value.Text   `key:"datum_axle"`             // the axle that the datum names, where x 0 is at the other
	DatumIs       value.Text   `key:"datum_at"`               // that other
	DatumOff      value.Number `key:"datum_off" dim:"length"` // x of the one that is named
	AxlesTitle    value.Text   `key:"axles_of_title"`         // "4x2", where the description says another number
	AxlesSaid     value.Text   `key:"axles_described"`        // "single-axle"
	AxlesFewer    value.Text   `key:"axles_too_few"`          // the same, where more bodies are axles
	AxleCount     value.Count  `key:"axle_count"`             // the bodies that are axles on springs
}

// surveyor holds what the survey looks up more than once.
type surveyor struct {
	*Kit
	options    *Options
	byBody     map[*kit.Body]*SurveyedBody
	mirrorOf   map[*kit.Body]*kit.Body
	box        survey.Box
	boxKnown   bool
	last       map[*kit.Point]lastStop // the last stop before each point
	doubtful   map[*Point]bool         // points that another rule says are elsewhere
	astray     map[*kit.Stop]bool      // stations that are not where those of the other side are
	doubtfulAt map[*kit.Stop]bool      // the stops of doubtful points
	hinges     []hingePoint            // the points that are called as a hinge is
	exact      float64                 // the usual departure of mirror images [m]
	pairsOf    int                     // how many pairs of points that was found from

	bearingPairs, likePairs int // the pairs that state their bearings, and those with the same
}

// lastStop is the stop from which a line reaches its point.
type lastStop struct{ at *kit.Stop }

// surveyed looks whether what was measured is plausible. It reads what the other
// facts say, and fills in its own.
func surveyed(f *Kit, o *Options) {
	s := &surveyor{Kit: f, options: o, byBody: map[*kit.Body]*SurveyedBody{}, last: map[*kit.Point]lastStop{}, doubtful: map[*Point]bool{}}
	if o := f.Kit.Vehicle.Outline; o.From.Known() && o.To.Known() {
		s.box, s.boxKnown = survey.NewBox(o.From.Vec(), o.To.Vec()), true
		size := r3.Sub(s.box.High, s.box.Low)
		f.OutlineLong, f.OutlineWide, f.OutlineHigh = value.Known(kit.Settled(size.X)), value.Known(kit.Settled(size.Y)), value.Known(kit.Settled(size.Z))
	}
	s.lastStops()
	s.bodiesHang()
	s.pointsStand()
	s.jointsStand()
	s.zonesStand()
	s.pumpStands()
	s.stationsStand()
	s.outlineHolds()
	s.linesCross()
	s.linesLaid()
	s.counts()
	s.hours()
	s.exchangedElements()
	s.rigidTubes()
	s.ends()
	s.feedReach()
	s.axleCounts()
	for _, l := range s.Lines {
		s.noteSide(l)
	}
}

// limit is that of the pack, beyond all measure where it is not in use.
func (s *surveyor) limit(name string) float64 {
	v := s.options.limit("survey/" + name)
	if !v.Known {
		return math.Inf(1)
	}
	return v.V
}

func (s *surveyor) length(v float64) string {
	return units.Format(kit.Settled(v), units.Length, s.Family())
}

// position writes a place as a kit file does.
func (s *surveyor) position(p r3.Vec) string {
	return fmt.Sprintf("[%s, %s, %s]", s.length(p.X), s.length(p.Y), s.length(p.Z))
}

// coordinates writes the coordinates of p of these names: "y: 880 mm".
func (s *surveyor) coordinates(p r3.Vec, names []string) string {
	var parts []string
	for _, n := range names {
		parts = append(parts, n+": "+s.length(survey.Of(p, n)))
	}
	return strings.Join(parts, ", ")
}

// labelled is a thing with its id and its name.
type labelled struct{ id, name value.Text }

// side is the side that name, or else id, says.
func (l labelled) side() string {
	if _, side := survey.Key(l.name.V); side != "" {
		return side
	}
	_, side := survey.Key(l.id.V)
	return side
}

// pair is two things of one name but for the side, by their places in a list.
type pair struct{ left, right int }

// pairs finds the mirror images in a list by their names, else by their ids.
// Where name and id say different things neither is believed.
func pairs(list []labelled) []pair {
	byID := couples(list, func(l labelled) (string, string) { return survey.IDKey(l.id.V) })
	byName := couples(list, func(l labelled) (string, string) { return survey.Key(l.name.V) })
	partner := map[int]int{}
	for _, p := range byID {
		partner[p.left], partner[p.right] = p.right, p.left
	}
	var out []pair
	named := map[int]bool{}
	for _, p := range byName {
		named[p.left], named[p.right] = true, true
		l, hasL := partner[p.left]
		r, hasR := partner[p.right]
		if hasL && l != p.right || hasR && r != p.left {
			continue
		}
		out = append(out, p)
	}
	for _, p := range byID {
		sided := list[p.left].named() || list[p.right].named()
		if !named[p.left] && !named[p.right] && !sided {
			out = append(out, p)
		}
	}
	slices.SortFunc(out, func(a, b pair) int { return min(a.left, a.right) - min(b.left, b.right) })
	return out
}

func (l labelled) named() bool {
	_, side := survey.Key(l.name.V)
	return side != ""
}

// couples joins what has one key, once left and once right.
func couples(list []labelled, key func(labelled) (string, string)) []pair {
	type both struct{ left, right []int }
	found := map[string]*both{}
	var keys []string
	for i, l := range list {
		k, side := key(l)
		if side == "" {
			continue
		}
		if found[k] == nil {
			found[k] = &both{}
			keys = append(keys, k)
		}
		if side == "left" {
			found[k].left = append(found[k].left, i)
		} else {
			found[k].right = append(found[k].right, i)
		}
	}
	var out []pair
	for _, k := range keys {
		if b := found[k]; len(b.left) == 1 && len(b.right) == 1 {
			out = append(out, pair{b.left[0], b.right[0]})
		}
	}
	return out
}

// lastStops finds from which stop each point is lastStop.
func (s *surveyor) lastStops() {
	for _, w := range s.graph.Routes {
		if w.Line == nil || w.Line.Point.To == nil || len(w.Stops) < 2 {
			continue
		}
		if _, twice := s.last[w.Line.Point.To]; !twice {
			s.last[w.Line.Point.To] = lastStop{at: w.Stops[len(w.Stops)-2]}
		}
	}
}

// bodiesHang looks which bodies hang on which.
func (s *surveyor) bodiesHang() {
	root, _ := s.graph.Hanging(s.mainBody())
	var list []labelled
	for _, b := range s.Kit.Kit.Bodies {
		sb := &SurveyedBody{Body: b, Loose: value.Known(false), Axle: value.Known(false), Steered: value.Known(false), Wheels: value.Known(false)}
		s.BodyFits = append(s.BodyFits, sb)
		s.byBody[b] = sb
		list = append(list, labelled{b.ID, b.Name})
	}
	s.mirrorOf = map[*kit.Body]*kit.Body{}
	for _, p := range pairs(list) {
		l, r := s.BodyFits[p.left].Body, s.BodyFits[p.right].Body
		s.mirrorOf[l], s.mirrorOf[r] = r, l
	}
	claimed := s.claimed()
	first := map[string]string{}
	for _, b := range s.BodyFits {
		b.SameID = sameID(first, b.ID, b.Body.Label())
		if b.SameID.Known {
			continue // nothing can lead to it
		}
		b.SpringsOn = s.springsUnder(b.Body)
		s.bodyHangs(b, root, claimed)
	}
	for _, z := range s.Kit.Kit.Zones {
		if b := s.byBody[z.Body.To]; z.Kind.V == "wheel" && b != nil {
			b.Wheels.V = true
		}
	}
	for _, z := range s.Kit.Kit.Zones {
		if m := s.byBody[s.mirrorOf[z.Body.To]]; z.Kind.V == "wheel" && m != nil {
			m.WheelOfTwin = value.Known(zoneName(z))
		}
	}
}

// claimed are the bodies that a joint of another child was meant for.
func (s *surveyor) claimed() map[*kit.Body]bool {
	out := map[*kit.Body]bool{}
	taken := map[*kit.Body]bool{}
	for _, j := range s.Kit.Kit.Joints {
		if c := j.Child.To; c != nil {
			if taken[c] && s.mirrorOf[c] != nil {
				out[s.mirrorOf[c]] = true
			}
			taken[c] = true
		}
	}
	return out
}

// mainBody is the pump's, else the one on which most hangs.
func (s *surveyor) mainBody() *kit.Body {
	if b := s.Kit.Kit.Pump.Body.To; b != nil {
		return b
	}
	for _, j := range s.Kit.Kit.Joints {
		if j.Parent.To != nil {
			return j.Parent.To
		}
	}
	return nil
}

func (s *surveyor) bodyHangs(b *SurveyedBody, root *kit.Body, claimed map[*kit.Body]bool) {
	r, _ := s.graph.Hanging(b.Body)
	j := s.graph.HangsBy(b.Body)
	if root != nil && r != root && j == nil && !claimed[b.Body] {
		b.Loose = value.Known(true)
		if m := s.graph.HangsBy(s.mirrorOf[b.Body]); s.mirrorOf[b.Body] != nil && m != nil && m.Parent.To != nil {
			b.Hangs = value.Known(fmt.Sprintf("its mirror image %s hangs on %s by %s", s.mirrorOf[b.Body].Label(), m.Parent.To.Label(), m.Label()))
		}
	}
	if j == nil {
		return
	}
	b.Steered = value.Known(j.Role.V == "steering" && j.Kind.V == "revolute")
	words := survey.Words(b.Name.V + " " + b.ID.V)
	b.Axle = value.Known(j.Role.V == "suspension" && (slices.Contains(words, "axle") || slices.Contains(words, "axles")))
	if p := j.Parent.To; p != nil && j.Role.V != "suspension" && p.Sprung.Known && !p.Sprung.V && b.Sprung.V && !s.springsUnder(p).Known {
		b.OnUnsprung = value.Known(fmt.Sprintf("%s by %s", p.Label(), j.Label()))
	}
}
