package bundling

// minimiser holds the work space of a limited-memory BFGS descent with a
// backtracking line search.
// Source: Nocedal and Wright, Numerical Optimization, 2nd ed., algorithms 7.4
// and 3.1 (from memory).
type minimiser struct {
	gradient, step, trial, trialGradient []float64

	moves, changes [memory][]float64 // of place and gradient, latest at (count-1) % memory
	curvature      [memory]float64   // 1 / (move . change)
	count          int
}

const memory = 5

func newMinimiser(n int) minimiser {
	v := func() []float64 { return make([]float64, n) }
	m := minimiser{gradient: v(), step: v(), trial: v(), trialGradient: v()}
	for k := range memory {
		m.moves[k], m.changes[k] = v(), v()
	}
	return m
}

// run moves x downhill until the squared gradient is below tol or the steps
// are used up, and returns the value there.
func (m *minimiser) run(f func(layout, []float64) float64, x layout, steps int, tol float64) float64 {
	m.count = 0
	value := f(x, m.gradient)
	for range steps {
		if dot(m.gradient, m.gradient) < tol {
			return value
		}
		m.direction()
		slope := dot(m.gradient, m.step)
		if slope >= 0 {
			m.count = 0
			m.direction()
			slope = dot(m.gradient, m.step)
		}
		scale := 1.0
		if m.count == 0 {
			scale = min(1, 0.05/norm1(m.step))
		}
		next, ok := m.backtrack(f, x, value, slope, scale)
		if !ok {
			return value
		}
		m.remember(x)
		copy(x, m.trial)
		m.gradient, m.trialGradient = m.trialGradient, m.gradient
		value = next
	}
	return value
}

// backtrack halves the step until it gains enough (Armijo).
func (m *minimiser) backtrack(f func(layout, []float64) float64, x layout, value, slope, scale float64) (float64, bool) {
	for range 20 {
		for i := range x {
			m.trial[i] = x[i] + scale*m.step[i]
		}
		next := f(m.trial, m.trialGradient)
		if next <= value+1e-4*scale*slope {
			return next, true
		}
		scale /= 2
	}
	return value, false
}

// direction writes the two-loop product of inverse Hessian and gradient.
func (m *minimiser) direction() {
	for i, g := range m.gradient {
		m.step[i] = -g
	}
	kept := min(m.count, memory)
	var alpha [memory]float64
	for back := 1; back <= kept; back++ {
		k := (m.count - back) % memory
		alpha[k] = m.curvature[k] * dot(m.moves[k], m.step)
		add(m.step, -alpha[k], m.changes[k])
	}
	if kept > 0 {
		k := (m.count - 1) % memory
		gain := 1 / (m.curvature[k] * dot(m.changes[k], m.changes[k]))
		for i := range m.step {
			m.step[i] *= gain
		}
	}
	for back := kept; back >= 1; back-- {
		k := (m.count - back) % memory
		beta := m.curvature[k] * dot(m.changes[k], m.step)
		add(m.step, alpha[k]-beta, m.moves[k])
	}
}

// remember stores the latest move unless the function curves the wrong way.
func (m *minimiser) remember(x layout) {
	k := m.count % memory
	move, change := m.moves[k], m.changes[k]
	for i := range x {
		move[i] = m.trial[i] - x[i]
		change[i] = m.trialGradient[i] - m.gradient[i]
	}
	if c := dot(move, change); c > 1e-14*dot(change, change) {
		m.curvature[k] = 1 / c
		m.count++
	}
}

// dot adds in four chains, which a processor works on side by side.
func dot(a, b []float64) float64 {
	b = b[:len(a)]
	var s0, s1, s2, s3 float64
	i := 0
	for ; i+4 <= len(a); i += 4 {
		s0 += a[i] * b[i]
		s1 += a[i+1] * b[i+1]
		s2 += a[i+2] * b[i+2]
		s3 += a[i+3] * b[i+3]
	}
	for ; i < len(a); i++ {
		s0 += a[i] * b[i]
	}
	return (s0 + s1) + (s2 + s3)
}

func add(a []float64, scale float64, b []float64) {
	b = b[:len(a)]
	for i := range a {
		a[i] += scale * b[i]
	}
}

func norm1(a []float64) float64 {
	sum := 0.0
	for _, v := range a {
		sum += max(v, -v)
	}
	return sum
}
