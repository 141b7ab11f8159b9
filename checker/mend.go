package checker

import (
	"regexp"
	"strconv"
	"strings"

	"kitgauge/checker/finding"
	"kitgauge/checker/source"
	"kitgauge/checker/units"
)

// at finds the value that stands at a place of the kit or of one of its
// catalogues; nil where none is known.
func (c *Checker) at(r *Result, pos source.Pos, pointer string) *source.Node {
	doc := r.Text
	if pos.File != r.File {
		f := c.catalogues.Look(c.inTree(r.File, pos.File))
		if f == nil || f.file == nil || f.file.Node == nil {
			return nil
		}
		doc = f.file.Node.Document()
	}
	if doc == nil || doc.Root == nil {
		return nil
	}
	n := doc.Root.Lookup(pointer)
	if n == nil || n.Pos() != pos && n.KeyPos() != pos {
		return nil // what is found is told at another place
	}
	return n
}

// end is the place behind what stands at a place: a value or, where that is the
// place of a key, the key. It is no place where it cannot be told.
func (c *Checker) end(r *Result, pos source.Pos, pointer string) source.Pos {
	n := c.at(r, pos, pointer)
	switch {
	case n == nil:
		return source.Pos{}
	case n.Pos() == pos:
		return n.End()
	}
	from, to, ok := n.KeySpan()
	if !ok {
		return source.Pos{}
	}
	pos.Column += len([]rune(string(n.Document().Text[from:to])))
	return pos
}

// mend is the one edit that a finding asks for in so many words: the nearest
// known word in the place of a misspelt one, or the one figure of a remedy in
// the place of the value at which the finding stands. It is nil where the
// remedy leaves a choice, or asks for more.
func (c *Checker) mend(r *Result, f *finding.Finding) *finding.Edit {
	switch {
	case f.Status != finding.Violated:
		return nil
	case f.Edit != nil:
		return f.Edit
	}
	n := c.at(r, f.Pos, f.Pointer)
	if n == nil || n.Pos() != f.Pos || n.Kind == source.List || n.Kind == source.Map || n.Scalar == "" {
		return nil
	}
	text := nearestWord(f.Message, n.Scalar)
	if m := writeForm.FindStringSubmatch(f.Remedy); text == "" && m != nil {
		text, _ = strconv.Unquote(m[1])
	}
	if text == "" {
		text = onlyFigure(f.Remedy, n.Scalar)
	}
	if text == "" || text == n.Scalar {
		return nil
	}
	return inPlace(n, text)
}

var (
	nearestForm = regexp.MustCompile(`; nearest is ("(?:[^"\\]|\\.)*")$`)
	writeForm   = regexp.MustCompile(`^write ("(?:[^"\\]|\\.)*")$`)
	unitForm    = regexp.MustCompile(`\(nearest is ([^()]+)\)`)
)

// nearestWord is the text that a message names as the nearest to a value, or
// the value with the unit that it names; "" where it names none.
func nearestWord(message, value string) string {
	if m := nearestForm.FindStringSubmatch(message); m != nil {
		word, err := strconv.Unquote(m[1])
		if err != nil || !strings.Contains(message, strconv.Quote(value)) {
			return ""
		}
		return word
	}
	m := unitForm.FindStringSubmatch(message)
	number := numberForm.FindString(value)
	if m == nil || number == "" {
		return ""
	}
	return number + " " + m[1]
}

var (
	numberForm = regexp.MustCompile(`^-?[0-9]+(?:\.[0-9]+)?`)
	// setForm is a remedy that asks for one figure and leaves nothing to look at
	// first; another way out may stand behind it.
	setForm = regexp.MustCompile(`^(?:write|state|list|fill to|cut it to|set a run of|set a pause of|move the fuse to within|(?:lengthen|shorten) the free length(?: by ` + figure + `)? to) (` +
		figure + `)(?: or less| or more| at most| of the source)?(?:, or [^:;]*)?$`)
	lookForm = regexp.MustCompile(`\b(?:look|if)\b`)
)

const figure = `-?[0-9]+(?:\.[0-9]+)? (?:US (?:gal|fl oz)|[A-Za-z][A-Za-z0-9/]*)`

// onlyFigure is the figure that a remedy wants in the place of a measured
// value; "" where it wants another thing.
func onlyFigure(remedy, value string) string {
	m := setForm.FindStringSubmatch(remedy)
	if m == nil || lookForm.MatchString(remedy) {
		return ""
	}
	of, measured := units.Of(value)
	if is, known := units.Of(m[1]); !known || !measured || is != of {
		return ""
	}
	return m[1]
}

// What can stand without quotes, and in either kind of them, as it is.
var (
	plainForm  = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9 ./-]*$`)
	quotedForm = regexp.MustCompile(`^[^"'\\\pC]+$`)
)

// inPlace is the edit that puts a text in the place of a value that is written
// on one line, in the quotes in which it is written; nil where it is written
// elsewhere or needs more than that.
func inPlace(n *source.Node, text string) *finding.Edit {
	from, to, ok := n.Span()
	if !ok || n.Alias() || n.Borrowed() {
		return nil
	}
	written := string(n.Document().Text[from:to])
	switch {
	case written == n.Scalar && plainForm.MatchString(text):
	case (written == `"`+n.Scalar+`"` || written == "'"+n.Scalar+"'") && quotedForm.MatchString(text):
		text = written[:1] + text + written[:1]
	default:
		return nil
	}
	return &finding.Edit{Pos: n.Pos(), Delete: len([]rune(written)), Insert: text}
}
