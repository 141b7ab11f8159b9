package facts

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/motion"
	"kitgauge/checker/quantities/routing"
	"kitgauge/checker/value"
)

const (
	bundleView  = 0.1  // how near another bundle is to a loop that is looked at, where the limit is not greater [m]
	leavingClip = 0.15 // how much of a loop, from a clip on a body that the other is held on too, may lie beside it [m]
)

// strand is what lies in a piece of a route: a loop, or a straight run.
type strand struct {
	hop
	bodies [2]*kit.Body
	ends   routing.Segment
	loop   *loop // nil for a run
	radius float64
	ball   solid // round all of it, in every pose of a loop; on what carries both ends
}

// strands lists what lies in the pieces of all routes whose place is known.
func (p *prober) strands() []*strand {
	var list []*strand
	for _, r := range p.graph.Routes {
		for i := r.First; i < len(r.Stops); i++ {
			a, b, l := r.Stops[i-1], r.Stops[i], p.loopAt(hop{r, i})
			if _, known := r.Hop(i); !known || r.Astray(i) || len(r.Lines(i)) == 0 || l == nil && a.Body != b.Body || l != nil && len(l.poses) == 0 {
				continue
			}
			s := &strand{hop{r, i}, [2]*kit.Body{a.Body, b.Body}, routing.Segment{A: a.Position.Vec(), B: b.Position.Vec()}, l, p.radius(r, i), solid{}}
			if s.ball = ballOf(s.ends.A, s.ends.B); l != nil {
				s.ball = l.poses[0].ball
				for i := range l.poses {
					s.ball = s.ball.with(l.poses[i].ball)
				}
			}
			list = append(list, s)
		}
	}
	return list
}

// rubs reports whether two strands can rub: those of one bundle, or that move
// together, may be tied to each other.
func (s *strand) rubs(o *strand) bool {
	if s.route == o.route || bundleOf(s.route) != nil && bundleOf(s.route) == bundleOf(o.route) {
		return false
	}
	if o.loop == nil { // a run on a body of the loop's is passed by what lies still there
		return !slices.Contains(s.bodies[:], o.bodies[0])
	}
	both := slices.Contains(s.bodies[:], o.bodies[0]) && slices.Contains(s.bodies[:], o.bodies[1])
	return !both
}

// bundleOf is the bundle of a route, or from which its line comes.
func bundleOf(r *kit.Route) *kit.Bundle {
	if r.Bundle == nil && r.Line != nil {
		return r.Line.Bundle.To
	}
	return r.Bundle
}

// rubbing finds what comes near the loops.
type rubbing struct {
	*prober
	loops []*strand
	runs  map[*kit.Body][]*strand
	on    []*kit.Body // the bodies with runs, in the order of the routes
	balls map[*kit.Body]solid
	view  float64 // how near is looked at
	keep  float64
	near  map[*strand]besideAt
	fault map[*strand]error
}

// besideAt is the nearest of another strand.
type besideAt struct {
	place
	of    []*kit.Joint
	other *strand
}

// mostPairs is the budget of all that is held beside loops, in the boxes of
// [mostBoxes], of which most are a comparison of two balls here: some two
// seconds. A kit of 84 points takes a four-hundredth of it, one of 2000 eight
// tenths.
const mostPairs = 15_000_000

// bundleGaps finds how near the loops come to other bundles that move against
// them.
func (p *prober) bundleGaps(spans []*Span) {
	keep := p.options.limit("routing/bundles").V
	own := *p
	own.search = &motion.Budget{Boxes: min(p.search.Boxes*(mostPairs/mostBoxes), mostPairs)}
	w := &rubbing{prober: &own, runs: map[*kit.Body][]*strand{}, balls: map[*kit.Body]solid{}, view: max(bundleView, keep), keep: keep,
		near: map[*strand]besideAt{}, fault: map[*strand]error{}}
	of := map[hop]*strand{}
	for _, s := range p.strands() {
		if s.loop != nil {
			of[s.hop] = s
			w.loops = append(w.loops, s)
			continue
		}
		body := s.bodies[0]
		if w.runs[body] == nil {
			w.on, w.balls[body] = append(w.on, body), s.ball
		}
		w.runs[body], w.balls[body] = append(w.runs[body], s), w.balls[body].with(s.ball)
	}
	for i, s := range w.loops {
		if p.options.stopped() {
			break
		}
		w.besideRuns(s)
		if w.besideLoops(s, w.loops[i+1:]); w.search.Boxes <= 0 {
			w.giveUp()
			break
		}
	}
	for at, s := range p.spans {
		loop := of[at]
		value.Fill(func(n *value.Need) error {
			n.Number("the loop", s.LoopSag)
			if loop == nil {
				n.Stop("where the loop is is not known")
			}
			return w.tell(n, s, loop)
		}, &s.BundleGap, &s.BundleWhen, &s.BundleNear)
	}
}

// besideLoops holds a loop against others.
func (w *rubbing) besideLoops(s *strand, others []*strand) {
	const ready = 20 // to make a pair ready, in the time in which so many boxes are looked at
	for _, o := range others {
		if s.rubs(o) && w.search.Take(ready) {
			w.besideLoop(s, o)
		}
	}
}

// giveUp is where the budget is used up: of no loop is known what is nearest.
func (w *rubbing) giveUp() {
	for _, s := range w.loops {
		if w.fault[s] == nil {
			w.fault[s] = motion.ErrSpent
		}
	}
}

// tell fills in what is nearest to a loop.
func (w *rubbing) tell(n *value.Need, s *Span, own *strand) error {
	if err := w.fault[own]; err != nil {
		return err
	}
	near, is := w.near[own]
	if !is {
		n.Stop("no other bundle that moves against the loop comes as near as is looked at")
	}
	s.BundleGap = value.Known(kit.Settled(near.distance))
	s.BundleNear = value.Known(near.other.route.From(near.other.stop-1, near.other.stop))
	s.beside = pose{near.of, near.q}
	s.BundleWhen = value.Known(s.beside.words(w.graph.Kit))
	return nil
}

// found keeps what comes nearer to a loop than all before.
func (w *rubbing) found(s, o *strand, at place, of []*kit.Joint, err error) {
	if err != nil {
		if w.fault[s] == nil {
			w.fault[s] = err
		}
		return
	}
	if before, is := w.near[s]; at.distance <= w.view && (!is || at.distance < before.distance) {
		w.near[s] = besideAt{at, of, o}
	}
}

// besideRuns holds a loop against the runs on bodies that move against it.
func (w *rubbing) besideRuns(s *strand) {
	for _, body := range w.on {
		if slices.Contains(s.bodies[:], body) {
			continue
		}
		m := w.between(s.bodies[0], s.bodies[1], body)
		if !m.joined || m.why != "" || m.many {
			continue
		}
		b := &besideBody{rubbing: w, own: s, ball: w.balls[body], swing: newSwing(s.loop, m)}
		for _, o := range w.runs[body] {
			if s.rubs(o) {
				b.runs, b.thick = append(b.runs, o), max(b.thick, s.radius+o.radius)
			}
		}
		if len(b.runs) == 0 {
			continue
		}
		apart := r3.Norm(r3.Sub(s.ball.centre, b.ball.centre)) - s.ball.radius - b.ball.radius - b.thick
		if apart-m.sweep(b.swing.before, s.ball.centre)-m.sweep(m.zone, b.ball.centre) > w.view {
			continue
		}
		key := func() string {
			text := s.loop.key("beside runs", m.joints, m.start, m.end, m.zone, s.radius, w.view, w.keep)
			for _, o := range b.runs {
				text += fmt.Sprint(o.ends, o.radius)
			}
			return text
		}
		at, err := recall(w.memory, key, w.search, b.least)
		if err != nil || at.q != nil {
			w.found(s, b.runs[at.pose], at, m.of, err)
		}
	}
}

// besideBody is a loop and the runs on a body.
type besideBody struct {
	*rubbing
	own   *strand
	runs  []*strand
	ball  solid   // round the runs
	thick float64 // most that lies round the loop and a run together
	swing *swing
}

// nearRun is what is known of one run.
type nearRun struct {
	best place
	from []place
}

// least is the nearest of the runs, by its number in pose.
func (b *besideBody) least() (place, error) {
	near, err := b.poses()
	best := place{distance: math.Inf(1)}
	for i := range near {
		if near[i].best.distance < best.distance {
			best = place{near[i].best.q, near[i].best.distance, i}
		}
	}
	if err != nil || best.distance > b.keep+2*between {
		return best, err
	}
	near0 := best.distance
	best.distance = math.Inf(1)
	for i := range near {
		if near[i].best.distance > near0+between {
			continue
		}
		off := b.own.radius + b.runs[i].radius
		s := &loopSearch{l: b.own.loop, w: b.swing, zone: b.runs[i].capsule(), budget: b.search}
		at, err := s.descend(near[i].from, near[i].best) // all farther by the same
		if err != nil {
			return best, err
		}
		if at.distance = max(0, at.distance-off); at.distance < best.distance {
			best = place{at.q, at.distance, i}
		}
	}
	return best, nil
}

// capsule is a run as what is kept away from, without what lies round it.
func (s *strand) capsule() solid {
	z := s.ball
	z.Zone = routing.Capsule{Axis: s.ends}
	return z
}

// poses holds the runs against all the positions at which the loop's curve is
// known, with the other joints spread over their range.
func (b *besideBody) poses() ([]nearRun, error) {
	near := make([]nearRun, len(b.runs))
	zones := make([]solid, len(b.runs))
	for i, o := range b.runs {
		near[i].best.distance, zones[i] = math.Inf(1), o.capsule()
	}
	rest := b.swing.others()
	for i := range b.own.loop.poses {
		pose := &b.own.loop.poses[i]
		b.swing.set(pose.q)
		for _, free := range rest {
			b.swing.setFree(free)
			frame, err := b.swing.frame()
			if err != nil {
				return near, err
			}
			centre := frame.Move(pose.ball.centre)
			if !b.search.Take(1) {
				return near, motion.ErrSpent
			}
			if length(r3.Sub(centre, b.ball.centre))-b.ball.radius-pose.ball.radius-b.thick > b.view+between {
				continue
			}
			for k := range near {
				off := b.own.radius + b.runs[k].radius
				bound := min(b.view, near[k].best.distance) + between + off
				if length(r3.Sub(centre, zones[k].centre))-zones[k].radius-pose.ball.radius > bound {
					continue
				}
				far, err := b.nearest(pose, frame, zones[k], bound)
				if err != nil {
					return near, err
				}
				if far <= bound {
					near[k].add(place{slices.Clone(b.swing.q), max(0, far-off), i})
				}
			}
		}
	}
	return near, nil
}

func (n *nearRun) add(at place) {
	n.from = append(n.from, at)
	if at.distance < n.best.distance {
		n.best = at
	}
}

// nearest is that of the curves of a pose to one run.
func (b *besideBody) nearest(pose *loopPose, frame *motion.Rigid, z solid, bound float64) (float64, error) {
	least := math.Inf(1)
	for i := range pose.bows {
		if !b.search.Take(8) {
			return 0, motion.ErrSpent
		}
		far, err := pose.bows[i].distance(frame, z, min(bound, least))
		if err != nil {
			return 0, err
		}
		least = min(least, far)
	}
	return least, nil
}

// besideLoop holds two loops against each other.
func (w *rubbing) besideLoop(s, o *strand) {
	pair, near := w.pairOf(s, o)
	if !near {
		return
	}
	key := func() string {
		text := fmt.Sprint("beside ", pair.joints, pair.before, pair.own, w.view, w.keep, s.radius, o.radius, pair.cut)
		return text + pair.strands[0].loop.key(pair.strands[0].loop.widest) + pair.strands[1].loop.key(pair.strands[1].loop.widest)
	}
	at, err := recall(w.memory, key, w.search, func() (place, error) { return pair.least(w.view, w.keep) })
	w.found(s, o, at, pair.of, err)
	w.found(o, s, at, pair.of, err)
}

// pairOf makes two loops ready, where they may come near each other.
func (w *rubbing) pairOf(a, b *strand) (*loopPair, bool) {
	pair := &loopPair{strands: [2]*strand{a, b}, budget: w.search}
	m := &movers{}
	var chains [4][]*kit.Joint
	for i := range chains {
		var root *kit.Body
		root, chains[i] = w.graph.Hanging(pair.strands[i/2].bodies[i%2])
		if other, _ := w.graph.Hanging(a.bodies[0]); root != other {
			return nil, false
		}
	}
	common := min(shared([3][]*kit.Joint(chains[:3])), shared([3][]*kit.Joint(chains[1:])))
	index := func(j *kit.Joint) int {
		at := slices.Index(pair.of, j)
		if at < 0 {
			at = len(pair.of)
			pair.of, m.joints = append(pair.of, j), append(m.joints, w.joint(j, m))
		}
		return at
	}
	for k, s := range pair.strands {
		lists := [2][]*kit.Joint{chains[2*k][common:], chains[2*k+1][common:]}
		carried := len(lists[0]) - len(s.loop.chain.A)
		for _, j := range lists[0][:carried] {
			pair.before[k] = append(pair.before[k], index(j))
		}
		for _, list := range lists {
			for _, j := range list[carried:] {
				pair.own[k] = append(pair.own[k], index(j))
			}
		}
		for end, body := range s.bodies {
			pair.cut[k][end] = slices.Contains(pair.strands[1-k].bodies[:], body)
		}
	}
	pair.joints = m.joints
	if slices.ContainsFunc(pair.before[0], func(i int) bool { return slices.Contains(pair.own[1], i) }) {
		pair.turn() // the first is the one that is nearer to the root
	}
	for k, i := range pair.own[0] {
		if n := slices.Index(pair.own[1], i); n >= 0 {
			pair.both = append(pair.both, [2]int{k, n})
		}
	}
	for k := range pair.frames {
		for _, i := range pair.before[k] {
			pair.frames[k].add(i, pair.joints[i])
		}
	}
	if m.why != "" || len(pair.of) > 3*motion.MostJoints {
		return nil, false
	}
	a, b = pair.strands[0], pair.strands[1]
	apart := r3.Norm(r3.Sub(a.ball.centre, b.ball.centre)) - a.ball.radius - b.ball.radius - a.radius - b.radius
	return pair, apart-m.sweep(pair.before[0], a.ball.centre)-m.sweep(pair.before[1], b.ball.centre) <= w.view
}

// turn exchanges the two.
func (w *loopPair) turn() {
	w.strands[0], w.strands[1] = w.strands[1], w.strands[0]
	w.before[0], w.before[1] = w.before[1], w.before[0]
	w.own[0], w.own[1] = w.own[1], w.own[0]
	w.cut[0], w.cut[1] = w.cut[1], w.cut[0]
}

// loopPair is two loops over the joints that move them.
type loopPair struct {
	strands [2]*strand
	of      []*kit.Joint
	joints  []motion.Joint
	before  [2][]int   // the joints that carry both clips of a loop, but not those of all
	own     [2][]int   // those between its clips, in the order of the loop's
	both    [][2]int   // where those stand that are between the clips of both
	cut     [2][2]bool // which ends of a loop are on a body that the other is held on too
	budget  *motion.Budget
	tails   [2][]tail
	frames  [2]carrier
}

// values are those of some of the joints.
func valuesOf(q []float64, list []int) []float64 {
	out := make([]float64, len(list))
	for k, i := range list {
		out[k] = q[i]
	}
	return out
}

// least looks at all pairs of poses of the two loops that go together, with the
// other joints spread over their range, and searches on from the nearest.
func (w *loopPair) least(view, keep float64) (place, error) {
	best, from := place{distance: math.Inf(1)}, []place(nil)
	free, rest := w.free()
	first, second := w.strands[0].loop.poses, w.strands[1].loop.poses
	apart := w.frames[0].apartFrom(w.own[1]) && w.frames[1].apartFrom(w.own[1])
	q := make([]float64, len(w.joints))
	for i := range first {
		for _, at := range rest {
			w.set(q, w.own[0], first[i].q)
			w.set(q, free, at)
			far, err := w.ballsApart(q, first[i].ball, w.strands[1].ball)
			if err != nil {
				return best, err
			}
			if apart && far > min(view, best.distance)+between {
				continue
			}
			for j := range second {
				if !w.together(first[i].q, second[j].q) {
					continue
				}
				w.set(q, w.own[1], second[j].q)
				far, err := w.apart(q, &first[i], &second[j], min(view, best.distance)+between)
				if err != nil {
					return best, err
				}
				if far > view+between {
					continue
				}
				one := place{slices.Clone(q), far, i*len(second) + j}
				from = append(from, one)
				if far < best.distance {
					best = one
				}
			}
		}
	}
	if best.distance == 0 || best.distance > keep+2*between {
		return best, nil
	}
	d := descent{begin: w.begin, distance: w.at, finish: w.finish}
	for i, j := range w.joints {
		d.from, d.to = append(d.from, j.From), append(d.to, turn(j))
		moving := len(free)
		for k := range w.own {
			if slices.Contains(w.own[k], i) {
				moving = w.strands[k].loop.moving()
			}
		}
		d.steps = append(d.steps, (turn(j)-j.From)/float64(max(1, stepsOf(moving)-1)))
	}
	return d.least(from, best)
}

// moving is how many joints move the loop.
func (l *loop) moving() int {
	n := 0
	for _, j := range append(slices.Clone(l.chain.A), l.chain.B...) {
		if j.From < j.To {
			n++
		}
	}
	return n
}

// free are the joints that are between the clips of neither loop, and positions
// of them spread over their range.
func (w *loopPair) free() (list []int, places [][]float64) {
	for i, j := range w.joints {
		if !slices.Contains(w.own[0], i) && !slices.Contains(w.own[1], i) && j.From < j.To {
			list = append(list, i)
		}
	}
	return list, spaced(w.joints, list)
}

func (w *loopPair) set(q []float64, list []int, at []float64) {
	for n, i := range list {
		q[i] = at[n]
	}
}

// together reports whether the two loops can be in two poses at once.
func (w *loopPair) together(a, b []float64) bool {
	for _, both := range w.both {
		if math.Abs(a[both[0]]-b[both[1]]) > 1e-9 {
			return false
		}
	}
	return true
}

// ballsApart is how far two balls that the two loops carry are apart, less what
// lies round the loops.
func (w *loopPair) ballsApart(q []float64, a, b solid) (float64, error) {
	if !w.budget.Take(1) {
		return 0, motion.ErrSpent
	}
	f, err := w.frames[0].at(q)
	if err != nil {
		return 0, err
	}
	g, err := w.frames[1].at(q)
	if err != nil {
		return 0, err
	}
	return length(r3.Sub(f.Move(a.centre), g.Move(b.centre))) - a.radius - b.radius - w.strands[0].radius - w.strands[1].radius, nil
}

// length is that of a vector neither tiny nor huge.
func length(v r3.Vec) float64 { return math.Sqrt(r3.Norm2(v)) }

// apart is the distance of two loops in two poses, with the joints at q, where
// that is less than a bound.
func (w *loopPair) apart(q []float64, a, b *loopPose, bound float64) (float64, error) {
	least := math.Inf(1)
	far, err := w.ballsApart(q, a.ball, b.ball)
	if err != nil || far > bound {
		return least, err
	}
	f, g := &w.frames[0].rigid, &w.frames[1].rigid
	for i := range a.bows {
		for k := range b.bows {
			if err != nil {
				return 0, err
			}
			var far float64
			if far, err = w.distance(&a.bows[i], &b.bows[k], f, g, min(bound, least)); err == nil {
				least = min(least, far)
			}
		}
	}
	return least, err
}

// begin takes up the curves of two poses.
func (w *loopPair) begin(from place) (float64, error) {
	second := w.strands[1].loop.poses
	for k, p := range [2]*loopPose{&w.strands[0].loop.poses[from.pose/len(second)], &second[from.pose%len(second)]} {
		w.tails[k] = tailsOf(p)
	}
	return w.at(from.q, math.Inf(1))
}

// at is the distance with the joints at q, of curves that follow from those
// before.
func (w *loopPair) at(q []float64, bound float64) (float64, error) {
	var poses [2]loopPose
	for k, s := range w.strands {
		own := valuesOf(q, w.own[k])
		for i := range w.tails[k] {
			found, err := w.tails[k][i].follow(s.loop, own, w.budget)
			if err != nil {
				return 0, err
			}
			if found {
				poses[k].bows = append(poses[k].bows, w.tails[k][i].bow)
			}
		}
	}
	for k := range poses {
		poses[k].ball = ballRound(poses[k].bows)
	}
	return w.apart(q, &poses[0], &poses[1], bound)
}

// finish is the same of curves that are no longer rough.
func (w *loopPair) finish(at place) (float64, error) {
	for k := range w.tails {
		for i := range w.tails[k] {
			w.tails[k][i].solver.Rough = false
		}
	}
	return w.at(at.q, math.Inf(1))
}

// distance is that of two curves less what lies round them, without what lies
// beside each other at clips on one body, where that is less than a bound.
func (w *loopPair) distance(a, b *bow, f, g *motion.Rigid, bound float64) (float64, error) {
	if !w.budget.Take(1) {
		return 0, motion.ErrSpent
	}
	off := w.strands[0].radius + w.strands[1].radius
	s := [2]side{{bow: a, frame: f, cut: w.cut[0]}, {bow: b, frame: g, cut: w.cut[1]}}
	chord, err := routing.Apart(s[0].chord(), s[1].chord())
	if err != nil || chord-a.bulge-b.bulge-off > bound {
		return math.Inf(1), err
	}
	if !w.budget.Take(motion.Setup) {
		return 0, motion.ErrSpent
	}
	if b.AnySide { // the first is the one that is turned all the way
		s[0], s[1] = s[1], s[0]
	}
	far, err := s[0].apart(&s[1], bound+off)
	return max(0, far-off), err
}

// side is a curve where the joints carry it.
type side struct {
	*bow
	frame *motion.Rigid
	cut   [2]bool // what leaves its ends does not count
}

func (s *side) chord() routing.Segment {
	return routing.Segment{A: s.frame.Move(s.Points[0]), B: s.frame.Move(s.Points[len(s.Points)-1])}
}

// path is the way of the curve, turned about its chord, as far as it counts.
func (s *side) path(by float64) []r3.Vec {
	chord := s.chord()
	turn := r3.NewRotation(by, r3.Sub(chord.B, chord.A))
	path := make([]r3.Vec, len(s.Points))
	for i, p := range s.Points {
		if path[i] = s.frame.Move(p); by != 0 {
			path[i] = r3.Add(chord.A, turn.Rotate(r3.Sub(path[i], chord.A)))
		}
	}
	for _, cut := range s.cut {
		if cut {
			path = without(path)
		}
		slices.Reverse(path)
	}
	return path
}

// without is a way without its beginning.
func without(path []r3.Vec) []r3.Vec {
	gone := 0.0
	for i := 1; i < len(path); i++ {
		if gone += r3.Norm(r3.Sub(path[i], path[i-1])); gone > leavingClip {
			return path[i-1:]
		}
	}
	return path[len(path)-1:]
}

// apart is the distance of two curves, where that is less than a bound. Where
// one of two may bow to any side it is the first.
func (s *side) apart(o *side, bound float64) (float64, error) {
	off := s.Margin + o.Margin
	if s.AnySide {
		ring := ringOf(s)
		least := ring.apart(o.path(0), bound+off) - off
		if !o.AnySide {
			return least, nil
		}
		off += o.Sag * (1 - math.Cos(math.Pi/sides)) // between two sides
		for k := range sides {
			least = min(least, ring.apart(o.path(2*math.Pi*float64(k)/sides), min(bound, least)+off)-off)
		}
		return least, nil
	}
	path, other := s.path(0), o.path(0)
	least, far := math.Inf(1), math.Inf(-1) // no place of the piece before is nearer
	for i, p := range other {
		if i == 0 && len(other) > 1 {
			continue
		}
		if far -= length(r3.Sub(p, other[max(0, i-1)])); far >= min(bound, least)+off {
			continue
		}
		piece := routing.Capsule{Axis: routing.Segment{A: other[max(0, i-1)], B: p}}
		near, err := routing.PathDistance(path, piece, min(bound, least)+off)
		if err != nil {
			return 0, err
		}
		far = min(near.Distance, min(bound, least)+off)
		least = min(least, near.Distance-off)
	}
	return least, nil
}

// ring is all that a curve passes that is turned about its chord: how far its
// places are along the chord and from it.
type ring struct {
	from, along r3.Vec
	places      [][2]float64
}

func ringOf(s *side) ring {
	chord := s.chord()
	r := ring{from: chord.A, along: r3.Unit(r3.Sub(chord.B, chord.A))}
	for _, p := range s.path(0) {
		r.places = append(r.places, r.seen(p))
	}
	return r
}

func (r *ring) seen(p r3.Vec) [2]float64 {
	d := r3.Sub(p, r.from)
	x := r3.Dot(d, r.along)
	return [2]float64{x, math.Sqrt(max(0, r3.Norm2(d)-x*x))}
}

// quarters is in how many pieces a piece of the other way is taken: the distance
// of the nearest place on it is right to 0.5 mm where a tube is 0.4 m long and
// 20 mm away.
const quarters = 4

// apart is the distance of a way, where that is less than a bound.
func (r *ring) apart(path []r3.Vec, bound float64) float64 {
	least, far := math.Inf(1), math.Inf(-1)
	before := path[0]
	for i, p := range path {
		start := path[max(0, i-1)]
		for k := 1; k <= quarters; k++ {
			at := r3.Add(start, r3.Scale(float64(k)/quarters, r3.Sub(p, start)))
			far -= r3.Norm(r3.Sub(at, before))
			if before = at; far < min(least, bound) {
				far = r.distance(r.seen(at))
				least = min(least, far)
			}
			if i == 0 {
				break
			}
		}
	}
	return least
}

// distance is that of one place.
func (r *ring) distance(p [2]float64) float64 {
	least := math.Inf(1)
	for i, b := range r.places {
		a := r.places[max(0, i-1)]
		d, e := [2]float64{b[0] - a[0], b[1] - a[1]}, [2]float64{p[0] - a[0], p[1] - a[1]}
		t := 0.0
		if n := d[0]*d[0] + d[1]*d[1]; n > 0 {
			t = max(0, min(1, (d[0]*e[0]+d[1]*e[1])/n))
		}
		x, y := e[0]-t*d[0], e[1]-t*d[1]
		least = min(least, x*x+y*y)
	}
	return math.Sqrt(least)
}
