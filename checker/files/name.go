package files

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"
)

// The endings of the names of files. No file is opened because another names
// it unless its own name ends so.
var (
	kitEndings       = []string{".kit.yaml", ".kit.yml", ".kit.json"}
	catalogueEndings = []string{".parts.yaml", ".parts.yml", ".parts.json"}
	packEndings      = []string{".pack.yaml", ".pack.yml"}
)

// The endings of fault cards and of settings.
const (
	cardsEnding    = ".cards.yaml"
	settingsEnding = ".settings.yaml"
)

// ConcessionsEnding ends the name of the file of concessions beside a kit.
const ConcessionsEnding = ".concessions.yaml"

// stem is a name without the one of the endings that it has.
func stem(name string, endings []string) (string, bool) {
	for _, e := range endings {
		if s, is := strings.CutSuffix(name, e); is {
			return s, true
		}
	}
	return name, false
}

// IsKitName reports whether a file's name is that of a kit.
func IsKitName(name string) bool {
	_, is := stem(name, kitEndings)
	return is
}

// KitStem is the name of a kit file without its ending.
func KitStem(name string) string {
	s, _ := stem(name, kitEndings)
	return s
}

// KitNamed is the usual name of a kit file, by its stem.
func KitNamed(stem string) string { return stem + kitEndings[0] }

// kindOf is what kind of file a name says it is, as the endings of that kind.
func kindOf(name string) string {
	name = filepath.Base(name)
	for _, endings := range [][]string{kitEndings, catalogueEndings, packEndings, {ConcessionsEnding}, {cardsEnding}, {settingsEnding}} {
		if _, is := stem(name, endings); is {
			return strings.Join(endings, ", ")
		}
	}
	return filepath.Ext(name)
}

// ConcessionsBeside is the name of the file of concessions that belongs to a
// kit file, "" where the kit is not a file with the name of one.
func ConcessionsBeside(kit string) string {
	if s, is := stem(kit, kitEndings); is {
		return s + ConcessionsEnding
	}
	return ""
}

// KitsBeside lists the kit files that a file of concessions beside a kit stands
// beside, the first for which it counts first.
func KitsBeside(kit string) []string {
	s, is := stem(kit, kitEndings)
	if !is {
		return nil
	}
	var list []string
	for _, ending := range kitEndings {
		list = append(list, s+ending)
	}
	return list
}

// IsPackName reports whether a file's name is that of a rule pack.
func IsPackName(name string) bool {
	_, is := stem(name, packEndings)
	return is
}

// IsCardsName reports whether a file's name is that of fault cards.
func IsCardsName(name string) bool { return strings.HasSuffix(name, cardsEnding) }

// IsCatalogueName reports whether a file's name is that of a parts catalogue.
func IsCatalogueName(name string) bool {
	_, is := stem(name, catalogueEndings)
	return is
}

// CardsBeside is the name of the fault cards that belong to a pack file.
func CardsBeside(pack string) string {
	s, _ := stem(pack, packEndings)
	return s + cardsEnding
}

// CatalogueBeside joins the name of a catalogue with the place of the file
// that names it; why says what is wrong with the name.
func CatalogueBeside(from, name string) (file, why string) {
	name = filepath.ToSlash(name)
	if !IsCatalogueName(name) {
		return "", fmt.Sprintf("%q is not the name of a parts catalogue: it ends in %s", name, strings.Join(catalogueEndings, ", "))
	}
	if path.IsAbs(name) || filepath.VolumeName(name) != "" {
		return "", fmt.Sprintf("%q is an absolute path", name)
	}
	return path.Join(path.Dir(filepath.ToSlash(from)), name), ""
}

// Find lists the kit files for the names given: a file stands for itself, a
// directory for every kit file below it. The order is that of the names, and
// alphabetical within a directory; - is standard input. A file that is named twice is listed once.
// What cannot be looked at is among the faults, and hides no other file.
func Find(names []string) (files []string, faults []*Error) {
	seen := map[string]bool{}
	add := func(name string) {
		name = filepath.ToSlash(filepath.Clean(name))
		if !seen[name] {
			seen[name] = true
			files = append(files, name)
		}
	}
	for _, name := range names {
		info, err := os.Stat(name)
		switch {
		case name == "-":
			add(name)
		case err != nil:
			faults = append(faults, plain(name, err))
		case !info.IsDir():
			add(name)
		default:
			faults = append(faults, findBelow(name, add)...)
		}
	}
	return files, faults
}

// findBelow adds the kit files of a directory.
func findBelow(dir string, add func(string)) (faults []*Error) {
	found := false
	err := filepath.WalkDir(dir, func(p string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			faults = append(faults, plain(filepath.ToSlash(p), err))
			return nil
		case d.IsDir() && p != dir && strings.HasPrefix(d.Name(), "."):
			return filepath.SkipDir
		case !d.IsDir() && IsKitName(d.Name()):
			found = true
			if !d.Type().IsRegular() && d.Type() != fs.ModeSymlink {
				faults = append(faults, &Error{filepath.ToSlash(p), errNoFile})
				return nil
			}
			add(p)
		}
		return nil
	})
	if err != nil {
		faults = append(faults, plain(dir, err))
	}
	if !found && len(faults) == 0 {
		faults = append(faults, &Error{dir, errors.New("no kit file below this directory: their names end in " + strings.Join(kitEndings, ", "))})
	}
	return faults
}

func plain(file string, err error) *Error { return &Error{file, errors.New(PlainError(err))} }
