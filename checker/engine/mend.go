package engine

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"
	"github.com/google/cel-go/common/types/traits"

	"kitgauge/checker/edit"
	"kitgauge/checker/finding"
	"kitgauge/checker/source"
	"kitgauge/checker/spelling"
	"kitgauge/checker/units"
)

// change is what a rule writes into the kit file where it does not hold, as
// data: mend where that follows from the rest of the file, choice where
// somebody has to decide.
type change struct {
	do    edit.Verb
	path  []string // from the thing that the rule looks at, or from the kit
	ofKit bool
	of    *expression  // the things from which the path goes; nil where it does from that of the rule
	as    string       // the kind of thing that is meant in the file, "" where it is what the rule looks at
	node  *source.Node // where the path stands in the pack
	when  *expression  // nil where it is always made
	value part         // what is set, or inserted; one without an expression where members are
	items []namedPart  // the members of the group that is inserted
}

type namedPart struct {
	key  string
	part part
}

// verbs are the members by which a change says what it does.
var verbs = []edit.Verb{edit.Set, edit.Insert, edit.Remove}

// itself is the path of what the rule looks at, as it is written in the file: of
// an end of a line, the name of its fitting.
const itself = "it"

// MostThings is how many things one change may be made at.
const MostThings = 100

// MostChanges is how many changes a rule may state; the schema says the same.
const MostChanges = 8

// changes reads mend or choice.
func (r *packReader) changes(n *source.Node, key string, rule *Rule) []*change {
	m := n.Get(key)
	switch {
	case m == nil:
		return nil
	case m.Kind != source.List:
		r.Fail(m, fmt.Sprintf("%s is %s; a list of changes is needed", key, m.Kind), "write each after a dash, as in {set: cut_length, to: needed}")
		return nil
	}
	var list []*change
	for _, item := range m.Items[:r.most(m, len(m.Items), MostChanges)] {
		if c := r.change(item, rule); c != nil {
			list = append(list, c)
		}
	}
	return list
}

func (r *packReader) change(n *source.Node, rule *Rule) *change {
	c := &change{when: r.expression(n, "when", wantBool, rule)}
	if n.Get("of") != nil {
		c.of = r.expression(n, "of", wantThings, rule)
	}
	for _, verb := range verbs {
		if m := n.Get(string(verb)); m != nil {
			if c.node != nil {
				r.Fail(m, "a change does one thing", "write two changes")
				return nil
			}
			c.do, c.node = verb, m
		}
	}
	if c.node == nil {
		r.Fail(n, "the change says neither set, insert nor remove", "write {set: cut_length, to: needed}")
		return nil
	}
	c.path = strings.Split(strings.TrimSpace(c.node.Scalar), ".")
	c.ofKit = c.path[0] == "kit"
	switch {
	case c.of != nil:
		c.ofKit = false
	case c.ofKit:
		c.path = c.path[1:]
	case len(c.path) == 1 && c.path[0] == itself && c.do != edit.Insert:
		c.path = nil
	case r.isAnother(c.path, rule.Of):
		c.as, c.path = c.path[0], c.path[1:]
	}
	to := n.Get("to")
	switch {
	case c.do == edit.Remove:
	case to == nil:
		r.Fail(n, "the change does not say what is written", "write to: and an expression")
		return nil
	case to.Kind == source.Map:
		for _, m := range to.Members {
			if e := r.expression(to, m.Key, wantAny, rule); e != nil {
				c.items = append(c.items, namedPart{m.Key, filled(e)})
			}
		}
	default:
		if e := r.expression(n, "to", wantAny, rule); e != nil {
			c.value = filled(e)
		}
	}
	return c
}

// isAnother reports whether a path begins with another kind of thing than the
// rule looks at, and not with a member of that.
func (r *packReader) isAnother(path []string, of string) bool {
	kind, known := r.types.kinds[of]
	_, other := r.types.kinds[path[0]]
	return known && other && len(path) > 1 && r.types.byType[kind.Type].fields[path[0]] == nil
}

// expressions are those of the change.
func (c *change) expressions() []*expression {
	var list []*expression
	for _, e := range []*expression{c.when, c.of, c.value.expr} {
		if e != nil {
			list = append(list, e)
		}
	}
	for _, m := range c.items {
		list = append(list, m.part.expr)
	}
	return list
}

// check says what does not fit: a path that leads nowhere, or a value that is
// of another kind or dimension than what stands there.
func (c *change) check(r *Rule) []*source.Problem {
	v := r.pack.vocabulary
	if len(c.path) == 0 && !c.ofKit {
		if e := c.value.expr; e != nil && e.gives != nil && e.gives.Kind() != types.StringKind {
			return []*source.Problem{e.problemAt(1, 0, fmt.Sprintf("it takes a name, and this is %s", e.typeName(e.gives.String())), "write the number of a part")}
		}
		return nil
	}
	f, problem := c.follow(v, c.from(r))
	switch {
	case problem != nil:
		return []*source.Problem{problem}
	case c.do == edit.Remove:
		return nil
	case c.do == edit.Insert && f.cel.Type.Kind() != types.ListKind:
		return []*source.Problem{c.problem(f.key+" is no list", "set it, or insert into a list")}
	case len(c.items) == 0:
		return c.fits(c.value, f, c.do == edit.Insert)
	}
	var out []*source.Problem
	for _, m := range c.items {
		member, problem := c.member(v, f.of, m.key)
		if problem != nil {
			out = append(out, problem)
			continue
		}
		out = append(out, c.fits(m.part, member, false)...)
	}
	return out
}

// from is what the path starts at: the kit, the thing that the rule looks at,
// or what that is in the file, as a span is a station or a line.
func (c *change) from(r *Rule) *object {
	v := r.pack.vocabulary
	of := v.byType[v.kinds[r.Of].Type]
	switch {
	case c.of != nil && c.of.gives != nil:
		return v.thing(c.of.gives)
	case c.ofKit:
		return v.byType[v.kinds["kit"].Type]
	}
	if c.as != "" {
		return v.byType[v.kinds[c.as].Type]
	}
	return of
}

func (c *change) problem(message, remedy string) *source.Problem {
	return &source.Problem{Pos: c.node.Pos(), Node: c.node, Message: message, Remedy: remedy}
}

// follow finds the member to which the path leads.
func (c *change) follow(v *Types, o *object) (*field, *source.Problem) {
	var f *field
	for _, key := range c.path {
		var problem *source.Problem
		if f, problem = c.member(v, o, key); problem != nil {
			return nil, problem
		}
		o = f.of
	}
	if f == nil {
		return nil, c.problem("the change names no member", "name one, as in {set: cut_length, to: needed}")
	}
	return f, nil
}

func (c *change) member(v *Types, o *object, key string) (*field, *source.Problem) {
	if o == nil {
		return nil, c.problem(fmt.Sprintf("there is no member %q: what stands before it has none", key), "take it out")
	}
	if f := o.fields[key]; f != nil {
		return f, nil
	}
	return nil, c.problem(fmt.Sprintf("%s has no member %q", v.called(o), key)+spelling.Hint(key, o.keys), "its members are "+strings.Join(o.keys, ", "))
}

// fits says where a value is of another kind or dimension than its member; a
// list of values is inserted one by one.
func (c *change) fits(p part, f *field, item bool) []*source.Problem {
	if p.expr == nil || p.expr.gives == nil {
		return nil // its own fault is told
	}
	want, gives := f.cel.Type, p.expr.gives
	if item {
		want = want.Parameters()[0]
		if gives.Kind() == types.ListKind {
			gives = gives.Parameters()[0]
		}
	}
	if want.Kind() == types.StructKind { // a reference, by name
		want = types.StringType
	}
	number := want.Kind() == types.DoubleKind && gives.Kind() == types.IntKind
	if !number && want.Kind() != gives.Kind() {
		return []*source.Problem{p.expr.problemAt(1, 0, fmt.Sprintf("%s takes %s, and this is %s", f.key, p.expr.typeName(want.String()), p.expr.typeName(gives.String())), "write what the kit file has there")}
	}
	if is := (dimension{Dimension: f.dim, known: true}); f.hasDim && p.expr.dim.known && !p.expr.dim.fits(is) {
		return []*source.Problem{p.expr.problemAt(1, 0, fmt.Sprintf("%s takes %s, and this is %s", f.key, units.Article(is.String()), units.Article(p.expr.dim.String())), "write what the kit file has there")}
	}
	return nil
}

// Changes tells what the rule writes where it does not hold, in the words of
// the pack: what follows from the rest of the file, and what somebody decides.
func (r *Rule) Changes() (mend, choice []string) {
	for _, c := range r.mend {
		mend = append(mend, c.String())
	}
	for _, c := range r.choice {
		choice = append(choice, c.String())
	}
	return mend, choice
}

// String is the change as the pack states it.
func (c *change) String() string {
	s := string(c.do) + " " + c.node.Scalar
	if to := c.node.Parent().Get("to"); to != nil && to.Kind <= source.Text {
		s += " to " + to.Scalar
	} else if to != nil {
		var members []string
		for _, m := range to.Members {
			members = append(members, m.Key+": "+to.Get(m.Key).Scalar)
		}
		s += " to {" + strings.Join(members, ", ") + "}"
	}
	if c.of != nil {
		s += " of " + c.of.text
	}
	if c.when != nil {
		s += " when " + c.when.text
	}
	return s
}

// mends adds to a finding the edits that remove it: those that somebody has to
// decide on where none follows from the file; none where one of them cannot be
// worked out, or would be made in another file.
func (r *Rule) mends(f *finding.Finding, s *scope, it Subject) {
	for i, changes := range [][]*change{r.mend, r.choice} {
		list, ok := edits(changes, s, it)
		if !ok {
			return
		}
		if len(list) > 0 {
			f.Edits, f.Choice = list, i == 1
			return
		}
	}
}

// edits are those of changes whose condition holds; false where one of them
// cannot be worked out.
func edits(changes []*change, s *scope, it Subject) (list []edit.Change, ok bool) {
	for _, c := range changes {
		if c.when != nil {
			if holds, err := c.when.holds(s); err != nil || !holds {
				continue
			}
		}
		more, ok := c.places(s, it.Source(), s.world.Kit.Source())
		if !ok {
			return nil, false
		}
		list = append(list, more...)
	}
	return list, true
}

// places are the edits at all things that are changed; false where one of them
// cannot be worked out.
func (c *change) places(s *scope, it, kit *source.Node) ([]edit.Change, bool) {
	list := []*source.Node{it}
	switch {
	case c.ofKit:
		list[0] = kit
	case c.of != nil:
		v, err := c.of.eval(s)
		if list = nodes(v, MostThings+1); err != nil || len(list) > MostThings {
			return nil, false
		}
	}
	var edits []edit.Change
	for _, n := range list {
		if n == nil || kit == nil || n.Document() != kit.Document() {
			return nil, false
		}
		more, ok := c.edits(n, s)
		if !ok {
			return nil, false
		}
		edits = append(edits, more...)
	}
	return edits, len(edits) > 0
}

func (c *change) edits(n *source.Node, s *scope) ([]edit.Change, bool) {
	e := edit.Change{Do: c.do, At: n.Pointer()}
	for _, key := range c.path {
		e.At += "/" + key
	}
	if c.do == edit.Remove {
		return []edit.Change{e}, true
	}
	values, ok := c.values(s)
	if c.do == edit.Insert {
		e.At += "/-"
	}
	var list []edit.Change
	for _, v := range values {
		e.Value = v
		list = append(list, inUnits(n.Document().Root, e))
	}
	return list, ok && len(list) > 0
}

// inUnits is a change with its measures in the units that stand there, or beside
// it: what somebody writes in feet stays in feet.
func inUnits(root *source.Node, c edit.Change) edit.Change {
	docs, _ := source.Parse("", []byte(c.Value))
	if len(docs) != 1 {
		return c
	}
	at := c.At[:strings.LastIndexByte(c.At, '/')]
	key, v := c.At[len(at)+1:], docs[0].Root
	switch {
	case v.Kind == source.Text && c.Do == edit.Set:
		if other := beside(root, at, key); other != nil {
			c.Value = edit.Text(units.Like(v.Scalar, other.Scalar))
		}
	case v.Kind == source.Map && c.Do == edit.Insert:
		for i, m := range v.Items {
			if other := beside(root, at+"/-", v.Members[i].Key); m.Kind == source.Text && other != nil {
				m.Scalar = units.Like(m.Scalar, other.Scalar)
			}
		}
		c.Value = spaced(v)
	}
	return c
}

// beside is what stands under a key of a thing; where nothing does, what stands
// there in the nearest thing of its list.
func beside(root *source.Node, at, key string) *source.Node {
	holder := root.Lookup(at)
	if own := holder.Get(key); own != nil {
		return own
	}
	list, index := root.Lookup(at[:max(strings.LastIndexByte(at, '/'), 0)]), 0
	if list == nil || list.Kind != source.List {
		return nil
	}
	if index = len(list.Items); holder != nil {
		index = holder.Index()
	}
	for away := 1; away <= len(list.Items); away++ {
		for _, i := range []int{index - away, index + away} {
			if i >= 0 && i < len(list.Items) && list.Items[i].Get(key) != nil {
				return list.Items[i].Get(key)
			}
		}
	}
	return nil
}

// spaced is a group as JSON, as the changes of rules write it.
func spaced(group *source.Node) string {
	var members []string
	for i, m := range group.Members {
		members = append(members, edit.Text(m.Key)+": "+string(group.Items[i].JSON()))
	}
	return "{" + strings.Join(members, ", ") + "}"
}

// values are what is written, as JSON: several where a list is inserted.
func (c *change) values(s *scope) ([]string, bool) {
	if len(c.items) > 0 {
		var members []string
		for _, m := range c.items {
			text, ok := m.part.json(s)
			if !ok {
				return nil, false
			}
			members = append(members, edit.Text(m.key)+": "+text)
		}
		return []string{"{" + strings.Join(members, ", ") + "}"}, true
	}
	if c.value.expr == nil {
		return nil, false
	}
	v, err := c.value.expr.eval(s)
	if list, is := v.(traits.Lister); err == nil && is && c.do == edit.Insert {
		var values []string
		for it := list.Iterator(); it.HasNext() == types.True; {
			text, ok := c.value.written(it.Next(), s)
			if !ok {
				return nil, false
			}
			values = append(values, text)
		}
		return values, true
	}
	text, ok := c.value.json(s)
	return []string{text}, ok
}

// json is the value of the part as JSON text.
func (p *part) json(s *scope) (string, bool) {
	v, err := p.expr.eval(s)
	if err != nil {
		return "", false
	}
	return p.written(v, s)
}

// written is a value as a kit file holds it: a measure as its message shows it,
// so that words and edit agree.
func (p *part) written(v ref.Val, s *scope) (string, bool) {
	switch v := v.(type) {
	case types.Double:
		text := p.show(v, s.world.Family)
		if _, err := strconv.ParseFloat(text, 64); err == nil {
			return text, true
		}
		return edit.Text(text), true
	case types.Int:
		return strconv.FormatInt(int64(v), 10), true
	case types.Bool:
		return strconv.FormatBool(bool(v)), true
	case types.String:
		return edit.Text(string(v)), v != ""
	case traits.Lister:
		var items []string
		for it := v.Iterator(); it.HasNext() == types.True; {
			text, ok := p.written(it.Next(), s)
			if !ok {
				return "", false
			}
			items = append(items, text)
		}
		return "[" + strings.Join(items, ", ") + "]", true
	}
	return "", false
}
