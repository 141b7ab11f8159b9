package source

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"unicode/utf16"
	"unicode/utf8"
)

// mark is the byte order mark with which a text in UTF-8 may begin.
var mark = []byte("\ufeff")

// plainText returns the text as UTF-8, without a mark at its beginning, or what
// keeps it from being read. It finds what the YAML library reports without a place.
func plainText(file string, text []byte) ([]byte, *Problem) {
	if len(text) > MaxBytes {
		return nil, &Problem{Pos: Pos{File: file}, Message: fmt.Sprintf("the file is larger than %d MiB", MaxBytes>>20), Remedy: "a kit of 84 points is well below 1 MiB; split the file"}
	}
	switch {
	case bytes.HasPrefix(text, []byte{0xff, 0xfe}):
		text = fromUTF16(text[2:], binary.LittleEndian)
	case bytes.HasPrefix(text, []byte{0xfe, 0xff}):
		text = fromUTF16(text[2:], binary.BigEndian)
	default:
		text = bytes.TrimPrefix(text, mark)
	}
	return text, checkBytes(file, text)
}

// fromUTF16 converts text, whose mark has been taken off. What is no text
// becomes the byte 0xff, which checkBytes reports with its place.
func fromUTF16(text []byte, order binary.ByteOrder) []byte {
	out := make([]byte, 0, len(text))
	for len(text) >= 2 {
		r := rune(order.Uint16(text))
		text = text[2:]
		if utf16.IsSurrogate(r) {
			low := rune(utf8.RuneError)
			if len(text) >= 2 {
				low = rune(order.Uint16(text))
			}
			if r = utf16.DecodeRune(r, low); r == utf8.RuneError {
				out = append(out, 0xff)
				continue
			}
			text = text[2:]
		}
		out = utf8.AppendRune(out, r)
	}
	if len(text) > 0 {
		out = append(out, 0xff) // half of a character
	}
	return out
}

// checkBytes finds the first character that cannot stand in a file.
func checkBytes(file string, text []byte) *Problem {
	line, column := 1, 1
	for i := 0; i < len(text); {
		if c := text[i]; ' ' <= c && c < utf8.RuneSelf {
			i, column = i+1, column+1
			continue
		}
		if end := lineEnd(text[i:]); end > 0 {
			i, line, column = i+end, line+1, 1
			continue
		}
		r, size := utf8.DecodeRune(text[i:])
		if message, remedy := unfit(r, size, text[i]); message != "" {
			return &Problem{Pos: Pos{file, line, column}, Message: message, Remedy: remedy}
		}
		i, column = i+size, column+1
	}
	return nil
}

// unfit says what is wrong with a character, "" where nothing is. The YAML
// library takes three characters beyond ASCII for line ends, which no editor
// does: every place below them would be wrong.
func unfit(r rune, size int, first byte) (message, remedy string) {
	switch {
	case r == utf8.RuneError && size == 1:
		return fmt.Sprintf("the byte 0x%02x is not UTF-8 text", first), "save the file as UTF-8"
	case r == 0:
		return "the file holds a zero byte", "save it as UTF-8 text"
	case r < ' ' && r != '\t' || r == 0xfffe || r == 0xffff:
		return fmt.Sprintf("the file holds the control character %U", r), "take it out, or save the file as plain UTF-8 text"
	case r == 0x85 || r == 0x2028 || r == 0x2029:
		return fmt.Sprintf("the file holds the unusual line end %U", r), "take it out, or end the line in the usual way"
	}
	return "", ""
}

// lineEnd is the length of the line end with which the text begins, or 0.
func lineEnd(text []byte) int {
	switch {
	case len(text) == 0:
		return 0
	case text[0] == '\n':
		return 1
	case text[0] == '\r' && len(text) > 1 && text[1] == '\n':
		return 2
	case text[0] == '\r':
		return 1
	}
	return 0
}

// lastLine is the number of the last line of a text.
func lastLine(text []byte) int {
	n := 1
	for i := bytes.IndexAny(text, "\r\n"); i >= 0; i = bytes.IndexAny(text, "\r\n") {
		text = text[i+lineEnd(text[i:]):]
		n++
	}
	return n
}
