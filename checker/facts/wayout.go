package facts

import (
	"errors"
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

// wayOut looks for the shortest way by which a piece of a route that goes
// through a zone comes out of it, over the range of every joint.
func (p *prober) wayOut(a *Approach, in routing.Moving, keep float64) {
	in.Budget = p.out
	depth, best, depthTo := math.Inf(1), math.Inf(1), ""
	for _, w := range ways {
		if out, ok := p.moved(in, w.dir, 0); ok && out < depth {
			depth, depthTo = out, w.word
		}
		if out, ok := p.moved(in, w.dir, keep); ok && out < best {
			best = out
			a.WayOutTo = value.Known(w.word)
		}
	}
	if math.IsInf(best, 1) || p.out.Boxes <= 0 {
		a.WayOutTo = value.Text{}
		return
	}
	a.Depth = value.Known(units.Format(depth, units.Length, p.graph.Kit.Family()) + " " + depthTo)
	a.WayOut = value.Known(best)
}

// moved is [moved], as far as it is remembered.
func (p *prober) moved(in routing.Moving, dir r3.Vec, keep float64) (out float64, ok bool) {
	out, err := recall(p.memory, func() string { return keyOf(in, dir, keep) }, in.Budget, func() (float64, error) {
		out, ok := moved(in, dir, keep)
		if !ok {
			return 0, errNoWay
		}
		return out, nil
	})
	return out, err == nil
}

// errNoWay says that a piece comes out of a zone nowhere near.
var errNoWay = errors.New("no way out")

// moved is the least that a piece is moved in a direction until it keeps the
// distance from the zone, to a millimetre and on the safe side.
func moved(in routing.Moving, dir r3.Vec, keep float64) (out float64, ok bool) {
	clear := func(mm int) bool {
		m, by := in, r3.Scale(float64(mm)/1000, dir)
		m.Segment = routing.Segment{A: r3.Add(in.Segment.A, by), B: r3.Add(in.Segment.B, by)}
		c, err := routing.MovingClearance(m)
		return err == nil && c.Distance > 0 && c.Distance >= keep
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
