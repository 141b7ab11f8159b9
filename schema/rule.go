package schema

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"unicode/utf8"

	"kitgauge/checker/source"
)

// Rule is what a schema says of a value, whether there is one yet or not. The
// zero Rule says nothing.
type Rule struct {
	root *source.Node
	site *source.Node            // where it stands, with the words for this place
	to   *source.Node            // what that refers to, in the end
	get  func(key string) string // what stands under the keys of the group; nil where that is not known
}

// Of is the rule of a whole file, by the name of its schema.
func Of(name string) Rule {
	d, ok := documents[name]
	if !ok {
		return Rule{}
	}
	root := d.tree()
	return Rule{root: root, site: root, to: follow(root, root)}
}

func (r Rule) at(n *source.Node) Rule {
	if n == nil {
		return Rule{}
	}
	return Rule{root: r.root, site: n, to: follow(r.root, n)}
}

// Says reports whether the schema says anything of the place.
func (r Rule) Says() bool { return r.to != nil }

// Member is the rule of a member of the group.
func (r Rule) Member(key string) Rule {
	if m := r.to.Get("properties").Get(key); m != nil {
		return r.at(m)
	}
	if kinds := r.kinds(); len(kinds) > 0 && slices.Contains(r.Keys(), key) {
		return r.at(kinds[0].Get("then")).Member(key)
	}
	if any := r.to.Get("additionalProperties"); any != nil && any.Kind == source.Map {
		return r.at(any)
	}
	return Rule{}
}

// Item is the rule of the items of the list.
func (r Rule) Item() Rule { return r.at(r.to.Get("items")) }

// For is the rule as it is once the members are known on which it depends;
// get gives what stands under a key, "" where nothing does. While they are not, it is what all
// branches have in common.
func (r Rule) For(get func(key string) string) Rule {
	for _, branch := range r.kinds() {
		if holds(branch.Get("if"), get) {
			r.to = follow(r.root, branch.Get("then"))
			break
		}
	}
	r.get = get
	return r
}

// kinds are the branches that decide which members there are.
func (r Rule) kinds() []*source.Node {
	return slices.DeleteFunc(r.branches(), func(b *source.Node) bool { return b.At("then", "$ref") == nil })
}

// branches are what holds on a condition.
func (r Rule) branches() []*source.Node {
	if all := r.to.Get("allOf"); all != nil {
		return slices.Clone(all.Items)
	}
	if r.to.Get("if") != nil {
		return []*source.Node{r.to}
	}
	return nil
}

// holds reports whether the members are what a condition asks for.
func holds(condition *source.Node, get func(key string) string) bool {
	if properties := condition.Get("properties"); properties != nil {
		for i, m := range properties.Members {
			is, word := properties.Items[i].Get("const"), get(m.Key)
			if !(is != nil && is.Scalar == word || listed(properties.Items[i].Get("enum"), word)) {
				return false
			}
		}
	}
	needs := condition.Get("required")
	return needs == nil || !slices.ContainsFunc(needs.Items, func(n *source.Node) bool { return get(n.Scalar) == "" })
}

func listed(list *source.Node, word string) bool {
	return list != nil && slices.ContainsFunc(list.Items, func(n *source.Node) bool { return n.Scalar == word })
}

// Keys lists the members that the group can have, in the order of the schema.
func (r Rule) Keys() []string {
	var list []string
	if kinds := r.kinds(); len(kinds) > 0 { // it is not known which
		for i, branch := range kinds {
			keys := r.at(branch.Get("then")).Keys()
			if i == 0 {
				list = keys
			}
			list = slices.DeleteFunc(list, func(k string) bool { return !slices.Contains(keys, k) })
		}
		return list
	}
	if properties := r.to.Get("properties"); properties != nil {
		for _, m := range properties.Members {
			list = append(list, m.Key)
		}
	}
	return list
}

// Required reports whether the group is not whole without a member. Of several
// that can stand for each other that is the only one that is there, or the first
// where there is none.
func (r Rule) Required(key string) bool {
	if listed(r.to.Get("required"), key) || r.stands(key) {
		return true
	}
	return r.get != nil && slices.ContainsFunc(r.branches(), func(b *source.Node) bool {
		return holds(b.Get("if"), r.get) && listed(b.At("then", "required"), key)
	})
}

// stands reports whether the group needs one of several members, and this is it.
func (r Rule) stands(key string) bool {
	any := r.to.Get("anyOf")
	if any == nil || r.get == nil {
		return false
	}
	of := func(n *source.Node) string { return n.At("required", "0").Scalar }
	there := slices.DeleteFunc(slices.Clone(any.Items), func(n *source.Node) bool { return r.get(of(n)) == "" })
	if len(there) == 0 {
		there = any.Items[:1]
	}
	return len(there) == 1 && of(there[0]) == key
}

// Words lists all that the value can be; nil where it is free.
func (r Rule) Words() []string {
	list := r.to.Get("enum")
	if list == nil {
		return nil
	}
	words := make([]string, len(list.Items))
	for i, word := range list.Items {
		words[i] = word.Scalar
	}
	return words
}

// Kind is the first kind of value that may stand there, by the word of the
// schema: object, array, string; "" where it may be any.
func (r Rule) Kind() string {
	t := r.to.Get("type")
	if t == nil {
		return ""
	}
	if t.Kind == source.List && len(t.Items) > 0 {
		t = t.Items[0]
	}
	return t.Scalar
}

// Title and Description are the words for the place.
func (r Rule) Title() string       { return r.words("title") }
func (r Rule) Description() string { return r.words("description") }

func (r Rule) words(key string) string {
	for _, n := range []*source.Node{r.site, r.to} {
		if w := n.Get(key); w != nil {
			return w.Scalar
		}
	}
	return ""
}

// Refuses says why a text cannot stand there as a value, "" where it can.
func (r Rule) Refuses(text string) string {
	if !r.refuses(text) {
		return ""
	}
	why := "it cannot be " + quote(text)
	if form := r.to.Get("description"); form != nil {
		why += "; " + strings.TrimSuffix(lower(form.Scalar), ".")
	}
	return why
}

func (r Rule) refuses(text string) bool {
	length := utf8.RuneCountInString(text)
	whole, err := strconv.Atoi(text)
	pattern := r.to.Get("pattern")
	switch {
	case r.to == nil:
		return false
	case r.Kind() == "integer" && err != nil:
		return true
	case r.to.Get("enum") != nil:
		return !slices.Contains(r.Words(), text)
	case pattern != nil && !expression(pattern.Scalar).MatchString(text):
		return true
	}
	return below(length, r.to.Get("minLength")) || above(length, r.to.Get("maxLength")) ||
		err == nil && (below(whole, r.to.Get("minimum")) || above(whole, r.to.Get("maximum")))
}

func below(n int, limit *source.Node) bool {
	least, err := bound(limit)
	return err == nil && n < least
}

func above(n int, limit *source.Node) bool {
	most, err := bound(limit)
	return err == nil && n > most
}

func bound(limit *source.Node) (int, error) {
	if limit == nil {
		return 0, strconv.ErrSyntax
	}
	return strconv.Atoi(limit.Scalar)
}

var expressions sync.Map // string -> *regexp.Regexp

// expression is a pattern of a schema; a test compiles all of them.
func expression(pattern string) *regexp.Regexp {
	if e, ok := expressions.Load(pattern); ok {
		return e.(*regexp.Regexp)
	}
	e := regexp.MustCompile(pattern)
	expressions.Store(pattern, e)
	return e
}
