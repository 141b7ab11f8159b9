package languageserver

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/sourcegraph/jsonrpc2"

	"kitgauge/checker"
)

var transcriptFile = flag.String("transcript", "", "write what the scripted session says and is told to this file")

// client is a scripted editor at the other end of two pipes. It frames messages
// by the codec of the library, which the server does not use.
type client struct {
	testing.TB
	dir      string
	conn     *jsonrpc2.Conn
	status   chan int
	broke    []string         // what the server says of faults of its own
	texts    map[string]*text // that are open
	versions map[string]int
	encoded  encoding

	mu     sync.Mutex
	came   chan struct{} // closed with the next message
	told   map[string]publishParams
	all    []publishParams
	count  int            // of publications
	counts map[string]int // the last of each file
	asked  []applyEditParams
	logged []string
	script bytes.Buffer
}

// start starts a server over the examples, in a tree of their own, and opens the
// conversation.
func start(t testing.TB, o Options, capabilities string) *client {
	t.Helper()
	dir, err := filepath.EvalSymlinks(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	if err := os.CopyFS(filepath.Join(dir, "examples"), os.DirFS("../../../examples")); err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(filepath.Join(dir, ".git"), 0o777); err != nil { // the top of the tree
		t.Fatal(err)
	}
	c := connect(t, o)
	c.dir = dir
	var result initializeResult
	c.call("initialize", json.RawMessage(fmt.Sprintf(`{"processId":null,"rootUri":%q,"capabilities":%s}`, uriOf(dir), capabilities)), &result)
	c.encoded = result.Capabilities.PositionEncoding
	c.notify("initialized", struct{}{})
	return c
}

// connect starts a server.
func connect(t testing.TB, o Options) *client {
	t.Helper()
	c := &client{TB: t, status: make(chan int, 1), texts: map[string]*text{}, versions: map[string]int{}, told: map[string]publishParams{}, counts: map[string]int{}, came: make(chan struct{}), encoded: utf16}
	if o.Check.On == "" {
		o.Check.On = "2026-11-25"
	}
	o.Version = "0.0.0"
	o.Say = func(message string) {
		c.mu.Lock()
		defer c.mu.Unlock()
		c.broke = append(c.broke, message)
	}
	toServer, fromClient := io.Pipe()
	toClient, fromServer := io.Pipe()
	go func() {
		c.status <- Serve(context.Background(), toServer, fromServer, o)
		toServer.Close()
		fromServer.Close()
	}()
	c.conn = jsonrpc2.NewConn(context.Background(), jsonrpc2.NewBufferedStream(duplex{toClient, fromClient}, jsonrpc2.VSCodeObjectCodec{}), c, jsonrpc2.SetLogger(quiet{}),
		jsonrpc2.OnSend(c.record("editor")), jsonrpc2.OnRecv(c.record("kitgauge")))
	t.Cleanup(func() {
		c.conn.Close()
		select {
		case <-c.status:
		case <-time.After(patience):
			t.Error("the server does not end with its connection")
		}
		for _, why := range c.broke {
			t.Error(why)
		}
	})
	return c
}

// patience is how long a test waits for what has to come.
const patience = 60 * time.Second

type duplex struct {
	io.ReadCloser
	out io.WriteCloser
}

func (d duplex) Write(p []byte) (int, error) { return d.out.Write(p) }

func (d duplex) Close() error {
	d.out.Close()
	return d.ReadCloser.Close()
}

// Handle implements jsonrpc2.Handler.
func (c *client) Handle(ctx context.Context, conn *jsonrpc2.Conn, r *jsonrpc2.Request) {
	c.mu.Lock()
	defer c.mu.Unlock()
	switch r.Method {
	case "textDocument/publishDiagnostics":
		var p publishParams
		if err := json.Unmarshal(*r.Params, &p); err != nil {
			c.Error(err)
		}
		c.told[p.URI] = p
		c.all = append(c.all, p)
		c.count++
		c.counts[p.URI] = c.count
	case "window/logMessage":
		c.logged = append(c.logged, string(*r.Params))
	case "workspace/applyEdit":
		var p applyEditParams
		if err := json.Unmarshal(*r.Params, &p); err != nil {
			c.Error(err)
		}
		c.asked = append(c.asked, p)
		go conn.Reply(ctx, r.ID, map[string]bool{"applied": true})
	}
	close(c.came)
	c.came = make(chan struct{})
}

// record writes down what one of both says, long texts cut.
func (c *client) record(who string) func(*jsonrpc2.Request, *jsonrpc2.Response) {
	return func(r *jsonrpc2.Request, answer *jsonrpc2.Response) {
		if *transcriptFile == "" {
			return
		}
		var said any = answer
		if answer == nil {
			said = r
		}
		b, _ := json.Marshal(said)
		var plain any
		_ = json.Unmarshal(b, &plain)
		c.mu.Lock()
		defer c.mu.Unlock()
		fmt.Fprintf(&c.script, "%s: %s\n\n", who, strings.ReplaceAll(asJSON(shortened(plain)), c.dir, "/home/me/kits"))
	}
}

const longestShown = 400

func shortened(v any) any {
	switch v := v.(type) {
	case string:
		if len(v) > longestShown {
			return fmt.Sprintf("%s ... (%d bytes)", v[:40], len(v))
		}
	case []any:
		for i := range v {
			v[i] = shortened(v[i])
		}
	case map[string]any:
		for key := range v {
			v[key] = shortened(v[key])
		}
	}
	return v
}

// call asks for something, and fails where that is refused.
func (c *client) call(method string, params, result any) {
	c.Helper()
	if err := c.try(method, params, result); err != nil {
		c.Fatalf("%s: %v", method, err)
	}
}

func (c *client) try(method string, params, result any) error {
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	return c.conn.Call(ctx, method, params, result)
}

func (c *client) notify(method string, params any) {
	c.Helper()
	if err := c.conn.Notify(context.Background(), method, params); err != nil {
		c.Fatalf("%s: %v", method, err)
	}
}

func (c *client) file(name string) string { return filepath.Join(c.dir, filepath.FromSlash(name)) }
func (c *client) uri(name string) string  { return uriOf(c.file(name)) }

func (c *client) read(name string) string {
	c.Helper()
	b, err := os.ReadFile(c.file(name))
	if err != nil {
		c.Fatal(err)
	}
	return string(b)
}

func (c *client) write(name, text string) {
	c.Helper()
	if err := os.MkdirAll(filepath.Dir(c.file(name)), 0o777); err != nil {
		c.Fatal(err)
	}
	if err := os.WriteFile(c.file(name), []byte(text), 0o666); err != nil {
		c.Fatal(err)
	}
}

// open opens a file as it is on the disk.
func (c *client) open(name string) {
	c.Helper()
	c.openAs(name, c.read(name))
}

func (c *client) openAs(name, whole string) {
	c.Helper()
	c.texts[name], c.versions[name] = newText([]byte(whole), c.encoded), 1
	c.notify("textDocument/didOpen", map[string]any{"textDocument": map[string]any{"uri": c.uri(name), "languageId": "yaml", "version": 1, "text": whole}})
}

// shut closes a file, unsaved.
func (c *client) shut(name string) {
	c.notify("textDocument/didClose", documentParams{documentID{URI: c.uri(name)}})
	c.versions[name] = 0
}

// typed puts a text in the place of the only other one of its kind, as the
// editor's user does, and sends what differs.
func (c *client) typed(name, old, now string) {
	c.Helper()
	whole := string(c.texts[name].bytes)
	if n := strings.Count(whole, old); n != 1 {
		c.Fatalf("%q stands %d times in %s", old, n, name)
	}
	at := strings.Index(whole, old)
	c.edit(name, textEdit{c.texts[name].span(at, at+len(old)), now})
}

// edit makes edits, and sends them one behind the other, the last of the text
// first, so that none moves another.
func (c *client) edit(name string, list ...textEdit) {
	c.Helper()
	list = slices.Clone(list)
	slices.SortStableFunc(list, func(a, b textEdit) int {
		if a.Range.Start.before(b.Range.Start) {
			return 1
		}
		return -1
	})
	var changes []contentChange
	for _, e := range list {
		change := contentChange{&e.Range, e.NewText}
		changes = append(changes, change)
		c.texts[name] = c.texts[name].with(change)
	}
	c.versions[name]++
	c.notify("textDocument/didChange", map[string]any{"textDocument": map[string]any{"uri": c.uri(name), "version": c.versions[name]}, "contentChanges": changes})
}

// until waits until what is told of the last version of a file is as it should
// be, and returns it.
func (c *client) until(name, what string, is func([]diagnostic) bool) []diagnostic {
	c.Helper()
	late := time.After(patience)
	for {
		c.mu.Lock()
		p, known := c.told[c.uri(name)]
		came := c.came
		c.mu.Unlock()
		current := p.Version != nil && *p.Version == c.versions[name] || p.Version == nil && c.versions[name] == 0
		if known && current && is(p.Diagnostics) {
			return p.Diagnostics
		}
		select {
		case <-came:
		case <-late:
			c.Fatalf("%s: not %s: %s", name, what, asJSON(p))
		}
	}
}

// publications are the versions of a file of which something was told.
func (c *client) publications(name string) (list []*int) {
	c.mu.Lock()
	defer c.mu.Unlock()
	for _, p := range c.all {
		if p.URI == c.uri(name) {
			list = append(list, p.Version)
		}
	}
	return list
}

func (c *client) clean(name string) {
	c.Helper()
	c.until(name, "clean", func(list []diagnostic) bool { return len(list) == 0 })
}

// finds waits for a finding of a rule.
func (c *client) finds(name, rule string) diagnostic {
	c.Helper()
	list := c.until(name, "a finding of "+rule, func(list []diagnostic) bool { return withCode(list, rule) >= 0 })
	return list[withCode(list, rule)]
}

func withCode(list []diagnostic, rule string) int {
	return slices.IndexFunc(list, func(d diagnostic) bool { return d.Code == rule })
}

// at is what stands at a range.
func (c *client) at(name string, s span) string {
	t := c.texts[name]
	return string(t.bytes[t.offset(s.Start):t.offset(s.End)])
}

// from is what stands in a line from a place on.
func (c *client) from(name string, s span) string {
	t := c.texts[name]
	rest, _, _ := strings.Cut(string(t.bytes[t.offset(s.Start):]), "\n")
	return rest
}

// actions asks for what can be done at a range.
func (c *client) actions(name string, at span, only ...string) []codeAction {
	c.Helper()
	var list []codeAction
	c.call("textDocument/codeAction", map[string]any{"textDocument": map[string]any{"uri": c.uri(name)}, "range": at, "context": map[string]any{"diagnostics": []any{}, "only": only}}, &list)
	return list
}

// apply makes the edit of an action.
func (c *client) apply(e *workspaceEdit) {
	c.Helper()
	if e == nil {
		c.Fatal("there is no edit")
	}
	changes := e.Changes
	if changes == nil {
		changes = map[string][]textEdit{}
	}
	for _, d := range e.DocumentChanges {
		changes[d.TextDocument.URI] = append(changes[d.TextDocument.URI], d.Edits...)
	}
	for uri, list := range changes {
		path, _ := pathOf(uri)
		name, err := filepath.Rel(c.dir, path)
		if err != nil {
			c.Fatal(err)
		}
		c.edit(filepath.ToSlash(name), list...)
	}
}

// quit ends the conversation in order.
func (c *client) quit(want int) {
	c.Helper()
	c.call("shutdown", nil, nil)
	c.notify("exit", nil)
	c.ends(want)
}

func (c *client) ends(want int) {
	c.Helper()
	select {
	case got := <-c.status:
		c.status <- got
		if got != want {
			c.Errorf("exit status %d, want %d", got, want)
		}
	case <-time.After(patience):
		c.Error("the server does not end")
	}
}

func asJSON(v any) string {
	var b strings.Builder
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", " ")
	_ = e.Encode(v)
	return strings.TrimRight(b.String(), "\n")
}

// ofPacks are the options of a server that looks at a few packs alone, which is
// quicker.
func ofPacks(packs ...string) Options { return Options{Check: checker.Options{Packs: packs}} }
