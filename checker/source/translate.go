package source

import (
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
	{"block sequence entries are not allowed", "a dash stands where no list can begin", "put the list on lines of its own, or quotes round the text"},
	{"mapping keys are not allowed", "a question mark stands where no key can begin", "put quotes round the text"},
	{"found incompatible YAML document", "a line with %YAML is not taken", "leave it out"},
	{"directive", "a line that begins with % is not taken", "leave it out, or put quotes round the text"},
	{"version number", "a line that begins with % is not taken", "leave it out, or put quotes round the text"},
	{"<document start>", "text stands where another document would begin", "put a line of three dashes above it, or check the indentation"},
	{"found unexpected document indicator", "a line of three dashes or points stands inside a quoted text", "close the quote, or indent the line"},
	{"document-end marker", "text stands behind the three points that end a document", "put it on the next line"},
	{" tag", "a word that begins with ! cannot be read", "leave it out, or put quotes round the text"},
	{"expected '>'", "a word that begins with ! cannot be read", "leave it out, or put quotes round the text"},
	{"URI", "a word that begins with ! cannot be read", "leave it out, or put quotes round the text"},
	{"'!'", "a word that begins with ! cannot be read", "leave it out, or put quotes round the text"},
	{"indentation", "the indentation of this line does not fit", "indent with spaces, each level by as many as the line above it"},
	{"whitespace or line break", "a space is missing here", "put a space between this and what stands before it"},
	{"comment", "a space is missing before this remark", "put a space before #"},
	{"did not find expected node content", "a value is missing here, or a bracket above is not closed", "write the value, or close the bracket"},
	{"found invalid Unicode character escape code", "an escape in a double-quoted text stands for no character", "write the character itself"},
	{"did not find expected alphabetic or numeric character", "the name of an anchor or an alias is missing, or holds more than letters and digits", "use plain letters and digits"},
}

func (r *reader) translate(err error) *Problem {
	p, told := r.inText(err)
	if !told {
		if slip := r.slip(false); slip != nil {
			return slip
		}
	}
	if p.Pos.Line > 0 {
		p.Pos.Line += r.line - 1
	}
	return p
}

// inText is the problem with the lines of the text counted from 1; told where
// it is known to be all that is wrong.
func (r *reader) inText(err error) (_ *Problem, told bool) {
	p := &Problem{Pos: Pos{File: r.file}}
	var le *yaml.LoadError
	if !errors.As(err, &le) {
		p.Message = "the file is not readable as YAML or JSON"
		return p, true
	}
	p.Pos.Line, p.Pos.Column = le.Mark.Line, le.Mark.Column
	if p.Pos.Line > 0 && p.Pos.Column == 0 {
		p.Pos.Column = 1
	}
	if last := lastLine(r.text); p.Pos.Line > last {
		p.Pos.Line = last // the end of the file, not the line after it
	}
	doc := Document{Text: r.text}
	if at := doc.Line(p.Pos.Line); strings.HasPrefix(strings.TrimLeft(at, " "), "\t") {
		p.Message, p.Remedy = wording[0].message, wording[0].remedy
		return p, true
	}
	if value := unquoted(doc.Line(p.Pos.Line), p.Pos.Column); value != "" && strings.Contains(le.Message, "did not find expected ','") {
		p.Message, p.Remedy = "a bracket stands in a value without quotes", "put quotes round it: "+quoted(value)
		return p, true
	}
	if strings.Contains(le.Message, "<document start>") && strings.HasPrefix(strings.TrimSpace(doc.Line(p.Pos.Line)), "{") {
		p.Message, p.Remedy = "another file begins here within this one", "move it to a file of its own"
		return p, true
	}
	for _, w := range wording {
		if strings.Contains(le.Message, w.library) {
			p.Message, p.Remedy = w.message, w.remedy
			return p, false
		}
	}
	p.Message, p.Remedy = "this is not readable as YAML or JSON", "put quotes round the text, and check brackets and indentation"
	return p, false
}

// unquoted is the value between brackets { } or [ ] of which a bracket at the
// column, from 1, is part: limit.slack[span.kind] of {at_least:
// limit.slack[span.kind]}. It is "" where the bracket begins a value.
func unquoted(line string, column int) string {
	runes := []rune(line)
	at := column - 1
	if at < 1 || at >= len(runes) || !strings.ContainsRune("[{", runes[at]) || strings.ContainsRune(" ,:[{", runes[at-1]) {
		return ""
	}
	from := at
	for from > 0 && !strings.ContainsRune("{[,", runes[from-1]) && !(runes[from-1] == ' ' && from > 1 && runes[from-2] == ':') {
		from--
	}
	depth, to := 0, at
	for ; to < len(runes); to++ {
		switch c := runes[to]; {
		case strings.ContainsRune("[{(", c):
			depth++
		case strings.ContainsRune("]})", c) && depth > 0:
			depth--
		case depth == 0 && strings.ContainsRune(",]}", c):
			return strings.TrimSpace(string(runes[from:to]))
		}
	}
	return strings.TrimSpace(string(runes[from:to]))
}

// quoted is a text between single quotes.
func quoted(text string) string { return "'" + strings.ReplaceAll(text, "'", "''") + "'" }
