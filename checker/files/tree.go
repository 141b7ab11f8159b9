package files

import (
	"errors"
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
	for d := dir; ; d = filepath.Dir(d) {
		if _, err := os.Stat(filepath.Join(d, ".git")); err == nil {
			return d, nil
		}
		if d == filepath.Dir(d) {
			break
		}
	}
	top := filepath.Dir(dir)
	if here, err := os.Getwd(); err == nil && Within(here, top) {
		top = here
	}
	return top, nil
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
// symbolic link can lead out of the tree of from.
func ReadInTree(from, file string) ([]byte, error) {
	top, err := Tree(filepath.Dir(from))
	if err != nil {
		return nil, err
	}
	abs, err := filepath.Abs(file)
	if err != nil {
		return nil, err
	}
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
	return ReadIn(root, rel)
}

// FindUpwards looks for a file of a name from a directory upwards to the top of
// its tree; it returns "" where there is none.
func FindUpwards(dir, name string) string {
	top, err := Tree(dir)
	if err != nil {
		return ""
	}
	abs, err := filepath.Abs(dir)
	if err != nil {
		return ""
	}
	for up := dir; Within(top, abs); up, abs = filepath.Join(up, ".."), filepath.Dir(abs) {
		file := filepath.Join(up, name)
		if info, err := os.Stat(file); err == nil && info.Mode().IsRegular() {
			return filepath.ToSlash(file)
		}
		if abs == filepath.Dir(abs) {
			break
		}
	}
	return ""
}
