//go:build unix

package main

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// before is what a file holds that a run is to replace, or to leave alone.
const before = "what an earlier run wrote\n"

// bench is a directory with kits, and the program.
type bench struct {
	*testing.T
	dir     string
	program string
}

func newBench(t *testing.T) *bench {
	t.Helper()
	t.Parallel()
	b := &bench{t, t.TempDir(), ""}
	if err := os.CopyFS(filepath.Join(b.dir, "examples"), os.DirFS("../../examples")); err != nil {
		t.Fatal(err)
	}
	program, err := os.Executable() // stands for kitgauge when it is called so
	if err != nil {
		t.Fatal(err)
	}
	b.program = filepath.Join(t.TempDir(), "kitgauge")
	if err := os.Symlink(program, b.program); err != nil {
		t.Fatal(err)
	}
	return b
}

func (b *bench) file(name string) string { return filepath.Join(b.dir, name) }

func (b *bench) put(name, text string) {
	b.Helper()
	if err := os.WriteFile(b.file(name), []byte(text), 0o644); err != nil {
		b.Fatal(err)
	}
}

func (b *bench) pipe(name string) {
	b.Helper()
	if err := syscall.Mkfifo(b.file(name), 0o644); err != nil {
		b.Fatal(err)
	}
}

func (b *bench) command(args ...string) *exec.Cmd {
	c := exec.Command(b.program, args...)
	c.Dir = b.dir
	return c
}

// holds says what a file has to hold.
func (b *bench) holds(name, want string) {
	b.Helper()
	got, err := os.ReadFile(b.file(name))
	if err != nil || string(got) != want {
		b.Errorf("%s: got %.80q (%v), want %q", name, got, err, want)
	}
}

// noDrafts holds that nothing is left beside the files that were there.
func (b *bench) noDrafts() {
	b.Helper()
	err := filepath.WalkDir(b.dir, func(path string, _ os.DirEntry, err error) error {
		if strings.Contains(filepath.Base(path), ".draft") {
			b.Errorf("%s is left", path)
		}
		return err
	})
	if err != nil {
		b.Error(err)
	}
}

// status is the exit status as a shell knows it.
func status(c *exec.Cmd) int {
	if w, is := c.ProcessState.Sys().(syscall.WaitStatus); is && w.Signaled() {
		return 128 + int(w.Signal())
	}
	return c.ProcessState.ExitCode()
}

// patience is how long a program may take for what it does at once.
const patience = 30 * time.Second

// until waits for something that another process does.
func until(t *testing.T, what string, is func() bool) {
	t.Helper()
	for end := time.Now().Add(patience); !is(); time.Sleep(time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("waited in vain until %s", what)
		}
	}
}

// ended waits for the end of a command that was started.
func ended(t *testing.T, c *exec.Cmd) int {
	t.Helper()
	timer := time.AfterFunc(patience, func() { c.Process.Kill() })
	defer timer.Stop()
	var exit *exec.ExitError
	if err := c.Wait(); err != nil && !errors.As(err, &exit) {
		t.Fatal(err)
	}
	return status(c)
}

// signingKey makes a key without a passphrase.
func signingKey(b *bench) string {
	b.Helper()
	if _, err := exec.LookPath("ssh-keygen"); err != nil {
		b.Skip(err)
	}
	file := filepath.Join(b.TempDir(), "key")
	if out, err := exec.Command("ssh-keygen", "-q", "-t", "ed25519", "-N", "", "-C", "", "-f", file).CombinedOutput(); err != nil {
		b.Fatalf("%v: %s", err, out)
	}
	return file
}
