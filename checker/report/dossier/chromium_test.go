package dossier_test

import (
	"context"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
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

// TestMain ends the Chromium that the tests share.
func TestMain(m *testing.M) {
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

// browser is a Chromium without a window; the test is skipped where there is
// none, but in CI there has to be one.
func browser(t *testing.T) context.Context {
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
	dir, err := os.MkdirTemp("", "dossier-browser-")
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

// tab is a page of the browser that notes what it should not do.
type tab struct {
	t   *testing.T
	ctx context.Context
	url string

	mu     sync.Mutex
	faults []string
}

// open loads a dossier after the settings are made.
func open(t *testing.T, in context.Context, html []byte, settings ...chromedp.Action[chromedp.Void]) *tab {
	t.Helper()
	file := filepath.Join(t.TempDir(), "dossier.html")
	if err := os.WriteFile(file, html, 0o644); err != nil {
		t.Fatal(err)
	}
	ctx, stop := chromedp.NewContext(in)
	t.Cleanup(stop)
	tb := &tab{t: t, ctx: ctx, url: "file://" + filepath.ToSlash(file)}
	if err := chromedp.Listen(ctx, tb.listen); err != nil {
		t.Fatal(err)
	}
	call(tb, chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		if _, err := chromedp.Call(ctx, network.Enable, network.EnableParams{}); err != nil {
			return err
		}
		_, err := chromedp.Call(ctx, cdplog.Enable, cdp.Empty{})
		return err
	}))
	for _, s := range settings {
		call(tb, s)
	}
	call(tb, chromedp.Navigate(tb.url))
	return tb
}

func (tb *tab) listen(event any) {
	switch e := event.(type) {
	case *network.EventRequestWillBeSent:
		if e.Request.URL != tb.url {
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

func (tb *tab) note(format string, args ...any) {
	tb.mu.Lock()
	defer tb.mu.Unlock()
	tb.faults = append(tb.faults, fmt.Sprintf(format, args...))
}

// noted returns what the page should not have done.
func (tb *tab) noted() []string {
	tb.mu.Lock()
	defer tb.mu.Unlock()
	return tb.faults
}

// in is the page for one subtest.
func (tb *tab) in(t *testing.T) *tab { return &tab{t: t, ctx: tb.ctx, url: tb.url} }

// call runs one action.
func call[T any](tb *tab, a chromedp.Action[T]) T {
	tb.t.Helper()
	ctx, cancel := context.WithTimeout(tb.ctx, 2*time.Minute)
	defer cancel()
	got, err := chromedp.Run(ctx, a)
	if err != nil {
		tb.t.Fatal(err)
	}
	return got
}

// evaluate evaluates an expression in the page.
func evaluate[T any](tb *tab, expression string) T {
	tb.t.Helper()
	return call(tb, chromedp.Evaluate[T](expression))
}

// media sets what the page is shown on, and in which colours.
func media(on, colours string) chromedp.Action[chromedp.Void] {
	return chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: on,
			Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: colours}}})
		return err
	})
}

func size(wide, high int64) chromedp.Action[chromedp.Void] {
	return chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		_, err := chromedp.Call(ctx, emulation.SetDeviceMetricsOverride, emulation.SetDeviceMetricsOverrideParams{Width: wide, Height: high, DeviceScaleFactor: 1, Mobile: wide < 600})
		return err
	})
}

func withoutScripts() chromedp.Action[chromedp.Void] {
	return chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		_, err := chromedp.Call(ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
		return err
	})
}
