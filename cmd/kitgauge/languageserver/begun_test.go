package languageserver

import (
	"strings"
	"testing"
)

// TestBegun begins a kit: what it has not yet is told once in its first line.
func TestBegun(t *testing.T) {
	c := start(t, Options{}, capable)
	const name = "examples/trailer/new.kit.yaml"
	c.openAs(name, "header:\n  number: WS-1\n  revision: A\n")
	list := c.until(name, "judged", func(list []diagnostic) bool { return len(list) > 0 })
	inFirst := 0
	for _, d := range list {
		if d.Range.Start.Line == 0 {
			inFirst++
		}
	}
	if d := list[withCode(list, "file/shape")]; inFirst > 2 || !strings.HasPrefix(d.Message, "the kit states no lines, no points, no pump yet\n") {
		t.Errorf("%d in the first line: %s", inFirst, asJSON(list))
	}
}

// TestCatalogueNotListed states the catalogue as text where a list is needed: one
// finding, and no part that is not known.
func TestCatalogueNotListed(t *testing.T) {
	c := start(t, Options{}, capable)
	c.open(trailer)
	c.typed(trailer, "catalogues: [../parts/winter.parts.yaml]", "catalogues: ../parts/winter.parts.yaml")
	list := c.until(trailer, "found", func(list []diagnostic) bool { return len(list) > 0 })
	found := 0
	for _, d := range list {
		if d.Severity < severityHint {
			found++
		}
	}
	if first := list[withCode(list, "file/shape")]; found != 1 || c.at(trailer, first.Range) != "../parts/winter.parts.yaml" {
		t.Errorf("%d findings: %s", found, asJSON(first))
	}
}
