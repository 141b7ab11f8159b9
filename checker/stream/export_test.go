package stream

import "io"

// MostBytes is what all lines in flight may hold together.
const MostBytes = mostBytes

// Lines is the reader of lines.
type Lines struct{ *lines }

// NewLines cuts a stream into lines of so many bytes at most.
func NewLines(in io.Reader, longest int) Lines { return Lines{newLines(in, longest)} }

// Next returns the next line.
func (l Lines) Next() (Line, error) { return l.next() }
