//go:build unix

package command

import (
	"os/signal"
	"syscall"
)

// ignoreFileLimit makes a file that would grow beyond the limit of its size an
// error of Write.
func ignoreFileLimit() { signal.Ignore(syscall.SIGXFSZ) }
