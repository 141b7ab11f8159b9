package document_test

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"kitgauge/checker/document"
	"kitgauge/checker/source"
)

func yaml(o document.Object) string {
	var b bytes.Buffer
	document.YAML(&b, o)
	return b.String()
}

func TestYAML(t *testing.T) {
	got := yaml(document.Object{
		{Key: "header", Value: document.Of("number", "A-1", "title", "", "date", document.Remarked{Remark: "open: say when"}, "units", "metric")},
		{Key: "points", Value: document.List{
			document.Of("id", "1", "position", document.List{"1 mm", "-2 mm", "0 mm"}, "free", document.Flag(true)),
			document.Of("id", "B", "thread", document.Remarked{Value: "M10", Remark: "open: look\nagain"}, "bearing", document.Remarked{Value: document.Of("kind", "pin"), Remark: "open: measure it"}),
		}},
		{Key: "parts", Value: document.List{document.Whole(3)}},
	})
	want := `header:
  number: A-1
  # date: open: say when
  units: metric

points:
  - {id: "1", position: [1 mm, -2 mm, 0 mm], free: true}
  - id: B
    thread: M10 # open: look again
    bearing: {kind: pin} # open: measure it

parts:
  - 3
`
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
}

// What is written is read as the same tree, whatever the texts are, and a
// remark changes nothing.
func TestReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o := object(t, 3)
		docs, problems := source.Parse("test.yaml", []byte(yaml(o)))
		if len(problems) > 0 || len(docs) != 1 {
			t.Fatalf("%v in\n%s", problems, yaml(o))
		}
		var b bytes.Buffer
		document.JSON(&b, o)
		same, problems := source.Parse("test.json", b.Bytes())
		if len(problems) > 0 {
			t.Fatalf("%v in\n%s", problems, b.String())
		}
		if diff := cmp.Diff(same[0].Root.Plain(), docs[0].Root.Plain()); diff != "" {
			t.Fatalf("-JSON +YAML:\n%s\n%s", diff, yaml(o))
		}
	})
}

func object(t *rapid.T, depth int) document.Object {
	var o document.Object
	for i := range rapid.IntRange(1, 4).Draw(t, "members") {
		o = append(o, document.Member{Key: fmt.Sprintf("k%d", i), Value: value(t, depth)})
	}
	return o
}

func value(t *rapid.T, depth int) any {
	kinds := 6
	if depth == 0 {
		kinds = 3
	}
	switch rapid.IntRange(0, kinds-1).Draw(t, "kind") {
	case 0:
		return document.Whole(rapid.Int().Draw(t, "n"))
	case 1:
		return document.Flag(rapid.Bool().Draw(t, "yes"))
	case 2:
		return text(t)
	case 3:
		return object(t, depth-1)
	case 4:
		var l document.List
		for range rapid.IntRange(0, 3).Draw(t, "items") {
			l = append(l, value(t, 0))
		}
		return l
	}
	return document.Remarked{Value: object(t, depth-1), Remark: text(t)}
}

// text is one that a kit file may hold: without control characters.
func text(t *rapid.T) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r >= 0x7f && r < 0xa0 || r == 0xfeff || r == 0xfffd || r == 0x2028 || r == 0x2029 {
			return -1
		}
		return r
	}, rapid.String().Draw(t, "text"))
}
