package source

import (
	"bytes"
	"strings"
	"unicode/utf8"
)

// Span returns the bytes of its document's text in which a value is written,
// with its anchor, tag or quotes: those before to, from from on. It is false
// where that cannot be told. A value that is not written, as behind a: alone,
// takes no bytes.
func (n *Node) Span() (from, to int, ok bool) {
	if n == nil || n.doc == nil {
		return 0, 0, false
	}
	from = n.doc.byteAt(n.Line, n.Column)
	to, ok = n.end(from)
	return from, to, ok
}

// KeySpan is Span for the key under which a value stands; it is false where
// there is none, and where << takes the member over from another group.
func (n *Node) KeySpan() (from, to int, ok bool) {
	if n == nil || n.doc == nil || n.parent == nil || n.parent.Kind != Map || n.borrowed && !n.parent.borrowed {
		return 0, 0, false
	}
	m, text := n.parent.Members[n.index], n.doc.Text
	from = n.doc.byteAt(m.Line, m.Column)
	at := properties(text, from)
	switch {
	case at < len(text) && (text[at] == '"' || text[at] == '\''):
		to, ok = closed(text, at)
	case at < len(text) && text[at] == '*':
		to, ok = wordEnd(text, at), true
	default:
		to, ok = plainEnd(text, at, m.Key)
	}
	return from, to, ok
}

// End returns the place behind the last character of a value; where that
// cannot be told, the place of its first.
func (n *Node) End() Pos {
	pos := n.Pos()
	from, to, ok := n.Span()
	if !ok {
		return pos
	}
	w := walker{text: n.doc.indexed().text[from:to], line: n.Line, column: n.Column}
	w.advance(to - from)
	pos.Line, pos.Column = w.line, w.column
	return pos
}

// Alias reports whether a value is written as *name, for one that stands
// elsewhere.
func (n *Node) Alias() bool { return n.alias }

// Borrowed reports whether a value is written elsewhere: below an alias, or
// taken over by <<.
func (n *Node) Borrowed() bool { return n.borrowed }

// Flow reports whether a list or a group is written between brackets.
func (n *Node) Flow() bool {
	if n.doc == nil || n.alias || n.Kind != List && n.Kind != Map {
		return false
	}
	text := n.doc.Text
	at := properties(text, n.doc.byteAt(n.Line, n.Column))
	return at < len(text) && (text[at] == '{' || text[at] == '[')
}

// byteAt is the byte of the text at which a column of a line begins.
func (d *Document) byteAt(line, column int) int { return d.offset(d.indexed(), line, column) }

// properties is the first byte behind the anchor and the tag of a value.
func properties(text []byte, at int) int {
	for at < len(text) && (text[at] == '&' || text[at] == '!') {
		at = blanks(text, wordEnd(text, at))
	}
	return at
}

// wordEnd is the first byte behind a word that ends at a space, a line end or
// what stands between values.
func wordEnd(text []byte, at int) int {
	if i := bytes.IndexAny(text[at:], " \t\r\n,[]{}"); i >= 0 {
		return at + i
	}
	return len(text)
}

// blanks is the first byte behind spaces, line ends and remarks.
func blanks(text []byte, at int) int {
	for at < len(text) {
		switch c := text[at]; {
		case isSpace(rune(c)):
			at++
		case c == '#' && (at == 0 || isSpace(rune(text[at-1]))):
			at += len(bytes.TrimRight(firstLine(text[at:]), "\r\n"))
		default:
			return at
		}
	}
	return at
}

func firstLine(text []byte) []byte {
	if i := bytes.IndexAny(text, "\r\n"); i >= 0 {
		return text[:i]
	}
	return text
}

// end is the byte behind a value that begins at a byte.
func (n *Node) end(from int) (int, bool) {
	text := n.doc.Text
	at := properties(text, from)
	switch {
	case n.alias:
		return wordEnd(text, from), from < len(text) && text[from] == '*'
	case n.Kind == List || n.Kind == Map:
		return n.groupEnd(at)
	case n.quoted:
		return closed(text, at)
	case n.block:
		return n.blockEnd(at), true
	case at >= len(text) || bytes.IndexByte([]byte(",]} \t\r\n"), text[at]) >= 0:
		return from, n.Kind == Null // not written
	case n.Scalar == "": // a number that cannot be taken
		return wordEnd(text, at), true
	}
	return plainEnd(text, at, n.Scalar)
}

// groupEnd is where a list or a group ends: behind its bracket, or with its
// last item.
func (n *Node) groupEnd(at int) (int, bool) {
	text, end, ok := n.doc.Text, at+1, true
	flow := at < len(text) && (text[at] == '{' || text[at] == '[')
	last := n.lastOwn()
	if last != nil {
		_, end, ok = last.Span()
	}
	if !flow {
		return end, ok && last != nil
	}
	for end < len(text) && ok {
		end = blanks(text, end)
		if end < len(text) && text[end] != ',' {
			break
		}
		end++
	}
	return end + 1, ok && end < len(text) && text[end] == text[at]+2 // ] is [ and two, } is { and two
}

// lastOwn is the last item that is written here; nil where there is none.
func (n *Node) lastOwn() *Node {
	for i := len(n.Items) - 1; i >= 0; i-- {
		if n.borrowed || !n.Items[i].borrowed {
			return n.Items[i]
		}
	}
	return nil
}

// closed is the byte behind a text in quotes.
func closed(text []byte, at int) (int, bool) {
	quote := text[at]
	for at++; at < len(text); at++ {
		switch {
		case quote == '"' && text[at] == '\\':
			at++
		case text[at] != quote:
		case quote == '\'' && at+1 < len(text) && text[at+1] == '\'':
			at++
		default:
			return at + 1, true
		}
	}
	return at, false
}

// plainEnd is the byte behind a text without quotes: behind as many characters
// as it has, spaces aside, which may be folded.
func plainEnd(text []byte, at int, scalar string) (int, bool) {
	count := 0
	for _, r := range scalar {
		if !isSpace(r) {
			count++
		}
	}
	for count > 0 && at < len(text) {
		r, size := utf8.DecodeRune(text[at:])
		if at += size; !isSpace(r) {
			count--
		}
	}
	return at, count == 0
}

// blockEnd is the end of the last line of a text that is written as a block,
// with the empty lines that belong to it where a plus says so.
func (n *Node) blockEnd(at int) int {
	text := n.doc.Text
	header := firstLine(text[at:])
	end := at + len(bytes.TrimRight(beforeRemark(header), " \t"))
	keep := bytes.IndexByte(beforeRemark(header), '+') >= 0
	indent := -1
	for next := at + len(header); next < len(text); {
		from := next + lineEnd(text[next:])
		line := firstLine(text[from:])
		next = from + len(line)
		spaces := len(line) - len(bytes.TrimLeft(line, " "))
		if len(bytes.TrimSpace(line)) == 0 {
			if keep && next < len(text) {
				end = next
			}
			continue
		}
		if indent < 0 && spaces > n.parentIndent(at) {
			indent = spaces
		}
		if indent < 0 || spaces < indent {
			break
		}
		end = next
	}
	return end
}

// beforeRemark is the header of a block without a remark.
func beforeRemark(header []byte) []byte {
	line, _, _ := bytes.Cut(header, []byte(" #"))
	return line
}

// parentIndent is how far in that stands to which a block belongs: its key, or
// its dash.
func (n *Node) parentIndent(at int) int {
	switch {
	case n.parent == nil:
		return -1
	case n.parent.Kind == Map:
		return n.parent.Members[n.index].Column - 1
	}
	text := n.doc.Text
	for at > 0 && text[at] != '-' && text[at-1] != '\n' {
		at--
	}
	return at - 1 - strings.LastIndexByte(string(text[:at]), '\n')
}

// Mark returns the byte of what a value stands behind: the dash of an item of a
// list that is no flow, or the colon behind a key.
func (n *Node) Mark() (at int, ok bool) {
	if n.doc == nil || n.parent == nil {
		return 0, false
	}
	text, mark := n.doc.Text, byte(':')
	_, at, ok = n.KeySpan()
	if n.parent.Kind == List {
		mark = '-'
		if at, ok = properties(text, n.doc.byteAt(n.parent.Line, n.parent.Column)), true; n.index > 0 {
			_, at, ok = n.parent.Items[n.index-1].Span()
		}
	}
	at = blanks(text, at)
	return at, ok && at < len(text) && text[at] == mark
}

// Index is the place of a value in the list or the group that holds it.
func (n *Node) Index() int { return n.index }
