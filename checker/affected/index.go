package affected

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"iter"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"syscall"

	"kitgauge/checker/files"
)

// Index is git's index: what a commit will hold, which is not what lies in the
// working tree. It is a [files.Store] of the repository that holds the working
// directory.
type Index struct {
	ctx        context.Context
	repository *repository
	here       string
	entries    map[string]entry // by path from the top, with slashes
	dirs       map[string]bool
}

// entry is what the index holds of a path.
type entry struct {
	mode, object string
	unsettled    bool // a conflict left several versions
}

// Staged reads the index. While git runs a hook that may be one made for the
// commit alone, as for git commit -a.
func Staged(ctx context.Context) (*Index, error) {
	here, err := workingDirectory()
	if err != nil {
		return nil, err
	}
	r, err := open(ctx, here)
	if err != nil {
		return nil, err
	}
	if name := os.Getenv("GIT_INDEX_FILE"); name != "" {
		if !filepath.IsAbs(name) {
			name = filepath.Join(here, name)
		}
		if !files.There(name) { // git would take it for an empty one
			return nil, fmt.Errorf("GIT_INDEX_FILE names %s, and there is no such file", name)
		}
		r.extra = []string{"GIT_INDEX_FILE=" + name}
	}
	x := &Index{ctx: ctx, repository: r, here: here, entries: map[string]entry{}, dirs: map[string]bool{".": true}}
	return x, x.read()
}

func (x *Index) read() error {
	out, err := x.repository.run(x.ctx, "ls-files", "--full-name", "--stage", "-z", "--", x.repository.dir)
	if err != nil {
		return err
	}
	promised, err := x.promised()
	if err != nil {
		return err
	}
	for _, line := range strings.Split(string(out), "\x00") {
		head, file, found := strings.Cut(line, "\t")
		fields := strings.Fields(head)
		if _, only := promised[file]; !found || only || len(fields) != 3 {
			continue
		}
		x.entries[file] = entry{fields[0], fields[1], fields[2] != "0"}
		for dir := path.Dir(file); !x.dirs[dir]; dir = path.Dir(dir) {
			x.dirs[dir] = true
		}
	}
	return nil
}

// promised lists what git add --intent-to-add put there: it holds nothing yet,
// and no commit will have it.
func (x *Index) promised() (map[string]change, error) {
	out, err := x.repository.run(x.ctx, "diff", "--raw", "-z", "--no-abbrev", "--no-renames", "--diff-filter=A", "--no-ext-diff", "--no-textconv", "--no-relative", "--ignore-submodules=all")
	if err != nil {
		return nil, err
	}
	return parseDiff(out)
}

// path is the path of a file from the top, with slashes; it begins with ..
// where the file lies outside. The working tree has no say in it: a directory
// there may be a link, or be gone.
func (x *Index) path(name string) string {
	name = filepath.FromSlash(name)
	if !filepath.IsAbs(name) {
		name = filepath.Join(x.here, name)
	}
	rel, err := filepath.Rel(x.repository.dir, name)
	if err == nil && !filepath.IsLocal(rel) {
		if real, resolved := filepath.EvalSymlinks(name); resolved == nil {
			rel, err = filepath.Rel(x.repository.dir, real)
		}
	}
	if err != nil {
		return ".."
	}
	return filepath.ToSlash(rel)
}

// modes are those of all that the index holds.
func (x *Index) modes() map[string]string {
	modes := map[string]string{}
	for file, e := range x.entries {
		modes[file] = e.mode
	}
	return modes
}

// within is the submodule that holds a path, "" where none does.
func (x *Index) within(file string) string {
	for dir := file; dir != "."; dir = path.Dir(dir) {
		if x.entries[dir].mode == submodule {
			return dir
		}
	}
	return ""
}

// There reports whether the index has something of that name.
func (x *Index) There(file string) bool {
	file = x.path(file)
	_, is := x.entries[file]
	return is || x.dirs[file]
}

// Read reads a file as the index has it. What lies outside of the repository is
// read from the disk where somebody named it, and for no file of the index.
func (x *Index) Read(from, file string) ([]byte, error) {
	at := x.path(file)
	switch {
	case !fs.ValidPath(at) && from == file:
		text, _, err := files.ReadNamed(file)
		return text, err
	case !fs.ValidPath(at):
		return nil, errors.New("it lies outside of the repository")
	}
	return x.text(at)
}

// text is the text of a path, by links of the index as well.
func (x *Index) text(file string) ([]byte, error) {
	e, err := x.entry(file)
	if err != nil {
		return nil, err
	}
	text, err := x.repository.blob(x.ctx, e.object)
	if err != nil {
		return nil, err
	}
	return files.Read(bytes.NewReader(text))
}

// entry is the file that a path leads to.
func (x *Index) entry(file string) (entry, error) {
	if other := x.within(file); other != "" {
		return entry{}, fmt.Errorf("it lies in another repository, %s", other)
	}
	to, err := x.resolve(file)
	if err != nil {
		return entry{}, err
	}
	e, is := x.entries[to]
	switch {
	case x.dirs[to]:
		return e, syscall.EISDIR
	case !is:
		return e, files.ErrNotStaged
	case e.unsettled:
		return e, errors.New("git has several versions of it: settle the conflict, and git add it")
	}
	return e, files.SameKind(file, to)
}

// resolve follows links of the index from the top down.
func (x *Index) resolve(file string) (string, error) {
	const most = 40 // as many as Linux follows
	for range most {
		link, rest := x.link(file)
		if link == "" {
			return file, nil
		}
		to, err := x.repository.blob(x.ctx, x.entries[link].object)
		if err != nil {
			return "", err
		}
		if file = path.Join(path.Dir(link), string(to), rest); path.IsAbs(string(to)) || !fs.ValidPath(file) {
			return "", files.ErrLeads
		}
	}
	return "", syscall.ELOOP
}

// link is the first link on the way to a file, and what of the way follows it.
func (x *Index) link(file string) (link, rest string) {
	for i := 0; i <= len(file); i++ {
		if i == len(file) || file[i] == '/' {
			if x.entries[file[:i]].mode == symlink {
				return file[:i], file[i:]
			}
		}
	}
	return "", ""
}

// Find is [files.Find] in the index. Apart are submodules below the names: what
// is staged of one is a commit, and the kits in it are its own index's.
func (x *Index) Find(names []string) (found []string, apart []string, faults []*files.Error) {
	for _, name := range names {
		file := x.path(name)
		_, is := x.entries[file]
		other := ""
		if fs.ValidPath(file) {
			other = x.within(file)
		}
		switch {
		case other != "":
			faults = append(faults, &files.Error{File: name, Err: fmt.Errorf("it lies in another repository, %s: run this there", other)})
		case x.dirs[file]:
			kits, others := x.below(file, name)
			found, apart = append(found, kits...), append(apart, others...)
		case is:
			found = append(found, filepath.ToSlash(filepath.Clean(name)))
		case !isDirectory(name):
			faults = append(faults, &files.Error{File: name, Err: files.ErrNotStaged})
		}
	}
	return compact(found), compact(apart), faults
}

// below lists the kits below a directory, and the submodules.
func (x *Index) below(dir, name string) (kits, apart []string) {
	for rest, e := range x.inside(dir) {
		shown := path.Join(filepath.ToSlash(name), rest)
		switch {
		case hiddenIn(rest) != "":
		case e.mode == submodule:
			apart = append(apart, shown)
		case files.IsKitName(rest):
			kits = append(kits, shown)
		}
	}
	slices.Sort(kits)
	slices.Sort(apart)
	return kits, apart
}

// inside are the entries below a directory, by their paths from there.
func (x *Index) inside(dir string) iter.Seq2[string, entry] {
	return func(yield func(string, entry) bool) {
		for file, e := range x.entries {
			rest, inside := strings.CutPrefix(file, strings.TrimPrefix(dir+"/", "./"))
			if inside && !yield(rest, e) {
				return
			}
		}
	}
}

// hiddenIn is the first directory of a path whose name begins with a full stop,
// "" where none does.
func hiddenIn(file string) string {
	for i := range file {
		if file[i] == '/' && strings.HasPrefix(path.Base(file[:i]), ".") {
			return file[:i]
		}
	}
	return ""
}

// PassedOver is [files.PassedOver] in the index.
func (x *Index) PassedOver(names []string) []string {
	var list []string
	for _, name := range names {
		for rest, e := range x.inside(x.path(name)) {
			if at, why := x.passed(x.path(name), rest, e); why != "" {
				list = append(list, path.Join(filepath.ToSlash(name), at)+": "+why)
			}
		}
	}
	slices.Sort(list)
	return slices.Compact(list)
}

// passed says why an entry below a directory is passed over, and what of it.
func (x *Index) passed(dir, rest string, e entry) (at, why string) {
	near := files.IsKitName(rest) || files.NearKit(path.Base(rest)) != ""
	if hidden := hiddenIn(rest); hidden != "" {
		if near {
			return hidden, files.HiddenKits
		}
		return "", ""
	}
	if e.mode == symlink {
		if to, err := x.resolve(path.Join(dir, rest)); err == nil && x.dirs[to] {
			if kits, _ := x.below(to, "."); len(kits) > 0 {
				return rest, files.LinkedKits
			}
			return "", ""
		}
	}
	return rest, files.NearKit(path.Base(rest))
}

func isDirectory(name string) bool {
	info, err := os.Stat(name)
	return err == nil && info.IsDir()
}
