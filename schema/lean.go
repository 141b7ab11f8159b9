package schema

import (
	"encoding/json"
	"slices"
	"strings"

	"kitgauge/checker/source"
)

// leaner writes a schema without what decides nothing here: the words for
// people, and what a measured value has to be, which package kit reports.
// What is referred to once, or is short, stands where it is referred to. The
// rest means the same in draft 7, whose meta-schema is the faster. A pointer
// into the lean schema leads in the full one to the same rule, along its
// references.
type leaner struct {
	root *source.Node
	uses map[*source.Node]int // of what is referred to
}

// lean is the lean form of a schema, as text.
func lean(root *source.Node) []byte {
	l := leaner{root, map[*source.Node]int{}}
	l.count(root)
	small := l.node(root).(map[string]any)
	small["$schema"] = "http://json-schema.org/draft-07/schema#"
	defs := map[string]any{}
	all := root.Get("$defs")
	for i, m := range all.Members {
		if d := all.Items[i]; l.uses[d] > 0 && !measured(d) && !l.inPlace(d) {
			defs[m.Key] = l.node(d)
		}
	}
	small["$defs"] = defs
	text, err := json.Marshal(small)
	if err != nil {
		panic("schema: " + err.Error())
	}
	return text
}

func (l leaner) target(n *source.Node) *source.Node {
	if ref := n.Get("$ref"); ref != nil && ref.Kind == source.Text {
		return l.root.Lookup(ref.Scalar[1:])
	}
	return nil
}

func (l leaner) count(n *source.Node) {
	if t := l.target(n); t != nil {
		l.uses[t]++
	}
	for _, it := range n.Items {
		l.count(it)
	}
}

func (l leaner) inPlace(target *source.Node) bool {
	return l.uses[target] == 1 || target.Get("pattern") == nil && target.Get("properties") == nil && target.Get("items") == nil
}

func (l leaner) node(n *source.Node) any {
	if t := l.target(n); t != nil && (measured(t) || l.inPlace(t)) {
		return l.node(t)
	}
	if measured(n) {
		return true
	}
	switch n.Kind {
	case source.List:
		list := make([]any, len(n.Items))
		for i, it := range n.Items {
			list[i] = l.node(it)
		}
		return list
	case source.Map:
		m := map[string]any{}
		for i, member := range n.Members {
			if !words(n, member.Key) {
				m[member.Key] = l.node(n.Items[i])
			}
		}
		return m
	}
	return n.Plain()
}

// measured tells the schema of a measured value.
func measured(n *source.Node) bool {
	return marked(n, "Measured")
}

// marked tells what a comment in the schema begins with. Comments are where a
// schema says what this program alone needs to know: a keyword of our own
// beside a $ref is a constraint to some editors, and costs the type and the
// members of what is referred to.
func marked(n *source.Node, how string) bool {
	comment := n.Get("$comment")
	return comment != nil && comment.Kind == source.Text && strings.HasPrefix(comment.Scalar, how)
}

// words tells a keyword that is only for people. A member of a kit file may
// have the same name; it stands below properties.
func words(n *source.Node, key string) bool {
	if p := n.Parent(); p != nil && slices.Contains([]string{"properties", "$defs"}, n.Key()) {
		return false
	}
	return slices.Contains([]string{"title", "description", "examples", "$comment", "$defs", "patternErrorMessage"}, key)
}
