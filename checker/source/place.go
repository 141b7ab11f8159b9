package source

import (
	"strconv"
	"strings"
	"unicode/utf8"
)

// PosAt returns where the character at a byte offset in Scalar was written:
// in a text of several lines, a block, or one with escapes that is not Column
// and so many characters more. Space may be folded, so an offset of a space
// stands for what was written before it.
//
// The walk goes through both texts at once and holds the characters that are
// no space against each other. Where they differ, as behind an alias, the
// place of the value is all there is.
func (n *Node) PosAt(offset int) Pos {
	pos := n.Pos()
	if n.doc == nil || n.Kind == List || n.Kind == Map {
		return pos
	}
	w := n.written()
	for i, r := range n.Scalar {
		if isSpace(r) {
			if i >= offset {
				break
			}
			continue
		}
		got, size := w.peek()
		for size > 0 && isSpace(got) {
			w.advance(size)
			got, size = w.peek()
		}
		if got != r || size == 0 {
			return pos
		}
		if i >= offset {
			break
		}
		w.advance(size)
	}
	pos.Line, pos.Column = w.line, w.column
	return pos
}

func isSpace(r rune) bool { return r == ' ' || r == '\t' || r == '\n' || r == '\r' }

// walker stands at a character of a scalar as it was written.
type walker struct {
	text         string
	line, column int
	quote        byte // ' or ", 0 for none
}

// written stands at the first character of the scalar's text, behind its
// anchor, tag, quote or block header.
func (n *Node) written() *walker {
	l := n.doc.indexed()
	w := &walker{text: l.text[n.doc.offset(l, n.Line, n.Column):], line: n.Line, column: n.Column}
	for w.text != "" && (w.text[0] == '&' || w.text[0] == '!') {
		w.advance(before(w.text, " \t\r\n"))
		for w.text != "" && isSpace(rune(w.text[0])) {
			w.advance(1)
		}
	}
	switch {
	case w.text == "":
	case n.block:
		w.advance(before(w.text, "\r\n"))
	case n.quoted:
		w.quote = w.text[0]
		w.advance(1)
	}
	return w
}

// before is how many bytes stand before the first of some characters.
func before(text, any string) int {
	if i := strings.IndexAny(text, any); i >= 0 {
		return i
	}
	return len(text)
}

// peek is the character at hand and how many bytes were written for it.
func (w *walker) peek() (r rune, size int) {
	switch {
	case w.text == "":
		return 0, 0
	case w.quote == '\'' && strings.HasPrefix(w.text, "''"):
		return '\'', 2
	case w.quote == '"' && w.text[0] == '\\':
		return unescape(w.text)
	}
	return utf8.DecodeRuneInString(w.text)
}

func (w *walker) advance(size int) {
	for size = min(size, len(w.text)); size > 0; {
		step := lineEnd([]byte(w.text[:min(2, len(w.text))]))
		if step > 0 {
			w.line, w.column = w.line+1, 1
		} else {
			_, step = utf8.DecodeRuneInString(w.text)
			w.column++
		}
		w.text, size = w.text[step:], size-step
	}
}

// unescape reads an escape of a text in double quotes (YAML 1.2, section
// 5.7); one that ends a line is a space.
func unescape(text string) (r rune, size int) {
	if r, size = escaped(text); size > 0 {
		return r, size
	}
	if len(text) < 2 {
		return 0, 0
	}
	if i := strings.IndexByte("0aev_NLP \t\r\n", text[1]); i >= 0 {
		return []rune("\x00\a\x1b\v\u00a0\u0085\u2028\u2029 \t \n")[i], 2
	}
	digits := map[byte]int{'x': 2, 'U': 8}[text[1]]
	if digits == 0 || len(text) < 2+digits {
		return 0, 0
	}
	code, err := strconv.ParseUint(text[2:2+digits], 16, 32)
	if err != nil {
		return 0, 0
	}
	return rune(code), 2 + digits
}
