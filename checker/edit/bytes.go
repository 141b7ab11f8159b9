package edit

import (
	"bytes"
	"encoding/binary"
	"unicode/utf16"

	"kitgauge/checker/source"
)

// decode gives a text as UTF-8, and the way back to how it is written.
func decode(text []byte) ([]byte, func([]byte) []byte, error) {
	docs, problems := source.Parse("", text)
	if len(docs) == 0 {
		if len(problems) > 0 {
			return nil, nil, problems[0]
		}
		return nil, nil, &source.Problem{Message: "the file is empty"}
	}
	var order binary.AppendByteOrder
	switch {
	case bytes.HasPrefix(text, []byte{0xff, 0xfe}):
		order = binary.LittleEndian
	case bytes.HasPrefix(text, []byte{0xfe, 0xff}):
		order = binary.BigEndian
	default:
		return text, func(out []byte) []byte { return out }, nil
	}
	mark := text[:2:2]
	return docs[0].Text, func(out []byte) []byte {
		back := bytes.Clone(mark)
		for _, unit := range utf16.Encode([]rune(string(out))) {
			back = order.AppendUint16(back, unit)
		}
		return back
	}, nil
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
