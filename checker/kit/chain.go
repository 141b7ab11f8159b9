package kit

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/quantities/motion"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// Graph is how a kit hangs together: its bodies on their joints, and its
// routes from stop to stop. It is not safe for use by several goroutines.
type Graph struct {
	Kit    *Kit
	Routes []*Route     // the bundles' in their order, then the lines' in theirs
	Length value.Number // of the vehicle

	hangs  map[*Body]*Joint // the joint by which each body hangs
	chains map[*Body]hung   // as far as they were asked for
}

// NewGraph makes the graph of a kit.
func NewGraph(k *Kit) *Graph {
	g := &Graph{Kit: k, Length: k.Vehicle.Outline.length(), hangs: map[*Body]*Joint{}, chains: map[*Body]hung{}}
	for _, j := range k.Joints {
		if j.Child.To != nil && g.hangs[j.Child.To] == nil {
			g.hangs[j.Child.To] = j
		}
	}
	g.Routes = g.routes()
	return g
}

// hung is how a body hangs: the root of its tree, and the joints from there
// out to it.
type hung struct {
	root   *Body
	joints []*Joint
}

// Hanging lists the joints from the root of the tree out to the body. The list
// is not to be changed.
func (g *Graph) Hanging(b *Body) (root *Body, joints []*Joint) {
	h, known := g.chains[b]
	if !known {
		h.root, h.joints = g.hang(b)
		g.chains[b] = h
	}
	return h.root, h.joints
}

// HangsBy is the joint by which a body hangs; nil where none has it as child.
func (g *Graph) HangsBy(b *Body) *Joint { return g.hangs[b] }

func (g *Graph) hang(b *Body) (root *Body, joints []*Joint) {
	seen := map[*Body]bool{}
	for b != nil && !seen[b] {
		seen[b] = true
		j := g.hangs[b]
		if j == nil || j.Parent.To == nil {
			break
		}
		joints = append(joints, j)
		b = j.Parent.To
	}
	slices.Reverse(joints)
	return b, joints
}

// Chain is the joints by which two bodies move against each other.
type Chain struct {
	A, B   []*Joint // outwards from the nearest common body
	Joined bool
	names  [2]string // of the bodies
}

// Between is the chain between two bodies.
func (g *Graph) Between(a, b *Body) Chain {
	rootA, ja := g.Hanging(a)
	rootB, jb := g.Hanging(b)
	common := 0
	for common < len(ja) && common < len(jb) && ja[common] == jb[common] {
		common++
	}
	return Chain{ja[common:], jb[common:], rootA == rootB, [2]string{a.Label(), b.Label()}}
}

// All lists the joints of both sides.
func (c Chain) All() []*Joint { return append(slices.Clone(c.A), c.B...) }

// Names are those of the joints, as many as a search takes: nobody reads more.
func (c Chain) Names() []string {
	var names []string
	for _, j := range c.All() {
		if len(names) < motion.MostJoints {
			names = append(names, j.Label())
		}
	}
	return names
}

// Unranged names the joints that state no range.
func (c Chain) Unranged() []string {
	var names []string
	for _, j := range c.All() {
		if len(names) < motion.MostJoints && (j.Range.From.Node == nil || j.Range.To.Node == nil) {
			names = append(names, j.Label())
		}
	}
	return names
}

// Motion makes the chain ready for package motion.
func (c Chain) Motion() value.Maybe[motion.Chain] {
	return value.Try(func(n *value.Need) (motion.Chain, error) {
		var m motion.Chain
		if !c.Joined {
			n.Stop(fmt.Sprintf("no joint joins %s and %s", c.names[0], c.names[1]))
		}
		for _, j := range c.A {
			m.A = append(m.A, j.motion(n))
		}
		for _, j := range c.B {
			m.B = append(m.B, j.motion(n))
		}
		return m, nil
	})
}

// Role is the strictest of the joints' roles: an articulation moves furthest,
// a sprung axle least.
func (c Chain) Role() value.Text {
	return value.Compute(func(n *value.Need) (string, error) {
		kind := ""
		for _, j := range c.All() {
			switch role := n.Text("the role of joint "+j.Label(), j.Role); {
			case role == "suspension" && kind == "":
				kind = "sprung"
			case role == "suspension":
			case role == "steering" && kind != "articulated":
				kind = "steered"
			case role == "steering":
			default:
				kind = "articulated"
			}
		}
		return kind, nil
	})
}

// Motion makes the joint ready for package motion.
func (j *Joint) Motion() (motion.Joint, error) {
	return value.Try(func(n *value.Need) (motion.Joint, error) { return j.motion(n), nil }).Result()
}

// Ready is Motion for a computation.
func (j *Joint) Ready(n *value.Need) motion.Joint { return j.motion(n) }

func (j *Joint) motion(n *value.Need) motion.Joint {
	name := "joint " + j.Label()
	m := motion.Joint{
		Name: j.Label(),
		From: n.Number("the range of "+name, j.Range.From),
		To:   n.Number("the range of "+name, j.Range.To),
		Axis: j.Axis.Of(n, "the axis of "+name),
	}
	switch n.Text("the kind of "+name, j.Kind) {
	case "revolute":
		m.Pivot = j.Pivot.Of(n, "the pivot of "+name)
	case "prismatic":
		m.Kind = motion.Prismatic
	}
	return m
}

// slideAtRest and turnAtRest are how far from rest a joint is still told to be
// at rest [m], [rad]:
// what a search leaves, and nobody can set. Common practice, no source.
const (
	slideAtRest = 0.05e-3
	turnAtRest  = 0.05 * math.Pi / 180
)

// Standing tells how joints stand: "left kingpin at 38 deg".
func Standing(joints []*Joint, q []float64, family units.Family) string {
	parts := make([]string, len(joints))
	for i, j := range joints {
		dim, rest, at := units.Angle, turnAtRest, q[i]
		if j.Kind.V == "prismatic" {
			dim, rest = units.Length, slideAtRest
		}
		if math.Abs(at) < rest {
			at = 0
		}
		parts[i] = fmt.Sprintf("%s at %s", j.Label(), units.Format(at, dim, family))
	}
	return strings.Join(parts, ", ")
}

// Label names the joint.
func (j *Joint) Label() string { return j.Name.Or(j.ID.Or("without a name")) }

// Label names the body.
func (b *Body) Label() string {
	if b == nil {
		return "a body that is not known"
	}
	return b.Name.Or(b.ID.Or("a body without a name"))
}

// Of takes the vector for a computation.
func (v Vector) Of(n *value.Need, what string) r3.Vec {
	return r3.Vec{X: n.Number(what, v.X), Y: n.Number(what, v.Y), Z: n.Number(what, v.Z)}
}

// Of takes what the reference leads to for a computation; what names the
// reference where it leads nowhere.
func (r *Ref[T]) Of(n *value.Need, what string) *T {
	if r.To == nil {
		n.Stop(r.Reason(what))
	}
	return r.To
}
