package files

import (
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"unicode"
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

// Why something that may be or hold a kit is passed over.
const (
	HiddenKits = "a hidden directory with kits in it; its name begins with a full stop"
	LinkedKits = "a symbolic link to a directory with kits in it; name that directory itself"
)

// passed says why an entry that may be or hold a kit is passed over, "" where
// it is not, and whether it is a directory that is not gone into.
func passed(p string, d fs.DirEntry, top bool) (why string, skip bool) {
	hidden := d.IsDir() && !top && strings.HasPrefix(d.Name(), ".")
	linked := d.Type()&fs.ModeSymlink != 0 && isDir(p)
	switch {
	case hidden && d.Name() != ".git" && holdsKit(p):
		return HiddenKits, true
	case hidden:
		return "", true
	case linked && holdsKit(p):
		return LinkedKits, false
	case !d.IsDir() && !linked:
		return NearKit(d.Name()), false
	}
	return "", false
}

// NearKit says why a file of a name is none of a kit though the name nearly
// looks like one, "" where it does not or is one.
func NearKit(name string) string {
	if IsKitName(name) || !nearly(name) {
		return ""
	}
	why := "the name of a kit ends in " + strings.Join(kitEndings, ", ") + ", in small letters"
	if !IsKitName(strings.ToLower(name)) {
		why += ", with no space or other mark in or behind it and no letter of another script"
	}
	return why
}

// nearly reports whether a name reads like that of a kit: but for capitals,
// wide forms, spaces and what cannot be seen, full stops at the end, and a few
// letters of another script.
func nearly(name string) bool {
	var read []rune
	for _, r := range name {
		switch {
		case '\uff01' <= r && r <= '\uff5e': // the wide forms of ASCII
			read = append(read, unicode.ToLower(r-'\uff01'+'!'))
		case unicode.IsGraphic(r) && !unicode.IsSpace(r) && !unicode.Is(unicode.M, r):
			read = append(read, unicode.ToLower(r))
		}
	}
	for len(read) > 0 && read[len(read)-1] == '.' {
		read = read[:len(read)-1]
	}
	return slices.ContainsFunc(kitEndings, func(ending string) bool { return endsLike(read, ending) })
}

// endsLike reports whether a name ends so, where a letter of another script may
// stand for some of the ending.
func endsLike(name []rune, ending string) bool {
	if len(name) < len(ending) {
		return false
	}
	strange := 0
	for i, r := range name[len(name)-len(ending):] {
		switch {
		case r > unicode.MaxASCII:
			strange++
		case r != rune(ending[i]):
			return false
		}
	}
	return strange <= 3 // else any name in another script would do
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
		found = found || err == nil && !d.IsDir() && nearly(d.Name())
		if found {
			return filepath.SkipAll
		}
		return nil
	})
	return found
}
