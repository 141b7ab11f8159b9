package source

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
)

// The ways in which a line begins that is no line of a kit.
var (
	closeDash   = regexp.MustCompile(`^-([A-Za-z_"][^:]*:|[{\["])`)
	dashes      = regexp.MustCompile(`^(--+) `)
	twoDashes   = regexp.MustCompile(`^- (- +)[^-]`)
	otherBullet = regexp.MustCompile(`^([*•·◦▪+>]) +[A-Za-z{\["]`)
	pastedSign  = regexp.MustCompile(`^(?:([+>])|([0-9]+)[:|.)]?)( *)`)
	ruledOff    = regexp.MustCompile("^(?:-{4,}|={2,}|\\*{3,}|~{3,}|_{3,}|`{3}|//|/\\*)")
	dashed      = regexp.MustCompile(`^ *- `)
	wordsAlone  = regexp.MustCompile(`^[A-Za-z][^:{}\[\]]*$`)
)

// near gives where the lines begin in or beside which a slip may be: that of the
// breach, and those before which it shows.
func (m *mender) near() []int {
	b := m.b
	var list []int
	for _, at := range []int{b.at, b.before, b.dropped, b.level.line, b.last, b.from} {
		if at > len(m.text) || at < 0 {
			continue
		}
		if from := m.lineStart(at); !slices.Contains(list, from) && (at > 0 || from == m.lineStart(b.at)) {
			list = append(list, from)
		}
	}
	return list
}

// begun proposes another beginning of a line: of its dash, or without what
// pasting has put before it.
func (m *mender) begun() {
	for _, from := range m.near() {
		line := m.text[from:m.lineEnd(from)]
		in := len(line) - len(strings.TrimLeft(line, " "))
		body, at := line[in:], from+in
		if closeDash.MatchString(body) {
			m.add(at+1, at+1, " ", "no space stands behind the dash", "put a space behind -")
		}
		if f := dashes.FindStringSubmatch(body); f != nil {
			m.add(at+1, at+len(f[1]), "", "a dash too many stands here", "take "+f[1][1:]+" out")
		}
		if f := twoDashes.FindStringSubmatch(body); f != nil {
			m.add(at+2, at+2+len(f[1]), "", "a dash too many stands here", "take - out, with the space behind it")
		}
		if f := otherBullet.FindStringSubmatch(body); f != nil {
			m.add(at, at+len(f[1]), "-", f[1]+" stands where the dash of an item would", "write - in its place")
		}
		m.pasted(from, line)
		if ruledOff.MatchString(body) || m.prose(body) {
			m.add(at, at, "# ", "this line is no part of the file", "put # before it, or take it out")
		}
		m.swapped(from)
	}
	if next := m.nextLine(m.lineStart(min(m.b.at, len(m.text)))); next < len(m.text) {
		m.swapped(next)
	}
}

// prose reports whether a line holds words of which the first is no key.
func (m *mender) prose(body string) bool {
	word, _, more := strings.Cut(strings.TrimSpace(body), " ")
	return m.b.fault == looseLine && len(m.shape.Sections) > 0 && more && wordsAlone.MatchString(body) && !m.shape.has(strings.TrimRight(word, ";=")) && (word[0] >= 'A' && word[0] <= 'Z' || strings.HasSuffix(word, ","))
}

// pasted proposes to take out what a list of changes, a mail or a listing puts
// before a line.
func (m *mender) pasted(from int, line string) {
	f := pastedSign.FindStringSubmatch(line)
	if f == nil {
		return
	}
	message := map[string]string{"+": "+ stands before this line, as in a list of changes", ">": "> stands before this line, as in a mail"}[f[1]]
	if f[2] != "" {
		message = "a number stands before this line, as in a listing"
	}
	sign := strings.TrimRight(f[0], " ")
	if f[2] == "" {
		m.pastedLines(from, sign, message)
	}
	for n := 0; n <= min(4, len(f[3])); n++ {
		remedy := "take " + sign + " out"
		if n == 1 {
			remedy += ", with the space behind it"
		} else if n > 1 {
			remedy += fmt.Sprintf(", with %d spaces behind it", n)
		}
		m.add(from, from+len(sign)+n, "", message, remedy)
	}
}

// pastedLines proposes to take a sign out of all of several lines that begin
// with it.
func (m *mender) pastedLines(from int, sign, message string) {
	for from > 0 && strings.HasPrefix(m.text[m.lineStart(from-1):], sign) {
		from = m.lineStart(from - 1)
	}
	end, last := from, from
	for end < len(m.text) && strings.HasPrefix(m.text[end:], sign) {
		end, last = m.nextLine(end), end
	}
	if last == from {
		return
	}
	whole := "\n" + m.text[from:end]
	for _, out := range []string{sign, sign + " "} {
		remedy := fmt.Sprintf("take %s out of the lines %d to %d", sign, m.line(from), m.line(last))
		if out != sign {
			remedy += ", with the space behind it"
		}
		m.add(from, end, strings.ReplaceAll(whole, "\n"+out, "\n")[1:], strings.Replace(message, "this line", "these lines", 1), remedy)
	}
}

// swapped proposes to change a line that begins something, by a key or a dash,
// with the line above it, which stands further in.
func (m *mender) swapped(from int) {
	if from == 0 {
		return
	}
	above := m.lineStart(from - 1)
	upper, lower := m.text[above:m.lineEnd(above)], m.text[from:m.lineEnd(from)]
	in := func(line string) int { return len(line) - len(strings.TrimLeft(line, " ")) }
	body := strings.TrimSpace(lower)
	if strings.TrimSpace(upper) == "" || strings.TrimSpace(upper)[0] == '#' || in(upper) <= in(lower) || !strings.HasSuffix(body, ":") && !strings.HasPrefix(body, "- ") {
		return
	}
	if m.b.fault == badIndent && from == m.lineStart(m.b.at) && in(lower) > 0 && !slices.Contains(m.b.columns, in(lower)) {
		return // it stands where nothing does
	}
	n := m.line(from)
	m.add(above, from+len(lower), lower+m.text[above+len(upper):from]+upper, fmt.Sprintf("the lines %d and %d stand in the wrong order", n-1, n), fmt.Sprintf("put line %d above line %d", n, n-1))
	m.list[len(m.list)-1].at = above + in(upper)
}

// torn proposes to begin a new line where two stand on one, and to join two of
// which one is no line.
func (m *mender) torn() {
	b := m.b
	if b.fault == afterValue && m.byte(b.at) == '-' && m.byte(b.at+1) == ' ' {
		m.breakAt(b.at, "- ", len(m.text[m.lineStart(b.at):])-len(strings.TrimLeft(m.text[m.lineStart(b.at):], " ")))
	}
	if b.fault == moreColons && len(b.open) == 0 {
		key := strings.LastIndexByte(m.text[:b.at], ' ') + 1
		start := m.lineStart(b.at)
		if f := keyed.FindStringSubmatch(m.text[start:m.lineEnd(start)]); f != nil && key > b.from && m.shape.has(m.text[key:b.at]) {
			m.breakAt(key, m.text[key:b.at], len(f[1])+len(f[2]))
		}
	}
	if b.fault != looseLine || len(m.shape.Sections) == 0 {
		return
	}
	from := m.lineStart(b.at)
	word := strings.TrimSpace(m.text[from:m.lineEnd(from)])
	if m.shape.has(word) || strings.ContainsAny(word, " :") {
		return
	}
	if next := m.nextLine(from); next < len(m.text) {
		rest := m.text[next:m.lineEnd(next)]
		if key, _, is := strings.Cut(strings.TrimSpace(rest), ":"); is && m.shape.has(word+key) {
			m.add(m.lineEnd(from), next+len(rest)-len(strings.TrimLeft(rest, " ")), "", "a line is broken off here", "put the next line behind it: "+word+strings.TrimSpace(rest))
			m.list[len(m.list)-1].at = b.at
		}
	}
	if from > 0 && from == b.at {
		above := m.lineStart(from - 1)
		if keyed.MatchString(m.text[above:m.lineEnd(above)]) {
			m.add(m.lineEnd(above), from, "", "a line is broken off above this one", fmt.Sprintf("put it at the end of line %d", m.line(above)))
			m.list[len(m.list)-1].at = from
		}
	}
}

// breakAt proposes to begin a new line.
func (m *mender) breakAt(at int, what string, column int) {
	end := len(strings.TrimRight(m.text[:at], " "))
	m.add(end, at, m.lineBreak()+strings.Repeat(" ", column), "two lines stand on one", "begin a new line before "+strings.TrimSpace(what)+", indented by "+count(column))
	m.list[len(m.list)-1].at = at
}

// half proposes to begin the item whose second half alone is there.
func (m *mender) half() {
	from := m.lineStart(m.b.at)
	line := strings.TrimRight(m.text[from:m.lineEnd(from)], " ")
	body := strings.TrimLeft(line, " ")
	if !strings.HasSuffix(line, "}") || !strings.Contains(line, ":") || strings.Count(line, "}") <= strings.Count(line, "{") || body == "" || body[0] == '{' || body[0] == '-' {
		return
	}
	in := len(line) - len(body)
	next := m.nextLine(from)
	if other := m.text[next:m.lineEnd(next)]; strings.Count(other, "{") > strings.Count(other, "}") { // two halves that have changed places
		m.add(from, next+len(other), other+m.text[m.lineEnd(from):next]+m.text[from:m.lineEnd(from)], fmt.Sprintf("the lines %d and %d stand in the wrong order", m.line(from), m.line(next)), fmt.Sprintf("put line %d above line %d", m.line(next), m.line(from)))
		m.list[len(m.list)-1].at = from + in
	}
	column := max(0, in-3)
	if f := dashed.FindString(m.text[next:]); f != "" {
		column = len(f) - 2
	}
	m.add(from, from+in, strings.Repeat(" ", column)+"- {", "this is the second half of an item whose first half is missing", "begin it with - {, indented by "+count(column)+", and put in what is missing")
	m.list[len(m.list)-1].at = from + in
}

// remarks proposes to take out the sign of a remark that swallows a bracket.
func (m *mender) remarks() {
	b := m.b
	for _, at := range slices.Backward(b.remarks) {
		if len(b.open) > 0 && at < b.open[0].at {
			return
		}
		if strings.ContainsAny(m.text[at:m.lineEnd(at)], "]}") {
			m.add(at, at+1, "", "# begins a remark here, and the bracket behind it closes nothing", "take the # out")
		}
	}
}

// below proposes where a text belongs that stands below its key.
func (m *mender) below() {
	b := m.b
	from := m.lineStart(min(b.at, len(m.text)))
	if b.fault == blockText {
		m.blockText()
		return
	}
	if b.block.end == 0 || m.nextLine(b.block.end) != from && b.block.end != from {
		return
	}
	is := len(m.text[from:]) - len(strings.TrimLeft(m.text[from:], " "))
	tell := func(line, is, want int) {
		n := len(m.list)
		if m.indented(line, is, want); len(m.list) > n {
			m.list[n].message = fmt.Sprintf("the line is indented by %d, and belongs to a text that is indented by %d", is, want)
		}
	}
	next := m.text[min(m.nextLine(from), len(m.text)):]
	if b.block.lines == 1 && is > b.block.column && !strings.HasPrefix(next, strings.Repeat(" ", b.block.in)) {
		tell(b.block.from, b.block.in, is)
	}
	tell(from, is, b.block.in)
}

// blockText proposes what to do with a text behind the mark of one that begins
// on the next line.
func (m *mender) blockText() {
	b := m.b
	end := m.lineEnd(b.from)
	value := strings.TrimRight(m.text[b.from:end], " ")
	next := m.nextLine(end)
	rest := m.text[min(next, len(m.text)):]
	in := len(rest) - len(strings.TrimLeft(rest, " "))
	mark := strings.TrimRight(m.text[b.from:b.at], " ")
	if in > b.block.column && in > 0 {
		text := strings.TrimLeft(m.text[b.at:end], " ")
		if m.byte(b.at) == ' ' || m.byte(b.at-1) == ' ' {
			m.add(b.from+len(mark), end-len(text), m.lineBreak()+strings.Repeat(" ", in), "a text stands on the line of its mark "+mark+", and has to begin on the next", fmt.Sprintf("begin a new line before it, indented by %s", count(in)))
			m.list[len(m.list)-1].at = end - len(text)
		}
		m.add(b.at, b.at+len(strings.TrimRight(m.text[b.at:end], " ")), "", text+" does not fit behind "+mark, "take "+text+" out")
		return
	}
	m.add(b.from, b.from+len(value), quoted(value), "a text that begins with "+value[:1]+" needs quotes", "put quotes round it: "+quoted(value))
}
