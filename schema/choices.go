package schema

import (
	"slices"
	"strings"

	"kitgauge/checker/source"
)

// Choices lists the words that the schema of a name has for a value; nil where
// it may be anything.
func Choices(name string, value *source.Node) []string {
	root := documents[name].tree()
	rule := follow(root, root)
	for _, key := range source.Keys(value.Pointer()) {
		if properties := rule.Get("properties"); properties != nil {
			rule = follow(root, properties.Get(key))
		} else {
			rule = follow(root, rule.Get("items"))
		}
		if rule == nil {
			return nil
		}
	}
	var words []string
	if list := rule.Get("enum"); list != nil {
		for _, word := range list.Items {
			words = append(words, word.Scalar)
		}
	}
	return slices.Clip(words)
}

// follow is the rule that another refers to.
func follow(root, rule *source.Node) *source.Node {
	for rule.Get("$ref") != nil {
		rule = root.At(source.Keys(strings.TrimPrefix(rule.Get("$ref").Scalar, "#"))...)
	}
	return rule
}
