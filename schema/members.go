package schema

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"kitgauge/checker/source"
	"kitgauge/checker/spelling"
)

// names returns the test of which keys a group may have.
func names(rule *source.Node) func(key string) bool {
	if patterns := rule.Get("patternProperties"); patterns != nil {
		return regexp.MustCompile(patterns.Members[0].Key).MatchString
	}
	properties := rule.Get("properties")
	return func(key string) bool { return properties.Get(key) != nil }
}

// unknown says that a group has no such member.
func (f fault) unknown() (message, remedy string) {
	if f.rule.Get("patternProperties") != nil { // keys are names of the writer's own
		return fmt.Sprintf("%s cannot hold the name %s", f.label(), quote(f.key)),
			"names are in lower case, with an underscore between the words, as in " + f.named()
	}
	known := f.known()
	message = fmt.Sprintf("there is no member %s here", quote(f.key))
	hint := spelling.Hint(f.key, known)
	if spelling.Hinted(hint) != "" {
		return message + hint, ""
	}
	return message + hint, "the members here are " + strings.Join(known, ", ")
}

// named is a name that the writer could give, from the first example of a
// group.
func (f fault) named() string {
	for _, example := range f.rule.Get("examples").Items {
		if example.Kind == source.Map {
			return example.Members[0].Key
		}
	}
	panic("schema: no example of a group at " + f.rule.Pointer())
}

// meant is the key that a misspelt one stands for, as far as the group does
// not have it already. In a group with other members that are none of it, which
// may be a thing of another kind, no key is certain.
func (f fault) meant() string {
	if f.keyword != "additionalProperties" || f.rule.Get("patternProperties") != nil {
		return ""
	}
	known := f.known()
	near := certain(f.key, known)
	if f.at.Get(near) != nil {
		return ""
	}
	for _, m := range f.at.Members[:min(len(f.at.Members), maxListed)] {
		if m.Key != f.key && !slices.Contains(known, m.Key) && certain(m.Key, known) == "" {
			return ""
		}
	}
	return near
}

// missing says that a member has to be there; nothing where a misspelt key
// in its place says so already.
func (f fault) missing() (message, remedy string) {
	if f.misspelt(f.key) {
		return "", ""
	}
	return f.key + " is missing from " + f.group(), example(f.member(f.key), f.key)
}

// choice says that none, or more than one, of several members is there.
func (f fault) choice() (message, remedy string) {
	var keys, there []string
	for _, branch := range f.rule.Get(f.keyword).Items {
		key := branch.At("required", "0").Scalar
		if f.misspelt(key) {
			return "", ""
		}
		keys = append(keys, key)
		if f.at.Get(key) != nil {
			there = append(there, key)
		}
	}
	if len(there) > 1 {
		return strings.Join(there, " and ") + " stand together in " + f.group(), "keep one of them"
	}
	return strings.Join(keys, " or ") + " is missing from " + f.group(), "write one of them"
}

// described is the innermost part of the schema round the rule that has the
// key: a rule may be a branch of another, which has the members and the title.
func (f fault) described(key string) *source.Node {
	n := f.rule
	for n != nil && n.Get(key) == nil {
		n = n.Parent()
	}
	return n.Get(key)
}

// known lists the keys that the group may have, in the order of the schema.
func (f fault) known() []string {
	properties := f.described("properties")
	keys := make([]string, len(properties.Members))
	for i, m := range properties.Members {
		keys[i] = m.Key
	}
	return keys
}

// misspelt reports whether an unknown key of the group was probably meant to
// be this one.
func (f fault) misspelt(key string) bool {
	properties := f.described("properties")
	if properties.Parent().Get("additionalProperties") == nil {
		return false // other members may stand here, and are not reported
	}
	known := f.known()
	for _, m := range f.at.Members[:min(len(f.at.Members), maxListed)] {
		if properties.Get(m.Key) == nil && spelling.Nearest(m.Key, known) == key {
			return true
		}
	}
	return false
}

// member is the schema of one member of the group.
func (f fault) member(key string) *source.Node {
	n := f.described("properties").Get(key)
	if r := n.Get("$ref"); r != nil && n.Get("description") == nil {
		return n.Document().Root.Lookup(strings.TrimPrefix(r.Scalar, "#"))
	}
	return n
}

// group names the group of members in the words of the schema: "this line".
func (f fault) group() string {
	return "this " + lower(f.described("title").Scalar)
}

// example says how a member is written.
func example(member *source.Node, key string) string {
	switch kind := follow(member.Document().Root, member).Get("type"); {
	case kind != nil && kind.Scalar == "array":
		return "write " + key + ": with its items below it, each after a dash"
	case kind != nil && kind.Scalar == "object":
		return "write " + key + ": with its members below it"
	}
	if first := member.At("examples", "0"); first != nil {
		return "write it, as in " + key + ": " + first.Scalar
	}
	// What an editor would offer as a value, and is none of this file, is no example.
	says, _, _ := strings.Cut(lower(member.Get("description").Scalar), ". ")
	return "write " + key + ": " + strings.TrimSuffix(says, ".")
}
