package facts

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/survey"
	"kitgauge/checker/value"
)

// PumpSurvey is where the pump lies, beside its filler and its first stations.
type PumpSurvey struct {
	PlaceSurvey
	FillerAway    value.Number `key:"filler_away" dim:"length"` // from the pump's position
	FillerOutside value.Number `key:"filler_outside" dim:"length"`
	FillerMeant   value.Text   `key:"filler_meant"` // where it is rather the filler that is wrong
	OutletsListed value.Count  `key:"outlets_listed"`
	PartOnList    value.Text   `key:"part_on_list"` // the pump of the parts list, where that is another and has as many outlets as are listed
}

// FeedSurvey is how long the feed has to be at least.
type FeedSurvey struct {
	FromCab      value.Flag   `key:"from_cab"`              // it comes from the cab
	Straight     value.Number `key:"straight" dim:"length"` // from the front of a trailer to the pump
	StraightSays value.Text   `key:"straight_says"`
}

// pumpStands holds the pump against its filler and against where the tubes
// begin.
func (s *surveyor) pumpStands() {
	p := &s.Pump
	s.pumpOnList()
	s.pumpBody()
	s.outside(&p.PlaceSurvey, p.Position)
	var at PlaceSurvey
	s.outside(&at, p.Filler)
	p.FillerOutside = at.Outside
	if !p.Position.Known() || !p.Filler.Known() {
		return
	}
	pump, filler := p.Position.Vec(), p.Filler.Vec()
	away := r3.Norm(r3.Sub(pump, filler))
	p.FillerAway = value.Known(kit.Settled(away))
	if away < s.limit("filler_away") {
		return
	}
	first := s.firstStations()
	far := func(q r3.Vec) float64 {
		sum := 0.0
		for _, f := range first {
			sum += min(r3.Norm(r3.Sub(q, f)), 5)
		}
		return sum
	}
	if far(filler) > far(pump) && !s.fillerRight(filler, pump) {
		if slip, least, ok := survey.BestSlip(filler, func(q r3.Vec) float64 { return r3.Norm(r3.Sub(q, pump)) }); ok && least < survey.Cured*away {
			p.FillerMeant = value.Known(slip.Coordinate + ": " + s.length(slip.Value))
		}
		return
	}
	if slip, least, ok := survey.BestSlip(pump, func(q r3.Vec) float64 { return r3.Norm(r3.Sub(q, filler)) }); ok && least < survey.Cured*away {
		p.Meant = value.Known(slip.Coordinate + ": " + s.length(slip.Value))
		p.MeantBy = value.Known(fmt.Sprintf("it would then be %s from its filler", s.length(least)))
	}
}

// fillerRight reports whether the filler lies within reach of the side on which
// it is filled, and would not beside the pump: then it is the pump that is
// elsewhere.
func (s *surveyor) fillerRight(filler, pump r3.Vec) bool {
	reach := s.options.limit("mounting/reach")
	depth := func(at r3.Vec) value.Number {
		return value.Compute(func(n *value.Need) (float64, error) { return depthOf(n, s.Kit.Kit, at) })
	}
	here, there := depth(filler), depth(pump)
	return reach.Known && here.Known && there.Known && here.V >= 0 && here.V <= reach.V && there.V > reach.V
}

// pumpBody finds the body to which all tubes of the pump go, where that is not
// its own and nothing is stated of how they cross.
func (s *surveyor) pumpBody() {
	p := &s.Pump
	own := p.Body.To
	var to *kit.Body
	count := 0
	for _, w := range s.graph.Routes {
		if len(w.Stops) < 2 || w.First > 1 || w.Stops[0].Name != "the pump" {
			continue
		}
		first := w.Stops[1]
		b := first.Body
		if b == nil || b == own || to != nil && b != to || first.FreeLength.Node != nil {
			return
		}
		to = b
		count++
	}
	if own == nil || count < leastPairs {
		return
	}
	p.BodyMeant = value.Known(to.ID.Or(to.Label()))
	p.BodyBy = value.Known(fmt.Sprintf("it is said to be on %s, and all %d that leave it go to %s first, without a free length between the two", own.Label(), count, to.Label()))
}

// pumpElsewhere reports whether the pump is probably not where it is said.
func (s *surveyor) pumpElsewhere() bool {
	return s.Pump.Meant.Known || s.Pump.Outside.V > s.limit("outside")
}

// firstStations are the places to which the tubes go from the pump.
func (s *surveyor) firstStations() []r3.Vec {
	var out []r3.Vec
	for _, w := range s.graph.Routes {
		if len(w.Stops) > 1 && w.First <= 1 && w.Stops[0].Name == "the pump" && w.Stops[1].Position.Known() {
			out = append(out, w.Stops[1].Position.Vec())
		}
	}
	return out
}

// outlineHolds looks whether it is the outline that is wrong.
func (s *surveyor) outlineHolds() {
	count, most := map[string]int{}, map[string]float64{}
	total := 0
	look := func(at *PlaceSurvey) {
		total++
		if at.Outside.Known && at.Outside.V > survey.Apart {
			count[at.OutsideFace.V]++
			most[at.OutsideFace.V] = max(most[at.OutsideFace.V], at.Outside.V)
		}
	}
	for _, p := range s.Points {
		look(&p.PlaceSurvey)
	}
	for _, t := range s.Stations {
		look(&t.PlaceSurvey)
	}
	s.OutsideCount, s.OutsideFaces = value.Known[int64](0), []string{}
	out := 0
	for _, n := range count {
		out += n
	}
	everywhere := out >= 4 && float64(out) > 2*survey.Crowd*float64(total) // most of the kit: it is the whole outline
	var needed []string
	for _, face := range []survey.Face{survey.Front, survey.Rear, survey.Left, survey.Right, survey.Above, survey.Below} {
		n := count[string(face)]
		few := n < 4 || float64(n) < survey.Crowd*float64(total)
		if n == 0 || !everywhere && few && (n < 4 || !s.faceSlipped(face, most[string(face)])) {
			continue
		}
		s.OutsideFaces = append(s.OutsideFaces, string(face))
		s.OutsideCount.V += int64(n)
		needed = append(needed, s.faceNeeded(face, most[string(face)]))
	}
	if len(needed) > 0 {
		s.MostlyOutside = value.Known(strings.Join(s.OutsideFaces, " and "))
		s.OutlineFits = value.Known(strings.Join(needed, " and "))
	}
}

// faceSlipped reports whether a slip of one coordinate of the outline explains
// what lies beyond a face of it: with the number that was meant it holds all
// and is not much larger than that.
func (s *surveyor) faceSlipped(face survey.Face, by float64) bool {
	corner, name, outwards := s.box.High, "z", 1.0
	switch face {
	case survey.Rear, survey.Right, survey.Below:
		corner, outwards = s.box.Low, -1
	}
	switch face {
	case survey.Front, survey.Rear:
		name = "x"
	case survey.Left, survey.Right:
		name = "y"
	}
	at := survey.Of(corner, name)
	needed := outwards*at + by
	for _, slip := range survey.Slips(corner) {
		if v := outwards * slip.Value; slip.Coordinate == name && v >= needed && v <= 2*needed {
			return true
		}
	}
	return false
}

// faceNeeded is where a face of the outline would have to be to hold what lies
// beyond it, rounded outwards to 0.1 m.
func (s *surveyor) faceNeeded(face survey.Face, by float64) string {
	up := func(v float64) float64 { return math.Ceil(v*10-1e-6) / 10 }
	down := func(v float64) float64 { return math.Floor(v*10+1e-6) / 10 }
	switch face {
	case survey.Front:
		return "x: " + s.length(up(s.box.High.X+by))
	case survey.Rear:
		return "x: " + s.length(down(s.box.Low.X-by))
	case survey.Left:
		return "y: " + s.length(up(s.box.High.Y+by))
	case survey.Right:
		return "y: " + s.length(down(s.box.Low.Y-by))
	case survey.Above:
		return "z: " + s.length(up(s.box.High.Z+by))
	}
	return "z: " + s.length(down(s.box.Low.Z-by))
}

var pointsInTitle = regexp.MustCompile(`(?i)\b([0-9]+)[ -]+(?:grease |greasing |lubrication |lube )?points?\b`)

// titleCount is the number of points that a title states.
func titleCount(title string) (int64, bool) {
	m := pointsInTitle.FindStringSubmatch(title)
	if m == nil {
		return 0, false
	}
	n, err := strconv.ParseInt(m[1], 10, 64)
	return n, err == nil
}

// counts holds what header and description say against the kit.
func (s *surveyor) counts() {
	if n, ok := titleCount(s.Header.Title.V); ok {
		s.TitleCount = value.Known(n)
	}
	s.PointCount = value.Known(int64(len(s.Points)))
	s.ZonesListed = value.Known(len(s.ZoneFits) > 0)
	for _, z := range s.ZoneFits {
		if z.Kind.V == "heat" && !s.HeatListed.Known {
			s.HeatListed = value.Known(zoneName(z.Zone))
		}
	}
	s.Engine = s.engine()
	texts := []string{s.Header.Title.V, s.Kit.Kit.Vehicle.Description.V}
	for _, b := range s.BodyFits {
		texts = append(texts, b.Body.Label())
	}
	if w, ok := winterWord(texts...); ok {
		s.WinterWork = value.Known(w)
	}
	if day := s.options.On; day != "" && s.DateIsADay.V {
		s.LookedAt, s.DateAhead = value.Known(day), value.Known(s.Header.Date.V > day)
	}
	s.raised()
	s.feedFrom()
}

// raised finds what can be raised above somebody who fits the kit.
func (s *surveyor) raised() {
	for _, j := range s.Joints {
		switch j.Role.V {
		case "tipping", "cab", "boom":
		default:
			continue
		}
		name := value.Known(j.Joint.Label())
		if !s.RaisedBy.Known {
			s.RaisedBy = name
		}
		if j.Crossings.V > 0 && !s.RaisedCrossed.Known {
			s.RaisedCrossed = name
		}
	}
}

func (s *surveyor) feedFrom() {
	cab := func(t string) bool {
		for _, w := range survey.Words(t) {
			if w == "cab" || w == "cabin" || w == "dashboard" {
				return true
			}
		}
		return false
	}
	from := false
	for _, p := range s.Kit.Kit.Feed.Passages {
		from = from || cab(p.Name.V)
	}
	for _, c := range s.Kit.Kit.Feed.Connectors {
		from = from || cab(c.Place.V)
	}
	s.Feed.FromCab = value.Known(from)
}

// pumpOnList holds the pump against the outlets that are listed for it and
// against the one pump of the parts list.
func (s *surveyor) pumpOnList() {
	p := s.Kit.Kit.Pump.Part.To
	if p == nil || !p.Outlets.Known {
		return
	}
	listed := int64(len(s.Kit.Kit.Pump.Outlets))
	s.Pump.OutletsListed = value.Known(listed)
	var on []*kit.Pump
	for _, row := range s.Kit.Kit.PartsList {
		if other, is := s.Kit.Kit.Parts.Entry(row.Part.V).(*kit.Pump); is {
			on = append(on, other)
		}
	}
	if len(on) == 1 && on[0] != p && p.Outlets.V != listed && on[0].Outlets.Known && on[0].Outlets.V == listed {
		s.Pump.PartOnList = on[0].Number
	}
}
