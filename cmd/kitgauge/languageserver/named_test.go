package languageserver

import (
	"slices"
	"testing"
)

// TestOneEditNamed holds a fix to each slip whose remedy names one edit: it is
// offered, and brings the kit back as it was.
func TestOneEditNamed(t *testing.T) {
	c := start(t, Options{}, capable)
	c.open(trailer)
	c.clean(trailer)
	good := string(c.texts[trailer].bytes)
	for _, of := range []struct{ old, now, title string }{
		{"cut_length: 745 mm", "cut_length: 745 mmm", "Write 745 mm, the nearest (to be decided)"},
		{"tube: FG-T4\n    bundle: L\n    leaves_at: l-2", "tube: FG-T4\n    bundle: LL\n    leaves_at: l-2", "Write L, the nearest (to be decided)"},
		{"point: D2", "point: D3", "Write D2, the nearest (to be decided)"},
		{"raised_body: false", `raised_body: "false"`, "Write false without quotes"},
		{"outlet: 8", "outlet:8", "Write outlet: 8"},
		{"[450 mm, 500 mm, 600 mm]", "[450 mm, 500 mm, 600 mm", "Put ] behind 600 mm"},
	} {
		c.typed(trailer, of.old, of.now)
		list := c.until(trailer, "faulty", func(list []diagnostic) bool { return len(list) > 0 })
		var titles []string
		for _, d := range list {
			for _, a := range c.actions(trailer, d.Range, kindQuickFix) {
				if titles = append(titles, a.Title); a.Title == of.title && string(c.texts[trailer].bytes) != good {
					c.apply(a.Edit)
				}
			}
		}
		if !slices.Contains(titles, of.title) || string(c.texts[trailer].bytes) != good {
			t.Errorf("%s: %q is not offered, or does not mend it: %q", of.now, of.title, titles)
			c.edit(trailer, textEdit{span{position{}, position{9999, 0}}, good})
		}
		c.clean(trailer)
	}
}
