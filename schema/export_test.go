package schema

import (
	"slices"

	"kitgauge/checker/source"
)

// full are the schemas as they are published, compiled.
var full = map[string]*document{}

func init() {
	for name, d := range documents {
		full[name] = newDocument(name, d.text, false)
	}
}

// Fits is the library's verdict alone, on a file as encoding/json has it.
func Fits(name string, file any) bool { return full[name].compiled().Validate(file) == nil }

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

// Tree is the schema as a tree.
func Tree(name string) *source.Node { return documents[name].tree() }

// MaxListed is the number of problems after which no more are listed.
const MaxListed = maxListed

// Compile compiles a schema anew.
func Compile(name string) { compile(name, documents[name].decides()) }
