package source_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"kitgauge/checker/source"
)

// What cannot be read is one clear problem with its place, and no word of the
// library's.
func TestProblems(t *testing.T) {
	tests := []struct {
		name, text, want string
		docs             int
	}{
		{"empty", "", "kit.yaml: the file is empty; a kit file begins with header:", 0},
		{"only remarks", "# nothing\n", "kit.yaml: the file is empty; a kit file begins with header:", 0},
		{"only dashes", "---\n", "kit.yaml: the file is empty; a kit file begins with header:", 0},
		{"key twice", "a: 1\nb: 2\na: 3\n", `kit.yaml:3:1: the key "a" was already given on line 1; remove one of the two`, 1},
		{"key twice in one of many", "{" + many(40) + "k7: 1}", `the key "k7" was already given on line 1`, 1},
		{"key that is a list", "? [a]\n: b\n", "kit.yaml:1:3: a list or a group cannot be a key; keys are words", 1},
		{"not a number", "a: .nan", "kit.yaml:1:4: .nan is not a finite number; write a number", 1},
		{"infinite", "a: .inf", "kit.yaml:1:4: .inf is not a finite number", 1},
		{"minus infinite", "a: -.Inf", "kit.yaml:1:4: -.Inf is not a finite number", 1},
		{"nought in front", "a: 08", "kit.yaml:1:4: 08 can be read as more than one number; write plain decimal digits", 1},
		{"hexadecimal", "a: 0x1F", "kit.yaml:1:4: 0x1F can be read as more than one number", 1},
		{"underline", "a: 1_000", "kit.yaml:1:4: 1_000 can be read as more than one number", 1},
		{"plus", "a: +5", "kit.yaml:1:4: +5 can be read as more than one number", 1},
		{"unknown tag", "a: !foo x", "kit.yaml:1:4: the tag !foo is not understood; leave the tag out", 1},
		{"binary", "a: !!binary aGVsbG8=", "kit.yaml:1:4: the tag !!binary is not understood", 1},
		{"alias of nothing", "a: *nope\n", "kit.yaml:1:4: an alias names an anchor that does not stand above it", 0},
		{"alias in itself", "&a [*a]\n", "kit.yaml:1:5: the alias *a stands inside the value it names", 0},
		{"taken over from no group", "a: &x 1\nb: {<<: *x}", "kit.yaml:2:9: << takes over the members of a group, and this is none", 1},
		{"taken over in itself", "&a {<<: *a}", "the alias stands inside the value it names", 0},
		{"tab", "a:\n\tb: 1", "kit.yaml:2:1: a tab stands where the indentation should be; indent with spaces", 0},
		{"list not closed", "a: [1, 2\n", "is not closed", 0},
		{"group not closed", "a: {b: 1\n", "is not closed", 0},
		{"bracket in a value", "a: {b: 1, c: limit.x[feed.take_off]}\n", "kit.yaml:1:21: a bracket stands in a value without quotes; put quotes round it: 'limit.x[feed.take_off]'", 0},
		{"bracket in a value, and more", "a: {b: x[\"y\"] * 2.0, c: 1}\n", "put quotes round it: 'x[\"y\"] * 2.0'", 0},
		{"comma in a value", "a: {b: larger(x, y), c: 1}\n", "kit.yaml:1:8: a comma stands in a value without quotes; put quotes round it: 'larger(x, y)'", 1},
		{"commas in a value", "a: {b: 'z', c: f(x, g(y, z), 2)}\n", "put quotes round it: 'f(x, g(y, z), 2)'", 1},
		{"quote not closed", "a: 'x\n", "kit.yaml:1:6: the quote opened on line 1, column 4 is not closed; put ' at the end of line 1", 0},
		{"second colon", "a: b: c", "kit.yaml:1:5: a second colon stands in this value", 0},
		{"character that begins nothing", "a: @x", "kit.yaml:1:4: this character cannot begin a value; put quotes round the text", 0},
		{"unknown escape", `a: "\q"`, "kit.yaml:1:5: a backslash in a double-quoted text begins no known escape", 0},
		{"half a pair", `a: "\ud800"`, "kit.yaml:1:7: an escape in a double-quoted text stands for no character", 0},
		{"directive", "%YAML 1.2\n---\na: 1", "kit.yaml:1:1: a line with %YAML is not taken; leave it out", 0},
		{"another directive", "%TAG ! x\n", "kit.yaml:2:1: text stands where another document would begin", 0},
		{"dash after a value", "a: - b", "kit.yaml:1:4: a dash stands where no list can begin", 0},
		{"two values", "[a]\n[b]\n", "kit.yaml:2:1: text stands where another document would begin", 0},
		{"broken tag", "a: !<x", "a word that begins with ! cannot be read", 0},
		{"remark without a space", "a: \"b\"#c", "a space is missing", 0},
		{"zero byte", "a: b\n\x00", "kit.yaml:2:1: the file holds a zero byte; save it as UTF-8 text", 0},
		{"control character", "a: 1\nb: x\x01y", "kit.yaml:2:5: the file holds the control character U+0001", 0},
		{"unusual line end", "a: x\u2028y", "kit.yaml:1:5: the file holds the unusual line end U+2028", 0},
		{"no UTF-8", "a: \xff", "kit.yaml:1:4: the byte 0xff is not UTF-8 text; save the file as UTF-8", 0},
		{"Latin 1", "a: caf\xe9\n", "kit.yaml:1:7: the byte 0xe9 is not UTF-8 text", 0},
		{"half of UTF-16", "\xff\xfea\x00:", "kit.yaml:1:2: the byte 0xff is not UTF-8 text", 0},
		{"lone surrogate of UTF-16", "\xff\xfe\x00\xd8a\x00", "kit.yaml:1:1: the byte 0xff is not UTF-8 text", 0},
		{"a fault after a good document", "a: 1\n---\nb: [\n", "is not closed", 1},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			docs, problems := source.Parse("kit.yaml", []byte(tt.text))
			if len(problems) == 0 {
				t.Fatalf("got no problem, want %q", tt.want)
			}
			if got := problems[0].Error(); !strings.Contains(got, tt.want) {
				t.Errorf("got %s, want %s", got, tt.want)
			}
			if len(docs) != tt.docs || len(problems) != 1 {
				t.Errorf("got %d documents and %v, want %d and one problem", len(docs), problems, tt.docs)
			}
		})
	}
}

func many(keys int) string {
	var b strings.Builder
	for i := range keys {
		fmt.Fprintf(&b, "k%d: 1, ", i)
	}
	return b.String()
}

// Every limit holds, and the file within it is read.
func TestLimits(t *testing.T) {
	deep := func(n int) string { return strings.Repeat("[", n) + strings.Repeat("]", n) }
	tests := []struct {
		name, text, want string // "" where it is read
	}{
		{"as deep as allowed", deep(source.MaxDepth + 1), ""},
		{"too deep", deep(source.MaxDepth + 2), "the file is nested deeper than 64 levels"},
		{"far too deep", strings.Repeat("[", 100_000), "nested deeper"},
		{"deep in blocks", strings.Repeat("- ", 5000) + "x", "nested deeper"},
		{"long value", "a: " + strings.Repeat("x", source.MaxScalar), ""},
		{"too long a value", "a: " + strings.Repeat("x", source.MaxScalar+1), "the value is longer than 64 KiB"},
		{"a long value that aliases repeat", "a: &x " + strings.Repeat("x", 60_000) + "\nb: [" + strings.Repeat("*x, ", 60) + "]", ""},
		{"too much text that aliases repeat", "a: &x " + strings.Repeat("x", 60_000) + "\nb: [" + strings.Repeat("*x, ", 80) + "]", "the aliases of the file repeat more than 4 MiB of text"},
		{"many documents", strings.Repeat("---\na\n", source.MaxDocuments), ""},
		{"too many documents", strings.Repeat("---\na\n", source.MaxDocuments+1), "the file holds more than 1000 documents"},
		{"too large", strings.Repeat(" ", source.MaxBytes+1), "the file is larger than 16 MiB"},
		{"a bomb of aliases", bomb("*"), "the file holds more than 500000 values once its aliases are written out"},
		{"a bomb of merges", bomb("<<: *"), "the file holds more than 500000 values once its aliases are written out"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, problems := source.Parse("kit.yaml", []byte(tt.text))
			got := ""
			if len(problems) > 0 {
				got = problems[0].Message
			}
			if tt.want == "" && got != "" || !strings.Contains(got, tt.want) || tt.want != "" && got == "" {
				t.Errorf("got %q, want %q", got, tt.want)
			}
		})
	}
}

// bomb is a few lines of aliases that would write out to ten to the tenth
// values.
func bomb(use string) string {
	var b strings.Builder
	b.WriteString("a0: &a0 {k: [1, 2, 3, 4, 5, 6, 7, 8, 9]}\n")
	for i := 1; i <= 10; i++ {
		fmt.Fprintf(&b, "a%d: &a%d {", i, i)
		if use == "*" {
			for j := range 10 {
				fmt.Fprintf(&b, "k%d: *a%d, ", j, i-1)
			}
		} else {
			b.WriteString("<<: [" + strings.Repeat(fmt.Sprintf("*a%d, ", i-1), 10) + "]")
		}
		b.WriteString("}\n")
	}
	return b.String()
}

// At most a hundred problems of one file are told.
func TestManyProblems(t *testing.T) {
	_, problems := source.Parse("kit.yaml", []byte("{"+strings.Repeat("a: 1, ", 500)+"}"))
	if len(problems) != 100 {
		t.Errorf("got %d problems, want 100", len(problems))
	}
}

func TestStream(t *testing.T) {
	docs, problems := source.Parse("kits.yaml", []byte("a: 1\n---\n---\n- b\n---\nc\n"))
	if len(problems) > 0 || len(docs) != 3 {
		t.Fatalf("got %d documents, %v; want 3", len(docs), problems)
	}
	for i, kind := range []source.Kind{source.Map, source.List, source.Text} {
		if docs[i].Index != i || docs[i].Root.Kind != kind || docs[i].Root.Document() != docs[i] {
			t.Errorf("document %d: got index %d, %v; want %v", i, docs[i].Index, docs[i].Root.Kind, kind)
		}
	}
}

// An item of a list is named by its own id, so that its identity survives a
// change of the order.
func TestIdentity(t *testing.T) {
	before := read(t, "lines: [{number: 1, tie: {at: 1 m}}, {number: 2, tie: {at: 2 m}}]\nids: [{id: a/b, x: 1}]\nsteps: [{step: brief}, x]")
	after := read(t, "lines: [{number: 2, tie: {at: 3 m}}, {number: 1, tie: {at: 1 m}}]")
	for _, tt := range []struct {
		doc           *source.Document
		pointer, want string
	}{
		{before, "/lines/1/tie/at", "/lines/number=2/tie/at"},
		{after, "/lines/0/tie/at", "/lines/number=2/tie/at"},
		{before, "/ids/0/x", "/ids/id=a~1b/x"},
		{before, "/steps/0", "/steps/step=brief"},
		{before, "/steps/1", "/steps/1"},
		{before, "", ""},
	} {
		if got := tt.doc.Root.Lookup(tt.pointer).Identity(); got != tt.want {
			t.Errorf("%s: got %s, want %s", tt.pointer, got, tt.want)
		}
	}
}

func TestLookupNowhere(t *testing.T) {
	root := read(t, "a: [1]\nb: x").Root
	for _, pointer := range []string{"/c", "/a/1", "/a/-1", "/a/x", "/b/c", "/a/0/0"} {
		if n := root.Lookup(pointer); n != nil {
			t.Errorf("%s: got %v, want nowhere", pointer, n.Pos())
		}
	}
	if n := root.At("a", "0"); n == nil || n.Scalar != "1" {
		t.Error("/a/0 leads nowhere")
	}
	var none *source.Node
	if none.Get("a") != nil || none.At("a") != nil || none.Pos() != (source.Pos{}) || none.Plain() != nil || none.Pointer() != "" || none.Identity() != "" {
		t.Error("no value has members or a place")
	}
}

// What JSON takes raw (RFC 8259, section 7) and YAML does not (YAML 1.2.2,
// productions [1] c-printable, [3] c-byte-order-mark and, for the line ends
// of YAML 1.1 that the library still takes, [25] b-next-line to [27]) is
// written as an escape, in keys as in values.
func TestJSONEscapes(t *testing.T) {
	for _, r := range []rune{0, 0x1f, 0x7f, 0x80, 0x85, 0x9f, 0x2028, 0x2029, 0xfeff, 0xfffe, 0xffff} {
		want := fmt.Sprintf(`{"a\u%04xb":"\u%04[1]x"}`, r)
		if got := string(read(t, want).Root.JSON()); got != want {
			t.Errorf("%U: written as %q, want %s", r, got, want)
		}
	}
	for _, r := range []rune{'~', 0xa0, 'ä', 0x2027, 0xe000, 0xfffd, 0x1f600} {
		want := fmt.Sprintf(`{"a%cb":"%[1]c"}`, r)
		if got := string(read(t, want).Root.JSON()); got != want {
			t.Errorf("%U: written as %q, want %s", r, got, want)
		}
	}
}

// Written as JSON and read again, a tree is the same, and encoding/json reads
// from it what Plain says.
func TestJSONRoundTrip(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		text := genJSON(rt, 3)
		docs, problems := source.Parse("kit.json", []byte(text))
		if len(problems) > 0 {
			rt.Skip("a number that is too large")
		}
		root := docs[0].Root
		out := root.JSON()
		if again := read(t, string(out)).Root.JSON(); string(again) != string(out) {
			rt.Fatalf("%s: written as %s, and then as %s", text, out, again)
		}
		var want any
		if err := json.Unmarshal([]byte(text), &want); err != nil {
			rt.Skip("encoding/json takes less")
		}
		if got := root.Plain(); !reflect.DeepEqual(got, want) {
			rt.Fatalf("%s: got %#v, want %#v from encoding/json", text, got, want)
		}
		var written any
		if err := json.Unmarshal(out, &written); err != nil || !reflect.DeepEqual(written, want) {
			rt.Fatalf("%s: written as %s: %v", text, out, err)
		}
	})
}

func FuzzParse(f *testing.F) {
	for _, text := range []string{"a: 1\n", "a: &x [*x]", "{<<: {a: 1}, a: 2}", "\xff\xfea\x00", "- |\n  a\n- >-\n  b\n", "a: \"\\ud83d\\ude00\"", "%YAML 1.2\n---\n"} {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		docs, problems := source.Parse("kit.yaml", text)
		if len(docs) == 0 && len(problems) == 0 {
			t.Fatal("neither a document nor a problem")
		}
		for _, p := range problems {
			if p.Message == "" || strings.Contains(p.Message, "yaml.") || strings.Contains(p.Message, "mapping") || strings.Contains(p.Message, "sequence") {
				t.Errorf("%q: problem %q", text, p.Message)
			}
			if p.Pos.File != "kit.yaml" || p.Pos.Line > bytes.Count(text, []byte("\n"))+bytes.Count(text, []byte("\r"))+1 {
				t.Errorf("%q: problem %q at %v", text, p.Message, p.Pos)
			}
		}
		if len(problems) > 101 || len(docs) > source.MaxDocuments {
			t.Errorf("%d problems and %d documents of %d bytes", len(problems), len(docs), len(text))
		}
		again, more := source.Parse("kit.yaml", text)
		if len(again) != len(docs) || told(more) != told(problems) {
			t.Fatalf("%q: a second time %d documents and %s, want %d and %s", text, len(again), told(more), len(docs), told(problems))
		}
		for i := range docs {
			if why := source.Differ(docs[i].Root, again[i].Root); why != "" {
				t.Errorf("%q: a second time %s", text, why)
			}
		}
		for _, doc := range docs {
			look(t, doc.Root, 0)
			written := doc.Root.JSON()
			if !json.Valid(written) {
				t.Errorf("%q: written as %s", text, written)
			}
			if again, problems := source.Parse("kit.yaml", written); len(again) == 1 && string(again[0].Root.JSON()) != string(written) || strings.Contains(told(problems), "the file holds") {
				t.Errorf("%q: written as %s, and read from that %v", text, written, problems)
			}
		}
	})
}

// told is the problems, a line each.
func told(problems []*source.Problem) string {
	var b strings.Builder
	for _, p := range problems {
		b.WriteString(p.Error() + "\n")
	}
	return b.String()
}

// look holds a tree to what every reader of one relies on.
func look(t *testing.T, n *source.Node, depth int) {
	if n.Line < 1 || n.Column < 1 || depth > source.MaxDepth+1 {
		t.Fatalf("%v at %v, %d deep", n.Kind, n.Pos(), depth)
	}
	if n.Kind == source.Map && len(n.Members) != len(n.Items) || n.Kind != source.Map && n.Members != nil {
		t.Fatalf("%d keys and %d items at %v", len(n.Members), len(n.Items), n.Pos())
	}
	for i := range n.Scalar {
		if at := n.PosAt(i); at.Line < n.Line {
			t.Fatalf("%q: byte %d stands at %v, before its value at %v", n.Scalar, i, at, n.Pos())
		}
		if i > 64 {
			break
		}
	}
	for i, item := range n.Items {
		if item.Parent() != n || n.Kind == source.Map && n.Get(n.Members[i].Key) != item {
			t.Fatalf("item %d of %v is not found", i, n.Pos())
		}
		look(t, item, depth+1)
	}
}
