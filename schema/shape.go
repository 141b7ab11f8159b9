package schema

import (
	"slices"

	"kitgauge/checker/source"
)

// Shape is what the schema of that name says of the keys of a file: its groups
// and its lists of groups, down to those within others.
func Shape(name string) source.Shape {
	if d := documents[name]; d != nil {
		return d.shape()
	}
	return source.Shape{}
}

func shapeOf(root Rule) source.Shape {
	s := source.Shape{Sections: root.Keys()}
	s.Groups = grow(nil, root, -1, 0)
	return s
}

// deepest is how many groups within each other a shape goes down to: a list of
// the rows of a sheet is the third.
const deepest = 4

func grow(groups []source.Group, r Rule, of, depth int) []source.Group {
	if depth == deepest {
		return groups
	}
	for _, key := range r.allKeys() {
		to, list := r.Member(key), false
		if item := to.Item(); to.Says() && item.Says() {
			to, list = item, true
		}
		if members := to.allKeys(); len(members) > 0 {
			groups = append(groups, source.Group{Key: key, Of: of, List: list, Members: members})
			groups = grow(groups, to, len(groups)-1, depth+1)
		}
	}
	return groups
}

// allKeys lists the members that the group can have in any of its kinds.
func (r Rule) allKeys() []string {
	if !r.Says() {
		return nil
	}
	list := slices.Clone(r.Keys())
	for _, branch := range r.kinds() {
		for _, key := range r.at(branch.Get("then")).Keys() {
			if !slices.Contains(list, key) {
				list = append(list, key)
			}
		}
	}
	return list
}
