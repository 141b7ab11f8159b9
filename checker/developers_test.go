package checker_test

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// TestDevelopers keeps DEVELOPERS.md a page that is read, and its paths those
// that there are.
func TestDevelopers(t *testing.T) {
	text, err := os.ReadFile("../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	const most = 150
	if n := strings.Count(string(text), "\n"); n > most {
		t.Errorf("DEVELOPERS.md has %d lines, want at most %d: what is measured belongs to testdata/measured", n, most)
	}
	named := regexp.MustCompile("(?:\\./|\\b)(?:(?:checker|cmd|rules|schema|testdata|examples)/|\\.ci/|\\.github/)[\\w./<>*-]*|`\\w+\\.md`")
	wild := regexp.MustCompile(`<\w+>`)
	found := named.FindAllString(string(text), -1)
	if len(found) < 40 {
		t.Errorf("DEVELOPERS.md names %d paths, fewer than it should", len(found))
	}
	for _, path := range found {
		pattern := wild.ReplaceAllString(strings.TrimRight(path, "."), "*")
		if page, is := strings.CutPrefix(pattern, "`"); is {
			pattern = "testdata/measured/" + strings.TrimSuffix(page, "`")
		}
		if files, err := filepath.Glob(filepath.Join("..", filepath.FromSlash(pattern))); err != nil || len(files) == 0 {
			t.Errorf("DEVELOPERS.md names %s, and there is no such file (%v)", path, err)
		}
	}
}
