package affected

import (
	"context"
	"path/filepath"
	"strings"
)

// mostVersions bounds how many versions of a file are read from a history.
const mostVersions = 100

// Versions returns what a file held in the commits that led to the one that is
// checked out, each text once, the newest first; none where the file lies in
// no repository, or git is not there to be asked. Nothing is fetched.
func Versions(ctx context.Context, file string) [][]byte {
	dir, err := filepath.EvalSymlinks(filepath.Dir(file))
	if err != nil {
		return nil
	}
	r, err := open(ctx, dir)
	if err != nil {
		return nil
	}
	if dir, err = filepath.Abs(dir); err != nil {
		return nil
	}
	name, err := filepath.Rel(r.dir, filepath.Join(dir, filepath.Base(file)))
	if err != nil {
		return nil
	}
	// Also of branches that a merge passed over, and what a merge itself made.
	out, err := r.run(ctx, "log", "-z", "--raw", "--no-abbrev", "--no-renames", "--full-history", "--diff-merges=separate", "--format=", "HEAD", "--", filepath.ToSlash(name))
	if err != nil {
		return nil
	}
	var list [][]byte
	seen := map[string]bool{}
	for _, object := range heldIn(string(out)) {
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

// heldIn lists the objects that a raw difference went to: what a file became.
// git-diff(1), "Raw output format"; the name of an object that is not there is
// zeros.
func heldIn(raw string) []string {
	var list []string
	for field := range strings.SplitSeq(raw, "\x00") {
		words := strings.Fields(field)
		if len(words) == 5 && strings.HasPrefix(words[0], ":") && words[1] != symlink && words[1] != submodule && strings.Trim(words[3], "0") != "" {
			list = append(list, words[3])
		}
	}
	return list
}
