package checker

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"kitgauge/checker/files"
	"kitgauge/checker/kit"
	"kitgauge/checker/source"
	"kitgauge/checker/value"
	"kitgauge/schema"
)

// catalogueFile is one file as it was read.
type catalogueFile struct {
	text     []byte
	file     *kit.File // nil where it could not be read
	problems []*source.Problem
	cut      []*source.Problem        // those after which parts may be missing
	shape    func() []*source.Problem // what the JSON Schema says, which takes longest
	err      string                   // why it could not be read, "" where it could
}

// catalogue joins the files that a kit names, and those that they include.
// The shapes say what is wrong with theirs, once it is known.
func (c *Checker) catalogue(k *kit.Kit) (joined *kit.Catalogue, w walk) {
	w = walk{checker: c, seen: map[string]bool{}}
	if k.Node != nil {
		w.kit = k.Node.Pos().File
	}
	w.names(w.kit, k.Catalogues)
	w.misstated(k)
	joined, twice := kit.NewCatalogue(w.files, w.unread)
	w.problems = append(w.problems, twice...)
	if len(twice) > 0 { // a number that is not found may be that of one of the two
		w.lose(twice[0])
		joined, _ = kit.NewCatalogue(w.files, w.unread)
	}
	return joined, w
}

// mostCatalogues is how many files a kit may draw on in all.
const mostCatalogues = 100

// walk follows the names of catalogues from file to file.
type walk struct {
	checker  *Checker
	kit      string // the file of the kit, whose tree no catalogue may leave
	seen     map[string]bool
	open     []string // the files whose includes are being followed
	files    []*kit.File
	inputs   []Input
	bytes    int // of the texts read
	values   int // in them
	problems []*source.Problem
	entry    *source.Node               // that of the kit from which the walk came
	unread   string                     // why not all could be read, "" where they could
	told     *source.Problem            // what the kit may be told of it; nil where it is told already
	shapes   []func() []*source.Problem // what is wrong with their shape, once it is known
}

func (w *walk) fail(n *source.Node, message, remedy string) *source.Problem {
	p := &source.Problem{Pos: n.Pos(), Message: message, Remedy: remedy, Node: n}
	w.problems = append(w.problems, p)
	return p
}

// lose notes that parts of the kit's catalogues could not be read, and why. The
// kit may be told of it where it names the catalogue.
func (w *walk) lose(why *source.Problem) {
	if w.unread != "" {
		return
	}
	w.unread = why.Message
	if why.Pos.File != w.kit && w.entry != nil {
		w.unread = fmt.Sprintf("a catalogue cannot be read in full: %s: %s", why.Pos, why.Message)
		w.told = &source.Problem{Pos: w.entry.Pos(), Node: w.entry, Message: w.unread, Remedy: "mend that catalogue, or name another", Behind: why.Pos}
	}
}

// misstated notes that the kit states its catalogues as none can be stated: which
// they are is not known, and what is wrong is told at that value.
func (w *walk) misstated(k *kit.Kit) {
	if w.unread != "" || k.Node == nil {
		return
	}
	n := k.Node.Get("catalogues")
	if n == nil || n.Kind == source.Null {
		return
	}
	wrong := n.Kind != source.List
	for _, name := range k.Catalogues {
		wrong = wrong || !name.Known
	}
	if wrong {
		w.unread = "the names of the catalogues cannot be read: they are a list, as in catalogues: [../parts/winter.parts.yaml]"
	}
}

func (w *walk) names(from string, list []value.Text) {
	for _, name := range list {
		if !name.Known {
			continue
		}
		if len(w.open) == 0 {
			w.entry = name.Node
		}
		file, why := files.CatalogueBeside(from, name.V)
		if why != "" {
			w.lose(w.fail(name.Node, why, "name a catalogue of the same tree, relative to this file"))
			continue
		}
		if i := slices.Index(w.open, file); i >= 0 {
			w.fail(name.Node, fmt.Sprintf("the catalogues include each other: %s", strings.Join(append(w.open[i:], file), " -> ")), "take one of the includes out")
			continue
		}
		if w.seen[file] {
			continue
		}
		if len(w.seen) == mostCatalogues {
			w.lose(w.fail(name.Node, fmt.Sprintf("the kit needs more than %d catalogues, with those that they include", mostCatalogues), "join some of them, or leave out what is not needed"))
			return
		}
		w.seen[file] = true
		w.file(file, name)
	}
}

func (w *walk) file(file string, name value.Text) {
	read := w.checker.catalogueFile(w.kit, file)
	if read.err != "" {
		w.lose(w.fail(name.Node, read.err, "correct the name, relative to the file that holds it"))
		return
	}
	w.bytes += len(read.text)
	if read.file != nil {
		w.values += read.file.Node.Document().Values
	}
	if w.bytes > source.MaxBytes || w.values > source.MaxNodes {
		w.lose(w.fail(name.Node, fmt.Sprintf("with this one the catalogues of the kit hold more than %d MiB or %d values together", source.MaxBytes>>20, source.MaxNodes), "leave out what the kit does not need"))
		return
	}
	w.inputs = append(w.inputs, Input{Role: RoleCatalogue, Name: w.checker.options.beneath(file), Text: read.text})
	w.problems = append(w.problems, read.problems...)
	if read.shape != nil {
		w.shapes = append(w.shapes, read.shape)
	}
	if why := read.unread(); why != nil {
		w.lose(why)
	}
	if read.file == nil {
		return
	}
	w.files = append(w.files, read.file)
	w.open = append(w.open, file)
	w.names(file, read.file.Include)
	w.open = w.open[:len(w.open)-1]
}

// catalogueFile reads a catalogue once for all kits of a tree: they are checked
// with one version of it. Whether it lies in the kit's tree differs from one
// tree to another, and must not depend on which kit comes first.
func (c *Checker) catalogueFile(kit, file string) *catalogueFile {
	return c.catalogues.Get(c.inTree(kit, file), func() *catalogueFile {
		f := new(catalogueFile)
		f.read(kit, file, c.options.ReadFile)
		return f
	})
}

// unread is why parts of a catalogue that was read may be missing; nil where none
// are.
func (f *catalogueFile) unread() *source.Problem {
	if len(f.cut) > 0 {
		return f.cut[0]
	}
	if f.file == nil || f.file.Unread() == nil {
		return nil
	}
	lost := f.file.Unread()
	for _, p := range slices.Concat(f.problems, f.shape()) {
		for n := p.Node; n != nil; n = n.Parent() {
			if n == lost {
				return p
			}
		}
	}
	return &source.Problem{Pos: lost.Pos(), Node: lost, Message: "this part cannot be read"}
}

// inTree names a catalogue of a kit together with the tree that it must lie in.
func (c *Checker) inTree(kit, file string) string {
	dir := filepath.Dir(c.options.inDir(kit))
	top := c.trees.Get(dir, func() string {
		top, _ := files.Tree(dir) // without one, reading says why
		return top
	})
	return top + "\x00" + file
}

func (f *catalogueFile) read(from, file string, readFile func(from, file string) ([]byte, error)) {
	text, err := readFile(from, file)
	if err != nil {
		f.err = fmt.Sprintf("the catalogue %s cannot be read: %s", file, files.PlainError(err))
		return
	}
	f.text = text
	docs, problems := source.Parse(file, text, schema.Shape("parts"))
	problems = begins(problems, "a parts catalogue begins with parts:")
	f.cut = slices.Clone(problems)
	f.problems = append(problems, second(docs, "a catalogue")...)
	if len(docs) == 0 {
		return
	}
	if p := schema.Misplaced("parts", docs[0].Root); p != nil {
		f.problems, f.cut = []*source.Problem{p}, []*source.Problem{p}
		return
	}
	doc, long := kit.Truncate(docs[0])
	f.cut = append(f.cut, long...)
	f.shape = sync.OnceValue(func() []*source.Problem { return append(long, schema.Validate("parts", doc.Root)...) })
	go f.shape()
	read, more := kit.ReadFile(doc)
	f.file, f.problems = read, append(f.problems, more...)
}
