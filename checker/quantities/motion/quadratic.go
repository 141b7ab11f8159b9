package motion

import "math"

// quadratic is g.x + x'Ax/2 on the box |x[i]| <= half[i], A symmetric, n x n.
// least overwrites it.
type quadratic struct {
	slope, curve, half []float64
	done               []bool
}

func newQuadratic(n int) quadratic {
	return quadratic{
		slope: make([]float64, n), curve: make([]float64, n*n), half: make([]float64, n),
		done: make([]bool, n),
	}
}

// least returns a lower bound of the quadratic on its box. Coordinates are
// eliminated one after the other, that with the largest positive curvature
// first, by completing the square and dropping it; what is left without
// positive curvature is bounded term by term. Where A has no negative
// curvature and the minimum lies inside the box, nothing is lost, so a valley
// that several joints share costs no more than a point.
func (q *quadratic) least() float64 {
	n := len(q.slope)
	clear(q.done)
	low := 0.0
	for {
		pivot, most := -1, 0.0
		for i, h := range q.half {
			if bend := q.curve[i*n+i] * h * h; !q.done[i] && bend > most {
				pivot, most = i, bend
			}
		}
		// Below this the square to drop could be large from rounding alone.
		if pivot < 0 || most < 1e-12 {
			break
		}
		low += q.eliminate(pivot)
	}
	for i, h := range q.half {
		if q.done[i] {
			continue
		}
		low += dip(q.slope[i], q.curve[i*n+i], h)
		for j := i + 1; j < n; j++ {
			if !q.done[j] {
				low -= math.Abs(q.curve[i*n+j]) * h * q.half[j]
			}
		}
	}
	return low
}

// eliminate takes coordinate p out of the quadratic and returns the constant
// that this leaves behind.
func (q *quadratic) eliminate(p int) float64 {
	n := len(q.slope)
	q.done[p] = true
	c := q.curve[p*n+p]
	for i := range n {
		if q.done[i] {
			continue
		}
		f := q.curve[p*n+i] / c
		q.slope[i] -= f * q.slope[p]
		for j := range n {
			if !q.done[j] {
				q.curve[i*n+j] -= f * q.curve[p*n+j]
			}
		}
	}
	return -q.slope[p] * q.slope[p] / (2 * c)
}
