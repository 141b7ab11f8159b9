package editor

import (
	"fmt"
	"strings"

	"kitgauge/checker/kit"
)

// symbols are the sections of the file and the things that its lists hold.
func (v *View) symbols() []Symbol {
	var list []Symbol
	for _, d := range v.docs {
		list = append(list, v.symbolsOf(d)...)
	}
	return list
}

func (v *View) symbolsOf(n *node) []Symbol {
	var out []Symbol
	for _, item := range n.items {
		switch {
		case n.kind == list && item.kind == group:
			out = append(out, v.symbolOf(item))
		case n.kind == group && item.kind >= list && (n.parent == nil || hasGroups(item)):
			s := Symbol{Name: strings.ReplaceAll(item.key, "_", " "), Whole: v.outer(item), Named: v.key(item), Children: v.symbolsOf(item)}
			if n.parent != nil && len(s.Children) > 0 && item.kind == list { // the route of a bundle: its stations alone
				out = append(out, s.Children...)
				continue
			}
			out = append(out, s)
		}
	}
	return out
}

func hasGroups(n *node) bool {
	for _, item := range n.items {
		if item.kind == group || n.kind == group && hasGroups(item) {
			return true
		}
	}
	return false
}

// outer is a value with its key.
func (v *View) outer(n *node) Place {
	from := n.from
	if n.key != "" {
		from = n.keyFrom
	}
	return Place{v.path, from, max(n.to, n.keyTo, from)}
}

// symbolOf is an item of a list, by number and name.
func (v *View) symbolOf(n *node) Symbol {
	word, listed := kit.Thing(n.parent.key)
	if !listed {
		word = strings.ReplaceAll(n.parent.key, "_", " ")
	}
	s := Symbol{Name: fmt.Sprintf("%s %d", word, n.index+1), Kind: word, Whole: v.outer(n), Named: Place{v.path, n.from, n.from}, Children: v.symbolsOf(n)}
	if at := v.namedBy(n); at != nil {
		s.Name, s.Named = strings.TrimSpace(word+" "+at.text), v.inner(at)
	}
	s.Detail = v.detail(n)
	return s
}

// namedBy is the value by which an item of a list is known: its name, or else
// the first that refers to a thing.
func (v *View) namedBy(n *node) *node {
	l := v.look(n)
	if key, _ := l.site.NameKey(); n.get(key) != nil {
		return n.get(key)
	}
	for _, item := range n.items {
		if item.kind == scalar && l.site.Get(item.key).Target().Once {
			return item
		}
	}
	return nil
}

// detail says what an item is: its own name, or that of the thing to which it
// alone leads.
func (v *View) detail(n *node) string {
	if about := v.about(n); about != "" {
		return about
	}
	for _, item := range n.items {
		m := v.names().of[item]
		if m == nil || !m.target.Once {
			continue
		}
		for _, d := range v.definitions(m) {
			if about := v.about(d.node.parent); about != "" {
				return about
			}
		}
	}
	for _, item := range n.items {
		if item.kind == scalar && item != v.namedBy(n) {
			return v.shown(item)
		}
	}
	return ""
}

// links are the catalogues, and the packs, that the file names.
func (v *View) links() []Link {
	var list []Link
	for _, m := range v.names().all {
		if to := m.leadsTo(); to != "" {
			list = append(list, Link{m.place(), to})
		}
	}
	return list
}

// folds are the lists, groups and texts that go over several lines, and runs of
// remarks.
func (v *View) folds() []Fold {
	var list []Fold
	var walk func(n *node)
	walk = func(n *node) {
		from := n.from
		if n.key != "" {
			from = n.keyFrom
		}
		if n.parent != nil && v.lineStop(from) < n.to {
			list = append(list, Fold{Place: Place{v.path, v.lineStop(from), v.lastLine(n.to)}})
		}
		for _, item := range n.items {
			walk(item)
		}
	}
	for _, d := range v.docs {
		walk(d)
	}
	return append(list, v.remarks()...)
}

// lastLine is the end of the line on which what ends at a byte ends.
func (v *View) lastLine(to int) int {
	for to > 0 && strings.IndexByte(" \t\r\n", v.text[to-1]) >= 0 {
		to--
	}
	return v.lineStop(to)
}

// remarks are runs of lines that are remarks alone.
func (v *View) remarks() []Fold {
	var list []Fold
	first, last := -1, -1
	for at := 0; at <= len(v.text); {
		stop := v.lineStop(at)
		if strings.HasPrefix(strings.TrimLeft(string(v.text[at:min(stop, at+200)]), " \t"), "#") {
			if first < 0 {
				first = stop
			}
			last = stop
		} else {
			if first >= 0 && last > first {
				list = append(list, Fold{Place{v.path, first, last}, true})
			}
			first = -1
		}
		if at = stop + max(1, lineEnd(string(v.text[stop:min(len(v.text), stop+2)]))); stop >= len(v.text) {
			break
		}
	}
	if first >= 0 && last > first {
		list = append(list, Fold{Place{v.path, first, last}, true})
	}
	return list
}
