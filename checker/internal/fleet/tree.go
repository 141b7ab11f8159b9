package fleet

import (
	"fmt"
	"strconv"

	"kitgauge/checker/document"
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

// written is the tree as package document writes it.
func (o object) written() document.Object {
	out := make(document.Object, len(o))
	for i, m := range o {
		out[i] = document.Member{Key: m.key, Value: written(m.value)}
	}
	return out
}

func written(v any) any {
	switch v := v.(type) {
	case string:
		return v
	case bare:
		return document.Bare(v)
	case object:
		return v.written()
	case list:
		out := make(document.List, len(v))
		for i, item := range v {
			out[i] = written(item)
		}
		return out
	}
	panic(fmt.Sprintf("fleet: %v has no place in a document", v))
}
