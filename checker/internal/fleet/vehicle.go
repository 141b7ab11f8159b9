package fleet

import (
	"math/rand/v2"
	"slices"
	"strconv"

	"gonum.org/v1/gonum/spatial/r3"
)

// body is a rigid part of the vehicle; joint is what it hangs by, nil for
// the chassis.
type body struct {
	id, name string
	sprung   bool
	joint    *joint
	used     bool // something of the kit is on it, or beyond it
}

// joint joins a child body to its parent. The range is in mm for a slide, in
// degrees for a pivot.
type joint struct {
	id, name, role string
	slide          bool
	parent, child  *body
	pivot, axis    r3.Vec
	from, to       float64
}

// stop is a place on a route.
type stop struct {
	body *body
	at   r3.Vec
}

// site is a place on one side of the vehicle with grease points that one
// bundle serves.
type site struct {
	code, place string
	side        float64 // +1 left, -1 right
	set         int     // 1, or more where a large kit has the site again
	parts       []string
	way         []stop
	toward      r3.Vec  // the points lie this way from the last stop
	widest      float64 // most distance of a point from the centre line
	points      int
}

func (s *site) sideName() string { return sideName(s.side) }

func sideName(side float64) string {
	if side > 0 {
		return "left"
	}
	return "right"
}

// zone is a place to keep away from.
type zone struct {
	id, name, kind string
	body           *body
	from, to       r3.Vec
	radius         float64 // 0 for a box
	celsius        int     // 0 where it is not hot
	shielded       bool
}

// vehicle is everything that the kit is fitted to.
type vehicle struct {
	grid
	rand        *rand.Rand
	description string
	datum       string
	chassis     *body
	bodies      []*body
	joints      []*joint
	pairs       [][2]*site // left and right
	zones       []*zone
	pump        r3.Vec
	pumpSide    float64
}

func newVehicle(g grid, r *rand.Rand) *vehicle {
	v := &vehicle{grid: g, rand: r, pumpSide: 1}
	if r.IntN(3) == 0 {
		v.pumpSide = -1
	}
	v.chassis = v.body("chassis", "chassis", true)
	switch r.IntN(3) {
	case 0:
		v.truck()
	case 1:
		v.loader()
	case 2:
		v.trailer()
	}
	x := v.pump.X + 100
	v.zones = append(v.zones, &zone{
		id: "bracket", name: "edge of the pump bracket", kind: "edge", body: v.chassis, radius: v.step(),
		from: v.at(x, v.pumpSide*720, 1190), to: v.at(x, v.pumpSide*560, 1190),
	})
	return v
}

func (v *vehicle) body(id, name string, sprung bool) *body {
	b := &body{id: id, name: name, sprung: sprung}
	v.bodies = append(v.bodies, b)
	return b
}

// pivot and slide hang a body on its parent.
func (v *vehicle) pivot(parent, child *body, id, role string, at, axis r3.Vec, from, to int) {
	v.join(&joint{
		id: id, role: role, parent: parent, child: child, pivot: at, axis: axis,
		from: float64(from), to: float64(to),
	})
}

func (v *vehicle) slide(parent, child *body, id, role string, axis r3.Vec, from, to float64) {
	v.join(&joint{id: id, role: role, slide: true, parent: parent, child: child, axis: axis, from: v.snap(from), to: v.snap(to)})
}

func (v *vehicle) join(j *joint) {
	j.name = j.child.name + " " + jointNouns[j.role]
	if j.role == "suspension" && !j.slide {
		j.name = j.child.name + " swing"
	}
	j.child.joint = j
	v.joints = append(v.joints, j)
}

var jointNouns = map[string]string{
	"steering": "kingpin", "suspension": "springs", "articulation": "articulation",
	"tipping": "hinge", "drawbar": "hinge", "boom": "pivot", "slide": "slide",
}

// The directions of the axes: x forward, y left, z up (ISO 8855). Turning
// about backward of y lifts what lies in front of the pivot.
var (
	forward  = r3.Vec{X: 1}
	leftward = r3.Vec{Y: 1}
	lifting  = r3.Vec{Y: -1}
	upward   = r3.Vec{Z: 1}
)

// on is a stop on a body, to the side that the sign of side tells.
func (v *vehicle) on(b *body, x, y, z, side float64) stop {
	return stop{b, v.at(x, side*y, z)}
}

// pair adds a site on the left and its mirror image on the right.
func (v *vehicle) pair(code, place string, parts []string, toward r3.Vec, widest float64, way func(side float64) []stop) {
	var both [2]*site
	for i, side := range []float64{1, -1} {
		both[i] = &site{
			code: code + []string{"L", "R"}[i], place: place, side: side, set: 1, parts: parts,
			way: way(side), toward: toward, widest: widest,
		}
	}
	v.pairs = append(v.pairs, both)
}

// numbered names one of several.
func numbered(name string, i, of int) string {
	if of == 1 {
		return name
	}
	return name + " " + strconv.Itoa(i)
}

// mostPoints is how many lines one bundle takes.
const mostPoints = 10

// allot shares the points among the sites: pairs of sites in random order,
// the same number left and right where it goes.
func (v *vehicle) allot(points int) []*site {
	var used []*site
	left := points
	size := 2 + v.rand.IntN(2+points/20)
	for _, i := range v.rand.Perm(len(v.pairs)) {
		n := min(size+v.rand.IntN(4), mostPoints)
		for _, s := range v.pairs[i] {
			s.points = min(n, left)
			left -= s.points
			if s.points > 0 {
				used = append(used, s)
			}
		}
	}
	for _, s := range used {
		more := min(mostPoints-s.points, left)
		s.points += more
		left -= more
	}
	for i := 0; left > 0; i++ { // larger than any vehicle: the sites once more
		again := *used[i]
		again.set++
		again.points = min(mostPoints, left)
		left -= again.points
		used = append(used, &again)
	}
	slices.SortStableFunc(used, func(a, b *site) int { return v.order(a) - v.order(b) })
	v.prune(used)
	return used
}

// order is that in which the vehicle lists its sites, first sets first.
func (v *vehicle) order(s *site) int {
	i := slices.IndexFunc(v.pairs, func(p [2]*site) bool { return p[0].place == s.place })
	n := 2*i + s.set*2*len(v.pairs)
	if s.side < 0 {
		n++
	}
	return n
}

// prune drops bodies, joints and zones that no site has to do with. Axles and
// their knuckles stay: the vehicle stands on them, with grease or without.
func (v *vehicle) prune(used []*site) {
	v.chassis.used = true
	for _, s := range used {
		for _, p := range s.way {
			for b := p.body; ; b = b.joint.parent {
				b.used = true
				if b.joint == nil {
					break
				}
			}
		}
	}
	for _, j := range v.joints {
		if j.role == "suspension" || j.role == "steering" {
			j.child.used = true
		}
	}
	v.bodies = slices.DeleteFunc(v.bodies, func(b *body) bool { return !b.used })
	v.joints = slices.DeleteFunc(v.joints, func(j *joint) bool { return !j.child.used })
	v.zones = slices.DeleteFunc(v.zones, func(z *zone) bool { return !z.body.used })
}
