package checker

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"kitgauge/checker/source"
)

// Cause says in plain words why a file could not be read or written.
func Cause(err error) string {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "there is no such file"
	case errors.Is(err, fs.ErrPermission):
		return "access is not permitted"
	}
	var pathErr *fs.PathError
	if errors.As(err, &pathErr) {
		return pathErr.Err.Error()
	}
	return err.Error()
}

// Read reads all of a stream up to the largest file that is accepted.
func Read(r io.Reader) ([]byte, error) {
	text, err := io.ReadAll(io.LimitReader(r, source.MaxBytes+1))
	if err != nil {
		return nil, errors.New(Cause(err))
	}
	return text, nil
}

// ReadFile reads a file up to the largest that is accepted.
func ReadFile(name string) ([]byte, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, errors.New(Cause(err))
	}
	defer f.Close()
	return Read(f)
}

// kitEndings are the endings of the names of kit files.
var kitEndings = []string{".kit.yaml", ".kit.yml", ".kit.json"}

// IsKitName reports whether a file's name is that of a kit.
func IsKitName(name string) bool {
	return slices.ContainsFunc(kitEndings, func(e string) bool { return strings.HasSuffix(name, e) })
}

// Find lists the kit files for the names given: a file stands for itself, a
// directory for every kit file below it. The order is that of the names, and
// alphabetical within a directory. A file that is named twice is listed once.
func Find(names []string) ([]string, error) {
	var files []string
	seen := map[string]bool{}
	add := func(name string) {
		name = filepath.ToSlash(filepath.Clean(name))
		if !seen[name] {
			seen[name] = true
			files = append(files, name)
		}
	}
	for _, name := range names {
		info, err := os.Stat(name)
		if err != nil {
			return nil, fmt.Errorf("%s: %s", name, Cause(err))
		}
		if !info.IsDir() {
			add(name)
			continue
		}
		before := len(files)
		err = filepath.WalkDir(name, func(path string, d fs.DirEntry, err error) error {
			if err != nil {
				return fmt.Errorf("%s: %s", path, Cause(err))
			}
			if d.IsDir() && path != name && strings.HasPrefix(d.Name(), ".") {
				return filepath.SkipDir
			}
			if !d.IsDir() && IsKitName(d.Name()) {
				add(path)
			}
			return nil
		})
		if err != nil {
			return nil, err
		}
		if len(files) == before {
			return nil, fmt.Errorf("%s: no kit file below this directory: their names end in %s", name, strings.Join(kitEndings, ", "))
		}
	}
	return files, nil
}

// Line returns the text of a line of the kit, or of a catalogue that it uses.
func (c *Checker) Line(r *Result, pos source.Pos) string {
	if r.Text != nil && pos.File == r.File {
		return r.Text.Line(pos.Line)
	}
	f := c.catalogues.look(pos.File)
	if f != nil && f.file != nil && f.file.Node != nil {
		return f.file.Node.Document().Line(pos.Line)
	}
	return ""
}
