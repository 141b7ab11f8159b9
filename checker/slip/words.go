package slip

import (
	"slices"

	"kitgauge/checker/kit"
	"kitgauge/checker/source"
)

// bodyKeys are the members that name a body.
var bodyKeys = kit.KeysTo("body")

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
	if list, is := g.declared(n); is {
		return list
	}
	if g.choices == nil {
		return nil
	}
	return g.choices(n)
}

// declared are the ids of the things to one of which a member refers by its id,
// or an item of a list of them.
func (g *generator) declared(n *source.Node) (list []string, is bool) {
	site := kit.KitSite()
	to := site.Of(n).Target()
	holder := g.kit
	if to.In != "" {
		holder, site = g.lies(n.Parent().Get(to.In), to.In)
	}
	section := site.ListOf(to.Thing)
	if key, _ := site.Get(section).Item("").NameKey(); to.Thing == "" || key != "id" {
		return nil, false
	}
	return ids(holder.Get(section)), true
}

// lies is the thing in which others lie, by the member that refers to it; nil
// where there is none.
func (g *generator) lies(of *source.Node, thing string) (*source.Node, kit.Site) {
	section := kit.KitSite().ListOf(thing)
	site := kit.KitSite().Get(section).Item("")
	if of == nil || g.kit.Get(section) == nil {
		return nil, site
	}
	for _, item := range g.kit.Get(section).Items {
		if id := item.Get("id"); id != nil && id.Scalar == of.Scalar {
			return item, site
		}
	}
	return nil, site
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
