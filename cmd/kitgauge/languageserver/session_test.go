package languageserver

import (
	"context"
	"encoding/json"
	"errors"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/sourcegraph/jsonrpc2"
)

const (
	gritter = "examples/gritter/gritter.kit.yaml"
	trailer = "examples/trailer/trailer.kit.yaml"
	winter  = "examples/parts/winter.parts.yaml"
)

// capable is what an editor of today says of itself.
const capable = `{"textDocument":{"publishDiagnostics":{"relatedInformation":true},"codeAction":{"codeActionLiteralSupport":{},"resolveSupport":{"properties":["edit"]}}},"workspace":{"workspaceEdit":{"documentChanges":true}}}`

func TestSession(t *testing.T) {
	c := start(t, Options{}, capable)
	c.open(gritter)
	c.clean(gritter)
	before := string(c.texts[gritter].bytes)

	// a fault is typed, found, and mended by what is offered
	c.typed(gritter, "cut_length: 2700 mm", "cut_length: 2610 mm")
	found := c.finds(gritter, "routing/cut-length")
	if got := c.at(gritter, found.Range); got != "2610 mm" || found.Severity != severityError || !strings.Contains(found.Message, "\nremedy: cut it to ") {
		t.Errorf("%q is marked: %s", got, asJSON(found))
	}
	list := c.actions(gritter, span{found.Range.Start, found.Range.Start})
	if len(list) < 2 || list[0].Kind != kindQuickFix || !list[0].Preferred || list[0].Diagnostics[0].Code != found.Code || list[len(list)-1].Kind != kindFixAll {
		t.Fatalf("offered: %s", asJSON(list))
	}
	c.apply(list[0].Edit)
	c.clean(gritter)
	if got := string(c.texts[gritter].bytes); got == before || strings.Contains(got, "2610 mm") {
		t.Errorf("the edit leaves %d bytes of %d", len(got), len(before))
	}

	// a body gets another name, wherever it is named
	var e workspaceEdit
	c.call("textDocument/rename", renameParams{c.place(gritter, "child: front-axle", 9), "axle-1"}, &e)
	c.apply(&e)
	c.clean(gritter)
	if strings.Contains(string(c.texts[gritter].bytes), "front-axle") {
		t.Error("the old name stands somewhere")
	}
	c.quit(exitAsked)
	if *transcriptFile != "" {
		if err := os.WriteFile(*transcriptFile, c.script.Bytes(), 0o666); err != nil {
			t.Fatal(err)
		}
	}
}

// TestFixAll writes all that follows from the rest of the file: where the editor
// can ask for what an action comes to, and where it cannot.
func TestFixAll(t *testing.T) {
	for _, capabilities := range []string{capable, `{}`} {
		c := start(t, ofPacks("paperwork"), capabilities)
		c.open(trailer)
		before := string(c.texts[trailer].bytes)
		c.typed(trailer, `pump_marker: "1"`, `pump_marker: "11"`)
		c.typed(trailer, `pump_marker: "3"`, `pump_marker: "33"`)
		c.until(trailer, "two findings", func(list []diagnostic) bool { return len(list) == 2 })
		list := c.actions(trailer, span{}, kindFixAll)
		if len(list) != 1 {
			t.Fatalf("offered: %s", asJSON(list))
		}
		if a := list[0]; a.Command != nil {
			c.call("workspace/executeCommand", map[string]any{"command": a.Command.Command, "arguments": a.Command.Arguments}, nil)
			c.mu.Lock()
			a.Edit = &c.asked[0].Edit
			c.mu.Unlock()
			c.apply(a.Edit)
		} else {
			var whole codeAction
			c.call("codeAction/resolve", a, &whole)
			c.apply(whole.Edit)
		}
		c.clean(trailer)
		if got := string(c.texts[trailer].bytes); got != before {
			t.Errorf("%d bytes are written, want the %d as they were", len(got), len(before))
		}
		c.quit(exitAsked)
	}
}

// TestFixAllInWords says why nothing is written, leaves what one slip may be
// behind, and ends when it is called back.
func TestFixAllInWords(t *testing.T) {
	c := start(t, Options{Slips: true}, capable)
	c.open(faulty)
	c.until(faulty, "told", func(list []diagnostic) bool { return len(list) > 5 })
	list := c.actions(faulty, span{}, kindFixAll)
	began := time.Now()
	var whole codeAction
	c.call("codeAction/resolve", list[0], &whole)
	if whole.Edit == nil || time.Since(began) > longestFix {
		t.Fatalf("after %s: %s", time.Since(began), asJSON(whole))
	}
	c.apply(whole.Edit)
	c.until(faulty, "told", func(list []diagnostic) bool { return len(list) > 5 })
	for _, a := range c.actions(faulty, span{}, kindFixAll) {
		if err := c.try("codeAction/resolve", a, nil); err == nil || !strings.Contains(err.Error(), "nothing is written: ") {
			t.Errorf("told: %v", err)
		}
	}
	c.typed(faulty, "cut_length: 2789 mm", "cut_length: 2600 mm")
	call, err := c.conn.DispatchCall(context.Background(), "codeAction/resolve", list[0], jsonrpc2.PickID(jsonrpc2.ID{Num: 4711}))
	if err != nil {
		t.Fatal(err)
	}
	began = time.Now()
	c.notify("$/cancelRequest", map[string]any{"id": 4711})
	var fault *jsonrpc2.Error
	if err := call.Wait(context.Background(), nil); !errors.As(err, &fault) || fault.Code != codeCancelled || time.Since(began) > time.Second {
		t.Errorf("after %s: %v", time.Since(began), err)
	}
	if err := c.try("workspace/executeCommand", executeParams{commandFixAll, []string{"file:///k/other.kit.yaml"}}, nil); err == nil {
		t.Error("a command for what is not open is met")
	}
}

// TestConcession drafts a concession: what only a person knows is asked for, and
// once it is stated the finding is conceded.
func TestConcession(t *testing.T) {
	c := start(t, Options{}, capable)
	c.open(gritter)
	c.typed(gritter, "cut_length: 2700 mm", "cut_length: 2900 mm")
	found := c.finds(gritter, "routing/surplus")
	var draft *codeAction
	for _, a := range c.actions(gritter, found.Range) {
		if strings.HasPrefix(a.Title, "Draft a concession for routing/surplus") {
			draft = &a
		}
	}
	if draft == nil {
		t.Fatal("no draft is offered")
	}
	c.apply(draft.Edit)
	if got := string(c.texts[gritter].bytes); !strings.Contains(got, "{rule: routing/surplus, place: line 6, reason: \"\", granted_by: \"\", until: \"\", severity: ") {
		t.Errorf("drafted:\n%s", got[strings.Index(got, "concessions:"):])
	}
	empty := c.finds(gritter, "paperwork/concession-complete")
	if !strings.Contains(empty.Message, "does not say why, who granted it, until when") {
		t.Errorf("told: %s", empty.Message)
	}
	c.typed(gritter, `reason: "", granted_by: "", until: ""`, `reason: no other hole, granted_by: I. Halvard, until: 2027-03-31`)
	found = c.until(gritter, "conceded", func(list []diagnostic) bool { return len(list) == 1 })[0]
	if found.Severity != severityHint || found.Code != "routing/surplus" || !strings.Contains(found.Message, "granted by I. Halvard until 2027-03-31: no other hole") || len(found.Related) != 1 {
		t.Errorf("conceded: %s", asJSON(found))
	}
	for _, a := range c.actions(gritter, found.Range) {
		t.Errorf("offered at what is conceded: %s", a.Title)
	}
}

func TestOrder(t *testing.T) {
	c := connect(t, Options{})
	if err := c.try("textDocument/hover", json.RawMessage(`{}`), nil); err == nil || !strings.Contains(err.Error(), "-32002") {
		t.Errorf("before initialize: %v", err)
	}
	c.notify("textDocument/didOpen", json.RawMessage(`{}`))
	c.call("initialize", json.RawMessage(`{"capabilities":{}}`), nil)
	if err := c.try("initialize", json.RawMessage(`{"capabilities":{}}`), nil); err == nil || !strings.Contains(err.Error(), "-32600") {
		t.Errorf("initialize again: %v", err)
	}
	if err := c.try("kitgauge/nothing", nil, nil); err == nil || !strings.Contains(err.Error(), "-32601") {
		t.Errorf("an unknown request: %v", err)
	}
	c.notify("$/unknown", nil)
	c.call("shutdown", nil, nil)
	if err := c.try("textDocument/hover", json.RawMessage(`{}`), nil); err == nil || !strings.Contains(err.Error(), "-32600") {
		t.Errorf("after shutdown: %v", err)
	}
	c.notify("exit", nil)
	c.ends(exitAsked)

	c = connect(t, Options{})
	c.notify("exit", nil)
	c.ends(exitDropped)
}
