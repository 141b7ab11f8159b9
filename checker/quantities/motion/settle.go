package motion

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// start returns a good position to begin the search from and its value: the
// best of the centre, the corners and some spread positions, each settled.
func (s *span) start() ([]float64, float64) {
	n := len(s.from)
	var free []int
	for i := range s.from {
		if s.from[i] < s.to[i] {
			free = append(free, i)
		}
	}
	at, q := make([]float64, n), make([]float64, n)
	best := math.Inf(1)
	try := func(where func(k int) float64) {
		copy(q, s.from)
		for k, i := range free {
			q[i] = s.from[i] + where(k)*(s.to[i]-s.from[i])
		}
		if v := s.settle(q); v < best {
			best = v
			copy(at, q)
		}
	}
	try(func(int) float64 { return 0.5 })
	if len(free) < 2 {
		return at, best
	}
	corners := min(len(free), 3)
	for c := range 1 << corners {
		try(func(k int) float64 { return float64(c >> (k % corners) & 1) })
	}
	if len(free) > 2 {
		for c := 1; c <= 4*len(free); c++ {
			// Fractional parts of multiples of square roots spread evenly.
			try(func(k int) float64 {
				_, f := math.Modf(float64(c) * math.Sqrt(float64(k*k+k+2)))
				return f
			})
		}
	}
	return at, best
}

// settle improves q in place, one joint at a time and each to its own optimum
// over its whole range, until nothing is gained, and returns the value reached
// (the distance, or its negative for the longest).
func (s *span) settle(q []float64) float64 {
	const sweeps, gain = 40, 1e-7
	value := math.Inf(1)
	for range sweeps {
		tip := s.track.At(q)
		// Innermost joint first: the axes of the joints before it stay.
		for i := len(q) - 1; i >= 0; i-- {
			v := s.best(i, q[i], tip)
			if v == q[i] {
				continue
			}
			k := s.track.joints[i]
			k.Axis, k.Pivot = s.track.axis[i], s.track.pivot[i]
			tip = k.move(v-q[i], tip)
			q[i] = v
		}
		was := value
		value = s.sign * r3.Norm(r3.Sub(tip, s.b))
		if was-value < gain {
			break
		}
	}
	return value
}

// best returns the value of joint i, now at v with the moving point at tip,
// that makes the distance least (or greatest), the other joints at rest.
func (s *span) best(i int, v float64, tip r3.Vec) float64 {
	from, to := s.from[i], s.to[i]
	k := s.track.axis[i]
	if s.track.joints[i].Kind == Prismatic {
		near := v + r3.Dot(k, r3.Sub(s.b, tip))
		if s.sign > 0 {
			return math.Max(from, math.Min(to, near))
		}
		if near-from > to-near {
			return from
		}
		return to
	}
	// d^2 = k - 2 (c cos t + n sin t), t the turn from here.
	p, fixed := r3.Sub(tip, s.track.pivot[i]), r3.Sub(s.b, s.track.pivot[i])
	w := r3.Cross(k, p)
	c := s.sign * r3.Dot(r3.Cross(k, fixed), w)
	n := s.sign * r3.Dot(fixed, w)
	return peak(c, n, v, from, to)
}

// peak returns the joint value in a range at which c cos t + n sin t, t the
// turn from v, is greatest: the first at or after from, else an end.
func peak(c, n, v, from, to float64) float64 {
	if c == 0 && n == 0 {
		return v
	}
	t := math.Atan2(n, c)
	t += 2 * math.Pi * math.Ceil((from-v-t)/(2*math.Pi))
	if peak := math.Max(from, v+t); peak <= to {
		return peak
	}
	cosFrom, cosTo := math.Cos(from-v-t), math.Cos(to-v-t)
	if cosFrom >= cosTo {
		return from
	}
	return to
}
