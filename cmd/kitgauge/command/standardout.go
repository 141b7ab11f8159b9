package command

import (
	"errors"
	"io"
	"os"
	"syscall"

	"kitgauge/checker/files"
)

// standardOut is standard output. It keeps its first error and takes nothing
// more after it, so that nothing is missing in the middle, and no command need
// look at each line that it writes.
type standardOut struct {
	w    io.Writer
	lost bool // it was closed when the program began
	err  error
}

// Write implements io.Writer.
func (o *standardOut) Write(p []byte) (int, error) {
	if o.err != nil {
		return 0, o.err
	}
	if o.lost {
		o.err = errClosed
		return 0, o.err
	}
	n, err := o.w.Write(p)
	o.err = err
	return n, err
}

// errClosed is the error of a standard output that was closed before the
// program began, in the place of which the runtime of Go opens the null device.
var errClosed = errors.New("it is closed, or the null device opened to be read as well; send it to a file, or with > /dev/null nowhere")

// close closes the file, as far as it is one: some disks say only then that
// they are full.
func (o *standardOut) close() {
	if f, is := o.w.(*os.File); is && o.err == nil && !o.lost {
		o.err = f.Close()
	}
}

// failure is what an error of standard output means for the program, given
// what the command itself says; nil where there was none.
func (o *standardOut) failure(err error) *failure {
	var said *failure
	switch {
	case o.err == nil:
		return nil
	case errors.Is(o.err, syscall.EPIPE):
		return &failure{status: exitClosedPipe}
	case errors.As(err, &said) && said.status == exitUnread && said.err != nil:
		return said
	}
	return &failure{exitUnread, errors.New("standard output cannot be written: " + files.PlainError(o.err))}
}
