package files_test

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"kitgauge/checker/files"
)

const old, new = "the old text\n", "the new text\n"

// put writes a file as it was before.
func put(t *testing.T, dir, name string) string {
	t.Helper()
	file := filepath.Join(dir, name)
	if err := os.WriteFile(file, []byte(old), 0o644); err != nil {
		t.Fatal(err)
	}
	return file
}

func holds(t *testing.T, file, want string) {
	t.Helper()
	got, err := os.ReadFile(file)
	if err != nil || string(got) != want {
		t.Errorf("%s: got %q (%v), want %q", filepath.Base(file), got, err, want)
	}
}

// only holds a directory to the names of its files.
func only(t *testing.T, dir string, want ...string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, e := range entries {
		got = append(got, e.Name())
	}
	if !slices.Equal(got, want) {
		t.Errorf("got the files %q, want %q", got, want)
	}
}

func add(t *testing.T, s *files.Set, file string) {
	t.Helper()
	if err := s.Add(file, []byte(new)); err != nil {
		t.Fatal(err)
	}
}

func TestKeepReplacesAllAtOnce(t *testing.T) {
	dir := t.TempDir()
	a, b := put(t, dir, "a"), filepath.Join(dir, "b")
	var s files.Set
	add(t, &s, a)
	add(t, &s, b)
	holds(t, a, old)
	only(t, dir, "a", "a.draft0", "b.draft0")
	if err := s.Keep(); err != nil {
		t.Fatal(err)
	}
	holds(t, a, new)
	holds(t, b, new)
	only(t, dir, "a", "b")
	if got := s.Abandon(); !slices.Equal(got, []string{a, b}) {
		t.Errorf("kept %q, want both", got)
	}
}

func TestKeepGivesOldFilesBack(t *testing.T) {
	dir := t.TempDir()
	was, fresh, blocked := put(t, dir, "was"), filepath.Join(dir, "fresh"), put(t, dir, "zblocked")
	var s files.Set
	for _, file := range []string{was, fresh, blocked} {
		add(t, &s, file)
	}
	// what was a file when its draft was made is a directory when it is renamed
	if err := os.Remove(blocked); err != nil {
		t.Fatal(err)
	}
	if err := os.MkdirAll(filepath.Join(blocked, "in the way"), 0o755); err != nil {
		t.Fatal(err)
	}
	err := s.Keep()
	var fault *files.Error
	if !errors.As(err, &fault) || fault.File != blocked {
		t.Errorf("got %v, want an error of %s", err, blocked)
	}
	s.Discard()
	holds(t, was, old)
	only(t, dir, "was", "zblocked")
}

func TestDiscardLeavesNothing(t *testing.T) {
	dir := t.TempDir()
	a := put(t, dir, "a")
	var s files.Set
	add(t, &s, a)
	s.Discard()
	holds(t, a, old)
	only(t, dir, "a")
}

func TestAbandonLetsNothingIn(t *testing.T) {
	dir := t.TempDir()
	a := put(t, dir, "a")
	var s files.Set
	add(t, &s, a)
	if got := s.Abandon(); len(got) > 0 {
		t.Errorf("kept %q, want none", got)
	}
	if err := s.Keep(); !errors.Is(err, files.ErrAbandoned) {
		t.Errorf("Keep: got %v, want %v", err, files.ErrAbandoned)
	}
	if err := s.Add(a, nil); !errors.Is(err, files.ErrAbandoned) {
		t.Errorf("Add: got %v, want %v", err, files.ErrAbandoned)
	}
	holds(t, a, old)
	only(t, dir, "a")
}

// TestAbandonBetween lets a set be abandoned at any moment of its way: the
// files are all old or all new, and nothing else is left.
func TestAbandonBetween(t *testing.T) {
	for range 60 {
		dir := t.TempDir()
		a, b := put(t, dir, "a"), put(t, dir, "b")
		var s files.Set
		var both sync.WaitGroup
		both.Go(func() {
			if s.Add(a, []byte(new)) == nil && s.Add(b, []byte(new)) == nil {
				_ = s.Keep()
			}
		})
		var kept []string
		both.Go(func() { kept = s.Abandon() })
		both.Wait()
		want := old
		if len(kept) > 0 {
			want = new
		}
		holds(t, a, want)
		holds(t, b, want)
		only(t, dir, "a", "b")
	}
}

func TestModeIsKept(t *testing.T) {
	dir := t.TempDir()
	file := put(t, dir, "a")
	if err := os.Chmod(file, 0o640); err != nil {
		t.Fatal(err)
	}
	before, err := os.Stat(file)
	if err != nil {
		t.Fatal(err)
	}
	if err := write(file); err != nil {
		t.Fatal(err)
	}
	after, err := os.Stat(file)
	if err != nil || after.Mode() != before.Mode() {
		t.Errorf("got mode %v (%v), want %v", after.Mode(), err, before.Mode())
	}
	holds(t, file, new)
}

func write(file string) error {
	var s files.Set
	return s.Write(file, []byte(new))
}

func TestLinksAreFollowed(t *testing.T) {
	tests := []struct {
		name  string
		links [][2]string // from, to
		is    string      // the file that is written, "" where none is
		want  string      // of the error
	}{
		{"to a file", [][2]string{{"link", "deep/is"}}, "deep/is", ""},
		{"to nothing yet", [][2]string{{"link", "deep/new"}}, "deep/new", ""},
		{"over several links", [][2]string{{"link", "way"}, {"way", "deep/../deep/new"}}, "deep/new", ""},
		{"over a directory's link", [][2]string{{"link", "way/../new"}, {"way", "deep/below"}}, "deep/new", ""},
		{"to where no directory is", [][2]string{{"link", "nowhere/new"}}, "", "no such file"},
		{"in a circle", [][2]string{{"link", "way"}, {"way", "link"}}, "", "too many"},
		{"to a directory", [][2]string{{"link", "deep"}}, "", "it is a directory"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			dir := t.TempDir()
			if err := os.MkdirAll(filepath.Join(dir, "deep", "below"), 0o755); err != nil {
				t.Fatal(err)
			}
			put(t, dir, "deep/is")
			for _, l := range tt.links {
				if err := os.Symlink(filepath.FromSlash(l[1]), filepath.Join(dir, l[0])); err != nil {
					t.Skip(err)
				}
			}
			err := write(filepath.Join(dir, "link"))
			if info, _ := os.Lstat(filepath.Join(dir, "link")); info.Mode()&fs.ModeSymlink == 0 {
				t.Errorf("the link is one no more")
			}
			if tt.is == "" {
				if err == nil || !strings.Contains(err.Error(), tt.want) {
					t.Errorf("got %v, want %q", err, tt.want)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			holds(t, filepath.Join(dir, tt.is), new)
		})
	}
}

func TestTwoNamesOfOneFile(t *testing.T) {
	dir := t.TempDir()
	file, link := put(t, dir, "a"), filepath.Join(dir, "link")
	if err := os.Symlink("a", link); err != nil {
		t.Skip(err)
	}
	var s files.Set
	defer s.Discard()
	add(t, &s, file)
	if err := s.Add(link, nil); err == nil || !strings.Contains(err.Error(), "it is the same file as") {
		t.Errorf("got %v, want that it is the same file", err)
	}
}

// TestWriters holds that of several writers of one file one wins, whole.
func TestWriters(t *testing.T) {
	dir := t.TempDir()
	file := put(t, dir, "a")
	var all sync.WaitGroup
	texts := []string{strings.Repeat("1", 1<<16), strings.Repeat("2", 1<<17), strings.Repeat("3", 100)}
	for i := range 30 {
		all.Go(func() {
			var s files.Set
			if err := s.Write(file, []byte(texts[i%3])); err != nil {
				t.Error(err)
			}
		})
	}
	all.Wait()
	got, err := os.ReadFile(file)
	if err != nil || !slices.Contains(texts, string(got)) {
		t.Errorf("got %d bytes (%v), want one of the texts", len(got), err)
	}
	only(t, dir, "a")
}

// BenchmarkWrite says what it costs to bring a file to the disk, beside a file
// that is left to the system.
func BenchmarkWrite(b *testing.B) {
	text := []byte(strings.Repeat("a line of a report\n", 5000))
	file := filepath.Join(b.TempDir(), "a")
	b.Run("draft", func(b *testing.B) {
		for b.Loop() {
			var s files.Set
			if err := s.Write(file, text); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("floor", func(b *testing.B) {
		for b.Loop() {
			if err := os.WriteFile(file, text, 0o644); err != nil {
				b.Fatal(err)
			}
		}
	})
}
