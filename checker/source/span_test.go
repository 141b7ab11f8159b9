package source_test

import (
	"bytes"
	"io/fs"
	"os"
	"strings"
	"testing"

	"kitgauge/checker/source"
)

func TestSpans(t *testing.T) {
	const text = `a:
b: &x [1, 2] # remark
c:
  - p: 1
    q:
  - - 1
    - 2
d:
- one and
  two
e: {a: , b, "c d": 'it''s', 'q': "\"}", } # remark
f: *x
g: !!str 5
i: &y
  k: http://x # remark
m: |  # remark
  abc

   def
# remark
n: >+
  long

o: [ # remark
  1, # remark
]
r: {<<: *y, s: 1}
`
	tests := []struct{ pointer, key, value string }{
		{"/a", "a", ""}, {"/b", "b", "&x [1, 2]"}, {"/b/1", "", "2"},
		{"/c", "c", "- p: 1\n    q:\n  - - 1\n    - 2"}, {"/c/0", "", "p: 1\n    q:"}, {"/c/0/q", "q", ""}, {"/c/1", "", "- 1\n    - 2"},
		{"/d/0", "", "one and\n  two"}, {"/e/b", "b", ""}, {"/e/c d", `"c d"`, "'it''s'"}, {"/e/q", "'q'", `"\"}"`},
		{"/e", "e", `{a: , b, "c d": 'it''s', 'q': "\"}", }`}, {"/f", "f", "*x"}, {"/g", "g", "!!str 5"},
		{"/i", "i", "&y\n  k: http://x"}, {"/i/k", "k", "http://x"}, {"/m", "m", "|  # remark\n  abc\n\n   def"},
		{"/n", "n", ">+\n  long\n"}, {"/o", "o", "[ # remark\n  1, # remark\n]"}, {"/r", "r", "{<<: *y, s: 1}"}, {"/r/s", "s", "1"}, {"/r/k", "none", "http://x"},
	}
	for _, ends := range []string{"\n", "\r\n"} {
		root := read(t, strings.ReplaceAll(text, "\n", ends)).Root
		for _, tt := range tests {
			n := root.Lookup(tt.pointer)
			got, key := spans(n)
			if got, key = strings.ReplaceAll(got, ends, "\n"), strings.ReplaceAll(key, ends, "\n"); got != tt.value || tt.key != "" && key != tt.key {
				t.Errorf("%s: key %q value %q, want %q and %q", tt.pointer, key, got, tt.key, tt.value)
			}
		}
		if at := root.Lookup("/c").End().String(); at != "kit.yaml:7:8" {
			t.Errorf("the end of /c is at %s", at)
		}
		if !root.Lookup("/f").Alias() || !root.Lookup("/f/0").Borrowed() || !root.Lookup("/r/k").Borrowed() || root.Lookup("/r/s").Borrowed() || !root.Lookup("/b").Flow() || root.Lookup("/c").Flow() {
			t.Error("what is written elsewhere is not told")
		}
	}
}

// spans is what stands in the file for a value and its key.
func spans(n *source.Node) (value, key string) {
	value, key = "no span", "none"
	text := n.Document().Text
	if from, to, ok := n.Span(); ok {
		value = string(text[from:to])
	}
	if from, to, ok := n.KeySpan(); ok {
		key = string(text[from:to])
	}
	return value, key
}

// Read alone, what is written for a value is the value, wherever it stands in
// the project's own files.
func TestSpansAlone(t *testing.T) {
	values := 0
	err := fs.WalkDir(os.DirFS("../.."), ".", func(file string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(file, ".yaml") && !strings.HasSuffix(file, ".json") || strings.HasSuffix(file, "large.kit.yaml") {
			return err
		}
		text, err := os.ReadFile("../../" + file)
		if err != nil {
			return err
		}
		docs, _ := source.Parse(file, text)
		for _, doc := range docs {
			values += alone(t, file, doc.Root)
		}
		return nil
	})
	if err != nil || values < 10_000 {
		t.Fatalf("%d values, %v", values, err)
	}
}

func alone(t *testing.T, file string, n *source.Node) (values int) {
	t.Helper()
	from, to, ok := n.Span()
	if !ok {
		t.Errorf("%s%s has no span", file, n.Pointer())
		return 0
	}
	text := n.Document().Text[from:to]
	if indent := bytes.Repeat([]byte(" "), n.Column-1); n.Kind == source.List || n.Kind == source.Map {
		text = append(indent, text...)
	}
	if len(n.Items) == 0 && to > from && !bytes.HasPrefix(text, []byte("*")) && !bytes.ContainsAny(text[:1], "|>") || n.Parent() == nil {
		docs, problems := source.Parse(file, text)
		if len(problems) > 0 || len(docs) != 1 || !bytes.Equal(docs[0].Root.JSON(), n.JSON()) {
			t.Errorf("%s%s is written as %q", file, n.Pointer(), text)
		}
	}
	for _, item := range n.Items {
		if !item.Borrowed() {
			values += alone(t, file, item)
		}
	}
	return values + 1
}
