package schema

import "kitgauge/checker/source"

// Fits is the library's verdict alone, on a file as encoding/json has it.
func Fits(name string, file any) bool { return documents[name].compiled().Validate(file) == nil }

// Tree is the schema as a tree.
func Tree(name string) *source.Node { return documents[name].tree() }

// MaxListed is the number of problems after which no more are listed.
const MaxListed = maxListed

// Compile compiles a schema anew.
func Compile(name string) { compile(name, documents[name].text) }
