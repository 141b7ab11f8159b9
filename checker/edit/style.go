package edit

import (
	"bytes"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"

	"kitgauge/checker/source"
)

// style is how what is written looks: like a value of its sort beside it.
type style struct {
	quote byte         // round a text that needs none
	like  *source.Node // a group or a list of the sort; nil where there is none
	tight bool         // {"a":1}
}

func (s style) colon() string {
	if s.tight {
		return ":"
	}
	return ": "
}

func (s style) comma() string {
	if s.tight {
		return ","
	}
	return ", "
}

// of is the style with the quotes of the value that is replaced.
func (s style) of(n *source.Node, w *writer) style {
	if from, to, ok := n.Span(); ok && n.Kind == source.Text {
		s.quote = quoteOf(w.old[from+w.anchor(from, to) : to])
	}
	return s
}

// styleFor is the style in the place of a value.
func (w *writer) styleFor(n *source.Node) style {
	if n.Parent() == nil {
		return style{tight: w.tight()}
	}
	return w.styleIn(n.Parent(), n.Index(), n.Key())
}

// styleIn is the style of a new item or member of a group or a list.
func (w *writer) styleIn(holder *source.Node, at int, key string) style {
	s := style{tight: w.tight()}
	var beside []*source.Node
	if holder.Kind == source.Map {
		for _, other := range neighbours(holder) {
			if n := other.Get(key); n != nil && !n.Borrowed() {
				beside = append(beside, n)
			}
		}
	}
	if len(beside) == 0 {
		beside = own(holder)
	}
	s.quote = w.habit(beside)
	for _, n := range beside {
		if len(n.Items) > 0 && !n.Alias() && !n.Borrowed() {
			s.like = n
		}
	}
	return s
}

// tight reports whether JSON is written without spaces.
func (w *writer) tight() bool {
	return w.strict && bytes.Contains(w.old, []byte(`":`)) && !bytes.Contains(w.old, []byte(`": `))
}

// habit is the quote that all texts beside are in, 0 where one has none.
func (w *writer) habit(beside []*source.Node) byte {
	if w.strict {
		return '"'
	}
	var quote byte
	for _, n := range beside {
		from, to, ok := n.Span()
		if n.Kind != source.Text || !ok || n.Alias() {
			continue
		}
		q := quoteOf(w.old[from:to])
		if q == 0 || quote != 0 && q != quote {
			return 0
		}
		quote = q
	}
	return quote
}

// keyQuote is the quote of the keys of a group.
func (w *writer) keyQuote(group *source.Node, items []*source.Node) byte {
	if w.strict {
		return '"'
	}
	if len(items) == 0 {
		return 0
	}
	from, to, ok := items[len(items)-1].KeySpan()
	if !ok {
		return 0
	}
	return quoteOf(w.old[from:to])
}

// widest is how long a group or a list on one line may be.
const widest = 100

// fits reports whether a group or a list is written on one line: where it is
// short, and no list of groups.
func (w *writer) fits(v *source.Node) bool {
	if v.Kind == source.List {
		for _, item := range v.Items {
			if item.Kind == source.Map {
				return false
			}
		}
	}
	return utf8.RuneCountInString(w.inline(v, true, style{})) <= widest
}

// inline is a value on one line; like neighbours that are broken over lines, a
// group in JSON is.
func (w *writer) inline(v *source.Node, flow bool, s style) string {
	switch v.Kind {
	case source.List, source.Map:
		return w.bracketed(v, s)
	case source.Text:
		return w.quoted(v.Scalar, s.quote, flow)
	case source.Null:
		return "null"
	}
	return v.Scalar
}

func (w *writer) bracketed(v *source.Node, s style) string {
	open, closing := "[", "]"
	if v.Kind == source.Map {
		open, closing = "{", "}"
	}
	if len(v.Items) == 0 {
		return open + closing
	}
	before, between, after := w.broken(v, s)
	var b strings.Builder
	b.WriteString(open + before)
	for i, item := range v.Items {
		if i > 0 {
			b.WriteString("," + between)
		}
		inner := style{tight: s.tight, quote: w.innerQuote(v, i, s)}
		if v.Kind == source.Map {
			b.WriteString(w.key(v.Members[i].Key, w.likeKeys(s), true) + s.colon())
		}
		b.WriteString(w.inline(item, true, inner))
	}
	return b.String() + after + closing
}

// likeKeys is the quote of the keys of a group like the one to be written.
func (w *writer) likeKeys(s style) byte {
	if s.like != nil && s.like.Kind == source.Map {
		return w.keyQuote(s.like, own(s.like))
	}
	return w.habit(nil)
}

// innerQuote is the quote of an item of a value, as its neighbours have it.
func (w *writer) innerQuote(v *source.Node, i int, s style) byte {
	if v.Kind == source.Map && s.like != nil && s.like.Kind == source.Map {
		var beside []*source.Node
		for _, other := range append([]*source.Node{s.like}, neighbours(s.like)...) {
			if n := other.Get(v.Members[i].Key); n != nil {
				beside = append(beside, n)
			}
		}
		return w.habit(beside)
	}
	if v.Kind == source.List {
		return s.quote
	}
	return w.habit(nil)
}

// broken is what stands before, between and behind the items of a group like
// one beside it: line ends, where that has them.
func (w *writer) broken(v *source.Node, s style) (before, between, after string) {
	n := s.like
	between = s.comma()[1:]
	if n == nil || n.Kind != v.Kind || !n.Flow() {
		return "", between, ""
	}
	from, to, ok := n.Span()
	first, ok2 := start(own(n)[0])
	if !ok || !ok2 {
		return "", between, ""
	}
	for from < first && w.old[from] != '{' && w.old[from] != '[' {
		from++
	}
	inner := w.old[from+1 : first]
	_, end, _ := own(n)[len(own(n))-1].Span()
	tail := w.old[min(end, to-1) : to-1]
	switch {
	case !blank(inner) || !blank(tail):
		return "", between, ""
	case bytes.ContainsAny(inner, "\r\n"):
		return string(inner), string(inner), string(tail)
	case bytes.ContainsAny(tail, "\r\n"):
		return "", between, ""
	}
	return string(inner), between, string(tail)
}

// lines is a group or a list in lines, from a column on.
func (w *writer) lines(v *source.Node, column int, s style) string {
	if len(v.Items) == 0 || v.Kind < source.List {
		return w.inline(v, false, s)
	}
	indent := w.end + strings.Repeat(" ", column)
	var parts []string
	for i, item := range v.Items {
		inner := style{quote: w.innerQuote(v, i, s)}
		if s.like != nil && v.Kind == source.Map {
			inner.like = s.like.Get(v.Members[i].Key)
		}
		if v.Kind == source.List {
			if len(item.Items) > 0 && (w.fits(item) || !w.deep(item)) {
				parts = append(parts, "- "+w.inline(item, false, inner))
			} else {
				parts = append(parts, "- "+w.lines(item, column+2, inner))
			}
			continue
		}
		name := w.key(v.Members[i].Key, w.likeKeys(s), false)
		if w.goesBelow(item, inner) {
			parts = append(parts, name+":"+w.below(item, column, inner))
		} else {
			parts = append(parts, name+": "+w.inline(item, false, inner))
		}
	}
	return strings.Join(parts, indent)
}

// deep reports whether a group holds groups in lists.
func (w *writer) deep(v *source.Node) bool {
	for _, item := range v.Items {
		if len(item.Items) > 0 {
			return true
		}
	}
	return false
}

// key is a key as it is written.
func (w *writer) key(key string, quote byte, flow bool) string {
	if quote == 0 && !w.strict && plainKey(key, flow) {
		return key
	}
	return w.quoted(key, max(quote, '"'), flow)
}

func plainKey(key string, flow bool) bool {
	if key == "" || strings.TrimSpace(key) != key {
		return false
	}
	text := key + ": 1"
	if flow {
		text = "{" + text + "}"
	}
	docs, problems := source.Parse("", []byte(text))
	return len(problems) == 0 && len(docs) == 1 && docs[0].Root.Kind == source.Map && len(docs[0].Root.Items) == 1 && docs[0].Root.Members[0].Key == key && docs[0].Root.Get(key).Scalar == "1"
}

// quoted is a text as it is written: plain where it may be and its neighbours
// are, else between their quotes, or between double ones.
func (w *writer) quoted(text string, quote byte, flow bool) string {
	if w.strict {
		return Text(text)
	}
	single := "'" + strings.ReplaceAll(text, "'", "''") + "'"
	switch {
	case quote == 0 && !strings.HasPrefix(text, "?") && reads(text, text, flow) && !words[strings.ToLower(text)]:
		return text
	case quote == '\'' && reads(single, text, flow):
		return single
	}
	return Text(text)
}

// words are read as something else than a text, here or by others, where they
// are not in quotes.
var words = map[string]bool{"yes": true, "no": true, "on": true, "off": true, "y": true, "n": true, "true": true, "false": true, "null": true}

// reads reports whether what is written on one line is read as a text.
func reads(written, text string, flow bool) bool {
	if strings.ContainsAny(written, "\r\n\t") {
		return false
	}
	around := "- " + written
	if flow {
		around = "[" + written + "]"
	}
	docs, problems := source.Parse("", []byte(around))
	if len(problems) > 0 || len(docs) != 1 || docs[0].Root.Kind != source.List || len(docs[0].Root.Items) != 1 {
		return false
	}
	n := docs[0].Root.Items[0]
	return n.Kind == source.Text && n.Scalar == text && !n.Alias()
}

// columns pads a group on one line so that its members stand below those of its
// neighbours, where those stand in columns.
func (w *writer) columns(items []*source.Node, text string, v *source.Node, s style) string {
	if v.Kind != source.Map || len(items) < 2 || strings.ContainsAny(text, "\r\n") {
		return text
	}
	var b strings.Builder
	b.WriteString("{")
	padded := false
	like := style{like: items[0], tight: s.tight}
	for i, item := range v.Items {
		if i > 0 {
			column, any, ok := w.columnOf(items, v.Members[i].Key)
			if !ok {
				return text
			}
			padded = padded || any
			b.WriteString(",")
			b.WriteString(strings.Repeat(" ", max(1, column-utf8.RuneCountInString(b.String()))))
		}
		b.WriteString(w.key(v.Members[i].Key, w.keyQuote(items[0], own(items[0])), true) + s.colon())
		b.WriteString(w.inline(item, true, style{tight: s.tight, quote: w.innerQuote(v, i, like)}))
	}
	if !padded {
		return text
	}
	return b.String() + "}"
}

// columnOf is how far a member stands from the beginning of its group, where
// it is as far in all; padded tells that spaces make it so.
func (w *writer) columnOf(items []*source.Node, key string) (column int, padded, ok bool) {
	column = -1
	for _, n := range items {
		m := n.Get(key)
		if m == nil || m.Borrowed() || !n.Flow() {
			return 0, false, false
		}
		from, _, ok := n.Span()
		at, _, ok2 := m.KeySpan()
		if !ok || !ok2 || at < from || bytes.ContainsAny(w.old[from:at], "\r\n") {
			return 0, false, false
		}
		is := utf8.RuneCount(w.old[from:at])
		if column >= 0 && is != column {
			return 0, false, false
		}
		column, padded = is, padded || bytes.HasSuffix(w.old[from:at], []byte("  "))
	}
	return column, padded, true
}

// keepColumns makes up for what a value has become shorter, or longer, where
// the members behind it stand in a column.
func (w *writer) keepColumns(n *source.Node, to, shorter int) {
	group := n.Parent()
	if group.Kind != source.Map || n.Index()+1 >= len(group.Items) || group.Parent() == nil || group.Parent().Kind != source.List || shorter == 0 {
		return
	}
	next := group.Items[n.Index()+1]
	if _, padded, in := w.columnOf(group.Parent().Items, next.Key()); !in || !padded {
		return
	}
	at, _, _ := next.KeySpan()
	spaces := len(w.old[to:at]) - len(bytes.TrimRight(w.old[to:at], " "))
	if shorter > 0 {
		w.splice(at, at, strings.Repeat(" ", shorter))
		return
	}
	w.splice(at-min(-shorter, max(spaces-1, 0)), at, "")
}

// Written is a text as it is written in YAML between brackets or on a line:
// plain where it is read as itself then, or in a quote, 0 being none.
func Written(text string, quote byte, flow bool) string {
	if n, err := strconv.Atoi(text); err == nil && quote == 0 && strconv.Itoa(n) == text {
		return text
	}
	if quote == 0 && simple.MatchString(text) && !words[strings.ToLower(text)] {
		return text
	}
	return (&writer{}).quoted(text, quote, flow)
}

// simple are texts that are read as themselves wherever they stand: words need
// not be tried one by one.
var simple = regexp.MustCompile(`^[A-Za-z][A-Za-z0-9_./-]*(?: [A-Za-z0-9_./-]+)*$`)
