package editor

import (
	"bytes"
	"regexp"
	"testing"
)

// A text that can be read, and is written as people write kits, gives the tree
// that package source reads of it: no complex keys, no directives, no file that
// is one text, no line within brackets that is as far out as their key.
func FuzzScan(f *testing.F) {
	for _, text := range texts(f) {
		if len(text) < 2000 {
			f.Add(text)
		}
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		if len(text) > 1<<12 {
			return
		}
		scan(text)
		if unusual(text) {
			return
		}
		if why := sameTree(text); why != "" {
			t.Errorf("%q: %s", text, why)
		}
	})
}

// odd begins a key that is empty, or a value of two colons, dashes or quotes.
var odd = regexp.MustCompile(`(?m)(^|[-:,{\[]) *:|:[:"',\[\]{}]|-[-,\[\]{}]|["'][^,\]}:\s]|[^\s{\[,]["'{\[]|<<|\[[^{\]]*:|^ *[^\s\w{\[}\]"'-]`)

func unusual(text []byte) bool {
	return bytes.ContainsAny(text, "?%&*!|>@`\t\\") || odd.Match(text) || !grouped.Match(text) || outside.Match(text)
}

var (
	grouped = regexp.MustCompile(`^[a-z]+:`)                // it begins with a key
	outside = regexp.MustCompile(`[{\[,][^\]}]*\n {0,3}\S`) // between brackets, perhaps
)
