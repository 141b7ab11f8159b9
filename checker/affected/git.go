package affected

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"
)

// mostOutput bounds what is taken from one call of git.
const mostOutput = 256 << 20

// repository is a git repository with a working tree.
type repository struct {
	program string
	dir     string // where git runs; the top of the working tree once that is known
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
		return nil, fmt.Errorf("%s is not in a git repository, so there is no telling what changed", filepath.ToSlash(dir))
	}
	if err != nil {
		return nil, err
	}
	r.dir, err = filepath.EvalSymlinks(filepath.FromSlash(strings.TrimSuffix(string(top), "\n")))
	return r, err
}

// gitError is a call of git that did not succeed.
type gitError struct {
	status int
	said   string
}

// Error is what git said, on one line.
func (e *gitError) Error() string {
	line, _, _ := strings.Cut(strings.TrimPrefix(strings.TrimPrefix(strings.TrimSpace(e.said), "fatal: "), "error: "), "\n")
	if line == "" {
		return fmt.Sprintf("git ended with status %d", e.status)
	}
	return "git says: " + line
}

// settled keeps git from writing to the repository, and from running what its
// configuration names, apart from the filters that a comparison needs.
var settled = []string{"--no-pager", "--no-optional-locks", "--literal-pathspecs", "-c", "core.fsmonitor=false"}

// run runs git in the repository, without a shell.
func (r *repository) run(ctx context.Context, args ...string) ([]byte, error) {
	c := exec.CommandContext(ctx, r.program, append(append([]string{}, settled...), args...)...)
	c.Dir = r.dir
	c.Env = environment()
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
	env := []string{"LC_ALL=C", "GIT_TERMINAL_PROMPT=0", "GIT_OPTIONAL_LOCKS=0"}
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

// span is what is compared: a commit with another, or with the working tree.
type span struct {
	base string
	end  side // without a commit for the working tree
}

// resolve reads REV, A..B or A...B; an end left out is HEAD.
func (r *repository) resolve(ctx context.Context, revision string) (span, error) {
	from, to, isRange := strings.Cut(revision, "..")
	to, meet := strings.CutPrefix(to, ".")
	if !isRange {
		to, meet = "HEAD", true
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
