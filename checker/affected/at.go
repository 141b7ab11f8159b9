package affected

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"

	"kitgauge/checker"
)

// Commit is a commit from which files are read as they were.
type Commit struct {
	repository *repository
	name       string // the full one
	below      string // the working directory, from the top of the working tree
}

// At finds the commit that a revision means in the repository that holds the
// working directory.
func At(ctx context.Context, revision string) (*Commit, error) {
	here, err := os.Getwd()
	if err == nil {
		here, err = filepath.EvalSymlinks(here)
	}
	if err != nil {
		return nil, err
	}
	r, err := open(ctx, here)
	if err != nil {
		return nil, err
	}
	below, err := filepath.Rel(r.dir, here)
	if err != nil {
		return nil, err
	}
	name, err := r.commit(ctx, revision)
	return &Commit{r, name, filepath.ToSlash(below)}, err
}

// Beneath is the name, relative to the working directory, of a file that is
// named as in REV:path: from the top of the working tree, or with ./ or ../ in
// front from the working directory.
func (c *Commit) Beneath(file string) string {
	if strings.HasPrefix(file, "./") || strings.HasPrefix(file, "../") {
		return path.Clean(file)
	}
	rel, err := filepath.Rel(filepath.FromSlash(c.below), filepath.FromSlash(path.Clean(file)))
	if err != nil {
		return path.Clean(file)
	}
	return filepath.ToSlash(rel)
}

// ReadFile returns the text of a file, named relative to the working
// directory; fs.ErrNotExist where the commit does not have it.
func (c *Commit) ReadFile(ctx context.Context, file string) ([]byte, error) {
	file = path.Join(c.below, file)
	if !fs.ValidPath(file) {
		return nil, errors.New("it lies outside of the repository")
	}
	out, err := c.repository.run(ctx, "ls-tree", "-z", "--full-tree", c.name, "--", file)
	if err != nil {
		return nil, err
	}
	head, _, found := strings.Cut(string(out), "\t")
	fields := strings.Fields(head)
	switch {
	case !found:
		return nil, fs.ErrNotExist
	case len(fields) != 3:
		return nil, fmt.Errorf("git wrote a list that is not understood: %q", head)
	case fields[0] == symlink || fields[0] == submodule:
		return nil, errOpaque
	case fields[1] != "blob":
		return nil, errors.New("it is a directory")
	}
	text, err := c.repository.blob(ctx, fields[2])
	if err != nil {
		return nil, err
	}
	return checker.Read(bytes.NewReader(text))
}
