package schema

import (
	"strings"

	"kitgauge/checker/source"
)

// Choices lists the words that the schema of a name has for a value; nil where
// it may be anything.
func Choices(name string, value *source.Node) []string {
	rule := Of(name)
	for _, key := range source.Keys(value.Pointer()) {
		if rule.to.Get("properties") != nil {
			rule = rule.Member(key)
		} else {
			rule = rule.Item()
		}
	}
	return rule.Words()
}

// follow is the rule that another refers to.
func follow(root, rule *source.Node) *source.Node {
	for rule.Get("$ref") != nil {
		rule = root.At(source.Keys(strings.TrimPrefix(rule.Get("$ref").Scalar, "#"))...)
	}
	return rule
}
