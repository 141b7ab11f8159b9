//go:build unix

package main

import (
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

const faultyKit = "examples/gritter-faulty/gritter-faulty.kit.yaml"

// shell runs a script in the directory of the bench; $kitgauge is the program.
func (b *bench) shell(c *exec.Cmd) string {
	b.Helper()
	c.Dir = b.dir
	c.Env = append(os.Environ(), "kitgauge="+b.program)
	out, err := c.CombinedOutput()
	if err != nil {
		b.Fatalf("%v\n%s", err, out)
	}
	return string(out)
}

// TestFullDisk writes reports to a disk of 64 KiB. It needs a namespace of its
// own, in which it can mount one.
func TestFullDisk(t *testing.T) {
	if out, err := exec.Command("unshare", "-rm", "sh", "-c", "mount -t tmpfs -o size=64k none /mnt").CombinedOutput(); err != nil {
		t.Skipf("no small disk can be mounted here: %v %s", err, out)
	}
	b := newBench(t)
	got := b.shell(exec.Command("unshare", "-rm", "sh", "-c", `
mkdir disk && mount -t tmpfs -o size=64k none disk
echo old >disk/first.md; echo old >disk/last.json; echo old >elsewhere.txt
"$kitgauge" check --slips never --figures --report markdown=disk/first.md --report text=elsewhere.txt --report json=disk/last.json `+faultyKit+`
echo $?
"$kitgauge" dossier --out disk/new.html `+faultyKit+`
echo $?
cd disk && ls && cat first.md last.json ../elsewhere.txt
`))
	want := `kitgauge: the report cannot be written to disk/last.json: no space is left on the disk
2
kitgauge: the report cannot be written to disk/new.html: no space is left on the disk
2
first.md
last.json
old
old
old
`
	if got != want {
		t.Errorf("got:\n%s\nwant:\n%s", got, want)
	}
	b.noDrafts()
}

// TestFileLimit writes files that are larger than the shell allows.
func TestFileLimit(t *testing.T) {
	b := newBench(t)
	b.put("out.json", before)
	got := b.shell(exec.Command("sh", "-c", `ulimit -f 8
"$kitgauge" check --slips never --report json=out.json `+faultyKit+`
echo $?
"$kitgauge" schema >out.txt
echo $?`))
	want := `kitgauge: the report cannot be written to out.json: the file would be larger than is allowed
2
kitgauge: standard output cannot be written: the file would be larger than is allowed
2
`
	if got != want {
		t.Errorf("got:\n%s\nwant:\n%s", got, want)
	}
	b.holds("out.json", before)
	b.noDrafts()
}

// nobody has the commands of a bench run by a user whom permissions bind.
func (b *bench) nobody() *syscall.SysProcAttr {
	b.Helper()
	if os.Getuid() != 0 {
		return nil
	}
	// the program and the files have to be where that user can reach them
	program := filepath.Join(b.dir, "bin", "kitgauge")
	if err := os.Mkdir(filepath.Dir(program), 0o755); err != nil {
		b.Fatal(err)
	}
	if err := copyFile(program, b.program); err != nil {
		b.Fatal(err)
	}
	b.program = program
	for dir := b.dir; dir != filepath.Dir(os.TempDir()) && strings.HasPrefix(dir, os.TempDir()+"/"); dir = filepath.Dir(dir) {
		if err := os.Chmod(dir, 0o755); err != nil {
			b.Fatal(err)
		}
	}
	const id = 65534
	attr := &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: id, Gid: id}}
	c := exec.Command(program, "version")
	c.SysProcAttr = attr
	if err := c.Run(); err != nil {
		b.Skipf("the program cannot be run as another user here: %v", err)
	}
	return attr
}

func copyFile(to, from string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE, 0o755)
	if err != nil {
		return err
	}
	if _, err := io.Copy(out, in); err != nil {
		return err
	}
	return out.Close()
}

// run runs the program, and returns its status and what it said.
func (b *bench) run(as *syscall.SysProcAttr, args ...string) (int, string, string) {
	b.Helper()
	c := b.command(args...)
	c.SysProcAttr = as
	var out, said strings.Builder
	c.Stdout, c.Stderr = &out, &said
	if err := c.Start(); err != nil {
		b.Fatal(err)
	}
	return ended(b.T, c), out.String(), said.String()
}

// TestNotPermitted meets files and directories that the user may not write.
func TestNotPermitted(t *testing.T) {
	b := newBench(t)
	mine := b.nobody()
	mode := func(name string, mode os.FileMode) {
		t.Helper()
		if err := os.Chmod(b.file(name), mode); err != nil {
			t.Fatal(err)
		}
	}
	for _, dir := range []string{"open", "shut"} {
		if err := os.Mkdir(b.file(dir), 0o755); err != nil {
			t.Fatal(err)
		}
		b.put(dir+"/old", before)
		mode(dir+"/old", 0o666)
	}
	b.put("open/protected", before)
	mode("open/protected", 0o444)
	mode("open", 0o777)
	mode("shut", 0o555)
	t.Cleanup(func() { os.Chmod(b.file("shut"), 0o755) })
	tests := []struct{ name, target, why string }{
		{"a new file in a directory that is read-only", "shut/new", "access is not permitted"},
		{"an old file in a directory that is read-only", "shut/old", "access is not permitted"},
		{"a file that is protected from writing", "open/protected", "access is not permitted"},
		{"a directory", "open", "it is a directory"},
		{"no directory", "nowhere/new", "there is no such directory"},
		{"a file for a directory", "open/old/new", "a part of its path is a file and no directory"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, out, said := b.run(mine, "check", "--slips", "never", "--report", "json=open/first", "--report", "sarif="+tt.target, faultyKit)
			want := "kitgauge: the report cannot be written to " + tt.target + ": " + tt.why + "\n"
			if got != 2 || out != "" || said != want {
				t.Errorf("exit status %d, wrote %q, said %q; want 2, nothing, %q", got, out, said, want)
			}
			got, _, said = b.run(mine, "draw", "--out", tt.target, faultyKit)
			if got != 2 || said != want {
				t.Errorf("draw: exit status %d, said %q; want 2, %q", got, said, want)
			}
			if _, err := os.Stat(b.file("open/first")); err == nil {
				t.Errorf("one of two reports is written")
			}
		})
	}
	b.holds("shut/old", before)
	b.holds("open/protected", before)
	b.noDrafts()
	if got, _, said := b.run(mine, "check", "--slips", "never", "--report", "json=open/old", faultyKit); got != 1 || said != "" {
		t.Errorf("exit status %d, said %q, want 1 and nothing", got, said)
	}
	if info, err := os.Stat(b.file("open/old")); err != nil || info.Mode().Perm() != 0o666 {
		t.Errorf("the mode is %v (%v), want that of the old file", info.Mode(), err)
	}
}

// TestSomeNotReadable checks a fleet of which not all can be read.
func TestSomeNotReadable(t *testing.T) {
	b := newBench(t)
	mine := b.nobody()
	for _, dir := range []string{"fleet/a", "fleet/z", "parts"} {
		if err := os.MkdirAll(b.file(dir), 0o755); err != nil {
			t.Fatal(err)
		}
	}
	kit, err := os.ReadFile(b.file("examples/trailer/trailer.kit.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"fleet/a/one.kit.yaml", "fleet/shut.kit.yaml", "fleet/z/two.kit.yaml"} {
		b.put(name, strings.ReplaceAll(string(kit), "../parts/", "../../examples/parts/"))
	}
	for name, mode := range map[string]os.FileMode{"fleet/shut.kit.yaml": 0, "fleet/z": 0} {
		if err := os.Chmod(b.file(name), mode); err != nil {
			t.Fatal(err)
		}
	}
	t.Cleanup(func() { os.Chmod(b.file("fleet/z"), 0o755) })
	const told = "kitgauge: fleet/shut.kit.yaml: access is not permitted\nkitgauge: fleet/z: access is not permitted\n"
	for _, format := range []string{"text", "json", "sarif", "junit", "annotations", "markdown"} {
		got, out, said := b.run(mine, "check", "--report", format, "fleet")
		if got != 2 || said != told {
			t.Errorf("%s: exit status %d, said %q, want 2 and %q", format, got, said, told)
		}
		for _, want := range []string{"fleet/a/one.kit.yaml", "fleet/shut.kit.yaml", "fleet/z", "access is not permitted"} {
			if !strings.Contains(out, want) && format != "annotations" || format == "annotations" && strings.HasPrefix(want, "fleet/s") && !strings.Contains(out, want) {
				t.Errorf("%s says nothing of %q:\n%s", format, want, out)
			}
		}
	}
	b.put("known.txt", before)
	if err := os.Chmod(b.file("known.txt"), 0o666); err != nil {
		t.Fatal(err)
	}
	if got, _, said := b.run(mine, "known", "--out", "known.txt", "fleet"); got != 2 || !strings.Contains(said, "known.txt stays as it is") {
		t.Errorf("known: exit status %d, said %q, want 2 and that the record stays", got, said)
	}
	b.holds("known.txt", before)
	if got, out, said := b.run(mine, "verify", "fleet"); got != 2 || said != told || !strings.Contains(out, "fleet/a/one.kit.yaml") || !strings.Contains(out, "not read") {
		t.Errorf("verify: exit status %d, said %q, wrote\n%s\nwant 2, %q and the kits that can be read", got, said, out, told)
	}
}
