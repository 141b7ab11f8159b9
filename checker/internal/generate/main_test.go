package main

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
)

// TestDerived holds the files that are made here to what they are made of.
func TestDerived(t *testing.T) {
	for _, d := range derived {
		want, err := d.text()
		if err != nil {
			t.Errorf("%s: %v", d.file, err)
			continue
		}
		got, err := os.ReadFile(filepath.Join("..", "..", "..", filepath.FromSlash(d.file)))
		if err != nil || !bytes.Equal(got, want) {
			t.Errorf("%s is not what it is made of (%v): go generate ./...", d.file, err)
		}
	}
}

// TestKeepers sees to it that the tests that keep outputs are found where they
// are, and no others.
func TestKeepers(t *testing.T) {
	top := t.TempDir()
	for file, text := range map[string]string{
		"a/a_test.go":          "package a\n\nfunc TestGoldenPage(t *testing.T) {}\n",
		"a/b_test.go":          "package a\n\nfunc TestGolden(t *testing.T) {}\n",
		"b/b_test.go":          "package b\n\nfunc TestPage(t *testing.T) {}\n",
		"b/b.go":               "package b\n\nfunc TestGolden() {}\n",
		"testdata/c/c_test.go": "package c\n\nfunc TestGolden(t *testing.T) {}\n",
	} {
		file = filepath.Join(top, filepath.FromSlash(file))
		if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := keepers(top, "TestGolden")
	if err != nil || len(got) != 1 || got[0] != "./a" {
		t.Errorf("got %q and the error %v, want ./a alone", got, err)
	}
}
