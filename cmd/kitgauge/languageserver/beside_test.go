package languageserver

import (
	"os"
	"strings"
	"testing"
)

const settingsOfAll = "examples/kitgauge.settings.yaml"

// TestBeside judges an open kit by what stands in the editor of the files that it
// reads, and by the disk once they are closed.
func TestBeside(t *testing.T) {
	c := start(t, Options{}, capable)
	c.open(trailer)
	c.clean(trailer)

	// a catalogue that is typed, and not saved
	c.open(winter)
	c.clean(winter)
	c.typed(winter, "number: FG-T4\n", "number: FG-T4X\n")
	found := c.finds(trailer, "file/reference")
	if !strings.Contains(found.Message, `"FG-T4"`) {
		t.Errorf("told: %s", found.Message)
	}
	c.shut(winter)
	c.clean(trailer)

	// settings that come to be, are wrong, and are right
	c.openAs(settingsOfAll, "gate: mjor\n")
	broken := c.finds(trailer, "file/unread")
	if !strings.Contains(broken.Message, "this kit cannot be checked: ") {
		t.Errorf("told: %s", broken.Message)
	}
	if d := c.finds(settingsOfAll, "file/unread"); c.at(settingsOfAll, d.Range) != "mjor" {
		t.Errorf("%q is marked: %s", c.at(settingsOfAll, d.Range), asJSON(d))
	}
	c.typed(settingsOfAll, "gate: mjor", "limits:\n  slack/articulated_slack: {is: 60 mm, reason: a test}")
	c.finds(trailer, "slack/articulated")
	c.clean(settingsOfAll)
	c.shut(settingsOfAll)
	c.clean(trailer)

	// what is saved by another program
	c.write(settingsOfAll, "limits:\n  slack/articulated_slack: {is: 60 mm, reason: a test}\n")
	c.notify("textDocument/didSave", map[string]any{"textDocument": map[string]any{"uri": c.uri(settingsOfAll)}})
	c.finds(trailer, "slack/articulated")
	if err := os.Remove(c.file(settingsOfAll)); err != nil {
		t.Fatal(err)
	}
	c.clean(trailer) // nobody tells of it

	// a pack of one's own, and concessions
	c.write(settingsOfAll, "packs: {add: [own.pack.yaml]}\n")
	c.write("examples/own.pack.yaml", ownPack)
	c.notify("workspace/didChangeWatchedFiles", map[string]any{"changes": []any{}})
	c.finds(trailer, "own/number")
	c.openAs("examples/own.pack.yaml", strings.Replace(ownPack, "kit.header.number !=", "kit.header.number ==", 1))
	c.clean(trailer)
	c.typed("examples/own.pack.yaml", "kit.header.number ==", "kit.header.nmber ==")
	c.finds("examples/own.pack.yaml", "file/unread")
	c.typed("examples/own.pack.yaml", "kit.header.nmber ==", "kit.header.number !=")
	c.finds(trailer, "own/number")
	c.openAs("examples/trailer/trailer.concessions.yaml", "concessions:\n  - {rule: own/number, place: the kit, reason: a test, granted_by: I. Halvard, until: 2026-12-31}\n")
	c.until(trailer, "conceded", func(list []diagnostic) bool {
		i := withCode(list, "own/number")
		return i >= 0 && list[i].Severity == severityHint
	})
	c.quit(exitAsked)
}

// TestAlone tells what is wrong with a file that kits read where no kit is open,
// and once where one is.
func TestAlone(t *testing.T) {
	c := start(t, Options{}, capable)
	c.open(winter)
	c.clean(winter)
	c.typed(winter, "filled polyamide\n    maker: Fjellgrease\n    outer: 4 mm", "filled polyamide\n    maker: Fjellgrease\n    outr: 4 mm")
	if d := c.finds(winter, "file/catalogue"); c.at(winter, d.Range) != "outr" {
		t.Errorf("told: %s", asJSON(d))
	}
	c.open(trailer)
	c.until(trailer, "told", func(list []diagnostic) bool { return len(list) > 0 })
	list := c.until(winter, "told once", func(list []diagnostic) bool {
		return strings.Contains(asJSON(list), "part FG-T4") // as a kit tells it
	})
	if n := strings.Count(asJSON(list), "outr"); n != 1 {
		t.Errorf("told %d times: %s", n, asJSON(list))
	}
	for _, a := range c.actions(winter, list[withCode(list, "file/catalogue")].Range) {
		c.apply(a.Edit)
		break
	}
	c.clean(winter)
	c.clean(trailer)
	for name, text := range map[string]string{"examples/x.concessions.yaml": "concession: []\n", "examples/x.pack.yaml": "pack: 5 5\n", "examples/x.parts.yaml": "- [\n"} {
		c.openAs(name, text)
		c.until(name, "told", func(list []diagnostic) bool { return len(list) > 0 })
	}
	c.quit(exitAsked)
}

const ownPack = `pack: own
title: A pack of a test
rules:
  - id: number
    title: The kit has another number
    of: kit
    must: kit.header.number != "WS-0311"
    severity: minor
    says: the number is taken
    remedy: take another one
    basis: common practice, no source
    why: A test wants it.
`
