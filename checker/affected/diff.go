package affected

import (
	"bytes"
	"context"
	"fmt"
	"strings"
)

// change is what became of a file.
type change struct {
	status  byte   // A added, D deleted, M modified, T of another type
	object  string // the blob it was, "" where it was none
	was, is string // the modes, "" where there was or is no such file
	from    string // the former path of a file that was renamed
	to      string // the new path of one that is gone
}

// The modes of what is no plain file.
const (
	symlink   = "120000"
	submodule = "160000"
)

// special tells links and submodules.
func (c change) special() bool {
	return c.was == symlink || c.was == submodule || c.is == symlink || c.is == submodule
}

// moved says what became of a submodule, "" of a repository that is none.
func (c change) moved() string {
	switch {
	case c.was == submodule && c.is == submodule:
		return ", whose commit changed"
	case c.object != "" || c.status == 'M':
		return ", which took its place"
	}
	return ""
}

// diff returns what changed from a commit to another, or to the working tree
// where that is "", or with --cached to the index.
func (r *repository) diff(ctx context.Context, from, to string, more ...string) (map[string]change, error) {
	args := append([]string{
		"diff", "--raw", "-z", "--no-abbrev", "--find-renames", "--no-ext-diff", "--no-textconv", "--no-color",
		"--no-relative", "--ignore-submodules=dirty",
	}, append(more, "--end-of-options", from)...)
	if to != "" {
		args = append(args, to)
	}
	out, err := r.run(ctx, append(args, "--")...)
	if err != nil {
		return nil, err
	}
	return parseDiff(out)
}

// present returns what changed from a commit to what lies in the working tree,
// whatever git is told to take for unchanged or to ignore.
func (r *repository) present(ctx context.Context, commit string) (map[string]change, error) {
	changes, err := r.diff(ctx, commit, "")
	if err != nil {
		return nil, err
	}
	if err := r.unmark(ctx, commit, changes); err != nil {
		return nil, err
	}
	return changes, r.untracked(ctx, changes)
}

// parseDiff reads the raw format with zero bytes between the fields, so that
// no name needs quotes: git-diff(1), "Raw output format".
func parseDiff(out []byte) (map[string]change, error) {
	changes := map[string]change{}
	fields := strings.Split(string(out), "\x00")
	for len(fields) > 1 {
		head := strings.Fields(strings.TrimPrefix(fields[0], ":"))
		if len(head) != 5 || fields[0][0] != ':' || fields[1] == "" {
			return nil, fmt.Errorf("git wrote a difference that is not understood: %q", fields[0])
		}
		c := change{status: head[4][0], was: mode(head[0]), is: mode(head[1])}
		if c.was != "" {
			c.object = head[2]
		}
		path := fields[1]
		fields = fields[2:]
		switch c.status {
		case 'R', 'C':
			if len(fields) < 2 {
				return nil, fmt.Errorf("git wrote a difference that is cut short")
			}
			to := fields[0]
			fields = fields[1:]
			if c.status == 'R' {
				changes[path] = change{status: 'D', object: c.object, was: c.was, to: to}
			}
			changes[to] = change{status: 'A', is: c.is, from: path}
		case 'A', 'D', 'T':
			changes[path] = c
		default: // also a conflict that is not settled
			c.status = 'M'
			changes[path] = c
		}
	}
	return changes, nil
}

func mode(field string) string {
	if strings.Trim(field, "0") == "" {
		return ""
	}
	return field
}

// untracked adds the files of the working tree that git does not follow, also
// those that it is told to ignore: a catalogue may be made before the check.
func (r *repository) untracked(ctx context.Context, changes map[string]change) error {
	out, err := r.run(ctx, "ls-files", "--others", "-z")
	if err != nil {
		return err
	}
	for _, path := range bytes.Split(out, []byte{0}) {
		path := string(path)
		if dir, nested := strings.CutSuffix(path, "/"); nested {
			changes[dir] = change{status: 'A', is: submodule} // a repository that is none of the submodules
			continue
		}
		if !readable(path) {
			continue
		}
		c, listed := changes[path]
		switch {
		case !listed:
			changes[path] = change{status: 'A', is: "100644"}
		case c.status == 'D': // taken out of the index and left where it is
			c.status, c.is = 'M', c.was
			changes[path] = c
		}
	}
	return nil
}

// readable tells the names of files that a check may read.
func readable(path string) bool {
	return strings.HasSuffix(path, ".yaml") || strings.HasSuffix(path, ".yml") || strings.HasSuffix(path, ".json")
}

// tracked lists what git follows, with the modes.
func (r *repository) tracked(ctx context.Context) (map[string]string, error) {
	out, err := r.run(ctx, "ls-files", "--stage", "-z")
	if err != nil {
		return nil, err
	}
	files := map[string]string{}
	for _, line := range strings.Split(string(out), "\x00") {
		if head, path, found := strings.Cut(line, "\t"); found {
			files[path], _, _ = strings.Cut(head, " ")
		}
	}
	return files, nil
}

// blob returns the text of an object.
func (r *repository) blob(ctx context.Context, object string) ([]byte, error) {
	return r.run(ctx, "cat-file", "blob", object)
}
