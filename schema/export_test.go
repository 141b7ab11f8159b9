package schema

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"kitgauge/checker/source"
)

// full are the schemas as they are published, compiled.
var full = map[string]*document{}

func init() {
	for name, d := range documents {
		full[name] = newDocument(name, d.text, false)
		var tree any
		if err := json.Unmarshal(d.text, &tree); err != nil {
			panic(err)
		}
		text, err := json.Marshal(shape(tree, nil))
		if err != nil {
			panic(err)
		}
		shapes[name] = newDocument(name, text, false)
	}
}

// Fits is the library's verdict alone, on a file as encoding/json has it.
func Fits(name string, file any) bool { return full[name].compiled().Validate(file) == nil }

// shapes are the schemas as they are published, without what rules ask for.
var shapes = map[string]*document{}

// FitsShape is the library's verdict on a file, whatever the rules say of it.
func FitsShape(name string, file any) bool { return shapes[name].compiled().Validate(file) == nil }

// shape takes from a schema what it requires of the members of which rules tell
// that they are missing; around are the members of the group that it is a part of.
func shape(schema any, around map[string]any) any {
	switch s := schema.(type) {
	case []any:
		for i := range s {
			s[i] = shape(s[i], around)
		}
	case map[string]any:
		if own, has := s["properties"].(map[string]any); has && s["additionalProperties"] != nil { // no condition
			around = own
		}
		if list, has := s["required"].([]any); has && around != nil {
			s["required"] = slices.DeleteFunc(list, func(key any) bool {
				m, _ := around[key.(string)].(map[string]any)
				return strings.HasPrefix(fmt.Sprint(m["$comment"]), "Rules tell")
			})
		}
		for key := range s {
			s[key] = shape(s[key], around)
		}
	}
	return schema
}

// ValidateInFull is Validate with the schema as it is published.
func ValidateInFull(name string, root *source.Node) []*source.Problem {
	return full[name].validate(root)
}

// Lean lists the schemas that have a lean form.
func Lean() []string {
	return slices.DeleteFunc(Names(), func(name string) bool {
		return !documents[name].lean
	})
}

// Measured tells the schema of a measured value.
func Measured(n *source.Node) bool { return measured(n) }

// Tree is the schema as a tree.
func Tree(name string) *source.Node { return documents[name].tree() }

// MaxListed is the number of problems after which no more are listed.
const MaxListed = maxListed

// Compile compiles a schema anew.
func Compile(name string) { compile(name, documents[name].decides()) }
