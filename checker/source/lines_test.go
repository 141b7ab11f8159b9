package source_test

import (
	"fmt"
	"strings"
	"testing"

	"kitgauge/checker/source"
)

// What stands round a place of a long line, and behind it, is what a walk
// through the line finds, with letters of one byte and of three.
func TestAround(t *testing.T) {
	var b strings.Builder
	b.WriteString("\ufeff{\"a\": [")
	for i := range 3000 {
		fmt.Fprintf(&b, "\"%d ≤ x\", ", i)
	}
	b.WriteString("1]}\n# after\n")
	docs, problems := source.Parse("a.kit.yaml", []byte(b.String()))
	if len(problems) > 0 {
		t.Fatal(problems[0])
	}
	line := []rune(docs[0].Line(1))
	for _, column := range []int{1, 5, 1000, 1001, 1024, 1025, 2048, 2049, 20_000, len(line) - 1, len(line), len(line) + 1} {
		at := source.Pos{File: "a.kit.yaml", Line: 1, Column: column}
		got, where := docs[0].Around(at, 10)
		if got := docs[0].PosOf(len(string(line[:column-1]))); got != at {
			t.Errorf("column %d: its byte is at %v", column, got)
		}
		from, to := max(0, column-11), min(len(line), column+9)
		if want := string(line[from:to]); got != want || where != column-from {
			t.Errorf("column %d: got %q and %d, want %q and %d", column, got, where, want, column-from)
		}
		if got, want := docs[0].Behind(at), string(line[min(column-1, len(line)):]); got != want {
			t.Errorf("behind column %d: %d bytes, want %d", column, len(got), len(want))
		}
	}
	items := docs[0].Root.Get("a").Items
	for i, n := range []*source.Node{items[0], items[1], items[2999], items[3000]} {
		if got := n.PosAt(0); got.Line != 1 || got.Column < n.Column || got.Column > n.Column+1 {
			t.Errorf("item %d: got %v, written at %v", i, got, n.Pos())
		}
	}
	if got := docs[0].Line(2); got != "# after" {
		t.Errorf("got %q", got)
	}
	for at, want := range map[int]int{len(string(line)) + 1: 1, len(string(line)) + 6: 6} {
		if got := docs[0].PosOf(at); got.Line != 2 || got.Column != want {
			t.Errorf("byte %d is at %v", at, got)
		}
	}
	if text, _ := docs[0].Around(source.Pos{Line: 9, Column: 1}, 10); text != "" {
		t.Errorf("of no line: %q", text)
	}
}

// A look at a place of a long line makes nothing: its cost does not grow with
// the line.
func TestLongLineIsNotCopied(t *testing.T) {
	text := `{"a": [` + strings.Repeat("1, ", 100_000) + "1]}"
	docs, _ := source.Parse("a.kit.json", []byte(text))
	at := source.Pos{Line: 1, Column: 250_000}
	docs[0].Around(at, 100)
	if n := testing.AllocsPerRun(10, func() { docs[0].Around(at, 100); docs[0].Line(1); docs[0].Behind(at) }); n > 0 {
		t.Errorf("a look makes %g things", n)
	}
}

// A key has a length.
func TestLongKey(t *testing.T) {
	for n := source.MaxKey - 1; n <= source.MaxKey+1; n++ {
		docs, problems := source.Parse("a.kit.yaml", []byte("a: 1\n? "+strings.Repeat("k", n)+"\n: 1\nb: 1\n"))
		switch {
		case n <= source.MaxKey && (len(problems) > 0 || len(docs[0].Root.Items) != 3):
			t.Errorf("%d: got %v", n, problems)
		case n > source.MaxKey && (len(problems) != 1 || problems[0].Error() != "a.kit.yaml:2:3: the key is longer than 1000 characters; keys are words" || len(docs[0].Root.Items) != 2):
			t.Errorf("%d: got %v", n, problems)
		}
	}
}
