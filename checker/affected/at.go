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
	"kitgauge/checker/files"
	"kitgauge/checker/report"
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
	here, err := workingDirectory()
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

// Check checks the kits of a file: of one that is there, or is standard input,
// or, as REV:PATH, of one as it was in a commit, with the catalogues of that
// commit.
func Check(ctx context.Context, o checker.Options, name string) (*checker.Checker, []*checker.Result, error) {
	file, from, err := kitIn(ctx, name)
	if err != nil {
		return nil, nil, fmt.Errorf("%s: %w", report.Visible(name), err)
	}
	if from == nil {
		c := checker.New(o)
		results, err := c.CheckFile(file)
		return c, results, err
	}
	text, err := from.ReadFile(ctx, file)
	if err != nil {
		return nil, nil, fmt.Errorf("%s in that commit: %s", report.Visible(file), files.PlainError(err))
	}
	o.ReadFile = func(_, file string) ([]byte, error) { return from.ReadFile(ctx, file) }
	c := checker.New(o)
	results, err := c.Check(file, text)
	return c, results, err
}

// kitIn tells where a kit is: in a file of the name, or in a commit.
func kitIn(ctx context.Context, name string) (file string, from *Commit, err error) {
	if _, err := os.Stat(name); err == nil || name == "-" {
		return name, nil, nil
	}
	revision, file, found := strings.Cut(name, ":")
	if !found || revision == "" || file == "" {
		return name, nil, nil // and reading it says what is wrong
	}
	if from, err = At(ctx, revision); err != nil {
		return "", nil, err
	}
	return from.Beneath(file), from, nil
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
	return files.Read(bytes.NewReader(text))
}
