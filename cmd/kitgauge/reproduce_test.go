package main

import (
	"bytes"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

var full = flag.Bool("full", false, "build the program from nothing, which takes minutes, and try more numbers of cores")

// TestReproduces builds the program in two directories, the second time with an
// empty cache, so that nothing is taken of the first: the bytes are the same, so
// no path and no time gets into them.
func TestReproduces(t *testing.T) {
	if !*full {
		t.Skip("takes minutes: go test ./cmd/kitgauge -run Reproduces -full -timeout 30m")
	}
	var built [2][]byte
	for i := range built {
		dir := t.TempDir()
		for _, part := range []string{"cmd", "checker", "rules", "schema", "examples"} {
			if err := os.CopyFS(filepath.Join(dir, part), os.DirFS(filepath.Join("..", "..", part))); err != nil {
				t.Fatal(err)
			}
		}
		for _, name := range []string{"go.mod", "go.sum"} {
			text, err := os.ReadFile(filepath.Join("..", "..", name))
			if err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(filepath.Join(dir, name), text, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		cmd := exec.Command("go", "build", "-trimpath", "-buildvcs=false", "-o", "program", "./cmd/kitgauge")
		cmd.Dir, cmd.Env = dir, os.Environ()
		if i > 0 {
			cmd.Env = append(cmd.Env, "GOCACHE="+t.TempDir())
		}
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Fatalf("%v\n%s", err, out)
		}
		var err error
		if built[i], err = os.ReadFile(filepath.Join(dir, "program")); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(built[0], built[1]) {
		t.Error("two builds in two directories differ")
	}
}
