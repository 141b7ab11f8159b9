package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"kitgauge/checker/golden"
	"kitgauge/cmd/kitgauge/command"
)

// TestReadme runs the commands of the README's console blocks, one after the
// other in a copy of the examples, and holds their output to what stands there,
// but for what every new rule changes.
func TestGoldenReadme(t *testing.T) {
	t.Chdir("../..")
	before, err := os.ReadFile("README.md")
	if err != nil {
		t.Fatal(err)
	}
	top, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	if err := os.CopyFS("examples", os.DirFS(filepath.Join(top, "examples"))); err != nil {
		t.Fatal(err)
	}
	const open, end = "```console\n", "```\n"
	var after strings.Builder
	rest := string(before)
	blocks := 0
	for {
		text, block, found := strings.Cut(rest, open)
		after.WriteString(text)
		if !found {
			break
		}
		blocks++
		block, rest, _ = strings.Cut(block, end)
		after.WriteString(open)
		for line := range strings.Lines(block) {
			if said, is := strings.CutPrefix(line, "$ "); is {
				after.WriteString(line + runs(t, strings.TrimSpace(said)))
			}
		}
		after.WriteString(end)
	}
	if blocks == 0 {
		t.Fatal("README.md has no console block")
	}
	if golden.Updating() {
		golden.Write(t, filepath.Join(top, "README.md"), []byte(after.String()))
		return
	}
	want, got := golden.Steady(before), golden.Steady([]byte(after.String()))
	if diff := cmp.Diff(string(want), string(got)); diff != "" {
		t.Errorf("the output in README.md is not what the commands print; read the difference, and if it is right, go generate ./... (-want +got):\n%s", diff)
	}
}

// runs is what a command prints: kitgauge here, sed by the shell.
func runs(t *testing.T, line string) string {
	t.Helper()
	var out bytes.Buffer
	switch name, rest, _ := strings.Cut(line, " "); name {
	case "kitgauge":
		command.Run(strings.Fields(rest), command.Streams{In: strings.NewReader(""), Out: &out, Err: &out})
	case "sed":
		text, err := exec.Command("sh", "-c", line).CombinedOutput()
		if err != nil {
			t.Errorf("%s: %v", line, err)
		}
		out.Write(text)
	default:
		t.Errorf("%s: no command of kitgauge", line)
	}
	return out.String()
}

// blockOf is the block of README.md that is written in a language.
func blockOf(t *testing.T, language string) string {
	t.Helper()
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, found := strings.Cut(string(text), "```"+language+"\n")
	block, _, ends := strings.Cut(rest, "```\n")
	if !found || !ends || strings.Contains(rest, "```"+language+"\n") {
		t.Fatalf("README.md has no block in %s, or several", language)
	}
	return block
}

// What README.md says to do once the program is installed is done in a shell:
// it prints its version, writes the manual page, and is completed from then on.
func TestReadmeInstalled(t *testing.T) {
	bash, err := exec.LookPath("bash")
	switch {
	case err != nil && os.Getenv("CI") != "":
		t.Fatal("there is no bash")
	case err != nil:
		t.Skip("there is no bash")
	}
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, _ := strings.Cut(string(text), "Then, in a shell:\n\n```sh\n")
	block, _, found := strings.Cut(rest, "```\n")
	if !found {
		t.Fatal("README.md does not say what to do once the program is installed")
	}
	b := newBench(t)
	c := exec.Command(bash, "--norc", "-euc", block+"head -n 1 kitgauge.1; complete -p kitgauge")
	c.Dir, c.Env = b.dir, append(os.Environ(), "PATH="+filepath.Dir(b.program)+":"+os.Getenv("PATH"))
	out, err := c.CombinedOutput()
	if want := regexp.MustCompile(`^kitgauge \d+\.\d+\.\d+ \(.*\)\n\.TH KITGAUGE 1 .*\ncomplete .*kitgauge\n$`); err != nil || !want.Match(out) {
		t.Errorf("%v:\n%s", err, out)
	}
}
