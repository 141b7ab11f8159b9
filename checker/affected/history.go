package affected

import (
	"context"
	"path"
	"path/filepath"
	"strings"

	"kitgauge/checker/internal/once"
)

// mostVersions bounds how many versions of a file are read from a history, and
// how many of files elsewhere that have its name.
const mostVersions = 100

// Histories tells what files held before. It is safe for use by several
// goroutines, and asks git once for all files of a repository.
type Histories struct {
	ctx     context.Context
	endings []string
	opened  once.Cache[*repository] // by directory
	pasts   once.Cache[map[string][]version]
}

// version is what a path of a repository once led to.
type version struct{ path, object string }

// NewHistories is for files whose names end so.
func NewHistories(ctx context.Context, endings ...string) *Histories {
	return &Histories{ctx: ctx, endings: endings}
}

// Versions returns what a file held in the commits that led to the one that is
// checked out, each text once, the newest first, and behind that what files of
// the same name in other directories held: it may have been moved. There are
// none where the file lies in no repository, or git is not there to be asked.
// Nothing is fetched.
func (h *Histories) Versions(file string) [][]byte {
	dir, err := filepath.Abs(filepath.Dir(file))
	if err != nil {
		return nil
	}
	if dir, err = filepath.EvalSymlinks(dir); err != nil {
		return nil
	}
	r := h.opened.Get(dir, func() *repository { r, _ := open(h.ctx, dir); return r })
	if r == nil || r.dir == "" {
		return nil
	}
	name, err := filepath.Rel(r.dir, filepath.Join(dir, filepath.Base(file)))
	if err != nil {
		return nil
	}
	past := h.pasts.Get(r.dir, func() map[string][]version { return r.past(h.ctx, h.endings) })
	own, others := []string{}, []string{}
	for _, v := range past[filepath.Base(file)] {
		if v.path == filepath.ToSlash(name) {
			own = append(own, v.object)
		} else {
			others = append(others, v.object)
		}
	}
	seen := map[string]bool{}
	return append(r.texts(h.ctx, own, seen), r.texts(h.ctx, others, seen)...)
}

// texts are those of objects that were not seen yet.
func (r *repository) texts(ctx context.Context, objects []string, seen map[string]bool) [][]byte {
	var list [][]byte
	for _, object := range objects {
		if seen[object] || len(list) == mostVersions {
			continue
		}
		seen[object] = true
		if text, err := r.blob(ctx, object); err == nil {
			list = append(list, text)
		}
	}
	return list
}

// past lists by base name what files with such endings became, the newest
// first: also on branches that a merge passed over, and by a merge itself.
func (r *repository) past(ctx context.Context, endings []string) map[string][]version {
	args := []string{
		"--no-literal-pathspecs", "log", "-z", "--raw", "--no-abbrev", "--no-renames", "--full-history", "--diff-merges=separate",
		"--no-ext-diff", "--no-relative", "--format=", "HEAD", "--",
	}
	for _, ending := range endings {
		args = append(args, ":(top,glob)**/*"+ending)
	}
	out, err := r.run(ctx, args...)
	if err != nil {
		return nil
	}
	past := map[string][]version{}
	for _, v := range heldIn(string(out)) {
		past[path.Base(v.path)] = append(past[path.Base(v.path)], v)
	}
	return past
}

// heldIn lists what a raw difference went to: what files became. git-diff(1),
// "Raw output format"; the name of an object that is not there is zeros.
func heldIn(raw string) []version {
	var list []version
	fields := strings.Split(raw, "\x00")
	for i := 0; i+1 < len(fields); i++ {
		words := strings.Fields(fields[i])
		if len(words) != 5 || !strings.HasPrefix(words[0], ":") {
			continue
		}
		i++ // the path
		if words[1] != symlink && words[1] != submodule && strings.Trim(words[3], "0") != "" {
			list = append(list, version{fields[i], words[3]})
		}
	}
	return list
}
