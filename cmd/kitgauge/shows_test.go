package main

import (
	"bytes"
	"path/filepath"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/rogpeppe/go-internal/testscript"
	"github.com/rogpeppe/go-internal/txtar"

	"kitgauge/checker/golden"
)

// shown is what the scripts' commands wrote, where it is written into the
// scripts: by script, by the name of the file in it.
type shown struct {
	dir   string
	mu    sync.Mutex
	texts map[string]map[string][]byte
}

// shows holds an output to a file of the script, but for what every new rule
// changes: shows stdout want.
func (s *shown) shows(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: shows output want")
	}
	got := golden.Steady([]byte(ts.ReadFile(args[0])))
	want := golden.Steady([]byte(ts.ReadFile(args[1])))
	if bytes.Equal(want, got) && !golden.Updating() {
		return
	}
	if !golden.Updating() {
		ts.Fatalf("%s is not %s; read the difference, and if it is right, go generate ./... (-want +got):\n%s", args[0], args[1], cmp.Diff(string(want), string(got)))
	}
	name, err := filepath.Rel(ts.Getenv("WORK"), ts.MkAbs(args[1]))
	ts.Check(err)
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.texts[ts.Name()] == nil {
		s.texts[ts.Name()] = map[string][]byte{}
	}
	s.texts[ts.Name()][filepath.ToSlash(name)] = got
}

// write puts what was shown into the scripts.
func (s *shown) write(t *testing.T) {
	for script, texts := range s.texts {
		file := filepath.Join(s.dir, script+".txtar")
		archive, err := txtar.ParseFile(file)
		if err != nil {
			t.Error(err)
			continue
		}
		for i, f := range archive.Files {
			if text, found := texts[f.Name]; found {
				archive.Files[i].Data = text
				delete(texts, f.Name)
			}
		}
		for name := range texts {
			t.Errorf("%s has no file %s to write an output to", file, name)
		}
		golden.Write(t, file, txtar.Format(archive))
	}
}
