package source

import (
	"regexp"
	"slices"
	"strings"
)

// grammar reads how a text is put together, and no more: groups and lists by
// indentation or between brackets, keys, colons, commas, quotes. It takes what
// kit files hold and stops at the first thing that does not fit, a breach.
// The YAML library says whether a text can be read; where it cannot, this tells
// a slip of typing from what only comes of it further down.
type grammar struct {
	text    string
	bytes   []byte // the same
	strict  bool   // hold the lines between brackets to their indentation
	at      int
	levels  []level
	waits   bool // a key or a dash stands before, whose value may follow below
	plain   bool // the value before goes on in lines that stand further in
	open    []bracket
	starts  []int // where the last few values begin
	last    int   // behind the last thing that fits
	quote   int   // where the last text in quotes begins, -1 for none
	column  int   // of the key or the dash to which a value between brackets belongs, -1 for the document
	below   int   // where the last value begins that has no key on its line
	entered int   // the last line that a group or a list has
	closed  []int // how far in those stand that the last line ended
	dropped int   // the last line that ended any
	ended   []int // how far in those stand that it ended
	found   *breach

	seen, begun int // the line start last asked for, and where it was asked
}

// level is a group or a list without brackets that is open.
type level struct {
	column int
	list   bool
	line   int // where its first line begins
	lines  int // how many entries it has
}

// bracket is one that is open.
type bracket struct {
	at     int
	list   bool
	state  state
	column int  // how far in its line stands
	inner  int  // how far in its own lines stand, -1 while it has none
	key    int  // where the key begins whose colon is due
	first  bool // nothing stands in it yet
}

type state byte

const (
	wantsKey   state = iota // or an item
	wantsColon              // a key stands before
	wantsValue              // a colon stands before
	wantsComma              // or the closing bracket
)

// fault is what kind of breach it is.
type fault byte

const (
	strayLine   fault = iota // a line cannot belong to what is open
	deeperLine               // a line stands further in than those beside it
	endOpen                  // the text ends, and a bracket is open
	strayCloser              // a bracket closes another than is open, or none
	noComma                  // a value stands where a comma or a bracket would
	noValue                  // a comma stands behind nothing
	noColon                  // a key without a value
	moreColons               // a second colon in a value or a key
	groupAsKey               // a bracket where a key would stand
	openQuote                // the text ends inside quotes
	strayQuote               // a quote at the end of a text that does not begin with one
	badIndent                // a line stands between two levels, or too far in
	badTab                   // a tab in an indentation
	afterValue               // more stands behind a value
	badStart                 // a character that begins no value
	looseLine                // a line without a key in a group
	lonePair                 // a key in a list
)

// breach is where a text leaves the grammar.
type breach struct {
	fault   fault
	at      int       // what does not fit
	from    int       // where that begins: a bracket or a quote that is open, a key; at where nothing does
	open    []bracket // the brackets open there, the outermost first
	starts  []int     // where the last values before it begin
	last    int       // behind the last thing that fits
	quote   int       // where the last text in quotes before it begins, -1 for none
	columns []int     // how far in a line may have to stand
	level   level     // of a line that stands wrong
	before  int       // the line before that
	dropped int       // the last line that ended groups or lists
	ended   []int     // how far in those stand
}

// readGrammar returns the first breach of a text, nil where there is none.
func readGrammar(text string, strict bool) *breach {
	g := &grammar{text: text, bytes: []byte(text), strict: strict, quote: -1}
	if strings.HasPrefix(text, "\ufeff") {
		g.at = len("\ufeff")
	}
	for g.found == nil && g.nextLine() {
		g.line()
	}
	return g.found
}

// breach notes what does not fit. It is false for what cannot go on.
func (g *grammar) breach(f fault, at, from int) bool {
	if g.found == nil {
		starts := g.starts[max(0, len(g.starts)-12):]
		g.found = &breach{fault: f, at: at, from: from, open: append([]bracket(nil), g.open...),
			starts: append([]int(nil), starts...), last: g.last, quote: g.quote}
	}
	return false
}

// byte is the one at an offset, 0 behind the end.
func (g *grammar) byte(at int) byte {
	if at < 0 || at >= len(g.text) {
		return 0
	}
	return g.text[at]
}

func (g *grammar) indent(at int) int { return at - g.lineStart(at) }

// lineStart is where the line begins that holds an offset. They are mostly
// asked for in order, and a kit may stand on one line.
func (g *grammar) lineStart(at int) int {
	if at < g.seen {
		return 1 + strings.LastIndexAny(g.text[:at], "\r\n")
	}
	if i := strings.LastIndexAny(g.text[g.seen:at], "\r\n"); i >= 0 {
		g.begun = g.seen + i + 1
	}
	g.seen = at
	return g.begun
}

// lineEnd is where the line ends that holds an offset.
func (g *grammar) lineEnd(at int) int {
	if i := strings.IndexAny(g.text[at:], "\r\n"); i >= 0 {
		return at + i
	}
	return len(g.text)
}

// nextLine goes to the first character of the next line that says something.
func (g *grammar) nextLine() bool {
	for g.at < len(g.text) {
		g.spaces()
		switch c := g.byte(g.at); {
		case c == 0 && g.at >= len(g.text):
			return false
		case c == '\r' || c == '\n':
			g.at++
		case c == '#':
			g.at = g.lineEnd(g.at)
		case c == '\t' && strings.TrimSpace(g.text[g.at:g.lineEnd(g.at)]) == "":
			g.at = g.lineEnd(g.at)
		default:
			return true
		}
	}
	return false
}

func (g *grammar) spaces() {
	for g.byte(g.at) == ' ' {
		g.at++
	}
}

// gap goes over spaces and tabs within a line.
func (g *grammar) gap() {
	for c := g.byte(g.at); c == ' ' || c == '\t'; c = g.byte(g.at) {
		g.at++
	}
}

// lineOver reports whether nothing more stands on the line but a remark.
func (g *grammar) lineOver() bool {
	g.gap()
	c := g.byte(g.at)
	if c == '#' && g.at > 0 && isSpace(rune(g.text[g.at-1])) {
		g.at = g.lineEnd(g.at)
		return true
	}
	return g.at >= len(g.text) || c == '\r' || c == '\n'
}

// line reads a line of a group or a list without brackets, and what goes on
// below it.
func (g *grammar) line() {
	column := g.indent(g.at)
	switch rest := g.text[g.at:g.lineEnd(g.at)]; {
	case g.byte(g.at) == '\t':
		g.breach(badTab, g.at, g.at)
		return
	case column == 0 && (strings.HasPrefix(rest, "---") || strings.HasPrefix(rest, "...")):
		g.levels, g.waits, g.plain = nil, true, false
		if g.at += 3; !g.lineOver() {
			g.value(-1)
		}
		return
	case column == 0 && rest[0] == '%':
		g.at += len(rest)
		return
	}
	fresh := false // behind a dash: the first of what it holds
	for g.dash() {
		column = g.indent(g.at)
		if !g.enter(level{column: column, list: true, line: g.at}, fresh) {
			return
		}
		fresh = true
		g.at++
		g.last = g.at
		if g.lineOver() {
			g.waits, g.plain = true, false
			return
		}
	}
	g.entry(g.indent(g.at), fresh)
}

// dash reports whether the dash of an item stands here.
func (g *grammar) dash() bool {
	next := g.byte(g.at + 1)
	return g.byte(g.at) == '-' && (next == 0 || isSpace(rune(next)))
}

// entry reads a key and its value, or a value alone.
func (g *grammar) entry(column int, fresh bool) {
	g.properties()
	if end := g.keyEnd(); end >= 0 {
		if !g.enter(level{column: column, line: g.at}, fresh) || !g.key(g.text[g.at:end], g.at) {
			return
		}
		g.at = end
		g.gap()
		g.at++ // the colon
		g.last = g.at
		if g.lineOver() {
			g.waits, g.plain = true, false
			return
		}
		g.value(column)
		return
	}
	switch top := len(g.levels) - 1; {
	case fresh:
		g.below = g.at
		g.value(g.levels[top].column)
	case g.waits && (top < 0 || column > g.levels[top].column):
		g.below = g.at
		g.value(column - 1)
	case g.plain && top >= 0 && column > g.levels[top].column || g.plain && top < 0:
		g.at = g.lineEnd(g.at)
		g.last = g.at
	case top < 0:
		g.below = g.at
		g.value(column - 1)
	default:
		g.breach(looseLine, g.at, g.at)
		g.found.level = g.levels[top]
	}
}

// key holds a key to what keys look like.
func (g *grammar) key(key string, at int) bool {
	key = strings.TrimRight(key, " \t")
	switch {
	case strings.HasPrefix(key, `"`) || strings.HasPrefix(key, "'"):
		return true
	case strings.HasSuffix(key, ":"):
		return g.breach(moreColons, at+len(key), at)
	case strings.HasSuffix(key, `"`):
		return g.breach(strayQuote, at+len(key)-1, at)
	case bracketIn.MatchString(key):
		return g.breach(noColon, at, at)
	}
	return true
}

// bracketIn finds a bracket that begins a value within what should be a key.
var bracketIn = regexp.MustCompile(`[ :][{\[]`)

// enter goes to the level of a line: the one it stands in, or a new one.
func (g *grammar) enter(l level, fresh bool) bool {
	popped := false
	var left level
	g.closed = g.closed[:0]
	for !fresh && len(g.levels) > 0 && g.levels[len(g.levels)-1].column > l.column {
		left, popped = g.levels[len(g.levels)-1], true
		g.closed = append(g.closed, left.column)
		g.levels = g.levels[:len(g.levels)-1]
	}
	top := len(g.levels) - 1
	switch {
	case top < 0 && !popped && g.plain:
		return g.breach(looseLine, g.below, g.below) // a word alone, and then a group
	case fresh || top < 0 && !popped:
		g.levels = append(g.levels, l)
	case top < 0:
		return g.misplaced(l, left)
	case g.levels[top].column < l.column:
		if popped || !g.waits {
			if !popped {
				left = g.levels[top]
			}
			return g.misplaced(l, left)
		}
		g.levels = append(g.levels, l)
	case g.levels[top].list == l.list: // one more
	case l.list && g.waits && !popped:
		g.levels = append(g.levels, l) // a list as far in as its key
	case !l.list && top > 0 && g.levels[top-1].column == l.column:
		g.levels = g.levels[:top]
	default:
		return g.misplaced(l, g.levels[top])
	}
	g.levels[len(g.levels)-1].lines++
	if !fresh {
		g.entered = l.line
	}
	if popped {
		g.dropped, g.ended = l.line, append(g.ended[:0], g.closed...)
	}
	g.waits, g.plain = false, false
	return true
}

// misplaced is a line that stands wrong beside a level.
func (g *grammar) misplaced(l, beside level) bool {
	if g.plain && g.below > 0 && g.indent(g.below) == l.column && strings.IndexAny(g.text[g.below:g.last], "\r\n") < 0 {
		g.breach(looseLine, g.below, g.below) // that should be a key and a value
		g.found.level = beside
		return false
	}
	g.breach(badIndent, l.line, g.lineStart(l.line))
	g.found.before, g.found.dropped, g.found.ended = g.entered, g.dropped, slices.Clone(g.ended)
	g.found.level, g.found.columns = beside, append(append([]int(nil), g.closed...), beside.column)
	for i := len(g.levels) - 1; i >= 0; i-- {
		g.found.columns = append(g.found.columns, g.levels[i].column)
	}
	return false
}

// keyEnd is where the key ends that stands here, -1 where there is none.
func (g *grammar) keyEnd() int {
	line := g.text[:g.lineEnd(g.at)]
	at := g.at
	if c := g.byte(at); c == '"' || c == '\'' {
		end, ok := closed(g.bytes[:len(line)], at)
		if !ok {
			return -1
		}
		for at = end; at < len(line) && (line[at] == ' ' || line[at] == '\t'); at++ {
		}
		if at < len(line) && line[at] == ':' && (at+1 == len(line) || isSpace(rune(line[at+1])) || g.jsonLike(end)) {
			return end
		}
		return -1
	} else if c == '{' || c == '[' {
		return -1
	}
	for ; at < len(line); at++ {
		switch {
		case line[at] == ':' && (at+1 == len(line) || isSpace(rune(line[at+1]))):
			return at
		case line[at] == '#' && at > g.at && isSpace(rune(line[at-1])):
			return -1
		}
	}
	return -1
}

// jsonLike reports whether a colon behind a key in quotes needs no space.
func (g *grammar) jsonLike(int) bool { return len(g.open) > 0 }

// properties goes over the anchor and the tag of a value.
func (g *grammar) properties() {
	for c := g.byte(g.at); c == '&' || c == '!'; c = g.byte(g.at) {
		g.at = wordEnd(g.bytes, g.at)
		g.gap()
	}
}

// value reads the value that begins here; column is that of its key or dash.
func (g *grammar) value(column int) {
	g.properties()
	g.waits, g.plain = false, false
	if g.lineOver() {
		g.waits = true
		return
	}
	g.start()
	switch c := g.byte(g.at); {
	case c == '{' || c == '[':
		g.column = column
		if !g.brackets() {
			return
		}
		g.behind()
	case c == '"' || c == '\'':
		if !g.quoted() {
			return
		}
		g.behind()
	case c == '|' || c == '>':
		g.block(column)
	case strings.IndexByte("@`%,]}", c) >= 0:
		g.breach(badStart, g.at, g.at)
	default:
		g.text1()
	}
}

func (g *grammar) start() {
	g.starts = append(g.starts, g.at)
	if len(g.starts) > 64 {
		g.starts = append(g.starts[:0], g.starts[32:]...)
	}
}

// behind holds the rest of the line to nothing but a remark.
func (g *grammar) behind() {
	if !g.lineOver() {
		g.breach(afterValue, g.at, g.at)
	}
}

// text1 reads a text without quotes to the end of its line.
func (g *grammar) text1() {
	from, end := g.at, g.lineEnd(g.at)
	line := g.text[from:end]
	if i := strings.Index(line, " #"); i >= 0 {
		line = line[:i]
	}
	line = strings.TrimRight(line, " \t")
	if i := strings.Index(line, ": "); i >= 0 {
		g.breach(moreColons, from+i, from)
		return
	}
	if strings.HasSuffix(line, ":") {
		g.breach(moreColons, from+len(line)-1, from)
		return
	}
	g.stray(line, from)
	g.at, g.plain = end, true
	g.last = from + len(line)
}

// stray looks for what closes in a text without quotes and is not opened.
func (g *grammar) stray(text string, from int) {
	if odd(text) {
		g.breach(strayQuote, from+len(text)-1, from)
		return
	}
	if i := unopened(text); i >= 0 {
		g.breach(strayCloser, from+i, from)
	}
}

// odd reports whether a text without quotes ends with one, and not as in 3/4".
func odd(text string) bool {
	n := len(text)
	return n > 1 && text[n-1] == '"' && strings.Count(text, `"`) == 1 && (!digitByte(text[n-2]) || !strings.ContainsAny(text, " /"))
}

func digitByte(c byte) bool { return '0' <= c && c <= '9' }

// unopened is where a bracket ends a text that none begins in it, or -1.
func unopened(text string) int {
	n := len(text)
	if n == 0 || text[n-1] != ']' && text[n-1] != '}' || strings.ContainsAny(text, "[{") {
		return -1
	}
	return n - 1
}

// block goes over a text below its key.
func (g *grammar) block(column int) {
	for g.at = g.lineEnd(g.at); g.at < len(g.text); {
		from := g.at + lineEnd([]byte(g.text[g.at:min(len(g.text), g.at+2)]))
		end := g.lineEnd(from)
		line := g.text[from:end]
		in := len(line) - len(strings.TrimLeft(line, " "))
		if strings.TrimSpace(line) != "" && in <= column {
			return
		}
		g.at, g.last = end, end
	}
}

// quoted reads a text in quotes.
func (g *grammar) quoted() bool {
	end, ok := closed(g.bytes, g.at)
	g.quote = g.at
	if !ok {
		return g.breach(openQuote, len(g.text), g.at)
	}
	g.at, g.last = end, end
	return true
}
