package files

import (
	"path/filepath"
	"slices"
)

// AllUpwards lists the files of a name from a directory upwards to the top of
// its tree, the outermost first.
func AllUpwards(dir, name string, there func(file string) bool) []string {
	var list []string
	for _, file := range Upwards(dir, name) {
		if there(filepath.FromSlash(file)) {
			list = append(list, file)
		}
	}
	return list
}

// Upwards names the files that there may be of a name from a directory upwards
// to the top of its tree, the outermost first.
func Upwards(dir, name string) []string {
	top, err := Tree(dir)
	if err != nil {
		return nil
	}
	abs, err := filepath.Abs(dir)
	if err != nil {
		return nil
	}
	var list []string
	for up := dir; Within(top, abs); up, abs = filepath.Join(up, ".."), filepath.Dir(abs) {
		list = append(list, filepath.ToSlash(filepath.Join(up, name)))
		if abs == filepath.Dir(abs) {
			break
		}
	}
	slices.Reverse(list)
	return list
}
