//go:build unix

package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// TestNeovim has a real editor open a kit, with the lines of README.md in its
// init.lua: a fault is typed, told where it stands, mended by what is offered,
// and gone.
func TestNeovim(t *testing.T) {
	nvim, err := exec.LookPath("nvim")
	switch {
	case err != nil && os.Getenv("CI") != "":
		t.Fatal("there is no nvim")
	case err != nil:
		t.Skip("there is no nvim")
	}
	script, err := os.ReadFile("testdata/neovim.lua")
	if err != nil {
		t.Fatal(err)
	}
	b := newBench(t)
	b.put("init.lua", blockOf(t, "lua"))
	b.put("script.lua", string(script))
	c := exec.Command(nvim, "--headless", "--clean", "-u", "init.lua", "-S", "script.lua")
	c.Dir = b.dir
	c.Env = append(os.Environ(), "HOME="+t.TempDir(), "PATH="+filepath.Dir(b.program)+":"+os.Getenv("PATH"), "KIT=examples/gritter/gritter.kit.yaml", "PATIENCE=60000")
	out, err := c.CombinedOutput()
	const want = `speaks utf-16
typed cut_length: 2610 mm
found routing/cut-length at 2610 mm
line 6: cut to 2610 mm, the tube is 91 mm short: 1841 mm of fixed run, 825 mm of free length, 24 mm in the fittings and 10 mm to trim
offered Cut it to 2701 mm
offered Draft a concession for routing/cut-length at line 6
offered Write what follows from the rest of the file
mended cut_length: 2701 mm
ended
`
	if err != nil || string(out) != want {
		t.Errorf("%v:\n%s\nwant\n%s", err, out, want)
	}
}
