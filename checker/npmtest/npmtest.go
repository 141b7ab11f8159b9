// Package npmtest installs programs of the npm registry that tests compare
// with: validators that other people wrote. It is used by tests only.
package npmtest

import (
	"bytes"
	"context"
	"crypto/sha256"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// Install installs what the package.json and package-lock.json of a directory
// name, and returns a directory that holds the installation beside the files
// of the directory given. It is kept in the user's cache, by what is to be
// installed. The test is skipped where that cannot be done, but on a build
// server, where it has to run.
func Install(t testing.TB, from string) string {
	t.Helper()
	for _, program := range []string{"node", "npm"} {
		if _, err := exec.LookPath(program); err != nil {
			Unavailable(t, err)
		}
	}
	hash := sha256.New()
	files := map[string][]byte{}
	entries, err := os.ReadDir(from) // sorted by name
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if e.IsDir() {
			continue
		}
		text, err := os.ReadFile(filepath.Join(from, e.Name()))
		if err != nil {
			t.Fatal(err)
		}
		files[e.Name()] = text
		fmt.Fprintf(hash, "%s %d\n%s", e.Name(), len(text), text)
	}
	cache, err := os.UserCacheDir()
	if err != nil {
		cache = t.TempDir()
	}
	dir := filepath.Join(cache, "kitgauge-tests", fmt.Sprintf("%s-%x", filepath.Base(from), hash.Sum(nil)[:8]))
	if _, err := os.Stat(dir); err == nil {
		return dir
	}
	install(t, dir, files)
	return dir
}

// install fills a folder beside dir and renames it, so that an installation
// that was broken off is never used.
func install(t testing.TB, dir string, files map[string][]byte) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(dir), 0o755); err != nil {
		Unavailable(t, err)
	}
	temp, err := os.MkdirTemp(filepath.Dir(dir), "install-")
	if err != nil {
		Unavailable(t, err)
	}
	defer os.RemoveAll(temp)
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(temp, name), text, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	Run(t, temp, nil, "npm", "ci", "--ignore-scripts", "--no-audit", "--no-fund")
	if err := os.Rename(temp, dir); err != nil {
		if _, other := os.Stat(dir); other != nil { // nobody else was faster
			t.Fatal(err)
		}
	}
}

// Find returns the path of the one file of that name in the installation.
func Find(t testing.TB, dir, name string) string {
	t.Helper()
	var found []string
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() && d.Name() == name {
			found = append(found, path)
		}
		return err
	})
	if err != nil || len(found) != 1 {
		t.Fatalf("%d files %s in the installation (%v)", len(found), name, err)
	}
	return found[0]
}

// Run runs a program and returns what it writes; npm may fail for want of a
// network.
func Run(t testing.TB, dir string, input *bytes.Buffer, program string, arguments ...string) []byte {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), 3*time.Minute)
	defer cancel()
	c := exec.CommandContext(ctx, program, arguments...)
	c.Dir = dir
	if input != nil {
		c.Stdin = input
	}
	var stderr strings.Builder
	c.Stderr = &stderr
	out, err := c.Output()
	if err != nil && program == "npm" {
		Unavailable(t, err)
	}
	if err != nil {
		t.Fatalf("%s: %v\n%s%s", program, err, out, stderr.String())
	}
	return out
}

// Unavailable skips the test, but on a build server.
func Unavailable(t testing.TB, why error) {
	t.Helper()
	if os.Getenv("CI") != "" {
		t.Fatalf("what the test compares with cannot be installed: %v", why)
	}
	t.Skipf("what the test compares with cannot be installed: %v", why)
}
