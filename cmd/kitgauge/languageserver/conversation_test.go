package languageserver

import (
	"errors"
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/sourcegraph/jsonrpc2"

	"kitgauge/checker"
)

// scraps are what is typed at random.
var scraps = []string{"", "", "x", "7", "ü", "😀", "\n", "\r\n", "  ", "{", "}", "[", "]", ": ", ", ", "- ", "#", "\"", "'", "&a ", "*a", "<<: ", "id: ", "FG-T4", " mm", "| \n", "\t", "---\n", "null", "1e999"}

// TestConversation types at random, and asks at random meanwhile: nothing breaks
// off, and what is shown at last is what a check finds in what was typed.
func TestConversation(t *testing.T) {
	c := start(t, Options{}, capable)
	whole := c.read(trailer)
	asked := slices.Sorted(maps.Keys(requests))
	asked = slices.DeleteFunc(asked, func(m string) bool { return !strings.HasPrefix(m, "textDocument/") })
	for n := range 12 {
		r := rand.New(rand.NewPCG(uint64(n), 15))
		begin := whole
		if n%3 == 1 {
			begin = "\ufeff" + strings.ReplaceAll(whole, "\n", "\r\n")
		}
		c.openAs(trailer, begin)
		for range 1 + r.IntN(12) {
			now := c.texts[trailer]
			from := r.IntN(len(now.bytes) + 1)
			s := span{now.position(from), now.position(from + r.IntN(8))}
			from, to := now.offset(s.Start), now.offset(s.End) // no caret stands within a character
			c.edit(trailer, textEdit{now.span(from, to), scraps[r.IntN(len(scraps))]})
			method := asked[r.IntN(len(asked))]
			err := c.try(method, map[string]any{
				"textDocument": documentID{URI: c.uri(trailer)}, "position": s.Start, "range": s, "newName": scraps[r.IntN(len(scraps))],
			}, nil)
			if fault := new(jsonrpc2.Error); errors.As(err, &fault) && fault.Code != codeFailed {
				t.Fatalf("%d: %s: %v", n, method, err)
			}
		}
		c.sameAsCheck(n)
		c.shut(trailer)
		c.clean(trailer)
	}
}

// sameAsCheck holds what is shown of a kit to what a check of its text finds.
func (c *client) sameAsCheck(n int) {
	c.Helper()
	results, err := checker.New(checker.Options{Dir: c.dir, On: "2026-11-25"}).Check(trailer, c.texts[trailer].whole)
	if err != nil {
		c.Fatal(err)
	}
	want := map[string]bool{}
	for _, r := range results {
		for i := range r.Findings {
			f := &r.Findings[i]
			if pos := r.At(f); pos.File == trailer {
				at := c.texts[trailer].column(pos.Line, pos.Column)
				first, _, _ := strings.Cut(messageOf(f), "\n")
				want[fmt.Sprintf("%d:%d %s %s", at.Line, at.Character, f.Rule, first)] = true
			}
		}
	}
	list := c.until(trailer, "told", func(list []diagnostic) bool { return true })
	got := map[string]bool{}
	for _, d := range list {
		first, _, _ := strings.Cut(d.Message, "\n")
		got[fmt.Sprintf("%d:%d %s %s", d.Range.Start.Line, d.Range.Start.Character, d.Code, first)] = true
	}
	if !maps.Equal(got, want) {
		c.Errorf("%d: of\n%s\nshown:\n%s\nfound:\n%s", n, c.texts[trailer].bytes, strings.Join(slices.Sorted(maps.Keys(got)), "\n"), strings.Join(slices.Sorted(maps.Keys(want)), "\n"))
	}
}
