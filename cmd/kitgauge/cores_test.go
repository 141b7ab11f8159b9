//go:build unix

package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"kitgauge/checker/source"
)

// TestCores holds that what is written is the same on any number of cores.
func TestCores(t *testing.T) {
	b := newBench(t)
	var lines []byte
	for _, name := range []string{"gritter-faulty/gritter-faulty", "trailer/trailer", "gritter/gritter"} {
		text, err := os.ReadFile(b.file("examples/" + name + ".kit.yaml"))
		if err != nil {
			t.Fatal(err)
		}
		docs, _ := source.Parse(name, text)
		lines = append(append(lines, docs[0].Root.JSON()...), '\n', '\n')
	}
	commands := [][]string{
		{"check", "--on", "2026-11-25", "--figures", "--margins", "--report", "text", "--report", "json=json", "--report", "sarif=sarif",
			"--report", "junit=junit", "--report", "annotations=annotations", "--report", "markdown=markdown", "examples", "nowhere"},
		{"stream", "--base", "examples/trailer", "--on", "2026-11-25", "--figures"},
		{"known", "--on", "2026-11-25", "--out", "known", faultyKit},
		{"dossier", "--on", "2026-11-25", "--out", "dossier", "--against", "examples/gritter/gritter.kit.yaml", faultyKit},
		{"sheets", "--out", "sheets.xlsx", "examples/gritter/gritter.kit.yaml"},
		{"draw", "--out", "drawing", faultyKit},
		{"rules"},
	}
	var want map[string][]byte
	counts := []string{"1", "8"}
	if *full {
		counts = []string{"1", "2", "3", "8"}
	}
	for _, cores := range counts {
		got := map[string][]byte{}
		for _, args := range commands {
			c := exec.Command(b.program, args...)
			c.Dir = b.dir
			c.Env = append(os.Environ(), "GOMAXPROCS="+cores)
			c.Stdin = bytes.NewReader(lines)
			var out, said bytes.Buffer
			c.Stdout, c.Stderr = &out, &said
			_ = c.Run() // most of them find something
			got["output of "+args[0]], got["said by "+args[0]] = out.Bytes(), said.Bytes()
		}
		for _, file := range strings.Fields("json sarif junit annotations markdown known dossier sheets.xlsx drawing") {
			text, err := os.ReadFile(filepath.Join(b.dir, file))
			if err != nil {
				t.Fatal(err)
			}
			got[file] = text
		}
		if want == nil {
			want = got
		}
		for name := range want {
			if !bytes.Equal(got[name], want[name]) {
				t.Errorf("%s: %d bytes on %s cores, which are not the %d bytes on one", name, len(got[name]), cores, len(want[name]))
			}
		}
		if len(got["output of stream"]) == 0 || len(got["output of check"]) == 0 {
			t.Fatalf("nothing is written: %s", got["said by check"])
		}
	}
}
