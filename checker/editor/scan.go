package editor

import (
	"bytes"
	"strconv"
	"strings"

	"kitgauge/checker/source"
)

// node is a value of a text that need not be whole: what is not written yet
// has no bytes.
type node struct {
	parent         *node
	index          int // in parent.items
	items          []*node
	key            string // "" for an item of a list
	keyFrom, keyTo int
	colon          bool // something stands between key and value, or may
	from, to       int  // of the value
	start          int  // of a text: behind its anchor and its tag
	text           string
	kind           kind
	flow           bool // it stands between brackets itself
	quote          byte // ' or " or, for a block of text, |; 0 where there is none
	alias          bool // it is written as *name
	marked         bool // an anchor or a tag stands before it, and belongs to it
	column         int  // of a list or a group in lines: where its dashes or keys begin
	dash           int  // of an item of a list in lines
	open           bool // its end is missing
}

type kind uint8

const (
	nothing kind = iota
	scalar
	list
	group
)

// get is a member of a group.
func (n *node) get(key string) *node {
	if n == nil || n.kind != group {
		return nil
	}
	for _, item := range n.items {
		if item.key == key {
			return item
		}
	}
	return nil
}

// say is the text of a member, "" where there is none.
func (n *node) say(key string) string {
	if m := n.get(key); m != nil {
		return m.text
	}
	return ""
}

// holds is what stands under a key, the key itself where that is a group or a
// list; "" where nothing does.
func (n *node) holds(key string) string {
	m := n.get(key)
	if m == nil || m.kind < list {
		return n.say(key)
	}
	return key
}

// root is the whole document.
func (n *node) root() *node {
	for n.parent != nil {
		n = n.parent
	}
	return n
}

// member is the nearest value above, itself among them, that has a key.
func (n *node) member() *node {
	for n != nil && n.key == "" {
		n = n.parent
	}
	return n
}

// add puts a value into a list or a group.
func (n *node) add(item *node) *node {
	item.parent, item.index = n, len(n.items)
	n.items = append(n.items, item)
	return item
}

// spot is where a scan came to the end of its text: what is being written
// there.
type spot struct {
	what  what
	in    *node // the group or the list that is open
	at    *node // the value or the member that is being written; nil where it has not begun
	from  int   // where what is written of it begins
	below bool  // nothing stands between the key, or the dash, and the end but line ends
}

type what uint8

const (
	nowhere what = iota // in a remark, in a text of many lines
	aKey                // a key of the group in
	aValue              // the value at
	between             // behind a value
	aLine               // on a line of its own, where nothing stands yet
)

// scanner reads a text as YAML and goes on where that is broken: what stands
// at the end of a text that is cut off is as good as whole, and a bracket that
// is never closed ends where a line begins left of it. It holds no text to be
// right; package source does.
type scanner struct {
	text  string
	at    int
	end   spot // the first that came to the end of the text
	ended bool
	depth int
	owner int // the column of the key or the dash before a bracket that is open
}

// scan reads a text: a tree for each document, and what is being written at
// its end.
func scan(text []byte) ([]*node, spot) {
	s := &scanner{text: string(text)}
	if strings.HasPrefix(s.text, "\ufeff") {
		s.at = 3
	}
	var docs []*node
	for s.at < len(s.text) {
		before := s.at
		n := &node{}
		s.block(n, -1)
		if n.kind != nothing {
			docs = append(docs, n)
		}
		if s.at == before {
			s.at = s.lineStop(s.at)
			s.at += lineEnd(s.text[s.at:])
		}
	}
	return docs, s.end
}

// stop notes what is being written where the text ends.
func (s *scanner) stop(e spot) {
	if !s.ended && s.at >= len(s.text) {
		s.end, s.ended = e, true
	}
}

const deepest = 2 * source.MaxDepth

// ---- lines and blanks

func lineEnd(text string) int {
	switch {
	case strings.HasPrefix(text, "\r\n"):
		return 2
	case text != "" && (text[0] == '\n' || text[0] == '\r'):
		return 1
	}
	return 0
}

func (s *scanner) lineStart(at int) int { return strings.LastIndexAny(s.text[:at], "\r\n") + 1 }

func (s *scanner) lineStop(at int) int {
	if i := strings.IndexAny(s.text[at:], "\r\n"); i >= 0 {
		return at + i
	}
	return len(s.text)
}

// column is how far in a byte stands.
func (s *scanner) column(at int) int {
	from := s.lineStart(at)
	if from == 0 && strings.HasPrefix(s.text, "\ufeff") {
		from = 3
	}
	return at - from
}

func (s *scanner) peek() byte {
	if s.at < len(s.text) {
		return s.text[s.at]
	}
	return 0
}

// blanks goes over spaces; it reports whether it stands at a remark, or the
// end of the line.
func (s *scanner) blanks() (lineOver bool) {
	for s.peek() == ' ' || s.peek() == '\t' {
		s.at++
	}
	return s.at >= len(s.text) || lineEnd(s.text[s.at:]) > 0 || s.remark()
}

// remark reports whether a remark begins here.
func (s *scanner) remark() bool {
	return s.peek() == '#' && (s.at == 0 || strings.IndexByte(" \t\r\n", s.text[s.at-1]) >= 0)
}

// next goes to the next line that holds something; a remark is nothing. Where
// the text ends in a remark, nothing is being written.
func (s *scanner) next(e spot) {
	for s.at < len(s.text) {
		if !s.blanks() {
			return
		}
		if s.remark() {
			if s.at = s.lineStop(s.at); s.at >= len(s.text) {
				s.stop(spot{})
			}
		}
		s.at += lineEnd(s.text[s.at:])
	}
	s.stop(e)
}

// mark reports whether a document begins or ends here.
func (s *scanner) mark() bool {
	if s.column(s.at) != 0 {
		return false
	}
	rest := s.text[s.at:]
	return (strings.HasPrefix(rest, "---") || strings.HasPrefix(rest, "...")) && (len(rest) == 3 || strings.IndexByte(" \t\r\n", rest[3]) >= 0)
}

// dashed reports whether a dash of a list stands here.
func (s *scanner) dashed() bool {
	return s.peek() == '-' && (s.at+1 >= len(s.text) || strings.IndexByte(" \t\r\n", s.text[s.at+1]) >= 0)
}

// ---- blocks

// block reads what stands on the lines from here on, further in than indent.
func (s *scanner) block(n *node, indent int) {
	s.next(spot{what: aLine, in: n, from: s.at, below: true})
	for indent < 0 && s.mark() && s.at < len(s.text) {
		if n.kind != nothing {
			return
		}
		s.at += 3
		if s.blanks() {
			s.next(spot{what: aLine, in: n, from: s.at, below: true})
		}
	}
	if s.at >= len(s.text) || indent >= 0 && s.mark() || s.column(s.at) <= indent {
		return
	}
	s.content(n, indent)
}

// content reads a value that begins here; what belongs to it below stands
// further in than indent.
func (s *scanner) content(n *node, indent int) {
	if s.depth++; s.depth > deepest {
		s.at = len(s.text)
		s.ended = true
		s.depth--
		return
	}
	defer func() { s.depth-- }()
	s.properties(n)
	switch {
	case s.dashed():
		s.list(n)
	case s.keyAhead():
		s.group(n)
	case s.blanks():
		s.block(n, indent)
	default:
		s.value(n, indent)
	}
}

// properties goes over an anchor and a tag.
func (s *scanner) properties(n *node) {
	for s.peek() == '&' || s.peek() == '!' {
		if !n.marked {
			n.from, n.marked = s.at, true
		}
		for s.at < len(s.text) && strings.IndexByte(" \t\r\n,[]{}", s.text[s.at]) < 0 {
			s.at++
		}
		s.blanks()
	}
}

// list reads the items of a list in lines.
func (s *scanner) list(n *node) {
	column := s.column(s.at)
	n.kind, n.column, n.from = list, column, s.at
	for s.at < len(s.text) && s.dashed() && s.column(s.at) == column && !s.mark() {
		item := n.add(&node{dash: s.at})
		s.at++
		item.from, item.to, n.to = s.at, s.at, s.at
		if s.at >= len(s.text) {
			s.stop(spot{what: aValue, in: n, at: item, from: s.at})
			return
		}
		s.behind(item, column)
		n.to = max(n.to, item.to)
		s.next(spot{what: aLine, in: n, from: s.at})
	}
}

// behind reads the value behind a colon or a dash: on its line, or below it.
func (s *scanner) behind(n *node, indent int) {
	if !s.blanks() {
		s.content(n, indent)
		return
	}
	if s.at >= len(s.text) {
		s.stop(spot{what: aValue, in: n.parent, at: n, from: s.at})
		return
	}
	if s.remark() && s.lineStop(s.at) >= len(s.text) {
		s.at = len(s.text)
		s.stop(spot{})
		return
	}
	s.next(spot{what: aLine, in: n, from: s.at, below: true})
	if n.key != "" && n.parent.column == indent && !s.mark() && s.dashed() && s.column(s.at) == indent {
		s.list(n) // a list may stand as far in as its key
		return
	}
	s.block(n, indent)
}

// group reads the members of a group in lines.
func (s *scanner) group(n *node) {
	column := s.column(s.at)
	n.kind, n.column, n.from = group, column, s.at
	for s.at < len(s.text) && s.column(s.at) >= column && !s.mark() {
		if s.column(s.at) > column && s.closers() {
			continue
		}
		if s.dashed() && s.column(s.at) == column {
			return // an item of the list that holds the group is further out
		}
		s.entry(n, column)
		s.next(spot{what: aLine, in: n, from: s.at})
	}
}

// closers goes over brackets that close nothing.
func (s *scanner) closers() bool {
	if c := s.peek(); c != '}' && c != ']' && c != ',' {
		return false
	}
	s.at++
	return true
}

// entry reads a member of a group in lines; a word without a colon is one that
// is being written.
func (s *scanner) entry(n *node, column int) {
	item := n.add(&node{keyFrom: s.at})
	if !s.keyAhead() {
		stop := s.lineStop(s.at)
		if i := strings.Index(s.text[s.at:stop], " #"); i >= 0 {
			stop = s.at + i
		}
		word := strings.TrimRight(s.text[s.at:stop], " \t")
		item.key, item.keyTo = word, s.at+len(word)
		item.from, item.to, n.to = item.keyTo, item.keyTo, item.keyTo
		if s.at = stop; s.at >= len(s.text) {
			s.stop(spot{what: aKey, in: n, at: item, from: item.keyFrom})
		}
		return
	}
	item.key = s.key()
	item.keyTo = s.at
	s.blanks()
	s.at++ // the colon
	item.colon, item.from, item.to, n.to = true, s.at, s.at, s.at
	s.behind(item, column)
	n.to = max(n.to, item.to)
}

// keyAhead reports whether a key with its colon stands here.
func (s *scanner) keyAhead() bool {
	at := s.at
	defer func() { s.at = at }()
	switch c := s.peek(); c {
	case 0, '{', '[', '}', ']', ',', '|', '>', '@', '`', '%':
		return false
	case '"', '\'':
		if _, closed := s.quoted(); !closed {
			return false
		}
		s.blanks()
		return s.colon()
	}
	stop := s.lineStop(at)
	for ; s.at < stop; s.at++ {
		if s.colon() {
			return s.at > at
		}
		if s.remark() {
			return false
		}
	}
	return false
}

// colon reports whether a colon stands here that ends a key.
func (s *scanner) colon() bool {
	return s.peek() == ':' && (s.at+1 >= len(s.text) || strings.IndexByte(" \t\r\n", s.text[s.at+1]) >= 0)
}

// key reads a key up to its colon.
func (s *scanner) key() string {
	if c := s.peek(); c == '"' || c == '\'' {
		text, _ := s.quoted()
		return text
	}
	from := s.at
	for s.at < len(s.text) && !s.colon() {
		s.at++
	}
	word := strings.TrimRight(s.text[from:s.at], " \t")
	s.at = from + len(word)
	return word
}

// ---- values

// value reads one that is no list and no group in lines.
func (s *scanner) value(n *node, indent int) {
	if !n.marked {
		n.from = s.at
	}
	switch c := s.peek(); {
	case c == '{' || c == '[':
		before := s.owner
		s.owner = indent
		s.brackets(n)
		s.owner = before
		s.rest(n)
	case c == '"' || c == '\'':
		s.inQuotes(n)
		s.rest(n)
	case c == '|' || c == '>':
		s.lines(n, indent)
	default:
		s.plain(n, indent)
	}
}

// rest goes over what stands behind a value on its line and does not belong
// there.
func (s *scanner) rest(n *node) {
	if s.blanks(); s.at >= len(s.text) {
		s.stop(spot{what: between, in: n.parent, at: n, from: n.to})
	}
	if lineEnd(s.text[s.at:]) == 0 {
		s.at = s.lineStop(s.at)
		s.stop(spot{})
	}
}

// inQuotes reads a text in quotes.
func (s *scanner) inQuotes(n *node) {
	n.kind, n.quote, n.start = scalar, s.peek(), s.at
	text, closed := s.quoted()
	n.text, n.to, n.open = text, s.at, !closed
	if !closed {
		s.stop(spot{what: aValue, in: n.parent, at: n, from: n.start})
	}
}

// quoted reads a text in quotes; one that is not closed ends with its line,
// unless it is closed further down, before a line with a key.
func (s *scanner) quoted() (string, bool) {
	quote, from := s.peek(), s.at
	var b strings.Builder
	stop := -1 // the end of the first line
	for s.at++; s.at < len(s.text); s.at++ {
		c := s.text[s.at]
		switch {
		case lineEnd(s.text[s.at:]) > 0:
			if stop < 0 {
				stop = s.at
			}
			s.at += lineEnd(s.text[s.at:])
			s.blanks()
			if s.dashed() || s.at < len(s.text) && s.text[s.at] != quote && s.unquotedKey() {
				s.at = stop
				return strings.TrimRight(s.text[from+1:stop], " "), false
			}
			b.WriteByte(' ')
			s.at--
		case quote == '"' && c == '\\' && s.at+1 < len(s.text):
			s.at++
			b.WriteByte(s.text[s.at])
		case c != quote:
			b.WriteByte(c)
		case quote == '\'' && strings.HasPrefix(s.text[s.at+1:], "'"):
			s.at++
			b.WriteByte(c)
		default:
			s.at++
			if text, err := strconv.Unquote(likeGo.Replace(s.text[from:s.at])); err == nil && quote == '"' {
				return text, true
			}
			return b.String(), true
		}
	}
	s.at = len(s.text)
	if stop >= 0 {
		s.at = stop
	}
	return b.String(), false
}

// likeGo writes the escapes of YAML as Go has them, where they differ.
var likeGo = strings.NewReplacer(`\\`, `\\`, `\e`, `\x1b`, `\/`, `/`, `\ `, ` `)

// unquotedKey reports whether a word and a colon begin a line.
func (s *scanner) unquotedKey() bool {
	at := s.at
	for at < len(s.text) && (s.text[at] == '_' || 'a' <= s.text[at] && s.text[at] <= 'z') {
		at++
	}
	rest := s.text[at:]
	return at > s.at && (strings.HasPrefix(rest, ": ") || strings.HasPrefix(rest, ":\n") || strings.HasPrefix(rest, ":\r"))
}

// lines reads a text that is written as a block below its key.
func (s *scanner) lines(n *node, indent int) {
	n.kind, n.quote, n.start = scalar, '|', s.at
	s.at = s.lineStop(s.at)
	n.to = s.at
	var b []string
	for s.at < len(s.text) {
		from := s.at + lineEnd(s.text[s.at:])
		stop := s.lineStop(from)
		line := s.text[from:stop]
		if strings.TrimSpace(line) != "" {
			if len(line)-len(strings.TrimLeft(line, " ")) <= indent {
				break
			}
			b = append(b, strings.TrimSpace(line))
			n.to = stop
		}
		if stop >= len(s.text) && s.at < len(s.text) {
			s.at = stop
			break
		}
		s.at = stop
	}
	n.text = strings.Join(b, " ")
	s.stop(spot{})
}

// plain reads a text without quotes, with the lines on which it goes on.
func (s *scanner) plain(n *node, indent int) {
	n.kind, n.alias, n.start = scalar, s.peek() == '*', s.at
	n.text = s.plainLine()
	n.to = s.at
	s.stop(spot{what: aValue, in: n.parent, at: n, from: n.start})
	if at := s.at; true {
		if s.blanks(); s.at >= len(s.text) {
			s.stop(spot{what: between, in: n.parent, at: n, from: n.start})
			return
		}
		if s.remark() {
			return
		}
		s.at = at
	}
	for {
		at := s.at
		s.next(spot{what: aLine, in: n.parent, from: s.at})
		if s.at >= len(s.text) || s.column(s.at) <= indent || s.keyAhead() || s.mark() || indent < 0 && s.dashed() {
			return
		}
		if strings.Contains(s.text[at:s.at], "#") {
			return // a remark ends it
		}
		n.text += " " + s.plainLine()
		n.to = s.at
		s.stop(spot{})
	}
}

// plainLine reads the rest of the line, without a remark.
func (s *scanner) plainLine() string {
	from, stop := s.at, s.lineStop(s.at)
	for ; s.at < stop; s.at++ {
		if s.remark() {
			break
		}
	}
	text := strings.TrimRight(s.text[from:s.at], " \t")
	s.at = from + len(text)
	return text
}

// ---- brackets

// brackets reads a list or a group between brackets.
func (s *scanner) brackets(n *node) {
	n.flow, n.kind, n.from = true, list, s.at
	if s.peek() == '{' {
		n.kind = group
	}
	if s.depth++; s.depth > deepest {
		s.at, s.ended = len(s.text), true
		s.depth--
		return
	}
	defer func() { s.depth-- }()
	s.at++
	for {
		n.to = s.at
		over := s.gap(spot{what: aKey, in: n, from: -1})
		c := s.peek()
		switch {
		case over || s.at >= len(s.text):
			n.open = true
			return
		case c == ',':
			s.at++
		case c == '}' || c == ']':
			if (c == '}') != (n.kind == group) && n.inFlow() {
				n.open = true // it closes one further out
				return
			}
			s.at++
			n.to = s.at
			return
		case n.kind == group:
			s.pair(n)
		default:
			item := n.add(&node{from: s.at, to: s.at})
			s.flowValue(item)
		}
	}
}

// inFlow reports whether a value stands between brackets of another.
func (n *node) inFlow() bool {
	for p := n.parent; p != nil; p = p.parent {
		if p.flow {
			return true
		}
	}
	return false
}

// gap goes over spaces, line ends and remarks between brackets. It reports
// whether a line begins that cannot belong there: further out than what the
// brackets belong to, or as far, with a key or a dash.
func (s *scanner) gap(e spot) (over bool) {
	for {
		if !s.blanks() {
			return false
		}
		if s.remark() {
			if s.at = s.lineStop(s.at); s.at >= len(s.text) {
				s.stop(spot{})
				return true
			}
		}
		end := lineEnd(s.text[s.at:])
		if end == 0 {
			e.from = len(s.text)
			s.stop(e)
			return true
		}
		stop := s.at
		s.at += end
		if s.owner >= 0 && s.outside() {
			s.at = stop
			return true
		}
	}
}

// outside reports whether the line that begins here stands outside of the
// brackets.
func (s *scanner) outside() bool {
	at := s.at
	defer func() { s.at = at }()
	return !s.blanks() && s.column(s.at) <= s.owner && (s.dashed() || s.unquotedKey())
}

// pair reads a member of a group between brackets; a word without a colon is
// one that is being written.
func (s *scanner) pair(n *node) {
	item := n.add(&node{keyFrom: s.at})
	if c := s.peek(); c == '"' || c == '\'' {
		item.key, _ = s.quoted()
	} else {
		item.key = s.flowWord()
	}
	item.keyTo = s.at
	item.from, item.to = s.at, s.at
	s.stop(spot{what: aKey, in: n, at: item, from: item.keyFrom})
	if item.keyTo == item.keyFrom { // a character that begins no key
		s.at++
		item.keyTo = s.at
		item.from, item.to = s.at, s.at
		return
	}
	before := s.at
	if s.gap(spot{what: between, in: n, at: item, from: item.keyTo}) {
		return
	}
	if s.peek() != ':' {
		s.at = before
		return
	}
	s.at++
	item.colon, item.from, item.to = true, s.at, s.at
	if s.gap(spot{what: aValue, in: n, at: item, from: -1}) || strings.IndexByte(",]}", s.peek()) >= 0 {
		return
	}
	s.flowValue(item)
}

// flowValue reads a value between brackets.
func (s *scanner) flowValue(n *node) {
	n.from, n.to = s.at, s.at
	s.properties(n)
	switch c := s.peek(); c {
	case '{', '[':
		s.brackets(n)
	case '"', '\'':
		s.inQuotes(n)
	case ',', '}', ']', 0:
		n.to = s.at
	default:
		n.kind, n.alias, n.start = scalar, c == '*', s.at
		from := s.at
		n.text = s.flowWord()
		n.to = s.at
		if n.to == from {
			s.at++ // a character that begins nothing
			n.to = s.at
		}
		s.lostComma(n, from)
		s.stop(spot{what: aValue, in: n.parent, at: n, from: n.start})
		at := s.at
		if s.blanks(); s.at >= len(s.text) {
			s.stop(spot{what: between, in: n.parent, at: n, from: n.start})
		}
		s.at = at
	}
}

// lostComma gives the last word of a text back to what comes after it, where
// that is a colon: {id: a hold: clip}.
func (s *scanner) lostComma(n *node, from int) {
	if s.peek() != ':' || n.parent == nil || n.parent.kind != group {
		return
	}
	if i := strings.LastIndexByte(n.text, ' '); i > 0 {
		n.text = strings.TrimRight(n.text[:i], " ")
		n.to = from + len(n.text)
		s.at = from + i
		return
	}
	s.at++ // a colon that separates nothing
}

// flowWord reads a text without quotes between brackets, up to what ends it.
func (s *scanner) flowWord() string {
	from, end := s.at, s.at
	var b strings.Builder
	for s.at < len(s.text) {
		c := s.text[s.at]
		if strings.IndexByte(",[]{}", c) >= 0 || s.remark() && s.at > from {
			break
		}
		if c == ':' && (s.at+1 >= len(s.text) || strings.IndexByte(" \t\r\n,[]{}", s.text[s.at+1]) >= 0) {
			break
		}
		if size := lineEnd(s.text[s.at:]); size > 0 {
			stop := s.at
			s.at += size
			if s.owner >= 0 && s.outside() {
				s.at = stop
				break
			}
			for !s.atWord() && s.at < len(s.text) {
				s.at++
			}
			if s.at >= len(s.text) || s.remark() {
				break
			}
			continue
		}
		if c != ' ' && c != '\t' {
			if b.Len() > 0 && end < s.at {
				b.WriteByte(' ')
			}
			b.WriteByte(c)
			end = s.at + 1
		}
		s.at++
	}
	s.at = end
	if !strings.ContainsAny(s.text[from:end], "\r\n") {
		return s.text[from:end]
	}
	return b.String()
}

func (s *scanner) atWord() bool { return strings.IndexByte(" \t\r\n", s.peek()) < 0 && s.peek() != 0 }

// isBlank reports whether a text is spaces and line ends alone.
func isBlank(text []byte) bool { return len(bytes.TrimSpace(text)) == 0 }
