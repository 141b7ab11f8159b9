package edit_test

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"strconv"
	"strings"
	"testing"

	jsonpatch "github.com/evanphx/json-patch/v5"

	"kitgauge/checker/edit"
	"kitgauge/checker/internal/fleet"
	"kitgauge/checker/source"
)

var full = flag.Bool("full", false, "make 10,000 random edits, not a part of them")

// TestRandomEdits makes edits of all sorts in the examples and in generated
// kits, with remarks all over them. What an edit means is told by another
// implementation of JSON Patch (RFC 6902).
func TestRandomEdits(t *testing.T) {
	edits := 500
	if *full {
		edits = 10_000
	}
	texts := kits(t, edits/100)
	refused := 0
	for i := range edits {
		r := rand.New(rand.NewPCG(14, uint64(i)))
		text := texts[i%len(texts)]
		doc := parse(t, text)
		c := random(r, doc.Root)
		got, err := edit.Apply(text, 0, c)
		if err != nil {
			refused++
			t.Logf("%d: %+v: %v", i, c, err)
			continue
		}
		name := fmt.Sprintf("edit %d: %+v", i, c)
		held(t, name, doc, parse(t, got), c)
		local(t, name, doc, got, c)
		spliced(t, text, got, c)
		switch i % 4 {
		case 0:
			if twice, err := edit.Apply(got, 0, c); c.Do != edit.Remove && (err != nil || string(twice) != string(got)) {
				t.Errorf("%s: twice is not once: %v", name, err)
			}
		case 1:
			commute(t, name, text, c, random(r, doc.Root))
		}
	}
	if refused*100 > edits {
		t.Errorf("%d of %d edits were refused", refused, edits)
	}
}

// kits are the examples and some generated kits, with remarks, as YAML and
// JSON, small ones more often.
func kits(t *testing.T, generated int) [][]byte {
	t.Helper()
	names, _ := filepath.Glob("../../examples/*/*.yaml")
	var texts [][]byte
	for i := range len(names) * 4 { // whole where there is time for it
		text, err := os.ReadFile(names[i/4])
		if err != nil {
			t.Fatal(err)
		}
		if i%4 > 0 || !*full {
			text = excerpt(text, uint64(i))
		}
		texts = append(texts, remarked(t, text, uint64(i)))
	}
	for seed := range max(generated, 5) {
		k, err := fleet.New(uint64(seed), 4+seed%5, fleet.Options{})
		if err != nil {
			t.Fatal(err)
		}
		text := k.YAML()
		if seed%10 > 0 || !*full {
			text = excerpt(text, uint64(seed))
		}
		text = remarked(t, text, uint64(seed))
		switch seed % 5 {
		case 1:
			text = k.JSON()
		case 2:
			text = []byte(strings.ReplaceAll(string(text), "\n", "\r\n"))
		}
		texts = append(texts, text)
	}
	return texts
}

// excerpt is some of the sections of a kit file.
func excerpt(text []byte, seed uint64) []byte {
	r := rand.New(rand.NewPCG(2, seed))
	var out []string
	keep := false
	for _, line := range strings.SplitAfter(string(text), "\n") {
		if line != "" && strings.Contains("abcdefghijklmnopqrstuvwxyz", line[:1]) {
			keep = r.IntN(4) == 0 || strings.HasPrefix(line, "header:") || strings.HasPrefix(line, "title:")
		}
		if keep {
			out = append(out, line)
		}
	}
	return []byte(strings.Join(out, ""))
}

// remarked is a text with remarks behind and between its lines.
func remarked(t *testing.T, text []byte, seed uint64) []byte {
	t.Helper()
	r := rand.New(rand.NewPCG(1, seed))
	lines := strings.Split(string(text), "\n")
	var out []string
	folded := -1 // how far in the key of a folded text stands
	for i, line := range lines {
		indent := len(line) - len(strings.TrimLeft(line, " "))
		if folded >= 0 && (indent > folded || line == "") {
			out = append(out, line)
			continue
		}
		if folded = -1; strings.HasSuffix(line, ">-") {
			out, folded = append(out, line), indent
			continue
		}
		if r.IntN(4) == 0 && line != "" && !strings.HasPrefix(line, "#") {
			line += fmt.Sprintf(" # remark %d", i)
		}
		out = append(out, line)
		if r.IntN(8) == 0 && i+1 < len(lines) {
			out = append(out, fmt.Sprintf("%s# line %d", strings.Repeat(" ", r.IntN(8)), i))
		}
	}
	all := []byte(strings.Join(out, "\n"))
	if !edit.Equal(parse(t, all).Root, parse(t, text).Root) {
		t.Fatal("remarks change the kit")
	}
	return all
}

func parse(t testing.TB, text []byte) *source.Document {
	t.Helper()
	docs, problems := source.Parse("kit.yaml", text)
	if len(problems) > 0 || len(docs) != 1 {
		t.Fatalf("%d documents, %v\n%s", len(docs), problems, text)
	}
	return docs[0]
}

// values are what random edits write.
var values = []string{
	`1`, `-2.50`, `true`, `null`, `"FG-T4"`, `"412 mm"`, `"12"`, `""`, `"a: b # c"`, `"yes"`, `"it's \"so\""`, `"ä\n\tb"`, `" x "`, `"[x]"`, `"- x"`, `"2026-09-14"`, `"*x"`, `"a, b"`, `"~"`, `"0x1F"`, `"😀"`,
	`[]`, `{}`, `[0, 0, 1]`, `{"from": "1 m", "to": "-2 m"}`, `[{"line": 1, "name": "a, b"}, {"line": 2, "name": "c"}]`, `{"a": {"b": [1, {"c": "d"}]}, "e f": []}`, `[[1, 2], [3]]`,
}

// random is a change at some place of a tree.
func random(r *rand.Rand, root *source.Node) edit.Change {
	n := root
	for depth := 1 + r.IntN(6); depth > 0 && len(n.Items) > 0; depth-- {
		n = n.Items[r.IntN(len(n.Items))]
	}
	c := edit.Change{At: n.Pointer(), Value: values[r.IntN(len(values))]}
	holder := n
	if holder.Kind < source.List {
		holder = n.Parent()
	}
	switch do := r.IntN(6); {
	case do < 2:
		c.Do = edit.Set
	case do == 2:
		c.Do, c.Value = edit.Remove, ""
	case do == 3 && n.Parent().Kind == source.Map:
		c.Do, c.Value, c.Key = edit.Rename, "", []string{"tubing", "a b", "x: y", "12"}[r.IntN(4)]
	case holder.Kind == source.List:
		c.Do, c.At = edit.Insert, holder.Pointer()+"/"+strconv.Itoa(r.IntN(len(holder.Items)+1))
		if r.IntN(3) == 0 {
			c.At = holder.Pointer() + "/-"
		}
	default:
		c.Do, c.At = edit.Set, holder.Pointer()+"/"+[]string{"cut_length", "note", "bearing", "new one"}[r.IntN(4)]
	}
	return c
}

// held holds what is read from the new text against what RFC 6902 makes of the
// old one.
func held(t *testing.T, name string, before, after *source.Document, c edit.Change) {
	t.Helper()
	operation := map[string]any{"path": c.At, "op": "add", "value": json.RawMessage(c.Value)}
	old := before.Root.Lookup(c.At)
	switch {
	case c.Do == edit.Remove:
		operation = map[string]any{"op": "remove", "path": c.At}
	case c.Do == edit.Rename:
		operation = map[string]any{"op": "move", "from": c.At, "path": c.At[:strings.LastIndex(c.At, "/")+1] + c.Key}
	case c.Do == edit.Set && old != nil:
		operation["op"] = "replace"
	}
	text, _ := json.Marshal([]any{operation})
	patch, err := jsonpatch.DecodePatch(text)
	if err != nil {
		t.Fatal(err)
	}
	want, err := patch.Apply(before.Root.JSON())
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	got := after.Root.JSON()
	if c.Do == edit.Insert && string(got) == string(before.Root.JSON()) {
		return // it stood there
	}
	if !reflect.DeepEqual(plain(t, got), plain(t, want)) {
		t.Errorf("%s: read again it is not what the patch makes", name)
	}
}

func plain(t *testing.T, text []byte) any {
	t.Helper()
	var v any
	d := json.NewDecoder(bytes.NewReader(text))
	d.UseNumber()
	if err := d.Decode(&v); err != nil {
		t.Fatal(err)
	}
	return v
}

// local holds that nothing changes but the lines of what holds the change, and
// that the remarks there stay.
func local(t *testing.T, name string, before *source.Document, after []byte, c edit.Change) {
	t.Helper()
	old := before.Text
	from, to := lines(before.Root.Lookup(c.At[:strings.LastIndex(c.At, "/")]))
	if !bytes.HasPrefix(after, old[:from]) || !bytes.HasSuffix(after, old[to:]) {
		t.Errorf("%s: more changes than the lines of what holds it", name)
	}
	gone, end := -1, -1
	if n := before.Root.Lookup(c.At); n != nil && c.Do != edit.Insert && c.Do != edit.Rename {
		gone, end = lines(n)
	}
	for at := 0; at < len(old); {
		stop := at + strings.IndexByte(string(old[at:])+"\n", '\n')
		_, remark, has := strings.Cut(string(old[at:stop]), " # remark ")
		if has && (at < gone || at >= end) && !strings.Contains(string(after), " # remark "+remark) {
			t.Errorf("%s: the remark %q is gone", name, remark)
		}
		at = stop + 1
	}
}

// lines are the bytes of the lines of a value, with its key.
func lines(n *source.Node) (from, to int) {
	text := n.Document().Text
	from, to, _ = n.Span()
	if key, _, ok := n.KeySpan(); ok {
		from = key
	}
	if mark, ok := n.Mark(); ok {
		from = min(from, mark)
	}
	from = strings.LastIndexByte(string(text[:from]), '\n') + 1
	to += strings.IndexByte(string(text[to:])+"\n", '\n') + 1
	return max(from-2, 0), min(to, len(text))
}

// commute holds that two changes that do not touch give one tree in either
// order, and one text where neither looks at what the other writes.
func commute(t *testing.T, name string, text []byte, a, b edit.Change) {
	t.Helper()
	if touch(a, b) {
		return
	}
	ab, err := edit.Apply(text, 0, a, b)
	ba, err2 := edit.Apply(text, 0, b, a)
	if (err == nil) != (err2 == nil) {
		t.Errorf("%s and %+v: %v, the other way round %v", name, b, err, err2)
	}
	if err == nil && err2 == nil && !edit.Equal(parse(t, ab).Root, parse(t, ba).Root) {
		t.Errorf("%s and %+v do not commute", name, b)
	}
	if err == nil {
		spliced(t, text, ab, a, b)
	}
}

// touch reports whether one change is made in what the other changes.
func touch(a, b edit.Change) bool {
	holder := func(c edit.Change) string { return c.At[:strings.LastIndex(c.At, "/")] + "/" }
	return strings.HasPrefix(a.At+"/", b.At+"/") || strings.HasPrefix(b.At+"/", a.At+"/") || holder(a) == holder(b)
}

// FuzzApply makes a change in a text of any sort: where it is made, the text
// reads as changed, and doing it again changes nothing.
func FuzzApply(f *testing.F) {
	for i, text := range []string{
		block, "a: &x [1, 2] # r\nb: *x\nc:\n- - p: 1\n    q: >-\n      t\n      u\n\n  - ? k\n    : v\n",
		"{\"a\": [1, {\"b\": \"c\"}], \"d\": null}", "a: {b: , c, 'd': \"e\\\n  f\"}\r\nx: |+\r\n  y\r\n\r\nz: [1, # r\r\n  2,\r\n]\r\n",
		"---\na: !!str 5\n...\n---\nb: {<<: {c: 1}, d: 2}\n", "\ufeffa: 1\nb: [1]\n", "- a\n-\n  - b # r\n# s\n- {c: d}\n", "a: b\n  c\n\"d e\": 'f''g'\n",
	} {
		for verb := range 4 {
			f.Add(text, uint16(i+verb), byte(verb), values[(7*i+verb)%len(values)])
		}
	}
	f.Fuzz(func(t *testing.T, text string, at uint16, verb byte, value string) {
		docs, problems := source.Parse("", []byte(text))
		if len(docs) == 0 || len(problems) > 0 || len(text) > 1<<16 {
			return
		}
		n := docs[0].Root
		for steps := at; len(n.Items) > 0 && steps > 0; steps /= 3 {
			n = n.Items[int(steps)%len(n.Items)]
		}
		c := edit.Change{Do: []edit.Verb{edit.Set, edit.Insert, edit.Remove, edit.Rename}[verb%4], At: n.Pointer(), Value: value, Key: value}
		once, err := edit.Apply([]byte(text), 0, c)
		if err != nil || c.Do == edit.Remove {
			return
		}
		if twice, err := edit.Apply(once, 0, c); err != nil && c.Do != edit.Rename || err == nil && string(twice) != string(once) {
			t.Errorf("%q, %+v: once %q, twice %q, %v", text, c, once, twice, err)
		}
	})
}
