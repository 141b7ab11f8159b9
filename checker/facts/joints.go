package facts

import (
	"fmt"
	"slices"
	"strings"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/motion"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// joints makes the tree of bodies.
func (f *Kit) joints() {
	f.bodies = map[*kit.Body]*kit.Joint{}
	f.chains = map[*kit.Body]hung{}
	for _, j := range f.Kit.Joints {
		joint := &Joint{Joint: j, Crossings: value.Known[int64](0)}
		r := j.Range
		joint.HasRange = value.Known(r.From.Node != nil && r.To.Node != nil)
		joint.Fixed = value.Known(r.From.Known && r.To.Known && r.From.V == r.To.V)
		f.Joints = append(f.Joints, joint)
		if j.Child.To != nil && f.bodies[j.Child.To] == nil {
			f.bodies[j.Child.To] = j
		}
	}
}

// hung is how a body hangs: the root of its tree, and the joints from there
// out to it.
type hung struct {
	root   *kit.Body
	joints []*kit.Joint
}

// hanging lists the joints from the root of the tree out to the body. The list
// is not to be changed.
func (f *Kit) hanging(b *kit.Body) (root *kit.Body, joints []*kit.Joint) {
	h, known := f.chains[b]
	if !known {
		h.root, h.joints = f.hang(b)
		f.chains[b] = h
	}
	return h.root, h.joints
}

func (f *Kit) hang(b *kit.Body) (root *kit.Body, joints []*kit.Joint) {
	seen := map[*kit.Body]bool{}
	for b != nil && !seen[b] {
		seen[b] = true
		j := f.bodies[b]
		if j == nil || j.Parent.To == nil {
			break
		}
		joints = append(joints, j)
		b = j.Parent.To
	}
	slices.Reverse(joints)
	return b, joints
}

// between is the joints that two bodies move on against each other.
type between struct {
	a, b   []*kit.Joint // outwards from the nearest common body
	joined bool
}

func (f *Kit) between(a, b *kit.Body) between {
	rootA, ja := f.hanging(a)
	rootB, jb := f.hanging(b)
	common := 0
	for common < len(ja) && common < len(jb) && ja[common] == jb[common] {
		common++
	}
	return between{ja[common:], jb[common:], rootA == rootB}
}

// withinLimit are as many of the joints as a search takes: nobody reads more names.
func (b between) withinLimit() []*kit.Joint {
	all := b.all()
	return all[:min(len(all), motion.MostJoints)]
}

func (b between) all() []*kit.Joint { return append(slices.Clone(b.a), b.b...) }

// unranged names the joints that state no range.
func (b between) unranged() []string {
	var names []string
	for _, j := range b.all() {
		if len(names) < motion.MostJoints && (j.Range.From.Node == nil || j.Range.To.Node == nil) {
			names = append(names, jointName(j))
		}
	}
	return names
}

// chain makes the joints ready for package motion.
func (b between) chain() (motion.Chain, string) {
	var c motion.Chain
	for _, side := range []struct {
		from []*kit.Joint
		to   *[]motion.Joint
	}{{b.a, &c.A}, {b.b, &c.B}} {
		for _, j := range side.from {
			m, why := motionJoint(j)
			if why != "" {
				return c, why
			}
			*side.to = append(*side.to, m)
		}
	}
	return c, ""
}

func motionJoint(j *kit.Joint) (motion.Joint, string) {
	var need value.Need
	name := "joint " + jointName(j)
	out := motion.Joint{
		From: need.Number("the range of "+name, j.Range.From),
		To:   need.Number("the range of "+name, j.Range.To),
	}
	if !j.Axis.Known() {
		need.Lack(j.Axis.X.Reason("the axis of " + name))
	}
	out.Axis = j.Axis.Vec()
	switch need.Text("the kind of "+name, j.Kind) {
	case "revolute":
		if !j.Pivot.Known() {
			need.Lack(j.Pivot.X.Reason("the pivot of " + name))
		}
		out.Pivot = j.Pivot.Vec()
	case "prismatic":
		out.Kind = motion.Prismatic
	}
	return out, need.Why()
}

// role is the strictest of the joints' roles: an articulation moves furthest,
// a sprung axle least.
func (b between) role() value.Text {
	kind := ""
	for _, j := range b.all() {
		switch {
		case !j.Role.Known:
			return value.Unknown[string](j.Role.Reason("the role of joint " + jointName(j)))
		case j.Role.V == "suspension":
			if kind == "" {
				kind = "sprung"
			}
		case j.Role.V == "steering":
			if kind != "articulated" {
				kind = "steered"
			}
		default:
			kind = "articulated"
		}
	}
	return value.Known(kind)
}

// position tells where the joints stand at an extreme: "left kingpin at 38 deg".
func (b between) position(e motion.Extreme, family units.Family) value.Text {
	var parts []string
	for i, j := range b.all() {
		q := append(slices.Clone(e.A), e.B...)[i]
		dim := units.Angle
		if j.Kind.V == "prismatic" {
			dim = units.Length
		}
		parts = append(parts, fmt.Sprintf("%s at %s", jointName(j), units.Format(q, dim, family)))
	}
	return value.Known(strings.Join(parts, ", "))
}
