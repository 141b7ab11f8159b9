package stream

import (
	"bufio"
	"bytes"
	"fmt"
	"io"

	"kitgauge/checker/source"
)

// lines cuts a stream into lines. It never holds more than one line of the
// longest that is accepted, and goes on after one that is longer.
type lines struct {
	in      *bufio.Reader
	longest int
	number  int
}

func newLines(in io.Reader, longest int) *lines {
	return &lines{in: bufio.NewReaderSize(in, 1<<16), longest: longest}
}

// next returns the next line without its end. The error is io.EOF after the
// last; a line end at the very end begins no further line.
func (l *lines) next() (Line, error) {
	line := Line{Number: l.number + 1}
	text, size := []byte(nil), 0
	for {
		piece, err := l.in.ReadSlice('\n')
		size += len(piece)
		if size <= l.longest+len("\r\n") {
			text = append(text, piece...)
		} else {
			text = nil // too long: the rest of it is read and dropped
		}
		if err == bufio.ErrBufferFull {
			continue
		}
		if err != nil && (err != io.EOF || size == 0) {
			return line, err
		}
		break
	}
	l.number++
	if size > 0 && text == nil {
		line.Fault = l.tooLong(line.Number)
		return line, nil
	}
	text = bytes.TrimSuffix(text, []byte("\n"))
	text = bytes.TrimSuffix(text, []byte("\r"))
	switch {
	case len(text) > l.longest:
		line.Fault = l.tooLong(line.Number)
	case len(bytes.TrimSpace(text)) == 0:
		line.Fault = &source.Problem{Pos: source.Pos{Line: line.Number, Column: 1}, Message: "the line is empty", Remedy: "write a kit on it as JSON, or leave the line out"}
	default:
		line.Text = text
	}
	return line, nil
}

func (l *lines) tooLong(number int) *source.Problem {
	return &source.Problem{
		Pos:     source.Pos{Line: number, Column: 1},
		Message: fmt.Sprintf("the line is longer than %s", amount(l.longest)),
		Remedy:  "a kit of 84 points is well below 1 MiB; check a larger one as a file",
	}
}

func amount(bytes int) string {
	if bytes>>20 > 0 && bytes%(1<<20) == 0 {
		return fmt.Sprintf("%d MiB", bytes>>20)
	}
	return fmt.Sprintf("%d bytes", bytes)
}
