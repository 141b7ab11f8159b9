package languageserver

import (
	"slices"
	"strings"
	"testing"
	utf16s "unicode/utf16"

	"pgregory.net/rapid"
)

// letters are what texts of the properties are made of: letters of one to four
// bytes, of one unit and of two, and every end of a line.
var letters = []string{"a", "b: ", "ü", "ß", "°", "–", "漢", "😀", "👷🏽‍♀️", "e\u0301", "\t", " ", "\n", "\r\n", "\r", "\u2028", "\u0085", "\ufeff", "\U0010ffff"}

func drawText(t *rapid.T, name string) string {
	return strings.Join(rapid.SliceOfN(rapid.SampledFrom(letters), 0, 40).Draw(t, name), "")
}

// units is a text as an editor counts it, by package unicode/utf16 of the
// standard library, and where its lines begin: LSP 3.17, "Text Documents", ends
// them with \n, \r\n or \r.
func units(text string) (list []uint16, begins []int) {
	list, begins = utf16s.Encode([]rune(text)), []int{0}
	for i, u := range list {
		if u == '\n' || u == '\r' && (i+1 == len(list) || list[i+1] != '\n') {
			begins = append(begins, i+1)
		}
	}
	return list, begins
}

// placeIn is the place of a unit.
func placeIn(begins []int, unit int) position {
	line, found := slices.BinarySearch(begins, unit)
	if !found {
		line--
	}
	return position{line, unit - begins[line]}
}

// TestPositions holds places to what an editor counts: every character there and
// back, in both encodings.
func TestPositions(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		whole := rapid.SampledFrom([]string{"", "\ufeff"}).Draw(t, "mark") + drawText(t, "text")
		in16, in8 := newText([]byte(whole), utf16), newText([]byte(whole), utf8s)
		_, begins := units(whole)
		marked := in16.marked()
		for i := range whole {
			before, _ := units(whole[:i])
			want := placeIn(begins, len(before))
			if crlf := i > 0 && whole[i-1] == '\r' && whole[i] == '\n'; i < marked || crlf {
				continue // within the mark, or the end of a line
			}
			if got := in16.position(i - marked); got != want {
				t.Fatalf("%q byte %d: %v, want %v", whole, i, got, want)
			}
			if got := in16.offset(want); got != i-marked {
				t.Fatalf("%q %v: byte %d, want %d", whole, want, got, i-marked)
			}
			at := in8.position(i - marked)
			if begin := in8.lines[at.Line]; begin+at.Character != i || in8.offset(at) != i-marked {
				t.Fatalf("%q byte %d: %v in UTF-8", whole, i, at)
			}
		}
	})
}

// TestChanges makes changes as an editor does, on units, and holds the text to
// that after each. Places are those at which an editor's caret can stand: between
// characters, and anywhere beyond the end.
func TestChanges(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		whole := drawText(t, "text")
		now := newText([]byte(whole), utf16)
		for range rapid.IntRange(1, 8).Draw(t, "changes") {
			runes := []rune(whole)
			from := rapid.IntRange(0, len(runes)).Draw(t, "from")
			to := rapid.IntRange(from, len(runes)).Draw(t, "to")
			with := drawText(t, "with")
			list, begins := units(whole)
			start, end := len(utf16s.Encode(runes[:from])), len(utf16s.Encode(runes[:to]))
			if within(list, start) || within(list, end) {
				continue // between \r and \n no caret stands
			}
			now = now.with(contentChange{&span{placeIn(begins, start), placeIn(begins, end)}, with})
			whole = string(utf16s.Decode(slices.Concat(list[:start], utf16s.Encode([]rune(with)), list[end:])))
			if string(now.whole) != whole {
				t.Fatalf("%q, want %q", now.whole, whole)
			}
		}
		now.with(contentChange{&span{position{rapid.IntRange(-2, 99).Draw(t, "line"), rapid.IntRange(-2, 99).Draw(t, "column")}, position{rapid.IntRange(-2, 99).Draw(t, "to line"), 3}}, "x"})
	})
}

func within(list []uint16, at int) bool {
	return at > 0 && at < len(list) && list[at-1] == '\r' && list[at] == '\n'
}

// TestLineEdits makes one text of another by whole lines.
func TestLineEdits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		line := rapid.SampledFrom([]string{"a\n", "b\n", "c\r\n", "ü", "\n", "-x\n", "+y\n", " z\n", "@@ -1,1 +1,1 @@\n", "\\ No newline at end of file\n"})
		text := func(name string) string { return strings.Join(rapid.SliceOfN(line, 0, 12).Draw(t, name), "") }
		old, now := text("old"), text("new")
		if got := splice([]byte(old), lineEdits([]byte(old), []byte(now))); string(got) != now {
			t.Fatalf("%q to %q: %q", old, now, got)
		}
	})
	old, now := "a\nb\nc\nd\ne\nf\ng\nh\ni\n", "a\nB\nc\nd\ne\nf\ng\nH\ni\n"
	if got := lineEdits([]byte(old), []byte(now)); len(got) != 2 || got[1].With != "H\n" {
		t.Errorf("edits: %+v", got)
	}
}

func TestURI(t *testing.T) {
	for _, tt := range []struct {
		uri, path string
		is        bool
	}{
		{"file:///k/a.kit.yaml", "/k/a.kit.yaml", true},
		{"file:///k/gro%C3%9Fe%20Fahrzeuge/a%23b.kit.yaml", "/k/große Fahrzeuge/a#b.kit.yaml", true},
		{"file://localhost/k/../x", "/x", true},
		{"file://elsewhere/k", "", false},
		{"untitled:Untitled-1", "", false},
		{"https://k/a", "", false},
		{"file:k", "", false},
		{"file:///k%00", "", false},
		{"%zz", "", false},
	} {
		if path, is := pathOf(tt.uri); is != tt.is || is && path != tt.path {
			t.Errorf("%s: %q, %v", tt.uri, path, is)
		}
		if back, is := pathOf(uriOf(tt.path)); tt.is && (!is || back != tt.path) {
			t.Errorf("%s comes back as %q", tt.path, back)
		}
	}
}
