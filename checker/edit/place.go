package edit

import (
	"bytes"
	"strings"

	"kitgauge/checker/source"
)

// remove takes an item or a member out.
func (w *writer) remove(n *source.Node) error {
	holder := n.Parent()
	items := own(holder)
	if len(items) == 1 {
		if len(holder.Items) > 1 {
			return errNoPlace // beside << alone
		}
		return w.set(holder, &source.Node{Kind: holder.Kind})
	}
	at := 0
	for items[at] != n {
		at++
	}
	from, ok := start(n)
	_, to, ok2 := n.Span()
	if !ok || !ok2 {
		return errNoPlace
	}
	to = max(to, from+1)
	if inFlow(n) {
		return w.removeFlow(items, at, from, to)
	}
	if _, key, isKey := n.KeySpan(); isKey {
		to = max(to, key)
	}
	if blank(w.old[lineStart(w.old, from):from]) {
		w.cutLines(from, to)
		return nil
	}
	next, ok := start(items[min(at+1, len(items)-1)])
	if !ok || next <= from {
		return errNoPlace
	}
	if blank(w.old[lineStop(w.old, to):next]) {
		w.splice(from, next, "")
		return nil
	}
	w.splice(len(bytes.TrimRight(w.old[:from], " ")), lineStop(w.old, to), "")
	return nil
}

// removeFlow takes an item out from between brackets, with one of the commas
// beside it; remarks stay.
func (w *writer) removeFlow(items []*source.Node, at, from, to int) error {
	if n := items[at]; n.Kind == source.Null { // perhaps not written
		if _, key, ok := n.KeySpan(); ok {
			to = max(key, min(to, w.written(n, key)))
		}
	}
	if at+1 < len(items) {
		next, ok := start(items[at+1])
		if !ok {
			return errNoPlace
		}
		if between := w.old[to:next]; bytes.IndexByte(between, '#') < 0 {
			w.splice(from, next, "")
			return nil
		}
		comma := to + w.comma(to, next)
		w.cutLineOr(from, comma+1)
		return nil
	}
	_, before, ok := items[at-1].Span()
	if !ok {
		return errNoPlace
	}
	if _, key, isKey := items[at-1].KeySpan(); isKey {
		before = max(before, key)
	}
	before = min(before, from)
	if bytes.IndexByte(w.old[before:from], '#') < 0 {
		if i := w.comma(before, from); i >= 0 {
			before += i
		}
		w.splice(before, to, "")
		return nil
	}
	comma := w.comma(before, from)
	if comma < 0 {
		return errNoPlace
	}
	w.splice(before+comma, before+comma+1, "")
	w.cutLineOr(from, to)
	return nil
}

// written is the end of a value that may be none: behind its colon.
func (w *writer) written(n *source.Node, key int) int {
	_, to, _ := n.Span()
	if from, _, _ := n.Span(); from < to {
		return to
	}
	if mark, ok := n.Mark(); ok {
		return mark + 1
	}
	return key
}

// comma is how far the first comma of a piece is from its beginning, those in
// remarks aside; -1 where there is none.
func (w *writer) comma(from, to int) int {
	remark := false
	for i, c := range w.old[from:to] {
		switch {
		case c == '#':
			remark = true
		case c == '\n' || c == '\r':
			remark = false
		case c == ',' && !remark:
			return i
		}
	}
	return -1
}

// cutLineOr takes the line of a piece out where it stands alone on it, else the
// piece.
func (w *writer) cutLineOr(from, to int) {
	rest := bytes.TrimSpace(w.old[to:lineStop(w.old, to)])
	if blank(w.old[lineStart(w.old, from):from]) && (len(rest) == 0 || rest[0] == '#') {
		w.cutLines(from, to)
		return
	}
	w.splice(from, to, "")
}

// insertItem puts an item into a list, before the one at an index.
func (w *writer) insertItem(list *source.Node, at int, v *source.Node) error {
	items := list.Items
	if len(items) == 0 && w.opens(&source.Node{Kind: source.List, Items: []*source.Node{v}}, list) && !inFlow(list) {
		return w.set(list, &source.Node{Kind: source.List, Items: []*source.Node{v}})
	}
	s := w.styleIn(list, at, "")
	if list.Flow() {
		return w.insertFlow(list, items, at, w.columns(items, w.inline(v, true, s), v, s))
	}
	if len(items) == 0 || inFlow(list) {
		return errNoPlace
	}
	beside := items[max(at-1, 0)]
	dash, ok := beside.Mark()
	if !ok {
		return errNoPlace
	}
	gap := w.gap(dash, beside)
	return w.insertLines(items, at, dash, "-"+gap+w.item(v, w.column(dash)+1+len(gap), items, s))
}

// gap is what stands between the dash and what follows it, where that is on its
// line.
func (w *writer) gap(dash int, n *source.Node) string {
	if from, to, ok := n.Span(); ok && from < to && blank(w.old[dash+1:from]) && lineStart(w.old, from) == lineStart(w.old, dash) {
		return string(w.old[dash+1 : from])
	}
	return " "
}

// item is a value behind a dash, as its neighbours are.
func (w *writer) item(v *source.Node, column int, items []*source.Node, s style) string {
	block := len(v.Items) > 0 && !w.fits(v)
	for _, n := range items {
		if n.Kind == v.Kind && len(n.Items) > 0 && !n.Alias() {
			block = !n.Flow() && len(v.Items) > 0
		}
	}
	if block {
		return w.lines(v, column, s)
	}
	return w.columns(items, w.inline(v, false, s), v, s)
}

// insertLines puts lines between items of a block, or below the last; first is
// where the one beside begins.
func (w *writer) insertLines(items []*source.Node, at, first int, text string) error {
	indent := strings.Repeat(" ", w.column(first))
	if at > 0 {
		_, to, ok := items[at-1].Span()
		if _, key, isKey := items[at-1].KeySpan(); isKey {
			to = max(to, key)
		}
		if mark, has := items[at-1].Mark(); has {
			to = max(to, mark+1)
		}
		if !ok {
			return errNoPlace
		}
		stop := lineStop(w.old, to)
		w.splice(stop, stop, w.apart(items)+w.end+indent+text)
		return nil
	}
	if line := lineStart(w.old, first); blank(w.old[line:first]) {
		w.splice(line, line, indent+text+w.end+w.apart(items))
		return nil
	}
	w.splice(first, first, text+w.end+indent)
	return nil
}

// apart are the empty lines that stand between the last two items, where
// nothing else does.
func (w *writer) apart(items []*source.Node) string {
	if len(items) < 2 {
		return ""
	}
	_, to, ok := items[len(items)-2].Span()
	next, ok2 := start(items[len(items)-1])
	if !ok || !ok2 || to > next {
		return ""
	}
	to = min(nextLine(w.old, to), next)
	if between := w.old[to:next]; blank(between) {
		return strings.Repeat(w.end, bytes.Count(between, []byte(w.end)))
	}
	return ""
}

// insertMember puts a member into a group, where others like it have it.
func (w *writer) insertMember(group *source.Node, key string, v *source.Node) error {
	items := own(group)
	w.index = w.indexFor(group, items, key)
	s := w.styleIn(group, w.index, key)
	name := w.key(key, w.keyQuote(group, items), inFlow(group) || group.Flow())
	if group.Flow() {
		return w.insertFlow(group, items, w.index, name+s.colon()+w.inline(v, true, s))
	}
	if len(items) == 0 || inFlow(group) {
		return errNoPlace
	}
	beside, _ := start(items[max(w.index-1, 0)])
	column := w.column(beside)
	text := name + ":"
	if w.goesBelow(v, s) {
		text += w.below(v, column, s)
	} else {
		text += " " + w.inline(v, false, s)
	}
	return w.insertLines(items, w.index, beside, text)
}

// goesBelow reports whether a new member is written below its key.
func (w *writer) goesBelow(v *source.Node, s style) bool {
	if len(v.Items) == 0 || w.strict {
		return false
	}
	if s.like != nil && len(s.like.Items) > 0 && s.like.Kind == v.Kind {
		return !s.like.Flow()
	}
	return !w.fits(v)
}

// indexFor is where a new member goes: behind the one that it follows in
// another group of the list, else last.
func (w *writer) indexFor(group *source.Node, items []*source.Node, key string) int {
	for _, other := range neighbours(group) {
		at := other.Get(key)
		if at == nil || at.Borrowed() {
			continue
		}
		for i := at.Index() - 1; i >= 0; i-- {
			for j, item := range items {
				if item.Key() == other.Members[i].Key {
					return j + 1
				}
			}
		}
	}
	return len(items)
}

// neighbours are the other groups of the list that holds one, the nearest
// before it first.
func neighbours(group *source.Node) []*source.Node {
	list := group.Parent()
	if list == nil || list.Kind != source.List {
		return nil
	}
	var out []*source.Node
	for i := group.Index() - 1; i >= 0; i-- {
		out = append(out, list.Items[i])
	}
	return append(out, list.Items[group.Index()+1:]...)
}

// insertFlow puts an item or a member between brackets.
func (w *writer) insertFlow(holder *source.Node, items []*source.Node, at int, text string) error {
	from, to, ok := holder.Span()
	if !ok {
		return errNoPlace
	}
	if len(items) == 0 {
		if len(holder.Items) > 0 {
			return errNoPlace
		}
		return w.insertFirst(from, to, text)
	}
	sep, ok := w.separator(items)
	if !ok {
		return errNoPlace
	}
	if at < len(items) {
		next, ok := start(items[at])
		w.splice(next, next, text+","+sep)
		if !ok {
			return errNoPlace
		}
		return nil
	}
	return w.append(items[len(items)-1], to, text, sep)
}

// insertFirst puts an item between brackets that hold none.
func (w *writer) insertFirst(from, to int, text string) error {
	open := to - 2
	for open > from && w.old[open] != '[' && w.old[open] != '{' {
		open--
	}
	if !blank(w.old[open+1 : to-1]) {
		w.splice(open+1, open+1, text)
		return nil
	}
	w.splice(open+1, to-1, text)
	return nil
}

// separator is what stands behind the comma between two items: spaces, or a
// line end with them.
func (w *writer) separator(items []*source.Node) (string, bool) {
	first, ok := start(items[0])
	if !ok {
		return "", false
	}
	gap := w.old[lineStart(w.old, first):first]
	if len(items) > 1 {
		second, ok := start(items[1])
		_, to, ok2 := items[0].Span()
		if _, key, isKey := items[0].KeySpan(); isKey {
			to = max(to, key)
		}
		if !ok || !ok2 {
			return "", false
		}
		to = min(to, second)
		gap = w.old[lineStart(w.old, second):second]
		if comma := w.comma(to, second); lineStart(w.old, second) <= to && comma >= 0 {
			return string(w.old[to+comma+1 : second]), true
		}
	}
	if blank(gap) && lineStart(w.old, first) > 0 {
		return w.end + string(gap), true
	}
	if w.strict && !bytes.ContainsAny(w.old, " ") {
		return "", true
	}
	return " ", true
}

// append puts an item behind the last between brackets, of which the closing
// one is the last byte before to.
func (w *writer) append(last *source.Node, to int, text, sep string) error {
	_, end, ok := last.Span()
	if !ok {
		return errNoPlace
	}
	if _, key, isKey := last.KeySpan(); isKey {
		end = w.written(last, max(end, key))
		if last.Kind != source.Null {
			_, end, _ = last.Span()
		}
	}
	comma := w.comma(end, to)
	if comma < 0 {
		w.splice(end, end, ",")
	} else {
		end, text = end+comma+1, text+","
	}
	at := end
	if rest := bytes.TrimSpace(w.old[end:min(lineStop(w.old, end), to)]); strings.ContainsAny(sep, "\r\n") && len(rest) > 0 && rest[0] == '#' {
		at = lineStop(w.old, end)
	}
	w.splice(at, at, sep+text)
	return nil
}
