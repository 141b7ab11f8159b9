package languageserver

import (
	"strings"
	"testing"
)

// place is where a text stands that is the only one of its kind, behind as many
// bytes of it.
func (c *client) place(name, text string, behind int) atPlace {
	c.Helper()
	whole := string(c.texts[name].bytes)
	if n := strings.Count(whole, text); n != 1 {
		c.Fatalf("%q stands %d times in %s", text, n, name)
	}
	p := atPlace{Position: c.texts[name].position(strings.Index(whole, text) + behind)}
	p.TextDocument.URI = c.uri(name)
	return p
}

// TestLook asks what an editor asks of a text, and holds the answers to what
// stands there.
func TestLook(t *testing.T) {
	c := start(t, Options{}, capable)
	c.open(gritter)
	c.typed(gritter, "bodies:\n", "bodies: # größer 👷 als üblich\n")
	c.clean(gritter)
	whole := rangeParams{documentID{URI: c.uri(gritter)}, span{position{}, position{9999, 0}}}
	file := documentParams{whole.TextDocument}

	var h hoverResult
	c.call("textDocument/hover", c.place(gritter, "cut_length: 2700 mm", 3), &h)
	if c.at(gritter, h.Range) != "cut_length" || h.Contents.Kind != "markdown" || !strings.Contains(h.Contents.Value, "2700 mm, at least 2696 mm (`routing/cut-length`)") {
		t.Errorf("hover: %s", asJSON(h))
	}
	var nothing *hoverResult
	c.call("textDocument/hover", c.place(gritter, "größer", 1), &nothing)
	if nothing != nil {
		t.Errorf("hover in a remark: %s", asJSON(nothing))
	}

	body := c.place(gritter, "child: front-axle", 9)
	var at []location
	c.call("textDocument/definition", body, &at)
	if len(at) != 1 || !strings.HasPrefix(c.from(gritter, at[0].Range), "front-axle, name: front axle") {
		t.Errorf("definition: %s", asJSON(at))
	}
	var all, used []location
	c.call("textDocument/references", referenceParams{atPlace: body}, &used)
	c.call("textDocument/references", map[string]any{"textDocument": body.TextDocument, "position": body.Position, "context": map[string]bool{"includeDeclaration": true}}, &all)
	var marked []highlight
	c.call("textDocument/documentHighlight", body, &marked)
	if n := strings.Count(string(c.texts[gritter].bytes), "front-axle"); len(all) != n || len(used) != n-1 || len(marked) != n {
		t.Errorf("%d, %d and %d references of %d", len(all), len(used), len(marked), n)
	}

	c.typed(gritter, "catalogues: [../parts/winter.parts.yaml]", "catalogues: []")
	var files completionList
	c.call("textDocument/completion", c.place(gritter, "catalogues: []", 13), &files)
	if len(files.Items) != 1 || files.Items[0].Kind != 17 || files.Items[0].Edit.NewText != "../parts/winter.parts.yaml" {
		t.Errorf("catalogues: %s", asJSON(files))
	}
	c.typed(gritter, "catalogues: []", "catalogues: [../parts/winter.parts.yaml]")

	var beside []inlayHint
	c.call("textDocument/inlayHint", whole, &beside)
	if len(beside) == 0 || beside[0].Label != "slack 54.08 of 50 mm" {
		t.Errorf("figures: %s", asJSON(beside))
	}
	c.notify("workspace/didChangeConfiguration", map[string]any{"settings": map[string]any{"kitgauge": map[string]any{"figures": false}}})
	c.call("textDocument/inlayHint", whole, &beside)
	if len(beside) != 0 {
		t.Errorf("figures that were switched off: %d", len(beside))
	}

	var links []documentLink
	c.call("textDocument/documentLink", file, &links)
	if len(links) != 1 || links[0].Target != c.uri(winter) {
		t.Errorf("links: %s", asJSON(links))
	}
	var symbols []symbolInformation
	c.call("textDocument/documentSymbol", file, &symbols)
	if !strings.Contains(asJSON(symbols), `"body front-axle"`) {
		t.Errorf("symbols: %s", asJSON(symbols))
	}
	var folds []foldingRange
	c.call("textDocument/foldingRange", file, &folds)
	if len(folds) == 0 || folds[0].EndLine <= folds[0].StartLine {
		t.Errorf("folds: %s", asJSON(folds))
	}

	var units completionList
	c.call("textDocument/completion", c.place(gritter, "cut_length: 2700 mm", len("cut_length: 2700 ")), &units)
	if len(units.Items) == 0 || units.Items[0].Edit.NewText != "2700 mm" || !strings.HasPrefix(units.Items[0].FilterText, "2700 ") || c.at(gritter, units.Items[0].Edit.Range) != "2700 mm" {
		t.Errorf("units: %s", asJSON(units))
	}
	c.quit(exitAsked)
}

// TestRename gives a body and a part other names, in the kit and in what is
// beside it.
func TestRename(t *testing.T) {
	c := start(t, Options{}, capable)
	c.open(gritter)
	c.open(winter)
	c.clean(gritter)
	var from renameRange
	body := c.place(gritter, "child: front-axle", 9)
	c.call("textDocument/prepareRename", body, &from)
	if from.Placeholder != "front-axle" || c.at(gritter, from.Range) != "front-axle" {
		t.Errorf("to be renamed: %s", asJSON(from))
	}
	if err := c.try("textDocument/rename", renameParams{body, "chassis"}, nil); err == nil || !strings.Contains(err.Error(), "body chassis is there already") {
		t.Errorf("a name that is taken: %v", err)
	}
	var e workspaceEdit
	c.call("textDocument/rename", renameParams{body, "axle-1"}, &e)
	c.apply(&e)
	if n := strings.Count(string(c.texts[gritter].bytes), "front-axle"); n != 0 {
		t.Errorf("the old name stands %d times", n)
	}
	e = workspaceEdit{}
	c.call("textDocument/rename", renameParams{c.place(winter, "number: FG-T4\n", 9), "FG-T40"}, &e)
	var fromKit workspaceEdit
	whole := string(c.texts[gritter].bytes)
	tube := atPlace{Position: c.texts[gritter].position(strings.Index(whole, "tube: FG-T4\n") + 8)}
	tube.TextDocument.URI = c.uri(gritter)
	c.call("textDocument/rename", renameParams{tube, "FG-T40"}, &fromKit)
	if asJSON(fromKit) != asJSON(e) {
		t.Errorf("from a kit:\n%s\nfrom the catalogue:\n%s", asJSON(fromKit), asJSON(e))
	}
	for _, d := range e.DocumentChanges {
		switch d.TextDocument.URI {
		case c.uri(gritter), c.uri(winter):
			if d.TextDocument.Version == nil {
				t.Errorf("%s is open, and its version is not told", d.TextDocument.URI)
			}
		case c.uri(trailer):
			if d.TextDocument.Version != nil {
				t.Error("a version of what is not open")
			}
			c.open(trailer)
		default:
			path, _ := pathOf(d.TextDocument.URI)
			c.open(strings.TrimPrefix(path, c.dir+"/"))
		}
	}
	c.apply(&e)
	for _, name := range []string{gritter, trailer} {
		if !strings.Contains(string(c.texts[name].bytes), "FG-T40") {
			t.Errorf("%s keeps the old number", name)
		}
		c.clean(name)
	}
	c.quit(exitAsked)
}

// TestWholePoint begins a point: an editor that knows snippets gets a place for
// each value, another the keys alone.
func TestWholePoint(t *testing.T) {
	const draft = "draft.kit.yaml"
	for capabilities, want := range map[string]string{
		`{"textDocument":{"completion":{"completionItem":{"snippetSupport":true}}}}`: "id: ${1:}\n    name: ${2:}\n    body: ${3:}\n    position: [${4:x}, ${5:y}, ${6:z}]",
		`{}`: "id: \n    name: \n    body: \n    position: \n    thread: ",
	} {
		c := start(t, Options{}, capabilities)
		c.openAs(draft, "points:\n  - \n")
		var list completionList
		c.call("textDocument/completion", c.place(draft, "- ", 2), &list)
		if len(list.Items) == 0 || list.Items[0].Label != "whole grease point" || !strings.HasPrefix(list.Items[0].Edit.NewText, want) {
			t.Errorf("%s: %s", capabilities, asJSON(list))
		}
		for _, item := range list.Items {
			if strings.Contains(item.FilterText, "\n") || !strings.Contains(item.FilterText, item.Label) {
				t.Errorf("what is typed is held against %q", item.FilterText)
			}
		}
		c.quit(exitAsked)
	}
}
