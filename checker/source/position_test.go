package source_test

import (
	"fmt"
	"strings"
	"testing"
	"unicode/utf16"
	"unicode/utf8"

	"pgregory.net/rapid"

	"kitgauge/checker/source"
)

// read reads a text that has no problems and one document.
func read(t testing.TB, text string) *source.Document {
	t.Helper()
	docs, problems := source.Parse("kit.yaml", []byte(text))
	if len(problems) > 0 || len(docs) != 1 {
		t.Fatalf("%q: got %d documents, %v", text, len(docs), problems)
	}
	return docs[0]
}

func TestPositions(t *testing.T) {
	tests := []struct {
		name, text, pointer string
		kind                source.Kind
		scalar, at, keyAt   string
	}{
		{"plain", "a: b\nc: d\n", "/c", source.Text, "d", "2:4", "2:1"},
		{"byte order mark", "\ufeffa: b\nc: d\n", "/a", source.Text, "b", "1:4", "1:1"},
		{"line ends of two characters", "a: b\r\nc:\r\n  - d\r\n", "/c/0", source.Text, "d", "3:5", "3:5"},
		{"line ends of carriage returns", "a: b\rc: d\r", "/c", source.Text, "d", "2:4", "2:1"},
		{"columns count code points", "{ä: ö, ü: 😀, b: c}", "/b", source.Text, "c", "1:17", "1:14"},
		{"list in brackets", "a: [1, -2.5]", "/a/1", source.Number, "-2.5", "1:8", "1:8"},
		{"quotes", `a: "b"`, "/a", source.Text, "b", "1:4", "1:1"},
		{"block", "a: |\n  b\n", "/a", source.Text, "b\n", "1:4", "1:1"},
		{"key with a question mark", "? a\n: b\n", "/a", source.Text, "b", "2:3", "1:3"},
		{"nothing", "a:\nb: 1", "/a", source.Null, "", "1:3", "1:1"},
		{"alias", "a: &x [b]\nc: *x\n", "/c", source.List, "", "2:4", "2:1"},
		{"inside an alias", "a: &x [b]\nc: *x\n", "/c/0", source.Text, "b", "1:8", "1:8"},
		{"taken over", "a: &x {b: 1}\nc: {<<: *x, d: 2}\n", "/c/b", source.Number, "1", "1:11", "1:8"},
		{"a key of its own wins", "a: &x {b: 1}\nc: {<<: *x, b: 2}\n", "/c/b", source.Number, "2", "2:16", "2:13"},
		{"taken over twice", "a: &x {b: 1}\nc: &y {<<: *x}\nd: {<<: *y}", "/d/b", source.Number, "1", "1:11", "1:8"},
		{"the first of two wins", "a: &x {b: 1}\nc: &y {b: 2}\nd: {<<: [*x, *y]}", "/d/b", source.Number, "1", "1:11", "1:8"},
		{"second document", "a: 1\n---\nb: 2\n", "1/b", source.Number, "2", "3:4", "3:1"},
		{"after an empty document", "---\n---\n# only a remark\n---\nb: 2\n...\n", "/b", source.Number, "2", "5:4", "5:1"},
		{"a date is text", "a: 2026-10-02", "/a", source.Text, "2026-10-02", "1:4", "1:1"},
		{"yes is text", "a: yes", "/a", source.Text, "yes", "1:4", "1:1"},
		{"true is not", "a: TRUE", "/a", source.Bool, "true", "1:4", "1:1"},
		{"pointer escapes", `{"a/b": {"c~d": 1}}`, "/a~1b/c~0d", source.Number, "1", "1:17", "1:10"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			docs, problems := source.Parse("kit.yaml", []byte(tt.text))
			if len(problems) > 0 {
				t.Fatal(problems[0])
			}
			doc, pointer := docs[0], tt.pointer
			if rest, second := strings.CutPrefix(pointer, "1"); second {
				doc, pointer = docs[1], rest
			}
			n := doc.Root.Lookup(pointer)
			if n == nil {
				t.Fatalf("%s leads nowhere", tt.pointer)
			}
			if n.Kind != tt.kind || n.Scalar != tt.scalar || n.Pos().String() != "kit.yaml:"+tt.at || n.KeyPos().String() != "kit.yaml:"+tt.keyAt {
				t.Errorf("got %v %q at %v, key at %v; want %v %q at %s, key at %s", n.Kind, n.Scalar, n.Pos(), n.KeyPos(), tt.kind, tt.scalar, tt.at, tt.keyAt)
			}
			if got := n.Pointer(); got != pointer && !strings.HasPrefix(tt.name, "inside") {
				t.Errorf("got pointer %s, want %s", got, pointer)
			}
		})
	}
}

// UTF-16 with its mark reads like the same text in UTF-8, places and excerpts
// included.
func TestUTF16(t *testing.T) {
	const text = "a: ä\nb: {c: 😀, d: x}\ne: \"f\"\n"
	want := read(t, text)
	for _, big := range []bool{false, true} {
		got := read(t, toUTF16(text, big))
		if why := source.Differ(got.Root, want.Root); why != "" {
			t.Errorf("big-endian %v: %s", big, why)
		}
		if got, want := got.Line(2), "b: {c: 😀, d: x}"; got != want {
			t.Errorf("big-endian %v: line 2 is %q, want %q", big, got, want)
		}
	}
}

func toUTF16(text string, big bool) string {
	var b []byte
	for _, u := range utf16.Encode([]rune("\ufeff" + text)) {
		if big {
			b = append(b, byte(u>>8), byte(u))
		} else {
			b = append(b, byte(u), byte(u>>8))
		}
	}
	return string(b)
}

func TestLine(t *testing.T) {
	doc := read(t, "\ufeffa: b\r\nc: d\re: f\n\ng: h")
	for i, want := range []string{"", "a: b", "c: d", "e: f", "", "g: h", ""} {
		if got := doc.Line(i); got != want {
			t.Errorf("line %d: got %q, want %q", i, got, want)
		}
	}
}

// PosAt finds the character of a scalar where it stands in the file.
func TestPosAt(t *testing.T) {
	tests := []struct {
		name, text string
		of         string // a part of the scalar: its first character is looked for
		want       string
	}{
		{"plain", "a: one two", "two", "1:8"},
		{"plain over two lines", "a: one\n  two\n\n  three", "three", "4:3"},
		{"double quotes", `a: "one two"`, "two", "1:9"},
		{"escapes before it", `a: "\"\u00e4\x41\n two"`, "two", "1:20"},
		{"a pair of surrogates before it", `["\ud83d\ude00 two"]`, "two", "1:16"},
		{"an escaped line end before it", "a: \"one \\\n  two\"", "two", "2:3"},
		{"the longest escape before it", `a: "\U0001F600\ttwo"`, "two", "1:17"},
		{"single quotes", "a: 'it''s two'", "two", "1:11"},
		{"single quotes over two lines", "a: 'one\n    two'", "two", "2:5"},
		{"literal block", "a: |\n  one\n   two\n", "two", "3:4"},
		{"literal block with an empty line first", "a: |\n\n  two\n", "two", "3:3"},
		{"literal block with a header", "a: |2- # remark\n    two", "two", "2:5"},
		{"folded block", "a: >-\n  one\n  two three\n  four", "three", "3:7"},
		{"folded block with an indented line", "a: >\n  one\n    two\n  three", "three", "4:3"},
		{"line ends of two characters", "a: >-\r\n  one\r\n  two\r\n", "two", "3:3"},
		{"behind an anchor and a tag", "a: &x !!str one two", "two", "1:17"},
		{"behind an anchor on its own line", "a: &x\n  one two", "two", "2:7"},
		{"wide characters before it", "a: äöü 😀 two", "two", "1:10"},
		{"byte order mark", "\ufeff\"one two\"", "two", "1:6"},
		{"an alias has only its own place", "- &x one two\n- *x", "", "2:3"},
		{"past the end", "a: one", "", "1:7"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			n := read(t, tt.text).Root
			for len(n.Items) > 0 {
				n = n.Items[len(n.Items)-1]
			}
			offset := len(n.Scalar)
			if tt.of != "" {
				offset = strings.Index(n.Scalar, tt.of)
			}
			if got := n.PosAt(offset).String(); got != "kit.yaml:"+tt.want {
				t.Errorf("%q at byte %d: got %s, want %s", n.Scalar, offset, got, tt.want)
			}
		})
	}
	if got := read(t, "a: [b]").Root.Get("a").PosAt(3).String(); got != "kit.yaml:1:4" {
		t.Errorf("a list has only its own place: got %s", got)
	}
}

// written is a value as a test wrote it, with the place where it begins.
type written struct {
	at     source.Pos
	style  byte // of a scalar: p, ', ", | or >
	scalar string
	items  []*written
	keys   []string
}

// writer writes YAML and keeps the places.
type writer struct {
	strings.Builder
	line, column int
}

func (w *writer) put(text string) {
	w.WriteString(text)
	if i := strings.LastIndexByte(text, '\n'); i >= 0 {
		w.line += strings.Count(text, "\n")
		w.column, text = 1, text[i+1:]
	}
	w.column += utf8.RuneCountInString(text)
}

func (w *writer) value(v *written, indent string) {
	v.at = source.Pos{File: "kit.yaml", Line: w.line, Column: w.column}
	switch {
	case v.style == '|' || v.style == '>':
		w.put(string(v.style) + "-\n" + indent + v.scalar + "\n")
		return
	case v.style == '\'':
		w.put("'" + strings.ReplaceAll(v.scalar, "'", "''") + "'\n")
		return
	case v.style == '"':
		w.put(`"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`, "ä", `\u00e4`).Replace(v.scalar) + "\"\n")
		return
	case v.style == 'p':
		w.put(v.scalar + "\n")
		return
	case len(v.items) == 0 && v.keys != nil:
		w.put("{}\n")
		return
	case len(v.items) == 0:
		w.put("[]\n")
		return
	}
	for i, item := range v.items {
		if i > 0 {
			w.put(indent)
		}
		lead := "- "
		if v.keys != nil {
			lead = v.keys[i] + ": "
		}
		w.put(lead)
		if len(item.items) > 0 {
			w.put("\n" + indent + "  ")
		}
		w.value(item, indent+"  ")
	}
}

func genWritten(t *rapid.T, depth int) *written {
	v := &written{}
	kind := rapid.IntRange(0, 2).Draw(t, "kind")
	if depth == 0 {
		kind = 0
	}
	switch kind {
	case 0:
		v.style = rapid.SampledFrom([]byte(`p'"|>`)).Draw(t, "style")
		v.scalar = rapid.StringMatching(`[a-z]([a-z äö漢]{0,8}[a-z0-9])?`).Draw(t, "text")
		if v.style != 'p' {
			v.scalar += rapid.SampledFrom([]string{"", "'s", `"q"`, `\n`, ": x", " #x"}).Draw(t, "harm")
		}
		if v.style == 'p' && (v.scalar == "true" || v.scalar == "false" || v.scalar == "null") {
			v.scalar += "s"
		}
	default:
		if kind == 2 {
			v.keys = []string{}
		}
		for i := range rapid.IntRange(0, 3).Draw(t, "items") {
			v.items = append(v.items, genWritten(t, depth-1))
			if kind == 2 {
				v.keys = append(v.keys, fmt.Sprintf("%s%d", rapid.SampledFrom([]string{"a", "größe", "b c"}).Draw(t, "key"), i))
			}
		}
	}
	return v
}

func compareWritten(t *rapid.T, doc *source.Document, n *source.Node, v *written) {
	if n.Pos() != v.at || n.Scalar != v.scalar || len(n.Items) != len(v.items) {
		t.Fatalf("got %v %q with %d items at %v; want %q with %d at %v", n.Kind, n.Scalar, len(n.Items), n.Pos(), v.scalar, len(v.items), v.at)
	}
	for i, r := range n.Scalar {
		if r == ' ' {
			continue
		}
		at := n.PosAt(i)
		if got := string([]rune(doc.Line(at.Line))[at.Column-1:]); !strings.HasPrefix(got, string(r)) && !strings.HasPrefix(got, `\`) {
			t.Fatalf("%q: byte %d is %q, and at %v stands %q", n.Scalar, i, r, at, got)
		}
	}
	for i := range v.items {
		if v.keys != nil {
			key := n.Members[i]
			if got := string([]rune(doc.Line(key.Line))[key.Column-1:]); key.Key != v.keys[i] || !strings.HasPrefix(got, v.keys[i]) {
				t.Fatalf("key %q: got %q, and at %d:%d stands %q", v.keys[i], key.Key, key.Line, key.Column, got)
			}
		}
		compareWritten(t, doc, n.Items[i], v.items[i])
	}
}

// Every place points at the text that was written there, and so does every
// character of every scalar, whatever the style.
func TestPlacesPointAtTheText(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		v := genWritten(rt, 3)
		w := &writer{line: 1, column: 1}
		if v.style == '|' || v.style == '>' {
			v.style = '"'
		}
		w.value(v, "")
		compareWritten(rt, read(t, w.String()), read(t, w.String()).Root, v)
	})
}
