package languageserver

import (
	"net/url"
	"path/filepath"
	"regexp"
	"strings"
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

// uriOf is the URI of a file.
func uriOf(path string) string {
	path = filepath.ToSlash(path)
	if !strings.HasPrefix(path, "/") {
		path = "/" + path
	}
	return (&url.URL{Scheme: "file", Path: path}).String()
}
