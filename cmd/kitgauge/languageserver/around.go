package languageserver

import (
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"

	"kitgauge/checker/editor"
	"kitgauge/checker/files"
	"kitgauge/checker/settings"
)

// mostWalked is how many files and directories are looked through for kits: a
// person may have opened all that a disk holds.
const mostWalked = 20_000

// kits are the kits that may use what stands in some catalogues, which a document
// holds or names: those of the widest tree around all of these that can be looked
// through. The error says which one to open where some kits stay unseen.
func (l look) kits(catalogues []string) (list []string, err error) {
	s := l.server
	held := append([]string{l.d.path}, catalogues...)
	s.mu.Lock()
	for _, d := range s.documents {
		if d.isKit() {
			list = append(list, d.path)
		}
	}
	opened := holding(s.roots, held)
	s.mu.Unlock()
	err = fmt.Errorf("other kits may use it as well, and not all were looked at: nothing is changed; open %s as the root in the editor, and ask again", s.toOpen(common(held), opened))
	for _, dir := range treesAround(held, opened) {
		more, all := below(dir, s.options.most, files.IsKitName)
		if all {
			list, err = append(list, more...), nil
			break
		}
	}
	slices.Sort(list)
	return slices.Compact(list), err
}

// toOpen names the directory to open: that which holds all, or a smaller one
// where that is open already.
func (s *server) toOpen(dir string, opened []string) string {
	if slices.Contains(opened, dir) {
		return fmt.Sprintf("a directory of at most %d files, which holds the kit and its catalogues,", s.options.most)
	}
	return dir
}

// treesAround are the directories that hold some files and the kits beside them,
// the widest first. Where a repository or settings bind them together, only what
// the editor has open may take its place.
func treesAround(held, opened []string) []string {
	var bound, loose []string
	for _, path := range held {
		dir := filepath.Dir(path)
		if top := files.Repository(dir); top != "" {
			bound = append(bound, top)
		}
		for _, file := range files.AllUpwards(dir, settings.FileName, files.There) {
			bound = append(bound, filepath.Dir(filepath.FromSlash(file)))
		}
		if top, err := files.Tree(dir); err == nil {
			loose = append(loose, top)
		}
		loose = append(loose, filepath.Dir(dir))
	}
	if bound = holding(bound, held); len(bound) > 0 {
		return holding(append(slices.Clone(opened), bound[0]), held)
	}
	return holding(append(slices.Clone(opened), loose...), held)
}

// holding are those directories that hold all of some files, each once, the
// widest first.
func holding(dirs, held []string) []string {
	var list []string
	for _, dir := range dirs {
		out := slices.ContainsFunc(held, func(path string) bool { return !files.Within(dir, path) })
		if !out && !slices.Contains(list, dir) {
			list = append(list, dir)
		}
	}
	slices.SortFunc(list, func(a, b string) int { return len(a) - len(b) })
	return list
}

// common is the deepest directory that holds some files.
func common(held []string) string {
	dir := filepath.Dir(held[0])
	for len(holding([]string{dir}, held)) == 0 && dir != filepath.Dir(dir) {
		dir = filepath.Dir(dir)
	}
	return dir
}

// below lists the files of a directory with some names, as a check of it finds
// them; all is false where it holds too much to look through.
func below(dir string, most int, is func(name string) bool) (list []string, all bool) {
	walked := 0
	_ = filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		walked++
		switch {
		case err != nil:
			return nil // it hides no other
		case walked > most:
			return fs.SkipAll
		case d.IsDir() && path != dir && strings.HasPrefix(d.Name(), "."):
			return fs.SkipDir
		case !d.IsDir() && is(d.Name()):
			list = append(list, path)
		}
		return nil
	})
	return list, walked <= most
}

// wider is a view that looks at all kits that may use the part at a byte; the
// error says why they are not all known. Of what is no part it is the view.
func (l look) wider(v *editor.View, at int) (*editor.View, error) {
	var catalogues []string
	for _, p := range v.Definition(at) {
		if files.IsCatalogueName(p.Path) {
			catalogues = append(catalogues, p.Path)
		}
	}
	if len(catalogues) == 0 {
		return v, nil
	}
	kits, err := l.kits(catalogues)
	return l.viewOf(v, kits), err
}
