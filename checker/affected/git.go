package affected

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// mostOutput bounds what is taken from one call of git.
const mostOutput = 256 << 20

// repository is a git repository with a working tree.
type repository struct {
	program    string
	dir        string   // where git runs; the top of the working tree once that is known
	unfiltered []string // options that switch off the filters
	extra      []string // variables beside those that git always gets
}

// open finds the repository that holds a directory.
func open(ctx context.Context, dir string) (*repository, error) {
	program, err := exec.LookPath("git")
	if err != nil {
		return nil, errors.New("the program git is needed to tell what changed, and is not installed here")
	}
	r := &repository{program: program, dir: dir}
	top, err := r.run(ctx, "rev-parse", "--show-toplevel")
	var fault *gitError
	if errors.As(err, &fault) && strings.Contains(fault.said, "not a git repository") {
		return nil, &noRepository{dir}
	}
	if err != nil {
		return nil, err
	}
	if r.dir, err = filepath.EvalSymlinks(filepath.FromSlash(strings.TrimSuffix(string(top), "\n"))); err != nil {
		return nil, err
	}
	r.unfiltered, err = r.filters(ctx)
	return r, err
}

// noRepository says that a directory is in none.
type noRepository struct{ dir string }

// Error says so.
func (e *noRepository) Error() string {
	return filepath.ToSlash(e.dir) + " is not in a git repository, so there is no telling what changed"
}

// gitError is a call of git that did not succeed.
type gitError struct {
	status int
	said   string
}

// lacking are the words of git where a partial clone lacks an object that it
// would fetch: as it is told not to, and as every protocol is forbidden.
var lacking = []string{"lazy fetching disabled", "could not fetch", "promisor remote", "transport '"}

// Error is what git said, on one line.
func (e *gitError) Error() string {
	if slices.ContainsFunc(lacking, func(words string) bool { return strings.Contains(e.said, words) }) {
		return "this clone is a partial one and lacks what has to be compared, and nothing is fetched here: fetch it with git first"
	}
	line, _, _ := strings.Cut(strings.TrimPrefix(strings.TrimPrefix(strings.TrimSpace(e.said), "fatal: "), "error: "), "\n")
	if line == "" {
		return fmt.Sprintf("git ended with status %d", e.status)
	}
	return "git says: " + line
}

// settled keeps git from writing to the repository, from running what its
// configuration names, and from fetching what is not there.
var settled = []string{
	"--no-pager", "--no-optional-locks", "--literal-pathspecs",
	"-c", "core.fsmonitor=false", "-c", "core.hooksPath=" + os.DevNull, "-c", "protocol.allow=never", "-c", "submodule.recurse=false",
	"-c", "core.checkStat=default", "-c", "core.trustctime=true", // else a change could hide behind its time
}

// filters are options that switch off every filter that the configuration
// names: git would run them to compare a file with what it was. A file that
// one of them stores otherwise than it lies here then counts as changed.
func (r *repository) filters(ctx context.Context) ([]string, error) {
	out, err := r.run(ctx, "config", "--list", "--name-only", "-z", "--includes")
	if err != nil {
		return nil, err
	}
	var options []string
	for _, key := range strings.Split(string(out), "\x00") {
		name, _, found := cutLast(key, ".")
		if !found || !strings.HasPrefix(name, "filter.") {
			continue
		}
		if strings.Contains(name, "=") { // which an option cannot name
			return nil, fmt.Errorf("git is told to run a filter with the name %q, which cannot be switched off: rename it in the configuration of the repository", strings.TrimPrefix(name, "filter."))
		}
		options = append(options, "-c", name+".clean=", "-c", name+".process=", "-c", name+".required=false")
	}
	return options, nil
}

func cutLast(text, sep string) (before, after string, found bool) {
	if i := strings.LastIndex(text, sep); i >= 0 {
		return text[:i], text[i+len(sep):], true
	}
	return text, "", false
}

// run runs git in the repository, without a shell.
func (r *repository) run(ctx context.Context, args ...string) ([]byte, error) {
	c := exec.CommandContext(ctx, r.program, slices.Concat(settled, r.unfiltered, args)...)
	c.Dir = r.dir
	c.Env = append(environment(), r.extra...)
	c.WaitDelay = 5 * time.Second
	out, said := &bounded{most: mostOutput}, &bounded{most: 1 << 16, cut: true}
	c.Stdout, c.Stderr = out, said
	err := c.Run()
	var exit *exec.ExitError
	switch {
	case ctx.Err() != nil:
		return nil, context.Cause(ctx)
	case errors.As(err, &exit):
		return nil, &gitError{exit.ExitCode(), said.String()}
	case err != nil:
		return nil, fmt.Errorf("git %s: %w", args[0], err)
	}
	return out.Bytes(), nil
}

// bounded keeps so many bytes; further ones are cut off or are an error.
type bounded struct {
	bytes.Buffer
	most int
	cut  bool
}

// Write implements io.Writer.
func (b *bounded) Write(p []byte) (int, error) {
	kept := p[:min(len(p), b.most-b.Len())]
	b.Buffer.Write(kept)
	if len(kept) < len(p) && !b.cut {
		return len(kept), fmt.Errorf("it writes more than %d MiB", b.most>>20)
	}
	return len(p), nil
}

// passed are the variables that git gets: where programs, the person's
// configuration and temporary files are. What would point it at another
// repository, or start an editor, a pager or a prompt, is left out.
var passed = []string{
	"PATH", "HOME", "XDG_CONFIG_HOME", "TMPDIR", "TMP", "TEMP", "SYSTEMROOT", "USERPROFILE", "APPDATA", "PROGRAMDATA", "PATHEXT", "COMSPEC",
	"GIT_CONFIG_GLOBAL", "GIT_CONFIG_SYSTEM", "GIT_CONFIG_NOSYSTEM", "GIT_CEILING_DIRECTORIES", "GIT_DISCOVERY_ACROSS_FILESYSTEM",
}

func environment() []string {
	env := []string{"LC_ALL=C", "GIT_TERMINAL_PROMPT=0", "GIT_OPTIONAL_LOCKS=0", "GIT_ALLOW_PROTOCOL=none", "GIT_NO_LAZY_FETCH=1",
		"GIT_NO_REPLACE_OBJECTS=1", "GIT_GRAFT_FILE=" + os.DevNull} // what a clone puts in the place of objects is not what others get
	for _, name := range passed {
		if v, set := os.LookupEnv(name); set {
			env = append(env, name+"="+v)
		}
	}
	return env
}

// shallow reports whether the history was cut when the repository was cloned.
func (r *repository) shallow(ctx context.Context) bool {
	out, err := r.run(ctx, "rev-parse", "--is-shallow-repository")
	return err == nil && strings.TrimSpace(string(out)) == "true"
}

// commit returns the full name of the commit that a revision means.
func (r *repository) commit(ctx context.Context, revision string) (string, error) {
	if err := r.unambiguous(ctx, revision); err != nil {
		return "", err
	}
	out, err := r.run(ctx, "rev-parse", "--verify", "--quiet", "--end-of-options", revision+"^{commit}")
	var fault *gitError
	switch {
	case errors.As(err, &fault) && r.shallow(ctx):
		return "", fmt.Errorf("there is no revision %q in this clone, which is shallow: its history ends before it; fetch more with git fetch --unshallow, or fetch that revision", revision)
	case errors.As(err, &fault):
		return "", fmt.Errorf("there is no revision %q in this repository", revision)
	case err != nil:
		return "", err
	}
	return strings.TrimSpace(string(out)), nil
}

// base returns the best common ancestor of two commits.
func (r *repository) base(ctx context.Context, a, b side) (string, error) {
	out, err := r.run(ctx, "merge-base", a.commit, b.commit)
	var fault *gitError
	switch {
	case errors.As(err, &fault) && fault.status == 1 && r.shallow(ctx):
		return "", fmt.Errorf("the history of this shallow clone ends before %s and %s meet: fetch more with git fetch --unshallow, or compare the two as %s..%s", a.name, b.name, a.name, b.name)
	case errors.As(err, &fault) && fault.status == 1:
		return "", fmt.Errorf("%s and %s have no commit in common: compare the two as %s..%s", a.name, b.name, a.name, b.name)
	case err != nil:
		return "", err
	}
	return strings.TrimSpace(string(out)), nil
}

// side is one end of a range.
type side struct{ name, commit string }

// unborn reports whether a revision is HEAD before the first commit.
func (r *repository) unborn(ctx context.Context, revision string) bool {
	if revision != "HEAD" && revision != "@" {
		return false
	}
	if _, err := r.run(ctx, "symbolic-ref", "--quiet", "HEAD"); err != nil {
		return false
	}
	_, err := r.run(ctx, "rev-parse", "--verify", "--quiet", "HEAD")
	return err != nil
}

// span is what is compared: a commit with another, or with the working tree.
type span struct {
	base string // "" before the first commit
	end  side   // without a commit for the working tree
}

// resolve reads REV, A..B or A...B; an end left out is HEAD.
func (r *repository) resolve(ctx context.Context, revision string) (span, error) {
	from, to, isRange := strings.Cut(revision, "..")
	to, meet := strings.CutPrefix(to, ".")
	if !isRange {
		to, meet = "HEAD", true
		if r.unborn(ctx, from) {
			return span{}, nil
		}
	}
	var ends [2]side
	for i, name := range []string{from, to} {
		if name == "" && isRange {
			name = "HEAD"
		}
		commit, err := r.commit(ctx, name)
		if err != nil {
			return span{}, err
		}
		ends[i] = side{name, commit}
	}
	s := span{base: ends[0].commit}
	if isRange {
		s.end = ends[1]
	}
	if !meet {
		return s, nil
	}
	base, err := r.base(ctx, ends[0], ends[1])
	s.base = base
	return s, err
}
