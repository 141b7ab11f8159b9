package affected_test

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"strings"
	"testing"

	"kitgauge/checker/affected"
)

// TestAt: a file is read as it was, wherever the command runs, and whatever
// has become of it.
func TestAt(t *testing.T) {
	p, base := fleet(t)
	const file, was, is = "kits/loader.kit.yaml", "quantity: 1", "quantity: 7"
	p.replace(file, was, is)
	if err := os.Symlink("loader.kit.yaml", "kits/link.kit.yaml"); err != nil {
		t.Fatal(err)
	}
	p.commit()
	ctx := context.Background()
	read := func(revision, asked string) (string, error) {
		t.Helper()
		c, err := affected.At(ctx, revision)
		if err != nil {
			t.Fatal(err)
		}
		text, err := c.ReadFile(ctx, c.Beneath(asked))
		return string(text), err
	}
	holds := func(revision, asked, want string) {
		t.Helper()
		if text, err := read(revision, asked); err != nil || !strings.Contains(text, want) {
			t.Errorf("%s:%s: %v; want %q in %q", revision, asked, err, want, text)
		}
	}
	fails := func(revision, asked, want string) {
		t.Helper()
		if text, err := read(revision, asked); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s:%s: %q, %v; want the error %q", revision, asked, text, err, want)
		}
	}
	holds(base, file, was)
	holds("HEAD", file, is)
	holds("HEAD^", "./"+file, was)
	if _, err := read(base, "kits/none.kit.yaml"); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("a file that there is not: %v", err)
	}
	fails("HEAD", "kits", "directory")
	fails("HEAD", "kits/link.kit.yaml", "not known")
	fails("HEAD", "../x.kit.yaml", "outside of the repository")
	t.Chdir("kits")
	holds(base, file, was)
	holds(base, "./loader.kit.yaml", was)
	holds(base, "../kits/loader.kit.yaml", was)
	if c, _ := affected.At(ctx, base); c.Beneath("parts/winter.parts.yaml") != "../parts/winter.parts.yaml" {
		t.Errorf("from a directory below, the catalogue is %q", c.Beneath("parts/winter.parts.yaml"))
	}
	if _, err := affected.At(ctx, "--output=x"); err == nil || !strings.Contains(err.Error(), "there is no revision") {
		t.Errorf("a revision that looks like an option: %v", err)
	}
	t.Chdir(t.TempDir())
	if _, err := affected.At(ctx, "HEAD"); err == nil || !strings.Contains(err.Error(), "not in a git repository") {
		t.Errorf("outside of a repository: %v", err)
	}
}
