package affected

import (
	"context"
	"crypto/sha1" // the name that git gives to a text
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"hash"
	"os"
	"path/filepath"
	"strings"
)

// A file that is marked in the index, as skip-worktree or assume-unchanged, is
// one that git takes for unchanged without a look. A check reads it as it lies
// there, so that it is looked at here.

// unmark puts right what a difference from a commit to the working tree says of
// files that are marked and lie there.
func (r *repository) unmark(ctx context.Context, commit string, changes map[string]change) error {
	marked, err := r.marked(ctx)
	if err != nil || len(marked) == 0 {
		return err
	}
	out, err := r.run(ctx, "ls-tree", "-r", "-z", "--full-tree", commit)
	if err != nil {
		return err
	}
	held := map[string]change{}
	for line := range strings.SplitSeq(string(out), "\x00") {
		head, file, _ := strings.Cut(line, "\t")
		if fields := strings.Fields(head); len(fields) == 3 {
			held[file] = change{status: 'M', object: fields[2], was: fields[0], is: fields[0]}
		}
	}
	for file := range marked {
		c, was := held[file]
		switch {
		case !was:
			changes[file] = change{status: 'A', is: "100644"}
		case r.holds(file, c):
			delete(changes, file)
		default:
			changes[file] = c
		}
	}
	return nil
}

// marked are the files that are marked and lie in the working tree: one that a
// sparse checkout leaves out does not.
func (r *repository) marked(ctx context.Context) (map[string]bool, error) {
	out, err := r.run(ctx, "ls-files", "-v", "-z")
	if err != nil {
		return nil, err
	}
	marked := map[string]bool{}
	for line := range strings.SplitSeq(string(out), "\x00") {
		tag, file, found := strings.Cut(line, " ")
		if !found || !readable(file) || tag != "S" && tag == strings.ToUpper(tag) { // git-ls-files(1), -v
			continue
		}
		if info, err := os.Lstat(filepath.Join(r.dir, filepath.FromSlash(file))); err == nil && !info.IsDir() {
			marked[file] = true
		}
	}
	return marked, nil
}

// holds reports whether the working tree has the text of an object. What cannot
// be read counts as changed.
func (r *repository) holds(file string, c change) bool {
	name := filepath.Join(r.dir, filepath.FromSlash(file))
	info, err := os.Lstat(name)
	if err != nil || (info.Mode()&os.ModeSymlink != 0) != (c.was == symlink) {
		return false
	}
	var text []byte
	switch {
	case c.was == symlink:
		var to string
		to, err = os.Readlink(name)
		text = []byte(filepath.ToSlash(to))
	case info.Mode().IsRegular() && info.Size() <= mostOutput:
		text, err = os.ReadFile(name)
	default:
		return false
	}
	return err == nil && blobName(text, len(c.object)) == c.object
}

// blobName is the name that git gives to a text, as git hash-object does: of that
// many digits, as the repository names its objects by SHA-1 or SHA-256.
func blobName(text []byte, digits int) string {
	var sum hash.Hash = sha1.New()
	if digits == hex.EncodedLen(sha256.Size) {
		sum = sha256.New()
	}
	fmt.Fprintf(sum, "blob %d\x00", len(text))
	sum.Write(text)
	return hex.EncodeToString(sum.Sum(nil))
}
