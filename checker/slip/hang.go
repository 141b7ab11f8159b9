package slip

import (
	"slices"

	"kitgauge/checker/finding"
	"kitgauge/checker/source"
)

// part is a part of the file on which findings hang.
type part struct {
	document int
	node     *source.Node // of the first tree
	hang     int
}

// parts finds those on which findings hang, from the sections down to the
// items of their lists: it takes the values of a part away and looks which
// findings can then no longer be made.
func (s *search) parts() []part {
	var level, out []part
	for d, doc := range s.trees[0] {
		for _, n := range doc.Root.Items {
			level = append(level, part{document: d, node: n})
		}
	}
	for depth := 0; len(level) > 0; depth++ {
		s.hang(level)
		var next []part
		for _, p := range level {
			switch below := finer(p.node); {
			case p.hang*2 <= total(s.violated): // it cannot explain more than half
			case len(below) > 0 && depth < deepest:
				for _, n := range below {
					next = append(next, part{document: p.document, node: n})
				}
			default:
				out = append(out, p)
			}
		}
		level = next
	}
	return out
}

// deepest is how far down parts are told apart: section, item, station.
const deepest = 3

// finer lists the parts that a part is made of: the items of its lists, and
// what it holds beside. A part without a list is not divided.
func finer(n *source.Node) []*source.Node {
	if n.Kind == source.List {
		if slices.ContainsFunc(n.Items, func(i *source.Node) bool { return i.Kind == source.Map }) {
			return n.Items
		}
		return nil
	}
	if !slices.ContainsFunc(n.Items, func(i *source.Node) bool { return len(finer(i)) > 0 }) {
		return nil
	}
	return n.Items
}

// hang counts, for each part, the findings that hang on it.
func (s *search) hang(level []part) {
	level = level[:min(len(level), s.left)]
	s.left -= len(level)
	s.each(len(level), func(tree Tree, i int) {
		p := &level[i]
		undo := Without(tree[p.document].Root.Lookup(p.node.Pointer()))
		defer undo()
		p.hang = s.gone(s.trial(tree, p.document))
	})
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
