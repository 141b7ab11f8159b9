package schema_test

import (
	"slices"
	"strings"
	"testing"

	"kitgauge/checker/kit"
	"kitgauge/checker/source"
	"kitgauge/schema"
)

// papers are members whose ids are those of papers, not of things of the kit.
var papers = []string{"header", "documents"}

// What the schema calls a name to point with is in the model a name of a thing,
// or refers to one: an editor completes, finds and renames by that.
func TestNamesToPointWith(t *testing.T) {
	root := schema.Tree("kit")
	count := 0
	var walk func(path string, n *source.Node, at kit.Site)
	walk = func(path string, n *source.Node, at kit.Site) {
		if ref := n.Get("$ref"); ref != nil {
			if ref.Scalar == "#/$defs/id" {
				count++
				if at.Names == "" && at.Target().Thing == "" {
					t.Errorf("%s: the model says neither what it names nor what it refers to (tags names and refers)", path)
				}
				return
			}
			n = root.At(source.Keys(strings.TrimPrefix(ref.Scalar, "#"))...)
		}
		if properties := n.Get("properties"); properties != nil {
			for i, m := range properties.Members {
				if !slices.Contains(papers, m.Key) {
					walk(path+"/"+m.Key, properties.Items[i], at.Get(m.Key))
				}
			}
		}
		if items := n.Get("items"); items != nil {
			walk(path+"/0", items, at.Item(""))
		}
	}
	walk("", root, kit.KitSite())
	if count < 30 {
		t.Errorf("only %d names", count)
	}
}
