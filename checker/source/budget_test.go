package source_test

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"kitgauge/checker/source"
)

// Each budget of a file below, at and above: the message, and what was read.
func TestBudgets(t *testing.T) {
	deep := func(n int) string { return strings.Repeat("[", n+1) + strings.Repeat("]", n+1) } // the outermost is level 0
	scalar := func(n int) string { return "a: " + strings.Repeat("x", n) }
	documents := func(n int) string { return strings.Repeat("---\na\n", n) }
	for _, tt := range []struct {
		name string
		text func(n int) string
		most int
		want string
	}{
		{"depth", deep, source.MaxDepth, "the file is nested deeper than 64 levels; a kit file needs about eight"},
		{"scalar", scalar, source.MaxScalar, "the value is longer than 64 KiB; shorten it"},
		{"documents", documents, source.MaxDocuments, "the file holds more than 1000 documents; split it"},
		{"values with aliases", valued, source.MaxNodes, "the file holds more than 500000 values once its aliases are written out; write less, or use fewer aliases"},
	} {
		for n := tt.most - 1; n <= tt.most+1; n++ {
			_, problems := source.Parse("kit.yaml", []byte(tt.text(n)))
			switch {
			case n <= tt.most && len(problems) > 0:
				t.Errorf("%s, %d: got %v", tt.name, n, problems[0])
			case n > tt.most && (len(problems) != 1 || !strings.HasSuffix(problems[0].Error(), ": "+tt.want)):
				t.Errorf("%s, %d: got %v, want %s", tt.name, n, problems, tt.want)
			}
		}
	}
}

// valued writes a document of n values, most of them through aliases.
func valued(n int) string {
	const block = 1000 // values of the list a, itself one of them
	var b strings.Builder
	b.WriteString("a: &a [" + strings.Repeat("1,", block-1) + "]\n")
	n -= 1 + block
	for i := 0; n > 0; i++ {
		fit := min((n-1)/block, 500) // a list, and so many times the list a
		fmt.Fprintf(&b, "b%d: [%s]\n", i, strings.Repeat("*a,", fit))
		n -= 1 + fit*block
	}
	return b.String()
}

// A file of 16 MiB is the largest that is looked at.
func TestBytesBudget(t *testing.T) {
	text := bytes.Repeat([]byte{' '}, source.MaxBytes+1)
	for n := source.MaxBytes - 1; n <= source.MaxBytes+1; n++ {
		_, p := source.PlainText("kit.yaml", text[:n])
		if n <= source.MaxBytes && p != nil {
			t.Errorf("%d bytes: got %v", n, p)
		}
		if want := "kit.yaml: the file is larger than 16 MiB; a kit of 84 points is well below 1 MiB; split the file"; n > source.MaxBytes && (p == nil || p.Error() != want) {
			t.Errorf("%d bytes: got %v, want %s", n, p, want)
		}
	}
}

// A text that certainly holds too many values is refused before a tree is
// made of it, in the words of one whose tree was too large.
func TestCrowded(t *testing.T) {
	for _, one := range []string{":", ",", "- ", "[", "{"} {
		for n := source.MaxNodes - 1; n <= source.MaxNodes+1; n++ {
			text := []byte(strings.Repeat(one, n) + strings.Repeat("x", 10))
			if got := source.Crowded(text); got != (n > source.MaxNodes) {
				t.Errorf("%d times %q: got %v", n, one, got)
			}
		}
	}
	_, problems := source.Parse("kit.yaml", []byte("a: ["+strings.Repeat("1,", source.MaxNodes+1)+"]"))
	if want := "kit.yaml: the file holds more than 500000 values once its aliases are written out; write less, or use fewer aliases"; len(problems) != 1 || problems[0].Error() != want {
		t.Errorf("got %v, want %s", problems, want)
	}
}

// Excerpts of a long file are those of a walk through it.
func TestLineOfLongFile(t *testing.T) {
	for _, end := range []string{"\n", "\r\n"} {
		const last = 1000
		var b strings.Builder
		for i := 1; i <= last; i++ {
			fmt.Fprintf(&b, "k%d: %d%s", i, i, end)
		}
		docs, problems := source.ParseAt("kit.yaml", 5, []byte(b.String()))
		if len(problems) > 0 {
			t.Fatal(problems[0])
		}
		for i := 1; i <= last; i++ {
			if got, want := docs[0].Line(i+4), fmt.Sprintf("k%d: %d", i, i); got != want {
				t.Fatalf("line %d: got %q, want %q", i+4, got, want)
			}
		}
		for _, none := range []int{0, 3, last + 6, 1 << 20} {
			if got := docs[0].Line(none); got != "" {
				t.Errorf("line %d: got %q, want none", none, got)
			}
		}
	}
}
