package schema_test

import (
	"encoding/json"
	"slices"
	"testing"

	"kitgauge/checker/golden"
	"kitgauge/checker/source"
	"kitgauge/schema"
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

func lean(root *source.Node) any {
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
	return small
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
	comment := n.Get("$comment")
	return comment != nil && comment.Kind == source.Text
}

// words tells a keyword that is only for people. A member of a kit file may
// have the same name; it stands below properties.
func words(n *source.Node, key string) bool {
	if p := n.Parent(); p != nil && slices.Contains([]string{"properties", "$defs"}, n.Key()) {
		return false
	}
	return slices.Contains([]string{"title", "description", "examples", "$comment", "$defs"}, key)
}

// The lean schemas are those of the full ones.
func TestGoldenLean(t *testing.T) {
	for _, name := range schema.Lean() {
		want, err := json.Marshal(lean(schema.Tree(name)))
		if err != nil {
			t.Fatal(err)
		}
		golden.Compare(t, "lean/"+name+".json", want)
	}
}

// A lean schema finds in every file what the full one finds.
func TestLeanFindsTheSame(t *testing.T) {
	for _, name := range schema.Lean() {
		found := 0
		for _, other := range written {
			for _, s := range samples(t, other) {
				want := format(schema.ValidateInFull(name, s.root))
				if got := format(schema.Validate(name, s.root)); got != want {
					t.Errorf("%s as %s: got\n%s\nwant\n%s", s.name, name, got, want)
				}
				found += len(want)
			}
		}
		for i, m := range mutants(everyMember(t, name)) {
			if i%7 != 0 { // of ten changes of each value, another one each time
				continue
			}
			text, err := json.Marshal(m.value)
			if err != nil {
				t.Fatal(err)
			}
			docs, _ := source.Parse(name+".json", text)
			if len(docs) == 0 {
				continue
			}
			want := format(schema.ValidateInFull(name, docs[0].Root))
			if got := format(schema.Validate(name, docs[0].Root)); got != want {
				t.Errorf("%s: got\n%s\nwant\n%s", m.name, got, want)
			}
		}
		if found == 0 {
			t.Errorf("%s: no sample has a fault: this test cannot fail", name)
		}
	}
}
