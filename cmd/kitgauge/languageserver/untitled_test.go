package languageserver

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
)

// TestUntitled types a kit that was never saved: it is checked as if it lay where
// the editor has its root, as soon as it has the shape of a kit.
func TestUntitled(t *testing.T) {
	c := startAt(t, Options{}, "examples", true)
	text := strings.Replace(c.read(trailer), "../parts/", "parts/", 1)
	for i, uri := range []string{"untitled:Untitled-1", "untitled:New kit.yaml", "untitled:" + c.file("examples/trailer/new.yaml")} {
		if i == 2 {
			text = c.read(trailer)
		}
		c.notify("textDocument/didOpen", map[string]any{"textDocument": map[string]any{"uri": uri, "languageId": "yaml", "version": 1, "text": "services: {}\n"}})
		if d := c.untilURI(uri, 1); len(d) != 0 {
			t.Errorf("%s: what is no kit: %s", uri, asJSON(d))
		}
		c.notify("textDocument/didChange", map[string]any{"textDocument": map[string]any{"uri": uri, "version": 2}, "contentChanges": []map[string]string{{"text": text}}})
		if d := c.untilURI(uri, 2); len(d) != 0 {
			t.Errorf("%s: a kit without faults: %s", uri, asJSON(d))
		}
		c.notify("textDocument/didChange", map[string]any{"textDocument": map[string]any{"uri": uri, "version": 3}, "contentChanges": []map[string]string{{"text": strings.Replace(text, "745 mm", "745 bar", 1)}}})
		if d := c.untilURI(uri, 3); withCode(d, "file/value") < 0 {
			t.Errorf("%s: a kit with a fault: %s", uri, asJSON(d))
		}
		var h *hoverResult
		c.call("textDocument/hover", json.RawMessage(fmt.Sprintf(`{"textDocument":{"uri":%q},"position":{"line":4,"character":3}}`, uri)), &h)
		if h == nil {
			t.Errorf("%s: nothing is said", uri)
		}
		c.notify("textDocument/didClose", documentParams{documentID{URI: uri}})
		c.untilCleared(uri)
	}
}

// untilURI waits for what is told of a version.
func (c *client) untilURI(uri string, version int) []diagnostic {
	c.Helper()
	for {
		c.mu.Lock()
		p := c.told[uri]
		came := c.came
		c.mu.Unlock()
		if p.Version != nil && *p.Version == version {
			return p.Diagnostics
		}
		select {
		case <-came:
		case <-c.Context().Done():
			c.Fatal("nothing is told of " + uri)
		}
	}
}

// untilCleared waits until what was told of a text is taken back.
func (c *client) untilCleared(uri string) {
	c.Helper()
	for {
		c.mu.Lock()
		p, came := c.told[uri], c.came
		c.mu.Unlock()
		if p.Version == nil && p.Diagnostics != nil && len(p.Diagnostics) == 0 {
			return
		}
		select {
		case <-came:
		case <-c.Context().Done():
			c.Fatalf("of %s, which was closed, %d findings stay", uri, len(p.Diagnostics))
		}
	}
}
