package affected

import (
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

// Policy finds the place by which kits are judged: a directory that is laid out
// as the tree of the kits is, a settings file, a git revision, or a settings
// file in one, as REV:PATH.
func Policy(ctx context.Context, name string) (*checker.Policy, error) {
	if info, err := os.Stat(name); err == nil {
		if info.IsDir() {
			return besides(name)
		}
		return alone(name)
	}
	revision, file, found := strings.Cut(name, ":")
	if revision == "" || found && file == "" {
		return nil, fmt.Errorf("%q names neither a directory, a settings file nor a git revision", report.Visible(name))
	}
	from, err := At(ctx, revision)
	if err != nil {
		return nil, err
	}
	p := &checker.Policy{Name: name, Read: func(file string) ([]byte, error) { return from.inPlace(ctx, file) }}
	if !found {
		return p, nil
	}
	p.File = from.Beneath(file)
	if _, err := from.ReadFile(ctx, p.File); err != nil {
		return nil, fmt.Errorf("%s: %s", report.Visible(name), files.PlainError(err))
	}
	return p, nil
}

// inPlace reads what the commit has in place of a file of the working tree;
// what lies outside of the tree is read as it stands.
func (c *Commit) inPlace(ctx context.Context, file string) ([]byte, error) {
	here, err := workingDirectory()
	if err != nil {
		return nil, err
	}
	rel, err := relative(here, file)
	if err != nil {
		return nil, err
	}
	if !fs.ValidPath(path.Join(c.below, rel)) {
		return files.ReadFile(file)
	}
	return c.ReadFile(ctx, rel)
}

// relative is the name of a file as seen from a directory, of which no link
// leads to another place.
func relative(dir, file string) (string, error) {
	if !filepath.IsAbs(file) {
		return path.Clean(filepath.ToSlash(file)), nil
	}
	folder, base := filepath.Split(file)
	if real, err := filepath.EvalSymlinks(folder); err == nil {
		file = filepath.Join(real, base)
	}
	return files.Relative(dir, file)
}

// besides is a directory that is laid out as the tree of the kits is.
func besides(dir string) (*checker.Policy, error) {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, errors.New(files.PlainError(err))
	}
	return &checker.Policy{Name: filepath.ToSlash(dir), Read: func(file string) ([]byte, error) {
		top, err := files.Tree(".")
		if err != nil {
			return nil, err
		}
		rel, err := files.Relative(top, file)
		if err != nil || !filepath.IsLocal(rel) {
			return files.ReadFile(file)
		}
		return files.ReadIn(root, filepath.FromSlash(rel))
	}}, nil
}

// alone is a settings file for all kits, with the packs that it names. It holds
// no concessions, so that none counts.
func alone(name string) (*checker.Policy, error) {
	name = filepath.ToSlash(filepath.Clean(name))
	return &checker.Policy{Name: name, File: name, Read: func(file string) ([]byte, error) {
		top, err := files.Tree(".")
		if err != nil {
			return nil, err
		}
		rel, err := files.Relative(top, file)
		switch {
		case file == name || err != nil || !filepath.IsLocal(rel):
			return files.ReadFile(file)
		case files.IsPackName(file):
			return files.ReadInTree(name, file)
		}
		return nil, fs.ErrNotExist
	}}, nil
}
