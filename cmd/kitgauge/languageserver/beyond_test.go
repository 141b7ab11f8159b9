package languageserver

import (
	"slices"
	"strings"
	"testing"
)

// TestNearestInFiles offers what a finding says is nearest in the files that kits
// read: not as the one to be preferred, and not among what is written at once.
func TestNearestInFiles(t *testing.T) {
	c := start(t, Options{}, capable)
	c.open(trailer)
	c.clean(trailer)
	const parts, settings, concessions = "examples/parts/winter.parts.yaml", "examples/trailer/kitgauge.settings.yaml", "examples/trailer/trailer.concessions.yaml"
	for _, of := range []struct{ file, text, old, now string }{
		{parts, c.read(parts), "bend_radius: 25 mm", "bend_radius: 25 mmm"},
		{parts, c.read(parts), "outer: 18.5 mm", "outer: 18.5 mmm"},
		{settings, "gate: major\n", "major", "majr"},
		{settings, "limits:\n  slack/articulated_slack: {is: 60 mm, reason: Ruts.}\n", "slack/articulated_slack", "slack/articulated_slak"},
		{settings, "limits:\n  slack/articulated_slack: {is: 60 mm, reason: Ruts.}\n", "60 mm", "60 mmm"},
		{concessions, conceded, "power/fuse-near-source", "power/fuse-near-sorce"},
	} {
		wrong := strings.Replace(of.text, of.old, of.now, 1)
		c.openAs(of.file, wrong)
		list := c.until(of.file, "found", func(list []diagnostic) bool { return len(list) > 0 })
		offered := false
		for _, a := range c.actions(of.file, list[0].Range, kindQuickFix) {
			if strings.HasSuffix(a.Title, ", the nearest (to be decided)") && !offered {
				offered = !a.Preferred
				c.apply(a.Edit)
			}
		}
		if got := string(c.texts[of.file].bytes); !offered || got != of.text {
			t.Errorf("%s: %s is not mended: %s", of.file, of.now, asJSON(list[0]))
		}
		if list := c.actions(of.file, span{position{}, position{9999, 0}}, kindFixAll); len(list) > 0 {
			t.Errorf("%s: all is to be mended at once: %s", of.file, asJSON(list))
		}
		c.shut(of.file)
	}
}

const conceded = `concessions:
  - rule: power/fuse-near-source
    place: the feed
    reason: No room.
    granted_by: R. Okafor
    until: 2027-03-31
    severity: critical
    value: 450 mm
`

// TestMisreadConcession misspells the severity of a concession: nothing is
// conceded by what was not read in full. Its place is completed from what is
// found.
func TestMisreadConcession(t *testing.T) {
	c := start(t, Options{}, capable)
	const concessions = "examples/trailer/trailer.concessions.yaml"
	c.open(trailer)
	c.clean(trailer)
	c.typed(trailer, "fuse_distance: 150 mm", "fuse_distance: 400 mm")
	of := func(severity int) func([]diagnostic) bool {
		return func(list []diagnostic) bool {
			i := withCode(list, "power/fuse-near-source")
			return i >= 0 && list[i].Severity == severity
		}
	}
	c.until(trailer, "found", of(severityError))
	c.openAs(concessions, strings.Replace(conceded, "place: the feed", "place: ", 1))
	c.until(concessions, "found", func(list []diagnostic) bool { return len(list) > 0 })
	var places completionList
	c.call("textDocument/completion", c.place(concessions, "place: ", len("place: ")), &places)
	if !slices.ContainsFunc(places.Items, func(i completionItem) bool { return i.Label == "the feed" }) {
		t.Errorf("the place is not completed: %s", asJSON(places))
	}
	c.typed(concessions, "place: ", "place: the feed")
	c.until(trailer, "conceded", of(severityHint))
	c.typed(concessions, "severity: critical", "severity: crit")
	c.until(trailer, "no longer conceded", of(severityError))
}

// TestNothingLeft mends all at once: what is left is not offered again.
func TestNothingLeft(t *testing.T) {
	c := start(t, Options{}, capable)
	c.open(faulty)
	c.until(faulty, "told", func(list []diagnostic) bool { return len(list) > 0 })
	whole := span{position{}, position{9999, 0}}
	list := c.actions(faulty, whole, kindFixAll)
	for round := 0; len(list) > 0; round++ {
		if round == 3 {
			t.Fatalf("it is offered for ever: %s", asJSON(list))
		}
		var got codeAction
		if err := c.try("codeAction/resolve", list[0], &got); err != nil || got.Edit == nil {
			t.Fatalf("offered, and nothing is written: %v", err)
		}
		c.apply(got.Edit)
		list = c.actions(faulty, whole, kindFixAll)
	}
}
