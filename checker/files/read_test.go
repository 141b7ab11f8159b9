package files_test

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"testing"

	"kitgauge/checker/files"
	"kitgauge/checker/source"
)

// changing is a file that somebody writes while it is read.
type changing struct {
	bytes.Reader
	reads int
	write func(read int) (text string, is bool) // before a read, counted from 1
}

func (c *changing) is(text string) {
	at, _ := c.Seek(0, io.SeekCurrent)
	c.Reset([]byte(text))
	_, _ = c.Seek(at, io.SeekStart)
}

// Read returns a byte at a time, so that there is time to write.
func (c *changing) Read(p []byte) (int, error) {
	c.reads++
	if text, is := c.write(c.reads); is {
		c.is(text)
	}
	return c.Reader.Read(p[:1])
}

func (c *changing) Stat() (fs.FileInfo, error) { return regular{}, nil }

type regular struct{ fs.FileInfo }

func (regular) Mode() fs.FileMode { return 0o644 }

func TestReadSteady(t *testing.T) {
	at := func(texts map[int]string) func(int) (string, bool) {
		return func(read int) (string, bool) { text, is := texts[read]; return text, is }
	}
	tests := []struct {
		name  string
		write func(int) (string, bool)
		want  string
		err   error
	}{
		{"nobody writes", at(nil), "old old", nil},
		{"a longer one before the first byte", at(map[int]string{1: "new new new"}), "new new new", nil},
		{"as long, in the middle", at(map[int]string{4: "new new"}), "new new", nil},
		{"a shorter one, in the middle", at(map[int]string{4: "n"}), "n", nil},
		{"emptied, and filled while it is read again", at(map[int]string{2: "", 4: "new"}), "new", nil},
		{"as long, in the middle of the second time", at(map[int]string{12: "new new"}), "new new", nil},
		{"all the time", func(read int) (string, bool) { return fmt.Sprintf("%07d", read), true }, "", files.ErrChanged},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			f := &changing{write: tt.write}
			f.is("old old")
			got, err := files.ReadSteady(f)
			if string(got) != tt.want || !errors.Is(err, tt.err) {
				t.Errorf("got %q, %v; want %q, %v", got, err, tt.want, tt.err)
			}
		})
	}
}

func TestReadStopsAtTheLimit(t *testing.T) {
	text, err := files.ReadFile("/dev/zero")
	if err != nil {
		t.Skip(err)
	}
	if len(text) != source.MaxBytes+1 {
		t.Errorf("got %d bytes, want one more than %d", len(text), source.MaxBytes)
	}
}
