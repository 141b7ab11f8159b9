package routing

import (
	"errors"
	"fmt"
	"math"

	"kitgauge/checker/quantities/motion"

	"gonum.org/v1/gonum/spatial/r3"
)

// ClearanceTolerance is the certified accuracy of [MovingClearance] [m].
const ClearanceTolerance = 1e-3

// maxBoxes is the budget of one search, some 0.15 s.
const maxBoxes = 200_000

// Moving is a straight piece of tube and a zone, each end of the tube and the
// zone fixed to a body, all given with every joint at rest. Start, End and
// ZoneOn are the places in Joints of the joints that move each of the three,
// from the root outwards; a joint that moves several stands in each of their
// lists.
type Moving struct {
	Joints             []motion.Joint
	Segment            Segment
	Zone               Zone
	Start, End, ZoneOn []int
	Budget             *motion.Budget // of this and other searches; nil does not bound them
}

// Clearance is the least distance [m] and where it occurs: the value of every
// joint [rad or m], the start of its range for a joint without effect, and the
// nearest points in the vehicle frame with the joints there.
type Clearance struct {
	Nearest
	Joints []float64
}

// MovingClearance returns the least distance between a segment and a zone over
// the whole range of every joint. It is attained at the joint values returned
// and within [ClearanceTolerance] of the true least value; 0 where they touch.
//
// Formula: seen from the zone's body only the segment's ends move. In a box of
// joint values the distance is at least that of the lower end along the
// direction of the shortest connection at the centre of the box, less how far
// the end can fall along it ([motion.Track.Fall]).
//
// Errors: as [motion.Place]; a coordinate, radius or half length that is not
// finite, negative or too large; axes of a box of which one is zero or that are
// not at right angles; a joint that is not in the list; [motion.ErrTooComplex] when the search does not end
// within its budget, or there are more than [motion.MostJoints];
// [motion.ErrSpent] when the budget of all searches is used up.
// Source: the separating plane of two convex sets; branch and bound.
func MovingClearance(in Moving) (Clearance, error) {
	s, err := newSweep(in)
	switch {
	case err != nil:
		return Clearance{}, err
	case !in.Budget.Take(26 * len(s.used)): // for improve, which takes 13 steps each way
		return Clearance{}, motion.ErrSpent
	}
	q, best := s.start()
	search := motion.Search{From: s.from, To: s.to, Tolerance: ClearanceTolerance, Boxes: maxBoxes, Budget: in.Budget, Bound: s.part}
	if _, err := search.Least(best, q); err != nil {
		return Clearance{}, err
	}
	return s.report(in, q)
}

// Beyond reports whether the segment certainly stays farther than a distance
// [m] from the zone over the whole range of every joint. It is much cheaper
// than [MovingClearance], and says no where it cannot tell within a few steps.
// Errors: as MovingClearance.
func Beyond(in Moving, distance float64) (bool, error) {
	s, err := newSweep(in)
	if err != nil {
		return false, err
	}
	return s.beyond(distance), nil
}

// fewBoxes is how many boxes are looked at before Beyond gives up.
const fewBoxes = 48

func (s *sweep) beyond(distance float64) bool {
	type box struct{ lo, hi []float64 }
	open := []box{{s.from, s.to}}
	for looked := 0; len(open) > 0; looked++ {
		b := open[len(open)-1]
		open = open[:len(open)-1]
		part := s.bound(b.lo, b.hi)
		if part.Low > distance {
			continue
		}
		if part.Value <= distance || part.Split < 0 || looked >= fewBoxes {
			return false
		}
		middle := (b.lo[part.Split] + b.hi[part.Split]) / 2
		upper := box{append([]float64(nil), b.lo...), b.hi}
		lower := box{b.lo, append([]float64(nil), b.hi...)}
		upper.lo[part.Split], lower.hi[part.Split] = middle, middle
		open = append(open, upper, lower)
	}
	return true
}

// end is one end of the segment as seen from the zone's body.
type end struct {
	track   *motion.Track
	joints  []int // the joint of the sweep behind each joint of the track
	q, half []float64
	tip     r3.Vec
}

// sweep is the search space of one clearance: the joints that move the segment
// against the zone.
type sweep struct {
	zone     Zone
	used     []int // places in Moving.Joints
	from, to []float64
	ends     [2]end
	mid      []float64
	half     []float64
}

func newSweep(in Moving) (*sweep, error) {
	switch {
	case len(in.Joints) > motion.MostJoints:
		return nil, motion.ErrTooComplex
	case !in.Budget.Take(motion.Setup):
		return nil, motion.ErrSpent
	}
	if in.Zone == nil {
		return nil, errors.New("there is no zone to keep clear of")
	}
	if err := in.Segment.check(); err != nil {
		return nil, err
	}
	if err := in.Zone.check(); err != nil {
		return nil, err
	}
	if _, err := motion.NewTrack(in.Joints, r3.Vec{}); err != nil { // names the joint
		return nil, err
	}
	for _, list := range [][]int{in.Start, in.End, in.ZoneOn} {
		for _, j := range list {
			if j < 0 || j >= len(in.Joints) {
				return nil, fmt.Errorf("joint %d is not one of the %d joints", j+1, len(in.Joints))
			}
		}
	}
	s := &sweep{zone: in.Zone}
	place := make(map[int]int) // of a joint of the vehicle in the sweep
	for k, tip := range [2]r3.Vec{in.Segment.A, in.Segment.B} {
		if err := s.addEnd(k, in, place, tip); err != nil {
			return nil, err
		}
	}
	for _, j := range s.used {
		joint := in.Joints[j]
		s.from = append(s.from, joint.From)
		if joint.Kind == motion.Revolute { // beyond a full turn nothing new comes
			joint.To = math.Min(joint.To, joint.From+2*math.Pi)
		}
		s.to = append(s.to, joint.To)
	}
	s.mid, s.half = make([]float64, len(s.used)), make([]float64, len(s.used))
	return s, nil
}

// addEnd sets up one end of the segment: the zone's joints undone from the
// outermost inwards, then those of the end outwards, without those they share.
func (s *sweep) addEnd(k int, in Moving, place map[int]int, tip r3.Vec) error {
	list := [2][]int{in.Start, in.End}[k]
	shared := common(list, in.ZoneOn)
	var row []motion.Joint
	e := &s.ends[k]
	add := func(j int, joint motion.Joint) {
		if _, ok := place[j]; !ok {
			place[j] = len(s.used)
			s.used = append(s.used, j)
		}
		row = append(row, joint)
		e.joints = append(e.joints, place[j])
	}
	for i := len(in.ZoneOn) - 1; i >= shared; i-- {
		add(in.ZoneOn[i], in.Joints[in.ZoneOn[i]].Inverse())
	}
	for _, j := range list[shared:] {
		add(j, in.Joints[j])
	}
	track, err := motion.NewTrack(row, tip)
	if err != nil {
		return err
	}
	e.track, e.q, e.half = track, make([]float64, len(row)), make([]float64, len(row))
	return nil
}

// common returns how many joints two lists share from the root outwards.
func common(a, b []int) int {
	n := 0
	for n < len(a) && n < len(b) && a[n] == b[n] {
		n++
	}
	return n
}

// at returns the distance with the joints at q, in the frame of the zone.
func (s *sweep) at(q []float64) Nearest {
	for k := range s.ends {
		e := &s.ends[k]
		for i, j := range e.joints {
			e.q[i] = q[j]
		}
		e.tip = e.track.At(e.q)
	}
	return s.zone.nearest(Segment{s.ends[0].tip, s.ends[1].tip})
}

// start returns the best of the middle and the corners, improved, and its
// distance.
func (s *sweep) start() ([]float64, float64) {
	n := len(s.from)
	at, q := make([]float64, n), make([]float64, n)
	for i := range at {
		at[i] = s.from[i] + (s.to[i]-s.from[i])/2
	}
	best := s.at(at).Distance
	corners := min(n, 4)
	for c := range 1 << corners {
		for i := range q {
			q[i] = s.from[i]
			if c>>(i%corners)&1 == 1 {
				q[i] = s.to[i]
			}
		}
		if d := s.at(q).Distance; d < best {
			best = d
			copy(at, q)
		}
	}
	return at, s.improve(at, best)
}

// improve walks q downhill, one joint at a time by ever smaller steps, and
// returns the distance reached.
func (s *sweep) improve(q []float64, best float64) float64 {
	for step := 0.25; step > 1e-4; step /= 2 {
		for i := range q {
			for _, to := range [2]float64{q[i] - step*(s.to[i]-s.from[i]), q[i] + step*(s.to[i]-s.from[i])} {
				was := q[i]
				q[i] = math.Max(s.from[i], math.Min(s.to[i], to))
				if d := s.at(q).Distance; d < best {
					best = d
					break
				}
				q[i] = was
			}
		}
	}
	return best
}

// part bounds the distance on one box, and improves on the least found so far
// where the middle of the box is nearer.
func (s *sweep) part(lo, hi []float64, best float64) motion.Part {
	part := s.bound(lo, hi)
	if part.Value > ClearanceTolerance && part.Value < best-ClearanceTolerance/10 {
		part.At = append([]float64(nil), s.mid...)
		part.Value = s.improve(part.At, part.Value)
	}
	return part
}

// bound bounds the distance on one box from its middle.
func (s *sweep) bound(lo, hi []float64) motion.Part {
	for i := range lo {
		s.half[i] = (hi[i] - lo[i]) / 2
		s.mid[i] = lo[i] + s.half[i]
	}
	near := s.at(s.mid)
	if near.Distance <= ClearanceTolerance {
		return motion.Part{Value: near.Distance, At: s.mid, Split: -1}
	}
	dir := r3.Scale(1/near.Distance, r3.Sub(near.OnSegment, near.OnZone))
	low, split := math.Inf(1), -1
	for k := range s.ends {
		e := &s.ends[k]
		for i, j := range e.joints {
			e.half[i] = s.half[j]
		}
		fall, most := e.track.Fall(dir, e.half)
		if end := r3.Dot(dir, r3.Sub(e.tip, near.OnZone)) - fall; end < low {
			low, split = end, -1
			if most >= 0 {
				split = e.joints[most]
			}
		}
	}
	return motion.Part{Value: near.Distance, At: s.mid, Low: math.Max(0, low), Split: split}
}

// report returns the clearance with the joints at q, seen in the vehicle frame.
func (s *sweep) report(in Moving, q []float64) (Clearance, error) {
	c := Clearance{Nearest: s.at(q), Joints: make([]float64, len(in.Joints))}
	for j, joint := range in.Joints {
		c.Joints[j] = joint.From
	}
	for i, j := range s.used {
		c.Joints[j] = q[i]
	}
	carry := make([]motion.Joint, len(in.ZoneOn))
	values := make([]float64, len(in.ZoneOn))
	for i, j := range in.ZoneOn {
		carry[i], values[i] = in.Joints[j], c.Joints[j]
	}
	for _, p := range [...]*r3.Vec{&c.OnSegment, &c.OnZone} {
		moved, err := motion.Place(carry, values, *p)
		if err != nil {
			return Clearance{}, err
		}
		*p = moved
	}
	return c, nil
}
