package slip

import (
	"slices"
	"sync/atomic"

	"kitgauge/checker/finding"
	"kitgauge/checker/source"
)

// part is a part of the file on which findings hang.
type part struct {
	node *source.Node // of the first tree
	hang int
}

// parts finds those on which findings hang, from the sections down to the
// items of their lists: it takes the values of a part away and looks which
// findings can then no longer be made.
func (s *search) parts() []part {
	level := s.trees[0].Root.Items
	var out []part
	for depth := 0; len(level) > 0; depth++ {
		hang := s.hang(level)
		var next []*source.Node
		for i, n := range level {
			switch below := finer(n); {
			case hang[i] == 0:
			case len(below) > 0 && depth < deepest:
				next = append(next, below...)
			default:
				out = append(out, part{n, hang[i]})
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
func (s *search) hang(level []*source.Node) []int {
	out := make([]int, len(level))
	pointers := make([]string, len(level))
	for i, n := range level {
		pointers[i] = n.Pointer()
	}
	var used atomic.Int64
	s.each(min(len(level), s.left), func(tree *source.Document, i int) {
		used.Add(1)
		n := tree.Root.Lookup(pointers[i])
		undo := Without(n)
		defer undo()
		out[i] = s.gone(s.trial(tree))
	})
	s.left -= int(used.Load())
	return out
}

// gone counts the findings that are no longer violations.
func (s *search) gone(list []finding.Finding) int {
	now := keys(list, finding.Violated)
	n := 0
	for k, before := range s.violated {
		n += max(0, before-now[k])
	}
	return n
}

// Without takes the values of a part of a tree away, and returns what brings
// them back. What is named by them (id, number) stays.
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
				if k := item.Key(); n.Kind == source.Map && (k == "id" || k == "number" || k == "step") {
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
