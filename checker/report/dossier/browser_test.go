package dossier_test

import (
	"context"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	cdplog "github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// With -shots the pages are also kept as pictures, to be looked at:
//
//	go test ./checker/report/dossier -run Browser -shots /tmp/shots
var shots = flag.String("shots", "", "keep pictures and prints of the pages in this directory")

// browser starts a Chromium without a window, or skips the test where there
// is none; in CI there has to be one.
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
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(program), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.UserDataDir(t.TempDir()), chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true), chromedp.WSURLReadTimeout(time.Minute))
	run, stop := chromedp.NewExecAllocator(t.Context(), options...)
	t.Cleanup(stop)
	ctx, closed := chromedp.NewContext(run)
	t.Cleanup(closed)
	if err := chromedp.Run(ctx); err != nil {
		t.Fatal(err)
	}
	return ctx
}

// tab is a page of the browser that notes what it should not do.
type tab struct {
	context.Context
	url string

	mu     sync.Mutex
	faults []string
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

// open loads a dossier. Settings are made before that.
func open(t *testing.T, in context.Context, html []byte, settings ...chromedp.Action) *tab {
	t.Helper()
	file := filepath.Join(t.TempDir(), "dossier.html")
	if err := os.WriteFile(file, html, 0o644); err != nil {
		t.Fatal(err)
	}
	ctx, stop := chromedp.NewContext(in)
	t.Cleanup(stop)
	ctx, cancel := context.WithTimeout(ctx, 2*time.Minute)
	t.Cleanup(cancel)
	tb := &tab{Context: ctx, url: "file://" + filepath.ToSlash(file)}
	chromedp.ListenTarget(ctx, func(event any) {
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
	})
	actions := append([]chromedp.Action{network.Enable(), runtime.Enable(), cdplog.Enable()}, settings...)
	if err := chromedp.Run(ctx, append(actions, chromedp.Navigate(tb.url))...); err != nil {
		t.Fatal(err)
	}
	return tb
}

func (tb *tab) run(t *testing.T, actions ...chromedp.Action) {
	t.Helper()
	if err := chromedp.Run(tb, actions...); err != nil {
		t.Fatal(err)
	}
}

func scheme(name string) chromedp.Action {
	return emulation.SetEmulatedMedia().WithFeatures([]*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: name}})
}

func width(px int64) chromedp.Action {
	return emulation.SetDeviceMetricsOverride(px, 900, 1, px < 600)
}

// TestBrowser looks at dossiers in the widths of a phone, a tablet and a desk,
// light and dark.
func TestBrowser(t *testing.T) {
	ctx := browser(t)
	audit, err := os.ReadFile("testdata/audit.js")
	if err != nil {
		t.Fatal(err)
	}
	pages := dossiers(t)
	for _, name := range names {
		for _, colours := range []string{"light", "dark"} {
			t.Run(name+"/"+colours, func(t *testing.T) {
				tb := open(t, ctx, pages[name], scheme(colours), width(1280))
				for _, px := range []int64{390, 768, 1280} {
					var problems []string
					tb.run(t, width(px), chromedp.Evaluate(string(audit), &problems))
					for _, p := range problems {
						t.Errorf("%d wide: %s", px, p)
					}
					tb.keep(t, fmt.Sprintf("%s-%s-%d", strings.ReplaceAll(name, " ", "-"), colours, px), px)
				}
				for _, fault := range tb.noted() {
					t.Error(fault)
				}
			})
		}
	}
}

// keep takes a picture of the whole page where pictures are wanted.
func (tb *tab) keep(t *testing.T, name string, px int64) {
	t.Helper()
	if *shots == "" {
		return
	}
	var height int64
	var picture []byte
	tb.run(t, chromedp.Evaluate("document.documentElement.scrollHeight", &height),
		emulation.SetDeviceMetricsOverride(px, min(height, 16000), 1, px < 600), chromedp.CaptureScreenshot(&picture))
	if err := os.WriteFile(filepath.Join(*shots, name+".png"), picture, 0o644); err != nil {
		t.Fatal(err)
	}
}

// TestBrowserSaysSo tries the tests on pages that are at fault: a check that
// finds nothing there is worth nothing.
func TestBrowserSaysSo(t *testing.T) {
	ctx := browser(t)
	audit, err := os.ReadFile("testdata/audit.js")
	if err != nil {
		t.Fatal(err)
	}
	html := string(dossiers(t)["trailer"])
	const nothing, open = "</main>", "<h2 id=\"verdict-title\">"
	for _, tt := range []struct{ name, old, new, want string }{
		{"wide", nothing, `<div class="scale">` + strings.Repeat("x&nbsp;", 4000) + `</div></main>`, "wide in"},
		{"heading", "<h2 id=\"verdict-title\">", "<h5>x</h5>" + open, "comes after a heading"},
		{"anchor", `href="#margins"`, `href="#nowhere"`, "leads to"},
		{"caption", `<caption id="digests">Everything that went in</caption>`, "", "no caption"},
		{"contrast", nothing, `<svg viewBox="0 0 9 9" aria-hidden="true"><text fill="#999">pale</text></svg></main>`, "contrast"},
		{"texts", "<text ", `<text x="100" y="100">one on the other</text><text x="101" y="100">another</text><text `, "lie on each other"},
		{"label", " whole</label>", "</label><input type=\"text\">", "has no label"},
		{"request", nothing, `<link rel="stylesheet" href="https://depot.example/x.css"></main>`, "browser says"},
		{"script", nothing, `<script>alert(1)</script></main>`, "browser says"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if !strings.Contains(html, tt.old) {
				t.Fatalf("the page does not hold %q", tt.old)
			}
			tb := open2(t, ctx, strings.Replace(html, tt.old, tt.new, 1))
			var problems []string
			tb.run(t, width(390), chromedp.Evaluate(string(audit), &problems))
			if all := strings.Join(append(problems, tb.noted()...), "\n"); !strings.Contains(all, tt.want) {
				t.Errorf("got %q, want something that says %q", all, tt.want)
			}
		})
	}
}

func open2(t *testing.T, ctx context.Context, html string) *tab {
	return open(t, ctx, []byte(html), scheme("light"))
}

// TestBrowserWithoutScripts uses the page as a browser does that runs none.
func TestBrowserWithoutScripts(t *testing.T) {
	ctx := browser(t)
	tb := open(t, ctx, dossiers(t)["gritter, faulty"], emulation.SetScriptExecutionDisabled(true), width(1280))
	var text, hash string
	var before, after float64
	const drawn = `document.querySelector('#schematic svg').getBoundingClientRect().width`
	tb.run(t,
		chromedp.Text("#verdict .verdict", &text),
		chromedp.Click(`nav a[href="#sheet-cut"]`), chromedp.Evaluate("location.hash", &hash),
		chromedp.Evaluate(drawn, &before), chromedp.Click(`input[value=double]`), chromedp.Evaluate(drawn, &after))
	if !strings.HasPrefix(text, "Outside the gate") {
		t.Errorf("got the verdict %q", text)
	}
	if hash != "#sheet-cut" {
		t.Errorf("got %q after the link to the cut list", hash)
	}
	if after < 2*before {
		t.Errorf("the drawing is %g wide, and %g when twice as large", before, after)
	}
	var focused string
	tb.run(t, chromedp.Evaluate("scrollTo(0,0), document.activeElement.blur(), ''", nil), chromedp.KeyEvent("\t"), chromedp.Evaluate("document.activeElement.getAttribute('href')", &focused))
	if focused != "#verdict" && focused == "" {
		t.Errorf("the first stop of the keyboard is %q", focused)
	}
	for _, fault := range tb.noted() {
		t.Error(fault)
	}
}

// TestBrowserMarks follows a mark of the schematic to its finding.
func TestBrowserMarks(t *testing.T) {
	ctx := browser(t)
	tb := open(t, ctx, dossiers(t)["gritter, faulty"], width(1280))
	var hash, aimed string
	tb.run(t, chromedp.Click(`#schematic svg .top-view a path`), chromedp.Evaluate("location.hash", &hash), chromedp.Evaluate("document.querySelector(':target').tagName", &aimed))
	if !strings.HasPrefix(hash, "#finding-") || aimed != "ARTICLE" {
		t.Errorf("a mark leads to %q, a %q", hash, aimed)
	}
}

// papers are what is printed on [mm]: ISO 216, and ANSI/ASME Y14.1.
var papers = []struct {
	name          string
	width, height float64
}{{"A4", 210, 297}, {"Letter", 215.9, 279.4}}

const (
	mmAnInch = 25.4
	pxAnInch = 96 // CSS Values 4, 6.2
)

// TestBrowserPrints prints dossiers: on more than one page, upright and
// across, with nothing wider than the paper, black on white also where the
// screen is dark.
func TestBrowserPrints(t *testing.T) {
	ctx := browser(t)
	pages := dossiers(t)
	for _, name := range names {
		tb := open(t, ctx, pages[name], scheme("dark"))
		for _, p := range papers {
			t.Run(name+"/"+p.name, func(t *testing.T) {
				tb.prints(t, name, p.name, p.width, p.height)
				tb.fits(t, p.width-2*15, "main>section:not(.landscape)")
				tb.fits(t, p.height-2*11, "main>section.landscape")
			})
		}
	}
}

func (tb *tab) prints(t *testing.T, name, paper string, w, h float64) {
	t.Helper()
	var pdf []byte
	tb.run(t, emulation.SetEmulatedMedia(), chromedp.ActionFunc(func(ctx context.Context) error {
		var err error
		pdf, _, err = page.PrintToPDF().WithPaperWidth(w / mmAnInch).WithPaperHeight(h / mmAnInch).WithPreferCSSPageSize(true).WithPrintBackground(false).Do(ctx)
		return err
	}))
	if *shots != "" {
		if err := os.WriteFile(filepath.Join(*shots, strings.ReplaceAll(name, " ", "-")+"-"+paper+".pdf"), pdf, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	upright, across := 0, 0
	for _, box := range regexp.MustCompile(`/MediaBox \[0 0 ([0-9.]+) ([0-9.]+)\]`).FindAllSubmatch(pdf, -1) {
		var x, y float64
		if _, err := fmt.Sscan(string(box[1])+" "+string(box[2]), &x, &y); err != nil {
			t.Fatal(err)
		}
		x, y = x/72*mmAnInch, y/72*mmAnInch // points
		switch {
		case near(x, w) && near(y, h):
			upright++
		case near(x, h) && near(y, w):
			across++
		default:
			t.Errorf("a page is %.1f x %.1f mm", x, y)
		}
	}
	if upright < 3 || across < 3 {
		t.Errorf("got %d pages upright and %d across, want several of both", upright, across)
	}
}

func near(a, b float64) bool { return a-b < 0.6 && b-a < 0.6 }

// fits holds sections to the width that they have on paper.
func (tb *tab) fits(t *testing.T, mm float64, sections string) {
	t.Helper()
	var problems []string
	px := mm / mmAnInch * pxAnInch
	tb.run(t, emulation.SetEmulatedMedia().WithMedia("print").WithFeatures([]*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: "dark"}}),
		emulation.SetDeviceMetricsOverride(int64(px), 900, 1, false),
		chromedp.Evaluate(fmt.Sprintf(`(() => {
			const out = [];
			for (const s of document.querySelectorAll(%q)) for (const e of s.querySelectorAll('table,svg,pre,p,td,th')) {
				const b = e.getBoundingClientRect();
				if (b.right > innerWidth + 1 && !e.closest('.unseen')) out.push(s.id + ': ' + e.tagName + ' reaches to ' + b.right + ' of ' + innerWidth);
				if (e.scrollWidth > e.clientWidth + 1 && e.clientWidth && !['svg','TABLE'].includes(e.tagName)) out.push(s.id + ': ' + e.tagName + ' is cut: ' + e.textContent.slice(0, 40));
			}
			const body = getComputedStyle(document.documentElement);
			if (body.color !== 'rgb(0, 0, 0)' || body.backgroundColor !== 'rgb(255, 255, 255)') out.push('printed ' + body.color + ' on ' + body.backgroundColor);
			for (const e of document.querySelectorAll('thead')) if (getComputedStyle(e).display !== 'table-header-group' && !e.matches('.unseen')) out.push('a head is not repeated: ' + getComputedStyle(e).display);
			return out.slice(0, 10);
		})()`, sections), &problems))
	for _, p := range problems {
		t.Errorf("on %.0f mm: %s", mm, p)
	}
}
