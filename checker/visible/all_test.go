package visible_test

import (
	"testing"

	"kitgauge/checker/visible"
)

// TestAll: every text of a model is made visible, wherever it stands; what is
// of a type of its own is left as it is.
func TestAll(t *testing.T) {
	type markup string
	type part struct {
		Text   string
		List   []string
		Markup markup
		hidden string
		Any    any
		Next   *part
	}
	m := &part{Text: "a\x1b", List: []string{"b\u202e"}, Markup: "c\x1b", hidden: "d\x1b", Any: &part{Text: "e\n"}, Next: &part{Text: "f"}}
	visible.All(m)
	if m.Text != `a\x1b` || m.List[0] != `b\u202e` || m.Markup != "c\x1b" || m.hidden != "d\x1b" || m.Any.(*part).Text != `e\n` || m.Next.Text != "f" {
		t.Errorf("got %+v, %+v", m, m.Any)
	}
}
