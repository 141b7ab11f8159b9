package languageserver

import (
	"context"
	"encoding/json"
	"errors"
	"os"
	"slices"
	"syscall"
	"time"

	"github.com/sourcegraph/jsonrpc2"
)

// request is how one kind of request is answered: what it needs is taken at
// once, the answer is made beside what comes next.
type request func(s *server, params json.RawMessage) (func(context.Context) (any, error), error)

// asking makes a request of a function of its parameters.
func asking[P any](f func(s *server, p P) func(context.Context) (any, error)) request {
	return func(s *server, params json.RawMessage) (func(context.Context) (any, error), error) {
		var p P
		if err := json.Unmarshal(params, &p); err != nil {
			return nil, &jsonrpc2.Error{Code: jsonrpc2.CodeInvalidParams, Message: "the parameters are not those of the request: " + err.Error()}
		}
		return f(s, p), nil
	}
}

// requests are those that are answered.
var requests = map[string]request{
	"initialize":               asking((*server).initialize),
	"shutdown":                 func(s *server, _ json.RawMessage) (func(context.Context) (any, error), error) { return s.shutdown, nil },
	"textDocument/codeAction":  asking((*server).codeActions),
	"codeAction/resolve":       asking((*server).resolveAction),
	"workspace/executeCommand": asking((*server).execute),

	"textDocument/completion":        asking((*server).completion),
	"textDocument/hover":             asking((*server).hover),
	"textDocument/definition":        asking((*server).definition),
	"textDocument/references":        asking((*server).references),
	"textDocument/documentHighlight": asking((*server).highlights),
	"textDocument/prepareRename":     asking((*server).prepareRename),
	"textDocument/rename":            asking((*server).rename),
	"textDocument/documentSymbol":    asking((*server).symbols),
	"textDocument/documentLink":      asking((*server).links),
	"textDocument/foldingRange":      asking((*server).folds),
	"textDocument/inlayHint":         asking((*server).inlayHints),
}

func params(r *jsonrpc2.Request) json.RawMessage {
	if r.Params == nil {
		return json.RawMessage("{}")
	}
	return *r.Params
}

// requested takes what a request needs.
func (s *server) requested(r *jsonrpc2.Request) (func(context.Context) (any, error), error) {
	take, known := requests[r.Method]
	if !known {
		return nil, &jsonrpc2.Error{Code: jsonrpc2.CodeMethodNotFound, Message: "this server does not answer " + r.Method}
	}
	return take(s, params(r))
}

// telling makes a notification of a function of its parameters; parameters of
// another shape are passed over, since nobody waits for an answer.
func telling[P any](f func(s *server, p P)) func(*server, json.RawMessage) {
	return func(s *server, params json.RawMessage) {
		var p P
		if err := json.Unmarshal(params, &p); err != nil {
			s.log(severityWarning, "a notification was passed over, since its parameters are not as they should be: "+err.Error())
			return
		}
		f(s, p)
	}
}

// notifications are those that are looked at; others may be passed over.
var notifications = map[string]func(*server, json.RawMessage){
	"textDocument/didOpen":             telling((*server).opened),
	"textDocument/didChange":           telling((*server).changed),
	"textDocument/didClose":            telling((*server).closed),
	"textDocument/didSave":             func(s *server, _ json.RawMessage) { s.look() },
	"workspace/didChangeWatchedFiles":  func(s *server, _ json.RawMessage) { s.look() },
	"workspace/didChangeConfiguration": telling((*server).configured),
	"$/cancelRequest":                  telling((*server).cancelled),
}

func (s *server) notified(r *jsonrpc2.Request) {
	s.mu.Lock()
	now := s.state
	if r.Method == "exit" && now == stateDone {
		s.state = stateEnded
	}
	s.mu.Unlock()
	take, known := notifications[r.Method]
	switch {
	case r.Method == "exit":
		s.end()
	case known && now == stateOpen:
		take(s, params(r))
	}
}

// triggers are characters behind which something can be proposed.
var triggers = []string{" ", ":", "{", ",", "-", "\""}

func (s *server) initialize(p initializeParams) func(context.Context) (any, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.state, s.client = stateOpen, p
	if slices.Contains(p.Capabilities.General.PositionEncodings, utf8s) {
		s.encoding = utf8s
	}
	s.configure(p.Options)
	uris := []string{p.RootURI}
	for _, f := range p.WorkspaceFolders {
		uris = append(uris, f.URI)
	}
	for _, uri := range uris {
		if path, is := pathOf(uri); is && !slices.Contains(s.roots, path) {
			s.roots = append(s.roots, path)
		}
	}
	result := initializeResult{
		ServerInfo: serverInfo{"kitgauge", s.options.Version},
		Capabilities: capabilities{
			PositionEncoding:   s.encoding,
			TextDocumentSync:   syncOptions{OpenClose: true, Change: 2, Save: true},
			CodeActionProvider: codeActionOptions{Kinds: []string{kindQuickFix, kindFixAll}, Resolve: true},
			ExecuteCommand:     commandOptions{Commands: []string{commandFixAll}},
			Completion:         completionOptions{Triggers: triggers},
			Hover:              true,
			Definition:         true,
			References:         true,
			DocumentHighlight:  true,
			DocumentSymbol:     true,
			FoldingRange:       true,
			InlayHint:          true,
			Rename:             renameOptions{Prepare: true},
		},
	}
	if p.Parent != nil && alive(*p.Parent) {
		go s.outlive(*p.Parent)
	}
	return func(context.Context) (any, error) { return result, nil }
}

// outlive ends the server when the process that started it is gone: the streams
// may stay open beyond that.
func (s *server) outlive(parent int) {
	look := time.NewTicker(time.Second)
	defer look.Stop()
	for {
		select {
		case <-s.conn.DisconnectNotify():
			return
		case <-look.C:
			if !alive(parent) {
				s.end()
				return
			}
		}
	}
}

// alive reports whether there is a process, as far as this machine can tell.
func alive(pid int) bool {
	if pid <= 0 {
		return false
	}
	p, err := os.FindProcess(pid)
	if err != nil {
		return false
	}
	defer func() { _ = p.Release() }()
	return !errors.Is(p.Signal(syscall.Signal(0)), os.ErrProcessDone)
}

// configure takes what a person has set. The lock is held.
func (s *server) configure(o userOptions) {
	if o.Figures != nil {
		s.figures = *o.Figures
	}
}

func (s *server) configured(p configurationParams) {
	s.mu.Lock()
	was := s.figures
	s.configure(p.Settings.Kitgauge)
	again := s.figures != was && s.client.Capabilities.Workspace.InlayHint.RefreshSupport
	s.mu.Unlock()
	if again {
		go func() { _ = s.conn.Call(context.Background(), "workspace/inlayHint/refresh", nil, nil) }() // whatever the editor makes of it
	}
}

func (s *server) shutdown(context.Context) (any, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.state = stateDone
	if s.running != nil {
		s.running.cancel()
	}
	return nil, nil
}

type cancelParams struct {
	ID jsonrpc2.ID `json:"id"`
}

func (s *server) cancelled(p cancelParams) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if cancel := s.cancels[p.ID]; cancel != nil {
		cancel()
	}
}
