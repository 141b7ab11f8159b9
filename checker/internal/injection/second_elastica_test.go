package injection_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/optimize"
	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/facts"
	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/elastica"
	"kitgauge/checker/quantities/motion"
	"kitgauge/checker/source"
	"kitgauge/checker/value"
)

var elasticaOpinions = []opinion{
	{
		quantity: "least radius of a loop in a plane", against: "Euler's elastica in closed form, by gonum's elliptic integrals",
		measure: "relative", bound: 0.01, inputs: [2]int{100, 400},
		deviation: planarApart,
	},
	{
		quantity: "least radius of a loop in space", against: "a chain of 128 to 512 straight pieces and springs, its energy made least with gonum's L-BFGS from up to 8 starts",
		measure: "relative", bound: 0.02, inputs: [2]int{6, 200},
		deviation: chainApart,
	},
	{
		quantity: "clearance of a loop from a capsule", against: "a dense sweep, 400 positions of one joint or 40 times 40 of two, each curve found afresh",
		measure: "m too far", bound: 0.003, inputs: [2]int{6, 40},
		deviation: sweepApart,
	},
	{
		quantity: "clearance of a loop from another bundle", against: "a dense sweep, 20 positions of each of three joints, each curve found afresh, and places 3 mm apart along both",
		measure: "m too far", bound: 0.004, inputs: [2]int{4, 40},
		deviation: besideApart,
	},
}

// planar is a piece of the planar elastica in closed form, from the amplitude a
// to b: with k the modulus, lengths over the force's,
//
//	s = F(b) - F(a), x = 2 (E(b) - E(a)) - s, y = 2 k (cos a - cos b)
//
// angle to x 2 asin(k sin phi), curvature 2 k cos phi.
// Source: Love, 4th ed., art. 263 (from memory).
func planar(k, a, b float64) (s elastica.Span, radius, energy float64) {
	m := k * k
	odd := func(f func(phi, m float64) float64, phi float64) float64 {
		return math.Copysign(f(math.Abs(phi), m), phi)
	}
	s.Length = odd(mathext.EllipticF, b) - odd(mathext.EllipticF, a)
	grow := odd(mathext.EllipticE, b) - odd(mathext.EllipticE, a)
	s.To = r3.Vec{X: 2*grow - s.Length, Y: 2 * k * (math.Cos(a) - math.Cos(b))}
	end := func(phi float64) elastica.End {
		sin, cos := math.Sincos(2 * math.Asin(k*math.Sin(phi)))
		return elastica.End{Hold: elastica.Clamped, Direction: r3.Vec{X: cos, Y: sin}}
	}
	s.Start, s.Finish = end(a), end(b)
	most := max(math.Abs(math.Cos(a)), math.Abs(math.Cos(b)))
	if a < 0 && b > 0 {
		most = 1
	}
	return s, 1 / (2 * k * most), 2 * (grow - (1-m)*s.Length)
}

// planarApart: pieces of less than half a wave are least values, so the curve
// is the one in closed form.
func planarApart(r *rand.Rand, _ bool) (float64, error) {
	k := uniform(r, 0.2, 0.98)
	a := uniform(r, -1.5, 0.6)
	b := min(a+uniform(r, 0.6, 1.5-max(a, 0)), 1.5)
	s, radius, energy := planar(k, a, b)
	c, err := elastica.Solve(s)
	if err == nil && math.Abs(c.Energy/energy-1) > 0.005 {
		err = fmt.Errorf("got an energy of %.6g, want %.6g", c.Energy, energy)
	}
	return math.Abs(c.Radius/radius - 1), err
}

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

// chainMeasure is the least radius over the length, and the sag over the length.
func chainMeasure(chord r3.Vec, t []r3.Vec, s elastica.Span) (radius, sag float64) {
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

// start is one for the minimiser: an arc to some side, or a tangle.
func (c *chainOf) start(r *rand.Rand, tangle float64) []float64 {
	x := make([]float64, 3*c.n)
	side := r3.Unit(r3.Cross(c.chord, randomUnit(r)))
	drift := r3.Vec{}
	for j := range c.n {
		sin, cos := math.Sincos(1.5 * (1 - 2*(float64(j)+0.5)/float64(c.n)))
		drift = r3.Add(drift, r3.Scale(tangle*0.4, randomUnit(r)))
		v := r3.Add(r3.Add(r3.Scale(cos, r3.Unit(c.chord)), r3.Scale(sin, side)), drift)
		x[3*j], x[3*j+1], x[3*j+2] = v.X, v.Y, v.Z
	}
	return x
}

// bendPieces is how many pieces of a chain the least radius is long at least, so that
// what is measured is the bend and not the pieces.
const bendPieces = 6

// leastOf is the least of the chain from some starts, nil where none settles.
func (c *chainOf) leastOf(r *rand.Rand, starts int) (best []r3.Vec, least float64) {
	least = math.Inf(1)
	for k := range starts {
		tangle := 0.0
		if k%3 == 2 {
			tangle = 1
		}
		if ways, e, ok := c.least(c.start(r, tangle)); ok && e < least {
			best, least = ways, e
		}
	}
	return best, least
}

// chainApart is how far the least radius is from that of a chain. What one of
// the two finds in another mode is not compared.
func chainApart(r *rand.Rand, hard bool) (float64, error) {
	s := randomSpan(r)
	got, err := elastica.Solve(s)
	if err != nil {
		return 0, err
	}
	starts := 3
	if hard {
		starts = 8
	}
	c := &chainOf{s: s, n: 128, chord: s.To}
	best, least := c.leastOf(r, starts)
	for best != nil && c.n < 512 {
		if radius, _ := chainMeasure(s.To, best, s); radius*float64(c.n) >= bendPieces {
			break
		}
		c.n *= 2 // too coarse for a bend that tight
		best, least = c.leastOf(r, starts)
	}
	if best == nil || math.Abs(got.Energy/least-1) > 0.03 {
		return -1, nil
	}
	radius, sag := chainMeasure(s.To, best, s)
	if ways, _, ok := (&chainOf{s: s, n: c.n / 2, chord: s.To}).least(halved(best)); ok {
		half, _ := chainMeasure(s.To, ways, s) // the chain is off by the square of a piece (Richardson)
		radius += (radius - half) / 3
	}
	if math.Abs(got.Sag-sag) > 0.01 {
		return 0, fmt.Errorf("got a sag of %g, want %g of the length", got.Sag, sag)
	}
	return math.Abs(got.Radius/radius - 1), nil
}

const sweepParts = "{title: parts, revision: A, parts: [{number: PUMP, kind: pump}, {number: TUBE, kind: tube, bend_radius: 25 mm}]}"

// sweepKit is a tube between two clips, one on the frame and one beyond some
// joints, and a wheel on the frame.
const sweepKit = `
vehicle: {outline: {from: [-3 m, -3 m, 0 m], to: [3 m, 3 m, 4 m]}}
bodies: [{id: b0}BODIES]
joints: [JOINTS]
pump: {part: PUMP, body: b0, position: BEFORE}
points: [{id: P, body: LAST, position: AFTER}]
lines: [{number: 1, point: P, tube: TUBE, tail: [
  {body: b0, position: FROM, hold: clip}, {body: LAST, position: TO, hold: clip, free_length: LENGTH}, {body: LAST, position: AFTER, hold: clip}]}]
zones: [{id: wheel, kind: wheel, shape: capsule, body: b0, from: AXLE0, to: AXLE1, radius: 40 mm}]
`

func vectorText(v r3.Vec) string { return fmt.Sprintf("[%.9f m, %.9f m, %.9f m]", v.X, v.Y, v.Z) }

// loopCase is a loop over some joints beside a capsule.
type loopCase struct {
	joints                            []motion.Joint
	before, from, to, after, at, axle r3.Vec
	length                            float64
}

func someLoop(r *rand.Rand) loopCase {
	c := loopCase{from: r3.Vec{Z: 2}, to: r3.Add(r3.Vec{Z: 2}, r3.Scale(uniform(r, 0.2, 0.5), randomUnit(r)))}
	c.before = r3.Sub(c.from, r3.Scale(0.2, r3.Unit(r3.Add(r3.Unit(r3.Sub(c.to, c.from)), r3.Scale(0.9, randomUnit(r))))))
	c.after = r3.Add(c.to, r3.Scale(0.2, r3.Unit(r3.Add(r3.Unit(r3.Sub(c.to, c.from)), r3.Scale(0.9, randomUnit(r))))))
	for range 1 + r.IntN(2) {
		j := motion.Joint{Pivot: r3.Add(c.from, somewhere(r, 0.4)), Axis: randomUnit(r), From: -uniform(r, 0.1, 0.8), To: uniform(r, 0.1, 0.8)}
		if r.IntN(3) == 0 {
			j = motion.Joint{Kind: motion.Prismatic, Axis: j.Axis, From: j.From / 8, To: j.To / 8}
		}
		c.joints = append(c.joints, j)
	}
	c.at = r3.Add(r3.Scale(0.5, r3.Add(c.from, c.to)), somewhere(r, 0.3))
	c.axle = r3.Add(c.at, r3.Scale(0.1, randomUnit(r)))
	c.each(25, func(q []float64) {
		c.length = max(c.length, r3.Norm(r3.Sub(moved(c.joints, q, c.to), c.from)))
	})
	c.length *= uniform(r, 1.05, 1.4)
	return c
}

// each goes through positions of the joints.
func (c *loopCase) each(steps int, do func(q []float64)) {
	n := 1
	for range c.joints {
		n *= steps
	}
	for k := range n {
		q := make([]float64, len(c.joints))
		for i, rest := 0, k; i < len(q); i, rest = i+1, rest/steps {
			q[i] = c.joints[i].From + (c.joints[i].To-c.joints[i].From)*float64(rest%steps)/float64(steps-1)
		}
		do(q)
	}
}

// keepAll asks for as much distance as is looked at, so that all is searched.
func keepAll(string) value.Number { return value.Known(0.2) }

// said is the distance that a check comes to.
func (c *loopCase) said() (float64, error) {
	var bodies, joints strings.Builder
	for i, j := range c.joints {
		fmt.Fprintf(&bodies, ", {id: b%d}", i+1)
		kind, unit := "revolute", "rad"
		if j.Kind == motion.Prismatic {
			kind, unit = "prismatic", "m"
		}
		fmt.Fprintf(&joints, "{id: j%d, role: articulation, kind: %s, parent: b%d, child: b%d, pivot: %s, axis: [%.9f, %.9f, %.9f], range: {from: %.9f %s, to: %.9f %s}},",
			i, kind, i, i+1, vectorText(j.Pivot), j.Axis.X, j.Axis.Y, j.Axis.Z, j.From, unit, j.To, unit)
	}
	file := strings.NewReplacer("BODIES", bodies.String(), "JOINTS", joints.String(), "LAST", fmt.Sprintf("b%d", len(c.joints)),
		"BEFORE", vectorText(c.before), "AFTER", vectorText(c.after), "FROM", vectorText(c.from), "TO", vectorText(c.to),
		"AXLE0", vectorText(c.at), "AXLE1", vectorText(c.axle), "LENGTH", fmt.Sprintf("%.9f m", c.length)).Replace(sweepKit)
	k, faults := kitOf(file)
	for _, a := range facts.Compute(k, facts.Options{Limit: keepAll}).Approaches {
		if strings.Contains(a.Place(), "tail 1 to tail 2") {
			return a.Distance.V, nil
		}
	}
	return -1, fmt.Errorf("no distance: %v in %s", faults, file)
}

// kitOf reads a kit.
func kitOf(file string) (*kit.Kit, error) {
	read := func(name, text string) *source.Document {
		docs, _ := source.Parse(name, []byte(text))
		return docs[0]
	}
	parts, _ := kit.ReadFile(read("sweep.parts.yaml", sweepParts))
	joined, _ := kit.NewCatalogue([]*kit.File{parts}, "")
	k, faults := kit.Read(read("sweep.kit.yaml", file))
	k.Resolve(joined)
	if len(faults) > 0 {
		return k, fmt.Errorf("%v in %s", faults[0], file)
	}
	return k, nil
}

// sweepApart is how much farther a loop is said to be from a capsule than it
// comes in a dense sweep. What is not within sight of it is not counted.
func sweepApart(r *rand.Rand, hard bool) (float64, error) {
	c := someLoop(r)
	steps := []int{60, 12}
	if hard {
		steps = []int{400, 40}
	}
	least := math.Inf(1)
	axle := r3.Sub(c.axle, c.at)
	c.each(steps[len(c.joints)-1], func(q []float64) {
		to, after := moved(c.joints, q, c.to), moved(c.joints, q, c.after)
		curve, err := elastica.Solve(elastica.Span{Length: c.length, From: c.from, To: to,
			Start:  elastica.End{Hold: elastica.Clamped, Direction: r3.Sub(c.from, c.before)},
			Finish: elastica.End{Hold: elastica.Clamped, Direction: r3.Sub(after, to)}})
		if err != nil {
			return
		}
		for _, p := range curve.Points {
			t := max(0, min(1, r3.Dot(r3.Sub(p, c.at), axle)/r3.Norm2(axle)))
			least = min(least, max(0, r3.Norm(r3.Sub(p, r3.Add(c.at, r3.Scale(t, axle))))-0.04))
		}
	})
	if least > 0.15 {
		return -1, nil
	}
	said, err := c.said()
	return max(0, said-least), err
}

// besideKit is a tube as in sweepKit, and another that comes from afar on a
// body of its own, and goes on there or to one more.
const besideKit = `
vehicle: {outline: {from: [-9 m, -9 m, 0 m], to: [9 m, 9 m, 4 m]}}
bodies: [{id: b0}, {id: b1}, {id: m0}, {id: m1}]
joints: [
  {id: j, role: articulation, kind: revolute, parent: b0, child: b1, JOINT0},
  {id: k, role: articulation, kind: revolute, parent: b0, child: m0, JOINT1},
  {id: l, role: articulation, kind: revolute, parent: m0, child: m1, JOINT2}]
pump: {part: PUMP, body: b0, position: BEFORE}
points: [{id: P, body: b1, position: AFTER}, {id: Q, body: SECOND, position: END}]
lines: [{number: 1, point: P, tube: TUBE, tail: [
    {body: b0, position: FROM, hold: clip}, {body: b1, position: TO, hold: clip, free_length: LENGTH}, {body: b1, position: AFTER, hold: clip}]},
  {number: 2, point: Q, tube: TUBE, tail: [
    {body: m0, position: AFAR, hold: clip, free_length: 300 mm}, {body: m0, position: NEAR, hold: clip}, {body: m0, position: LEAVE, hold: clip},
    {body: SECOND, position: REACH, hold: clip, FREE}, {body: SECOND, position: END, hold: clip}]}]
`

// besideCase is two tubes: the second is one more loop, or a run.
type besideCase struct {
	one, other loopCase
	carry      motion.Joint // of the second, whole
	afar       r3.Vec
	run        bool
}

func somePair(r *rand.Rand) besideCase {
	single := func() loopCase {
		c := someLoop(r)
		for len(c.joints) != 1 || c.joints[0].Kind != motion.Revolute {
			c = someLoop(r)
		}
		return c
	}
	b := besideCase{one: single(), other: single(), run: r.IntN(2) == 0}
	by := r3.Add(somewhere(r, 0.25), r3.Vec{X: 0.1})
	for _, p := range []*r3.Vec{&b.other.before, &b.other.from, &b.other.to, &b.other.after, &b.other.joints[0].Pivot} {
		*p = r3.Add(*p, by)
	}
	b.carry = motion.Joint{Pivot: r3.Add(b.other.from, somewhere(r, 0.4)), Axis: randomUnit(r), From: -uniform(r, 0.1, 0.4), To: uniform(r, 0.1, 0.4)}
	b.afar = r3.Add(b.other.before, r3.Scale(5, randomUnit(r)))
	return b
}

// said is the distance that a check comes to, and false where it looks no so far.
func (b *besideCase) said() (float64, bool, error) {
	joint := func(j motion.Joint) string {
		return fmt.Sprintf("pivot: %s, axis: [%.9f, %.9f, %.9f], range: {from: %.9f rad, to: %.9f rad}", vectorText(j.Pivot), j.Axis.X, j.Axis.Y, j.Axis.Z, j.From, j.To)
	}
	second, free := "m1", fmt.Sprintf("free_length: %.9f m", b.other.length)
	if b.run {
		second, free = "m0", "note: run"
	}
	o := &b.other
	file := strings.NewReplacer("JOINT0", joint(b.one.joints[0]), "JOINT1", joint(b.carry), "JOINT2", joint(o.joints[0]),
		"BEFORE", vectorText(b.one.before), "AFTER", vectorText(b.one.after), "FROM", vectorText(b.one.from), "TO", vectorText(b.one.to), "LENGTH", fmt.Sprintf("%.9f m", b.one.length),
		"AFAR", vectorText(b.afar), "NEAR", vectorText(o.before), "LEAVE", vectorText(o.from), "REACH", vectorText(o.to), "END", vectorText(o.after), "SECOND", second, "FREE", free).Replace(besideKit)
	k, err := kitOf(file)
	if err != nil {
		return 0, false, err
	}
	for _, s := range facts.Compute(k, facts.Options{Limit: keepAll}).Spans {
		if strings.HasPrefix(s.Place(), "line 1,") {
			if !s.LoopSag.Known {
				err = fmt.Errorf("no loop: %s", s.LoopSag.Why)
			}
			return s.BundleGap.V, s.BundleGap.Known, err
		}
	}
	return 0, false, fmt.Errorf("no span in %s", file)
}

// curveAt is the loop with its joint somewhere, found afresh; nil where none is.
func (c *loopCase) curveAt(q float64) []r3.Vec {
	to, after := moved(c.joints, []float64{q}, c.to), moved(c.joints, []float64{q}, c.after)
	curve, err := elastica.Solve(elastica.Span{Length: c.length, From: c.from, To: to,
		Start:  elastica.End{Hold: elastica.Clamped, Direction: r3.Sub(c.from, c.before)},
		Finish: elastica.End{Hold: elastica.Clamped, Direction: r3.Sub(after, to)}})
	if err != nil {
		return nil
	}
	return append(slices.Clone(curve.Points), after)
}

// dotted is places at most 3 mm apart along a way.
func dotted(way []r3.Vec) []r3.Vec {
	out := way[:1:1]
	for i := 1; i < len(way); i++ {
		d := r3.Sub(way[i], way[i-1])
		n := math.Ceil(r3.Norm(d) / 0.003)
		for k := 1.0; k <= n; k++ {
			out = append(out, r3.Add(way[i-1], r3.Scale(k/n, d)))
		}
	}
	return out
}

// steps of a joint's range.
func stepsOf(j motion.Joint, n int, do func(q float64)) {
	for i := range n {
		do(j.From + (j.To-j.From)*float64(i)/float64(n-1))
	}
}

// besideApart is how much farther a loop is said to be from another bundle than
// it comes in a dense sweep. What is not within sight of it is not counted.
func besideApart(r *rand.Rand, hard bool) (float64, error) {
	b := somePair(r)
	n := 10
	if hard {
		n = 20
	}
	var ones, others [][]r3.Vec
	stepsOf(b.one.joints[0], n, func(q float64) {
		if way := b.one.curveAt(q); way != nil {
			ones = append(ones, dotted(way[:len(way)-1]))
		}
	})
	lead := []r3.Vec{b.afar, b.other.before, b.other.from}
	if b.run {
		others = append(others, dotted(append(lead, b.other.to, b.other.after)))
	} else {
		stepsOf(b.other.joints[0], n, func(q float64) {
			if way := b.other.curveAt(q); way != nil {
				others = append(others, dotted(append(slices.Clone(lead), way...)))
			}
		})
	}
	least := math.Inf(1)
	stepsOf(b.carry, n, func(q float64) {
		for _, other := range others {
			var near []r3.Vec
			for _, p := range other {
				if p = moved([]motion.Joint{b.carry}, []float64{q}, p); r3.Norm(r3.Sub(p, b.one.from)) < b.one.length+0.2 {
					near = append(near, p)
				}
			}
			for _, one := range ones {
				for _, p := range one {
					for _, o := range near {
						least = min(least, r3.Norm2(r3.Sub(p, o)))
					}
				}
			}
		}
	})
	least = math.Sqrt(least)
	if least > 0.12 {
		return -1, nil
	}
	said, known, err := b.said()
	if err == nil && !known {
		err = fmt.Errorf("nothing is said of what comes to %g m", least)
	}
	return max(0, said-least), err
}
