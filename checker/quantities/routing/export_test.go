package routing

import "math"

// Bound returns the search's lower bound of the distance on a box of joint
// values, one range for each joint in in.Joints.
func (in Moving) Bound(lo, hi []float64) (float64, error) {
	s, err := newSweep(in)
	if err != nil {
		return 0, err
	}
	from, to := make([]float64, len(s.used)), make([]float64, len(s.used))
	for i, j := range s.used {
		from[i], to[i] = lo[j], hi[j]
	}
	return s.part(from, to, math.Inf(-1)).Low, nil
}

// Distance is that of a segment from a zone, after the checks that a search
// makes.
func Distance(s Segment, z Zone) (Nearest, error) {
	if err := s.check(); err != nil {
		return Nearest{}, err
	}
	if err := z.check(); err != nil {
		return Nearest{}, err
	}
	return z.nearest(s), nil
}
