package edit

import (
	"bytes"
	"encoding/binary"
	"slices"
	"unicode/utf16"
)

// mark is the byte order mark with which a file in UTF-8 may begin.
var mark = []byte("\ufeff")

// encode gives a text in the encoding of the file that it comes from, with the
// mark that stands at its beginning.
func encode(file, text []byte) []byte {
	var order binary.AppendByteOrder
	switch {
	case bytes.HasPrefix(file, []byte{0xff, 0xfe}):
		order = binary.LittleEndian
	case bytes.HasPrefix(file, []byte{0xfe, 0xff}):
		order = binary.BigEndian
	case bytes.HasPrefix(file, mark):
		return slices.Concat(mark, text)
	default:
		return text
	}
	out := bytes.Clone(file[:2])
	for _, unit := range utf16.Encode([]rune(string(text))) {
		out = order.AppendUint16(out, unit)
	}
	return out
}

// lineStart is the first byte of the line that a byte stands in.
func lineStart(text []byte, at int) int { return bytes.LastIndexAny(text[:at], "\r\n") + 1 }

// lineStop is the byte behind the last of the line that a byte stands in,
// without its end.
func lineStop(text []byte, at int) int {
	if i := bytes.IndexAny(text[at:], "\r\n"); i >= 0 {
		return at + i
	}
	return len(text)
}

// nextLine is the first byte of the line below.
func nextLine(text []byte, at int) int {
	at = lineStop(text, at)
	switch {
	case bytes.HasPrefix(text[at:], []byte("\r\n")):
		return at + 2
	case at < len(text):
		return at + 1
	}
	return at
}

// lineEndOf is how the lines of a text end.
func lineEndOf(text []byte) string {
	at := lineStop(text, 0)
	if at == len(text) {
		return "\n"
	}
	return string(text[at:nextLine(text, at)])
}

// blank reports whether a text is spaces and line ends alone.
func blank(text []byte) bool { return len(bytes.TrimSpace(text)) == 0 }
