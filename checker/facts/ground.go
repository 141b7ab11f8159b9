package facts

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/motion"
	"kitgauge/checker/value"
)

// footing tells how high places of the vehicle are above the ground while its
// joints move. The wheels stay on the ground, which is flat along the vehicle:
// an axle keeps its height, and what its springs carry goes down as far as they
// are pressed together, in a line from axle to axle.
type footing struct {
	graph  *kit.Graph
	search *motion.Budget
	level  value.Number // height of the ground at rest

	axles   map[*kit.Body]bool         // what springs stand on
	springs map[*kit.Body][]spring     // what each body stands on
	wheels  map[*kit.Body][]r3.Vec     // middles of the wheels on each body, those that it steers with it
	places  map[*kit.Body][]r3.Vec     // other places on each body, and on those that it steers
	stands  map[*kit.Body]*stand       // as far as they were asked for
	told    map[string]bool            // why a height is not known, once said
	behind  map[*kit.Body][]*kit.Joint // articulations with which another body hangs on each
}

// spring is a joint of a suspension, and the body on its axle's side.
type spring struct {
	joint   *kit.Joint
	axle    *kit.Body
	inverse bool // the axle is the joint's parent
}

func newFooting(g *kit.Graph, search *motion.Budget) *footing {
	f := &footing{
		graph: g, search: search, level: groundLevel(g.Kit), axles: map[*kit.Body]bool{}, springs: map[*kit.Body][]spring{},
		wheels: map[*kit.Body][]r3.Vec{}, places: map[*kit.Body][]r3.Vec{}, stands: map[*kit.Body]*stand{}, told: map[string]bool{}, behind: map[*kit.Body][]*kit.Joint{},
	}
	standing := f.standing()
	for _, j := range g.Kit.Joints {
		p, c := j.Parent.To, j.Child.To
		if p == nil || c == nil || p == c || g.HangsBy(c) != j {
			continue
		}
		if j.Role.V == "articulation" && j.Pivot.Known() {
			f.behind[p] = append(f.behind[p], j)
		}
		if j.Role.V != "suspension" {
			continue
		}
		switch sprung := c.Sprung.Known && c.Sprung.V; {
		case sprung && p.Sprung.Known && !p.Sprung.V:
			f.springs[c], f.axles[p] = append(f.springs[c], spring{j, p, true}), true
		case !sprung || standing[c]:
			f.springs[p], f.axles[c] = append(f.springs[p], spring{j, c, false}), true
		}
	}
	f.locate()
	return f
}

// standing marks the bodies below which something stands on the ground: a
// wheel, or an axle. A cab on springs is none.
func (f *footing) standing() map[*kit.Body]bool {
	marked := map[*kit.Body]bool{}
	mark := func(b *kit.Body) {
		for ; b != nil && !marked[b]; b = f.above(b) {
			marked[b] = true
		}
	}
	for _, z := range f.graph.Kit.Zones {
		if z.Kind.V == "wheel" {
			mark(z.Body.To)
		}
	}
	for _, j := range f.graph.Kit.Joints {
		if c := j.Child.To; c != nil && j.Role.V == "suspension" && c.Sprung.Known && !c.Sprung.V {
			mark(c)
		}
	}
	return marked
}

// above is the body on which a body hangs; nil where it hangs on none.
func (f *footing) above(b *kit.Body) *kit.Body {
	if j := f.graph.HangsBy(b); j != nil {
		return j.Parent.To
	}
	return nil
}

// steered is the body that a body stands for: the one on which it is steered,
// as an axle its knuckle.
func (f *footing) steered(b *kit.Body) *kit.Body {
	for range motion.MostJoints {
		j := f.graph.HangsBy(b)
		if j == nil || j.Role.V != "steering" || j.Parent.To == nil {
			break
		}
		b = j.Parent.To
	}
	return b
}

// locate collects where wheels and other things are, body by body.
func (f *footing) locate() {
	k := f.graph.Kit
	for _, z := range k.Zones {
		if z.Kind.V == "wheel" && z.Body.To != nil && z.From.Known() && z.To.Known() {
			b := f.steered(z.Body.To)
			f.wheels[b] = append(f.wheels[b], r3.Scale(0.5, r3.Add(z.From.Vec(), z.To.Vec())))
		}
	}
	for _, p := range k.Points {
		if p.Body.To != nil && p.Position.Known() {
			b := f.steered(p.Body.To)
			f.places[b] = append(f.places[b], p.Position.Vec())
		}
	}
	for _, j := range k.Joints {
		if j.Role.V == "steering" && j.Parent.To != nil && j.Pivot.Known() {
			f.places[j.Parent.To] = append(f.places[j.Parent.To], j.Pivot.Vec())
		}
	}
}

// middle is that of the wheels of an axle; where the kit has none, of its
// other places.
func (f *footing) middle(b *kit.Body) (at r3.Vec, known bool) {
	list := f.wheels[b]
	if len(list) == 0 {
		list = f.places[b]
	}
	if len(list) == 0 {
		return r3.Vec{}, false
	}
	low, high := list[0], list[0]
	for _, p := range list {
		low = r3.Vec{X: min(low.X, p.X), Y: min(low.Y, p.Y), Z: min(low.Z, p.Z)}
		high = r3.Vec{X: max(high.X, p.X), Y: max(high.Y, p.Y), Z: max(high.Z, p.Z)}
	}
	return r3.Scale(0.5, r3.Add(low, high)), true
}

// groundLevel is the height of the ground, the lowest side of the outline.
func groundLevel(k *kit.Kit) value.Number {
	return value.Compute(func(n *value.Need) (float64, error) {
		const ground = "the ground (lowest side of the vehicle's outline)"
		o := &k.Vehicle.Outline
		return min(n.Number(ground, o.From.Z), n.Number(ground, o.To.Z)), nil
	})
}

// foot is an axle under a body: what it does to the ground, and how the joints
// of its suspension stand at the ends of its travel.
type foot struct {
	axle motion.Axle
	path []travel
	held map[bool]pose // by whether it is the higher end; of a coupling
}

// travel is a joint of a suspension with what it does.
type travel struct {
	joint *kit.Joint
	motion.Travel
}

// pose is how joints stand.
type pose struct {
	joints []*kit.Joint
	at     []float64
}

func (p *pose) add(j *kit.Joint, at float64) {
	p.joints, p.at = append(p.joints, j), append(p.at, at)
}

// moved adds the joints that do not stand as at rest.
func (p *pose) moved(joints []*kit.Joint, at []float64) {
	for i, v := range at {
		if v != 0 {
			p.add(joints[i], v)
		}
	}
}

// words tells the pose; "" is that at rest.
func (p *pose) words(k *kit.Kit) string { return kit.Standing(p.joints, p.at, k.Family()) }

// at is how the joints stand at an end of the foot's travel.
func (f *foot) at(h motion.Held) pose {
	if f.path == nil {
		return f.held[h.High]
	}
	var p pose
	for _, t := range f.path {
		switch {
		case t.Tilts() && h.Tilt < 0, !t.Tilts() && t.Low < t.High && !h.High:
			p.add(t.joint, t.AtLow)
		case t.Tilts() && h.Tilt > 0, !t.Tilts() && t.Low < t.High && h.High:
			p.add(t.joint, t.AtHigh)
		}
	}
	return p
}

// feet are what a body stands on: the axles of its springs, its own wheels, and
// the coupling to the body before it and to what stands on wheels behind it.
func (f *footing) feet(n *value.Need, b *kit.Body) (feet []foot, placed bool) {
	placed = true
	for _, s := range f.springs[b] {
		feet = append(feet, f.under(n, s, nil, &placed)...)
	}
	if len(feet) == 0 {
		return nil, true
	}
	for _, w := range f.wheels[b] {
		feet = append(feet, foot{axle: motion.Axle{X: w.X, Y: w.Y}})
	}
	if j := f.graph.HangsBy(b); j != nil && j.Role.V != "suspension" && j.Parent.To != nil && j.Pivot.Known() {
		if s := f.stand(j.Parent.To); s.grounded {
			feet = append(feet, s.coupling(n, j.Pivot.Vec()))
		}
	}
	for _, j := range f.behind[b] {
		if c := j.Child.To; len(f.wheels[c]) > 0 && len(f.springs[c]) == 0 {
			feet = append(feet, foot{axle: motion.Axle{X: j.Pivot.X.V, Y: j.Pivot.Y.V}})
		}
	}
	return feet, placed
}

// under lists the axles below a spring, with the springs on the way to them.
func (f *footing) under(n *value.Need, s spring, path []spring, placed *bool) []foot {
	path = append(path[:len(path):len(path)], s)
	var feet []foot
	if len(path) < motion.MostJoints {
		for _, next := range f.springs[s.axle] {
			if next.joint != s.joint {
				feet = append(feet, f.under(n, next, path, placed)...)
			}
		}
	}
	if len(feet) > 0 {
		return feet
	}
	at, known := f.middle(s.axle)
	*placed = *placed && known
	one := foot{axle: motion.Axle{X: at.X, Y: at.Y}}
	for _, s := range path {
		j := s.joint.Ready(n)
		if s.inverse {
			j = j.Inverse()
		}
		t, err := motion.Rise(j, at, f.level.V)
		if err != nil {
			n.Stop(err.Error())
		}
		one.path = append(one.path, travel{s.joint, t})
		one.axle.Low, one.axle.High = one.axle.Low+t.Low, one.axle.High+t.High
		one.axle.TiltLow, one.axle.TiltHigh = one.axle.TiltLow+t.TiltLow, one.axle.TiltHigh+t.TiltHigh
		if t.Tilts() {
			one.axle.Y = t.Y
		}
	}
	return []foot{one}
}

// stand is how a body stands on the ground.
type stand struct {
	f        *footing
	body     *kit.Body
	chain    []*kit.Joint // from the body that stands there out to this one
	grounded bool         // a wheel or an axle carries it
	base     *kit.Body
	ready    value.Maybe[readyStand]
}

// readyStand is a stand ready for package motion.
type readyStand struct {
	feet   []foot
	ground *motion.Ground
}

// stand is that of a body. It is looked for from the body inwards: an axle and
// a body with wheels of its own stand on the ground themselves, and so does
// what springs carry.
func (f *footing) stand(b *kit.Body) *stand {
	if s := f.stands[b]; s != nil {
		return s
	}
	root, joints := f.graph.Hanging(b)
	s := &stand{f: f, body: b, chain: joints, base: root}
	f.stands[b] = s
	for at, i := b, len(joints); at != nil; i-- {
		if len(f.springs[at]) > 0 || f.axles[at] || len(f.wheels[at]) > 0 {
			s.base, s.chain, s.grounded = at, joints[i:], true
			break
		}
		if i == 0 {
			break
		}
		at = joints[i-1].Parent.To
	}
	// A boom and what slides out on it are set down on the ground on purpose, by
	// somebody who looks on: they are judged at rest.
	s.chain = slices.DeleteFunc(slices.Clone(s.chain), func(j *kit.Joint) bool { return j.Role.V == "boom" || j.Role.V == "slide" })
	s.ready = value.Try(func(n *value.Need) (readyStand, error) { return s.prepare(n) })
	return s
}

// prepare works out what the axles under a body do.
func (s *stand) prepare(n *value.Need) (readyStand, error) {
	r := readyStand{ground: &motion.Ground{Level: n.Number("the ground", s.f.level), Wheelbase: math.Inf(1)}}
	feet, placed := s.f.feet(n, s.base)
	if r.feet = feet; len(feet) == 0 {
		return r, nil
	}
	for _, foot := range feet {
		r.ground.Axles = append(r.ground.Axles, foot.axle)
	}
	if placed {
		// Axles that reach less than a third of the vehicle are a trailer's
		// group, not a short vehicle's two ends: common practice, no source.
		r.ground.Wheelbase = min(motion.OneGroup, n.Number("the outline of the vehicle", s.f.graph.Length)/3)
	}
	return r, nil
}

// coupling is the foot that a body has in the one on which it hangs.
func (s *stand) coupling(n *value.Need, pivot r3.Vec) foot {
	r := s.ready.Of(n)
	if r.ground == nil { // it is being worked out just now
		n.Stop("the bodies hang on each other in a circle")
	}
	low, high, atLow, atHigh, err := r.ground.Rises(pivot)
	if err != nil {
		n.Stop(err.Error())
	}
	return foot{
		axle: motion.Axle{X: pivot.X, Y: pivot.Y, Low: low, High: high},
		held: map[bool]pose{false: r.pose(atLow), true: r.pose(atHigh)},
	}
}

// pose is how the joints of the suspension stand in a stance.
func (r *readyStand) pose(c motion.Stance) pose {
	var p pose
	for _, h := range c.Held {
		held := r.feet[h.Axle].at(h)
		p.joints, p.at = append(p.joints, held.joints...), append(p.at, held.at...)
	}
	return p
}

// Height is how high a place is at its lowest or its highest, and how the
// joints stand there, "" where it is no other than at rest.
type Height struct {
	V    float64
	When string
}

// least is the least height of a place on the body, over the range of all
// joints that move it against the ground. A joint that turns and states no range
// is taken to turn all the way, where the height is enough all the same.
func (s *stand) least(n *value.Need, at r3.Vec, enough float64) Height {
	joints, why := turning(n, s.chain)
	h := s.extreme(n, at, s.chain, joints, 1)
	if why != "" && h.V < enough {
		n.Stop(why)
	}
	return h
}

// filling are the least and the greatest height of a place while somebody fills
// the pump: its springs stand anywhere, all else at rest.
func (s *stand) filling(n *value.Need, at r3.Vec) (least, greatest Height) {
	var springs []*kit.Joint
	for _, j := range s.chain {
		if j.Role.V == "suspension" {
			springs = append(springs, j)
		}
	}
	joints := ready(n, springs)
	return s.extreme(n, at, springs, joints, 1), s.extreme(n, at, springs, joints, -1)
}

// extreme is the least (sign 1) or greatest (sign -1) height of a place.
func (s *stand) extreme(n *value.Need, at r3.Vec, chain []*kit.Joint, joints []motion.Joint, sign float64) Height {
	r := s.ready.Of(n)
	reached, err := r.ground.Reach(joints, at, sign, s.f.search)
	if err != nil {
		n.Stop(err.Error())
	}
	how := r.pose(reached.Stance)
	how.moved(chain, reached.At)
	return Height{kit.Settled(reached.Height), how.words(s.f.graph.Kit)}
}

// ready makes joints ready for package motion.
func ready(n *value.Need, chain []*kit.Joint) []motion.Joint {
	joints := make([]motion.Joint, len(chain))
	for i, j := range chain {
		joints[i] = j.Ready(n)
	}
	return joints
}

// turning is ready, with those that state no range turning all the way, and why
// that is not known.
func turning(n *value.Need, chain []*kit.Joint) (joints []motion.Joint, why string) {
	joints = make([]motion.Joint, len(chain))
	for i, j := range chain {
		var err error
		joints[i], err = j.Motion()
		if err != nil && j.Kind.V == "revolute" && j.Pivot.Known() && j.Axis.Known() {
			joints[i] = motion.Joint{Pivot: j.Pivot.Vec(), Axis: j.Axis.Vec(), From: -math.Pi, To: math.Pi}
			why = err.Error()
		} else if err != nil {
			n.Stop(err.Error())
		}
	}
	return joints, why
}

// farthest is how far a place comes out in a direction, level and seen from
// what carries it, and how the joints stand there.
func (s *stand) farthest(n *value.Need, at, out r3.Vec) Height {
	chain := s.chain
	for i, j := range chain {
		if role := j.Role.V; role == "articulation" || role == "drawbar" {
			chain = s.chain[i+1:]
		}
	}
	far, q, err := motion.Lowest(ready(n, chain), at, r3.Scale(-1, out), s.f.search)
	if err != nil {
		n.Stop(err.Error())
	}
	var how pose
	how.moved(chain, q)
	return Height{-far, how.words(s.f.graph.Kit)}
}

// untilKept is how far a place has to be moved at rest in a direction, until what
// is measured of it is at least so much; 0 where it is already.
func untilKept(at, dir r3.Vec, least float64, measure func(at r3.Vec) float64) value.Number {
	by := 0.0
	for range 40 {
		short := least - measure(r3.Add(at, r3.Scale(by, dir)))
		if short <= 0 {
			return value.Known(kit.Settled(by))
		}
		if by += max(short, 1e-9); by > farthestOut { // nobody moves it so far
			break
		}
	}
	return value.Unknown[float64]("no move of it is enough")
}
