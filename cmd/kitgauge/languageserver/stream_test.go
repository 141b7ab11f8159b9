package languageserver

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os/exec"
	"strings"
	"testing"
	"time"
)

// TestHeaders sends headers that tell no size: each is answered with a parse
// error (JSON-RPC 2.0, section 5.1: -32700), and the message behind it is read.
func TestHeaders(t *testing.T) {
	const good = `{"jsonrpc":"2.0","id":7,"method":"x"}`
	for _, bad := range []string{
		"Content-Length: abc\r\n\r\n{}",
		"Content-Length: -5\r\n\r\n",
		"Content-Length:\r\n\r\n" + `{"jsonrpc":"2.0"}`,
		"Content-Length: 99999999999\r\n\r\n{}",
	} {
		var out bytes.Buffer
		in := fmt.Sprintf("%sContent-Length: %d\r\n\r\n%s", bad, len(good), good)
		s := newStream(strings.NewReader(in), &out, func() error { return nil })
		var got struct {
			ID int `json:"id"`
		}
		if err := s.ReadObject(&got); err != nil || got.ID != 7 {
			t.Errorf("behind %q: %v, message %d", bad, err, got.ID)
		}
		if !strings.Contains(out.String(), `"code":-32700`) {
			t.Errorf("%q is answered %s", bad, out.String())
		}
	}
}

// TestParentGone ends the server with the process that an editor names, although
// the streams stay open.
func TestParentGone(t *testing.T) {
	parent := exec.Command("sleep", "60")
	if err := parent.Start(); err != nil {
		t.Skip(err)
	}
	c := connect(t, Options{})
	c.call("initialize", json.RawMessage(fmt.Sprintf(`{"processId":%d,"rootUri":null,"capabilities":{}}`, parent.Process.Pid)), &initializeResult{})
	time.Sleep(10 * time.Millisecond)
	_ = parent.Process.Kill()
	_ = parent.Wait()
	c.ends(exitDropped)
}

// TestNoEditsTaken asks for all safe edits from an editor that takes none from a
// server: it is told so, and given them where it asks for their kind.
func TestNoEditsTaken(t *testing.T) {
	c := start(t, Options{}, `{}`)
	c.openAs(trailer, strings.Replace(c.read(trailer), "cut_length: 745 mm", "cut_length: 650 mm", 1))
	c.finds(trailer, "routing/cut-length")
	if list := c.actions(trailer, span{}); len(list) != 0 {
		t.Errorf("offered: %s", asJSON(list))
	}
	list := c.actions(trailer, span{}, kindFixAll)
	if len(list) != 1 || list[0].Edit == nil {
		t.Fatalf("asked for: %s", asJSON(list))
	}
	if err := c.try("workspace/executeCommand", executeParams{commandFixAll, []string{c.uri(trailer)}}, nil); err == nil || len(c.asked) > 0 {
		t.Errorf("the command is carried out: %v", err)
	}
	c.apply(list[0].Edit)
	c.clean(trailer)
}
