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
	site *source.Node // where it stands, with the words for this place
	to   *source.Node // what that refers to, in the end
}

// Of is the rule of a whole file, by the name of its schema.
func Of(name string) Rule {
	d, ok := documents[name]
	if !ok {
		return Rule{}
	}
	root := d.tree()
	return Rule{root, root, follow(root, root)}
}

func (r Rule) at(n *source.Node) Rule {
	if n == nil {
		return Rule{}
	}
	return Rule{r.root, n, follow(r.root, n)}
}

// Says reports whether the schema says anything of the place.
func (r Rule) Says() bool { return r.to != nil }

// Member is the rule of a member of the group.
func (r Rule) Member(key string) Rule {
	if m := r.to.Get("properties").Get(key); m != nil {
		return r.at(m)
	}
	if all := r.to.Get("allOf"); all != nil && slices.Contains(r.Keys(), key) {
		return r.at(all.Items[0].Get("then")).Member(key)
	}
	if any := r.to.Get("additionalProperties"); any != nil && any.Kind == source.Map {
		return r.at(any)
	}
	return Rule{}
}

// Item is the rule of the items of the list.
func (r Rule) Item() Rule { return r.at(r.to.Get("items")) }

// For is the rule as it is once the members are known on which it depends;
// get gives what stands under a key. While they are not, it is what all
// branches have in common.
func (r Rule) For(get func(key string) string) Rule {
	all := r.to.Get("allOf")
	if all == nil {
		return r
	}
	for _, branch := range all.Items {
		if then := branch.Get("then"); then != nil && holds(branch.Get("if"), get) {
			return Rule{r.root, r.site, follow(r.root, then)}
		}
	}
	return r
}

// holds reports whether the members are what a condition asks for.
func holds(condition *source.Node, get func(key string) string) bool {
	properties := condition.Get("properties")
	if properties == nil {
		return false
	}
	for i, m := range properties.Members {
		if is := properties.Items[i].Get("const"); is == nil || is.Scalar != get(m.Key) {
			return false
		}
	}
	return true
}

// Keys lists the members that the group can have, in the order of the schema.
func (r Rule) Keys() []string {
	var list []string
	if all := r.to.Get("allOf"); all != nil { // it is not known which
		for i, branch := range all.Items {
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

// Required reports whether the group is not whole without a member.
func (r Rule) Required(key string) bool {
	list := r.to.Get("required")
	return list != nil && slices.ContainsFunc(list.Items, func(n *source.Node) bool { return n.Scalar == key })
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
