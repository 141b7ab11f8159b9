// Package affected tells which kits a range of a git history changed, so that
// a check of many kits can be limited to them: those whose own file changed,
// and those that use a catalogue part, settings, a rule pack or concessions
// that did. It errs on the side of naming a kit: where what changed cannot be
// told, every kit that it concerns counts.
//
// It asks the git program, and looks at nothing but the working tree and the
// history that is there: a shallow clone does where it reaches back far
// enough.
package affected

import (
	"context"
	"errors"
	"os"
	"path"
	"path/filepath"
	"slices"
	"sort"
	"strings"

	"kitgauge/checker"
	"kitgauge/checker/files"
)

// Query says what is asked.
type Query struct {
	// Files are the kit files.
	Files []string
	// Below are the names from which Files were found. Kits that are gone
	// are looked for in the directories among them.
	Below []string
	// Revision is REV, for what the working tree changed since it branched
	// off there; A..B, for what differs between two commits; or A...B, for
	// what B changed since it branched off from A.
	Revision string
	// Settings is a settings file for all kits; where it is empty, settings
	// are looked for from each kit upwards.
	Settings string
	// Also are further files that concern every kit.
	Also []string
	// Index stands for the working tree where it is not nil: what is staged
	// since Revision, which is then no range.
	Index *Index
}

// Kit is a kit that changed.
type Kit struct {
	File    string   // as it was asked for
	Reasons []string // in words: "its catalogue parts/winter.parts.yaml changed part FG-T4"
}

// Result is the answer, in the order of the files asked for.
type Result struct {
	Base      string // the full name of the commit compared with; "" where there is none yet
	Kits      []Kit
	Unchanged int
	Gone      []string // kit files that were deleted or moved away
	// Otherwise are kits that the working tree, which a check reads, holds
	// otherwise than the end of the range.
	Otherwise []string
}

// Find tells which kits changed.
func Find(ctx context.Context, q Query) (*Result, error) {
	f := &finder{query: q}
	if err := f.prepare(ctx); err != nil {
		return nil, err
	}
	if f.span.base == "" {
		return unborn(q.Files), nil
	}
	defer f.root.Close()
	reasons := make([][]string, len(q.Files))
	faults := make([]error, len(q.Files))
	checker.Parallel(len(q.Files), func(i int) { reasons[i], faults[i] = f.reasons(ctx, q.Files[i]) })
	result := &Result{Base: f.span.base, Gone: f.gone()}
	for i, file := range q.Files {
		if faults[i] != nil {
			return nil, faults[i]
		}
		if len(reasons[i]) == 0 {
			result.Unchanged++
			continue
		}
		result.Kits = append(result.Kits, Kit{file, reasons[i]})
		if _, departs := f.after.departs[f.path(file)]; departs {
			result.Otherwise = append(result.Otherwise, file)
		}
	}
	return result, ctx.Err()
}

// unborn is the answer where nothing is committed yet: every kit is new.
func unborn(list []string) *Result {
	result := &Result{}
	for _, file := range list {
		result.Kits = append(result.Kits, Kit{file, []string{"nothing is committed yet"}})
	}
	return result
}

// finder holds what one question needs.
type finder struct {
	query      Query
	repository *repository
	root       *os.Root // of the working tree
	here       string   // the working directory
	span       span
	changes    map[string]change
	tracked    map[string]string
	deep       bool // something changed that kits may use
	before     *snapshot
	after      *snapshot
	was, is    *shelf
}

func (f *finder) prepare(ctx context.Context) error {
	var err error
	if f.here, err = workingDirectory(); err != nil {
		return err
	}
	if f.repository, err = f.open(ctx); err != nil {
		return err
	}
	if f.span, err = f.repository.resolve(ctx, f.query.Revision); err != nil || f.span.base == "" {
		return err
	}
	if f.query.Index != nil && f.span.end.commit != "" {
		return errors.New("what is staged is compared with one revision, as in HEAD, and not with a range")
	}
	if err := f.compare(ctx); err != nil {
		return err
	}
	if f.root, err = os.OpenRoot(f.repository.dir); err != nil {
		return err
	}
	f.before.root, f.after.root = f.root, f.root
	f.was = &shelf{finder: f, snapshot: f.before}
	f.is = &shelf{finder: f, snapshot: f.after}
	for file, c := range f.changes {
		own := files.IsKitName(file) || strings.HasSuffix(file, files.ConcessionsEnding)
		f.deep = f.deep || c.special() || readable(file) && !own
	}
	return nil
}

// open finds the repository of the working directory, in which a revision is
// meant; where that is in none, the one that holds all files asked for.
func (f *finder) open(ctx context.Context) (*repository, error) {
	if f.query.Index != nil {
		return f.query.Index.repository, nil
	}
	r, err := open(ctx, f.here)
	if errors.As(err, new(*noRepository)) {
		return open(ctx, f.common())
	}
	return r, err
}

// workingDirectory is its absolute name, with no link in it.
func workingDirectory() (string, error) {
	here, err := os.Getwd()
	if err != nil {
		return "", err
	}
	return filepath.EvalSymlinks(here)
}

// compare asks git for the changes, and for how the working tree departs from
// the ends of the range.
func (f *finder) compare(ctx context.Context) error {
	r := f.repository
	var err error
	if x := f.query.Index; x != nil {
		f.tracked = x.modes()
	} else if f.tracked, err = r.tracked(ctx); err != nil {
		return err
	}
	present, err := r.present(ctx, f.span.base)
	if err != nil {
		return err
	}
	f.before = &snapshot{repository: r, departs: present}
	f.after = &snapshot{repository: r}
	f.changes = present
	if f.query.Index != nil {
		f.after.index = f.query.Index
		f.changes, err = r.diff(ctx, f.span.base, "", "--cached")
		return err
	}
	if f.span.end.commit == "" {
		return nil
	}
	if f.changes, err = r.diff(ctx, f.span.base, f.span.end.commit); err != nil {
		return err
	}
	f.after.departs, err = r.present(ctx, f.span.end.commit)
	return err
}

// common is the directory that holds all files asked for.
func (f *finder) common() string {
	var dirs []string
	for _, name := range f.query.Files {
		dirs = append(dirs, filepath.Dir(f.real(name)))
	}
	if len(dirs) == 0 {
		return f.here
	}
	common := dirs[0]
	for _, d := range dirs[1:] {
		for common != filepath.Dir(common) && d != common && !strings.HasPrefix(d, strings.TrimSuffix(common, string(filepath.Separator))+string(filepath.Separator)) {
			common = filepath.Dir(common)
		}
	}
	return common
}

// real is the absolute name of a file, with no link in its directory.
func (f *finder) real(name string) string {
	name = filepath.FromSlash(name)
	if !filepath.IsAbs(name) {
		name = filepath.Join(f.here, name)
	}
	dir, base := filepath.Split(filepath.Clean(name))
	if real, err := filepath.EvalSymlinks(dir); err == nil {
		dir = real
	}
	return filepath.Join(dir, base)
}

// path is the path of a file from the top, with slashes; it begins with ..
// where the file lies outside.
func (f *finder) path(name string) string {
	if x := f.query.Index; x != nil {
		return x.path(name)
	}
	rel, err := files.Relative(f.repository.dir, f.real(name))
	if err != nil {
		return ".." // on another volume
	}
	return rel
}

// show is the name of a file as seen from the working directory.
func (f *finder) show(file string) string {
	rel, err := files.Relative(f.here, filepath.Join(f.repository.dir, file))
	if err != nil {
		return file
	}
	return rel
}

// isDirectory reports whether a name is that of a directory, or was.
func (f *finder) isDirectory(name string) bool {
	if f.query.Index != nil {
		return !files.IsKitName(name)
	}
	return isDirectory(name)
}

// gone lists the kits that were below the directories asked for and are not
// any more.
func (f *finder) gone() []string {
	var below []string
	for _, name := range f.query.Below {
		if f.isDirectory(name) {
			below = append(below, f.path(filepath.Join(name, "x")))
		}
	}
	var gone []string
	for file, c := range f.changes {
		inside := slices.ContainsFunc(below, func(x string) bool {
			dir := path.Dir(x)
			return dir == "." || strings.HasPrefix(file, dir+"/")
		})
		if c.status == 'D' && inside && files.IsKitName(file) {
			gone = append(gone, f.show(file))
		}
	}
	sort.Strings(gone)
	return gone
}
