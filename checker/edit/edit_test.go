package edit_test

import (
	"strings"
	"testing"

	"kitgauge/checker/edit"
	"kitgauge/checker/source"
)

func set(at, value string) edit.Change { return edit.Change{Do: edit.Set, At: at, Value: value} }
func insert(at, value string) edit.Change {
	return edit.Change{Do: edit.Insert, At: at, Value: value}
}
func remove(at string) edit.Change      { return edit.Change{Do: edit.Remove, At: at} }
func rename(at, key string) edit.Change { return edit.Change{Do: edit.Rename, At: at, Key: key} }

const block = `# top
header:
  title: Gritter # remark
  units: metric

lines:
  # the first
  - number: 1
    tube: FG-T4   # remark
    cut_length: 1 m
    marker: "1"
  # the second
  - number: 2
    tube: FG-T4
    marker: "2"
rows:
  - {part: FG-P36,   quantity: 1}   # remark
  - {part: FG-B8,    quantity: 13}
vector: [0, 0, 1]
`

func TestApply(t *testing.T) {
	tests := []struct {
		name, text string
		change     []edit.Change
		want       []string // pairs: what goes, what comes
	}{
		{"a value", block, []edit.Change{set("/lines/0/cut_length", `"1.2 m"`)}, []string{"1 m", "1.2 m"}},
		{"a value with a remark", block, []edit.Change{set("/header/title", `"a: b"`)}, []string{"Gritter #", `"a: b" #`}},
		{"a value in quotes stays in them", block, []edit.Change{set("/lines/0/marker", `"7"`)}, []string{`"1"`, `"7"`}},
		{"a text that reads as a number", block, []edit.Change{set("/lines/0/tube", `"12"`)}, []string{"FG-T4   #", `"12"   #`}},
		{"a member where the neighbour has it", block, []edit.Change{set("/lines/1/cut_length", `"2 m"`)}, []string{"FG-T4\n    marker: \"2\"", "FG-T4\n    cut_length: 2 m\n    marker: \"2\""}},
		{"a member that none has", block, []edit.Change{set("/header/owner", `"Nord"`)}, []string{"units: metric\n", "units: metric\n  owner: Nord\n"}},
		{"a member of the neighbour's quotes", block, []edit.Change{set("/lines/1/marker", `"3"`), set("/lines/1/mark", `"x"`)}, []string{`"2"`, `"3"`, "\"3\"\n", "\"3\"\n    mark: x\n"}},
		{"a row in columns", block, []edit.Change{insert("/rows/-", `{"part": "FG-CC100", "quantity": 2}`)}, []string{"quantity: 13}\n", "quantity: 13}\n  - {part: FG-CC100, quantity: 2}\n"}},
		{"a shorter row in columns", block, []edit.Change{insert("/rows/1", `{"part": "FG", "quantity": 2}`)}, []string{"  - {part: FG-B8,", "  - {part: FG,       quantity: 2}\n  - {part: FG-B8,"}},
		{"a value in columns", block, []edit.Change{set("/rows/1/part", `"FG-B100"`)}, []string{"FG-B8,    quantity", "FG-B100,  quantity"}},
		{"a shorter value in columns", block, []edit.Change{set("/rows/0/part", `"F"`)}, []string{"FG-P36,   quantity", "F,        quantity"}},
		{"an item between brackets", block, []edit.Change{insert("/vector/1", "5")}, []string{"[0, 0, 1]", "[0, 5, 0, 1]"}},
		{"an item last", block, []edit.Change{insert("/vector/-", "5")}, []string{"[0, 0, 1]", "[0, 0, 1, 5]"}},
		{"an item goes", block, []edit.Change{remove("/vector/0")}, []string{"[0, 0, 1]", "[0, 1]"}},
		{"the last items go", block, []edit.Change{remove("/vector/2"), remove("/vector/1")}, []string{"[0, 0, 1]", "[0]"}},
		{"all items go", block, []edit.Change{remove("/vector/2"), remove("/vector/1"), remove("/vector/0")}, []string{"[0, 0, 1]", "[]"}},
		{"a member goes with its line", block, []edit.Change{remove("/lines/0/tube")}, []string{"    tube: FG-T4   # remark\n", ""}},
		{"the first member goes", block, []edit.Change{remove("/lines/0/number")}, []string{"- number: 1\n    tube: FG-T4   #", "- tube: FG-T4   #"}},
		{"an item of a block goes", block, []edit.Change{remove("/lines/1")}, []string{"  - number: 2\n    tube: FG-T4\n    marker: \"2\"\n", ""}},
		{"the last member goes", block, []edit.Change{remove("/header/title"), remove("/header/units")}, []string{"header:\n  title: Gritter # remark\n  units: metric\n", "header: {}\n"}},
		{"an anchor stays", "a: &n 3\nb: {c: &t \"x\"}\n", []edit.Change{set("/a", "6"), set("/b/c", `"z"`)}, []string{"3", "6", "x", "z"}},
		{"a key", block, []edit.Change{rename("/lines/0/tube", "hose")}, []string{"tube: FG-T4   #", "hose: FG-T4   #"}},
		{"an item of a block", block, []edit.Change{insert("/lines/1", `{"number": 5, "marker": "5"}`)}, []string{"marker: \"1\"\n", "marker: \"1\"\n  - number: 5\n    marker: \"5\"\n"}},
		{"a group in a group that is not there", block, []edit.Change{set("/pump/timer/run", `"5 min"`)}, []string{"1]\n", "1]\npump: {timer: {run: 5 min}}\n"}},
		{"a list in lines", block, []edit.Change{set("/vector", `[{"a": 1, "b": "x"}, {"a": 2, "b": "z"}]`)}, []string{"vector: [0, 0, 1]", "vector:\n  - {a: 1, b: x}\n  - {a: 2, b: z}"}},
		{"a list on one line", block, []edit.Change{set("/lines", `[1]`), remove("/rows")}, []string{block[strings.Index(block, "lines:"):strings.Index(block, "vector")], "lines: [1]\n  # the first\n"}},
		{"a kit of places that move", block, []edit.Change{remove("/lines/0"), set("/lines/1/tube", `"FG-T6"`), insert("/rows/0", "1"), set("/rows/1/quantity", "9")},
			[]string{"  - number: 1\n    tube: FG-T4   # remark\n    cut_length: 1 m\n    marker: \"1\"\n", "", "tube: FG-T4\n", "tube: FG-T6\n", "rows:\n", "rows:\n  - 1\n", "quantity: 13", "quantity: 9"}},
		{"JSON in lines", "{\n  \"a\": [\n    {\n      \"b\": 1\n    }\n  ]\n}\n", []edit.Change{insert("/a/-", `{"b": 2}`)}, []string{"1\n    }", "1\n    },\n    {\n      \"b\": 2\n    }"}},
		{"JSON without spaces", `{"a":[{"b":1}],"c":"x"}`, []edit.Change{insert("/a/-", `{"b": "y"}`), set("/d", "true")}, []string{"1}", `1},{"b":"y"}`, `"x"`, `"x","d":true`}},
		{"nothing", "a:\nb: {c: , d}\ne:\n  -\n", []edit.Change{set("/a", "1"), set("/b/c", "2"), set("/b/d", "3"), set("/e/0", "4")}, []string{"a:", "a: 1", "c: ", "c: 2 ", "d}", "d: 3}", "-", "- 4"}},
		{"a block of text", "a: |\n  x\n  y\n# remark\nb: 1\n", []edit.Change{set("/a", `"z"`)}, []string{"|\n  x\n  y", "z"}},
		{"remarks between brackets", "a: [\n  1, # one\n  2 # two\n]\n", []edit.Change{insert("/a/-", "3"), remove("/a/0")}, []string{"  1, # one\n", "", "2 # two", "2, # two\n  3"}},
		{"a comma behind the last", "a: [\n  1,\n  2, # two\n]\n", []edit.Change{insert("/a/-", "3")}, []string{"2, # two", "2, # two\n  3,"}},
		{"no line end at the end", "a: 1\nc: 1", []edit.Change{set("/b", "2")}, []string{"c: 1", "c: 1\nb: 2"}},
		{"the last line goes", "a: 1\nb: 2", []edit.Change{remove("/b")}, []string{"1\nb: 2", "1"}},
		{"empty lines between", "a:\n  x: 1\n\nb:\n  x: 1\n\nc:\n  x: 1\n", []edit.Change{set("/d", "{\"x\":1}")}, []string{"c:\n  x: 1\n", "c:\n  x: 1\n\nd:\n  x: 1\n"}},
		{"the second document stays", "a: 1\n---\na: 1\n", []edit.Change{set("/b", "2")}, []string{"a: 1\n---", "a: 1\nb: 2\n---"}},
	}
	for _, tt := range tests {
		for _, as := range []struct{ mark, end string }{{"", "\n"}, {"", "\r\n"}, {"\ufeff", "\n"}} {
			t.Run(tt.name, func(t *testing.T) {
				text, want := tt.text, tt.text
				for i := 0; i < len(tt.want); i += 2 {
					if !strings.Contains(want, tt.want[i]) {
						t.Fatalf("%q does not hold %q", want, tt.want[i])
					}
					want = strings.Replace(want, tt.want[i], tt.want[i+1], 1)
				}
				text, want = as.mark+strings.ReplaceAll(text, "\n", as.end), as.mark+strings.ReplaceAll(want, "\n", as.end)
				got, err := edit.Apply([]byte(text), 0, tt.change...)
				if err != nil || string(got) != want {
					t.Errorf("%v\ngot\n%s\nwant\n%s", err, got, want)
				}
				spliced(t, []byte(text[len(as.mark):]), got[min(len(as.mark), len(got)):], tt.change...)
			})
		}
	}
}

// spliced holds that the pieces of changes, put in, give the text that Apply
// gives: in order, apart from each other, none of them for nothing.
func spliced(t *testing.T, text, want []byte, changes ...edit.Change) {
	t.Helper()
	docs, _ := source.Parse("", text)
	list, err := edit.Of(docs[0]).Splices(changes...)
	if err != nil {
		t.Errorf("%+v: %v", changes, err)
		return
	}
	var got []byte
	at := -1
	for _, s := range list {
		if s.From <= at || s.To < s.From || s.To == s.From && s.With == "" {
			t.Errorf("%+v: %+v stands behind byte %d", changes, s, at)
			return
		}
		got = append(append(got, text[max(at, 0):s.From]...), s.With...)
		at = s.To
	}
	if got = append(got, text[max(at, 0):]...); string(got) != string(want) {
		t.Errorf("%+v: %+v make\n%s\nwant\n%s", changes, list, got, want)
	}
}

func TestRefused(t *testing.T) {
	const text = "a: &x {b: 1}\nc: *x\nd: {<<: *x}\nl: [1]\ns: 1\n"
	tests := []struct {
		name, says string
		change     edit.Change
	}{
		{"below an alias", "elsewhere", set("/c/b", "2")},
		{"below a value that is taken over", "elsewhere", remove("/d/b")},
		{"what others use", "by hand", set("/a/b", "2")},
		{"beside an alias", "elsewhere", set("/c/e", "2")},
		{"no pointer", "JSON Pointer", set("a", "2")},
		{"no value", "as JSON", set("/a", "{")},
		{"two values", "as JSON", set("/s", "1, 2")},
		{"no list", "no place in a list", insert("/s/0", "1")},
		{"beyond a list", "no place in a list", insert("/l/5", "1")},
		{"below a number", "no members", set("/s/t", "1")},
		{"the root goes", "has to stay", remove("")},
		{"a key that is there", "already", rename("/a", "c")},
		{"a key that is not there", "nothing", rename("/z", "y")},
		{"an item has no key", "no key", rename("/l/0", "y")},
		{"no verb", "neither", edit.Change{Do: "move", At: "/a"}},
	}
	for _, tt := range tests {
		got, err := edit.Apply([]byte(text), 0, tt.change)
		if err == nil || !strings.Contains(err.Error(), tt.says) {
			t.Errorf("%s: got %v and\n%s", tt.name, err, got)
		}
	}
	if _, err := edit.Apply([]byte(text), 1, set("/a", "1")); err == nil {
		t.Error("there is no second document")
	}
}

// Values that are changed together are what they are when they are changed one
// by one.
func TestAtOnce(t *testing.T) {
	tests := []struct {
		text    string
		changes []edit.Change
	}{
		{"a: 1 # one\nb: {c: two, d: \"three\"}\n", []edit.Change{{Do: edit.Set, At: "/a", Value: "2"}, {Do: edit.Set, At: "/b/d", Value: `"4 mm"`}, {Do: edit.Set, At: "/b/c", Value: `"x: y"`}}},
		{"a: &x 1\nb: *x\nc: 2\n", []edit.Change{{Do: edit.Set, At: "/a", Value: "3"}, {Do: edit.Set, At: "/c", Value: "4"}}},
		{"{\"a\": [1, 2], \"b\": \"c\"}", []edit.Change{{Do: edit.Set, At: "/a/1", Value: "true"}, {Do: edit.Set, At: "/b", Value: `"\u00e9"`}}},
		{"a: |\n  long\n  text\nb: 'q'\n", []edit.Change{{Do: edit.Set, At: "/b", Value: `"it's"`}, {Do: edit.Set, At: "/a", Value: `"short"`}}},
	}
	for _, tt := range tests {
		together, err := edit.Apply([]byte(tt.text), 0, tt.changes...)
		if err == nil {
			spliced(t, []byte(tt.text), together, tt.changes...)
		}
		single := []byte(tt.text)
		for _, c := range tt.changes {
			next, alone := edit.Apply(single, 0, c)
			if alone != nil {
				if err == nil {
					t.Errorf("%q: %+v alone: %v", tt.text, c, alone)
				}
				break
			}
			single = next
		}
		if err == nil && string(together) != string(single) {
			t.Errorf("%q: together %q, one by one %q", tt.text, together, single)
		}
	}
}
