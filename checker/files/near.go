package files

import (
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// mostLooked is how many entries of a hidden or linked directory are looked at
// for kits.
const mostLooked = 10_000

// PassedOver lists what nearly looks like a kit in the directories among names
// and is not found there, each with the reason: a name that is right but for
// its capitals, and kits in a directory that is hidden or a symbolic link.
func PassedOver(names []string) []string {
	var list []string
	for _, name := range names {
		info, err := os.Stat(name)
		if err != nil || !info.IsDir() {
			continue
		}
		_ = filepath.WalkDir(name, func(p string, d fs.DirEntry, err error) error {
			if err != nil {
				return nil // Find says so
			}
			why, skip := passed(p, d, p == name)
			if why != "" {
				list = append(list, filepath.ToSlash(filepath.Clean(p))+": "+why)
			}
			if skip {
				return filepath.SkipDir
			}
			return nil
		})
	}
	slices.Sort(list)
	return slices.Compact(list)
}

// passed says why an entry that may be or hold a kit is passed over, "" where
// it is not, and whether it is a directory that is not gone into.
func passed(p string, d fs.DirEntry, top bool) (why string, skip bool) {
	hidden := d.IsDir() && !top && strings.HasPrefix(d.Name(), ".")
	linked := d.Type()&fs.ModeSymlink != 0 && isDir(p)
	switch {
	case hidden && d.Name() != ".git" && holdsKit(p):
		return "a hidden directory with kits in it; its name begins with a full stop", true
	case hidden:
		return "", true
	case linked && holdsKit(p):
		return "a symbolic link to a directory with kits in it; name that directory itself", false
	case !d.IsDir() && !linked && !IsKitName(d.Name()) && IsKitName(strings.ToLower(d.Name())):
		return "the name of a kit ends in " + strings.Join(kitEndings, ", ") + ", in small letters", false
	}
	return "", false
}

func isDir(p string) bool {
	info, err := os.Stat(p)
	return err == nil && info.IsDir()
}

// holdsKit reports whether there is a name of a kit below a directory, or too
// much to look at.
func holdsKit(dir string) bool {
	real, err := filepath.EvalSymlinks(dir)
	if err != nil {
		return false
	}
	found, looked := false, 0
	_ = filepath.WalkDir(real, func(_ string, d fs.DirEntry, err error) error {
		if looked++; looked > mostLooked {
			found = true
		}
		found = found || err == nil && !d.IsDir() && IsKitName(strings.ToLower(d.Name()))
		if found {
			return filepath.SkipAll
		}
		return nil
	})
	return found
}
