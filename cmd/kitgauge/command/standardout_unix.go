//go:build unix

package command

import (
	"os"

	"golang.org/x/sys/unix"
)

// wasClosed reports whether a stream was closed when the program began. The
// runtime of Go then opens the null device in its place, to read and to write,
// which a shell's redirection does not. Whoever gives the null device to other,
// standard error too, wants nothing but the exit status.
func wasClosed(f, other *os.File) bool {
	return f != nil && isNull(f) && (other == nil || !isNull(other))
}

// isNull tells the null device, open to read and to write.
func isNull(f *os.File) bool {
	null, err := os.Stat(os.DevNull)
	if err != nil {
		return false
	}
	is, err := f.Stat()
	if err != nil || !os.SameFile(is, null) {
		return false
	}
	flags, err := unix.FcntlInt(f.Fd(), unix.F_GETFL, 0)
	return err == nil && flags&unix.O_ACCMODE == unix.O_RDWR
}
