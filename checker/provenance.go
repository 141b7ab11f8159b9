package checker

import (
	"fmt"
	"path/filepath"

	"kitgauge/checker/engine"
	"kitgauge/rules"
)

// Role says what part a text has in a check.
type Role string

// The roles, in the order in which they are listed.
const (
	RoleKit         Role = "kit"
	RoleConcessions Role = "concessions"
	RoleCatalogue   Role = "catalogue"
	RoleSettings    Role = "settings"
	RolePack        Role = "rule pack"
)

// Input is a text that went into the check of a kit.
type Input struct {
	Role Role
	// Name is that of the file, with forward slashes, relative to Dir of the
	// options where that is set; of a pack of the program it is the pack's name.
	Name    string
	BuiltIn bool   // part of the program
	Text    []byte // as it was read; not to be changed
}

// inDir is the path of a file that is named relative to Dir.
func (o *Options) inDir(file string) string {
	if o.Dir == "" || filepath.IsAbs(file) {
		return file
	}
	return filepath.Join(o.Dir, filepath.FromSlash(file))
}

// readInTree reads a file for the file that names it, both relative to Dir.
func (o *Options) readInTree(from, file string) ([]byte, error) {
	return readInTree(o.inDir(from), o.inDir(file))
}

// beneath is the name of a file that is named relative to Dir, in the one
// form that does not depend on the way that led to it.
func (o *Options) beneath(file string) string { return o.relative(o.inDir(file)) }

// relative is the name, relative to Dir, of a file that is named relative to
// the working directory.
func (o *Options) relative(file string) string {
	if o.Dir == "" {
		return filepath.ToSlash(file)
	}
	dir, err := filepath.Abs(o.Dir)
	if err != nil {
		return filepath.ToSlash(file)
	}
	abs, err := filepath.Abs(filepath.FromSlash(file))
	if err != nil {
		return filepath.ToSlash(file)
	}
	rel, err := filepath.Rel(dir, abs)
	if err != nil {
		return filepath.ToSlash(abs)
	}
	return filepath.ToSlash(rel)
}

// named gives inputs their names relative to Dir.
func (o *Options) named(list []Input) []Input {
	for i := range list {
		list[i].Name = o.relative(list[i].Name)
	}
	return list
}

// builtIn lists the packs in use that are part of the program.
func builtIn(packs []*engine.Pack) []Input {
	var list []Input
	for _, p := range packs {
		if file, text, found := rules.Pack(p.Name); found && file == p.File {
			list = append(list, Input{Role: RolePack, Name: p.Name, BuiltIn: true, Text: text})
		}
	}
	return list
}

// With returns a Checker with other options that uses the built-in packs of
// c, so that they are read once. The Packs of the options are not looked at.
func (c *Checker) With(o Options) *Checker {
	o.Packs, o.added = c.options.Packs, c.options.added
	if o.ReadFile == nil {
		o.ReadFile = o.readInTree
	}
	return &Checker{options: o, packs: c.packs}
}

// ReadBeside reads a file as catalogues are read: for the file that names it,
// and no further than its tree.
func (c *Checker) ReadBeside(from, file string) ([]byte, error) {
	return c.options.ReadFile(from, file)
}

// BuiltInPack is the text of a pack that is part of the program.
func BuiltInPack(name string) ([]byte, error) {
	_, text, found := rules.Pack(name)
	if !found {
		return nil, fmt.Errorf("there is no built-in rule pack %q", name)
	}
	return text, nil
}
