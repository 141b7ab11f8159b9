package source

import (
	"fmt"
	"strings"
)

// The two readings of a JSON text, for comparison.
var (
	ScanJSON  = scanJSON
	ParseYAML = func(file string, line int, text []byte) ([]*Document, []*Problem) {
		return parseYAML(file, line, text, Shape{})
	}
)

// Differ says where two trees are not the same in all that a Node holds, ""
// where they are.
func Differ(a, b *Node) string {
	at := fmt.Sprintf("%q", a.Pointer())
	switch {
	case a.Kind != b.Kind || a.Scalar != b.Scalar:
		return fmt.Sprintf("%s: %v %q and %v %q", at, a.Kind, a.Scalar, b.Kind, b.Scalar)
	case a.Line != b.Line || a.Column != b.Column:
		return fmt.Sprintf("%s: at %d:%d and %d:%d", at, a.Line, a.Column, b.Line, b.Column)
	case a.quoted != b.quoted || a.block != b.block || a.index != b.index:
		return fmt.Sprintf("%s: written %v %v %d and %v %v %d", at, a.quoted, a.block, a.index, b.quoted, b.block, b.index)
	case (a.Items == nil) != (b.Items == nil) || (a.Members == nil) != (b.Members == nil):
		return fmt.Sprintf("%s: %#v %#v and %#v %#v", at, a.Items, a.Members, b.Items, b.Members)
	case len(a.Items) != len(b.Items) || len(a.Members) != len(b.Members):
		return fmt.Sprintf("%s: %d and %d items, %d and %d keys", at, len(a.Items), len(b.Items), len(a.Members), len(b.Members))
	}
	for i := range a.Items {
		if a.Members != nil && a.Members[i] != b.Members[i] {
			return fmt.Sprintf("%s: key %v and %v", at, a.Members[i], b.Members[i])
		}
		if a.Items[i].parent != a || b.Items[i].parent != b {
			return fmt.Sprintf("%s: item %d has another parent", at, i)
		}
		if a.Items[i].doc != a.doc || b.Items[i].doc != b.doc {
			return fmt.Sprintf("%s: item %d has another document", at, i)
		}
		if why := Differ(a.Items[i], b.Items[i]); why != "" {
			return why
		}
	}
	return ""
}

// What is held to budgets before a file is parsed, for tests of files that
// would take long.
var (
	PlainText = plainText
	Crowded   = crowded
)

// Breach says where a text leaves the grammar, "" where it does not.
func Breach(text string) string {
	b := readGrammar(text, false)
	if b == nil {
		return ""
	}
	return fmt.Sprintf("%+v: line %d: %q", b, 1+strings.Count(text[:b.at], "\n"), text[b.at:min(len(text), b.at+40)])
}
