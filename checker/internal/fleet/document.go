package fleet

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strconv"
	"strings"
)

// A document is a tree of these, in the order of the file. A value is a
// string, a bare, an object or a list.
type (
	object []member
	member struct {
		key   string
		value any
	}
	list []any
	bare string // a number or a yes/no, which takes no quotes
)

func whole(n int) bare { return bare(strconv.Itoa(n)) }

func flag(v bool) bare { return bare(strconv.FormatBool(v)) }

// width is where a line of YAML is broken into a block.
const width = 118

// writeYAML writes the tree as people write a kit file: short things in one
// line, long ones as blocks, a blank line between the sections.
func writeYAML(b *bytes.Buffer, root object) {
	for i, m := range root {
		if i > 0 {
			b.WriteByte('\n')
		}
		writeMember(b, "", m, true)
	}
}

func writeMember(b *bytes.Buffer, indent string, m member, open bool) {
	b.WriteString(m.key)
	b.WriteByte(':')
	short := inline(m.value)
	if !open && fits(m.value, len(indent)+len(m.key)+2+len(short)) || len(short) <= 2 || scalar(m.value) {
		fmt.Fprintf(b, " %s\n", short)
		return
	}
	b.WriteByte('\n')
	writeBlock(b, indent+"  ", m.value)
}

func writeBlock(b *bytes.Buffer, indent string, v any) {
	switch v := v.(type) {
	case object:
		for _, m := range v {
			b.WriteString(indent)
			writeMember(b, indent, m, false)
		}
	case list:
		for _, item := range v {
			b.WriteString(indent + "- ")
			writeItem(b, indent+"  ", item)
		}
	}
}

func writeItem(b *bytes.Buffer, indent string, v any) {
	o, isObject := v.(object)
	short := inline(v)
	if !isObject || len(indent)+len(short) <= width {
		b.WriteString(short + "\n")
		return
	}
	for i, m := range o {
		if i > 0 {
			b.WriteString(indent)
		}
		writeMember(b, indent, m, false)
	}
}

func scalar(v any) bool {
	switch v.(type) {
	case string, bare:
		return true
	}
	return false
}

// fits reports whether a value goes into one line; a list of objects never
// does, as it is read item by item.
func fits(v any, length int) bool {
	if l, is := v.(list); is && len(l) > 0 {
		if _, objects := l[0].(object); objects {
			return len(l) == 1 && length <= width
		}
	}
	return length <= width
}

// inline writes a value in one line, which is YAML's flow style.
func inline(v any) string {
	var b strings.Builder
	switch v := v.(type) {
	case string:
		return quoteYAML(v)
	case bare:
		return string(v)
	case object:
		for i, m := range v {
			b.WriteString([]string{"", ", "}[min(i, 1)] + m.key + ": " + inline(m.value))
		}
		return "{" + b.String() + "}"
	case list:
		for i, item := range v {
			b.WriteString([]string{"", ", "}[min(i, 1)] + inline(item))
		}
		return "[" + b.String() + "]"
	}
	panic(fmt.Sprintf("fleet: %v has no place in a document", v))
}

// reserved are words that some reader of YAML takes for something else than
// text.
var reserved = map[string]bool{"true": true, "false": true, "null": true, "yes": true, "no": true, "on": true, "off": true, "y": true, "n": true}

// isPlain reports whether YAML reads the text as itself, in a block and in a
// line.
func isPlain(s string) bool {
	for i := range len(s) {
		c := s[i]
		letter := c|0x20 >= 'a' && c|0x20 <= 'z'
		digit := c >= '0' && c <= '9'
		minus := i == 0 && c == '-' && len(s) > 1 && s[1] >= '0' && s[1] <= '9'
		path := i == 0 && strings.HasPrefix(s, "../")
		if !letter && !digit && !minus && !path && (i == 0 || strings.IndexByte(" ()/._%+-", c) < 0) {
			return false
		}
	}
	return s != "" && s[len(s)-1] != ' ' && !reserved[strings.ToLower(s)]
}

func quoteYAML(s string) string {
	if !isPlain(s) {
		return quoteJSON(s)
	}
	if _, err := strconv.ParseFloat(s, 64); err == nil { // a number to YAML
		return quoteJSON(s)
	}
	return s
}

func quoteJSON(s string) string {
	text, err := json.Marshal(s)
	if err != nil {
		panic(err) // a string cannot fail
	}
	return string(text)
}

// writeJSON writes the same tree as JSON, an item of a section a line.
func writeJSON(b *bytes.Buffer, v any) {
	switch v := v.(type) {
	case string:
		b.WriteString(quoteJSON(v))
	case bare:
		b.WriteString(string(v))
	case object:
		b.WriteByte('{')
		for i, m := range v {
			if i > 0 {
				b.WriteByte(',')
			}
			b.WriteString(quoteJSON(m.key) + ":")
			writeJSON(b, m.value)
		}
		b.WriteByte('}')
	case list:
		b.WriteByte('[')
		for i, item := range v {
			if i > 0 {
				b.WriteByte(',')
			}
			writeJSON(b, item)
		}
		b.WriteByte(']')
	}
}
