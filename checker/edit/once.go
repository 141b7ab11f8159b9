package edit

import "kitgauge/checker/source"

// makeAtOnce makes changes that do not touch: each puts a value in the place of
// another, neither of them a group or a list, in a document without aliases.
// The text is then read once, and not for every change. Where it reports false
// nothing was done.
func (s *state) makeAtOnce(changes []Change) bool {
	root := s.docs[s.document].Root
	if len(changes) < 2 || shares(root) {
		return false
	}
	w, want := newWriter(s.docs[s.document]), map[*source.Node]*source.Node{}
	for _, c := range changes {
		n := root.Lookup(c.At)
		if c.Do != Set || n == nil || want[n] != nil || holds(n) {
			return false
		}
		v, err := read(c.Value)
		if err != nil || holds(v) {
			return false
		}
		if want[n] = v; !Equal(n, v) && w.set(n, v) != nil {
			return false
		}
	}
	docs, problems := source.Parse("", w.text())
	if len(docs) != len(s.docs) || len(problems) > s.problems {
		return false
	}
	for i, was := range s.docs {
		if !equalBut(was.Root, docs[i].Root, want) {
			return false
		}
	}
	s.docs, s.problems = docs, len(problems)
	s.cuts.add(w.splices)
	return true
}

// shares reports whether a value is written in another's place by an alias.
func shares(n *source.Node) bool {
	if n.Alias() || n.Borrowed() {
		return true
	}
	for _, item := range n.Items {
		if shares(item) {
			return true
		}
	}
	return false
}

func holds(n *source.Node) bool { return n.Kind == source.List || n.Kind == source.Map }

// equalBut is Equal with other values in the place of some.
func equalBut(was, is *source.Node, want map[*source.Node]*source.Node) bool {
	if v := want[was]; v != nil {
		return Equal(v, is)
	}
	if !holds(was) {
		return Equal(was, is)
	}
	if was.Kind != is.Kind || len(was.Items) != len(is.Items) {
		return false
	}
	for i, item := range was.Items {
		if was.Kind == source.Map && was.Members[i].Key != is.Members[i].Key || !equalBut(item, is.Items[i], want) {
			return false
		}
	}
	return true
}
