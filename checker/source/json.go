package source

import (
	"bytes"
	"encoding/json"
)

// JSON returns the tree as JSON text, members in file order.
func (n *Node) JSON() []byte {
	var b bytes.Buffer
	n.writeJSON(&b)
	return b.Bytes()
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
