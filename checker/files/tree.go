package files

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// Tree is the directory that the catalogues of a kit may not leave: the
// repository that holds the kit; outside of one, the parent of the kit's
// directory, or the working directory where that is higher.
func Tree(dir string) (string, error) {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return "", err
	}
	if top := Repository(dir); top != "" {
		return top, nil
	}
	top := filepath.Dir(dir)
	if here, err := os.Getwd(); err == nil && Within(here, top) {
		top = here
	}
	return top, nil
}

// Repository is the top of the one that holds a directory, "" where none does.
func Repository(dir string) string {
	for d := dir; ; d = filepath.Dir(d) {
		if _, err := os.Stat(filepath.Join(d, ".git")); err == nil {
			return d
		}
		if d == filepath.Dir(d) {
			return ""
		}
	}
}

// Within reports whether a path is a directory or lies below it.
func Within(dir, file string) bool {
	rel, err := filepath.Rel(dir, file)
	return err == nil && rel != ".." && !strings.HasPrefix(rel, ".."+string(filepath.Separator))
}

// Relative is the name of a file as seen from a directory, with forward
// slashes.
func Relative(dir, file string) (string, error) {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return "", err
	}
	if file, err = filepath.Abs(filepath.FromSlash(file)); err != nil {
		return "", err
	}
	rel, err := filepath.Rel(dir, file)
	return filepath.ToSlash(rel), err
}

// ReadInTree reads a file for the file from, which names it; neither its name nor a
// symbolic link can lead out of the tree of from, nor to a file that is of
// another kind by its own name.
func ReadInTree(from, file string) ([]byte, error) {
	top, err := Tree(filepath.Dir(from))
	if err != nil {
		return nil, err
	}
	abs, err := filepath.Abs(file)
	if err != nil {
		return nil, err
	}
	return readBelow(top, abs)
}

// readBelow reads a file below the top of a tree.
func readBelow(top, abs string) ([]byte, error) {
	if !Within(top, abs) {
		return nil, errors.New("it lies outside of the tree that holds the kit")
	}
	root, err := os.OpenRoot(top)
	if err != nil {
		return nil, err
	}
	defer root.Close()
	rel, err := filepath.Rel(top, abs)
	if err != nil {
		return nil, err
	}
	text, err := ReadIn(root, rel)
	if err != nil {
		return nil, err
	}
	to, err := filepath.EvalSymlinks(abs)
	if err != nil {
		return nil, err
	}
	if err := SameKind(abs, to); err != nil {
		return nil, err
	}
	return text, nil
}

// SameKind refuses that a file leads to one whose own name is not of the same
// kind: no file is opened as a kit that does not call itself one.
func SameKind(file, to string) error {
	if kind := kindOf(file); kindOf(to) != kind {
		return fmt.Errorf("it is a link to %s, whose name does not end in %s", filepath.Base(to), kind)
	}
	return nil
}

// Store is where the files of a check come from in place of the disk. Names are
// relative to the working directory, or absolute.
type Store interface {
	// Read is ReadInTree of the store.
	Read(from, file string) ([]byte, error)
	// There reports whether the store has something of that name.
	There(file string) bool
}

// There reports whether the disk has something of that name, if a link that
// leads nowhere.
func There(file string) bool {
	_, err := os.Lstat(file)
	return err == nil
}

// ReadNamed reads a kit, settings or a pack that somebody named, or that was
// found below a directory that somebody named: a regular file or a link to one
// of the same tree and kind. Where the name itself is that of a pipe or a device
// that is read to its end too, and plain is false: nothing of it is shown.
func ReadNamed(name string) (text []byte, plain bool, err error) {
	info, err := os.Lstat(name)
	switch {
	case err != nil:
		return nil, false, errors.New(PlainError(err))
	case opened(name) || info.Mode()&(fs.ModeNamedPipe|fs.ModeDevice|fs.ModeSocket) != 0:
		text, err = ReadFile(name)
		return text, false, err
	}
	if text, err = ReadHeld(name); err != nil {
		return nil, false, errors.New(PlainError(err))
	}
	return text, true, nil
}

// opened tells the names of what a shell opened for the program.
func opened(name string) bool {
	name = filepath.ToSlash(filepath.Clean(name))
	return name == "/dev/stdin" || strings.HasPrefix(name, "/dev/fd/") || strings.HasPrefix(name, "/proc/self/fd/")
}

// ReadHeld reads a regular file no further than the tree that holds it. Whoever reaches a directory
// by a link from outside of any repository means the directory that it leads to.
func ReadHeld(name string) ([]byte, error) {
	abs, err := filepath.Abs(name)
	if err != nil {
		return nil, err
	}
	if dir := filepath.Dir(abs); Repository(dir) == "" {
		if dir, err = filepath.EvalSymlinks(dir); err != nil {
			return nil, err
		}
		abs = filepath.Join(dir, filepath.Base(abs))
	}
	top, err := Tree(filepath.Dir(abs))
	if err != nil {
		return nil, err
	}
	return readBelow(top, abs)
}
