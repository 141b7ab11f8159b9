package elastica_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/optimize"
	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/quantities/elastica"
)

// chainOf is the independent method: a tube of straight pieces joined by
// springs, its energy made least by a general-purpose minimiser, the ends kept
// where they belong by multipliers and a penalty (Nocedal and Wright, Numerical
// Optimization, 2nd ed., framework 17.3; from memory).
type chainOf struct {
	s      elastica.Span
	n      int
	chord  r3.Vec // over the length
	pull   r3.Vec
	weight float64
}

func (c *chainOf) ways(x []float64) []r3.Vec {
	t := make([]r3.Vec, c.n)
	for i := range t {
		t[i] = r3.Unit(r3.Vec{X: x[3*i], Y: x[3*i+1], Z: x[3*i+2]})
	}
	return t
}

func (c *chainOf) miss(t []r3.Vec) r3.Vec {
	m := r3.Scale(-1, c.chord)
	for _, v := range t {
		m = r3.Add(m, r3.Scale(1/float64(c.n), v))
	}
	return m
}

// value is the energy with its slope, by every direction and then by x.
func (c *chainOf) value(x, slope []float64) float64 {
	n := float64(c.n)
	t := c.ways(x)
	g := make([]r3.Vec, c.n)
	sum := 0.0
	spring := func(a, b r3.Vec, w float64) (r3.Vec, float64) {
		d := r3.Sub(b, a)
		return r3.Scale(w, d), w * r3.Norm2(d) / 2
	}
	if c.s.Start.Hold == elastica.Clamped {
		d, e := spring(r3.Unit(c.s.Start.Direction), t[0], 2*n)
		g[0], sum = r3.Add(g[0], d), sum+e
	}
	for i := 1; i < c.n; i++ {
		d, e := spring(t[i-1], t[i], n)
		g[i], g[i-1], sum = r3.Add(g[i], d), r3.Sub(g[i-1], d), sum+e
	}
	if c.s.Finish.Hold == elastica.Clamped {
		d, e := spring(t[c.n-1], r3.Unit(c.s.Finish.Direction), 2*n)
		g[c.n-1], sum = r3.Sub(g[c.n-1], d), sum+e
	}
	m := c.miss(t)
	sum += r3.Dot(c.pull, m) + c.weight/2*r3.Norm2(m)
	for i := range g {
		v := r3.Add(g[i], r3.Scale(1/n, r3.Add(c.pull, r3.Scale(c.weight, m))))
		v = r3.Sub(v, r3.Scale(r3.Dot(v, t[i]), t[i]))
		l := r3.Norm(r3.Vec{X: x[3*i], Y: x[3*i+1], Z: x[3*i+2]})
		slope[3*i], slope[3*i+1], slope[3*i+2] = v.X/l, v.Y/l, v.Z/l
	}
	return sum
}

// least finds a least value from a start, and reports whether it settled.
func (c *chainOf) least(x []float64) ([]r3.Vec, float64, bool) {
	c.pull, c.weight = r3.Vec{}, 1000
	p := optimize.Problem{
		Func: func(x []float64) float64 { return c.value(x, make([]float64, len(x))) },
		Grad: func(g, x []float64) { c.value(x, g) },
	}
	for range 12 {
		res, _ := optimize.Minimize(p, x, &optimize.Settings{GradientThreshold: 1e-5, MajorIterations: 2500}, &optimize.LBFGS{Store: 30})
		if res == nil { // short of it the line search stops by itself, which does not matter
			return nil, 0, false
		}
		for i, t := range c.ways(res.X) { // of length 1 again, so that slopes mean the same
			x[3*i], x[3*i+1], x[3*i+2] = t.X, t.Y, t.Z
		}
		m := c.miss(c.ways(x))
		if r3.Norm(m) < 1e-6 {
			break
		}
		c.pull = r3.Add(c.pull, r3.Scale(c.weight, m))
		c.weight = min(3*c.weight, 1e5)
	}
	t := c.ways(x)
	e := c.value(x, make([]float64, len(x)))
	return t, e, r3.Norm(c.miss(t)) < 1e-5
}

// measure is the least radius over the length, and the sag over the length.
func measure(chord r3.Vec, t []r3.Vec, s elastica.Span) (radius, sag float64) {
	n := float64(len(t))
	last := len(t)
	bend := make([]float64, last+1) // before piece i
	for i := 1; i < last; i++ {
		bend[i] = n * 2 * math.Asin(r3.Norm(r3.Sub(t[i], t[i-1]))/2)
	}
	if s.Start.Hold == elastica.Clamped { // a parabola through the next three
		bend[0] = 3*bend[1] - 3*bend[2] + bend[3]
	}
	if s.Finish.Hold == elastica.Clamped {
		bend[last] = 3*bend[last-1] - 3*bend[last-2] + bend[last-3]
	}
	most, at := 0.0, r3.Vec{}
	along := r3.Unit(chord)
	for i, b := range bend {
		most = max(most, b)
		if i < last { // the middles of the pieces lie on the curve
			mid := r3.Add(at, r3.Scale(0.5/n, t[i]))
			sag = max(sag, r3.Norm(r3.Sub(mid, r3.Scale(r3.Dot(mid, along), along))))
			at = r3.Add(at, r3.Scale(1/n, t[i]))
		}
	}
	return 1 / most, sag
}

// halved is a start of half as many pieces.
func halved(t []r3.Vec) []float64 {
	var x []float64
	for i := 0; i+1 < len(t); i += 2 {
		v := r3.Unit(r3.Add(t[i], t[i+1]))
		x = append(x, v.X, v.Y, v.Z)
	}
	return x
}

func randomUnit(r *rand.Rand) r3.Vec {
	return r3.Unit(r3.Vec{X: r.NormFloat64(), Y: r.NormFloat64(), Z: r.NormFloat64()})
}

func randomSpan(r *rand.Rand) elastica.Span {
	s := elastica.Span{
		Length: 1, To: r3.Scale(0.3+0.65*r.Float64(), randomUnit(r)),
		Start:  elastica.End{Hold: elastica.Clamped, Direction: randomUnit(r)},
		Finish: elastica.End{Hold: elastica.Clamped, Direction: randomUnit(r)},
	}
	switch r.IntN(4) {
	case 0:
		s.Start = elastica.End{}
	case 1:
		s.Finish = elastica.End{}
	}
	return s
}

// In space the curve is that of a chain of straight pieces whose energy a
// general-purpose minimiser made least, from arcs to all sides and from
// tangles.
func TestAgainstChain(t *testing.T) {
	r := rand.New(rand.NewPCG(12, 1744)) // fixed
	cases, starts := 12, 3
	if *long {
		cases, starts = 200, 8
	}
	var radiusOff, sagOff float64
	higher, compared := 0, 0
	for i := range cases {
		s := randomSpan(r)
		got, err := elastica.Solve(s)
		if err != nil {
			t.Errorf("case %d, %+v: %v", i, s, err)
			continue
		}
		c := &chainOf{s: s, n: 128, chord: s.To}
		best, least := []r3.Vec(nil), math.Inf(1)
		for k := range starts {
			x := make([]float64, 3*c.n)
			side := r3.Unit(r3.Cross(s.To, randomUnit(r)))
			tangle := 0.0
			if k%3 == 2 {
				tangle = 1
			}
			drift := r3.Vec{}
			for j := range c.n {
				a := 1.5 * (1 - 2*(float64(j)+0.5)/float64(c.n))
				drift = r3.Add(drift, r3.Scale(tangle*0.4, randomUnit(r)))
				v := r3.Add(r3.Add(r3.Scale(math.Cos(a), r3.Unit(s.To)), r3.Scale(math.Sin(a), side)), drift)
				x[3*j], x[3*j+1], x[3*j+2] = v.X, v.Y, v.Z
			}
			if ways, e, ok := c.least(x); ok && e < least {
				best, least = ways, e
			}
		}
		if best == nil {
			t.Errorf("case %d: the minimiser did not settle", i)
			continue
		}
		if got.Energy > least*1.03 { // another mode, of more energy
			higher++
			t.Logf("case %d: energy %.4f, the chain %.4f: %+v radius %.4f", i, got.Energy, least, s, got.Radius)
			continue
		}
		radius, sag := measure(s.To, best, s)
		if ways, _, ok := (&chainOf{s: s, n: c.n / 2, chord: s.To}).least(halved(best)); ok {
			half, _ := measure(s.To, ways, s) // the chain is off by the square of a piece (Richardson)
			radius += (radius - half) / 3
		}
		if got.Energy < 0.97*least { // the chain fell short of the first mode
			t.Logf("case %d: energy %.4f, the chain %.4f", i, got.Energy, least)
			continue
		}
		compared++
		offR, offS := math.Abs(got.Radius/radius-1), math.Abs(got.Sag-sag)
		most := 0.01
		if radius < 0.04 { // five pieces of the chain, which loses digits itself
			most = 0.02
		}
		if offR > most {
			t.Errorf("case %d: radius %.5f, the chain %.5f at %.3f; %+v", i, got.Radius, radius, got.At, s)
		}
		radiusOff, sagOff = max(radiusOff, offR), max(sagOff, offS)
	}
	t.Logf("%d cases: radius off by at most %.2f %%, sag by %.3f %% of the length; a mode of more energy in %d, of less in %d",
		compared, 100*radiusOff, 100*sagOff, higher, cases-compared-higher)
	if sagOff > 0.01 || higher > cases/50 || compared < cases*9/10 {
		t.Error("the two methods differ")
	}
}
