package slip

import (
	"slices"

	"kitgauge/checker/source"
)

// bodyKeys are the members that name a body.
var bodyKeys = []string{"body", "parent", "child"}

// declared are the lists whose ids a member may name.
var declared = map[string]string{"body": "bodies", "parent": "bodies", "child": "bodies", "point": "points", "bundle": "bundles"}

// mostWords is how many words of a list are tried that nothing speaks for.
const mostWords = 12

// words are those that may stand in the place of one: of its list, as far as
// that is short.
func (g *generator) words(n *source.Node) []string {
	if words := g.list(n); len(words) <= mostWords {
		return words
	}
	return nil
}

// list is all that may stand in the place of a word: the ids that the kit
// declares, the words of the schema, the parts of its kind.
func (g *generator) list(n *source.Node) []string {
	if list, is := declared[n.Key()]; is {
		return ids(g.kit.Get(list))
	}
	if n.Parent().Kind == source.List && n.Parent().Key() == "points" && n.Kind == source.Text {
		return ids(g.kit.Get("points"))
	}
	if n.Key() == "leaves_at" {
		return g.stations(n.Parent())
	}
	if g.choices == nil {
		return nil
	}
	return g.choices(n)
}

// stations are the ids of the stations of a line's bundle.
func (g *generator) stations(line *source.Node) []string {
	bundle := line.Get("bundle")
	if bundle == nil || g.kit.Get("bundles") == nil {
		return nil
	}
	for _, b := range g.kit.Get("bundles").Items {
		if id := b.Get("id"); id != nil && id.Scalar == bundle.Scalar {
			return ids(b.Get("route"))
		}
	}
	return nil
}

func ids(list *source.Node) []string {
	if list == nil {
		return nil
	}
	var out []string
	for _, item := range list.Items {
		if id := item.Get("id"); id != nil && !slices.Contains(out, id.Scalar) {
			out = append(out, id.Scalar)
		}
	}
	return out
}
