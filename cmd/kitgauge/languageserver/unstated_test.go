package languageserver

import (
	"strings"
	"testing"
)

// TestNotStated takes out what a kit has to state: one warning tells it at the
// thing, with the checks that are not evaluated beside it, and goes when it is
// stated again.
func TestNotStated(t *testing.T) {
	c := start(t, Options{}, capable)
	c.open(trailer)
	c.clean(trailer)
	for _, of := range []struct{ old, now, at, says string }{
		{"point: A1\n    tube: FG-T4\n", "point: A1\n", "number: 1", "line 1: the tube is not stated, so that 7 checks are not evaluated"},
		{"  supply: 24 V\n", "", "vehicle", "the vehicle: the supply voltage is not stated, so that 2 checks"},
		{"  length: 8 m\n", "", "feed", "the feed: the length is not stated, so that 1 check is not evaluated"},
		{"  timer: {pause: 58 min, strokes: 2}\n", "", "part: FG-P12", "the timer: the pause is not stated, so that 2 checks"},
	} {
		before := string(c.texts[trailer].bytes)
		c.typed(trailer, of.old, of.now)
		d := c.finds(trailer, codeUnjudged)
		if d.Severity != severityWarning || c.at(trailer, d.Range) != of.at || !strings.HasPrefix(d.Message, of.says) || len(d.Related) == 0 {
			t.Errorf("without %q: %q is marked: %s", of.old, c.at(trailer, d.Range), asJSON(d))
		}
		c.edit(trailer, textEdit{span{position{}, position{9999, 0}}, before})
		c.clean(trailer)
	}
	c.typed(trailer, "  position: [900 mm, 550 mm, 800 mm]\n", "")
	if list := c.until(trailer, "found", func(list []diagnostic) bool { return withCode(list, "routing/pump-placed") >= 0 }); withCode(list, codeUnjudged) >= 0 {
		t.Errorf("told twice: %s", asJSON(list[withCode(list, codeUnjudged)]))
	}
}
