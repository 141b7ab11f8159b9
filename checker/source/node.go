// Package source reads YAML and JSON into one tree in which every value
// knows where it was written. It is the only package that imports a YAML
// library; what it hands on has no aliases, no duplicate keys, no numbers
// that are not finite and no more nodes than the limits allow.
package source

import (
	"fmt"
	"strconv"
	"strings"
)

// Pos is a place in a file. Line and Column start at 1; columns count code
// points. The zero Pos is "no place".
type Pos struct {
	File   string `json:"file"`
	Line   int    `json:"line"`
	Column int    `json:"column"`
}

// String gives file:line:column, or the file alone where there is no line.
func (p Pos) String() string {
	if p.Line == 0 {
		return p.File
	}
	return fmt.Sprintf("%s:%d:%d", p.File, p.Line, p.Column)
}

// Kind says what a Node holds. The zero Kind is Null.
type Kind uint8

// The kinds of node, as JSON knows them.
const (
	Null Kind = iota
	Bool
	Number
	Text
	List
	Map
)

// String names the kind in the words used in messages.
func (k Kind) String() string {
	return [...]string{"nothing", "true or false", "a number", "text", "a list", "a group of members"}[k]
}

// Node is one value of a file. Nodes are not to be changed once read.
type Node struct {
	Kind    Kind
	Scalar  string   // the text of a scalar, unquoted
	Items   []*Node  // the values of a List or a Map, in file order
	Members []Member // the keys of a Map, beside Items
	Line    int
	Column  int
	Unread  string // why a Null is none: what stands there cannot be read, which is told

	quoted   bool // written in quotes
	block    bool // written as a block, below its key
	alias    bool // written as *name
	borrowed bool // written elsewhere, below an alias or taken over by <<
	doc      *Document
	parent   *Node
	index    int // in parent.Items
}

// Member is a key of a Map with its place.
type Member struct {
	Key    string
	Line   int
	Column int
}

// Document is one document of a file: a YAML stream may hold several.
type Document struct {
	File  string
	Index int // from 0, in the file
	Root  *Node
	Text  []byte // the whole file in UTF-8, without a mark at its beginning
	// Values is how many there are in the document, aliases written out.
	Values int

	first int    // the line on which the text begins; 0 stands for 1
	lines *lines // nil where the text is looked through from its beginning
}

// Get returns the member of a Map, or nil.
func (n *Node) Get(key string) *Node {
	if n == nil {
		return nil
	}
	for i := range n.Members {
		if n.Members[i].Key == key {
			return n.Items[i]
		}
	}
	return nil
}

// At follows keys and list indices downwards; nil where the path ends early.
func (n *Node) At(path ...string) *Node {
	for _, p := range path {
		if n == nil {
			return nil
		}
		if n.Kind == List {
			i, err := strconv.Atoi(p)
			if err != nil || i < 0 || i >= len(n.Items) {
				return nil
			}
			n = n.Items[i]
			continue
		}
		n = n.Get(p)
	}
	return n
}

// Parent returns the List or Map that holds n, nil for the root.
func (n *Node) Parent() *Node { return n.parent }

// Pos returns where the value was written.
func (n *Node) Pos() Pos {
	if n == nil {
		return Pos{}
	}
	p := Pos{Line: n.Line, Column: n.Column}
	if n.doc != nil {
		p.File = n.doc.File
	}
	return p
}

// KeyPos returns where the key of the value was written; the value's own
// place when it has no key.
func (n *Node) KeyPos() Pos {
	p := n.Pos()
	if n != nil && n.parent != nil && n.parent.Kind == Map {
		m := n.parent.Members[n.index]
		p.Line, p.Column = m.Line, m.Column
	}
	return p
}

// Document returns the document that n belongs to.
func (n *Node) Document() *Document { return n.doc }

// Key returns the member name or list index under which n stands.
func (n *Node) Key() string {
	switch {
	case n.parent == nil:
		return ""
	case n.parent.Kind == Map:
		return n.parent.Members[n.index].Key
	}
	return strconv.Itoa(n.index)
}

var pointerEscape = strings.NewReplacer("~", "~0", "/", "~1")

// Pointer returns the JSON Pointer (RFC 6901) of n in its document.
func (n *Node) Pointer() string {
	if n == nil || n.parent == nil {
		return ""
	}
	return n.parent.Pointer() + "/" + pointerEscape.Replace(n.Key())
}

// Identity returns a path that survives reordering: an item of a list is
// named by its own id, number, part or step where it has one.
func (n *Node) Identity() string {
	if n == nil || n.parent == nil {
		return ""
	}
	return n.parent.Identity() + "/" + EscapeKey(n.ItemKey())
}

// ItemKey is the last step of an identity.
func (n *Node) ItemKey() string {
	if n.parent.Kind != List || n.Kind != Map {
		return n.Key()
	}
	return ItemKey(n.index, func(key string) string {
		if m := n.Get(key); m != nil && m.Kind <= Text {
			return m.Scalar
		}
		return ""
	})
}

// ItemKey is the step of an identity to an item of a list; say gives the text
// of a member, "" where there is none.
func ItemKey(index int, say func(key string) string) string {
	for _, key := range []string{"id", "number", "part", "step"} {
		if text := say(key); text != "" {
			return key + "=" + text
		}
	}
	return strconv.Itoa(index)
}

// EscapeKey is a key as a step of a JSON Pointer or an identity.
func EscapeKey(key string) string { return pointerEscape.Replace(key) }

// Plain returns the tree as encoding/json would decode it into an any, with
// numbers as float64. It is what a JSON Schema library wants.
func (n *Node) Plain() any {
	if n == nil {
		return nil
	}
	switch n.Kind {
	case Bool:
		return n.Scalar == "true"
	case Number:
		f, _ := strconv.ParseFloat(n.Scalar, 64) // checked when it was read
		return f
	case Text:
		return n.Scalar
	case List:
		list := make([]any, len(n.Items))
		for i, it := range n.Items {
			list[i] = it.Plain()
		}
		return list
	case Map:
		m := make(map[string]any, len(n.Items))
		for i, it := range n.Items {
			m[n.Members[i].Key] = it.Plain()
		}
		return m
	}
	return nil
}

// Lookup follows a JSON Pointer from n; nil where it leads nowhere.
func (n *Node) Lookup(pointer string) *Node { return n.At(Keys(pointer)...) }

// Keys are the keys and list indices of a JSON Pointer, from the top.
func Keys(pointer string) []string {
	if pointer == "" {
		return nil
	}
	keys := strings.Split(pointer[1:], "/")
	for i, k := range keys {
		keys[i] = strings.ReplaceAll(strings.ReplaceAll(k, "~1", "/"), "~0", "~")
	}
	return keys
}
