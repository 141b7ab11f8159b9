//go:build !unix

package release

import "io/fs"

// exposed cannot be told where files have no such mode.
func exposed(string) (fs.FileMode, bool) { return 0, false }
