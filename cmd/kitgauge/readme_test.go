package main

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"kitgauge/checker/golden"
	"kitgauge/cmd/kitgauge/command"
)

// TestReadme runs the commands of the README's console blocks and holds their
// output to what stands there, but for what every new rule changes.
func TestGoldenReadme(t *testing.T) {
	t.Chdir("../..")
	before, err := os.ReadFile("README.md")
	if err != nil {
		t.Fatal(err)
	}
	const open, end = "```console\n$ kitgauge ", "```\n"
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
		line, _, _ := strings.Cut(block, "\n")
		var out bytes.Buffer
		command.Run(strings.Fields(line), command.Streams{In: strings.NewReader(""), Out: &out, Err: &out})
		after.WriteString(open + line + "\n" + out.String() + end)
		_, rest, _ = strings.Cut(block[len(line)+1:], end)
	}
	if blocks == 0 {
		t.Fatal("README.md has no console block")
	}
	if golden.Updating() {
		golden.Write(t, "README.md", []byte(after.String()))
		return
	}
	want, got := golden.Steady(before), golden.Steady([]byte(after.String()))
	if diff := cmp.Diff(string(want), string(got)); diff != "" {
		t.Errorf("the output in README.md is not what the commands print; read the difference, and if it is right, go generate ./... (-want +got):\n%s", diff)
	}
}
