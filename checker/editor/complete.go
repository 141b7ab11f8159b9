package editor

import (
	"bytes"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"kitgauge/checker/edit"
	"kitgauge/checker/units"
)

// completions looks at the text up to the byte as it stands, so that what is
// broken further down is of no account, and at the whole for what is there
// already.
func (v *View) completions(at int) []Completion {
	if at < 0 || at > len(v.text) {
		return nil
	}
	docs, end := scan(v.text[:at])
	if end.in == nil && end.at == nil {
		return v.atStart(at, len(docs))
	}
	c := &completer{View: v, at: at, docs: docs, spot: end}
	switch end.what {
	case aKey:
		if end.in.kind == list {
			return c.item(end.in, at, at)
		}
		return c.flowKeys(end)
	case aValue:
		return c.value(end)
	case between:
		if end.at.kind == scalar && end.at.quote == 0 {
			return c.units(c.whole(end.at), end.at.start)
		}
	case aLine:
		return c.line(end)
	}
	return nil
}

// atStart are the sections of a file that holds nothing yet.
func (v *View) atStart(at, docs int) []Completion {
	if docs > 0 || !isBlank(v.text) {
		return nil
	}
	root := &node{kind: group}
	c := &completer{View: v, at: at}
	l := look{v.form.site, v.rule()}
	if v.isJSON() {
		return c.wrapped(c.keys(root, l, at, at, writing{flow: true}), writing{}, "{", "}")
	}
	return c.keys(root, l, at, at, writing{})
}

// isJSON reports whether the file is JSON by its name: keys and texts stand in
// quotes then, and all else between brackets.
func (f *file) isJSON() bool { return strings.HasSuffix(f.path, ".json") }

// completer lists what can be written at one byte.
type completer struct {
	*View
	at   int
	docs []*node // of the text up to the byte
	spot spot
}

// whole is the value of the whole text that a value of the text up to the byte
// has become; that itself where there is none.
func (c *completer) whole(n *node) *node {
	if w := c.find(n); w != nil {
		return w
	}
	return n
}

func (c *completer) find(n *node) *node {
	if n.parent == nil {
		if i := slices.Index(c.docs, n); i >= 0 && i < len(c.View.docs) {
			return c.View.docs[i]
		}
		if len(c.docs) < len(c.View.docs) {
			return c.View.docs[len(c.docs)]
		}
		return nil
	}
	parent := c.find(n.parent)
	if parent == nil {
		return nil
	}
	for _, item := range parent.items {
		if item.keyFrom == n.keyFrom && item.dash == n.dash && (n.key != "" || n.parent.kind == group || n.dash > 0 || item.from == n.from) {
			return item
		}
	}
	return nil
}

// ---- keys

// writing is how something new is written at a place.
type writing struct {
	flow   bool
	before string // what has to stand before it
	after  string
	indent int // the column of the keys, in lines
}

// flowKeys are the keys of a group that are being written, between brackets or
// on a line of their own.
func (c *completer) flowKeys(end spot) []Completion {
	in := c.whole(end.in)
	from, to := end.from, c.at
	if from < 0 {
		from = c.at
	}
	w := writing{flow: in.flow, indent: in.column}
	var own *node
	if end.at != nil {
		own = c.whole(end.at)
		if own.keyFrom == from {
			to = max(to, own.keyTo)
		}
	}
	if in.flow && !c.closed(in, to) && (own == nil || !own.colon) {
		w.after = ", "
	}
	if in.flow && !c.begins(from) {
		w.before = ", "
	}
	return c.keys(in, c.look(in), from, to, w)
}

// begins reports whether an item between brackets can begin at a byte: behind
// the bracket, or a comma.
func (c *completer) begins(at int) bool {
	before := bytes.TrimRight(c.text[:at], " \t\r\n")
	return len(before) == 0 || bytes.IndexByte([]byte("{[,"), before[len(before)-1]) >= 0
}

// closed reports whether what comes next between brackets is a comma or their
// end, or nothing that belongs there.
func (c *completer) closed(in *node, at int) bool {
	rest := bytes.TrimLeft(c.text[at:], " \t\r\n")
	if len(rest) == 0 || bytes.IndexByte([]byte(",}]"), rest[0]) >= 0 {
		return true
	}
	return !slices.ContainsFunc(in.items, func(n *node) bool { return max(n.keyFrom, n.from) >= at && n.to > at })
}

// keys lists the members that a group can have and does not have yet.
func (c *completer) keys(in *node, l look, from, to int, w writing) []Completion {
	rule := l.rule.For(in.holds)
	if l.site.Keyed() {
		return c.named(in, l, from, to, w)
	}
	var list []Completion
	for _, key := range rule.Keys() {
		if there := in.get(key); there != nil && (there.keyFrom != from || from == to) {
			continue
		}
		m, name := l.member(in, key), c.key(key, in)
		out := Completion{Sort: Key, Label: key, Detail: m.rule.Title(), Doc: c.doc(m), Required: rule.Required(key), From: from, To: to}
		c.write(&out, in, m, name, w)
		list = append(list, out)
	}
	slices.SortStableFunc(list, func(a, b Completion) int { return rank(a.Required) - rank(b.Required) })
	if all, is := c.wholeOf(in, l, from, to, w); is {
		list = slices.Insert(list, 0, all)
	}
	return list
}

// key is a key as the group writes it.
func (c *completer) key(key string, in *node) string {
	if c.isJSON() || in.quotedKeys(c.text) {
		return `"` + key + `"`
	}
	return key
}

func rank(first bool) int {
	if first {
		return 0
	}
	return 1
}

// quotedKeys reports whether the keys of the group stand in quotes, as in JSON.
func (n *node) quotedKeys(text []byte) bool {
	for _, item := range n.items {
		if item.colon {
			return item.keyFrom < len(text) && text[item.keyFrom] == '"'
		}
	}
	return n.parent != nil && n.parent.kind == group && n.parent.quotedKeys(text)
}

// write writes a member with what begins its value, in the manner of others of
// its key.
func (c *completer) write(out *Completion, in *node, m look, name string, w writing) {
	if own := in.keyAt(out.From); own != nil && own.colon && out.From < out.To {
		out.Insert, out.Caret = w.before+name, len(w.before+name)
		return
	}
	open, closing := "", ""
	switch flow := w.flow || c.isJSON() || c.habit(out.Label); {
	case m.list() && (flow || !m.below(&node{parent: &node{kind: list}}).group()), m.site.Vector():
		open, closing = "[", "]"
	case m.group() && flow:
		open, closing = "{", "}"
	case c.isJSON() && m.rule.Kind() == "string" && !m.site.Count():
		open, closing = `"`, `"`
	case m.list():
		out.Insert = w.before + name + ":\n" + strings.Repeat(" ", w.indent+c.dashes()) + "- " + w.after
		out.Caret = len(out.Insert) - len(w.after)
		return
	case m.group():
		out.Insert = w.before + name + ":\n" + strings.Repeat(" ", w.indent+2) + w.after
		out.Caret = len(out.Insert) - len(w.after)
		return
	}
	out.Insert = w.before + name + ": " + open + closing + w.after
	out.Caret = len(w.before+name+": ") + len(open)
}

// keyAt is the member whose key begins at a byte.
func (n *node) keyAt(from int) *node {
	for _, item := range n.items {
		if item.keyFrom == from && item.keyTo > from {
			return item
		}
	}
	return nil
}

// habit reports whether the file writes what stands under a key between
// brackets: the first of them tells.
func (c *completer) habit(key string) bool {
	var found *node
	var walk func(n *node)
	walk = func(n *node) {
		for _, item := range n.items {
			if found != nil {
				return
			}
			if item.key == key && item.kind >= list {
				found = item
				return
			}
			walk(item)
		}
	}
	for _, d := range c.View.docs {
		walk(d)
	}
	return found != nil && found.flow
}

// dashes is how far the file indents lists below their keys.
func (c *completer) dashes() int {
	for _, d := range c.View.docs {
		for _, item := range d.items {
			if item.kind == list && !item.flow {
				return item.column
			}
		}
	}
	return 2
}

// ---- lines

// line is what can stand on a line of its own, at the column of the byte.
func (c *completer) line(end spot) []Completion {
	from := c.lineStart(c.at)
	stop := c.lineStop(c.at)
	if c.isJSON() || !isBlank(c.text[from:c.at]) || !isBlank(c.text[c.at:stop]) {
		return nil
	}
	column := c.at - from
	n := c.whole(end.in)
	if end.below && end.in.parent != nil {
		if out := c.under(n, column); out != nil {
			return out
		}
		n = n.parent
	}
	for ; n != nil; n = n.parent {
		switch {
		case n.flow:
			return nil
		case n.kind == group && n.column == column:
			return c.keys(n, c.look(n), c.at, c.at, writing{indent: column})
		case n.kind == list && n.column == column:
			return c.dashed(n, c.look(n), column)
		}
	}
	if column == 0 && len(c.View.docs) > 0 && c.View.docs[0].kind != group {
		return c.keys(&node{kind: group}, look{c.form.site, c.rule()}, c.at, c.at, writing{})
	}
	return nil
}

// under is what can stand below a key whose value is not there yet.
func (c *completer) under(n *node, column int) []Completion {
	owner := n.parent.column
	l := c.look(n)
	switch {
	case n.kind != nothing && n.column != column:
		return nil
	case n.kind != nothing:
		if n.kind == group {
			return c.keys(n, l, c.at, c.at, writing{indent: column})
		}
		return c.dashed(n, l, column)
	case n.parent.flow || column < owner || column == owner && !l.list():
		return nil
	case l.list():
		return c.dashed(n, l, column)
	case column == owner:
		return nil
	case l.group():
		return c.keys(&node{kind: group, parent: n, column: column}, l, c.at, c.at, writing{indent: column})
	}
	return nil
}

// dashed are items of a list in lines, each with its dash.
func (c *completer) dashed(n *node, l look, column int) []Completion {
	item := &node{parent: n, index: len(n.items)}
	if n.kind == nothing {
		item.parent = &node{kind: list, parent: n.parent, key: n.key}
	}
	return c.begun(item, l.below(item), c.at, c.at, writing{before: "- ", indent: column + 2, flow: n.flowItems()})
}

// flowItems reports whether the items of a list in lines stand between
// brackets.
func (n *node) flowItems() bool { return len(n.items) > 0 && n.items[0].flow }

// begun is what can stand where a value has not begun.
func (c *completer) begun(n *node, l look, from, to int, w writing) []Completion {
	switch {
	case l.group() && n.key == "" && !w.flow && !n.inFlow():
		return c.keys(&node{kind: group, parent: n.parent}, l, from, to, w)
	case l.group():
		return c.wrapped(c.keys(&node{kind: group, parent: n.parent}, l, from, to, writing{flow: true}), w, "{", "}")
	case l.site.Vector():
		return nil
	case l.list():
		item := &node{parent: &node{kind: list, parent: n.parent, key: n.key}}
		return c.wrapped(c.begun(item, l.below(item), from, to, writing{flow: true}), w, "[", "]")
	}
	list := c.words(n, l, from, to, 0)
	for i := range list {
		list[i].Insert = w.before + list[i].Insert
		list[i].Caret = len(list[i].Insert)
	}
	return list
}

// wrapped puts brackets round what is inserted.
func (c *completer) wrapped(list []Completion, w writing, open, closing string) []Completion {
	for i := range list {
		list[i].Sort = Item
		list[i].Insert = w.before + open + list[i].Insert + closing + w.after
		list[i].shift(len(w.before + open))
	}
	return list
}

func (v *View) lineStart(at int) int {
	for at > 0 && v.text[at-1] != '\n' && v.text[at-1] != '\r' {
		at--
	}
	return at
}

func (v *View) lineStop(at int) int {
	for at < len(v.text) && v.text[at] != '\n' && v.text[at] != '\r' {
		at++
	}
	return at
}

// ---- values

// item is what can stand as a new item between brackets.
func (c *completer) item(in *node, from, to int) []Completion {
	in = c.whole(in)
	item := &node{parent: in, index: len(in.items), from: from, to: to}
	w := writing{flow: true}
	if !c.closed(in, to) {
		w.after = ", "
	}
	if !c.begins(from) {
		w.before = ", "
	}
	list := c.begun(item, c.look(in).below(item), from, to, w)
	for i := range list {
		if !strings.HasSuffix(list[i].Insert, w.after) {
			list[i].Insert += w.after
		}
	}
	return list
}

// value is what can stand as the value of a member or an item.
func (c *completer) value(end spot) []Completion {
	n := c.whole(end.at)
	l := c.look(n)
	from, to := end.from, c.at
	if end.at.kind == scalar && end.at.quote == 0 && l.group() && c.ownLine(end.at) && !c.isJSON() {
		return c.firstKey(n, l, from)
	}
	if end.at.kind == scalar && end.at.quote == 0 && (l.group() || l.list()) && n.kind == scalar {
		return c.begun(n, l, from, max(n.to, c.at), writing{flow: true})
	}
	switch {
	case end.at.kind == scalar && n.kind == scalar && n.start == end.at.start:
		return c.words(n, l, n.start, max(n.to, c.at), end.at.quote)
	case end.at.kind == scalar:
		return c.words(n, l, from, to, end.at.quote)
	case n.kind >= list: // it stands on the lines below, or behind
		return nil
	}
	from = c.at
	if n.kind == scalar && n.from == n.start && n.from >= c.at && isBlank(c.text[c.at:n.from]) && c.lineStop(c.at) >= n.to {
		list := c.words(n, l, n.from, n.to, n.quote)
		for i := range list { // what is replaced begins where one types
			gap := string(c.text[c.at:n.from])
			list[i].From, list[i].Insert, list[i].Caret = c.at, gap+list[i].Insert, len(gap)+list[i].Caret
		}
		return list
	}
	if n.kind == scalar || !isBlank(c.text[c.at:c.lineStop(c.at)]) && !n.inFlow() {
		return nil
	}
	w := writing{flow: c.isJSON() || n.inFlow() || n.key == "" && n.parent.flowItems(), indent: n.parent.column + 2}
	if last := c.text[c.at-1]; last == ':' || last == '-' {
		w.before = " "
	}
	return c.begun(n, l, from, to, w)
}

// ownLine reports whether a word may be the first key of a group: it is all
// that the file holds, stands behind a dash, or on a line below the key.
func (c *completer) ownLine(n *node) bool {
	return n.parent == nil || n.dash > 0 || n.key != "" && !n.inFlow() && bytes.ContainsAny(c.text[n.keyTo:n.start], "\r\n")
}

// firstKey are the keys that can stand where the first of a group is being
// written.
func (c *completer) firstKey(n *node, l look, from int) []Completion {
	to, in := c.at, n
	if n.kind != group {
		in = &node{kind: group, parent: n.parent}
	} else if own := n.keyAt(from); own != nil {
		to = max(to, own.keyTo)
	}
	if n.kind == scalar && n.start == from {
		to = max(to, n.to)
	}
	return c.keys(in, l, from, to, writing{indent: from - c.lineStart(from)})
}

// words lists what a value can be; quote is the one in which it stands.
func (c *completer) words(n *node, l look, from, to int, quote byte) []Completion {
	var list []Completion
	add := func(s Sort, word, detail, doc string) {
		insert := word
		if !l.site.Flag() {
			insert = c.scalar(word, n, quote)
		}
		list = append(list, Completion{Sort: s, Label: word, Detail: detail, Doc: doc, From: from, To: to, Insert: insert, Caret: len(insert)})
	}
	switch t := l.site.Target(); {
	case t.Thing != "" && !l.site.List():
		c.things(n, l, t, add)
	case l.site.Names == seriesThing:
		c.series(n, add)
	case l.site.Names != "" && l.site.Count():
		add(Name, strconv.Itoa(c.next(n, l)), "the next that is free", "")
	case len(l.rule.Words()) > 0:
		there := n.taken(l.site.Names != "")
		for _, used := range []bool{false, true} {
			for _, word := range l.rule.Words() {
				if there[word] == used {
					add(Word, word, map[bool]string{true: "there already"}[used], "")
				}
			}
		}
	case l.site.Flag():
		add(Word, "true", "", "")
		add(Word, "false", "", "")
	default:
		return c.units(n, from)
	}
	return list
}

// taken are the names that the items beside the one of a value have, where the
// value is a name.
func (n *node) taken(name bool) map[string]bool {
	out := map[string]bool{}
	if !name || n.parent == nil || n.parent.parent == nil {
		return out
	}
	for _, item := range n.parent.parent.items {
		if item != n.parent && n.key != "" {
			out[item.say(n.key)] = true
		}
	}
	return out
}

// next is the number behind the highest in the list.
func (c *completer) next(n *node, l look) int {
	highest := 0
	if n.parent != nil && n.parent.parent != nil {
		for _, item := range n.parent.parent.items {
			if v, err := strconv.Atoi(item.say(l.site.Key)); err == nil && item != n.parent {
				highest = max(highest, v)
			}
		}
	}
	return highest + 1
}

// measured is a number with what stands behind it.
var measured = regexp.MustCompile(`^([+-]?\d[\d./]*(?:[eE][+-]?\d+)?(?: \d+/\d+)?) *([^\d]*)$`)

// units are those that can stand behind a number, those that the file uses for
// the key first.
func (c *completer) units(n *node, from int) []Completion {
	l := c.look(n)
	dim, has := l.site.Dimension(n.beside)
	typed := string(c.text[from:max(from, min(c.at, len(c.text)))])
	in := strings.TrimLeft(typed, `"'`)
	quote := typed[:len(typed)-len(in)]
	if c.isJSON() || quote == "" && n.parent != nil && n.parent.quotedKeys(c.text) {
		quote = `"`
	}
	m := measured.FindStringSubmatch(strings.TrimSpace(in))
	if !has || m == nil || n.parent == nil {
		return nil
	}
	accepted := units.Accepted(dim)
	if l.site.Spread {
		accepted = []string{"K"}
	}
	slices.SortStableFunc(accepted, func(a, b string) int { return c.uses(n, b) - c.uses(n, a) })
	var list []Completion
	for _, unit := range accepted {
		insert := quote + m[1] + " " + unit + quote
		list = append(list, Completion{Sort: Unit, Label: unit, Detail: dim.String(), From: from, To: max(n.to, c.at), Insert: insert, Caret: len(insert)})
	}
	return list
}

// beside is what stands under a key in the group of a value, or in the one
// that holds that.
func (n *node) beside(key string) string {
	for p := n.parent; p != nil; p = p.parent {
		if m := p.get(key); m != nil {
			return m.text
		}
	}
	return ""
}

// uses is how often the file has a unit under the key of a value.
func (c *completer) uses(n *node, unit string) int {
	key, count := n.member(), 0
	if key == nil {
		return 0
	}
	var walk func(n *node, in bool)
	walk = func(n *node, in bool) {
		in = in || n.key == key.key
		if in && n.kind == scalar && strings.HasSuffix(n.text, " "+unit) {
			count++
		}
		for _, item := range n.items {
			walk(item, in)
		}
	}
	walk(key.root(), false)
	return count
}

// scalar is a word as it is written at a place.
func (c *completer) scalar(word string, n *node, quote byte) string {
	if quote == 0 && (c.isJSON() || n.parent != nil && n.parent.quotedKeys(c.text)) {
		if number, err := strconv.Atoi(word); err != nil || strconv.Itoa(number) != word {
			quote = '"'
		}
	}
	return edit.Written(word, quote, n.inFlow() || n.parent != nil && n.parent.flow)
}
