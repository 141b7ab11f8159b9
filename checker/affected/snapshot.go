package affected

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path"
	"path/filepath"

	"kitgauge/checker/files"
)

// snapshot is the tree at one end of the range: the working tree, or a commit
// told by how the working tree departs from it. Files are named by their
// paths from the top, with slashes.
type snapshot struct {
	repository *repository
	root       *os.Root
	departs    map[string]change // nil for the working tree itself
	index      *Index            // in its place, where it is not nil
}

// errOpaque says that a file is there and its text is not: a link, or part of
// a submodule, of a commit.
var errOpaque = errors.New("the text of the file is not known")

// read returns the text of a file; fs.ErrNotExist where it is not there.
func (s *snapshot) read(ctx context.Context, file string) ([]byte, error) {
	if s.index != nil {
		return s.index.text(file)
	}
	c, departs := s.departs[file]
	switch {
	case !departs:
		return s.present(file)
	case c.was == "":
		return nil, fs.ErrNotExist
	case c.was == symlink || c.was == submodule:
		return nil, errOpaque
	}
	return s.repository.blob(ctx, c.object)
}

// present reads a file of the working tree; no link leads out of it.
func (s *snapshot) present(file string) ([]byte, error) {
	return files.ReadIn(s.root, filepath.FromSlash(file))
}

// has reports whether there is such a file.
func (s *snapshot) has(file string) bool {
	if s.index != nil {
		_, err := s.index.entry(file)
		return err == nil
	}
	if c, departs := s.departs[file]; departs {
		return c.was != ""
	}
	info, err := s.root.Stat(filepath.FromSlash(file))
	return err == nil && info.Mode().IsRegular()
}

// there reports whether there is something of that name, if a directory, or a
// link that leads nowhere.
func (s *snapshot) there(file string) bool {
	if s.index != nil {
		_, is := s.index.entries[file]
		return is || s.index.dirs[file]
	}
	if c, departs := s.departs[file]; departs {
		return c.was != ""
	}
	_, err := s.root.Lstat(filepath.FromSlash(file))
	return err == nil
}

// state is what is known of a file between the ends of the range.
type state struct {
	change
	changed bool
	opaque  bool   // it changed, and what in it did cannot be told
	how     string // in words, where it is opaque
}

// stateOf tells whether a file changed, by its path or by what it leads to.
func (f *finder) stateOf(file string) state {
	if !fs.ValidPath(file) {
		return state{changed: true, opaque: true, how: f.outside(file)}
	}
	if c, changed := f.changes[file]; changed {
		return state{change: c, changed: true, opaque: c.special(), how: "it is a link"}
	}
	for dir := path.Dir(file); dir != "."; dir = path.Dir(dir) {
		c, changed := f.changes[dir]
		if f.tracked[dir] == submodule || c.is == submodule {
			return state{changed: changed, opaque: changed, how: "it lies in another repository, " + f.show(dir) + c.moved()}
		}
	}
	to := f.target(file)
	if to == "" {
		return state{changed: true, opaque: true, how: "it leads out of the repository"}
	}
	if to == file {
		return state{}
	}
	s := f.stateOf(to)
	return state{changed: s.changed, opaque: s.changed, how: "it leads to " + f.show(to) + ", which changed"}
}

// outside says where a file lies that is not of the repository.
func (f *finder) outside(file string) string {
	if top := files.Repository(filepath.Join(f.repository.dir, filepath.FromSlash(path.Dir(file)))); top != "" {
		if name, err := files.Relative(f.here, top); err == nil {
			return "it lies in another repository, " + name
		}
	}
	return "it lies outside of the repository"
}

// target is the path to which a file's links lead, "" where that is outside.
func (f *finder) target(file string) string {
	if x := f.query.Index; x != nil {
		if to, err := x.resolve(file); err == nil {
			return to
		}
		return "" // or in a circle
	}
	to, err := filepath.EvalSymlinks(filepath.Join(f.repository.dir, filepath.FromSlash(file)))
	if err != nil {
		return file // it is gone, and has no links
	}
	rel, err := filepath.Rel(f.repository.dir, to)
	if err != nil || !filepath.IsLocal(rel) {
		return ""
	}
	return filepath.ToSlash(rel)
}
