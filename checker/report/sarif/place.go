package sarif

import (
	"net/url"
	"path"
	"path/filepath"
	"strings"
	"unicode/utf8"

	"kitgauge/checker/finding"
	"kitgauge/checker/report"
	"kitgauge/checker/source"
)

const srcRoot = "%SRCROOT%"

// place is a place in a file; without a line it is the file as a whole.
type place struct {
	file         string
	line, column int
	pos          source.Pos // for the text of the line
	pointer      string     // of the value, for its end
}

// spot is the place of a position; a position without a file is in the kit's.
func spot(pos source.Pos, pointer, kit string) place {
	if pos.File == "" {
		return place{file: kit}
	}
	return place{pos.File, pos.Line, pos.Column, pos, pointer}
}

func (b *builder) location(k *report.Kit, f *finding.Finding) location {
	return location{
		PhysicalLocation: b.physical(k, spot(f.Pos, f.Pointer, k.File)),
		LogicalLocations: named(k, f.Place, f.Pointer),
	}
}

// named gives the place in the trade's words, and the value's JSON Pointer
// behind the name of its file.
func named(k *report.Kit, words, pointer string) []logical {
	var list []logical
	if words != "" {
		list = append(list, logical{Name: report.Visible(words), FullyQualifiedName: report.Visible(k.Number + ": " + words), Kind: "place"})
	}
	if pointer != "" {
		list = append(list, logical{Name: report.Visible(pointer[strings.LastIndexByte(pointer, '/')+1:]), FullyQualifiedName: report.Visible(k.File + "#" + pointer), Kind: "value"})
	}
	return list
}

func (b *builder) physical(k *report.Kit, at place) *physical {
	if at.file == "" {
		return nil
	}
	i := b.file(at.file, "resultFile")
	spot := b.artifacts[i].Location
	spot.Index = &i
	out := &physical{ArtifactLocation: spot}
	if at.line < 1 {
		return out
	}
	out.Region = b.region(k, at)
	return out
}

// region ends where the value ends. Where that is not known, as with what
// cannot be read, it runs to the end of the line, as it does where no end is
// given (3.30.7, 3.30.8).
func (b *builder) region(k *report.Kit, at place) *region {
	r := &region{StartLine: at.line}
	if at.column < 1 {
		return r
	}
	r.StartColumn = at.column
	if end := k.EndOf(at.pos, at.pointer); end.Line > at.line || end.Line == at.line && end.Column > at.column {
		r.EndLine, r.EndColumn = end.Line, end.Column
		return r
	}
	if end := b.lineEnd(k, at.pos); end > at.column {
		r.EndLine, r.EndColumn = at.line, end
	}
	return r
}

// lineEnd is the column behind the last character of a line. Many findings may
// stand on one: that of the last is kept.
func (b *builder) lineEnd(k *report.Kit, pos source.Pos) int {
	at := source.Pos{File: pos.File, Line: pos.Line}
	if b.ended.kit != k || b.ended.at != at {
		line := strings.TrimRight(k.Excerpt(pos), " \t\r\n")
		b.ended = ended{k, at, utf8.RuneCountInString(line) + 1}
	}
	return b.ended.column
}

// ended is where a line ends.
type ended struct {
	kit    *report.Kit
	at     source.Pos
	column int
}

// file gives the index of a file among the artifacts.
func (b *builder) file(name, role string) int {
	spot := b.fileSpot(name)
	if i, known := b.fileIndex[spot.URI]; known {
		return i
	}
	i := len(b.artifacts)
	b.fileIndex[spot.URI] = i
	b.relative = b.relative || spot.URIBaseID != ""
	b.artifacts = append(b.artifacts, artifact{Location: spot, MimeType: mimeType(name), Roles: []string{role}})
	return i
}

// fileSpot is the URI of a file: relative where it lies below the root.
func (b *builder) fileSpot(name string) fileSpot {
	clean := filepath.Clean(name)
	if b.root != "" && !filepath.IsAbs(clean) {
		clean = filepath.Join(b.root, clean)
	}
	if filepath.IsAbs(clean) {
		below, err := filepath.Rel(b.root, clean)
		if b.root == "" || err != nil || below == ".." || strings.HasPrefix(below, ".."+string(filepath.Separator)) {
			return fileSpot{URI: "file:///" + strings.TrimPrefix(escaped(clean), "/")}
		}
		clean = below
	}
	return fileSpot{URI: escaped(clean), URIBaseID: srcRoot}
}

// escaped writes a path as that of a URI (RFC 3986). A colon is escaped too:
// in front of the first slash it would end the name of a scheme.
func escaped(name string) string {
	segments := strings.Split(path.Clean(filepath.ToSlash(name)), "/")
	for i, s := range segments {
		segments[i] = strings.ReplaceAll(url.PathEscape(s), ":", "%3A")
	}
	return strings.Join(segments, "/")
}

func mimeType(name string) string {
	switch strings.ToLower(path.Ext(name)) {
	case ".yaml", ".yml":
		return "application/yaml" // RFC 9512
	case ".json":
		return "application/json" // RFC 8259
	}
	return ""
}
