package facts

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/survey"
	"kitgauge/checker/value"
)

// rigidTubes finds the lines of metal tube that cross a joint.
func (s *surveyor) rigidTubes() {
	over := map[*kit.Line][]string{}
	for _, span := range s.Spans {
		if len(span.Joints) == 0 {
			continue
		}
		for _, t := range span.Tubes() {
			if tube := t.Line.Tube.To; tube == nil || !survey.Rigid(tube.Material.V) {
				continue
			}
			for _, j := range span.Joints {
				if !slices.Contains(over[t.Line], j) {
					over[t.Line] = append(over[t.Line], j)
				}
			}
		}
	}
	for _, l := range s.Lines {
		l.RigidOver = over[l.Line]
	}
}

// axleEnds are the front and the rear axle with how far ahead each lies.
type axleEnds struct {
	front, rear   string // as they are called
	xFront, xRear float64
}

// leastWheelbase is that below which front and rear are not told apart [m].
// Common practice, no source.
const leastWheelbase = 1.0

// axles finds the one front axle and the one rear axle among the bodies. ok is
// false where there are not both, or they lie the wrong way round.
func (s *surveyor) axles() (e axleEnds, ok bool) {
	front, rear := 0, 0
	for _, b := range s.Kit.Kit.Bodies {
		words := survey.Words(b.Name.V + " " + b.ID.V)
		if !slices.Contains(words, "axle") {
			continue
		}
		x, known := s.ahead(b)
		switch isFront, isRear := slices.Contains(words, "front"), slices.Contains(words, "rear"); {
		case !known || isFront == isRear:
			return e, false
		case isFront:
			e.front, e.xFront = "front axle", x
			front++
		default:
			e.rear, e.xRear = "rear axle", x
			rear++
		}
	}
	return e, front == 1 && rear == 1 && e.xFront-e.xRear > leastWheelbase
}

// ahead is how far ahead an axle lies [m]: its kingpins, else its wheels, else
// the middle of the grease points on it.
func (s *surveyor) ahead(axle *kit.Body) (x float64, known bool) {
	var pins, wheels, points []float64
	for _, j := range s.Kit.Kit.Joints {
		if j.Parent.To == axle && j.Role.V == "steering" && j.Pivot.Known() {
			pins = append(pins, j.Pivot.Vec().X)
		}
	}
	for _, z := range s.Kit.Kit.Zones {
		if z.Kind.V == "wheel" && z.Body.To == axle && z.From.Known() && z.To.Known() {
			wheels = append(wheels, (z.From.Vec().X+z.To.Vec().X)/2)
		}
	}
	for _, p := range s.Kit.Kit.Points {
		if p.Body.To == axle && p.Position.Known() {
			points = append(points, p.Position.Vec().X)
		}
	}
	for _, list := range [][]float64{pins, wheels, points} {
		if len(list) > 0 {
			slices.Sort(list)
			return list[len(list)/2], true
		}
	}
	return 0, false
}

// ends holds words for an end of the vehicle against where things lie.
func (s *surveyor) ends() {
	e, ok := s.axles()
	if !ok {
		return
	}
	s.datumAxle(e)
	for _, p := range s.Points {
		s.pointEnd(p, e)
	}
}

// ofDatum are the words beside an axle of a datum that lies at that axle: a
// distance, or another thing, says that it lies elsewhere.
var ofDatum = []string{"centre", "center", "middle", "midpoint", "line", "of", "the", "a", "on", "at", "in", "ground", "level", "below", "under", "vehicle", "plane"}

// atAxle reports whether a text names an axle, and nothing else that could be
// measured from.
func atAxle(text, axle string) bool {
	before, after, found := strings.Cut(text, axle)
	return found && !slices.ContainsFunc(survey.Words(before+" "+after), func(w string) bool { return !slices.Contains(ofDatum, w) })
}

// datumAxle holds the axle that the datum names alone against x 0, where the
// other lies there.
func (s *surveyor) datumAxle(e axleEnds) {
	text := strings.ToLower(s.Kit.Kit.Vehicle.Datum.V)
	named, other, x, xOther := e.front, e.rear, e.xFront, e.xRear
	if strings.Contains(text, e.rear) {
		named, other, x, xOther = e.rear, e.front, e.xRear, e.xFront
	}
	if !atAxle(text, named) || math.Abs(x) < leastWheelbase || math.Abs(xOther) > survey.Wayward {
		return
	}
	s.DatumSaid, s.DatumIs = value.Known(named), value.Known(other)
	s.DatumOff = value.Known(kit.Settled(x))
}

// pointEnd holds the first word of a name, of something that belongs to an
// axle, against the axles. The word may mean an end of the part itself, the
// front pin of a rear spring: it counts alone in its name, and where the twin
// of the point has the other word in its place.
func (s *surveyor) pointEnd(p *Point, e axleEnds) {
	words := survey.Words(p.Name.V)
	if len(words) < 2 || !p.Position.Known() || !survey.OfAxle(words[1]) || s.doubtful[p] {
		return
	}
	said, other := words[0], map[string]string{"front": "rear", "rear": "front"}[words[0]]
	if other == "" || slices.Contains(words[1:], said) || slices.Contains(words[1:], other) {
		return
	}
	x := p.Position.Vec().X
	near, far := math.Abs(x-e.xFront), math.Abs(x-e.xRear)
	says := fmt.Sprintf("%s from the front axle and %s from the rear one", s.length(near), s.length(far))
	if said == "front" {
		near, far = far, near
	}
	if near >= survey.NearAxle*(e.xFront-e.xRear) || far <= 2*near {
		return
	}
	if twin := s.namedForEnd(p, other+strings.TrimPrefix(strings.ToLower(p.Name.V), said)); twin != nil {
		p.EndSaid, p.EndIs = value.Known(said), value.Known(other)
		p.EndSays = value.Known(says + ", and its twin " + twin.ID.Or("?") + " says " + other)
	}
}

// namedForEnd is the mirror image of a point by its place, if its name is the
// mirror image of another name than the point has.
func (s *surveyor) namedForEnd(p *Point, name string) *Point {
	key, side := survey.Key(name)
	at := survey.Mirror(p.Position.Vec())
	for _, q := range s.Points {
		if k, other := survey.Key(q.Name.V); k == key && side != "" && other != "" && other != side &&
			q.Position.Known() && r3.Norm(r3.Sub(q.Position.Vec(), at)) < survey.Apart {
			return q
		}
	}
	return nil
}

// otherWords are those with which the note of a line tells of other lines, or
// of what its way goes past; afterWords follow the name of a place where it is
// the whole name.
var (
	otherWords = []string{"line", "lines", "tube", "tubes", "other", "passes", "pass", "passing", "past", "beyond", "behind", "beside", "beneath",
		"from", "leaves", "leaving", "starts", "than", "then", "first", "before", "after", "until", "via", "between", "opposite", "not", "away", "seen", "back"}
	afterWords = []string{"under", "along", "over", "above", "below", "through", "by", "with", "in", "inside", "at", "on", "of", "and"}
)

// noteSide holds "to the left bearing" in the note of a line against the side
// of its point, where the point is one and the note tells of nothing else.
func (s *surveyor) noteSide(l *Line) {
	p := l.Line.Point.To
	if p == nil || !p.Position.Y.Known || math.Abs(p.Position.Y.V) < survey.Beside {
		return
	}
	lies := "left"
	if p.Position.Y.V < 0 {
		lies = "right"
	}
	called := survey.Words(p.Name.V)
	words := survey.Words(l.Note.V)
	if slices.Contains(words, lies) || slices.ContainsFunc(words, func(w string) bool { return slices.Contains(otherWords, w) }) {
		return
	}
	for i := range words[:max(0, len(words)-1)] {
		side := survey.Side(words, i)
		if side == "" || side == lies || !slices.Contains(called, words[i+1]) || !goesTo(words[:i]) ||
			i+2 < len(words) && !slices.Contains(afterWords, words[i+2]) {
			continue
		}
		l.NoteSaid, l.NoteIs, l.NoteOf = value.Known(words[i]), value.Known(lies), value.Known(words[i]+" "+words[i+1])
		return
	}
}

// goesTo reports whether words lead to a place: "crosses to the", or none.
func goesTo(words []string) bool {
	if n := len(words); n > 0 && words[n-1] == "the" {
		words = words[:n-1]
	}
	return len(words) == 0 || words[len(words)-1] == "to"
}

// feedReach is how far a feed goes at the least that comes from a towing
// vehicle: from the front of the trailer to the pump [m].
func (s *surveyor) feedReach() {
	towed := slices.ContainsFunc(s.Joints, func(j *Joint) bool { return j.Role.V == "drawbar" && s.drawsAhead(j) })
	if at := s.Pump.Position; towed && s.boxKnown && at.Known() && s.Feed.FromCab.V {
		if d := s.box.High.X - at.Vec().X; d > 0 {
			s.Feed.Straight = value.Known(kit.Settled(d))
			s.Feed.StraightSays = value.Known("straight from the front of the trailer to the pump it is " + s.length(d) + ", with the way to the cab of the towing vehicle to come")
		}
	}
}

// drawsAhead reports whether a drawbar lies ahead of its pivot, and the pump
// behind: the vehicle is towed.
func (s *surveyor) drawsAhead(j *Joint) bool {
	if !j.Pivot.Known() || !s.Pump.Position.Known() || s.Pump.Body.To == j.Child.To {
		return false
	}
	pivot := j.Pivot.Vec()
	for _, p := range s.Points {
		if p.Body.To == j.Child.To && p.Position.Known() && r3.Sub(p.Position.Vec(), pivot).X < 0 {
			return false
		}
	}
	return s.Pump.Position.Vec().X < pivot.X && s.boxKnown && s.box.High.X > pivot.X
}

// axleCounts holds the axles that title and description name against each
// other and against the bodies.
func (s *surveyor) axleCounts() {
	title, titleWord := survey.AxlesSaid(s.Header.Title.V)
	said, word := survey.AxlesSaid(s.Kit.Kit.Vehicle.Description.V)
	n := int64(0)
	for _, b := range s.BodyFits {
		if b.Axle.V {
			n++
		}
	}
	switch s.AxleCount = value.Known(n); {
	case said > 0 && n > int64(said):
		s.AxlesFewer = value.Known(word)
	case title > 0 && said > 0 && title != said:
		s.AxlesTitle, s.AxlesSaid = value.Known(titleWord), value.Known(word)
	}
}
