package facts

import (
	"cmp"
	"math"
	"slices"
)

// place is where joints stand, and a distance there.
type place struct {
	q        []float64
	distance float64
	pose     int // of those that it was found from
}

// descent looks for the least distance between the positions of joints at
// which it is known. Steps are the distances of those positions [rad or m].
type descent struct {
	from, to, steps []float64
	// begin makes a start at a place, and is the distance there.
	begin func(place) (float64, error)
	// distance is that at some place, any greater one where it is beyond a bound.
	distance func(q []float64, bound float64) (float64, error)
	// finish is the same in full.
	finish func(place) (float64, error)
}

const (
	descents = 2       // from how many places it starts, the nearest ones
	halvings = 6       // of the steps
	settled  = 0.00025 // what the last two halvings have to change less than [m]
	another  = 0.003   // by how much a curve in full is farther that is another than the rough one, which counts then [m]
)

// least is the nearest place of all that are found from the nearest of some.
// Those are taken anew, as they may be guesses; the best is not, and is one of
// them.
//
// Source: compass search (Kolda, Lewis and Torczon, Optimization by Direct
// Search, SIAM Review 45, 2003; from memory).
func (d *descent) least(from []place, best place) (place, error) {
	from = slices.Clone(from)
	slices.SortStableFunc(from, func(a, b place) int { return cmp.Compare(a.distance, b.distance) })
	from = from[:min(descents, len(from))]
	if !slices.ContainsFunc(from, func(p place) bool { return slices.Equal(p.q, best.q) && p.pose == best.pose }) {
		from = append(from, best)
	}
	found := place{distance: math.Inf(1)}
	for _, start := range from {
		far, err := d.begin(start)
		if err != nil {
			return best, err
		}
		end, err := d.down(place{q: slices.Clone(start.q), distance: far})
		if err != nil {
			return best, err
		}
		full, err := d.finish(end)
		if err != nil {
			return best, err
		}
		if full < end.distance+another {
			end.distance = full
		}
		if end.distance < found.distance {
			found = end
		}
	}
	if found.q == nil {
		return best, nil
	}
	return found, nil
}

// down goes to whichever side is nearer, and halves its steps where none is.
func (d *descent) down(at place) (place, error) {
	idle := 0
	for share := 0.5; share > math.Pow(0.5, halvings+1) && idle < 2; share /= 2 {
		was := at.distance
		for moved := true; moved; {
			moved = false
			for i, step := range d.steps {
				for _, by := range [2]float64{step * share, -step * share} {
					q := slices.Clone(at.q)
					q[i] = min(max(q[i]+by, d.from[i]), d.to[i])
					if q[i] == at.q[i] {
						continue
					}
					far, err := d.distance(q, at.distance)
					if err != nil {
						return at, err
					}
					if far < at.distance-1e-6 {
						at, moved = place{q: q, distance: far}, true
						break
					}
				}
			}
		}
		if idle++; was-at.distance > settled {
			idle = 0
		}
	}
	return at, nil
}
