package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
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
