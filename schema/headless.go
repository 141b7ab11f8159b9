package schema

import (
	"fmt"
	"slices"
	"strings"

	"kitgauge/checker/source"
)

// list looks through a list, and for items that do not belong to it: those of
// another whose key has been lost, or that stand too far out.
func (s *seeker) list(n *source.Node, r Rule) {
	if s.dashed(n, r) {
		return
	}
	for i, item := range n.Items {
		if s.look(item, r.Item()); s.found != nil {
			return
		}
		if !n.Flow() && item.Kind == source.Map && i > 0 && (s.lost(n, i, r) || s.tooFarOut(n, i, r) || s.cut(n, i, r)) {
			return
		}
	}
}

// fits reports whether a group with a rule can have all members of another.
func fits(n *source.Node, r Rule) bool {
	to := groupOf(n, r)
	return r.Says() && n.Kind == source.Map && len(n.Members) > 0 && !slices.ContainsFunc(n.Members, func(m source.Member) bool { return !to.has(m.Key) })
}

// lost looks for the section whose items begin here, and which has no line
// with its key.
func (s *seeker) lost(n *source.Node, i int, r Rule) bool {
	if len(s.open) != 1 || fits(n.Items[i], r.Item()) || !fits(n.Items[i-1], r.Item()) {
		return false
	}
	file := s.open[0]
	for _, key := range file.rule.Keys() {
		if file.lacks(key) && !slices.ContainsFunc(n.Items[i:], func(item *source.Node) bool { return !fits(item, file.rule.Member(key).Item()) }) {
			s.missing(n.Items[i], key, fmt.Sprintf("the items from here on belong to %s, and not to %s", key, holder(n.Items[0])))
			return true
		}
	}
	return false
}

// headless looks for the section to which a member and those behind it belong,
// and which has no line with its key.
func (s *seeker) headless(g group, i int) bool {
	if len(s.open) != 2 || i == 0 || len(g.node.Members)-i < 2 && g.node.Items[i].Kind < source.List {
		return false
	}
	file := s.open[0]
	for _, key := range file.rule.Keys() {
		to := group{nil, file.rule.Member(key)}
		if file.lacks(key) && !slices.ContainsFunc(g.node.Members[i:], func(m source.Member) bool { return !to.has(m.Key) }) {
			s.missing(g.node.Items[i], key, fmt.Sprintf("the members from here on belong to %s, and not to %s", key, holder(g.node)))
			return true
		}
	}
	return false
}

func (s *seeker) missing(item *source.Node, key, message string) {
	at := item.KeyPos()
	if item.Parent().Kind == source.List {
		at = item.Pos()
	}
	s.found = &source.Problem{Pos: at, Node: item, Message: message + ": the line with " + key + ": is missing", Remedy: "write " + key + ": on a line of its own above it"}
}

// tooFarOut looks for the list to which an item belongs in the last member of
// the item before it, where nothing stands.
func (s *seeker) tooFarOut(n *source.Node, i int, r Rule) bool {
	before := n.Items[i-1]
	if before.Kind != source.Map || len(before.Items) == 0 || fits(n.Items[i], r.Item()) {
		return false
	}
	last := before.Items[len(before.Items)-1]
	to := groupOf(before, r.Item()).rule.Member(last.Key())
	if last.Kind != source.Null || !fits(n.Items[i], to.Item()) {
		return false
	}
	end, line := i, n.Items[i].Document().Line(n.Items[i].Line)
	for end+1 < len(n.Items) && fits(n.Items[end+1], to.Item()) && !fits(n.Items[end+1], r.Item()) {
		end++
	}
	dash := strings.IndexByte(line, '-')
	s.found = &source.Problem{Pos: source.Pos{File: n.Pos().File, Line: n.Items[i].Line, Column: dash + 1}, Node: n.Items[i],
		Message: fmt.Sprintf("the item is indented by %s, and so is no part of %s, to which it belongs", spaces(dash), holder(n.Items[i-1].Items[len(before.Items)-1])),
		Remedy:  fmt.Sprintf("indent lines %d to %d by %s more", n.Items[i].Line, n.Items[end].End().Line, spaces(last.KeyPos().Column-1-dash))}
	return true
}

// cut looks for an item that a dash too many cuts in two: both halves together
// have each member once, and the second lacks what the first begins with.
func (s *seeker) cut(n *source.Node, i int, r Rule) bool {
	a, b := n.Items[i-1], n.Items[i]
	if a.Flow() || b.Flow() || !fits(a, r.Item()) || !fits(b, r.Item()) || len(n.Items) < 3 {
		return false
	}
	first := a.Members[0].Key
	for j, other := range n.Items { // what all others begin with
		if j != i && (other.Kind != source.Map || len(other.Members) == 0 || other.Members[0].Key != first) {
			return false
		}
	}
	if b.Get(first) != nil || slices.ContainsFunc(b.Members, func(m source.Member) bool { return a.Get(m.Key) != nil }) {
		return false
	}
	s.dash(b, fmt.Sprintf("a dash too many stands here: what stands behind it belongs to the item on line %d, and has no %s of its own", a.Line, first))
	return true
}

// dashed looks for a dash before the first member of what is no list.
func (s *seeker) dashed(n *source.Node, r Rule) bool {
	if n.Flow() || r.Item().Says() || len(n.Items) != 1 || !fits(n.Items[0], r) || n.Items[0].Flow() {
		return false
	}
	s.dash(n.Items[0], holder(n)+" is no list: a dash too many stands here")
	return true
}

// dash tells of a dash before an item.
func (s *seeker) dash(item *source.Node, message string) {
	dash := strings.IndexByte(item.Document().Line(item.Line), '-')
	s.found = &source.Problem{Pos: source.Pos{File: item.Pos().File, Line: item.Line, Column: dash + 1}, Node: item, Message: message, Remedy: "put a plain space in its place"}
}
