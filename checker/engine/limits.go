package engine

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	celast "github.com/google/cel-go/common/ast"
	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"
	"github.com/google/cel-go/common/types/traits"

	"kitgauge/checker/source"
	"kitgauge/checker/spelling"
	"kitgauge/checker/units"
)

// Limit is a named number that rules compare with.
type Limit struct {
	Name  string `key:"*"` // "sag"; "least_slack.steered" for one of a group
	SI    float64
	Dim   units.Dimension
	Text  string // as written: "30 mm"
	Basis string `key:"basis" need:"write basis: and its text"`
	About string `key:"about" need:"write about: and its text"`
	Node  *source.Node

	least, most *float64 // what it may be set to, in SI; nil where the pack does not say
}

// limitGroup is a group of limits, one of which is chosen by its key:
// limit.least_slack[span.kind].
type limitGroup struct {
	name string
	node *source.Node
	keys []string
	of   []int // the limit of each key, by its place in the pack
}

// limits reads what the limits of a pack are, and then the groups, which may
// take their values from the other limits.
func (r *packReader) limits() {
	list := r.pack.Limits
	r.pack.Limits = nil
	for _, l := range list[:r.most(r.root.Get("limits"), len(list), MostLimits)] {
		is := l.Node.Get("is")
		switch {
		case is == nil:
			r.Fail(l.Node, l.Name+" has no is", "write is: and a number with its unit")
			continue
		case is.Kind != source.Map:
			r.limit(*l, l.Node, is, r.text(l.Node, "is"))
			continue
		}
		g := &limitGroup{name: l.Name, node: l.Node}
		r.pack.groups = append(r.pack.groups, g)
		for k, member := range is.Members[:r.most(is, len(is.Members), MostLimits)] {
			if text := r.text(is, member.Key); !nameForm.MatchString(text) {
				one := *l
				one.Name, one.Node = g.name+"."+member.Key, is.Items[k]
				r.limit(one, l.Node, is.Items[k], text)
			}
		}
	}
	for _, g := range r.pack.groups {
		r.group(g)
	}
}

// limit reads one limit, whose least and most stand in group.
func (r *packReader) limit(l Limit, group, is *source.Node, text string) {
	if text == "" {
		return
	}
	l.Text = text
	var err error
	if l.SI, l.Dim, err = measure(text); err != nil {
		r.Fail(is, err.Error(), "write a number with its unit, as in 30 mm, or a bare number for a ratio")
		return
	}
	l.least, l.most = r.bound(&l, group, "least"), r.bound(&l, group, "most")
	if own := l.Range(); !own.Holds(l.SI) {
		r.Fail(is, fmt.Sprintf("%s is outside of what least and most allow", text), "write "+own.String()+", or correct least and most")
		return
	}
	r.pack.Limits = append(r.pack.Limits, &l)
}

// bound reads an end of what a limit may be set to; nil where none is stated.
func (r *packReader) bound(l *Limit, group *source.Node, key string) *float64 {
	text := r.text(group, key)
	if text == "" {
		return nil
	}
	si, dim, err := measure(text)
	switch {
	case err != nil:
		r.Fail(group.Get(key), err.Error(), "write a number with its unit, as in 30 mm, or a bare number for a ratio")
		return nil
	case dim != l.Dim && si != 0:
		r.Fail(group.Get(key), fmt.Sprintf("%s is %s, and the limit is %s", key, units.Article(dim.String()), units.Article(l.Dim.String())), "give both the same dimension")
		return nil
	}
	return &si
}

// group finds the limits of a group.
func (r *packReader) group(g *limitGroup) {
	is := g.node.Get("is")
	for i, m := range is.Members {
		name := is.Items[i].Scalar
		other := nameForm.MatchString(name)
		if !other {
			name = g.name + "." + m.Key
		}
		at := slices.IndexFunc(r.pack.Limits, func(l *Limit) bool { return l.Name == name })
		switch {
		case at < 0 && other:
			r.Fail(is.Items[i], fmt.Sprintf("there is no limit %q in this pack", name)+spelling.Hint(name, r.names()), "write a number with its unit, or the name of another limit")
		case at < 0: // reported where it was read
		case len(g.of) > 0 && r.pack.Limits[g.of[0]].Dim != r.pack.Limits[at].Dim:
			r.Fail(is.Items[i], fmt.Sprintf("this is %s, and %s is %s", units.Article(r.pack.Limits[at].Dim.String()), g.keys[0], units.Article(r.pack.Limits[g.of[0]].Dim.String())), "give all values of a group one dimension")
		default:
			g.keys, g.of = append(g.keys, m.Key), append(g.of, at)
		}
	}
	if len(is.Members) == 0 {
		r.Fail(is, "this group of limits is empty", "write a value for each key, as in steered: 30 mm")
	}
}

// OtherNames are the entries of groups that take their value from another
// limit of the pack: "least_slack.articulated" is "articulated_slack".
func (p *Pack) OtherNames() []Name {
	var list []Name
	for _, g := range p.groups {
		for k, key := range g.keys {
			if l := p.Limits[g.of[k]]; l.Name != g.name+"."+key {
				list = append(list, Name{g.name + "." + key, l.Name})
			}
		}
	}
	return list
}

func (r *packReader) names() []string {
	var names []string
	for _, l := range r.pack.Limits {
		names = append(names, l.Name)
	}
	return names
}

// measure reads a value whose dimension is told by its own unit.
func measure(text string) (float64, units.Dimension, error) {
	symbol := strings.TrimLeft(text, "+-0123456789./ ")
	dim := units.Plain
	if symbol != "" {
		u, ok := units.Lookup(symbol)
		if !ok {
			return 0, dim, fmt.Errorf("%q has no unit that is known", text)
		}
		dim = u.Dim
	}
	si, err := units.Parse(text, dim)
	return si, dim, err
}

// UsedLimits lists the limits of the pack that the rule's expressions name.
func (r *Rule) UsedLimits() []*Limit {
	used := map[int]bool{}
	for i, l := range r.pack.Limits {
		used[i] = r.uses("limit." + l.Name)
	}
	for _, g := range r.pack.groups {
		for k, i := range g.of {
			used[i] = used[i] || r.uses("limit."+g.name+"."+g.keys[k]) || r.choosesFrom(g)
		}
	}
	var list []*Limit
	for i, l := range r.pack.Limits {
		if used[i] {
			list = append(list, l)
		}
	}
	return list
}

// choosesFrom reports whether an expression names the group as a whole.
func (r *Rule) choosesFrom(g *limitGroup) bool {
	return slices.ContainsFunc(r.expressions(), func(e *expression) bool {
		return slices.Contains(words.FindAllString(e.text, -1), "limit."+g.name)
	})
}

const limitType = "limits"

// with returns the types together with the limits of a pack.
func (v *Types) with(p *Pack) *Types {
	o := &object{name: limitType, cel: types.NewObjectType(limitType), fields: map[string]*field{}}
	add := func(name string, f *field, get func(v *limitValues) any) {
		o.keys = append(o.keys, name)
		f.key, f.hasDim = name, true
		f.cel.IsSet = func(any) bool { return true }
		f.cel.GetFrom = func(target any) (any, error) { return get(target.(*limitValues)), nil }
		o.fields[name] = f
	}
	for i, l := range p.Limits {
		if !strings.Contains(l.Name, ".") {
			add(l.Name, &field{dim: l.Dim, cel: &types.FieldType{Type: types.DoubleType}}, func(v *limitValues) any { return v.si[i] })
		}
	}
	for i, g := range p.groups {
		if len(g.of) > 0 {
			f := &field{dim: p.Limits[g.of[0]].Dim, group: g, cel: &types.FieldType{Type: types.NewMapType(types.StringType, types.DoubleType)}}
			add(g.name, f, func(v *limitValues) any { return v.groups[i] })
		}
	}
	with := *v
	with.objects = maps.Clone(v.objects)
	with.objects[limitType] = o
	return &with
}

// limitValues are the limits' values in force, in the order of the pack.
type limitValues struct {
	si     []float64
	groups []*limitMap
}

// inForce works out the limits, with what the options change.
func (p *Pack) inForce(o Options) *limitValues {
	v := &limitValues{si: make([]float64, len(p.Limits))}
	for i, l := range p.Limits {
		v.si[i] = l.SI
		if si, changed := o.Limits[p.Name+"/"+l.Name]; changed {
			v.si[i] = si
		}
	}
	for _, g := range p.groups {
		values := map[string]float64{}
		for k, key := range g.keys {
			values[key] = v.si[g.of[k]]
		}
		v.groups = append(v.groups, &limitMap{types.NewDynamicMap(types.DefaultTypeAdapter, values), g})
	}
	return v
}

// limitMap is a group of limits as a CEL value: a map that tells its keys
// where one is not there, and lists them in the order of the pack.
type limitMap struct {
	traits.Mapper
	group *limitGroup
}

// Find implements traits.Mapper.
func (m *limitMap) Find(key ref.Val) (ref.Val, bool) {
	if v, found := m.Mapper.Find(key); found {
		return v, true
	}
	return types.WrapErr(&Missing{why: m.group.lacks(fmt.Sprint(key.Value()))}), false
}

// Get implements traits.Indexer.
func (m *limitMap) Get(key ref.Val) ref.Val {
	v, _ := m.Find(key)
	return v
}

// Iterator implements traits.Iterable.
func (m *limitMap) Iterator() traits.Iterator {
	return types.NewStringList(types.DefaultTypeAdapter, m.group.keys).Iterator()
}

func (m *limitMap) show(dim dimension, family units.Family) string {
	parts := make([]string, len(m.group.keys))
	for i, key := range m.group.keys {
		parts[i] = key + " " + show(m.Get(types.String(key)), dim, family)
	}
	return strings.Join(parts, ", ")
}

func (g *limitGroup) lacks(key string) string {
	return fmt.Sprintf("limit.%s has no value for %q; it has one for %s", g.name, key, strings.Join(g.keys, ", "))
}

// group is the group of limits that an expression reads: limit.least_slack.
func (c *dimensionChecker) group(e celast.Expr) *limitGroup {
	if e.Kind() != celast.SelectKind {
		return nil
	}
	if f := c.field(e); f != nil {
		return f.group
	}
	return nil
}

// key checks a key that stands in the expression.
func (c *dimensionChecker) key(e celast.Expr, g *limitGroup, key string) {
	if !slices.Contains(g.keys, key) {
		c.report(e, fmt.Sprintf("limit.%s has no value for %q", g.name, key)+spelling.Hint(key, g.keys), "it has one for "+strings.Join(g.keys, ", "))
	}
}

// unusedLimits remarks on limits that no rule uses.
func (p *Pack) unusedLimits() []*source.Problem {
	var out []*source.Problem
	used := map[*Limit]bool{}
	chosen := map[*limitGroup]bool{}
	for _, r := range p.Rules {
		for _, l := range r.UsedLimits() {
			used[l] = true
		}
		for _, g := range p.groups {
			chosen[g] = chosen[g] || r.uses("limit."+g.name)
		}
	}
	remark := func(n *source.Node, name string) {
		out = append(out, &source.Problem{Pos: n.KeyPos(), Node: n, Message: "no rule uses limit." + name, Remedy: "use it or take it out"})
	}
	for _, l := range p.Limits {
		if !used[l] {
			remark(l.Node, l.Name)
		}
	}
	for _, g := range p.groups {
		if !chosen[g] {
			remark(g.node, g.name)
		}
	}
	return out
}
