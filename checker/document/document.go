// Package document writes a tree of members as a kit file: YAML as people write
// it, short things in one line and long ones as blocks, or JSON. Beside a value
// can stand a remark, which YAML shows as a comment.
package document

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strconv"
	"strings"
)

// A document is a tree of these, in the order of the file. A value is a
// string, a Bare, an Object, a List or a Remarked.
type (
	// Object is a group of members.
	Object []Member
	// Member is a key with its value.
	Member struct {
		Key   string
		Value any
	}
	// List is a list of values.
	List []any
	// Bare is a number or a yes/no, which takes no quotes.
	Bare string
	// Remarked is the value of a member with a remark after it. A nil Value
	// stands for one that is left out, of which the key and the remark are
	// written as a comment.
	Remarked struct {
		Value  any
		Remark string
	}
)

// Whole is a whole number.
func Whole(n int) Bare { return Bare(strconv.Itoa(n)) }

// Flag is a yes or no.
func Flag(v bool) Bare { return Bare(strconv.FormatBool(v)) }

// width is where a line of YAML is broken into a block.
const width = 118

// YAML writes the tree as people write a kit file: short things in one
// line, long ones as blocks, a blank line between the sections.
func YAML(b *bytes.Buffer, root Object) {
	for i, m := range root {
		if i > 0 {
			b.WriteByte('\n')
		}
		writeMember(b, "", m, true)
	}
}

func writeMember(b *bytes.Buffer, indent string, m Member, open bool) {
	value, remark := m.Value, ""
	if r, is := value.(Remarked); is {
		if r.Value == nil {
			b.WriteString("# " + m.Key + ": " + oneLine(r.Remark) + "\n")
			return
		}
		value, remark = r.Value, " # "+oneLine(r.Remark)
	}
	b.WriteString(m.Key)
	b.WriteByte(':')
	if short, whole := inline(value); whole {
		if !open && fits(value, len(indent)+len(m.Key)+2+len(short)) || len(short) <= 2 || scalar(value) {
			b.WriteString(" " + short + remark + "\n")
			return
		}
	}
	b.WriteString(remark + "\n")
	writeBlock(b, indent+"  ", value)
}

// Comment is a line of YAML that says nothing to a program.
func Comment(text string) string { return "# " + oneLine(text) + "\n" }

// oneLine makes a text fit for a comment.
func oneLine(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r >= 0x7f && r < 0xa0 || r == 0x2028 || r == 0x2029 || r == 0xfeff {
			return ' '
		}
		return r
	}, s)
}

func writeBlock(b *bytes.Buffer, indent string, v any) {
	switch v := v.(type) {
	case Object:
		for _, m := range v {
			b.WriteString(indent)
			writeMember(b, indent, m, false)
		}
	case List:
		for _, item := range v {
			b.WriteString(indent + "- ")
			writeItem(b, indent+"  ", item)
		}
	}
}

// writeItem writes an item of a list, whose first member cannot be one that is
// left out.
func writeItem(b *bytes.Buffer, indent string, v any) {
	o, isObject := v.(Object)
	if short, whole := inline(v); whole && (!isObject || len(indent)+len(short) <= width) {
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
	case string, Bare:
		return true
	}
	return false
}

// fits reports whether a value goes into one line; a list of objects never
// does, as it is read item by item.
func fits(v any, length int) bool {
	if l, is := v.(List); is && len(l) > 0 {
		if _, objects := l[0].(Object); objects {
			return len(l) == 1 && length <= width
		}
	}
	return length <= width
}

// inline writes a value in one line, which is YAML's flow style. It is not
// whole where a remark has no place there.
func inline(v any) (text string, whole bool) {
	switch v := v.(type) {
	case string:
		return quoteYAML(v), true
	case Bare:
		return string(v), true
	case Object:
		parts := make([]string, len(v))
		for i, m := range v {
			text, whole := inline(m.Value)
			if !whole {
				return "", false
			}
			parts[i] = m.Key + ": " + text
		}
		return "{" + strings.Join(parts, ", ") + "}", true
	case List:
		parts := make([]string, len(v))
		for i, item := range v {
			text, whole := inline(item)
			if !whole {
				return "", false
			}
			parts[i] = text
		}
		return "[" + strings.Join(parts, ", ") + "]", true
	case Remarked:
		return "", false
	}
	panic(fmt.Sprintf("document: %v has no place in a document", v))
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

// JSON writes the same tree as JSON, an item of a section a line.
func JSON(b *bytes.Buffer, v any) {
	switch v := v.(type) {
	case string:
		b.WriteString(quoteJSON(v))
	case Bare:
		b.WriteString(string(v))
	case Remarked:
		JSON(b, v.Value)
	case nil:
		b.WriteString("null")
	case Object:
		b.WriteByte('{')
		for i, m := range v {
			if i > 0 {
				b.WriteByte(',')
			}
			b.WriteString(quoteJSON(m.Key) + ":")
			JSON(b, m.Value)
		}
		b.WriteByte('}')
	case List:
		b.WriteByte('[')
		for i, item := range v {
			if i > 0 {
				b.WriteByte(',')
			}
			JSON(b, item)
		}
		b.WriteByte(']')
	}
}

// Of makes a group of members from keys and values in turn. What is nil, an
// empty text or an empty list is left out.
func Of(pairs ...any) Object {
	var o Object
	for i := 0; i+1 < len(pairs); i += 2 {
		o = o.With(pairs[i].(string), pairs[i+1])
	}
	return o
}

// With adds a member, unless its value is nil, an empty text or an empty list
// or group.
func (o Object) With(key string, v any) Object {
	switch v := v.(type) {
	case nil:
		return o
	case string:
		if v == "" {
			return o
		}
	case Bare:
		if v == "" {
			return o
		}
	case List:
		if len(v) == 0 {
			return o
		}
	case Object:
		if len(v) == 0 {
			return o
		}
	}
	return append(o, Member{Key: key, Value: v})
}
