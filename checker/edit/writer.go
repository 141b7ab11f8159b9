package edit

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"kitgauge/checker/source"
)

// writer makes one change of a document's text.
type writer struct {
	doc     *source.Document
	old     []byte
	end     string // how lines end
	strict  bool   // the text is JSON
	unit    int    // how far a group is indented in another
	dash    int    // how far a list is indented below its key
	splices []Splice
	index   int // where a new member goes
}

var errElsewhere = errors.New("it is written elsewhere in the file, and used here by an alias: change it by hand")
var errNoPlace = errors.New("this cannot be changed in place: change it by hand")

func newWriter(doc *source.Document) *writer {
	w := &writer{doc: doc, old: doc.Text, end: lineEndOf(doc.Text), strict: json.Valid(doc.Text), unit: 2, dash: 2}
	w.habits(doc.Root)
	return w
}

// habits looks how far groups and lists are indented, at the first of each.
func (w *writer) habits(root *source.Node) {
	unit, dash := -1, -1
	var look func(n *source.Node)
	look = func(n *source.Node) {
		if n.Flow() { // and so is all within it
			return
		}
		for i, item := range n.Items {
			if n.Kind == source.Map && !n.Borrowed() && !item.Borrowed() && len(item.Items) > 0 && !item.Alias() && !item.Flow() {
				key := n.Members[i].Column
				if item.Kind == source.Map && unit < 0 {
					unit = item.Members[0].Column - key
				}
				if at, ok := item.Items[0].Mark(); item.Kind == source.List && dash < 0 && ok {
					dash = w.column(at) - (key - 1)
				}
			}
			if unit < 0 || dash < 0 {
				look(item)
			}
		}
	}
	look(root)
	if unit > 0 {
		w.unit, w.dash = unit, unit
	}
	if dash >= 0 {
		w.dash = dash
	}
}

// column is how many characters stand before a byte in its line.
func (w *writer) column(at int) int {
	return utf8.RuneCount(w.old[lineStart(w.old, at):at])
}

func (w *writer) splice(from, to int, with string) {
	w.splices = append(w.splices, Splice{from, to, with})
}

// text is the text with what was spliced.
func (w *writer) text() []byte {
	slices.SortStableFunc(w.splices, func(a, b Splice) int { return cmp.Compare(a.From, b.From) })
	var out []byte
	at := 0
	for _, s := range w.splices {
		out = append(append(out, w.old[at:s.From]...), s.With...)
		at = s.To
	}
	return append(out, w.old[at:]...)
}

func (w *writer) change(c Change, v *source.Node) error {
	n := w.doc.Root.Lookup(c.At)
	if n != nil && c.Do != Insert {
		if n.Borrowed() {
			return errElsewhere
		}
		switch c.Do {
		case Remove:
			return w.remove(n)
		case Rename:
			return w.rename(n, c.Key)
		}
		return w.set(n, v)
	}
	holder := w.doc.Root.Lookup(up(c.At))
	if holder.Borrowed() || holder.Alias() {
		return errElsewhere
	}
	if c.Do == Insert {
		at, _ := strconv.Atoi(c.At[strings.LastIndexByte(c.At, '/')+1:])
		return w.insertItem(holder, at, v)
	}
	keys := source.Keys(c.At)
	return w.insertMember(holder, keys[len(keys)-1], v)
}

func (w *writer) rename(n *source.Node, key string) error {
	from, to, ok := n.KeySpan()
	if !ok {
		return errNoPlace
	}
	w.splice(from, to, w.key(key, quoteOf(w.old[from:to]), inFlow(n)))
	return nil
}

// quoteOf is the quote with which a piece begins, or 0.
func quoteOf(text []byte) byte {
	if len(text) > 0 && (text[0] == '"' || text[0] == '\'') {
		return text[0]
	}
	return 0
}

// inFlow reports whether a value stands between brackets.
func inFlow(n *source.Node) bool {
	for p := n.Parent(); p != nil; p = p.Parent() {
		if p.Flow() {
			return true
		}
	}
	return false
}

// own are the items of a list or a group that are written here.
func own(n *source.Node) []*source.Node {
	return slices.DeleteFunc(slices.Clone(n.Items), (*source.Node).Borrowed)
}

// start is the first byte of an item: of its dash or its key.
func start(n *source.Node) (int, bool) {
	if n.Parent().Kind == source.Map {
		from, _, ok := n.KeySpan()
		return from, ok
	}
	if n.Parent().Flow() {
		from, _, ok := n.Span()
		return from, ok
	}
	return n.Mark()
}

// set writes another value in the place of one.
func (w *writer) set(n, v *source.Node) error {
	from, to, ok := n.Span()
	if !ok {
		return errNoPlace
	}
	block := len(own(n)) > 0 && !n.Flow() && !n.Alias()
	style := w.styleFor(n)
	switch {
	case n.Parent() == nil:
		w.splice(from, to, w.rooted(v, block))
	case block && w.opens(v, n) && w.column(from) == w.firstColumn(n):
		w.splice(from, to, w.lines(v, w.column(from), style))
	case block:
		return w.setBlock(n, v, from, to, style)
	case w.opens(v, n):
		return w.open(n, v, from, to, style)
	case from == to:
		return w.setNothing(n, v, style)
	default:
		text := w.inline(v, inFlow(n), style.of(n, w))
		from += w.anchor(from, to)
		w.splice(from, to, text)
		w.keepColumns(n, to, utf8.RuneCount(w.old[from:to])-utf8.RuneCountInString(text))
	}
	return nil
}

// anchor is how many bytes the anchor of a value takes, with the blanks behind
// it: what it names is still there when another value stands in its place.
func (w *writer) anchor(from, to int) int {
	end := bytes.IndexAny(w.old[from:to], " \t\r\n")
	if end < 0 || w.old[from] != '&' {
		return 0
	}
	return to - from - len(bytes.TrimLeft(w.old[from+end:to], " \t\r\n"))
}

// rooted is a value as the whole document.
func (w *writer) rooted(v *source.Node, block bool) string {
	if block && len(v.Items) > 0 {
		return w.lines(v, 0, style{})
	}
	return w.inline(v, false, style{})
}

// firstColumn is the column of the first dash or key of a block.
func (w *writer) firstColumn(n *source.Node) int {
	at, ok := start(own(n)[0])
	if !ok {
		return -1
	}
	return w.column(at)
}

// setBlock puts a value on the line of its key, or its dash, in the place of
// lines below it.
func (w *writer) setBlock(n, v *source.Node, from, to int, s style) error {
	mark, ok := n.Mark()
	if !ok {
		return errNoPlace
	}
	text := w.inline(v, false, s)
	if lineStart(w.old, mark) == lineStart(w.old, from) {
		w.splice(from, to, text)
		return nil
	}
	w.splice(mark+1, mark+1, " "+text)
	w.cutLines(from, to)
	return nil
}

// cutLines takes the lines of a piece out, with what stands behind it; at the
// end of a file, the end of the line before.
func (w *writer) cutLines(from, to int) {
	first, after := lineStart(w.old, from), nextLine(w.old, to)
	if after == len(w.old) && lineStop(w.old, to) == after && first > 0 {
		first = lineStop(w.old, previous(w.old, first))
	}
	w.splice(first, after, "")
}

// previous is a byte of the line before the one that begins there.
func previous(text []byte, first int) int {
	if first > 1 && text[first-1] == '\n' && text[first-2] == '\r' {
		return first - 2
	}
	return first - 1
}

// opens reports whether a value is written below its key, in lines of its own.
func (w *writer) opens(v, at *source.Node) bool {
	return !w.strict && !inFlow(at) && len(v.Items) > 0 && !w.fits(v)
}

// open writes a value below its key, or behind its dash, in the place of one on
// the line.
func (w *writer) open(n, v *source.Node, from, to int, s style) error {
	mark, ok := n.Mark()
	if !ok {
		return errNoPlace
	}
	if n.Parent().Kind == source.List {
		column := w.column(mark) + 2
		w.splice(mark+1, to, " "+w.lines(v, column, s))
		return nil
	}
	w.splice(mark+1, to, "")
	stop := lineStop(w.old, to)
	w.splice(stop, stop, w.below(v, w.keyColumn(n), s))
	return nil
}

// keyColumn is how many characters stand before the key of a member.
func (w *writer) keyColumn(n *source.Node) int { return n.Parent().Members[n.Index()].Column - 1 }

// below is a value in lines of its own below a key at a column.
func (w *writer) below(v *source.Node, key int, s style) string {
	column := key + w.unit
	if v.Kind == source.List {
		column = key + w.dash
	}
	return w.end + strings.Repeat(" ", column) + w.lines(v, column, s)
}

// setNothing writes a value where none is written.
func (w *writer) setNothing(n, v *source.Node, s style) error {
	mark, ok := n.Mark()
	if !ok { // a key alone, between brackets
		_, to, ok := n.KeySpan()
		if !ok {
			return errNoPlace
		}
		w.splice(to, to, ": "+w.inline(v, inFlow(n), s))
		return nil
	}
	w.splice(mark+1, mark+1, " "+w.inline(v, inFlow(n), s))
	return nil
}
