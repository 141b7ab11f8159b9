// Package rules holds the built-in rule packs and their fault cards, as data.
package rules

import (
	"embed"
	"slices"
	"strings"
)

//go:embed *.yaml
var packs embed.FS

//go:embed cards/*.yaml
var cards embed.FS

// Compiled holds the packs' expressions, type-checked: package engine reads
// it, and passes over what was not made from the packs as they are. It is
// written by
//
//	go generate ./...
//
//go:embed compiled.bin
var Compiled []byte

// Names lists the built-in packs in alphabetical order.
func Names() []string {
	entries, err := packs.ReadDir(".")
	if err != nil {
		panic(err) // the packs are part of the program
	}
	var names []string
	for _, e := range entries {
		names = append(names, strings.TrimSuffix(e.Name(), ".yaml"))
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
