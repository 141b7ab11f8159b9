package slip

import (
	"slices"

	"kitgauge/checker/finding"
	"kitgauge/checker/source"
)

// part is a part of a file on which most of the findings hang: a thing, or a
// value that cannot be divided.
type part struct {
	node *source.Node // of the first tree
	hang int
}

// parts finds those of a document, from its sections down to single values. It
// takes the values of a set of nodes away and looks which findings can then no
// longer be made; a set on which less than half of them hang holds no value on
// which more do, the others are halved.
func (s *search) parts(document int) []part {
	var out []part
	level := [][]*source.Node{s.trees[0][document].Root.Items}
	for len(level) > 0 {
		var next [][]*source.Node
		for i, hang := range s.hang(document, level) {
			switch set := level[i]; {
			case hang*2 < total(s.violated): // it cannot explain more than half
			case len(set) > 1:
				next = append(next, set[:len(set)/2], set[len(set)/2:])
			default:
				out = append(out, part{set[0], hang})
				if below := finer(set[0]); len(below) > 0 {
					next = append(next, below)
				}
			}
		}
		level = next
	}
	return out
}

// finer lists what a part is made of; nothing for a value or a list of values.
func finer(n *source.Node) []*source.Node {
	if isLeaf(n) || n.Kind == source.List && !listsThings(n) {
		return nil
	}
	return slices.DeleteFunc(slices.Clone(n.Items), func(item *source.Node) bool {
		return slices.Contains(names, item.Key()) && item.Key() != "kind" && n.Kind == source.Map
	})
}

// hang counts, for each set of nodes, the findings that hang on it.
func (s *search) hang(document int, sets [][]*source.Node) []int {
	sets = sets[:min(len(sets), s.left)]
	s.left -= len(sets)
	out := make([]int, len(sets))
	s.each(len(sets), func(tree Tree, i int) {
		for _, n := range sets[i] {
			defer Without(tree[document].Root.Lookup(n.Pointer()))()
		}
		out[i] = s.gone(s.trial(tree, document, false).Findings)
	})
	return out
}

// gone counts the findings that are no longer violations.
func (s *search) gone(list []finding.Finding) int {
	now := finding.Count(list, finding.Violated)
	n := 0
	for k, before := range s.violated {
		n += max(0, before-now[k])
	}
	return n
}

// names are the members by which a thing is known: they stay when its values
// are taken away.
var names = []string{"id", "number", "step", "kind"}

// Without takes the values of a part of a tree away, and returns what brings
// them back. Its names stay.
func Without(n *source.Node) (undo func()) {
	type old struct {
		node *source.Node
		was  source.Node
	}
	var changed []old
	var walk func(n *source.Node)
	walk = func(n *source.Node) {
		if n.Kind == source.List || n.Kind == source.Map {
			for _, item := range n.Items {
				if k := item.Key(); n.Kind == source.Map && slices.Contains(names, k) {
					continue
				}
				walk(item)
			}
			return
		}
		changed = append(changed, old{n, *n})
		n.Kind, n.Scalar = source.Null, ""
	}
	walk(n)
	return func() {
		for _, c := range changed {
			*c.node = c.was
		}
	}
}

// Twice reports whether a node is the name of a thing that another of its list
// has before it.
func Twice(n *source.Node) bool {
	if n == nil {
		return false
	}
	thing := n.Parent()
	if n.Kind > source.Text || thing == nil || thing.Kind != source.Map || thing.Parent() == nil || thing.Parent().Kind != source.List {
		return false
	}
	return slices.ContainsFunc(thing.Parent().Items[:thing.Index()], func(other *source.Node) bool {
		m := other.Get(n.Key())
		return m != nil && m.Kind == n.Kind && m.Scalar == n.Scalar
	})
}

// HasName reports whether a thing of the list has a name, given as n is.
func HasName(n *source.Node, name string) bool {
	return slices.ContainsFunc(n.Parent().Parent().Items, func(other *source.Node) bool {
		m := other.Get(n.Key())
		return m != nil && m.Scalar == name
	})
}

// Renamed gives a value another text, and returns what brings the old one back.
func Renamed(n *source.Node, to string) (undo func()) {
	was := n.Scalar
	n.Scalar = to
	return func() { n.Scalar = was }
}

// Dropped takes a thing out of its list, and returns what brings it back.
func Dropped(n *source.Node) (undo func()) {
	list, was := n.Parent(), n.Parent().Items
	list.Items = slices.DeleteFunc(slices.Clone(was), func(item *source.Node) bool { return item == n })
	return func() { list.Items = was }
}
