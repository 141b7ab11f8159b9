package motion

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// Lowest returns the least value [m] of the coordinate along the unit vector
// up of the point p [m], given at rest and fixed to the body at the end of the
// joints (ordered from the root outwards), over the whole range of every joint,
// and the joint values [rad or m] there: 0, or what is nearest to it in its
// range, for a joint that gains nothing.
//
// Formula: slides alone add up, each at an end of its range; one revolute joint
// leaves k + m cos t + n sin t. Both are exact. Several joints are searched
// over the box of their ranges; the value returned is attained at the joint
// values returned, and within [Tolerance] of the least.
//
// Errors: as [Chain.Extremes]; up not of length 1.
// Source: as [Chain.Extremes].
func Lowest(joints []Joint, p, up r3.Vec, budget *Budget) (height float64, at []float64, err error) {
	if !(math.Abs(r3.Norm(up)-1) < 1e-9) { // NaN fails too
		return 0, nil, fmt.Errorf("the direction %v is not of length 1", up)
	}
	if len(joints) > MostJoints {
		return 0, nil, ErrTooComplex
	}
	track, err := NewTrack(joints, p)
	if err != nil {
		return 0, nil, err
	}
	d := dropOf(track, up)
	height = d.settle(d.at)
	if !d.exact() {
		if !budget.Take(Setup) {
			return 0, nil, ErrSpent
		}
		d.corners(&height)
		search := Search{From: d.from, To: d.to, Tolerance: Tolerance, Boxes: maxBoxes, Budget: budget, Bound: d.part}
		if _, err := search.Least(height, d.at); err != nil {
			return 0, nil, err
		}
	}
	return r3.Dot(up, place(track.joints, d.at, p)), d.at, nil
}

// drop is the search of [Lowest].
type drop struct {
	track    *Track
	up       r3.Vec
	from, to []float64
	at       []float64 // the best so far
	mid      []float64
	half     []float64
}

func dropOf(t *Track, up r3.Vec) *drop {
	d := &drop{track: t, up: up}
	for _, j := range t.joints {
		to := j.To
		if j.Kind == Revolute { // beyond a full turn nothing new comes
			to = math.Min(to, j.From+2*math.Pi)
		}
		d.from, d.to = append(d.from, j.From), append(d.to, to)
		d.at = append(d.at, math.Max(j.From, math.Min(to, 0)))
	}
	d.mid, d.half = make([]float64, len(d.at)), make([]float64, len(d.at))
	return d
}

// exact reports whether settling alone finds the least: at most one joint
// moves, or none turns.
func (d *drop) exact() bool {
	free, turning := 0, 0
	for i, j := range d.track.joints {
		if d.from[i] < d.to[i] {
			free++
			if j.Kind == Revolute {
				turning++
			}
		}
	}
	return free < 2 || turning == 0
}

// corners tries the corners of the box of the first joints to start from.
func (d *drop) corners(best *float64) {
	q := make([]float64, len(d.at))
	for c := range 1 << min(len(q), 3) {
		copy(q, d.from)
		for i := range min(len(q), 3) {
			if c>>i&1 == 1 {
				q[i] = d.to[i]
			}
		}
		if v := d.settle(q); v < *best-Tolerance {
			*best = v
			copy(d.at, q)
		}
	}
}

// settle lowers q in place, one joint at a time and each to its own optimum,
// until nothing is gained, and returns the height reached.
func (d *drop) settle(q []float64) float64 {
	const sweeps, gain = 40, 1e-9
	value := math.Inf(1)
	for range sweeps {
		tip := d.track.At(q)
		for i := len(q) - 1; i >= 0; i-- { // innermost first: the axes before it stay
			k := d.track.joints[i]
			k.Axis, k.Pivot = d.track.axis[i], d.track.pivot[i]
			v := d.best(i, q[i], tip)
			if moved := k.move(v-q[i], tip); r3.Dot(d.up, r3.Sub(tip, moved)) > gain {
				tip, q[i] = moved, v
			}
		}
		was := value
		value = r3.Dot(d.up, tip)
		if was-value < gain {
			break
		}
	}
	return value
}

// best is the value of joint i, now at v with the point at tip, that brings the
// point down farthest, the other joints at rest.
func (d *drop) best(i int, v float64, tip r3.Vec) float64 {
	k := d.track.axis[i]
	if d.track.joints[i].Kind == Prismatic {
		if r3.Dot(d.up, k) > 0 {
			return d.from[i]
		}
		return d.to[i]
	}
	// The height is k - (c cos t + n sin t), t the turn from here.
	w := r3.Cross(k, r3.Sub(tip, d.track.pivot[i]))
	return peak(r3.Dot(d.up, r3.Cross(k, w)), -r3.Dot(d.up, w), v, d.from[i], d.to[i])
}

// part bounds the height on a box.
func (d *drop) part(lo, hi []float64, best float64) Part {
	for i := range lo {
		d.half[i] = (hi[i] - lo[i]) / 2
		d.mid[i] = lo[i] + d.half[i]
	}
	value := r3.Dot(d.up, d.track.At(d.mid))
	if value < best-Tolerance/100 { // better than any so far: improve on it at once
		at := slices.Clone(d.mid)
		value = d.settle(at)
		d.track.At(d.mid)
		fall, split := d.track.Fall(d.up, d.half)
		return Part{Value: value, At: at, Low: r3.Dot(d.up, d.track.tip) - fall, Split: split}
	}
	fall, split := d.track.Fall(d.up, d.half)
	return Part{Value: value, At: d.mid, Low: value - fall, Split: split}
}
