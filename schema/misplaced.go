package schema

import (
	"fmt"
	"strings"

	"kitgauge/checker/source"
)

// Misplaced returns the first member that by its indentation alone stands in
// another group than the one to which it belongs: a section that has moved into
// the one before, or members that have moved out of theirs. From there on the
// file says something else than it should, so that no more can be told of it.
// nil where there is none.
func Misplaced(name string, root *source.Node) *source.Problem {
	var s seeker
	s.look(root, Of(name))
	return s.found
}

// seeker goes through a file, and knows the groups in which it stands.
type seeker struct {
	open  []group
	found *source.Problem
}

// group is one of the file with what the schema says of it.
type group struct {
	node *source.Node
	rule Rule
}

// has reports whether the group can have a member.
func (g group) has(key string) bool { return g.rule.Says() && g.rule.Member(key).Says() }

// lacks reports whether a member that the group can have is not there.
func (g group) lacks(key string) bool { return g.has(key) && g.node.Get(key) == nil }

// column is how far in the members of a group stand.
func (g group) column() int { return g.node.Members[0].Column }

func (s *seeker) look(n *source.Node, r Rule) {
	if n.Borrowed() || !r.Says() {
		return
	}
	if n.Kind == source.List {
		for _, item := range n.Items {
			if s.look(item, r.Item()); s.found != nil {
				return
			}
		}
		return
	}
	g := groupOf(n, r)
	if n.Kind != source.Map || g.rule.to.Get("properties") == nil {
		return
	}
	s.open = append(s.open, g)
	for i, m := range n.Members {
		if rule := g.rule.Member(m.Key); rule.Says() {
			s.look(n.Items[i], rule)
		} else if byIndent(n.Items[i]) && !s.movedIn(g, i) {
			s.movedOut(g, i)
		}
		if s.found != nil {
			return
		}
	}
	s.open = s.open[:len(s.open)-1]
}

func groupOf(n *source.Node, r Rule) group {
	return group{n, r.For(func(key string) string {
		if m := n.Get(key); m != nil {
			return m.Scalar
		}
		return ""
	})}
}

// byIndent reports whether a member stands where it does by its indentation: it
// begins a line, outside of brackets.
func byIndent(n *source.Node) bool {
	at := n.KeyPos()
	before := n.Document().Line(at.Line)
	return !n.Borrowed() && strings.TrimLeft(before[:min(len(before), at.Column-1)], " ") == "" && !n.Parent().Flow()
}

// movedIn looks for the group round this one to which a member belongs; what
// stands behind it must not belong to this one.
func (s *seeker) movedIn(g group, i int) bool {
	item, key := g.node.Items[i], g.node.Members[i].Key
	for j := len(s.open) - 2; j >= 0; j-- {
		if to := s.open[j]; to.lacks(key) && to.column() < g.node.Members[i].Column && runsOn(g, i, groupOf(item, to.rule.Member(key))) {
			within, next := holder(g.node), "it belongs beside "+holder(s.open[j+1].node)
			if j+1 == len(s.open)-1 {
				next = "it belongs beside that"
			}
			s.tell(item, to, fmt.Sprintf("%s is indented by %s, and so is part of %s; %s", quote(key), spaces(item.KeyPos().Column-1), within, next))
			return true
		}
		for n := s.open[j+1].node; n.Parent() != s.open[j].node || j+1 < len(s.open)-1; n = n.Parent() {
			if n.Index() != len(n.Parent().Items)-1 {
				return false // something of a group round it stands behind it
			}
			if n.Parent() == s.open[j].node {
				break
			}
		}
	}
	return false
}

// runsOn reports whether the members behind one belong to it, or at least not to
// their group.
func runsOn(g group, i int, below group) bool {
	for _, m := range g.node.Members[i+1:] {
		if g.has(m.Key) && !(below.node.Kind == source.Null && below.has(m.Key)) {
			return false
		}
	}
	return true
}

// movedOut looks in what stands before a member for the group to which it
// belongs.
func (s *seeker) movedOut(g group, i int) {
	if i == 0 {
		return
	}
	key, last := g.node.Members[i].Key, i
	to := inner(group{g.node.Items[i-1], g.rule.Member(g.node.Members[i-1].Key)}, key)
	if to.node == nil {
		return
	}
	for last+1 < len(g.node.Members) && !g.has(g.node.Members[last+1].Key) && to.lacks(g.node.Members[last+1].Key) {
		last++
	}
	s.tell(g.node.Items[i], to, fmt.Sprintf("%s is indented by %s, and so is no part of %s, to which it belongs",
		quote(key), spaces(g.node.Members[i].Column-1), holder(to.node)))
	if more := want(to, g) - g.node.Members[i].Column; last > i {
		s.found.Remedy = fmt.Sprintf("indent lines %d to %d by %s more", g.node.Members[i].Line, g.node.Items[last].End().Line, spaces(more))
	}
}

// inner is the group that lacks a member: one that stands in a place, or is
// the last in it.
func inner(at group, key string) group {
	for at.rule.Says() && (at.node.Kind == source.Null || !at.node.Flow()) {
		if at.node.Kind == source.List && len(at.node.Items) > 0 {
			at = group{at.node.Items[len(at.node.Items)-1], at.rule.Item()}
			continue
		}
		at = groupOf(at.node, at.rule)
		last := len(at.node.Members) - 1
		switch {
		case at.rule.to.Get("properties") == nil:
			return group{}
		case at.lacks(key):
			return at
		case at.node.Kind != source.Map || last < 0:
			return group{}
		}
		at = group{at.node.Items[last], at.rule.Member(at.node.Members[last].Key)}
	}
	return group{}
}

// want is the column of the members of a group, where it may have none yet.
func want(to, outer group) int {
	if to.node.Kind == source.Map {
		return to.column()
	}
	return to.node.KeyPos().Column + 2
}

func (s *seeker) tell(item *source.Node, to group, message string) {
	column, is := want(to, to), item.KeyPos().Column
	remedy := "begin it in the first column"
	if column > 1 {
		remedy = fmt.Sprintf("indent it by %s, not by %s", spaces(column-1), spaces(is-1))
	}
	s.found = &source.Problem{Pos: item.KeyPos(), Node: item, Message: message, Remedy: remedy}
}

// holder names the section or the thing round a group by the nearest key.
func holder(n *source.Node) string {
	for n.Parent() != nil && n.Parent().Kind != source.Map {
		n = n.Parent()
	}
	return fmt.Sprintf("%s on line %d", clip(n.Key()), n.KeyPos().Line)
}

func spaces(n int) string {
	switch n {
	case 0:
		return "no space"
	case 1:
		return "1 space"
	}
	return fmt.Sprintf("%d spaces", n)
}
