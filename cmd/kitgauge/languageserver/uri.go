package languageserver

import (
	"net/url"
	"path/filepath"
	"regexp"
	"strings"

	"kitgauge/checker/files"
)

// drive tells the path of a URI that begins with a drive: /c:/kits.
var drive = regexp.MustCompile(`^/[A-Za-z]:`)

// pathOf is the path of the file that a URI names; false where it names none of
// this machine: text that was never saved, another scheme or host.
func pathOf(uri string) (string, bool) {
	u, err := url.Parse(uri)
	if err != nil || u.Scheme != "file" || u.Host != "" && u.Host != "localhost" || strings.ContainsRune(u.Path, 0) {
		return "", false
	}
	path := u.Path
	if filepath.Separator == '\\' && drive.MatchString(path) {
		path = path[1:]
	}
	path = filepath.FromSlash(path)
	return filepath.Clean(path), filepath.IsAbs(path)
}

// untitled begins the URI of a text that was never saved.
const untitled = "untitled:"

func unsaved(uri string) bool { return strings.HasPrefix(uri, untitled) }

// pathOf is the path of the file that a URI names; of a text that was never
// saved, where it would lie as a kit: at the first directory that is open, or at
// the path that the editor has for it. The lock is held.
func (s *server) pathOf(uri string) (string, bool) {
	name, is := strings.CutPrefix(uri, untitled)
	if !is {
		return pathOf(uri)
	}
	name, err := url.PathUnescape(name)
	if err != nil || name == "" || strings.ContainsRune(name, 0) {
		return "", false
	}
	path := filepath.FromSlash(name)
	if !filepath.IsAbs(path) {
		dir, err := filepath.Abs(".")
		if len(s.roots) > 0 {
			dir = s.roots[0]
		} else if err != nil {
			return "", false
		}
		path = filepath.Join(dir, filepath.Base(path))
	}
	if !files.IsKitName(path) {
		path += ".kit.yaml"
	}
	return filepath.Clean(path), true
}

// uriOf is the URI of a file.
func uriOf(path string) string {
	path = filepath.ToSlash(path)
	if !strings.HasPrefix(path, "/") {
		path = "/" + path
	}
	return (&url.URL{Scheme: "file", Path: path}).String()
}
