// Package languageserver answers an editor while a kit is typed: the Language
// Server Protocol, version 3.17, over two streams. It knows how messages are
// framed, which text an editor holds, and how places are counted there; what is
// found in a kit is for package checker, and what an editor asks of its text for
// package editor.
//
// Nothing that stands in a kit or comes from an editor ends the server: it ends
// when it is told to, or with the connection. It runs nothing, opens no other
// connection, writes no file, and reads no further than a check does.
package languageserver

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"sync"
	"time"

	"github.com/sourcegraph/jsonrpc2"

	"kitgauge/checker"
)

// Options says how kits are judged, and what the server is called.
type Options struct {
	Version string
	// Check says how kits are judged. Files, Dir and Slips are set for each.
	Check checker.Options
	// Day is the day for which concessions are judged: a server may run for days.
	// Nil leaves it to Check.
	Day func() string
	// Slips looks for the one slip behind what is found, once nothing is typed,
	// and EverySlip behind whatever is found.
	Slips, EverySlip bool
	// Say tells the person who keeps the server what went wrong in it.
	Say func(message string)
	// Unheard is called where the connection ends before an editor began a
	// conversation; nil is not.
	Unheard func()

	base *checker.Checker // that is used already; nil makes one
	most int              // mostWalked, where it is 0
}

// today is the day for which concessions are judged.
func (o *Options) today() string {
	if o.Day != nil {
		return o.Day()
	}
	return o.Check.On
}

// The exit statuses that the protocol asks for.
const (
	exitAsked   = 0 // the editor asked for the end, in the order that is agreed
	exitDropped = 1 // the connection ended, or the end was asked for out of order
)

// Serve serves one editor until it asks for the end or the connection ends, and
// returns the exit status.
func Serve(ctx context.Context, in io.Reader, out io.Writer, o Options) int {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	ended := make(chan struct{})
	s := newServer(o)
	s.end = sync.OnceFunc(func() { close(ended) })
	s.conn = jsonrpc2.NewConn(ctx, newStream(in, out, func() error { return nil }), s, jsonrpc2.SetLogger(quiet{}))
	close(s.ready)
	var work sync.WaitGroup
	work.Go(func() { s.work(ctx) })
	select {
	case <-s.conn.DisconnectNotify():
	case <-ended:
	case <-ctx.Done():
	}
	stop()
	work.Wait()
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.state == stateEnded {
		return exitAsked
	}
	if s.state == stateNew && o.Unheard != nil {
		o.Unheard()
	}
	return exitDropped
}

// quiet logs nothing: what goes wrong with a message is answered.
type quiet struct{}

func (quiet) Printf(string, ...any) {}

// state is how far the conversation has come.
type state int

const (
	stateNew   state = iota // initialize has to come first
	stateOpen               // requests are answered
	stateDone               // shutdown was asked for: only exit may come
	stateEnded              // exit came behind it
)

type server struct {
	options Options
	conn    *jsonrpc2.Conn
	ready   chan struct{} // closed when conn is set
	end     func()
	base    *checker.Checker // of which the others have their rules
	wake    chan struct{}    // for who judges
	telling sync.Mutex       // held while it is told what was found, so that the latest comes last

	mu        sync.Mutex // over all below
	state     state
	client    initializeParams
	encoding  encoding
	figures   bool
	warned    bool                 // that a kit was never saved
	roots     []string             // directories that the editor has open
	documents map[string]*document // by path
	changes   int                  // of all of them
	typed     time.Time            // when the last came
	cancels   map[jsonrpc2.ID]context.CancelFunc
	running   *running
	given     map[string]map[string]share // what is told of a path, by the file whose check found it
}

func newServer(o Options) *server {
	o.Check.Remember = true
	if o.Say == nil {
		o.Say = func(string) {}
	}
	o.most = cmp.Or(o.most, mostWalked)
	if o.base == nil {
		o.base = checker.New(o.Check)
	}
	return &server{
		options: o, base: o.base, ready: make(chan struct{}), wake: make(chan struct{}, 1), encoding: utf16, figures: true,
		documents: map[string]*document{}, cancels: map[jsonrpc2.ID]context.CancelFunc{}, given: map[string]map[string]share{},
	}
}

// codeNotInitialized is the error of a request before initialize, codeCancelled
// that of one that was called back.
const (
	codeNotInitialized = -32002
	codeCancelled      = -32800
)

// Handle implements jsonrpc2.Handler. It is called for one message after
// another; what a request needs of the text is taken before the next may change
// it, and the rest goes on beside.
func (s *server) Handle(ctx context.Context, conn *jsonrpc2.Conn, r *jsonrpc2.Request) {
	<-s.ready
	if r.Notif {
		s.guard(r.Method, func() { s.notified(r) })
		return
	}
	var answer func(context.Context) (any, error)
	var err error
	if why := s.refused(r.Method); why != nil {
		err = why
	} else if why := s.guard(r.Method, func() { answer, err = s.requested(r) }); why != nil {
		err = why
	}
	if err != nil {
		s.reply(ctx, r.ID, nil, err)
		return
	}
	ctx, cancel := context.WithCancel(ctx)
	s.mu.Lock()
	s.cancels[r.ID] = cancel
	s.mu.Unlock()
	reply := func() {
		defer func() {
			s.mu.Lock()
			delete(s.cancels, r.ID)
			s.mu.Unlock()
			cancel()
		}()
		var result any
		var err error
		if why := s.guard(r.Method, func() { result, err = answer(ctx) }); why != nil {
			err = why
		}
		s.reply(ctx, r.ID, result, err)
	}
	if r.Method == "initialize" || r.Method == "shutdown" {
		reply()
		return
	}
	go reply()
}

// reply answers a request.
func (s *server) reply(ctx context.Context, id jsonrpc2.ID, result any, err error) {
	switch fault, is := err.(*jsonrpc2.Error); {
	case ctx.Err() != nil:
		_ = s.conn.ReplyWithError(ctx, id, &jsonrpc2.Error{Code: codeCancelled, Message: "the request was called back"})
	case is:
		_ = s.conn.ReplyWithError(ctx, id, fault)
	case err != nil:
		_ = s.conn.ReplyWithError(ctx, id, &jsonrpc2.Error{Code: codeFailed, Message: err.Error()})
	default:
		_ = s.conn.Reply(ctx, id, result)
	}
}

// codeFailed is the error of a request that was right and could not be met.
const codeFailed = -32803

// guard runs a piece of the work. Where that panics, the fault is told and
// nothing else ends.
func (s *server) guard(what string, f func()) (why *jsonrpc2.Error) {
	defer func() {
		if p := recover(); p != nil {
			message := fmt.Sprintf("%s broke off, which is a fault of kitgauge and not of the file: %v", what, p)
			s.options.Say(message)
			s.log(severityError, message)
			why = &jsonrpc2.Error{Code: jsonrpc2.CodeInternalError, Message: message}
		}
	}()
	f()
	return nil
}

// log tells the person at the editor.
func (s *server) log(severity int, message string) {
	s.notify("window/logMessage", messageParams{severity, message})
}

func (s *server) notify(method string, params any) {
	_ = s.conn.Notify(context.Background(), method, params) // a connection that ended ends the server
}

// refused says why a request cannot be answered now; nil where it can.
func (s *server) refused(method string) *jsonrpc2.Error {
	s.mu.Lock()
	defer s.mu.Unlock()
	switch {
	case s.state >= stateDone:
		return &jsonrpc2.Error{Code: jsonrpc2.CodeInvalidRequest, Message: "shutdown was asked for: nothing but exit may follow"}
	case s.state == stateNew && method != "initialize":
		return &jsonrpc2.Error{Code: codeNotInitialized, Message: "initialize has to come first"}
	case s.state == stateOpen && method == "initialize":
		return &jsonrpc2.Error{Code: jsonrpc2.CodeInvalidRequest, Message: "initialize may come only once"}
	}
	return nil
}
