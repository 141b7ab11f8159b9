package command

import (
	"context"
	"io"
	"os"
	"os/signal"
	"strings"
	"sync"
	"syscall"
	"time"

	"kitgauge/checker/files"
	"kitgauge/checker/report"
)

// ending are the signals that end the program, with their names and the
// statuses by which shells know them.
var ending = []struct {
	signal os.Signal
	said   string
	status int
}{
	{os.Interrupt, "interrupted", exitInterrupted},
	{syscall.SIGTERM, "ended by SIGTERM", exitTerminated},
	{syscall.SIGHUP, "ended by SIGHUP", exitHungUp},
}

// interruption ends the program when a signal asks for it: drafts are removed,
// the terminal is as it was, a line says so, and the program dies of the signal,
// so that a shell's loop over kits ends as well. A second signal ends it at once.
type interruption struct {
	files files.Set // all that the program writes
	err   io.Writer

	mu     sync.Mutex // held from the signal to the end
	orders []func()   // what else has to be put in order
	gentle context.CancelCauseFunc
	caught os.Signal
	stop   func()
}

// watch begins to watch for signals. One that whoever started the program had
// it ignore, as nohup does, stays ignored.
func watch(err io.Writer) *interruption {
	i := &interruption{err: err}
	signals := make(chan os.Signal, 1)
	for _, e := range ending {
		if !signal.Ignored(e.signal) {
			signal.Notify(signals, e.signal)
		}
	}
	closed := make(chan os.Signal, 1)
	signal.Notify(closed, syscall.SIGPIPE) // so that a closed pipe is an error of Write
	ignoreFileLimit()
	over := make(chan struct{})
	i.stop = sync.OnceFunc(func() {
		signal.Stop(signals)
		signal.Stop(closed)
		close(over)
	})
	go i.wait(signals, over)
	return i
}

func (i *interruption) wait(signals <-chan os.Signal, over <-chan struct{}) {
	var s os.Signal
	select {
	case s = <-signals:
	case <-over:
		return
	}
	i.mu.Lock()
	if i.gentle == nil {
		i.end(s)
	}
	i.caught = s
	i.gentle(context.Canceled)
	i.mu.Unlock()
	select {
	case s = <-signals:
		i.mu.Lock()
		i.end(s)
	case <-over:
	}
}

// gently has the first signal cancel the context that is returned: the command
// ends by itself. Only the second one ends the program.
func (i *interruption) gently() context.Context {
	ctx, cancel := context.WithCancelCause(context.Background())
	i.mu.Lock()
	i.gentle = cancel
	i.mu.Unlock()
	return ctx
}

// onEnd has f called when a signal ends the program, until the function that
// is returned is called.
func (i *interruption) onEnd(f func()) (done func()) {
	i.mu.Lock()
	defer i.mu.Unlock()
	n := len(i.orders)
	i.orders = append(i.orders, f)
	return func() {
		i.mu.Lock()
		i.orders[n] = func() {}
		i.mu.Unlock()
	}
}

// over ends the watch; it does not return where a signal came first and ends
// the program.
func (i *interruption) over() {
	i.mu.Lock()
	defer i.mu.Unlock()
	i.stop()
}

// end ends the program. The lock is held, so that nobody else has a say.
func (i *interruption) end(s os.Signal) {
	for _, e := range ending {
		signal.Reset(e.signal) // another one ends it at once
	}
	for _, order := range i.orders {
		order()
	}
	said := saidOf(s)
	if kept := i.files.Abandon(); len(kept) > 0 {
		said += " after " + report.Visible(strings.Join(kept, ", ")) + " had been written"
	}
	say(i.err, "%s", said)
	die(s)
}

func saidOf(s os.Signal) string {
	for _, e := range ending {
		if e.signal == s {
			return e.said
		}
	}
	return "interrupted"
}

// die ends the program by a signal.
func die(s os.Signal) {
	status := exitInterrupted
	for _, e := range ending {
		if e.signal == s {
			status = e.status
		}
	}
	signal.Reset(s)
	if p, err := os.FindProcess(os.Getpid()); err == nil && p.Signal(s) == nil {
		time.Sleep(time.Second) // it comes well before; the first process of a container does not get it
	}
	os.Exit(status)
}
