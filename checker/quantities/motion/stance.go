package motion

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

const (
	// SameAxle is how near to each other along the vehicle wheels are on one
	// axle [m]; common practice, no source.
	SameAxle = 0.3
	// OneGroup is the distance [m] below which two axles are one group: a tandem
	// axle's are less than 1.8 m apart (Directive 96/53/EC, annex I; from memory).
	OneGroup = 1.8
	// MostLean is the most that an axle leans against its body [rad].
	MostLean = math.Pi / 4
	// mostAxles is how many places along a vehicle are told apart.
	mostAxles = 16
)

// Axle is where wheels carry a sprung body, in its frame [m], and how far the
// ground under them rises against the body from where it is at rest: Low and
// High at Y, and so much more a metre to the left of Y, TiltLow and TiltHigh.
type Axle struct {
	X, Y              float64
	Low, High         float64
	TiltLow, TiltHigh float64
}

// Stance is how the ground lies under a sprung body: Offset + Slope x [m] above
// where it is at rest, x along the vehicle. Held is the axles that make it so.
type Stance struct {
	Offset, Slope float64
	Held          []Held
}

// Held is an axle at an end of its travel. Tilt is the tilt with which it
// reaches that end: -1 the lower, +1 the higher one, 0 where it does not tilt.
type Held struct {
	Axle int
	High bool
	Tilt int
}

// Travel is what one joint of a suspension adds to an axle, and the joint
// values [rad or m] at its lower and its higher end, of the tilt where it tilts.
type Travel struct {
	Axle
	AtLow, AtHigh float64
}

// Tilts reports whether the joint leans the axle.
func (t *Travel) Tilts() bool { return t.TiltLow != t.TiltHigh }

// Rise returns how the ground under a wheel rises against the body that carries
// it when one joint of its suspension takes the values of its range, as an axle
// at the wheel's middle. ground [m] is its height at rest.
//
// Formula: a slide by its travel times the upward part of its axis; a joint
// that turns mainly about the vehicle's length leans the ground, z' = (y-Y) tan
// a, and lowers it at Y by (h-ground)(1/cos a - 1), h the height of its axis; one
// that turns mainly across the vehicle swings the wheel's middle up and down
// by Rodrigues' formula, and the ground stays level; one that turns mainly
// about the vertical does neither. Range: joints as [Place], a lean of at most
// [MostLean]. Source: rigid-body geometry.
func Rise(j Joint, wheel r3.Vec, ground float64) (Travel, error) {
	t := Travel{Axle: Axle{X: wheel.X, Y: wheel.Y}}
	unit, err := unitJoints([]Joint{j})
	if err != nil {
		return Travel{}, err
	}
	if err := checkPoint("wheel", wheel); err != nil {
		return Travel{}, err
	}
	k := unit[0].Axis
	along, across, up := math.Abs(k.X), math.Abs(k.Y), math.Abs(k.Z)
	switch {
	case j.Kind == Prismatic || (across > along && across >= up):
		err = t.swing(unit, wheel)
	case along >= up:
		err = t.lean(unit[0], wheel, ground)
	}
	return t, err
}

// swing is the travel of a slide, or of an arm across the vehicle.
func (t *Travel) swing(unit []Joint, wheel r3.Vec) error {
	low, atLow, err := Lowest(unit, wheel, r3.Vec{Z: 1}, nil)
	if err != nil {
		return err
	}
	high, atHigh, err := Lowest(unit, wheel, r3.Vec{Z: -1}, nil)
	if err != nil {
		return err
	}
	t.Low, t.High, t.AtLow, t.AtHigh = low-wheel.Z, -high-wheel.Z, atLow[0], atHigh[0]
	return nil
}

// lean is the travel of a joint about the vehicle's length.
func (t *Travel) lean(j Joint, wheel r3.Vec, ground float64) error {
	most := math.Max(math.Abs(j.From), math.Abs(j.To))
	if most > MostLean {
		return fmt.Errorf("%s: it leans an axle by up to %.0f deg; up to %.0f can be judged", j.named(0), most*180/math.Pi, MostLean*180/math.Pi)
	}
	ahead := (wheel.X - j.Pivot.X) / j.Axis.X
	t.Y = j.Pivot.Y + ahead*j.Axis.Y
	t.Low = -math.Max(0, (j.Pivot.Z+ahead*j.Axis.Z-ground)*(1/math.Cos(most)-1))
	tilt := func(v float64) float64 {
		sin, cos := math.Sincos(v)
		left := rotate(j.Axis, sin, cos, r3.Vec{Y: 1})
		return left.Z / left.Y
	}
	t.TiltLow, t.TiltHigh, t.AtLow, t.AtHigh = tilt(j.From), tilt(j.To), j.From, j.To
	if t.TiltLow > t.TiltHigh {
		t.TiltLow, t.TiltHigh, t.AtLow, t.AtHigh = t.TiltHigh, t.TiltLow, t.AtHigh, t.AtLow
	}
	return nil
}

// ends are the lowest and the highest place of the ground under an axle
// between two places across the vehicle.
func (a *Axle) ends(i int, right, left float64) (low, high end) {
	low, high = end{a.Low, Held{Axle: i}}, end{a.High, Held{Axle: i, High: true}}
	for _, y := range []float64{right, left} {
		for k, tilt := range [...]float64{a.TiltLow, a.TiltHigh} {
			more := tilt * (y - a.Y)
			low = lower(low, end{a.Low + more, Held{i, false, 2*k - 1}})
			high = higher(high, end{a.High + more, Held{i, true, 2*k - 1}})
		}
	}
	return low, high
}

// end is how far the ground rises at an end of an axle's travel.
type end struct {
	rise float64
	held Held
}

// Ground is the ground under a body: its height Level [m] at rest, the axles
// that carry the body, none where it keeps its height, and the wheelbase below
// which they do not pitch it (see [Stances]).
type Ground struct {
	Level     float64
	Axles     []Axle
	Wheelbase float64

	stances []Stance // where nothing tilts: the same everywhere
}

// Reached is a least or greatest height [m], and the stance and the joint values
// [rad or m] where it occurs; without any where it is that at rest.
type Reached struct {
	Height float64
	Stance Stance
	At     []float64
}

// Reach returns the least (sign 1) or the greatest height (sign -1) above the
// ground of the place p [m], given at rest and moved against the body by the
// joints (ordered from the body outwards), over all stances of the ground and
// the whole range of every joint.
//
// Formula: the height square to the ground, (p - level - offset - slope x) /
// sqrt(1 + slope^2), is least in a corner of the stances (it is quasi-concave in
// offset and slope), and in each corner one direction of [Lowest]. The greatest
// is taken upright in the corners, which is no less than it is square to the
// ground in any stance. Beside an axle that leans the least height counts by
// the cosine of the lean, and is no more than it is.
//
// Errors: as [Lowest] and [Stances].
func (g *Ground) Reach(joints []Joint, p r3.Vec, sign float64, budget *Budget) (Reached, error) {
	stances, err := g.under(joints, p, budget)
	if err != nil {
		return Reached{}, err
	}
	best := Reached{Height: p.Z - g.Level}
	for _, c := range stances {
		up := r3.Unit(r3.Vec{X: -c.Slope, Z: 1})
		along, at, err := Lowest(joints, p, r3.Scale(sign, up), budget)
		if err != nil {
			return Reached{}, err
		}
		h := sign*along - (g.Level+c.Offset)*up.Z
		switch {
		case h > 0 && sign > 0:
			h /= math.Hypot(1, g.tilt(c))
		case h > 0:
			h /= up.Z
		}
		if sign*(best.Height-h) > 1e-9 {
			best = Reached{h, c, at}
		}
	}
	return best, nil
}

// under lists the stances over which a place moves.
func (g *Ground) under(joints []Joint, p r3.Vec, budget *Budget) ([]Stance, error) {
	if len(g.Axles) == 0 {
		return []Stance{{}}, nil
	}
	for _, a := range g.Axles {
		if a.TiltLow != a.TiltHigh {
			right, _, err := Lowest(joints, p, r3.Vec{Y: 1}, budget)
			if err != nil {
				return nil, err
			}
			left, _, err := Lowest(joints, p, r3.Vec{Y: -1}, budget)
			if err != nil {
				return nil, err
			}
			return Stances(g.Axles, right, -left, g.Wheelbase)
		}
	}
	if g.stances != nil {
		return g.stances, nil
	}
	var err error
	g.stances, err = Stances(g.Axles, 0, 0, g.Wheelbase)
	return g.stances, err
}

// tilt is the most by which a stance leans sideways.
func (g *Ground) tilt(c Stance) float64 {
	most := 0.0
	for _, h := range c.Held {
		switch a := g.Axles[h.Axle]; {
		case h.Tilt < 0:
			most = math.Max(most, math.Abs(a.TiltLow))
		case h.Tilt > 0:
			most = math.Max(most, math.Abs(a.TiltHigh))
		}
	}
	return most
}

// Rises returns how far the ground rises [m] under a place that hangs on the
// body, at the least and at the most, with the stances there.
func (g *Ground) Rises(p r3.Vec) (low, high float64, atLow, atHigh Stance, err error) {
	stances, err := g.under(nil, p, nil)
	for _, c := range stances {
		switch rise := c.Offset + c.Slope*p.X; {
		case rise > high:
			high, atHigh = rise, c
		case rise < low:
			low, atLow = rise, c
		}
	}
	return low, high, atLow, atHigh, err
}

// row is the axles at one place along the vehicle.
type row struct {
	x         float64
	low, high end
}

// Stances returns the corners of all that the ground can do under a body on
// axles, between the places right and left [m] across the vehicle: whatever
// plane it takes there, its height at any place along the vehicle is between
// the least and the greatest of the corners'. Rest is among what it can do.
//
// Formula: seen at one distance from the vehicle's middle the ground is a line
// offset + slope x with low <= offset + slope x <= high at every axle; the
// corners of that polygon are the lines through two ends that keep all others.
// The line stays level, and its ends are the farthest of all axles', where they
// stand within wheelbase [m] of each other: something else then holds the body's
// pitch. Range: at least one axle, finite values.
// Source: corners of a polygon given by half planes (geometry).
func Stances(axles []Axle, right, left, wheelbase float64) ([]Stance, error) {
	if len(axles) == 0 {
		return nil, errors.New("nothing stands on no axle")
	}
	for _, a := range axles {
		for _, v := range []float64{a.X, a.Y, a.Low, a.High, a.TiltLow, a.TiltHigh, right, left} {
			if !(math.Abs(v) <= Reach) {
				return nil, fmt.Errorf("a place or a travel of %g m cannot be judged", v)
			}
		}
	}
	rows := rowsOf(axles, right, left)
	if n := len(rows); n == 1 || n > mostAxles || rows[0].x-rows[n-1].x < wheelbase {
		low, high := rows[0].low, rows[0].high
		for _, r := range rows[1:] {
			low, high = lower(low, r.low), higher(high, r.high)
		}
		return []Stance{{high.rise, 0, []Held{high.held}}, {low.rise, 0, []Held{low.held}}}, nil
	}
	var all []Stance
	for i, a := range rows {
		for _, b := range rows[i+1:] {
			for _, p := range []end{a.high, a.low} {
				for _, q := range []end{b.high, b.low} {
					slope := (q.rise - p.rise) / (b.x - a.x)
					if s := (Stance{p.rise - slope*a.x, slope, []Held{p.held, q.held}}); s.keeps(rows) {
						all = append(all, s)
					}
				}
			}
		}
	}
	return all, nil
}

// rowsOf sorts axles into rows from the front of the vehicle, each with the farther of the
// ends of its axles and rest.
func rowsOf(axles []Axle, right, left float64) []row {
	var rows []row
	for i := range axles {
		low, high := axles[i].ends(i, right, left)
		rows = append(rows, row{axles[i].X, lower(low, end{0, low.held}), higher(high, end{0, high.held})})
	}
	slices.SortStableFunc(rows, func(a, b row) int { return cmp.Compare(b.x, a.x) })
	out := rows[:1]
	for _, r := range rows[1:] {
		last := &out[len(out)-1]
		if last.x-r.x > SameAxle {
			out = append(out, r)
			continue
		}
		last.low, last.high = lower(last.low, r.low), higher(last.high, r.high)
	}
	return out
}

func lower(a, b end) end {
	if b.rise < a.rise {
		return b
	}
	return a
}

func higher(a, b end) end {
	if b.rise > a.rise {
		return b
	}
	return a
}

// keeps reports whether a stance lies within the travel of all axles.
func (s *Stance) keeps(rows []row) bool {
	for _, r := range rows {
		if y := s.Offset + s.Slope*r.x; y < r.low.rise-1e-9 || y > r.high.rise+1e-9 {
			return false
		}
	}
	return true
}
