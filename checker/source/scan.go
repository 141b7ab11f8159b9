package source

import (
	"bytes"
	"strconv"
	"strings"
	"unicode/utf16"
	"unicode/utf8"
)

// scanJSON reads a text that is one JSON value, a group or a list, without
// the YAML library, which takes ten times as long over it. It gives the tree
// that the library's reading gives, or nil wherever that could be another one
// or there is something to complain of: then the library reads the text. The
// one thing it reads that the library refuses is a pair of surrogates (RFC
// 8259, section 7).
//
// Where the text holds more values than are accepted up to where it stops, it
// is crowded: to hand it to the library would only take longer.
func scanJSON(file string, line int, text []byte) (_ *Document, crowded bool) {
	if start := bytes.TrimLeft(text, " \r\n"); len(start) == 0 || start[0] != '{' && start[0] != '[' {
		return nil, false
	}
	s := &scanner{text: string(text), line: line, doc: &Document{File: file, Text: text, first: line, lines: new(lines)}}
	s.space()
	s.doc.Root = s.value(nil, 0, 0)
	if s.doc.Root == nil || !s.end() {
		return nil, s.nodes > MaxNodes
	}
	s.doc.Values = s.nodes
	return s.doc, false
}

// longestKey is what the library takes for a key, counted in characters; here
// bytes, with the quotes and the spaces before the colon.
const longestKey = MaxKey

// scanner stands at a byte of the text. A nil *Node or a false result means
// that the scan gives up.
type scanner struct {
	text    string
	at      int
	line    int
	margin  int // where the line begins
	wide    int // bytes of the line, up to at, that only continue a character
	doc     *Document
	nodes   int
	slab    []Node
	items   []*Node  // of the groups and lists that are open
	members []Member // of the groups that are open
}

func (s *scanner) column() int { return s.at - s.margin - s.wide + 1 }

// peek is the byte at hand, 0 at the end: no JSON text holds a zero byte.
func (s *scanner) peek() byte {
	if s.at < len(s.text) {
		return s.text[s.at]
	}
	return 0
}

func (s *scanner) skip(c byte) bool {
	if s.peek() != c {
		return false
	}
	s.at++
	return true
}

// space goes over spaces and line ends. A tab, or a carriage return alone,
// is left to the library.
func (s *scanner) space() {
	for {
		switch {
		case s.peek() == ' ':
			s.at++
		case s.peek() == '\n':
			s.newline(1)
		case strings.HasPrefix(s.text[s.at:], "\r\n"):
			s.newline(2)
		default:
			return
		}
	}
}

func (s *scanner) newline(bytes int) {
	s.at += bytes
	s.line, s.margin, s.wide = s.line+1, s.at, 0
}

func (s *scanner) end() bool {
	s.space()
	return s.at == len(s.text)
}

func (s *scanner) node(parent *Node, index int) *Node {
	if len(s.slab) == 0 {
		s.slab = make([]Node, 128)
	}
	n := &s.slab[0]
	s.slab = s.slab[1:]
	n.Line, n.Column, n.doc, n.parent, n.index = s.line, s.column(), s.doc, parent, index
	return n
}

func (s *scanner) value(parent *Node, index, depth int) *Node {
	if s.nodes++; s.nodes > MaxNodes || depth > MaxDepth {
		return nil
	}
	n := s.node(parent, index)
	ok := false
	switch c := s.peek(); {
	case c == '{':
		n.Kind = Map
		ok = s.group(n, depth)
	case c == '[':
		n.Kind = List
		ok = s.list(n, depth)
	case c == '"':
		n.Kind, n.quoted = Text, true
		n.Scalar, ok = s.quoted()
	case c == '-' || '0' <= c && c <= '9':
		n.Kind = Number
		n.Scalar, ok = s.number()
	default:
		ok = s.word(n)
	}
	if !ok {
		return nil
	}
	return n
}

// group reads { "key": value, ... }.
func (s *scanner) group(n *Node, depth int) bool {
	items, members := len(s.items), len(s.members)
	s.at++
	s.space()
	for s.peek() != '}' {
		if len(s.items) > items {
			if !s.skip(',') {
				return false
			}
			s.space()
		}
		m := Member{Line: s.line, Column: s.column()}
		if !s.key(&m) {
			return false
		}
		item := s.value(n, len(s.items)-items, depth+1)
		if item == nil {
			return false
		}
		s.items, s.members = append(s.items, item), append(s.members, m)
		s.space()
	}
	s.at++
	n.Items = append(make([]*Node, 0, len(s.items)-items), s.items[items:]...)
	n.Members = append(make([]Member, 0, len(s.members)-members), s.members[members:]...)
	s.items, s.members = s.items[:items], s.members[:members]
	return unique(n.Members)
}

// key reads a key, its colon, and the space after it.
func (s *scanner) key(m *Member) bool {
	from, line := s.at, s.line
	if s.peek() != '"' {
		return false
	}
	key, ok := s.quoted()
	if !ok {
		return false
	}
	s.space()
	if s.line != line || s.at-from > longestKey || !s.skip(':') {
		return false
	}
	s.space()
	m.Key = key
	return true
}

// unique reports whether no key is given twice.
func unique(members []Member) bool {
	if len(members) > fewMembers {
		seen := make(map[string]bool, len(members))
		for i := range members {
			seen[members[i].Key] = true
		}
		return len(seen) == len(members)
	}
	for i := range members {
		for j := range i {
			if members[i].Key == members[j].Key {
				return false
			}
		}
	}
	return true
}

// list reads [ value, ... ].
func (s *scanner) list(n *Node, depth int) bool {
	items := len(s.items)
	s.at++
	s.space()
	for s.peek() != ']' {
		if len(s.items) > items {
			if !s.skip(',') {
				return false
			}
			s.space()
		}
		item := s.value(n, len(s.items)-items, depth+1)
		if item == nil {
			return false
		}
		s.items = append(s.items, item)
		s.space()
	}
	s.at++
	n.Items = append(make([]*Node, 0, len(s.items)-items), s.items[items:]...)
	s.items = s.items[:items]
	return true
}

// number reads a number as RFC 8259 writes it, if it is a finite one.
func (s *scanner) number() (string, bool) {
	from := s.at
	s.skip('-')
	if !s.skip('0') && !s.digits() {
		return "", false
	}
	if s.skip('.') && !s.digits() {
		return "", false
	}
	if s.peek() == 'e' || s.peek() == 'E' {
		s.at++
		if !s.skip('+') {
			s.skip('-')
		}
		if !s.digits() {
			return "", false
		}
	}
	text := s.text[from:s.at]
	_, err := strconv.ParseFloat(text, 64)
	return text, err == nil && len(text) <= MaxScalar && s.delimited()
}

func (s *scanner) digits() bool {
	from := s.at
	for '0' <= s.peek() && s.peek() <= '9' {
		s.at++
	}
	return s.at > from
}

// delimited reports whether a bare value ends here.
func (s *scanner) delimited() bool {
	return s.at == len(s.text) || strings.IndexByte(",]} \r\n", s.text[s.at]) >= 0
}

var words = []struct {
	text string
	kind Kind
}{{"true", Bool}, {"false", Bool}, {"null", Null}}

func (s *scanner) word(n *Node) bool {
	for _, w := range words {
		if strings.HasPrefix(s.text[s.at:], w.text) {
			s.at += len(w.text)
			n.Kind, n.Scalar = w.kind, w.text
			return s.delimited()
		}
	}
	return false
}

// quoted reads a text in quotes. One without escapes is not copied.
func (s *scanner) quoted() (string, bool) {
	s.at++
	from := s.at
	var b []byte // what was read before from, where there were escapes
	for s.at < len(s.text) {
		switch c := s.text[s.at]; {
		case c == '"':
			text := s.text[from:s.at]
			if b != nil {
				text = string(append(b, text...))
			}
			s.at++
			return text, len(text) <= MaxScalar
		case c == '\\':
			b = append(b, s.text[from:s.at]...)
			r, size := escaped(s.text[s.at:])
			if size == 0 {
				return "", false
			}
			b = utf8.AppendRune(b, r)
			s.at += size
			from = s.at
		case c < ' ' || c == 0x7f:
			return "", false
		case c < utf8.RuneSelf:
			s.at++
		default:
			r, size := utf8.DecodeRuneInString(s.text[s.at:])
			if steers(r) {
				return "", false
			}
			s.at, s.wide = s.at+size, s.wide+size-1
		}
	}
	return "", false
}

// steers tells the characters that the library takes for a line end or a
// mark, or refuses.
func steers(r rune) bool {
	return r <= 0x9f || r == 0x2028 || r == 0x2029 || r == 0xfeff || r == 0xfffe || r == 0xffff
}

// escaped reads an escape (RFC 8259, section 7); size 0 gives up.
func escaped(text string) (r rune, size int) {
	if len(text) < 2 {
		return 0, 0
	}
	if i := strings.IndexByte(`"\/bfnrt`, text[1]); i >= 0 {
		return rune("\"\\/\b\f\n\r\t"[i]), 2
	}
	r, ok := hex4(text)
	switch {
	case !ok:
		return 0, 0
	case !utf16.IsSurrogate(r):
		return r, 6
	}
	low, ok := hex4(text[6:])
	pair := utf16.DecodeRune(r, low)
	if !ok || pair == utf8.RuneError {
		return 0, 0
	}
	return pair, 12
}

// hex4 reads \uXXXX.
func hex4(text string) (rune, bool) {
	if len(text) < 6 || text[:2] != `\u` {
		return 0, false
	}
	n, err := strconv.ParseUint(text[2:6], 16, 32)
	return rune(n), err == nil
}
