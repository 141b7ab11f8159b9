package fill_test

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/fill"
	"kitgauge/checker/finding"
	"kitgauge/checker/golden"
	"kitgauge/checker/source"
)

const typedPage = `# What is typed of a kit

Each clean example, with all that ` + "`kitgauge fill`" + ` writes taken out and filled in again: what comes of
it is clean. values: numbers, texts, yes and no; lines: those that say something, without remarks. A
value that fill writes may be another than the example's: a length that is no longer than it has to
be, a smaller part. Written by go generate; 200 generated kits are held to the same by
"go test ./checker/fill -run Fleet -full".

| kit | values, all | values typed | filled in | lines, all | lines typed | parts, lengths, rows and marks filled in |
| --- | ---: | ---: | ---: | ---: | ---: | ---: |
`

// The examples are filled in again after all that can be was taken out: what
// comes of it is clean, and what was left stands as it stood.
func TestGoldenExamples(t *testing.T) {
	var page bytes.Buffer
	page.WriteString(typedPage)
	for _, name := range []string{"trailer", "loader", "gritter"} {
		file := filepath.Join("..", "..", "examples", name, name+".kit.yaml")
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		typed := strip(text)
		filled, err := fill.Kit(checker.New(checker.Options{NoSettings: true}), file, typed, fill.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if says := left(filled); says != "" {
			t.Errorf("%s: %s", name, says)
		}
		if where := changed(read(typed), read(filled.Text)); where != "" {
			t.Errorf("%s: %s stood, and was changed", name, where)
		}
		values, lines := size(typed)
		all, allLines := size(filled.Text)
		fmt.Fprintf(&page, "| %s | %d | %d | %d %% | %d | %d | %d |\n", name, all, values, 100*(all-values)/all, allLines, lines, len(filled.Made))
	}
	golden.Compare(t, filepath.Join("..", "..", "testdata", "measured", "typed.md"), page.Bytes())
}

func read(text []byte) *source.Node {
	docs, _ := source.Parse("", text)
	return docs[0].Root
}

// changed is the place of something that stood and no longer does, or says
// something else; "" where there is none. Items may come between others.
func changed(was, is *source.Node) string {
	switch {
	case is == nil || was.Kind != is.Kind:
		return was.Pointer()
	case was.Kind < source.List:
		if was.Scalar != is.Scalar {
			return was.Pointer()
		}
	case was.Kind == source.Map:
		for i, item := range was.Items {
			if where := changed(item, is.Get(was.Members[i].Key)); where != "" {
				return where
			}
		}
	default:
		from := 0
		for _, item := range was.Items {
			at := slices.IndexFunc(is.Items[from:], func(n *source.Node) bool { return changed(item, n) == "" })
			if at < 0 {
				return item.Pointer()
			}
			from += at + 1
		}
	}
	return ""
}

// left is what was not filled in, and what is found in what was.
func left(f *fill.Filled) string {
	says := ""
	for _, o := range f.Open {
		says += fmt.Sprintf("\nnot filled in: %s, %s: %s", o.Group, o.Place, o.Why)
	}
	for _, r := range f.After {
		for _, x := range r.Findings {
			if x.Status != finding.Conceded {
				says += fmt.Sprintf("\n%s %s, %s: %s", x.Pos, x.Rule, x.Place, x.Message)
			}
		}
	}
	return says
}

// A part that is left out where none will do stays out, with the reason; what
// stands is kept even where it is wrong.
func TestOpen(t *testing.T) {
	file := filepath.Join("..", "..", "examples", "trailer", "trailer.kit.yaml")
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name     string
		old, new string
		group    string
		open     string // "" where it is filled in
		is       string // what stands then
	}{
		{"a thread that no fitting has", "thread: M10x1, access: free, nipple_removed: true,\n     bearing: {kind: pin", "thread: M24x2, access: free, nipple_removed: true,\n     bearing: {kind: pin", "parts", "FG-F4P will not do: fittings/thread: ", ""},
		{"a fuse that is too large for its circuit", "circuit: {rating: 10 A, load: 2 A}", "circuit: {rating: 3 A, load: 0 A}", "parts", "will not do: power/", ""},
		{"an outlet of a line is not stated", "    outlet: 8\n", "", "outlets", "which outlets are free is not known: line 8", ""},
		{"a list waits for what it counts", "parts_list:\n", "packed:\n", "parts-list", "the fitting at the point of line 7 is not stated", ""},
		{"a wrong length stands", "cut_length: 745 mm", "cut_length: 300 mm", "cut-lengths", "", "cut_length: 300 mm"},
	} {
		t.Run(c.name, func(t *testing.T) {
			now := bytes.Replace(text, []byte(c.old), []byte(c.new), 1)
			if bytes.Equal(now, text) {
				t.Fatal("the example no longer has it")
			}
			now = bytes.Replace(now, []byte("    point_fitting: FG-F4S\n    pump_marker: \"7\"\n"), []byte("    pump_marker: \"7\"\n"), 1)
			now = bytes.Replace(now, []byte("  fuse: FG-S4\n"), nil, 1)
			filled, err := fill.Kit(checker.New(checker.Options{NoSettings: true}), file, now, fill.Options{Only: []string{c.group}})
			if err != nil {
				t.Fatal(err)
			}
			says := fmt.Sprint(filled.Open)
			if c.open == "" && len(filled.Open) > 0 || !bytes.Contains([]byte(says), []byte(c.open)) || !bytes.Contains(filled.Text, []byte(c.is)) {
				t.Errorf("got %s, want %q and %q", says, c.open, c.is)
			}
		})
	}
}
