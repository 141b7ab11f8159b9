// Package examples holds the example kits and their parts catalogue. They
// are the clean kits on which the fault cards of the rules are played.
package examples

import (
	"embed"
	"path"
)

//go:embed gritter/gritter.kit.yaml loader/loader.kit.yaml trailer/trailer.kit.yaml parts
var files embed.FS

// Kit returns an example kit by its short name ("gritter"), with the name of
// its file in this package.
func Kit(name string) (file string, text []byte, found bool) {
	file = path.Join(name, name+".kit.yaml")
	text, err := files.ReadFile(file)
	return file, text, err == nil
}

// Names lists the example kits by their short names.
func Names() []string {
	entries, err := files.ReadDir(".")
	if err != nil {
		panic(err) // the examples are part of the program
	}
	var names []string
	for _, e := range entries {
		if _, _, found := Kit(e.Name()); found {
			names = append(names, e.Name())
		}
	}
	return names
}

// ReadFile reads a file of the examples; it is what a check of one of the
// kits reads its catalogues with.
func ReadFile(_, file string) ([]byte, error) { return files.ReadFile(file) }
