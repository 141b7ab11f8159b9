package facts

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/quantities/routing"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// ways are the directions in which a route is moved, in words.
var ways = [...]struct {
	dir  r3.Vec
	word string
}{
	{r3.Vec{Y: 1}, "to the left"}, {r3.Vec{Y: -1}, "to the right"}, {r3.Vec{Z: 1}, "up"}, {r3.Vec{Z: -1}, "down"},
	{r3.Vec{X: 1}, "forwards"}, {r3.Vec{X: -1}, "backwards"},
}

// farthestOut is how far a way out of a zone is looked for [m].
const farthestOut = 4

// wayOut looks for the shortest way by which a piece of a route that is too near
// to a zone gets away from it, over the range of every joint, and out of one
// that it goes through.
// What does not move, a grease point or the pump, stays where it is.
func (p *prober) wayOut(a *Approach, in piece, keep float64, through bool) {
	in.Budget = p.out
	if through {
		if out, to := nearestWay(in, 0); to != "" {
			a.Depth = value.Known(units.Format(out, units.Length, p.graph.Kit.Family()) + " " + to)
		}
	}
	if out, to := nearestWay(in, keep); to != "" {
		a.WayOut, a.WayOutTo = value.Known(out), value.Known(to)
		return
	}
	a.Depth = value.Text{}
}

// piece is a straight run, of which one end or both can be moved.
type piece struct {
	routing.Moving
	start, end bool
	off        float64 // from its centre line to its outside
}

// nearestWay is the direction in which the least has to be moved until the
// distance is kept, and how far; "" where there is none, or no time to look.
func nearestWay(in piece, keep float64) (out float64, to string) {
	out = math.Inf(1)
	for _, w := range ways {
		if far, ok := moved(in, w.dir, keep); ok && far < out {
			out, to = far, w.word
		}
	}
	if in.Budget.Boxes <= 0 {
		return 0, ""
	}
	return out, to
}

// moved is the least that a piece is moved in a direction until it keeps the
// distance from the zone, to a millimetre and on the safe side.
func moved(in piece, dir r3.Vec, keep float64) (out float64, ok bool) {
	clear := func(mm int) bool {
		m, by := in.Moving, r3.Scale(float64(mm)/1000, dir)
		if in.start {
			m.Segment.A = r3.Add(m.Segment.A, by)
		}
		if in.end {
			m.Segment.B = r3.Add(m.Segment.B, by)
		}
		c, err := routing.MovingClearance(m)
		return err == nil && c.Distance > in.off && c.Distance-in.off >= keep
	}
	far := 64
	for !clear(far) {
		if far *= 2; far > farthestOut*1000 {
			return 0, false
		}
	}
	near := far / 2
	if far == 64 {
		near = 0
	}
	for far-near > 1 {
		if middle := (far + near) / 2; clear(middle) {
			far = middle
		} else {
			near = middle
		}
	}
	return float64(far) / 1000, true
}
