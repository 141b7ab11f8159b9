package source

import (
	"encoding/binary"
	"errors"
)

// Pack writes the tree of a document in a form that Unpack reads far faster
// than the file itself, places included.
func (d *Document) Pack() []byte { return pack(nil, d.Root) }

func pack(out []byte, n *Node) []byte {
	flags := byte(n.Kind)
	if n.quoted {
		flags |= 1 << 4
	}
	if n.block {
		flags |= 1 << 5
	}
	out = append(out, flags)
	out = packNumbers(out, n.Line, n.Column, len(n.Items))
	if n.Kind < List {
		out = packText(out, n.Scalar)
	}
	for i, item := range n.Items {
		if n.Kind == Map {
			m := n.Members[i]
			out = packNumbers(packText(out, m.Key), m.Line, m.Column)
		}
		out = pack(out, item)
	}
	return out
}

func packNumbers(out []byte, numbers ...int) []byte {
	for _, n := range numbers {
		out = binary.AppendUvarint(out, uint64(n))
	}
	return out
}

func packText(out []byte, text string) []byte {
	return append(packNumbers(out, len(text)), text...)
}

// errPacked is an error of the program's own data, not of a person's file.
var errPacked = errors.New("the packed document is damaged")

// Unpack reads what Pack wrote. The text is that of the file, for excerpts.
func Unpack(file string, text, packed []byte) (*Document, error) {
	doc := &Document{File: file, Text: text}
	u := &unpacker{doc: doc, rest: string(packed)}
	doc.Root = u.node(nil, 0, 0)
	if u.failed || u.rest != "" {
		return nil, errPacked
	}
	return doc, nil
}

type unpacker struct {
	doc    *Document
	rest   string
	slab   []Node
	failed bool
}

func (u *unpacker) number() int {
	var n uint64
	for i := 0; i < len(u.rest) && i < binary.MaxVarintLen64; i++ {
		b := u.rest[i]
		n |= uint64(b&0x7f) << (7 * i)
		if b < 0x80 {
			u.rest = u.rest[i+1:]
			if n > MaxBytes {
				break
			}
			return int(n)
		}
	}
	u.failed = true
	return 0
}

func (u *unpacker) text() string {
	n := u.number()
	if u.failed || n > len(u.rest) {
		u.failed = true
		return ""
	}
	text := u.rest[:n]
	u.rest = u.rest[n:]
	return text
}

func (u *unpacker) node(parent *Node, index, depth int) *Node {
	if len(u.slab) == 0 {
		u.slab = make([]Node, 256)
	}
	n := &u.slab[0]
	u.slab = u.slab[1:]
	if u.rest == "" || depth > MaxDepth {
		u.failed = true
		return n
	}
	flags := u.rest[0]
	u.rest = u.rest[1:]
	n.Kind, n.quoted, n.block = Kind(flags&0xf), flags&(1<<4) != 0, flags&(1<<5) != 0
	n.doc, n.parent, n.index = u.doc, parent, index
	n.Line, n.Column = u.number(), u.number()
	count := u.number()
	if u.failed || n.Kind > Map || n.Line < 1 || n.Column < 1 || count > len(u.rest) {
		u.failed = true
		return n
	}
	if n.Kind < List {
		n.Scalar = u.text()
		return n
	}
	n.Items = make([]*Node, 0, count)
	for i := 0; i < count && !u.failed; i++ {
		if n.Kind == Map {
			n.Members = append(n.Members, Member{Key: u.text(), Line: u.number(), Column: u.number()})
		}
		n.Items = append(n.Items, u.node(n, i, depth+1))
	}
	u.failed = u.failed || !unique(n.Members)
	return n
}
