package editor_test

import (
	"slices"
	"strings"
	"testing"

	"kitgauge/checker/editor"
	"kitgauge/checker/source"
	"kitgauge/schema"
)

// A thing that is written at once has all that its schema requires, in lines,
// between brackets and in JSON, and it can be read.
func TestWholeThings(t *testing.T) {
	const head = "header: {number: K-1, revision: A, title: T, status: draft}\n"
	for _, tt := range []struct{ file, text, list, label string }{
		{"a.kit.yaml", head + "points:\n  - ¦\n", "points", "whole grease point"},
		{"a.kit.yaml", head + "points:\n  ¦\n", "points", "whole grease point"},
		{"a.kit.yaml", head + "points: [¦]\n", "points", "whole grease point"},
		{"a.kit.yaml", head + "points: [{¦}]\n", "points", "whole grease point"},
		{"a.kit.yaml", head + "points:\n  - {id: A1, ¦}\n", "points", "rest of the grease point"},
		{"a.kit.yaml", head + "points:\n  - id: A1\n    ¦\n", "points", "rest of the grease point"},
		{"a.kit.json", `{"points": [¦]}`, "points", "whole grease point"},
		{"a.kit.yaml", head + "joints:\n  - ¦\n", "joints", "whole joint"},
		{"a.kit.yaml", head + "lines:\n  - {number: 7}\n  - ¦\n", "lines", "whole line"},
		{"a.kit.yaml", head + "bundles:\n  - ¦\n", "bundles", "whole bundle"},
		{"a.kit.yaml", head + "zones:\n  - kind: heat\n    ¦\n", "zones", "rest of the zone"},
		{"a.kit.yaml", "¦", "", "whole greasing kit"},
		{"a.parts.yaml", "parts:\n  - kind: tube\n    ¦\n", "parts", "rest of the tube"},
		{"a.concessions.yaml", "concessions:\n  - ¦\n", "concessions", "whole concession"},
	} {
		at := strings.Index(tt.text, mark)
		text := strings.Replace(tt.text, mark, "", 1)
		list := editor.Open(tt.file, []byte(text), shelf{}, editor.Options{}).Completions(at)
		i := slices.IndexFunc(list, func(c editor.Completion) bool { return c.Label == tt.label })
		if i < 0 {
			t.Errorf("%q: nothing is called %s", tt.text, tt.label)
			continue
		}
		c := list[i]
		for _, written := range []string{c.Insert, c.Bare()} { // as somebody would who goes on without filling in
			if _, problems := source.Parse(tt.file, []byte(text[:c.From]+written+text[c.To:])); len(problems) > 0 {
				t.Errorf("%q: as it is inserted: %v:\n%s", tt.text, problems, written)
			}
		}
		for _, stop := range slices.Backward(c.Stops) { // as somebody would who leaves nothing empty
			c.Insert = c.Insert[:stop.From] + "1" + c.Insert[stop.To:]
		}
		text = text[:c.From] + c.Insert + text[c.To:]
		docs, problems := source.Parse(tt.file, []byte(text))
		if len(problems) > 0 {
			t.Errorf("%q: %v:\n%s", tt.text, problems, text)
			continue
		}
		kind := map[string]string{"a.parts.yaml": "parts", "a.concessions.yaml": "concessions"}[tt.file]
		if kind == "" {
			kind = "kit"
		}
		rule, root := schema.Of(kind), docs[0].Root
		if tt.list != "" {
			rule, root = rule.Member(tt.list), root.Get(tt.list)
		}
		if lacks := lacking(rule, root, ""); len(c.Stops) < 2 || len(lacks) > 0 {
			t.Errorf("%q: %d places, and it lacks %v:\n%s", tt.text, len(c.Stops), lacks, text)
		}
	}
}

// lacking are the members that a value has to have and does not have.
func lacking(r schema.Rule, n *source.Node, at string) []string {
	var list []string
	if n.Kind == source.List {
		for _, item := range n.Items[len(n.Items)-1:] {
			list = append(list, lacking(r.Item(), item, at)...)
		}
	}
	if n.Kind != source.Map {
		return list
	}
	r = r.For(func(key string) string {
		if m := n.Get(key); m != nil {
			return m.Scalar + map[bool]string{true: key}[m.Kind == source.Map || m.Kind == source.List]
		}
		return ""
	})
	for _, key := range r.Keys() {
		if m := n.Get(key); m != nil {
			list = append(list, lacking(r.Member(key), m, at+"/"+key)...)
		} else if r.Required(key) {
			list = append(list, at+"/"+key)
		}
	}
	return list
}
