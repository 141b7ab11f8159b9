package source

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
)

// Shape is what a schema says of the keys of a file, for telling a slip that
// keeps it from being read.
type Shape struct {
	Sections []string // the keys that begin in the first column, in their order
	Groups   []Group  // in the order of the schema
}

// Group is a group, or a list of groups, under a key.
type Group struct {
	Key     string
	Of      int // the group among whose members the key is, -1 for the file
	List    bool
	Members []string // of the group, or of each item
}

// shapeOf is the one that was given, or one that says nothing.
func shapeOf(given []Shape) Shape {
	if len(given) > 0 {
		return given[0]
	}
	return Shape{}
}

// has reports whether a word is a key somewhere in a file of the shape.
func (s *Shape) has(word string) bool {
	return slices.Contains(s.Sections, word) || slices.ContainsFunc(s.Groups, func(g Group) bool { return slices.Contains(g.Members, word) })
}

// mayHold lists the keys under which a group or a list with some members may stand,
// beside others that stand there before it.
func (s *Shape) mayHold(list bool, keys, before []string) []string {
	var names []string
	for _, g := range s.Groups {
		if g.List != list || slices.ContainsFunc(keys, func(k string) bool { return !slices.Contains(g.Members, k) }) || slices.Contains(before, g.Key) {
			continue
		}
		beside := s.Sections
		if g.Of >= 0 {
			beside = s.Groups[g.Of].Members
		}
		if !slices.ContainsFunc(before, func(k string) bool { return !slices.Contains(beside, k) }) && !slices.Contains(names, g.Key) {
			names = append(names, g.Key)
		}
	}
	return names
}

// keyed finds the key at the beginning of a line, with the dashes before it.
var keyed = regexp.MustCompile(`^( *)((?:- +)*)([A-Za-z_]+):(?: |$)`)

// keysBetween finds the keys of what stands between braces.
var keysBetween = regexp.MustCompile(`[{,] *"?([A-Za-z_]+)"?:`)

// keysFrom gives the keys of the group, or of the first item of the list, that
// begins with a line.
func (m *mender) keysFrom(from int) (keys []string, column int, list bool) {
	line := m.text[from:m.lineEnd(from)]
	column = len(line) - len(strings.TrimLeft(line, " "))
	inner := column
	if body := line[column:]; strings.HasPrefix(body, "- ") {
		list = true
		inner += len(body) - len(strings.TrimLeft(body[1:], " "))
		if at := from + inner; m.byte(at) == '{' {
			return m.keysIn(at), column, true
		}
		line = strings.Repeat(" ", inner) + line[inner:]
	}
	for {
		in := len(line) - len(strings.TrimLeft(line, " "))
		if body := strings.TrimSpace(line); body != "" && body[0] != '#' {
			if in < inner {
				return keys, column, list
			}
			if f := keyed.FindStringSubmatch(line); f != nil && in == inner && f[2] == "" {
				keys = append(keys, f[3])
			}
		}
		if from = m.nextLine(from); from >= len(m.text) {
			return keys, column, list
		}
		line = m.text[from:m.lineEnd(from)]
	}
}

// keysIn gives the keys of a group between braces.
func (m *mender) keysIn(at int) []string {
	var keys []string
	depth := 0
	for i := at; i < min(len(m.text), at+4000); i++ {
		switch m.text[i] {
		case '{', '[':
			depth++
		case '}', ']':
			depth--
		}
		if depth == 0 {
			break
		}
		if c := m.text[i]; depth == 1 && (c == '{' || c == ',') {
			rest := strings.TrimLeft(m.text[i+1:min(len(m.text), i+80)], " \r\n")
			if f := keysBetween.FindStringSubmatch(string(c) + rest); f != nil && strings.HasPrefix(string(c)+rest, f[0]) {
				keys = append(keys, f[1])
			}
		}
	}
	return keys
}

// nextLine is where the line behind that of a byte begins.
func (m *mender) nextLine(at int) int {
	end := m.lineEnd(at)
	return end + lineEnd([]byte(m.text[end:min(len(m.text), end+2)]))
}

// keysAbove gives the keys that stand at a column above a line, in the group
// to which that column belongs.
func (m *mender) keysAbove(from, column int) []string {
	var keys []string
	for from > 0 {
		from = m.lineStart(from - 1)
		f := keyed.FindStringSubmatch(m.text[from:m.lineEnd(from)])
		if f == nil {
			continue
		}
		switch in := len(f[1]) + len(f[2]); {
		case in == column:
			keys = append(keys, f[3])
			if f[2] != "" {
				return keys
			}
		case in < column:
			return keys
		}
	}
	return keys
}

// headless proposes the line with the key of a group or a list that has none
// above it.
func (m *mender) headless() {
	b := m.b
	seen := map[int]bool{}
	for _, line := range []int{b.at, b.level.line} {
		from := m.lineStart(line)
		if seen[from] || line > b.at {
			continue
		}
		seen[from] = true
		keys, column, list := m.keysFrom(from)
		if len(keys) == 0 {
			continue
		}
		for _, at := range slices.Compact([]int{0, max(0, column-2), column}) {
			if at == column && !(list && at > 0) {
				continue
			}
			for _, key := range m.shape.mayHold(list, keys, m.keysAbove(from, at)) {
				if at == 0 && (!slices.Contains(m.shape.Sections, key) || strings.Contains(m.text, "\n"+key+":")) {
					continue
				}
				if at > 0 && (slices.Contains(m.shape.Sections, key) || line != b.at || m.beside(from, key)) {
					continue
				}
				m.above(from, at, key+":")
			}
		}
	}
}

// beside reports whether the line above or below one begins with a key.
func (m *mender) beside(from int, key string) bool {
	next := m.nextLine(from)
	above := m.lineStart(max(0, from-1))
	return strings.HasPrefix(strings.TrimLeft(m.text[above:from], " "), key+":") || strings.HasPrefix(strings.TrimLeft(m.text[next:m.lineEnd(next)], " "), key+":")
}

// listHead proposes the line with the key of a list between brackets, where
// its first item stands as if it were a key.
func (m *mender) listHead() {
	b := m.b
	if b.fault != groupAsKey || m.byte(b.at) != '{' {
		return
	}
	keys := m.keysIn(b.at)
	if len(keys) == 0 {
		return
	}
	from := m.lineStart(b.at)
	for _, key := range m.shape.mayHold(true, keys, m.keysIn(b.open[len(b.open)-1].at)) {
		key = `"` + key + `": [`
		m.add(from, from, key+m.lineBreak(), "the line with "+key+" is missing above this one", "write "+key+" on a line of its own above it")
		m.list[len(m.list)-1].at = b.at
	}
}

// above proposes a line above another.
func (m *mender) above(from, column int, line string) {
	remedy := "write " + line + " on a line of its own above it"
	if column > 0 {
		remedy += ", indented by " + count(column)
	}
	m.add(from, from, strings.Repeat(" ", column)+line+m.lineBreak(), "the line with "+line+" is missing above this one", remedy)
	rest := m.text[from:m.lineEnd(from)]
	m.list[len(m.list)-1].at = from + len(rest) - len(strings.TrimLeft(rest, " "))
}

// lineBreak is how the lines of the text end.
func (m *mender) lineBreak() string {
	if i := strings.IndexAny(m.text, "\r\n"); i >= 0 {
		return m.text[i : i+lineEnd([]byte(m.text[i:min(len(m.text), i+2)]))]
	}
	return "\n"
}

func count(spaces int) string {
	if spaces == 1 {
		return "1 space"
	}
	return fmt.Sprintf("%d spaces", spaces)
}
