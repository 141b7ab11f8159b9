package source

import (
	"slices"
	"strings"
	"sync"
	"unicode/utf8"
)

// lines keeps where the lines of a text begin, and where every so many
// characters of a long one do: a kit may stand on one line, and a look at a
// place must not cost what the file is long.
type lines struct {
	once sync.Once
	text string // the document's
	at   []int  // where each line begins

	mu   sync.Mutex
	long map[int]*ruler // by the number of the line
}

// ruler holds at which byte of a line the characters 0, stride, 2*stride, ...
// begin.
type ruler struct {
	at    []int
	count int // of the characters
}

const stride = 1024

func (d *Document) indexed() *lines {
	l := d.lines
	if l == nil { // of one that was put together by hand
		l = new(lines)
	}
	l.once.Do(func() {
		l.text = string(d.Text)
		l.at = []int{0}
		for i := 0; i < len(l.text); {
			j := strings.IndexAny(l.text[i:], "\r\n")
			if j < 0 {
				break
			}
			i += j + 1
			if l.text[i-1] == '\r' && i < len(l.text) && l.text[i] == '\n' {
				i++
			}
			l.at = append(l.at, i)
		}
	})
	return l
}

// span is where a line of the document begins and ends, without its line end;
// found is false where there is none.
func (d *Document) span(l *lines, number int) (from, to int, found bool) {
	if d.first > 1 {
		number -= d.first - 1
	}
	if number < 1 || number > len(l.at) {
		return 0, 0, false
	}
	from, to = l.at[number-1], len(l.text)
	if number < len(l.at) {
		to = l.at[number]
	}
	return from, from + len(strings.TrimRight(l.text[from:to], "\r\n")), true
}

// Line returns the text of a line of the document (from 1) without its end;
// "" where there is none. It is not copied.
func (d *Document) Line(number int) string {
	l := d.indexed()
	from, to, _ := d.span(l, number)
	return l.text[from:to]
}

// Around returns what stands at most so many characters before and behind a
// place in its line, which may be long, and the column of the place in that.
func (d *Document) Around(at Pos, reach int) (text string, column int) {
	l := d.indexed()
	from, to, found := d.span(l, at.Line)
	if !found {
		return "", at.Column
	}
	line := l.text[from:to]
	if len(line) <= reach {
		return line, at.Column
	}
	first := max(at.Column-1-reach, 0) // characters before what is returned
	r := l.ruler(at.Line, line)
	return line[r.byte(line, first):r.byte(line, max(at.Column-1+reach, 0))], at.Column - first
}

// Behind returns what stands in a line from a place on.
func (d *Document) Behind(at Pos) string {
	l := d.indexed()
	_, to, found := d.span(l, at.Line)
	if !found || at.Column < 1 {
		return ""
	}
	return l.text[min(d.offset(l, at.Line, at.Column), to):to]
}

// offset is where in the text a place begins: the end of its line where it has
// fewer columns.
func (d *Document) offset(l *lines, line, column int) int {
	from, to, found := d.span(l, line)
	if !found {
		return len(l.text)
	}
	return from + l.ruler(line, l.text[from:to]).byte(l.text[from:to], max(column-1, 0))
}

// PosOf is where the character that begins at a byte of the text stands.
func (d *Document) PosOf(at int) Pos {
	l := d.indexed()
	i, found := slices.BinarySearch(l.at, at)
	if !found {
		i--
	}
	number := i + max(d.first, 1)
	from, to, _ := d.span(l, number)
	marks := l.ruler(number, l.text[from:to]).at
	passed, found := slices.BinarySearch(marks, at-from)
	if !found {
		passed--
	}
	column := 1
	if passed >= 0 {
		column, from = column+passed*stride, from+marks[passed]
	}
	return Pos{File: d.File, Line: number, Column: column + utf8.RuneCountInString(l.text[from:at])}
}

// ruler is that of a line, made when it is first asked for. A short line needs
// none.
func (l *lines) ruler(number int, line string) *ruler {
	if len(line) <= stride {
		return &ruler{count: stride}
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	if r := l.long[number]; r != nil {
		return r
	}
	r := &ruler{}
	for i := range line {
		if r.count%stride == 0 {
			r.at = append(r.at, i)
		}
		r.count++
	}
	if l.long == nil {
		l.long = map[int]*ruler{}
	}
	l.long[number] = r
	return r
}

// byte is where in the line the character of that number, from 0, begins.
func (r *ruler) byte(line string, number int) int {
	if number >= r.count {
		return len(line)
	}
	at := 0
	if len(r.at) > 0 {
		at = r.at[number/stride]
		number %= stride
	}
	for i := range line[at:] {
		if number == 0 {
			return at + i
		}
		number--
	}
	return len(line)
}
