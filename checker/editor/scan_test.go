package editor

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"

	"kitgauge/checker/source"
)

// differ says where the scan of a text gives another tree than its reading,
// "" where it gives the same: keys, values and their bytes.
func differ(n *node, want *source.Node) string {
	at := want.Pointer() + " at " + want.Pos().String()
	from, to, ok := want.Span()
	switch is := n.as(); {
	case is != want.Kind && (is != source.Text || want.Kind > source.Text):
		return fmt.Sprintf("%s: is %v, want %v", at, is, want.Kind)
	case len(n.items) != len(want.Items):
		return fmt.Sprintf("%s: has %d items, want %d", at, len(n.items), len(want.Items))
	case want.Kind <= source.Text && strings.Join(strings.Fields(n.text), " ") != strings.Join(strings.Fields(want.Scalar), " ") && want.Kind != source.Null:
		return fmt.Sprintf("%s: is %q, want %q", at, n.text, want.Scalar)
	case ok && from < to && (n.from != from || n.to != to):
		return fmt.Sprintf("%s: stands at %d to %d, want %d to %d", at, n.from, n.to, from, to)
	}
	for i, item := range n.items {
		if want.Kind == source.Map {
			if item.key != want.Members[i].Key {
				return fmt.Sprintf("%s: has the key %q, want %q", at, item.key, want.Members[i].Key)
			}
			if from, to, ok := want.Items[i].KeySpan(); ok && (item.keyFrom != from || item.keyTo != to) {
				return fmt.Sprintf("%s: the key %q stands at %d to %d, want %d to %d", at, item.key, item.keyFrom, item.keyTo, from, to)
			}
		}
		if why := differ(item, want.Items[i]); why != "" {
			return why
		}
	}
	return ""
}

// as is the kind as package source has it, a number being a text.
func (n *node) as() source.Kind {
	return map[kind]source.Kind{nothing: source.Null, scalar: source.Text, list: source.List, group: source.Map}[n.kind]
}

// sameTree holds the scan of a text that can be read to its reading.
func sameTree(text []byte) string {
	docs, problems := source.Parse("kit.yaml", text)
	if len(problems) > 0 || aliased(docs) {
		return ""
	}
	got, _ := scan(text)
	if len(got) != len(docs) {
		return fmt.Sprintf("%d documents, want %d", len(got), len(docs))
	}
	for i, d := range docs {
		if why := differ(got[i], d.Root); why != "" {
			return why
		}
	}
	return ""
}

func aliased(docs []*source.Document) bool {
	var any func(n *source.Node) bool
	any = func(n *source.Node) bool {
		for _, item := range n.Items {
			if item.Alias() || item.Borrowed() || any(item) {
				return true
			}
		}
		return false
	}
	for _, d := range docs {
		if any(d.Root) {
			return true
		}
	}
	return false
}

// texts are the YAML and JSON files of the project, those in archives among
// them.
func texts(t testing.TB) map[string][]byte {
	all := map[string][]byte{}
	add := func(name string, text []byte) {
		if e := filepath.Ext(name); e == ".yaml" || e == ".json" || e == ".yml" {
			all[name] = text
		}
	}
	for _, dir := range []string{"../../examples", "../../testdata", "../../rules", "../../schema/testdata"} {
		err := filepath.WalkDir(dir, func(name string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() {
				return err
			}
			text, err := os.ReadFile(name)
			if err != nil {
				return err
			}
			add(name, text)
			if filepath.Ext(name) == ".txtar" {
				for _, f := range txtar.Parse(text).Files {
					add(name+"/"+f.Name, f.Data)
				}
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	return all
}

// A text that can be read gives the tree that package source reads of it.
func TestScanIsTheReading(t *testing.T) {
	count := 0
	for name, text := range texts(t) {
		if why := sameTree(text); why != "" {
			t.Errorf("%s: %s", name, why)
		}
		count++
	}
	if count < 100 {
		t.Errorf("only %d files", count)
	}
}
