package source

import (
	"fmt"
	"regexp"
	"strings"
)

// conflictLine is a line by which a merge marks what it could not join.
var conflictLine = regexp.MustCompile(`(?m)^(<{7}|\|{7}|={7}|>{7})(?: [^\r\n]*)?\r?$`)

// conflict says where a merge left two versions side by side; nil where none
// did.
func (r *reader) conflict() *Problem {
	text := string(r.text)
	if !strings.Contains(text, "<<<<<<<") && !strings.Contains(text, "=======") && !strings.Contains(text, ">>>>>>>") {
		return nil
	}
	marks := conflictLine.FindAllStringSubmatchIndex(text, -1)
	if len(marks) == 0 {
		return nil
	}
	l := &Document{File: r.file, Text: r.text, first: r.line}
	line := func(i int) int { return l.placeOf(marks[i][0]).Line }
	p := r.problem(&repair{from: marks[0][0], message: "a line that a merge has left stands here", remedy: "take it out"})
	sides, i := []string{"<<<<<<<"}, 1
	if text[marks[0][0]] != '<' {
		return p
	}
	for ; i < len(marks) && text[marks[i][0]] != '<'; i++ {
		if sides = append(sides, text[marks[i][2]:marks[i][3]]); text[marks[i][0]] == '>' {
			break
		}
	}
	if i == len(marks) || text[marks[i][0]] != '>' {
		return p
	}
	p.Message = fmt.Sprintf("a merge has left two versions here, of which one is meant, down to line %d", line(i))
	p.Remedy = "keep one of them, and take out the other with the lines that begin with " + strings.Join(sides[:len(sides)-1], ", ") + " and >>>>>>>"
	more := 0
	for _, m := range marks[i:] {
		if text[m[0]] == '<' {
			more++
		}
	}
	switch {
	case more == 1:
		p.Message += "; another such place follows"
	case more > 1:
		p.Message += fmt.Sprintf("; %d more such places follow", more)
	}
	return p
}

// cutOff tells of a slip at the end of a text, or of what is open there, that
// the text may have been cut off, as by an upload that stopped half way. The
// slip is nil where no small change makes up for what is missing.
func (m *mender) cutOff(r *reader, slip *Problem) *Problem {
	end := len(strings.TrimRight(m.text, " \t\r\n"))
	if !m.breaksOff(end) {
		return slip
	}
	if n := len(m.loose.open); slip == nil && (n == 0 || n > MaxDepth) {
		return nil // the reader knows more
	}
	says := fmt.Sprintf("the file ends in the middle of line %d, as if it were cut off", m.line(end))
	if slip == nil {
		return r.problem(&repair{from: end, message: says, remedy: "get the whole of it again"})
	}
	slip.Message = says + ": " + slip.Message
	slip.Remedy = "get the whole of it again; or, where nothing is missing, " + slip.Remedy
	return slip
}

// breaksOff reports whether a text ends, at a byte, where nobody ends it: YAML
// without a line end and JSON without its last brackets.
func (m *mender) breaksOff(end int) bool {
	b := m.loose
	if end == 0 || m.lineEnd(b.at) < end {
		return false
	}
	if first := strings.TrimLeft(m.text, " \t\r\n")[0]; first != '{' && first != '[' {
		return !strings.ContainsAny(m.text[end:], "\r\n")
	}
	closed := m.text[end-1] == '}' || m.text[end-1] == ']'
	return (b.fault == endOpen || b.fault == openQuote) && (!closed || len(b.open) > 1)
}
