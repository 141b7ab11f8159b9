package facts

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/motion"
	"kitgauge/checker/quantities/survey"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// JointSurvey is how a joint stands and how far it goes.
type JointSurvey struct {
	FromVertical value.Number `key:"from_vertical" dim:"angle"` // its axis
	FromAlong    value.Number `key:"from_along" dim:"angle"`    // from the length of the vehicle
	FromAcross   value.Number `key:"from_across" dim:"angle"`
	Turns        value.Number `key:"turns" dim:"angle"`         // from end to end; none of a slide
	LeastSide    value.Number `key:"least_side" dim:"angle"`    // the nearer end of its range from rest
	MostSide     value.Number `key:"most_side" dim:"angle"`     // the farther one
	Travels      value.Number `key:"travels" dim:"length"`      // from end to end; none of a pivot
	LeastTravel  value.Number `key:"least_travel" dim:"length"` // to the nearer end
	InOrder      value.Flag   `key:"range_in_order"`
	RestWithin   value.Flag   `key:"rest_within"` // its range
	Lacks        []string     `key:"lacks"`       // of axis, pivot and range
	OtherParent  value.Text   `key:"other_parent"`
	ChildMeant   value.Text   `key:"child_meant"`
	Circle       value.Flag   `key:"circle"`
	SameID       value.Text   `key:"same_id"`    // the name of an earlier joint with its id
	Reversed     value.Text   `key:"reversed"`   // why its parent and its child are exchanged
	RoleMeant    value.Text   `key:"role_meant"` // by its twin or by its name, where axis and range go with that
	RoleBy       value.Text   `key:"role_meant_by"`
	SignedFrom   value.Text   `key:"range_from_other_sign"` // where that alone puts the range in order
	OnFrame      value.Flag   `key:"on_frame"`              // its parent hangs on no springs itself
	RaisedAtRest value.Flag   `key:"raised_at_rest"`        // its range begins or ends near rest, where what it lifts is up
	Kindred      value.Text   `key:"strange_point"`         // a point of its name on a body that it does not join
	PivotOutside value.Number `key:"pivot_outside" dim:"length"`
	PivotFace    value.Text   `key:"pivot_face"`
	PivotOff     value.Number `key:"pivot_off" dim:"length"` // its axis, from the points of its name
	PivotPoints  value.Text   `key:"pivot_points"`
	PivotMeant   value.Text   `key:"pivot_meant"`
	AxisMeant    value.Text   `key:"axis_meant"` // the direction in which the points of its name lie
	AxisPoints   value.Text   `key:"axis_points"`
	RiseFrom     value.Number `key:"rise_from" dim:"length"` // of what it carries, on the average, at each end
	RiseTo       value.Number `key:"rise_to" dim:"length"`
	RangeFrom    value.Text   `key:"range_from"`
	RangeTo      value.Text   `key:"range_to"`
	EvenRange    value.Text   `key:"range_even"`      // as far to either side as to the farther one
	LostSign     value.Text   `key:"range_lost_sign"` // the range with the sign that makes it hold its rest
	Carries      value.Text   `key:"carries"`         // "the points of the hopper"
	Lifts        value.Flag   `key:"lifts"`           // its name says that it lifts
	Twin         value.Text   `key:"twin"`
	TwinAxis     value.Text   `key:"twin_axis"` // its mirror image
	TwinAxisOff  value.Number `key:"twin_axis_off" dim:"angle"`
	TwinRange    value.Text   `key:"twin_range"` // mirrored
	TwinRangeOff value.Number `key:"twin_range_off" dim:"angle"`
	TwinPivot    value.Text   `key:"twin_pivot"` // mirrored
	TwinPivotOff value.Number `key:"twin_pivot_off" dim:"length"`
	TwinParent   value.Text   `key:"twin_parent"`  // where it hangs on another
	TwinSuspect  value.Flag   `key:"twin_suspect"` // of the two it is rather this one that is wrong
}

// jointsStand looks at every joint by itself, then at mirror images.
func (s *surveyor) jointsStand() {
	taken := map[*kit.Body]*kit.Joint{}
	var list []labelled
	s.findHinges()
	first := map[string]string{}
	for _, j := range s.Joints {
		j.SameID = sameID(first, j.ID, j.Joint.Label())
		list = append(list, labelled{j.ID, j.Name})
		j.OnFrame = value.Known(j.Parent.To != nil && s.springsUnder(j.Parent.To).Known)
		s.complete(j)
		s.stands(j)
		s.ranges(j)
		s.parents(j, taken)
		s.namesakes(j)
		s.rises(j)
	}
	twins := map[*Joint]*Joint{}
	for _, p := range pairs(list) {
		l, r := s.Joints[p.left], s.Joints[p.right]
		twins[l], twins[r] = r, l
		s.mirrored(l, r)
	}
	for _, j := range s.Joints {
		s.roleMeant(j, twins[j])
	}
}

func (s *surveyor) complete(j *Joint) {
	if j.Axis.Node == nil {
		j.Lacks = append(j.Lacks, "its axis")
	}
	if j.Pivot.Node == nil && j.Kind.V == "revolute" {
		j.Lacks = append(j.Lacks, "its pivot")
	}
	if j.Range.Node == nil && j.Crossings.V == 0 { // where tubes cross it another rule says so
		j.Lacks = append(j.Lacks, "its range")
	}
}

func (s *surveyor) stands(j *Joint) {
	if !j.Axis.Known() {
		return
	}
	axis := j.Axis.Vec()
	for _, d := range []struct {
		to  *value.Number
		dir r3.Vec
	}{{&j.FromVertical, survey.Up}, {&j.FromAlong, survey.Along}, {&j.FromAcross, survey.Across}} {
		if angle, err := survey.Angle(axis, d.dir); err == nil {
			*d.to = value.Known(angle)
		}
	}
	if s.boxKnown && j.Pivot.Known() && j.Kind.V == "revolute" {
		out, face := s.box.Beyond(j.Pivot.Vec())
		j.PivotOutside, j.PivotFace = value.Known(out), value.Known(string(face))
	}
}

func (s *surveyor) ranges(j *Joint) {
	r := j.Range
	if !r.From.Known || !r.To.Known {
		return
	}
	from, to := r.From.V, r.To.V
	if from == to {
		return // another rule says so
	}
	j.InOrder, j.RestWithin = value.Known(from <= to), value.Known(from <= 0 && 0 <= to)
	least, most := min(math.Abs(from), math.Abs(to)), max(math.Abs(from), math.Abs(to))
	dim := units.Angle
	if j.Kind.V == "prismatic" {
		dim = units.Length
		j.Travels, j.LeastTravel = value.Known(to-from), value.Known(least)
	} else {
		j.Turns, j.LeastSide, j.MostSide = value.Known(to-from), value.Known(least), value.Known(most)
	}
	shown := func(v float64) string { return units.Format(v, dim, s.Family()) }
	if j.LostSign = value.Known(shown(from) + " to " + shown(-to)); from > 0 {
		j.LostSign.V = shown(-from) + " to " + shown(to)
	}
	j.EvenRange = value.Known(shown(-most) + " to " + shown(most))
	j.RangeFrom, j.RangeTo = value.Known(shown(from)), value.Known(shown(to))
	if from > to && (to > 0 || from < 0) {
		j.SignedFrom = j.LostSign
	}
}

// parents finds joints of one child, and circles. Of two joints with one child
// that is told whose name says another side.
func (s *surveyor) parents(j *Joint, taken map[*kit.Body]*kit.Joint) {
	j.Circle = value.Known(s.circles(j.Joint))
	s.upsideDown(j)
	c := j.Child.To
	if c == nil {
		return
	}
	first := taken[c]
	if first == nil {
		taken[c] = j.Joint
		return
	}
	if s.reversed(j.Joint, first) || s.reversed(first, j.Joint) {
		return
	}
	suspect, other := j, first
	if says(first, c) && !says(j.Joint, c) {
		for _, o := range s.Joints {
			if o.Joint == first {
				suspect, other = o, j.Joint
			}
		}
	}
	suspect.OtherParent = value.Known(other.Label())
	if m := s.mirrorOf[c]; m != nil && s.graph.HangsBy(m) == nil {
		suspect.ChildMeant = value.Known(m.Label())
	}
}

// upsideDown finds a joint that hangs the frame on what hangs on the frame: a
// sprung body on the springs of an unsprung one, or a body with springs under
// it on one that hangs on nothing and carries nothing else.
func (s *surveyor) upsideDown(j *Joint) {
	p, c := j.Parent.To, j.Child.To
	if p == nil || c == nil || s.graph.HangsBy(p) != nil {
		return
	}
	switch j.Role.V {
	case "suspension":
		if p.Sprung.Known && !p.Sprung.V && c.Sprung.V {
			j.Reversed = value.Known(fmt.Sprintf("it hangs %s, which is sprung, on %s, which is not", c.Label(), p.Label()))
		}
	case "drawbar", "boom", "tipping", "cab", "steering":
		for _, o := range s.Kit.Kit.Joints {
			if o != j.Joint && o.Parent.To == p {
				return
			}
		}
		if s.springsUnder(c).Known {
			j.Reversed = value.Known(fmt.Sprintf("it hangs %s, which has springs under it, on %s, which hangs on nothing", c.Label(), p.Label()))
		}
	}
}

// reversed tells whether of two joints with one child the first has parent and
// child exchanged: its parent is the child of none, and hangs nothing else.
func (s *surveyor) reversed(j, other *kit.Joint) bool {
	p := j.Parent.To
	if p == nil || p == j.Child.To || p == s.mainBody() || s.graph.HangsBy(p) != nil || other.Parent.To == p {
		return false
	}
	for _, o := range s.Kit.Kit.Joints {
		if o != j && (o.Parent.To == p || o.Child.To == p) {
			return false
		}
	}
	for _, o := range s.Joints {
		if o.Joint == j {
			o.Reversed = value.Known(fmt.Sprintf("its child %s hangs by %s already, and its parent %s by none", j.Child.To.Label(), other.Label(), p.Label()))
		}
	}
	if b := s.byBody[p]; b != nil {
		b.Loose = value.Known(false)
	}
	return true
}

// says reports whether the joint names another side than the body.
func says(j *kit.Joint, b *kit.Body) bool {
	js, bs := labelled{j.ID, j.Name}.side(), labelled{b.ID, b.Name}.side()
	return js != "" && bs != "" && js != bs
}

func (s *surveyor) circles(j *kit.Joint) bool {
	seen := map[*kit.Body]bool{}
	for b := j.Parent.To; b != nil && !seen[b]; {
		if b == j.Child.To {
			return true
		}
		seen[b] = true
		up := s.graph.HangsBy(b)
		if up == nil {
			return false
		}
		b = up.Parent.To
	}
	return false
}

// hingeWords are those for what a pivot is made of; the first four say nothing
// of which.
var hingeWords = []string{"hinge", "pivot", "trunnion", "swivel", "kingpin", "articulation"}

// plainWords say where on a hinge a point is, or nothing of which hinge.
var plainWords = []string{"upper", "lower", "front", "rear", "inner", "outer", "pin", "bush", "bearing", "eye", "left", "right", "the", "of", "thrust"}

// namesakes holds a pivot against the grease points that bear its name.
func (s *surveyor) namesakes(j *Joint) {
	if j.Kind.V != "revolute" || j.Parent.To == nil || j.Child.To == nil {
		return
	}
	var own []*Point
	for _, h := range s.hinges {
		p := h.Point
		if !s.namesake(j, h) {
			continue
		}
		switch p.Body.To {
		case nil:
		case j.Parent.To, j.Child.To:
			own = append(own, p)
		default:
			if !j.Kindred.Known && !p.Exchanged.V && !misnamed(h) {
				j.Kindred = value.Known(fmt.Sprintf("%s (%s) is on %s", p.ID.Or("?"), p.Name.V, p.Body.To.Label()))
			}
		}
	}
	s.pivotNear(j, own)
}

// hingePoint is a point that is called as a hinge is, with its words.
type hingePoint struct {
	*Point
	words []string
	side  string
}

// misnamed reports whether a point is named for the side on which it does not
// lie: then it is the name or the position that is wrong.
func misnamed(h hingePoint) bool {
	y := h.Position.Y
	return h.side != "" && y.Known && math.Abs(y.V) > survey.Flush && (h.side == "left") != (y.V > 0)
}

// findHinges reads the names of the points once for all joints.
func (s *surveyor) findHinges() {
	for _, p := range s.Points {
		words := survey.Words(p.Name.V)
		if slices.ContainsFunc(words, func(w string) bool { return slices.Contains(hingeWords, w) }) {
			s.hinges = append(s.hinges, hingePoint{p, words, (labelled{p.ID, p.Name}).side()})
		}
	}
}

// namesake reports whether a point is called as one of the joint's hinges.
func (s *surveyor) namesake(j *Joint, p hingePoint) bool {
	if side := (labelled{j.ID, j.Name}).side(); side != "" && side != p.side {
		return false
	}
	words := p.words
	if otherEnd(words, survey.Words(j.Child.To.Label())) {
		return false
	}
	of := survey.Words(strings.Join([]string{j.Name.V, j.ID.V, j.Parent.To.Label(), j.Child.To.Label()}, " "))
	core := 0
	for _, w := range words {
		switch {
		case slices.Contains(of, w):
			core++
		case slices.Contains(hingeWords, w), slices.Contains(plainWords, w):
		default:
			return false
		}
	}
	joint := survey.Words(j.Name.V + " " + j.ID.V + " " + j.Child.To.Label())
	return core > 0 && slices.ContainsFunc(words, func(w string) bool {
		return slices.Contains(joint, w) && !slices.Contains(plainWords, w) && !slices.Contains(hingeWords[:4], w)
	})
}

// otherEnd reports whether a point is called front and a body rear, or the
// other way round.
func otherEnd(point, body []string) bool {
	for _, w := range [][2]string{{"front", "rear"}, {"rear", "front"}} {
		if slices.Contains(point, w[0]) && !slices.Contains(point, w[1]) && slices.Contains(body, w[1]) {
			return true
		}
	}
	return false
}

// pivotNear holds axis and pivot against the points of the joint's name.
func (s *surveyor) pivotNear(j *Joint, own []*Point) {
	own = slices.DeleteFunc(own, func(p *Point) bool { return !p.Position.Known() || s.doubtful[p] })
	if len(own) == 0 || !j.Pivot.Known() || !j.Axis.Known() {
		return
	}
	farthest := func(pivot, axis r3.Vec) float64 {
		most := 0.0
		for _, p := range own {
			d, err := survey.FromAxis(p.Position.Vec(), pivot, axis)
			if err != nil {
				return math.Inf(1)
			}
			most = max(most, d)
		}
		return most
	}
	pivot, axis := j.Pivot.Vec(), j.Axis.Vec()
	off := farthest(pivot, axis)
	if math.IsInf(off, 1) {
		return
	}
	names := pointIDs(own)
	near := survey.Beside
	if len(own) == 1 {
		near = survey.Beside / 4 // one alone may lie there by chance
	}
	alone := len(own) == 1 && j.Role.V == "boom" // which turns any way
	for _, dir := range [...]r3.Vec{survey.Across, survey.Up, survey.Along} {
		if lean, err := survey.Angle(axis, dir); err != nil || lean < survey.Askew {
			continue
		}
		if off > survey.Astray && !alone && farthest(pivot, dir) < near {
			j.AxisMeant, j.AxisPoints = value.Known(directions[dir]), value.Known(names)
			return
		}
	}
	j.PivotOff, j.PivotPoints = value.Known(off), value.Known(names)
	if slip, least, ok := survey.BestSlip(pivot, func(at r3.Vec) float64 { return farthest(at, axis) }); ok && least < survey.Beside {
		j.PivotMeant = value.Known(slip.Coordinate + ": " + s.length(slip.Value))
	} else if name, v, ok := s.digit(pivot, func(at r3.Vec) bool { return farthest(at, axis) < survey.Beside }); ok && len(own) > 1 {
		j.PivotMeant = value.Known(name + ": " + s.length(v))
	}
}

// digit is the coordinate of a place with one digit less that suits.
func (s *surveyor) digit(p r3.Vec, suits func(r3.Vec) bool) (name string, v float64, ok bool) {
	for _, name := range [...]string{"x", "y", "z"} {
		for _, v := range survey.Digits(survey.Of(p, name), s.inch()) {
			if suits(survey.With(p, name, v)) {
				return name, v, true
			}
		}
	}
	return "", 0, false
}

var directions = map[r3.Vec]string{survey.Across: "across the vehicle", survey.Up: "upright", survey.Along: "along the vehicle"}

func pointIDs(points []*Point) string {
	var ids []string
	for _, p := range points {
		ids = append(ids, p.ID.Or("?"))
	}
	if len(ids) > 4 {
		ids = append(ids[:4], "...")
	}
	if len(ids) == 1 {
		return "point " + ids[0]
	}
	return "points " + strings.Join(ids, ", ")
}

// rises works out how what the joint carries moves up and down at each end of
// its range.
func (s *surveyor) rises(j *Joint) {
	words := survey.Words(j.Name.V + " " + j.ID.V)
	j.RaisedAtRest = value.Known(false)
	j.Lifts = value.Known(slices.Contains(words, "lift") || slices.Contains(words, "hoist") || slices.Contains(words, "boom") && s.loads())
	m, err := j.Motion()
	child := j.Child.To
	if err != nil || child == nil || m.Kind != motion.Revolute {
		return
	}
	what, places := s.carried(j, child)
	if len(places) == 0 {
		return
	}
	rise := func(q float64) value.Number {
		sum := 0.0
		for _, p := range places {
			to, err := motion.Place([]motion.Joint{m}, []float64{q}, p)
			if err != nil {
				return value.Number{}
			}
			sum += to.Z - p.Z
		}
		return value.Known(kit.Settled(sum / float64(len(places))))
	}
	if j.RiseFrom, j.RiseTo = rise(m.From), rise(m.To); !j.RiseFrom.Known || !j.RiseTo.Known {
		j.RiseFrom, j.RiseTo = value.Number{}, value.Number{}
		return
	}
	j.Carries = value.Known(what)
	up := m.To
	if j.RiseFrom.V > j.RiseTo.V {
		up = -m.From
	}
	j.RaisedAtRest = value.Known(up < survey.Raised*(m.To-m.From))
}

// loads reports whether the vehicle is one whose boom lifts what it loads. An
// excavator digs below its wheels.
func (s *surveyor) loads() bool {
	words := survey.Words(s.Header.Title.V + " " + s.Kit.Kit.Vehicle.Description.V)
	has := func(list ...string) bool {
		return slices.ContainsFunc(words, func(w string) bool { return slices.Contains(list, w) })
	}
	return has("loader", "telehandler", "forklift", "handler") && !has("backhoe", "excavator")
}

// carried are the places on a body that lie well away from its hinge, near
// which some places of a body that rises go down: its
// points, else its stations. Where there are none it is a place a metre from
// the hinge towards the middle of the vehicle, over which a tipping body or a
// cab lies.
func (s *surveyor) carried(j *Joint, b *kit.Body) (what string, places []r3.Vec) {
	take := func(v kit.Vector, on *kit.Body, least float64) {
		if on != b || !v.Known() {
			return
		}
		if d, err := survey.FromAxis(v.Vec(), j.Pivot.Vec(), j.Axis.Vec()); err == nil && d > least {
			places = append(places, v.Vec())
		}
	}
	tips := j.Role.V == "tipping" || j.Role.V == "cab"
	least := survey.Arm
	if !tips {
		least = survey.Arm / 4
	}
	for _, p := range s.Points {
		take(p.Position, p.Body.To, least)
	}
	if len(places) > 0 {
		return "the points of the " + b.Label(), places
	}
	for _, t := range s.Stations {
		take(t.Position, t.Body.To, least)
	}
	if len(places) > 0 || !tips || !s.boxKnown {
		return "the stations of the " + b.Label(), places
	}
	in := s.inwards(j)
	if r3.Norm(in) < survey.Arm {
		return "", nil
	}
	return "those parts of the " + b.Label() + " that lie over the vehicle", []r3.Vec{r3.Add(j.Pivot.Vec(), r3.Scale(survey.Arm/r3.Norm(in), in))}
}

// inwards is the way from a hinge to the middle of the vehicle, level and at
// right angles to its axis.
func (s *surveyor) inwards(j *Joint) r3.Vec {
	in := r3.Sub(r3.Scale(0.5, r3.Add(s.box.Low, s.box.High)), j.Pivot.Vec())
	axis := r3.Unit(j.Axis.Vec())
	in = r3.Sub(in, r3.Scale(r3.Dot(in, axis), axis))
	in.Z = 0
	return in
}

// mirrored compares the motions of two mirror images.
func (s *surveyor) mirrored(left, right *Joint) {
	if left.Kind.V != right.Kind.V || left.Role.V != right.Role.V {
		return
	}
	for _, of := range [][2]*Joint{{left, right}, {right, left}} {
		j, twin := of[0], of[1]
		j.Twin, j.TwinSuspect = value.Known(twin.Joint.Label()), value.Known(false)
		s.twinMotion(j, twin)
		s.twinParent(j, twin)
		if j.Kind.V == "revolute" && j.Pivot.Known() && twin.Pivot.Known() {
			m := survey.Mirror(twin.Pivot.Vec())
			names := survey.Differs(j.Pivot.Vec(), m, survey.Flush)
			j.TwinPivot = value.Known(s.coordinates(m, names))
			j.TwinPivotOff = value.Known(kit.Settled(r3.Norm(r3.Sub(j.Pivot.Vec(), m))))
		}
	}
	suspect := right
	if s.doubt(left) > s.doubt(right)+1e-6 {
		suspect = left
	}
	suspect.TwinSuspect = value.Known(true)
}

func (s *surveyor) twinMotion(j, twin *Joint) {
	if !j.Axis.Known() || !twin.Axis.Known() {
		return
	}
	m := survey.Motion{Slides: j.Kind.V == "prismatic", Axis: twin.Axis.Vec(), From: twin.Range.From.V, To: twin.Range.To.V}.Mirrored(j.Axis.Vec())
	off, err := survey.Angle(m.Axis, j.Axis.Vec())
	if off > 1 { // so far off that the way round of the twin is the better guide
		m.Axis, m.From, m.To = twin.Axis.Vec(), twin.Range.From.V, twin.Range.To.V
		m = m.Mirrored(twin.Axis.Vec())
	}
	if err != nil {
		return
	}
	j.TwinAxisOff = value.Known(kit.Settled(off))
	j.TwinAxis = value.Known(fmt.Sprintf("[%s, %s, %s]", plain(m.Axis.X), plain(m.Axis.Y), plain(m.Axis.Z)))
	if !j.Range.From.Known || !j.Range.To.Known || !twin.Range.From.Known || !twin.Range.To.Known {
		return
	}
	dim := units.Angle
	if m.Slides {
		dim = units.Length
	} else if !s.locksUnlike(j, m) {
		j.TwinRangeOff = value.Known(kit.Settled(max(math.Abs(m.From-j.Range.From.V), math.Abs(m.To-j.Range.To.V))))
	}
	j.TwinRange = value.Known(fmt.Sprintf("%s to %s", units.Format(m.From, dim, s.Family()), units.Format(m.To, dim, s.Family())))
}

// mostLockApart is how much more the inner wheel turns than the outer one at the
// most, and leastLockApart at the least. Where cot(outer) - cot(inner) = track /
// wheelbase (Ackermann), it is 15 deg at an inner lock of 55 deg and a track of
// half the wheelbase.
const (
	mostLockApart  = 15 * math.Pi / 180
	leastLockApart = 0.5 * math.Pi / 180
)

// locksUnlike reports whether a steered wheel and its twin, whose motion m is
// mirrored to its side, turn to the left and to the right by unlike locks that
// go with each other: the inner wheel turns more than the outer one both ways.
// Stops are set by the steering gear as well, and need not be alike.
func (s *surveyor) locksUnlike(j *Joint, m survey.Motion) bool {
	side := (labelled{j.ID, j.Name}).side()
	if j.Role.V != "steering" || side == "" {
		return false
	}
	one, other := j.Range.To.V+m.From, m.To+j.Range.From.V
	if (side == "right") != (j.Axis.Z.V < 0) {
		one, other = -other, -one
	}
	return min(one, other) >= leastLockApart && max(one, other) <= mostLockApart
}

// twinParent compares the bodies on which two mirror images hang.
func (s *surveyor) twinParent(j, twin *Joint) {
	p, q := j.Parent.To, twin.Parent.To
	if p == nil || q == nil || s.image(q) == p || j.Reversed.Known || twin.Reversed.Known {
		return
	}
	j.TwinParent = value.Known(s.image(q).Label())
}

func plain(v float64) string { return units.Format(v+0, units.Plain, units.Metric) }

// doubt says how little a joint goes with what is round it: its axis with its
// role, its lock with the side (the inner wheel turns more), its pivot with
// the points of its name, and with the side that it is named for.
func (s *surveyor) doubt(j *Joint) float64 {
	d := 0.0
	if j.Role.V == "steering" && j.FromVertical.Known {
		d += j.FromVertical.V + s.wrongLock(j) + leansOut(j)
		if j.RestWithin.Known && !j.RestWithin.V {
			d += 3
		}
		if j.LeastSide.Known && (j.LeastSide.V < survey.LeastAt || j.MostSide.V > survey.MostAt) {
			d += 3
		}
	}
	if side := (labelled{j.ID, j.Name}).side(); side != "" && j.Pivot.Known() && (side == "left") != (j.Pivot.Y.V > 0) {
		d += 5
	}
	if p := j.Parent.To; p != nil && j.Role.V == "steering" && p.Sprung.V {
		d += 2
	}
	if j.PivotOff.Known {
		d += min(j.PivotOff.V, 5)
	}
	if j.PivotOutside.Known {
		d += min(j.PivotOutside.V, 5)
	}
	return d
}

// leansOut is 1 where the top of a kingpin leans away from the middle.
func leansOut(j *Joint) float64 {
	axis := j.Axis.Vec()
	if axis.Z < 0 {
		axis = r3.Scale(-1, axis)
	}
	if j.Pivot.Known() && axis.Y*j.Pivot.Y.V > 1e-9 {
		return 1
	}
	return 0
}

// wrongLock is 1 where the knuckle turns more outwards than inwards.
func (s *surveyor) wrongLock(j *Joint) float64 {
	side := (labelled{j.ID, j.Name}).side()
	in, out := j.Range.To.V, -j.Range.From.V
	if (side == "right") != (j.Axis.Z.V < 0) {
		in, out = out, in
	}
	if side != "" && in < out-1e-9 {
		return 1
	}
	return 0
}
