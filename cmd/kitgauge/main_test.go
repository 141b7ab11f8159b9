package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"unicode"

	"github.com/rogpeppe/go-internal/testscript"

	"kitgauge/checker/source"
)

// The scripts in testdata/script show every command as a person uses it, with
// the bytes that come out. go generate ./... refreshes what they expect; read
// the difference before it is committed.

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"kitgauge": main})
}

func TestGoldenScripts(t *testing.T) {
	written := &shown{dir: "../../testdata/script", texts: map[string]map[string][]byte{}}
	t.Cleanup(func() { written.write(t) })
	top, err := filepath.Abs("../..")
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir:                 filepath.Join(top, "testdata", "script"),
		RequireUniqueNames:  true,
		RequireExplicitExec: true,
		Setup: func(e *testscript.Env) error {
			readme, err := os.ReadFile(filepath.Join(top, "README.md"))
			if err != nil {
				return err
			}
			if err := os.WriteFile(filepath.Join(e.WorkDir, "README.md"), readme, 0o666); err != nil {
				return err
			}
			return os.CopyFS(filepath.Join(e.WorkDir, "examples"), os.DirFS(filepath.Join(top, "examples")))
		},
		Cmds: map[string]func(ts *testscript.TestScript, neg bool, args []string){"exits": exits, "shows": written.shows, "kitlines": kitLines, "repeat": repeat, "each": each, "harmless": harmless},
	})
}

// exits runs a command and holds it to its exit status: exits 2 kitgauge ...
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits status command [argument...]")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	if err := ts.Exec(args[1], args[2:]...); err != nil {
		exit, ok := err.(*exec.ExitError)
		if !ok {
			ts.Fatalf("%v", err)
		}
		got = exit.ExitCode()
	}
	if got != want {
		ts.Fatalf("exit status %d, want %d", got, want)
	}
}

// each holds several files to a text that they hold, however a format breaks
// its lines: each text file...
func each(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: each text file...")
	}
	for _, file := range args[1:] {
		if !strings.Contains(strings.Join(strings.Fields(ts.ReadFile(file)), " "), args[0]) {
			ts.Fatalf("%s does not hold %q", file, args[0])
		}
	}
}

// harmless holds an output to steering nothing: no character of it is a control
// one or turns the direction of writing (UAX 9) but for tabs and line ends, and no line
// begins with two colons or holds the older sign, by which the runner of a CI job
// knows a command: harmless stderr.
func harmless(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: harmless output")
	}
	text := ts.ReadFile(args[0])
	if strings.TrimSpace(text) == "" {
		ts.Fatalf("nothing was written")
	}
	for line := range strings.Lines(text) {
		if strings.HasPrefix(strings.TrimSpace(line), "::") || strings.Contains(line, "##[") {
			ts.Fatalf("a command: %q", line)
		}
		for _, r := range strings.TrimSuffix(line, "\n") {
			if r != '\t' && unicode.In(r, unicode.Cc, unicode.Cf, unicode.Bidi_Control, unicode.Variation_Selector, unicode.Other_Default_Ignorable_Code_Point, unicode.Zl, unicode.Zp) || r == '\u2800' {
				ts.Fatalf("%U in %q", r, line)
			}
		}
	}
}

// kitLines writes kit files as JSON lines: kitlines kits.jsonl file...
func kitLines(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: kitlines lines file...")
	}
	var lines []byte
	for _, file := range args[1:] {
		docs, problems := source.Parse(file, []byte(ts.ReadFile(file)))
		if len(problems) > 0 || len(docs) != 1 {
			ts.Fatalf("%s: %d documents, problems %v", file, len(docs), problems)
		}
		lines = append(append(lines, docs[0].Root.JSON()...), '\n')
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), lines, 0o666))
}

// repeat writes a file that would be too large to keep: a head, then a text so
// many times, with its number for %d: repeat file count text head.
func repeat(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 4 {
		ts.Fatalf("usage: repeat file count text head")
	}
	count, err := strconv.Atoi(args[1])
	ts.Check(err)
	item := strings.ReplaceAll(args[2], `\n`, "\n")
	var b bytes.Buffer
	b.WriteString(strings.TrimSuffix(ts.ReadFile(args[3]), "\n"))
	if strings.HasSuffix(item, "\n") {
		b.WriteByte('\n')
	}
	if before, after, numbered := strings.Cut(item, "%d"); numbered {
		for i := range count {
			fmt.Fprintf(&b, "%s%d%s", before, i+1, after)
		}
	} else {
		b.Write(bytes.Repeat([]byte(item), count))
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), b.Bytes(), 0o666))
}
