//go:build unix

package files

import (
	"io/fs"
	"os"
	"syscall"
)

// own gives a draft to whom the file belongs that it will replace, as far as
// the system lets that be done: to the owner only where the program may.
func own(draft *os.File, of fs.FileInfo) error {
	is, known := of.Sys().(*syscall.Stat_t)
	mine, err := draft.Stat()
	if err != nil || !known {
		return err
	}
	if now, known := mine.Sys().(*syscall.Stat_t); known && (now.Uid != is.Uid || now.Gid != is.Gid) {
		_ = draft.Chown(int(is.Uid), int(is.Gid))
	}
	return nil
}
