package motion

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// maxBoxes is the budget of one search: about 0.1 s with six joints.
const maxBoxes = 150_000

// bounds holds what is known of the squared distance f on one box of joint
// values: its slope at the centre and bounds on its second derivatives, all
// times the sign of the search.
//
// Seen from between joints i <= j, the fixed point b swings about axis i at a
// distance s_i, the moving point about axis j at a distance t_j, and
// |d2f/dqi dqj| <= 2 s_i t_j; a further derivative by a revolute joint in
// between has the same bound, by a prismatic joint it is 0.
// A prismatic joint has s = t = 1.
type bounds struct {
	n         int
	mid, half []float64
	arm       []float64 // s_i at the centre
	outer     []float64 // bounds on s_i over the box
	slope     []float64
	low, size []float64 // n x n: least value, greatest magnitude of the second derivatives
	curve     []float64 // n x n: second derivatives at the centre
	rest      float64   // bound on what third and higher order adds to f in the box
	gap       r3.Vec    // from b to the moving point at the centre
	dist      float64
	bowl      quadratic // scratch of curved
}

func newBounds(n int) bounds {
	s := make([]float64, 5*n+3*n*n)
	cut := func(k int) []float64 {
		part := s[:k:k]
		s = s[k:]
		return part
	}
	return bounds{
		n: n, mid: cut(n), half: cut(n), arm: cut(n), outer: cut(n), slope: cut(n),
		low: cut(n * n), size: cut(n * n), curve: cut(n * n), bowl: newQuadratic(n),
	}
}

// part bounds the value (the distance, or its negative) on a box.
func (s *span) part(lo, hi []float64, best float64) Part {
	b := &s.bound
	s.measure(lo, hi)
	value := s.sign * b.dist
	if value < best-Tolerance/100 {
		// A better place than any so far: improve on it at once, then measure again.
		at := append([]float64(nil), b.mid...)
		value = s.settle(at)
		return Part{Value: value, At: at, Low: math.Inf(-1), Split: b.widest()}
	}
	for s.narrow(lo, hi) {
		s.measure(lo, hi)
	}
	low := s.least()
	if low < best-Tolerance {
		low = math.Max(low, s.curved())
	}
	return Part{Value: s.sign * b.dist, At: b.mid, Low: low, Split: b.widest()}
}

// measure fills the bounds for a box.
func (s *span) measure(lo, hi []float64) {
	b, t := &s.bound, s.track
	for i := range lo {
		b.half[i] = (hi[i] - lo[i]) / 2
		b.mid[i] = lo[i] + b.half[i]
	}
	b.gap = r3.Sub(t.At(b.mid), s.b)
	b.dist = r3.Norm(b.gap)
	t.levers(b.half)
	moved := 0.0
	for i := range lo {
		b.arm[i], b.outer[i] = 1, 1
		if t.joints[i].Kind == Revolute {
			b.arm[i] = r3.Norm(r3.Cross(t.axis[i], r3.Sub(s.b, t.pivot[i])))
			b.outer[i] = b.arm[i] + moved
		}
		moved += b.outer[i] * b.half[i]
		b.slope[i] = 2 * s.sign * r3.Dot(b.gap, t.speed[i])
	}
	b.rest = 0
	for i := range lo {
		for j := i; j < b.n; j++ {
			curve := r3.Dot(t.speed[i], t.speed[j])
			if t.joints[i].Kind == Revolute {
				curve += r3.Dot(b.gap, r3.Cross(t.axis[i], t.speed[j]))
			}
			curve *= 2 * s.sign
			change := s.third(i, j)
			most := 2 * b.outer[i] * t.lever[j]
			b.low[i*b.n+j] = math.Max(-most, curve-change)
			b.size[i*b.n+j] = math.Min(most, math.Abs(curve)+change)
			b.size[j*b.n+i] = b.size[i*b.n+j]
			b.curve[i*b.n+j], b.curve[j*b.n+i] = curve, curve
			part := change * b.half[i] * b.half[j] / 6
			if i != j {
				part *= 2
			}
			b.rest += part
		}
	}
}

// third bounds how far the second derivative by joints i <= j departs in the
// box from its value at the centre.
func (s *span) third(i, j int) float64 {
	b, t := &s.bound, s.track
	sum := 0.0
	for k, h := range b.half {
		first, middle, last := min(i, k), max(i, min(j, k)), max(j, k)
		if t.joints[middle].Kind == Revolute {
			sum += b.outer[first] * t.lever[last] * h
		}
	}
	return 2 * sum
}

// narrow cuts the box to a face where f rises or falls across it throughout.
func (s *span) narrow(lo, hi []float64) bool {
	b := &s.bound
	cut := false
	for i, g := range b.slope {
		if b.half[i] == 0 {
			continue
		}
		change := 0.0
		for j, h := range b.half {
			change += b.size[i*b.n+j] * h
		}
		switch {
		case g > change:
			hi[i], cut = lo[i], true
		case g < -change:
			lo[i], cut = hi[i], true
		}
	}
	return cut
}

// least returns a lower bound of the value over the box.
func (s *span) least() float64 {
	b := &s.bound
	f := s.sign * b.dist * b.dist
	for i, h := range b.half {
		f += dip(b.slope[i], b.low[i*b.n+i], h)
		for j := i + 1; j < b.n; j++ {
			f -= b.size[i*b.n+j] * h * b.half[j]
		}
	}
	if s.sign < 0 {
		return s.distance(f)
	}
	return math.Max(s.distance(f), s.along())
}

// distance turns a lower bound of the signed square into one of the value.
func (s *span) distance(f float64) float64 {
	return s.sign * math.Sqrt(math.Max(0, s.sign*f))
}

// curved returns a third lower bound of the value, from the second-order
// expansion at the centre: dearer, but as sharp along a valley as across it.
func (s *span) curved() float64 {
	b := &s.bound
	copy(b.bowl.slope, b.slope)
	copy(b.bowl.curve, b.curve)
	copy(b.bowl.half, b.half)
	return s.distance(s.sign*b.dist*b.dist + b.bowl.least() - b.rest)
}

// dip returns the least of g x + c x^2/2 for |x| <= h.
func dip(g, c, h float64) float64 {
	g = math.Abs(g)
	if c*h > g {
		return -g * g / (2 * c)
	}
	return -g*h + c*h*h/2
}

// along returns another lower bound of the distance: the distance along the
// direction from b to the moving point at the centre, which is sharp where the
// distance is small. The body that direction is fixed to may be any of the
// row; joints on different sides of it do not affect each other.
func (s *span) along() float64 {
	b, t := &s.bound, s.track
	if b.dist == 0 {
		return 0
	}
	least := math.Inf(1)
	for split := 0; split <= b.n; split++ {
		sum, turned := 0.0, 0.0
		add := func(i int, lever float64) {
			sum += t.drift(i, lever, b.slope[i]/(2*b.dist), b.half[i], turned)
			if t.joints[i].Kind == Revolute {
				turned += b.half[i]
			}
		}
		for i := split; i < b.n; i++ { // the moving point's side
			add(i, r3.Norm(t.speed[i]))
		}
		turned = 0
		for i := split - 1; i >= 0; i-- { // the fixed point's side
			add(i, b.arm[i])
		}
		least = math.Min(least, sum)
	}
	return b.dist - least
}

// widest returns the joint whose range adds most to the bounds, -1 if none does.
func (b *bounds) widest() int {
	most, widest := 0.0, -1
	for i, h := range b.half {
		share := math.Abs(b.slope[i])
		for j, hj := range b.half {
			share += b.size[i*b.n+j] * hj / 2
		}
		if share *= h; share > most {
			most, widest = share, i
		}
	}
	return widest
}
