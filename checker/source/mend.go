package source

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strings"
)

// mostMended is how many bytes of a text are looked through for the slip that
// keeps it from being read: ten times a large kit.
const mostMended = 1 << 20

// repair is one small change of a text, and what is said of the slip that it
// undoes.
type repair struct {
	from, to        int // the bytes that give way
	text            string
	message, remedy string
	at              int // where the slip is told, if not at from
}

func (c repair) done(text string) string { return text[:c.from] + c.text + text[c.to:] }

// slip looks for the slip of typing that keeps a text from being read: of the
// changes by a character that could undo it, the first of those with which the
// text fits furthest. nil where there is none, or, where the whole text has to fit, none that makes it
// fit.
func (r *reader) slip(whole bool) *Problem {
	if len(r.text) > mostMended {
		return nil
	}
	text := string(r.text)
	m := &mender{text: text, shape: r.shape, loose: readGrammar(text, false)}
	if m.loose == nil {
		return nil
	}
	m.b = m.loose
	if p := m.noValues(r); p != nil {
		return m.cutOff(r, p)
	}
	if strict := readGrammar(text, true); strict != nil && strict.at < m.loose.at {
		m.b = strict
		if c := m.best(); c != nil && readGrammar(c.done(text), false) == nil {
			return m.cutOff(r, r.problem(c))
		}
	}
	m.b = m.loose
	if c := m.best(); c != nil && (!whole || readGrammar(c.done(text), false) == nil) {
		return m.cutOff(r, r.problem(c))
	}
	return m.cutOff(r, nil)
}

// noValues is the problem of a list with commas and nothing between them: [, , ];
// nil where that is not what is wrong. Two commas on end are a slip of the finger
// and told as such; only who writes the file knows the values.
func (m *mender) noValues(r *reader) *Problem {
	if len(m.b.open) == 0 {
		return nil
	}
	from := m.b.open[len(m.b.open)-1].at
	inside := m.text[from+1:]
	end := strings.IndexAny(inside, "]}[{\"'\r\n#")
	if m.text[from] != '[' || end < 0 || inside[end] != ']' {
		return nil
	}
	parts := strings.Split(inside[:end], ",")
	for i, part := range parts[:len(parts)-1] {
		if strings.TrimSpace(part) == "" && (i == 0 || part != "") {
			l := &Document{File: r.file, Text: r.text, first: r.line}
			return &Problem{Pos: l.placeOf(from), Message: "values are missing between the commas of [" + inside[:end+1], Remedy: "write them, or leave the brackets empty until they are known"}
		}
	}
	return nil
}

func (r *reader) problem(c *repair) *Problem {
	at := c.from
	if c.at > 0 {
		at = c.at
	}
	l := &Document{File: r.file, Text: r.text, first: r.line}
	p := &Problem{Pos: l.placeOf(at), Message: c.message, Remedy: c.remedy}
	if text := string(r.text); (c.from < c.to || c.text != "") && readGrammar(c.done(text), false) == nil {
		if _, left := ParseAt(r.file, r.line, []byte(c.done(text))); len(left) == 0 {
			p.Repair = &Repair{c.from, c.to, c.text}
		}
	}
	return p
}

// placeOf is the place of a byte of the text.
func (d *Document) placeOf(at int) Pos {
	w := walker{text: string(d.Text), line: max(d.first, 1), column: 1}
	if strings.HasPrefix(w.text, "\ufeff") {
		w.text, at = w.text[len("\ufeff"):], max(0, at-len("\ufeff"))
	}
	w.advance(at)
	return Pos{d.File, w.line, w.column}
}

// mender makes the repairs that may undo a breach.
type mender struct {
	text  string
	shape Shape // what the file may hold
	b     *breach
	loose *breach // the breach that is to go
	list  []repair
}

// best is the first of the repairs with which the text fits furthest; nil
// where none gets further than without.
func (m *mender) best() *repair {
	m.list = nil
	m.propose()
	var best *repair
	reach := max(m.b.at, 0)
	for i := range m.list {
		c := &m.list[i]
		got := len(m.text) + 1
		if b := readGrammar(c.done(m.text), false); b != nil {
			got = m.reached(c, b)
		}
		if got > reach {
			best, reach = c, got
		}
		if reach > len(m.text) {
			break
		}
	}
	return best
}

// reached is how far a text fits with a repair: up to a breach, and no further
// than to what is open there.
func (m *mender) reached(c *repair, b *breach) int {
	at := b.at
	if b.fault == endOpen || b.fault == openQuote || b.fault == strayLine {
		at = b.from
	}
	if b.quote >= 0 && b.quote < b.last {
		if text := c.done(m.text); strings.Contains(text[b.quote:b.last], "\n") && strings.IndexByte(`"'`, text[b.last-1]) >= 0 {
			at = min(at, b.quote) // a text over several lines, and then what cannot stand behind it
		}
	}
	if at > c.from {
		at -= len(c.text) - (c.to - c.from)
	}
	return at
}

func (m *mender) add(from, to int, text, message, remedy string) {
	if from < 0 || to > len(m.text) || from > to {
		return
	}
	m.list = append(m.list, repair{from: from, to: to, text: text, message: message, remedy: remedy})
}

// propose lists the repairs, the likeliest first.
func (m *mender) propose() {
	b := m.b
	switch b.fault {
	case badTab:
		end := b.at
		for end < len(m.text) && (m.text[end] == '\t' || m.text[end] == ' ') {
			end++
		}
		m.list = append(m.list, repair{from: b.at, to: b.at, message: "a tab stands where the indentation should be", remedy: "indent with spaces"})
		return
	case badIndent:
		m.below()
		m.begun()
		m.half()
		m.headless()
		m.indent()
		return
	}
	m.below()
	m.begun()
	m.torn()
	if b.fault == afterValue && m.byte(b.at) == '#' {
		m.add(b.at, b.at, " ", "a space is missing before this remark", "put a space before #")
	}
	m.wordy()
	m.listHead()
	m.key()
	m.doubled()
	m.half()
	m.kind()
	m.remarks()
	m.close()
	m.commas()
	m.quotes()
	m.texts()
	m.opened()
	m.remark()
	m.extra()
}

func (m *mender) byte(at int) byte {
	if at < 0 || at >= len(m.text) {
		return 0
	}
	return m.text[at]
}

func (m *mender) line(at int) int {
	return 1 + strings.Count(m.text[:at], "\n") + strings.Count(m.text[:at], "\r") - strings.Count(m.text[:at], "\r\n")
}

func (m *mender) lineStart(at int) int { return 1 + strings.LastIndexAny(m.text[:at], "\r\n") }

func (m *mender) lineEnd(at int) int { return at + before(m.text[at:], "\r\n") }

// where says where something has to be put: at the end of a line, or behind
// what stands before.
func (m *mender) where(at int) string {
	if rest := strings.TrimSpace(m.text[at:m.lineEnd(at)]); rest == "" {
		return fmt.Sprintf("at the end of line %d", m.line(at))
	}
	if word := lastWord(m.text[m.lineStart(at):at]); word != "" {
		return "behind " + word
	}
	return "here"
}

// lastWord is what stands last in a text, between the marks of a group.
func lastWord(text string) string {
	text = strings.TrimRight(text, " ")
	from := strings.LastIndexAny(text, ",[]{}")
	if i := strings.LastIndex(text, ": "); i > from {
		from = i
	}
	word := strings.TrimSpace(text[from+1:])
	if len(word) > 40 {
		return ""
	}
	return word
}

func (m *mender) key() {
	b := m.b
	if b.fault != noColon && b.fault != looseLine && b.fault != noComma && b.fault != moreColons && b.fault != afterValue {
		return
	}
	from := b.from
	if b.fault == noComma {
		if n := len(b.open); n == 0 || b.open[n-1].state != wantsColon {
			return
		}
		from = b.open[len(b.open)-1].key
		m.add(b.last, b.last, ":", "no colon stands behind the key "+m.text[from:b.last], "put : "+m.where(b.last))
	}
	end := m.keyText(from)
	if c := m.byte(end); m.byte(end-1) == ':' && (c == '{' || c == '[') {
		m.add(end, end, " ", "no space stands behind the colon", "put a space behind "+m.text[from:end])
	}
	m.colons(from, m.text[from:end])
}

// keyText is where the text ends that should be a key and a value.
func (m *mender) keyText(from int) int {
	end := m.lineEnd(from)
	if len(m.b.open) > 0 {
		end = min(end, from+before(m.text[from:], ",{}[]"))
	}
	return from + len(strings.TrimRight(m.text[from:end], " \t"))
}

// colons proposes what makes key and value of a text in which the colon, or
// the space behind it, is missing.
func (m *mender) colons(from int, text string) {
	put := func(at, gives int, with, message string) {
		whole := text[:at] + with + strings.TrimLeft(text[at+gives:], " ")
		short, _, _ := strings.Cut(whole, ", ")
		m.add(from+at, from+len(text)-len(strings.TrimLeft(text[at+gives:], " ")), with, message, "write "+short)
		m.list[len(m.list)-1].at = from
	}
	if i := strings.IndexByte(text, '='); i > 0 {
		put(len(strings.TrimRight(text[:i], " ")), i+1-len(strings.TrimRight(text[:i], " ")), ": ", "= stands where a colon separates key and value")
	}
	if i := strings.IndexByte(text, ':'); i > 0 && i+1 < len(text) && text[i+1] != ' ' {
		if text[i+1] == ':' {
			put(i, 2, ": ", "two colons stand behind the key "+text[:i])
		} else {
			put(i, 1, ": ", "no space stands behind the colon")
		}
	}
	if i := strings.IndexByte(text, ' '); i > 0 && text[i-1] != ':' {
		put(i, 1, ": ", "no colon stands behind the key "+text[:i])
	}
	if m.b.fault == looseLine && strings.IndexByte(text, ' ') < 0 {
		put(len(text), 0, ":", "no colon stands behind the key "+text)
	}
}

// doubled proposes to take out one of two marks of a kind that stand side by
// side.
func (m *mender) doubled() {
	b := m.b
	at := []int{b.at, b.at - 1}
	for i := len(b.open) - 1; i >= 0 && i >= len(b.open)-3; i-- {
		at = append(at, b.open[i].at)
	}
	if b.quote >= 0 {
		at = append(at, b.quote, b.quote+1)
	}
	for p := b.last - 1; p >= 0 && p > b.last-4; p-- {
		at = append(at, p)
	}
	for _, p := range at {
		c := m.byte(p)
		if c == 0 || strings.IndexByte("{}[],:\"'", c) < 0 {
			continue
		}
		switch {
		case m.byte(p+1) == c:
			m.tooMany(p+1, c)
		case m.byte(p-1) == c:
			m.tooMany(p, c)
		case strings.IndexByte("}],", c) >= 0:
			if q := strings.TrimRight(m.text[:p], " \r\n"); strings.HasSuffix(q, string(c)) && b.fault != deeperLine {
				m.tooMany(p, c)
			}
		}
	}
	if b.fault == deeperLine {
		for p := b.last - 1; p > 0 && m.line(p) >= m.line(b.last)-1; p-- {
			if c := m.text[p]; c == '}' || c == ']' {
				m.tooMany(p, c)
			}
		}
	}
}

func (m *mender) tooMany(at int, c byte) {
	name := map[byte]string{',': "a comma", ':': "a colon", '"': "a quote", '\'': "a quote"}[c]
	if name == "" {
		name = "a bracket " + string(c)
	}
	m.add(at, at+1, "", name+" too many stands here", "take one "+string(c)+" out")
}

var counterpart = map[byte]byte{'{': '}', '[': ']', '}': '{', ']': '['}

// kind proposes the bracket that fits in place of the one that does not.
func (m *mender) kind() {
	n := len(m.b.open)
	if n == 0 {
		return
	}
	top := m.b.open[n-1]
	want := counterpart[m.text[top.at]]
	if c := m.byte(m.b.at); c == '}' || c == ']' {
		m.add(m.b.at, m.b.at+1, string(want), fmt.Sprintf("%c stands where the %c of line %d is to be closed", c, m.text[top.at], m.line(top.at)), fmt.Sprintf("write %c in its place", want))
	}
	for i := n - 1; i >= 0 && i >= n-2; i-- {
		o := m.b.open[i]
		c := m.text[o.at]
		other := map[byte]byte{'{': '[', '[': '{'}[c]
		m.add(o.at, o.at+1, string(other), fmt.Sprintf("%c stands where %c would", c, other), fmt.Sprintf("write %c in its place", other))
	}
}

// close proposes to close what is open.
func (m *mender) close() {
	b := m.b
	n := len(b.open)
	if n == 0 {
		return
	}
	top := b.open[n-1]
	want := string(counterpart[m.text[top.at]])
	message := fmt.Sprintf("the %c opened on line %d, column %d is not closed", m.text[top.at], m.line(top.at), top.at-m.lineStart(top.at)+1)
	if b.fault == strayLine {
		message += fmt.Sprintf("; line %d cannot belong to it", m.line(b.at))
	}
	put := func(at int) { m.add(at, at, want, message, "put "+want+" "+m.where(at)) }
	if m.byte(b.last-1) == ',' {
		put(len(strings.TrimRight(m.text[:b.last-1], " \r\n")))
		if b.fault == strayLine || b.fault == endOpen {
			put(b.last)
		}
	} else {
		put(b.last)
	}
	if c := m.byte(b.at); c == '{' || c == '"' { // the line that closes it is lost
		m.add(b.last, b.last, want+",", message, "put "+want+", "+m.where(b.last))
	}
	if b.fault == lonePair {
		put(len(strings.TrimRight(m.text[:max(b.from, 0)], " ,\r\n")))
	}
}

// commas proposes a comma, or one in place of a semicolon.
func (m *mender) commas() {
	b := m.b
	if len(b.open) == 0 {
		return
	}
	from := b.at
	if len(b.starts) > 0 {
		from = b.starts[len(b.starts)-1]
	}
	for i := min(b.at, len(m.text)) - 1; i >= from && i >= 0; i-- {
		if m.text[i] == ';' {
			m.add(i, i+1, ",", "a semicolon stands where a comma separates", "write , in its place")
		}
	}
	if m.byte(b.at) == ';' {
		m.add(b.at, b.at+1, ",", "a semicolon stands where a comma separates", "write , in its place")
	}
	put := func(at int) {
		m.add(at, at, ",", "a comma is missing before "+m.word(at), "put a comma "+m.where(at))
	}
	if b.fault == noComma || b.fault == lonePair || b.fault == strayLine {
		put(b.last)
	}
	if f := grouped.FindStringSubmatch(m.text[from:]); f != nil && strings.Count(m.text[from:from+before(m.text[from:], "]\r\n")], ",") == 2 && m.byte(m.b.open[len(m.b.open)-1].at) == '[' {
		m.add(from, from+len(f[0]), f[1]+f[2], "a space parts the number "+f[0], "write "+f[1]+f[2])
	}
	if numbers(m.text[from:]) > 0 {
		put(len(strings.TrimRight(m.text[:from+numbers(m.text[from:])], " \r\n")))
	}
	if word := strings.LastIndexAny(strings.TrimRight(m.text[from:max(from, b.at)], " "), " \n"); word > 0 {
		put(len(strings.TrimRight(m.text[:from+word], " \r\n")))
	}
}

// grouped is a number whose thousands a space parts.
var grouped = regexp.MustCompile(`^(-?[0-9]{1,3}) ([0-9]{3})\b`)

// word is the first of what stands behind a byte.
func (m *mender) word(at int) string {
	rest := strings.TrimLeft(m.text[at:], " ,\r\n")
	if word := strings.TrimSpace(rest[:before(rest, ",:{}[]\r\n")]); word != "" {
		return word
	}
	if rest == "" {
		return "the end"
	}
	return rest[:1]
}

// quotes proposes to close a text in quotes, to open one, or to leave them out.
func (m *mender) quotes() {
	b := m.b
	if b.quote >= 0 {
		m.closeQuote(b.quote)
	}
	if b.fault == openQuote && b.from != b.quote {
		m.closeQuote(b.from)
	}
	if b.fault == moreColons || b.fault == noComma || b.fault == noColon {
		m.openQuotes()
	}
	if b.fault == strayQuote {
		quote := m.text[b.at : b.at+1]
		opened := func(at int) {
			m.add(at, at, quote, "a quote is closed here that was not opened", "put "+quote+" before "+m.word(at))
			m.list[len(m.list)-1].at = at
		}
		opened(b.from)
		for i := len(b.starts) - 1; i >= 0 && i >= len(b.starts)-6; i-- {
			if m.line(b.starts[i]) >= m.line(b.at)-1 {
				opened(b.starts[i])
			}
		}
		m.add(b.at, b.at+1, "", "a quote too many stands here", "take one "+quote+" out")
	}
}

// openQuotes proposes a quote before a value on whose line one too many stands.
func (m *mender) openQuotes() {
	for i := len(m.b.starts) - 1; i >= 0 && i >= len(m.b.starts)-4; i-- {
		at := m.b.starts[i]
		if strings.Count(m.text[at:m.lineEnd(at)], `"`)%2 == 1 {
			m.add(at, at, `"`, "a quote is missing before "+m.word(at), `put " before `+m.word(at))
		}
	}
}

// closeQuote proposes the places on its line where a quote may end.
func (m *mender) closeQuote(from int) {
	quote := m.text[from : from+1]
	end := m.lineEnd(from)
	message := fmt.Sprintf("the quote opened on line %d, column %d is not closed", m.line(from), from-m.lineStart(from)+1)
	for at := from + 1; at <= end; at++ {
		if at == end || strings.IndexByte(",]}:", m.text[at]) >= 0 {
			stop := len(strings.TrimRight(m.text[:at], " "))
			m.add(stop, stop, quote, message, "put "+quote+" "+m.where(stop))
		}
	}
	m.inner(from)
	m.add(from, from+1, "", "a quote too many stands here", "take one "+quote+" out")
}

// opened proposes the bracket that would open what is closed here.
func (m *mender) opened() {
	b := m.b
	n := len(b.open)
	marks := "{["
	if c := m.byte(b.at); c == '}' || c == ']' {
		marks = string(counterpart[c])
	}
	var at []int
	if n > 0 || b.fault == noComma || b.fault == moreColons {
		at = append(at, b.from)
	}
	at = append(at, b.last)
	for i := len(b.starts) - 1; i >= 0; i-- {
		at = append(at, b.starts[i])
	}
	line := m.lineStart(b.at)
	first := line + len(m.text[line:]) - len(strings.TrimLeft(m.text[line:], " -"))
	at = append(at, first)
	for _, mark := range marks {
		for _, p := range at {
			put := string(mark)
			if m.byte(p-1) == ':' {
				put = " " + put
			}
			m.add(p, p, put, fmt.Sprintf("a %c is missing before %s", mark, m.word(p)), fmt.Sprintf("put %c before %s", mark, m.word(p)))
		}
	}
}

// extra proposes to take out what does not fit.
func (m *mender) extra() {
	b := m.b
	if c := m.byte(b.at); c != 0 && strings.IndexByte("{}[],\"'", c) >= 0 {
		m.add(b.at, b.at+1, "", fmt.Sprintf("%c does not fit here", c), "take it out")
	}
	for i := len(b.open) - 1; i >= 0 && i >= len(b.open)-3; i-- {
		at := b.open[i].at
		m.add(at, at+1, "", fmt.Sprintf("the %c opened on line %d is never closed", m.text[at], m.line(at)), fmt.Sprintf("take the %c out", m.text[at]))
	}
}

// indent proposes to indent a line as those beside it.
func (m *mender) indent() {
	b := m.b
	is := b.at - m.lineStart(b.at)
	m.section()
	if m.byte(b.at) == '-' { // what follows an item's dash stands two further in
		next := m.text[m.lineEnd(b.at):]
		next = strings.TrimLeft(next, "\r\n")
		inner := len(next) - len(strings.TrimLeft(next, " "))
		slices.SortStableFunc(b.columns, func(x, y int) int { return cmp.Compare(abs(inner-x-2), abs(inner-y-2)) })
	}
	for _, column := range b.columns {
		m.indented(b.at, is, column)
	}
	for _, line := range []int{b.before, b.level.line} {
		from := m.lineStart(line)
		if column := len(m.text[from:]) - len(strings.TrimLeft(m.text[from:], " ")); line < b.at {
			m.indented(from+column, column, column-(b.level.column-is))
			m.indented(from+column, column, is)
		}
	}
	for _, column := range b.ended {
		m.indented(b.dropped, b.dropped-m.lineStart(b.dropped), column)
	}
}

// section proposes to begin a section in the first column: the one that does
// not fit, or the last one before it that stands further in.
func (m *mender) section() {
	for end := m.lineEnd(m.b.at); end > 0; end = m.lineStart(end) - 1 {
		from := m.lineStart(end)
		line := m.text[from:end]
		key := strings.TrimLeft(line, " ")
		if name, _, is := strings.Cut(key, ":"); is && slices.Contains(m.shape.Sections, name) {
			m.indented(from+len(line)-len(key), len(line)-len(key), 0)
			return
		}
	}
}

func abs(n int) int { return max(n, -n) }

func (m *mender) indented(line, is, want int) {
	if want < 0 || want == is {
		return
	}
	from := m.lineStart(line)
	remedy := fmt.Sprintf("indent it by %d spaces", want)
	switch want {
	case 0:
		remedy = "begin it in the first column"
	case 1:
		remedy = "indent it by 1 space"
	}
	m.add(from, from+is, strings.Repeat(" ", want), fmt.Sprintf("the line is indented by %d, and those beside it by %d", is, want), remedy)
	m.list[len(m.list)-1].at = from + is
}
