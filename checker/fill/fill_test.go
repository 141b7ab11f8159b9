package fill_test

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/fill"
	"kitgauge/checker/finding"
	"kitgauge/checker/golden"
	_ "kitgauge/checker/internal/ample"
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

// A part is written only where the rules could judge it: what they lack is
// said first, and once it is there the part is chosen.
func TestUnjudged(t *testing.T) {
	file := filepath.Join("..", "..", "examples", "trailer", "trailer.kit.yaml")
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name          string
		out           [][2]string // what is taken out, and what stands there then
		groups        []string
		open          []string
		never, places string // what is not written; with all there it is
	}{
		{"the length of the feed is missing", [][2]string{{"  cable: FG-W25\n", ""}, {"  length: 8 m\n", ""}, {"  - {part: FG-W25, length: 18 m}\n", ""}}, []string{"parts", "parts-list"},
			[]string{"the length of the feed is not stated", "the cable is not stated"}, "cable:", "the feed"},
		{"the length of a feed with a cable is missing", [][2]string{{"  length: 8 m\n", ""}, {"  - {part: FG-W25, length: 18 m}\n", ""}}, []string{"parts-list"},
			[]string{"how long a piece of it the kit uses is not stated"}, "FG-W25, length", "parts list, FG-W25"},
		{"the pump is missing", [][2]string{{"  part: FG-P12\n", ""}, {"  fuse: FG-S4\n", ""}, {"    pump_fitting: FG-F4P\n    point_fitting: FG-F4S\n    pump_marker: \"7\"\n", ""}, {"part: FG-B8, count", "count"}}, []string{"parts"},
			[]string{"the part of the pump is not stated"}, "fuse:", "line 7, at the pump"},
		{"the pause is missing", [][2]string{{"pause: 58 min, ", ""}, {"number: 7, element: FG-E25", "number: 7"}}, []string{"elements"},
			[]string{"the pause of the timer is not stated"}, "number: 7, element", "outlet 7"},
		{"the bearing is missing", [][2]string{{"bearing: {kind: pin, diameter: 40 mm, width: 50 mm}, ", ""}, {"number: 7, element: FG-E25", "number: 7"}}, []string{"elements"},
			[]string{"neither the bearing nor the demand of point D1"}, "number: 7, element", "outlet 7"},
	} {
		t.Run(c.name, func(t *testing.T) {
			now := string(text)
			for _, out := range c.out {
				if !strings.Contains(now, out[0]) {
					t.Fatalf("the example no longer has %q", out[0])
				}
				now = strings.Replace(now, out[0], out[1], 1)
			}
			filled, err := fill.Kit(checker.New(checker.Options{NoSettings: true}), file, []byte(now), fill.Options{Only: c.groups})
			if err != nil {
				t.Fatal(err)
			}
			says := fmt.Sprint(filled.Open)
			for _, open := range append(c.open, c.places) {
				if !strings.Contains(says, open) {
					t.Errorf("got %s, want %q", says, open)
				}
			}
			if bytes.Contains(filled.Text, []byte(c.never)) || bytes.Contains(filled.Text, []byte("length: 0 m")) {
				t.Errorf("%q is written", c.never)
			}
		})
	}
}
