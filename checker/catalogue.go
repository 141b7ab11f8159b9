package checker

import (
	"fmt"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"kitgauge/checker/kit"
	"kitgauge/checker/source"
	"kitgauge/checker/value"
	"kitgauge/schema"
)

// catalogues keeps what was read, so that many kits share one reading.
type catalogues struct {
	mu    sync.Mutex
	files map[string]*catalogueFile
}

type catalogueFile struct {
	once     sync.Once
	file     *kit.File // nil where it could not be read
	problems []*source.Problem
	err      string // why it could not be read, "" where it could
}

// catalogue joins the files that a kit names, and those that they include.
func (c *Checker) catalogue(k *kit.Kit) (*kit.Catalogue, []*source.Problem) {
	w := walk{checker: c, seen: map[string]bool{}}
	from := ""
	if k.Node != nil {
		from = k.Node.Pos().File
	}
	w.names(from, k.Catalogues)
	joined, twice := kit.NewCatalogue(w.files)
	return joined, append(w.problems, twice...)
}

// walk follows the names of catalogues from file to file.
type walk struct {
	checker  *Checker
	seen     map[string]bool
	open     []string // the files whose includes are being followed
	files    []*kit.File
	problems []*source.Problem
}

func (w *walk) fail(n *source.Node, message, remedy string) {
	w.problems = append(w.problems, &source.Problem{Pos: n.Pos(), Message: message, Remedy: remedy, Node: n})
}

func (w *walk) names(from string, list []value.Text) {
	for _, name := range list {
		if !name.Known {
			continue
		}
		tree, file, why := Beside(from, name.V)
		if why != "" {
			w.fail(name.Node, why, "name a catalogue of the same tree, relative to this file")
			continue
		}
		if i := slices.Index(w.open, file); i >= 0 {
			w.fail(name.Node, fmt.Sprintf("the catalogues include each other: %s", strings.Join(append(w.open[i:], file), " -> ")), "take one of the includes out")
			continue
		}
		if w.seen[file] {
			continue
		}
		w.seen[file] = true
		w.file(tree, file, name)
	}
}

func (w *walk) file(tree, file string, name value.Text) {
	read := w.checker.catalogueFile(tree, file)
	if read.err != "" {
		w.fail(name.Node, read.err, "correct the name, relative to the file that holds it")
		return
	}
	w.problems = append(w.problems, read.problems...)
	if read.file == nil {
		return
	}
	w.files = append(w.files, read.file)
	w.open = append(w.open, file)
	w.names(file, read.file.Include)
	w.open = w.open[:len(w.open)-1]
}

// catalogueEndings are the endings of the names of catalogues. No other file
// is opened because a kit names it.
var catalogueEndings = []string{".parts.yaml", ".parts.yml", ".parts.json"}

// Beside joins the name of a catalogue with the place of the file that names
// it. The name may go up, but not out of the tree: the directory in which the
// command runs where that holds the file, else the parent of the file's own.
func Beside(from, name string) (tree, file, why string) {
	name = filepath.ToSlash(name)
	if !slices.ContainsFunc(catalogueEndings, func(e string) bool { return strings.HasSuffix(name, e) }) {
		return "", "", fmt.Sprintf("%q is not the name of a parts catalogue: it ends in %s", name, strings.Join(catalogueEndings, ", "))
	}
	if path.IsAbs(name) || filepath.VolumeName(name) != "" {
		return "", "", fmt.Sprintf("%q is an absolute path", name)
	}
	from = filepath.ToSlash(from)
	tree = "."
	if path.IsAbs(from) || strings.HasPrefix(from, "../") {
		tree = path.Dir(path.Dir(from))
	}
	file = path.Join(path.Dir(from), name)
	if rel, err := filepath.Rel(tree, file); err != nil || rel == ".." || strings.HasPrefix(filepath.ToSlash(rel), "../") {
		return "", "", fmt.Sprintf("%q leads out of the tree that holds the kit", name)
	}
	return tree, file, ""
}

// readWithin reads a file below a tree; a symbolic link cannot lead out of it.
func readWithin(tree, file string) ([]byte, error) {
	rel, err := filepath.Rel(tree, file)
	if err != nil {
		return nil, err
	}
	root, err := os.OpenRoot(tree)
	if err != nil {
		return nil, err
	}
	defer root.Close()
	f, err := root.Open(rel)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return Read(f)
}

func (c *Checker) catalogueFile(tree, file string) *catalogueFile {
	c.catalogues.mu.Lock()
	if c.catalogues.files == nil {
		c.catalogues.files = map[string]*catalogueFile{}
	}
	f := c.catalogues.files[file]
	if f == nil {
		f = new(catalogueFile)
		c.catalogues.files[file] = f
	}
	c.catalogues.mu.Unlock()
	f.once.Do(func() { f.read(tree, file, c.options.ReadFile) })
	return f
}

func (f *catalogueFile) read(tree, file string, readFile func(tree, file string) ([]byte, error)) {
	text, err := readFile(tree, file)
	if err != nil {
		f.err = fmt.Sprintf("the catalogue %s cannot be read: %s", file, Cause(err))
		return
	}
	docs, problems := source.Parse(file, text)
	f.problems = problems
	if len(docs) == 0 {
		return
	}
	f.problems = append(f.problems, schema.Validate("parts", docs[0].Root)...)
	read, more := kit.ReadFile(docs[0])
	f.file, f.problems = read, append(f.problems, more...)
}
