package facts

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/survey"
	"kitgauge/checker/value"
)

// LineSurvey is whether a line goes to the side from which it comes.
type LineSurvey struct {
	CrossesFrom value.Text `key:"crosses_from"` // the stop from which it crosses the vehicle to its point
	CrossesNear value.Text `key:"crosses_near"` // the mirror image of its point, which is nearer to that
	CrossesWith value.Text `key:"crosses_with"` // the line that crosses the other way, to that point
	// CrossesShare is the way from there to the mirror image as a share of that
	// to its point; where it is told what is meant, the greater of the shares
	// that speak for it.
	CrossesShare value.Number `key:"crosses_share" dim:"plain_number"`
	BundleMeant  value.Text   `key:"bundle_meant"` // the bundle that passes near its point
	LeavesMeant  value.Text   `key:"leaves_meant"` // and the station of it
	RigidOver    []string     `key:"rigid_over"`   // the joints that it crosses, where its tube is of metal
	NoteSaid     value.Text   `key:"note_side"`    // the side that its note gives its point, where that lies on the other
	NoteIs       value.Text   `key:"note_side_is"`
	NoteOf       value.Text   `key:"note_words"` // "left bearing"
}

// crossing is a line that goes to the other side of the vehicle.
type crossing struct {
	line     *Line
	to, twin *Point
	route    *kit.Route
	reach    float64 // from its last stop to its point [m]
	share    float64 // of that way, to the mirror image
}

// linesCross looks for lines that cross the vehicle to points whose mirror
// images they are nearer to.
func (s *surveyor) linesCross() {
	byID := map[string]*Point{}
	for _, p := range s.Points {
		byID[p.ID.V] = p
	}
	var list []*crossing
	for i, l := range s.Lines {
		w := s.graph.Routes[len(s.Kit.Kit.Bundles)+i]
		p := l.Point.To
		if p == nil || !p.Twin.Known || byID[p.Twin.V] == nil || len(w.Stops) < 2 {
			continue
		}
		c := &crossing{line: l, to: p, twin: byID[p.Twin.V], route: w}
		if s.crosses(c) {
			list = append(list, c)
		}
	}
	for _, c := range list {
		s.crossedWith(c, list)
	}
}

// crosses holds the last stop of a line against its point and the mirror image
// of that, where both lie where their names say.
func (s *surveyor) crosses(c *crossing) bool {
	last := c.last()
	if !last.Position.Known() || !c.to.Position.Known() || !c.twin.Position.Known() || s.doubtful[c.to] || s.doubtful[c.twin] {
		return false
	}
	from, at, twin := last.Position.Vec(), c.to.Position.Vec(), c.twin.Position.Vec()
	if math.Abs(from.Y) <= survey.Flush || math.Abs(at.Y) <= survey.Flush || at.Y*twin.Y >= 0 || from.Y*at.Y >= 0 {
		return false
	}
	c.reach = r3.Norm(r3.Sub(at, from))
	c.share = r3.Norm(r3.Sub(twin, from)) / c.reach
	return c.share < s.limit("crossed")
}

func (c *crossing) last() *kit.Stop { return c.route.Stops[len(c.route.Stops)-2] }

// crossedWith tells the line with which another has exchanged its point, else
// the bundle to which it belongs.
func (s *surveyor) crossedWith(c *crossing, list []*crossing) {
	near := value.Known(c.twin.ID.Or("?"))
	from := value.Known(c.route.Names[len(c.route.Names)-2])
	for _, o := range list {
		if o.to == c.twin && o != c {
			c.line.CrossesShare = value.Known(max(c.share, o.share))
			c.line.CrossesFrom, c.line.CrossesNear, c.line.CrossesWith = from, near, value.Known(o.line.Short())
			return
		}
	}
	if c.line.Bundle.To == nil || len(c.twin.Lines) == 0 {
		return
	}
	bundle, at, least := s.bundleNear(c)
	if bundle != nil && least/c.reach < s.limit("crossed") {
		c.line.CrossesShare = value.Known(max(c.share, least/c.reach))
		c.line.CrossesFrom, c.line.CrossesNear = from, near
		c.line.BundleMeant, c.line.LeavesMeant = bundle.ID, value.Known(at)
	}
}

// bundleNear is the station of another bundle, at which other lines leave it,
// that is nearest to the point on its own side.
func (s *surveyor) bundleNear(c *crossing) (bundle *kit.Bundle, station string, least float64) {
	least = math.Inf(1)
	for _, o := range s.Lines {
		b := o.Bundle.To
		if b == nil || b == c.line.Bundle.To || !o.LeavesAt.Known {
			continue
		}
		for _, t := range b.Bundle.Route {
			if t.ID.V != o.LeavesAt.V || !t.Position.Known() || t.Position.Y.V*c.to.Position.Y.V <= 0 {
				continue
			}
			if d := r3.Norm(r3.Sub(t.Position.Vec(), c.to.Position.Vec())); d < least {
				bundle, station, least = b.Bundle, t.ID.V, d
			}
		}
	}
	return bundle, station, least
}
