package source

import (
	"bytes"
	"errors"
	"strings"

	"go.yaml.in/yaml/v4"
)

// wording turns the library's terms into words for the person with the file.
// The first entry whose key occurs in the library's message is used.
var wording = []struct{ library, message, remedy string }{
	{"found a tab character", "a tab stands where the indentation should be", "indent with spaces"},
	{"found character that cannot start any token", "this character cannot begin a value", "put quotes round the text, and indent with spaces"},
	{"mapping values are not allowed", "a second colon stands in this value, or the line is indented too far", "put quotes round text that holds a colon and a space"},
	{"did not find expected ',' or ']'", "a list opened with [ is not closed", "close it with ], with commas between its items"},
	{"did not find expected ',' or '}'", "a group opened with { is not closed", "close it with }, with commas between its members"},
	{"did not find expected '-' indicator", "this line does not fit into the list it stands in", "check the indentation and the dash"},
	{"did not find expected key", "this line does not fit into the group it stands in", "check the indentation and the quotes above it"},
	{"could not find expected ':'", "a key without a colon", "write key: value"},
	{"found unexpected end of stream", "the file ends inside a quoted text or a bracket", "close the quote or the bracket"},
	{"unknown anchor", "an alias names an anchor that does not stand above it", "write the value out, or set the anchor first"},
	{"exceeded max depth", "the file is nested deeper than anything a kit needs", "a kit file needs about eight levels"},
	{"found unknown escape character", "a backslash in a double-quoted text begins no known escape", "double the backslash or use single quotes"},
	{"control characters are not allowed", "the file holds a control character", "save it as plain UTF-8 text"},
}

func (r *reader) translate(err error) *Problem {
	p := r.inText(err)
	if p.Pos.Line > 0 {
		p.Pos.Line += r.line - 1
	}
	return p
}

// inText is the problem with the lines of the text counted from 1.
func (r *reader) inText(err error) *Problem {
	p := &Problem{Pos: Pos{File: r.file}}
	var le *yaml.LoadError
	if !errors.As(err, &le) {
		p.Message = "the file is not readable as YAML or JSON"
		return p
	}
	p.Pos.Line, p.Pos.Column = le.Mark.Line, le.Mark.Column
	if p.Pos.Line > 0 && p.Pos.Column == 0 {
		p.Pos.Column = 1
	}
	if last := bytes.Count(r.text, []byte("\n")) + 1; p.Pos.Line > last {
		p.Pos.Line = last // the end of the file, not the line after it
	}
	if at := lineOf(r.text, p.Pos.Line); strings.HasPrefix(strings.TrimLeft(at, " "), "\t") {
		p.Message, p.Remedy = wording[0].message, wording[0].remedy
		return p
	}
	for _, w := range wording {
		if strings.Contains(le.Message, w.library) {
			p.Message, p.Remedy = w.message, w.remedy
			return p
		}
	}
	p.Message = "this is not readable as YAML or JSON: " + strings.ReplaceAll(le.Message, "mapping", "group")
	return p
}

// Line returns the text of a line of the document (from 1) without its end,
// for showing an excerpt; "" where there is none.
func (d *Document) Line(number int) string {
	if d.first > 1 {
		number -= d.first - 1
	}
	return lineOf(d.Text, number)
}

func lineOf(text []byte, number int) string {
	for ; number > 1; number-- {
		i := bytes.IndexByte(text, '\n')
		if i < 0 {
			return ""
		}
		text = text[i+1:]
	}
	if i := bytes.IndexByte(text, '\n'); i >= 0 {
		text = text[:i]
	}
	return strings.TrimPrefix(strings.TrimRight(string(text), "\r"), "\ufeff")
}
