package languageserver

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/sourcegraph/jsonrpc2"

	"kitgauge/checker"
)

// TestNothingEndsIt sends what is no message, and messages that are not right:
// each is answered or passed over, and what comes behind it is answered.
func TestNothingEndsIt(t *testing.T) {
	for _, tt := range []struct{ name, sent, want string }{
		{"no JSON", frame(`{"jsonrpc":"2.0",`), `"id":null,"error":{"code":-32700`},
		{"nothing", frame(``), `"code":-32700`},
		{"no message", frame(`{"jsonrpc":"2.0","id":7}`), `"id":7,"error":{"code":-32600`},
		{"a number", frame(`5`), `"code":-32600`},
		{"null", frame(`null`), `"code":-32600`},
		{"several at once", frame(`[{"jsonrpc":"2.0","id":1,"method":"shutdown"}]`), `"code":-32600`},
		{"a number no program counts to", frame(`{"jsonrpc":"2.0","id":1.5,"method":"shutdown"}`), `"id":1.5,"error":{"code":-32600`},
		{"deep", frame(strings.Repeat("[", 20_000)), `"code":-32700`},
		{"a message of another size", "Content-Length: 70000000\r\n\r\n" + strings.Repeat(" ", 70_000_000), "more than 64 MiB"},
		{"a head without a size", "Content-Type: text/plain\r\n\r\n", ""},
		{"a head with a wrong size", "Content-Length: many\r\n\r\n", ""},
		{"a negative size", "Content-Length: -5\r\n\r\n", ""},
		{"a long line", strings.Repeat("x", 100_000) + "\r\n", ""},
		{"lines of another kind", "GET / HTTP/1.1\nHost: localhost\n\n", ""},
		{"small letters", strings.ToLower(frame(`{"jsonrpc":"2.0","id":8,"method":"nothing"}`)), `"id":8`},
		{"parameters of another kind", frame(`{"jsonrpc":"2.0","id":9,"method":"textDocument/codeAction","params":[5]}`), `"id":9,"error":{"code":-32602`},
		{"no parameters", frame(`{"jsonrpc":"2.0","id":9,"method":"textDocument/codeAction"}`), `"result":[]`},
		{"a change of what is not open", frame(`{"jsonrpc":"2.0","method":"textDocument/didChange","params":{"textDocument":{"uri":"file:///x.kit.yaml"},"contentChanges":[{"text":"a"}]}}`), ""},
		{"a notification of another kind", frame(`{"jsonrpc":"2.0","method":"textDocument/didOpen","params":7}`), "passed over"},
		{"another scheme", frame(`{"jsonrpc":"2.0","method":"textDocument/didOpen","params":{"textDocument":{"uri":"untitled:x.kit.yaml","text":"a"}}}`), ""},
		{"an answer that nobody asked for", frame(`{"jsonrpc":"2.0","id":99,"result":{}}`), ""},
		{"a request of another kind called back", frame(`{"jsonrpc":"2.0","method":"$/cancelRequest","params":{"id":5}}`), ""},
		{"a place that is not there", frame(`{"jsonrpc":"2.0","id":9,"method":"textDocument/codeAction","params":{"textDocument":{"uri":"file:///x.kit.yaml"},"range":{"start":{"line":-5,"character":-1},"end":{"line":99999999,"character":1}}}}`), `"result":[]`},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			converse(t, frame(`{"jsonrpc":"2.0","id":1,"method":"initialize","params":{"capabilities":{}}}`)+tt.sent+frame(`{"jsonrpc":"2.0","id":"last","method":"shutdown"}`),
				tt.want, `{"id":"last","result":null,"jsonrpc":"2.0"}`)
		})
	}
}

func frame(body string) string { return fmt.Sprintf("Content-Length: %d\r\n\r\n%s", len(body), body) }

// converse is all that a server answers to what is sent until it has said all
// that is wanted, and then to the end.
func converse(t testing.TB, sent string, want ...string) string {
	t.Helper()
	var out safeBuffer
	status := make(chan int, 1)
	in, over := io.Pipe()
	o := Options{Say: func(m string) { t.Error(m) }, base: ofPower()}
	go func() {
		status <- Serve(context.Background(), io.MultiReader(strings.NewReader(sent), in), &out, o)
	}()
	for _, w := range want {
		for began := time.Now(); !strings.Contains(out.String(), w); time.Sleep(time.Millisecond) {
			if time.Since(began) > patience {
				t.Fatalf("answered:\n%s\nwant %s", &out, w)
			}
		}
	}
	over.Close()
	select {
	case <-status:
	case <-time.After(patience):
		t.Fatal("the server does not end")
	}
	return out.String()
}

// ofPower has its rules once for all that is sent.
var ofPower = sync.OnceValue(func() *checker.Checker { return checker.New(checker.Options{Packs: []string{"power"}}) })

type safeBuffer struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (b *safeBuffer) Write(p []byte) (int, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.b.Write(p)
}

func (b *safeBuffer) String() string {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.b.String()
}

// TestPanic has a request and a notification break off: it is told, and nothing
// ends.
func TestPanic(t *testing.T) {
	requests["test/panic"] = func(*server, json.RawMessage) (func(context.Context) (any, error), error) {
		return func(context.Context) (any, error) { panic("of a test") }, nil
	}
	notifications["test/panic"] = func(*server, json.RawMessage) { panic("of a test") }
	defer delete(requests, "test/panic")
	defer delete(notifications, "test/panic")
	c := start(t, Options{}, `{}`)
	var fault *jsonrpc2.Error
	if err := c.try("test/panic", nil, nil); !errors.As(err, &fault) || fault.Code != jsonrpc2.CodeInternalError || !strings.Contains(fault.Message, "a fault of kitgauge and not of the file: of a test") {
		t.Errorf("told: %v", err)
	}
	c.notify("test/panic", nil)
	c.open(trailer)
	c.clean(trailer)
	c.mu.Lock()
	if len(c.broke) != 2 || len(c.logged) != 2 {
		t.Errorf("told %d and %d times", len(c.broke), len(c.logged))
	}
	c.broke = nil
	c.mu.Unlock()
	c.quit(exitAsked)
}

// TestCancelled calls a request back while it is answered.
func TestCancelled(t *testing.T) {
	requests["test/wait"] = func(*server, json.RawMessage) (func(context.Context) (any, error), error) {
		return func(ctx context.Context) (any, error) { <-ctx.Done(); return nil, nil }, nil
	}
	defer delete(requests, "test/wait")
	c := start(t, Options{}, `{}`)
	call, err := c.conn.DispatchCall(context.Background(), "test/wait", nil, jsonrpc2.PickID(jsonrpc2.ID{Num: 77}))
	if err != nil {
		t.Fatal(err)
	}
	c.notify("$/cancelRequest", map[string]any{"id": 77})
	var fault *jsonrpc2.Error
	if err := call.Wait(context.Background(), nil); !errors.As(err, &fault) || fault.Code != codeCancelled {
		t.Errorf("told: %v", err)
	}
	c.quit(exitAsked)
}

// TestHeld opens a tree that somebody else has made: nothing is read beyond it,
// nor from files of another kind, even where the editor has them open.
func TestHeld(t *testing.T) {
	c := start(t, Options{}, capable)
	outside := t.TempDir()
	const secret = "parts: [{number: SECRET}]\n"
	for _, name := range []string{"out.parts.yaml", "kitgauge.settings.yaml"} {
		if err := os.WriteFile(filepath.Join(outside, name), []byte(secret), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	for link, to := range map[string]string{
		"examples/trailer/link.parts.yaml": filepath.Join(outside, "out.parts.yaml"),
		"examples/kitgauge.settings.yaml":  filepath.Join(outside, "kitgauge.settings.yaml"),
	} {
		if err := os.Symlink(to, c.file(link)); err != nil {
			t.Skip(err)
		}
	}
	rel, err := filepath.Rel(c.file("examples/trailer"), filepath.Join(outside, "out.parts.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	c.open(trailer)
	if d := c.finds(trailer, "file/unread"); !strings.Contains(d.Message, "a link leads out of the tree") {
		t.Errorf("told: %s", d.Message)
	}
	if err := os.Remove(c.file("examples/kitgauge.settings.yaml")); err != nil {
		t.Fatal(err)
	}
	c.notify("textDocument/didOpen", map[string]any{"textDocument": map[string]any{"uri": uriOf(filepath.Join(outside, "out.parts.yaml")), "version": 1, "text": secret}})
	c.openAs("examples/trailer/link.parts.yaml", secret)
	whole := string(c.texts[trailer].bytes)
	at := strings.Index(whole, "catalogues:")
	end := at + strings.Index(whole[at:], "\n")
	c.edit(trailer, textEdit{c.texts[trailer].span(at, end), fmt.Sprintf("catalogues: [../parts/winter.parts.yaml, link.parts.yaml, %q, /etc/x.parts.yaml, ../../.git/config]", filepath.ToSlash(rel))})
	list := c.until(trailer, "told", func(list []diagnostic) bool {
		return strings.Count(asJSON(list), `"file/catalogue"`) >= 4 && withCode(list, "file/unread") < 0
	})
	for _, want := range []string{"a link leads out of the tree", "it lies outside of the tree", "is an absolute path", "is not the name of a parts catalogue"} {
		if !strings.Contains(asJSON(list), want) {
			t.Errorf("not told: %s", want)
		}
	}
	if strings.Contains(asJSON(list), "SECRET") {
		t.Errorf("told what stands outside: %s", asJSON(list))
	}
	c.quit(exitAsked)
}

// FuzzServe sends messages, among them those of a conversation that is damaged:
// the server ends with its input, breaks off nothing, and frames what it says.
func FuzzServe(f *testing.F) {
	const kit = "header: {number: \"Ü-😀\"}\r\npoints: [{id: a}]\r\n"
	open := func(uri, text string) string {
		b, _ := json.Marshal(map[string]any{"uri": uri, "version": 1, "text": text})
		return frame(`{"jsonrpc":"2.0","method":"textDocument/didOpen","params":{"textDocument":` + string(b) + `}}`)
	}
	hello := frame(`{"jsonrpc":"2.0","id":1,"method":"initialize","params":{"capabilities":{"general":{"positionEncodings":["utf-8"]}}}}`)
	change := frame(`{"jsonrpc":"2.0","method":"textDocument/didChange","params":{"textDocument":{"uri":"file:///k/a.kit.yaml","version":2},"contentChanges":[{"range":{"start":{"line":0,"character":20},"end":{"line":1,"character":3}},"text":"é\r😀"},{"text":"points: []"}]}}`)
	ask := ""
	for method := range requests {
		ask += frame(fmt.Sprintf(`{"jsonrpc":"2.0","id":%q,"method":%q,"params":{"textDocument":{"uri":"file:///k/a.kit.yaml"},"position":{"line":0,"character":12},"range":{"start":{"line":0,"character":0},"end":{"line":9,"character":9}},"context":{},"newName":"b"}}`, method, method))
	}
	f.Add([]byte(hello + open("file:///k/a.kit.yaml", kit) + change + frame(`{"jsonrpc":"2.0","method":"textDocument/didClose","params":{"textDocument":{"uri":"file:///k/a.kit.yaml"}}}`)))
	f.Add([]byte(hello + open("file:///k/kitgauge.settings.yaml", "gate: x") + open("file:///k/a.parts.yaml", "parts: [") + ask))
	f.Add([]byte(frame(`{"jsonrpc":"2.0","id":1,"method":"shutdown"}`) + hello + frame(`{"jsonrpc":"2.0","method":"exit"}`)))
	f.Fuzz(func(t *testing.T, sent []byte) {
		out := converse(t, string(sent))
		in := newStream(strings.NewReader(out), io.Discard, nil)
		for {
			if _, err := in.next(); err == io.EOF {
				return
			} else if err != nil {
				t.Fatalf("%v in what is answered:\n%s", err, out)
			}
		}
	})
}
