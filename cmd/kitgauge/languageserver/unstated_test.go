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

// TestToldOnce takes out what several checks miss: it is told once, at the thing.
func TestToldOnce(t *testing.T) {
	c := start(t, Options{}, capable)
	c.open(trailer)
	c.clean(trailer)
	for _, of := range []struct {
		old, now, code, at, holds string
		severity                  int
	}{
		{"    kind: prismatic\n", "", "file/shape", "id: axle-springs", "write kind: prismatic", severityWarning},
		{"  body: chassis\n  position: [900", "  position: [900", "slack/bodies-stated", "pump", "state the body", severityWarning},
		{"{from: -70 mm, to: 60 mm}", "{from: -70 mm}", "slack/joint-range", "{from: -70 mm}", "8 checks are not evaluated", severityWarning},
	} {
		before := string(c.texts[trailer].bytes)
		c.typed(trailer, of.old, of.now)
		list := c.until(trailer, "found", func(list []diagnostic) bool { return withCode(list, of.code) >= 0 })
		told := 0
		for _, d := range list {
			if d.Severity < severityHint {
				told++
			}
		}
		if d := list[withCode(list, of.code)]; told != 1 || c.at(trailer, d.Range) != of.at || d.Severity != of.severity || !strings.Contains(d.Message, of.holds) {
			t.Errorf("without %q: %d are told, %q is marked: %s", of.old, told, c.at(trailer, d.Range), asJSON(list))
		}
		c.edit(trailer, textEdit{span{position{}, position{9999, 0}}, before})
		c.clean(trailer)
	}
}

// TestPartLacks takes a member out of a part: the warning stands at the part, in
// its catalogue, whether that is open or not.
func TestPartLacks(t *testing.T) {
	c := start(t, Options{}, capable)
	const parts = "examples/parts/winter.parts.yaml"
	for _, member := range []string{"    outer: 4 mm\n", "    bend_radius: 25 mm\n"} {
		good := c.read(parts)
		c.write(parts, strings.Replace(good, member, "", 1))
		c.open(trailer)
		told := c.finds(parts, codeUnjudged)
		c.open(parts)
		if told = c.finds(parts, codeUnjudged); c.at(parts, told.Range) != "number: FG-T4" || !strings.HasPrefix(told.Message, "part FG-T4: ") {
			t.Errorf("without %q: %q is marked: %s", member, c.at(parts, told.Range), asJSON(told))
		}
		c.edit(parts, textEdit{span{position{}, position{9999, 0}}, good})
		c.clean(parts)
		c.clean(trailer)
		c.shut(parts)
		c.shut(trailer)
		c.write(parts, good)
	}
}
