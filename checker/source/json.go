package source

import (
	"bytes"
	"encoding/json"
	"fmt"
)

// JSON returns the tree as JSON text, members in file order.
func (n *Node) JSON() []byte {
	var b bytes.Buffer
	n.writeJSON(&b)
	return EscapeJSON(b.Bytes())
}

func (n *Node) writeJSON(b *bytes.Buffer) {
	switch n.Kind {
	case Null:
		b.WriteString("null")
	case Bool, Number:
		b.WriteString(n.Scalar)
	case Text:
		writeText(b, n.Scalar)
	case List:
		b.WriteByte('[')
		for i, item := range n.Items {
			if i > 0 {
				b.WriteByte(',')
			}
			item.writeJSON(b)
		}
		b.WriteByte(']')
	case Map:
		b.WriteByte('{')
		for i, item := range n.Items {
			if i > 0 {
				b.WriteByte(',')
			}
			writeText(b, n.Members[i].Key)
			b.WriteByte(':')
			item.writeJSON(b)
		}
		b.WriteByte('}')
	}
}

func writeText(b *bytes.Buffer, text string) {
	e := json.NewEncoder(b)
	e.SetEscapeHTML(false)
	_ = e.Encode(text) // a string in memory cannot fail
	b.Truncate(b.Len() - 1)
}

// EscapeJSON escapes what JSON takes as it is and Parse does not: what YAML
// has for a line end or a mark, or refuses. It can stand in texts alone.
func EscapeJSON(text []byte) []byte {
	if bytes.IndexFunc(text, needsEscape) < 0 {
		return text
	}
	var b bytes.Buffer
	for _, r := range string(text) {
		if needsEscape(r) {
			fmt.Fprintf(&b, `\u%04x`, r)
		} else {
			b.WriteRune(r)
		}
	}
	return b.Bytes()
}

func needsEscape(r rune) bool { return r >= 0x7f && steers(r) }
