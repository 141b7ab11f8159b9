// Package browsertest looks at pages in a Chromium without a window. It is used
// by tests only.
package browsertest

import (
	"context"
	_ "embed"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	cdplog "github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// Main runs the tests of a package, and ends the Chromium that they share.
func Main(m *testing.M) {
	flag.Parse()
	status := m.Run()
	if shared.stop != nil {
		shared.stop()
	}
	os.Exit(status)
}

// shared is the one Chromium of all tests, which takes a second to start.
var shared struct {
	once sync.Once
	ctx  context.Context
	stop func()
	err  error
}

// Audit is a script that returns what a person would trip over in a page, as a
// list of sentences.
//
//go:embed audit.js
var Audit string

// Start is a Chromium without a window; the test is skipped where there is
// none, but in CI there has to be one.
func Start(t *testing.T) context.Context {
	t.Helper()
	if testing.Short() {
		t.Skip("needs a browser")
	}
	program := ""
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if found, err := exec.LookPath(name); err == nil {
			program = found
			break
		}
	}
	switch {
	case program == "" && os.Getenv("CI") != "":
		t.Fatal("there is no chromium")
	case program == "":
		t.Skip("there is no chromium")
	}
	shared.once.Do(func() { startBrowser(program) })
	if shared.err != nil {
		t.Fatal(shared.err)
	}
	return shared.ctx
}

func startBrowser(program string) {
	dir, err := os.MkdirTemp("", "kitgauge-browser-")
	if err != nil {
		shared.err = err
		return
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(program), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.UserDataDir(dir), chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true),
		chromedp.WSURLReadTimeout(time.Minute))
	allocated, stop := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, closed := chromedp.NewContext(allocated)
	shared.ctx, shared.stop = ctx, func() {
		closed()
		stop()
		_ = os.RemoveAll(dir)
	}
	shared.err = chromedp.Do(ctx)
}

// Tab is a page of the browser that notes what it should not do.
type Tab struct {
	T    *testing.T
	ctx  context.Context
	home string // with which the address of all that it may ask for begins

	mu     sync.Mutex
	faults []string
}

// Open loads the page at an address after the settings are made. It may ask
// for what begins with that address, and for nothing else.
func Open(t *testing.T, in context.Context, home string, settings ...chromedp.Action[chromedp.Void]) *Tab {
	t.Helper()
	ctx, stop := chromedp.NewContext(in)
	t.Cleanup(stop)
	tb := &Tab{T: t, ctx: ctx, home: home}
	if err := chromedp.Listen(ctx, tb.listen); err != nil {
		t.Fatal(err)
	}
	Call(tb, chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		if _, err := chromedp.Call(ctx, network.Enable, network.EnableParams{}); err != nil {
			return err
		}
		_, err := chromedp.Call(ctx, cdplog.Enable, cdp.Empty{})
		return err
	}))
	for _, s := range settings {
		Call(tb, s)
	}
	Call(tb, chromedp.Navigate(home))
	return tb
}

func (tb *Tab) listen(event any) {
	switch e := event.(type) {
	case *network.EventRequestWillBeSent:
		if !strings.HasPrefix(e.Request.URL, tb.home) {
			tb.note("a request leaves for %s", e.Request.URL)
		}
	case *runtime.EventConsoleAPICalled:
		tb.note("the console is written to: %s", e.Type)
	case *runtime.EventExceptionThrown:
		tb.note("an exception: %s", e.ExceptionDetails.Text)
	case *cdplog.EventEntryAdded:
		tb.note("the browser says: %s", e.Entry.Text)
	}
}

func (tb *Tab) note(format string, args ...any) {
	tb.mu.Lock()
	defer tb.mu.Unlock()
	tb.faults = append(tb.faults, fmt.Sprintf(format, args...))
}

// Noted returns what the page should not have done.
func (tb *Tab) Noted() []string {
	tb.mu.Lock()
	defer tb.mu.Unlock()
	return tb.faults
}

// In is the page for one subtest.
func (tb *Tab) In(t *testing.T) *Tab { return &Tab{T: t, ctx: tb.ctx, home: tb.home} }

// Call runs one action.
func Call[T any](tb *Tab, a chromedp.Action[T]) T {
	tb.T.Helper()
	ctx, cancel := context.WithTimeout(tb.ctx, 2*time.Minute)
	defer cancel()
	got, err := chromedp.Run(ctx, a)
	if err != nil {
		tb.T.Fatal(err)
	}
	return got
}

// Evaluate evaluates an expression in the page.
func Evaluate[T any](tb *Tab, expression string) T {
	tb.T.Helper()
	return Call(tb, chromedp.Evaluate[T](expression))
}

// Media sets what the page is shown on, and in which colours.
func Media(on, colours string) chromedp.Action[chromedp.Void] {
	return chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: on,
			Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: colours}}})
		return err
	})
}

// Size sets how large the window is.
func Size(wide, high int64) chromedp.Action[chromedp.Void] {
	return chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		_, err := chromedp.Call(ctx, emulation.SetDeviceMetricsOverride, emulation.SetDeviceMetricsOverrideParams{Width: wide, Height: high, DeviceScaleFactor: 1, Mobile: wide < 600})
		return err
	})
}

// WithoutScripts runs no script of the page.
func WithoutScripts() chromedp.Action[chromedp.Void] {
	return chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		_, err := chromedp.Call(ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
		return err
	})
}
