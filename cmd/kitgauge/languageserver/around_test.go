package languageserver

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

const firstTube = "point: A1\n    tube: FG-T4"

// startAt starts a server with a root of its own, over a tree in which no
// repository binds the examples together unless git does.
func startAt(t *testing.T, o Options, root string, git bool) *client {
	t.Helper()
	dir, err := filepath.EvalSymlinks(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	if err := os.CopyFS(filepath.Join(dir, "examples"), os.DirFS("../../../examples")); err != nil {
		t.Fatal(err)
	}
	if git {
		if err := os.Mkdir(filepath.Join(dir, ".git"), 0o777); err != nil {
			t.Fatal(err)
		}
	}
	c := connect(t, o)
	c.dir, c.encoded = dir, utf16
	uri := "null"
	if root != "" {
		uri = fmt.Sprintf("%q", uriOf(filepath.Join(dir, root)))
	}
	var result initializeResult
	c.call("initialize", json.RawMessage(fmt.Sprintf(`{"processId":null,"rootUri":%s,"capabilities":%s}`, uri, capable)), &result)
	return c
}

// TestPartOfOthers gives a part another name from a kit whose root holds neither
// the catalogue nor the other kits: they are changed as well, or nothing is.
func TestPartOfOthers(t *testing.T) {
	for root, git := range map[string]bool{"": false, "examples/trailer": true} {
		c := startAt(t, Options{}, root, git)
		c.open(trailer)
		p := renameParams{c.place(trailer, firstTube, len(firstTube)-1), "FG-T4X"}
		var e workspaceEdit
		c.call("textDocument/rename", p, &e)
		var changed []string
		for _, one := range e.DocumentChanges {
			changed = append(changed, filepath.Base(one.TextDocument.URI))
		}
		names := strings.Join(changed, " ")
		for _, name := range []string{"trailer.kit.yaml", "gritter.kit.yaml", "gritter-faulty.kit.yaml", "loader.kit.yaml", "winter.parts.yaml"} {
			if !strings.Contains(names, name) {
				t.Errorf("root %q, repository %t: %s is not changed, but %s", root, git, name, names)
			}
		}
	}
}

// TestPartOfTooMany refuses the name where the tree is too large to look through,
// and says which root would do.
func TestPartOfTooMany(t *testing.T) {
	for _, root := range []string{"", "examples"} {
		c := startAt(t, Options{most: 100}, root, true)
		c.open(trailer)
		for i := range 100 { // the examples have fewer
			if err := os.WriteFile(filepath.Join(c.dir, fmt.Sprintf("n%d.txt", i)), nil, 0o666); err != nil {
				t.Fatal(err)
			}
		}
		err := c.conn.Call(t.Context(), "textDocument/rename", renameParams{c.place(trailer, firstTube, len(firstTube)-1), "FG-T4X"}, &workspaceEdit{})
		switch want := "open " + filepath.Join(c.dir, "examples") + " as the root"; {
		case root == "" && (err == nil || !strings.Contains(err.Error(), want)):
			t.Errorf("without a root: %v, without %q", err, want)
		case root != "" && err != nil:
			t.Errorf("with the root that was asked for: %v", err)
		}
	}
}
