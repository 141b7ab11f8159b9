package source

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"
)

// lookalikes are the characters that word processors, mail and keyboards of
// other scripts put in place of the plain ones, with their names.
var lookalikes = map[rune]struct{ plain, name string }{
	'\u00a0': {" ", "a no-break space"}, '\u202f': {" ", "a narrow no-break space"}, '\u2007': {" ", "a figure space"},
	'\u2002': {" ", "an en space"}, '\u2003': {" ", "an em space"}, '\u2009': {" ", "a thin space"}, '\u3000': {" ", "an ideographic space"},
	'\u200b': {"", "a zero-width space"}, '\u200c': {"", "a zero-width non-joiner"}, '\u200d': {"", "a zero-width joiner"},
	'\u2060': {"", "a word joiner"}, '\ufeff': {"", "a byte order mark"}, '\u00ad': {"", "a soft hyphen"},
	'“': {`"`, "a typographic quote"}, '”': {`"`, "a typographic quote"}, '„': {`"`, "a typographic quote"}, '«': {`"`, "a typographic quote"}, '»': {`"`, "a typographic quote"},
	'‘': {"'", "a typographic quote"}, '’': {"'", "a typographic quote"}, '‚': {"'", "a typographic quote"}, '＂': {`"`, "a full-width quote"},
	'：': {":", "a full-width colon"}, '，': {",", "a full-width comma"}, '、': {",", "an ideographic comma"}, '；': {",", "a full-width semicolon"},
	'｛': {"{", "a full-width bracket"}, '｝': {"}", "a full-width bracket"}, '［': {"[", "a full-width bracket"}, '］': {"]", "a full-width bracket"},
	'–': {"-", "an en dash"}, '—': {"-", "an em dash"}, '−': {"-", "a minus sign"}, '‐': {"-", "a hyphen of its own"}, '‑': {"-", "a no-break hyphen"},
}

// What looks like a blank, or like nothing; like a quote; and like another mark.
var (
	blankSigns = signs(" ", "")
	quoteSigns = signs(`"`, "'")
	markSigns  = signs(":", ",", "{", "}", "[", "]", "-")
)

// signs are the look-alikes of some plain characters.
func signs(plain ...string) string {
	var list []rune
	for c, l := range lookalikes {
		if slices.Contains(plain, l.plain) {
			list = append(list, c)
		}
	}
	slices.Sort(list)
	return string(list)
}

// The shapes in which a look-alike is part of how a file is written, and does not
// stand for itself in a text: what is in round brackets, in a piece of a line
// between plain marks.
var (
	blankEdge   = regexp.MustCompile(`^ *([` + blankSigns + `])|([` + blankSigns + `])[ ` + blankSigns + `]*$`)
	blankKey    = regexp.MustCompile(`^[a-z_ ]*([` + blankSigns + `])[a-z_ ]*:|^[a-z_]+:([` + blankSigns + `])`)
	wideColon   = regexp.MustCompile(`^ *["']?[A-Za-z_]+["']? *(：)`)
	wideComma   = regexp.MustCompile(`^ *-?[0-9][^，、；]*([，、；])[ ` + blankSigns + `]*-?[0-9]|([，、；])[ ` + blankSigns + `]*["']?[a-z_]+["']?:$`)
	wideBracket = regexp.MustCompile(`^ *([｛［])`)
	wideCloser  = regexp.MustCompile(`([｝］])$`)
	itemDash    = regexp.MustCompile(`^ *([–—−‐‑])[ ` + blankSigns + `]|^-([` + blankSigns + `])`)
	roundText   = regexp.MustCompile(`^ *([` + quoteSigns + `])[^` + quoteSigns + `"]*([` + quoteSigns + `"])[ ` + blankSigns + `]*(?:[,}\]:]|$)`)
	halfRound   = regexp.MustCompile(`^ *"[^` + quoteSigns + `"]*([` + quoteSigns + `]) *(?:[,}\]:]|$)`)
	plainRound  = regexp.MustCompile(`^ *"(?:[^"\\]|\\.)*" *(?:[,}\]:#]|$)`)
	blockHeader = regexp.MustCompile(`(?:: |- )[|>][-+0-9]*(?: +#.*)?$`)
)

// seemings looks for look-alikes of blanks, quotes and marks where these are
// part of how the file is written: in an indentation, at the edge of a key or a
// value, round a text, between items. They are told at the first of them, with
// how many more there are, since who pastes one pastes many. nil where there
// are none.
func (r *reader) seemings() *Problem {
	l := &seeming{text: string(r.text), block: -1}
	if !strings.ContainsAny(l.text, blankSigns+quoteSigns+markSigns) {
		return nil
	}
	l.lines()
	if len(l.found) == 0 {
		return nil
	}
	c, _ := utf8.DecodeRuneInString(l.text[l.found[0]:])
	sign := lookalikes[c]
	p := r.problem(&repair{from: l.found[0]})
	p.Message = fmt.Sprintf("%s (%U) stands where a plain %s is needed", sign.name, c, sign.plain)
	switch p.Remedy = "write " + sign.plain + " in its place"; sign.plain {
	case " ":
		p.Message, p.Remedy = fmt.Sprintf("%s (%U) stands here, which only looks like a space", sign.name, c), "put a plain space in its place"
	case "":
		p.Message, p.Remedy = fmt.Sprintf("%s (%U) stands here, which cannot be seen", sign.name, c), "take it out"
	}
	if next := l.text[l.found[0]+utf8.RuneLen(c):]; sign.plain == ":" && next != "" && next[0] != ' ' {
		p.Remedy = "write : and a space in its place"
	}
	switch n := len(l.found) - 1; {
	case n == 1:
		p.Message += "; another look-alike of a plain sign follows"
	case n > 1:
		p.Message += fmt.Sprintf("; %d more look-alikes of plain signs follow", n)
	}
	return p
}

// seeming goes through a text, line by line.
type seeming struct {
	text  string
	found []int  // where look-alikes stand
	open  []byte // the brackets that are
	quote byte   // of a text that goes on from the line before, 0 for none
	block int    // how far in the key of a text below it stands, -1 for none
	key   bool   // a key may stand next
}

func (l *seeming) lines() {
	for from := 0; from < len(l.text); {
		end := from + before(l.text[from:], "\r\n")
		l.line(from, end)
		from = end + max(1, lineEnd([]byte(l.text[end:min(len(l.text), end+2)])))
	}
}

func (l *seeming) line(from, end int) {
	line := l.text[from:end]
	column := len(line) - len(strings.TrimLeft(line, " "))
	at := from + column
	switch {
	case l.quote != 0 || at == end || l.text[at] == '#':
	case l.block >= 0 && column > l.block:
		return
	default:
		l.block = -1
		if len(l.open) == 0 {
			for at+1 < end && l.text[at] == '-' && l.text[at+1] == ' ' {
				at += 2
			}
			l.shape(itemDash, at, end)
			l.key = true
		}
	}
	l.pieces(at, end)
	if len(l.open) == 0 && l.quote == 0 && blockHeader.MatchString(line) {
		l.block = column
	}
}

// pieces goes through what stands between the marks of a line.
func (l *seeming) pieces(from, end int) {
	for at := from; at <= end; at++ {
		if l.quote != 0 {
			if at = l.unquote(at, end); l.quote != 0 {
				return
			}
			from = at
		}
		if at == from && at < end {
			if to := l.quoted(at, end); to > at || l.quote != 0 {
				at, from = to-1, to
				continue
			}
		}
		if at == end || l.mark(at, end, from) {
			l.piece(from, min(at+1, end))
			if at == end || l.text[at] == '#' {
				return
			}
			l.turn(l.text[at])
			from = at + 1
		}
	}
}

// unquote is the byte behind the text in quotes that goes on at one.
func (l *seeming) unquote(at, end int) int {
	for ; at < end; at++ {
		switch c := l.text[at]; {
		case c == '\\' && l.quote == '"':
			at++
		case c == l.quote:
			l.quote = 0
			return at + 1
		}
	}
	return end
}

// quoted goes over a text in quotes that begins at a byte, with plain ones or
// with look-alikes.
func (l *seeming) quoted(at, end int) int {
	rest := l.text[at:end]
	if m := roundText.FindStringSubmatchIndex(rest); m != nil {
		l.found = append(l.found, at+m[2])
		if rest[m[4]] != '"' {
			l.found = append(l.found, at+m[4])
		}
		return at + m[5]
	}
	if m := halfRound.FindStringSubmatchIndex(rest); m != nil && !plainRound.MatchString(rest) {
		l.found = append(l.found, at+m[2])
		return at + m[3]
	}
	in := at + len(rest) - len(strings.TrimLeft(rest, " "))
	if in < end && (l.text[in] == '"' || l.text[in] == '\'') {
		l.quote = l.text[in]
		return l.unquote(in+1, end)
	}
	return at
}

// mark reports whether a plain mark stands at a byte.
func (l *seeming) mark(at, end, from int) bool {
	switch c := l.text[at]; {
	case c == '#':
		return at > 0 && l.text[at-1] == ' '
	case c == '{' || c == '[':
		return strings.TrimSpace(l.text[from:at]) == ""
	case c == '}' || c == ']' || c == ',':
		return len(l.open) > 0
	case c == ':':
		return at+1 == end || l.text[at+1] == ' '
	}
	return false
}

// turn goes over a mark.
func (l *seeming) turn(mark byte) {
	switch n := len(l.open); {
	case mark == '{' || mark == '[':
		l.open = append(l.open, mark)
	case (mark == '}' || mark == ']') && n > 0:
		l.open = l.open[:n-1]
	}
	n := len(l.open)
	l.key = n > 0 && l.open[n-1] == '{' && mark != ':'
}

// piece looks through what stands before a mark, with it.
func (l *seeming) piece(from, to int) {
	end := to
	if to > from && strings.IndexByte(",]}#", l.text[to-1]) >= 0 {
		end--
	}
	l.shape(blankEdge, from, end)
	if l.key {
		l.shape(blankKey, from, to)
		l.shape(wideColon, from, to)
	}
	l.shape(wideBracket, from, end)
	if len(l.open) > 0 {
		l.shape(wideComma, from, to)
		l.shape(wideCloser, from, end)
	}
}

// shape notes where a shape has look-alikes, each once.
func (l *seeming) shape(what *regexp.Regexp, from, to int) {
	m := what.FindStringSubmatchIndex(l.text[from:to])
	for i := 2; i < len(m); i += 2 {
		if at := from + m[i]; m[i] >= 0 && (len(l.found) == 0 || l.found[len(l.found)-1] < at) {
			l.found = append(l.found, at)
		}
	}
}
