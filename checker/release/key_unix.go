//go:build unix

package release

import (
	"io/fs"
	"os"
	"syscall"
)

// exposed reports whether a key of the user's own is open to others, as OpenSSH
// judges it (sshkey_perm_ok in authfile.c).
func exposed(file string) (fs.FileMode, bool) {
	info, err := os.Stat(file)
	if err != nil {
		return 0, false
	}
	is, known := info.Sys().(*syscall.Stat_t)
	mode := info.Mode().Perm()
	return mode, known && int(is.Uid) == os.Getuid() && mode&0o077 != 0
}
