package languageserver

import (
	"bytes"
	"slices"
	"sort"
	"unicode/utf8"
)

// encoding is in what the columns of a line are counted.
type encoding string

// The encodings of columns that are spoken.
const (
	utf16 encoding = "utf-16" // which every editor speaks
	utf8s encoding = "utf-8"  // which is taken where an editor offers it
)

// units is how many units a character takes, of which a text in UTF-8 has size
// bytes.
func (e encoding) units(r rune, size int) int {
	switch {
	case e == utf8s:
		return size
	case r > 0xffff:
		return 2
	}
	return 1
}

// width is how many units a text takes.
func (e encoding) width(text string) int {
	if e == utf8s {
		return len(text)
	}
	n := 0
	for _, r := range text {
		n += e.units(r, 0)
	}
	return n
}

var mark = []byte("\ufeff")

// text is a version of a file, with where its lines begin. It is not changed
// once made.
type text struct {
	// bytes is the file without a byte order mark, which the stages of a check
	// do not count; an editor that sends one does.
	bytes    []byte
	whole    []byte // with it
	encoding encoding
	lines    []int // at which byte of the whole each begins
}

func newText(whole []byte, e encoding) *text {
	t := &text{bytes: bytes.TrimPrefix(whole, mark), whole: whole, encoding: e, lines: []int{0}}
	for i := 0; i < len(whole); {
		j := bytes.IndexAny(whole[i:], "\r\n")
		if j < 0 {
			break
		}
		i += j + 1
		if whole[i-1] == '\r' && i < len(whole) && whole[i] == '\n' {
			i++
		}
		t.lines = append(t.lines, i)
	}
	return t
}

// marked is how many bytes stand before those that are counted.
func (t *text) marked() int { return len(t.whole) - len(t.bytes) }

// line is a line of the whole, from 0, without its end.
func (t *text) line(n int) []byte {
	if n < 0 || n >= len(t.lines) {
		return nil
	}
	to := len(t.whole)
	if n+1 < len(t.lines) {
		to = t.lines[n+1]
	}
	return bytes.TrimRight(t.whole[t.lines[n]:to], "\r\n")
}

// inWhole is the byte of the whole at a place: the end of its line where that
// has fewer columns, and of the text where that has fewer lines. A place within
// a character is that of the character.
func (t *text) inWhole(p position) int {
	switch {
	case p.Line < 0:
		return 0
	case p.Line >= len(t.lines):
		return len(t.whole)
	}
	line, at := t.line(p.Line), 0
	for left := p.Character; at < len(line) && left > 0; {
		r, size := utf8.DecodeRune(line[at:])
		if left -= t.encoding.units(r, size); left >= 0 {
			at += size
		}
	}
	return t.lines[p.Line] + at
}

// offset is the byte of a place.
func (t *text) offset(p position) int { return max(0, t.inWhole(p)-t.marked()) }

// position is the place of a byte.
func (t *text) position(at int) position {
	at = max(0, min(at+t.marked(), len(t.whole)))
	line := sort.SearchInts(t.lines, at+1) - 1
	return position{line, t.encoding.width(string(t.whole[t.lines[line]:at]))}
}

// span is the range of two bytes.
func (t *text) span(from, to int) span { return span{t.position(from), t.position(to)} }

// column is the place of a line and a column, from 1, in code points: the end of
// the line where that has fewer.
func (t *text) column(line, column int) position {
	line = min(max(line, 1), len(t.lines))
	rest, at := t.line(line-1), 0
	if line == 1 {
		at = t.marked()
	}
	for n := 1; n < column && at < len(rest); n++ {
		_, size := utf8.DecodeRune(rest[at:])
		at += size
	}
	return position{line - 1, t.encoding.width(string(rest[:at]))}
}

// with is the text with a range of it changed; without a range it is all of it.
func (t *text) with(c contentChange) *text {
	if c.Range == nil {
		return newText([]byte(c.Text), t.encoding)
	}
	from, to := t.inWhole(c.Range.Start), t.inWhole(c.Range.End)
	return newText(slices.Concat(t.whole[:min(from, to)], []byte(c.Text), t.whole[max(from, to):]), t.encoding)
}
