// Package rules holds the built-in rule packs and their fault cards, as data.
package rules

import (
	"embed"
	"slices"
	"strings"
)

// packs holds the packs, and compiled.bin where it is there: a pattern that
// matches both lets the program be built without what is made from the packs.
//
//go:embed *.[yb]*
var packs embed.FS

//go:embed cards/*.yaml
var cards embed.FS

// Compiled holds the packs' expressions, type-checked: package engine reads
// it, and passes over what was not made from the packs as they are. It is
// written by
//
//	go generate ./...
//
// Without it a check takes longer.
func Compiled() []byte {
	data, _ := packs.ReadFile("compiled.bin")
	return data
}

// Names lists the built-in packs in alphabetical order.
func Names() []string {
	entries, err := packs.ReadDir(".")
	if err != nil {
		panic(err) // the packs are part of the program
	}
	var names []string
	for _, e := range entries {
		if name, is := strings.CutSuffix(e.Name(), ".yaml"); is {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return names
}

// Pack returns the text of a pack and the name under which it is reported.
func Pack(name string) (file string, text []byte, found bool) {
	file = name + ".yaml"
	text, err := packs.ReadFile(file)
	return "rules/" + file, text, err == nil
}

// Cards returns the text of a pack's fault cards.
func Cards(name string) (file string, text []byte, found bool) {
	file = "cards/" + name + ".yaml"
	text, err := cards.ReadFile(file)
	return "rules/" + file, text, err == nil
}
