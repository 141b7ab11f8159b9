package dossier_test

import (
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"kitgauge/checker/browsertest"
)

// With -shots the pages and prints are also kept, to be looked at:
//
//	go test ./checker/report/dossier -run Browser -shots /tmp/shots
var (
	shots = flag.String("shots", "", "keep pictures and prints of the pages in this directory")
	full  = flag.Bool("full", false, "look at every page in every colour and width, and print it on every paper")
)

// TestBrowser looks at dossiers in the widths of a phone, a tablet and a desk,
// light and dark.
func TestBrowser(t *testing.T) {
	ctx := browsertest.Start(t)
	pages := dossiers(t)
	pages["hostile"] = hostileKit(t)
	for _, name := range append([]string{"hostile"}, names...) {
		t.Run(name, func(t *testing.T) {
			tb := open(t, ctx, pages[name], browsertest.Media("", "light"), browsertest.Size(1280, 900))
			for _, colours := range []string{"light", "dark"} {
				browsertest.Call(tb, browsertest.Media("", colours))
				for _, px := range []int64{390, 768, 1280} {
					if colours == "dark" && px > 390 && !*full && *shots == "" {
						continue // the places are those in light, and axe looks at the colours at a desk
					}
					browsertest.Call(tb, browsertest.Size(px, 900))
					for _, p := range browsertest.Evaluate[[]string](tb, browsertest.Audit) {
						t.Errorf("%s, %d wide: %s", colours, px, p)
					}
					keep(tb, fmt.Sprintf("%s-%s-%d", name, colours, px), px)
				}
			}
			for _, fault := range tb.Noted() {
				t.Error(fault)
			}
		})
	}
}

// TestMain ends the browser that the tests share.
func TestMain(m *testing.M) { browsertest.Main(m) }

// open loads a dossier after the settings are made.
func open(t *testing.T, in context.Context, html []byte, settings ...chromedp.Action[chromedp.Void]) *browsertest.Tab {
	t.Helper()
	file := filepath.Join(t.TempDir(), "dossier.html")
	if err := os.WriteFile(file, html, 0o644); err != nil {
		t.Fatal(err)
	}
	return browsertest.Open(t, in, "file://"+filepath.ToSlash(file), settings...)
}

// keep takes a picture of the whole page where pictures are wanted.
func keep(tb *browsertest.Tab, name string, px int64) {
	tb.T.Helper()
	if *shots == "" {
		return
	}
	const most = 16000 // a picture cannot be higher
	browsertest.Call(tb, chromedp.Evaluate[chromedp.Void]("scrollTo(0, 0)"))
	browsertest.Call(tb, browsertest.Size(px, min(browsertest.Evaluate[int64](tb, "document.documentElement.scrollHeight"), most)))
	save(tb, name+".png", browsertest.Call(tb, chromedp.CaptureScreenshot()))
}

func save(tb *browsertest.Tab, name string, content []byte) {
	tb.T.Helper()
	name = strings.ReplaceAll(strings.ReplaceAll(name, ",", ""), " ", "-")
	if err := os.WriteFile(filepath.Join(*shots, name), content, 0o644); err != nil {
		tb.T.Fatal(err)
	}
}

// TestBrowserAudit tries the audit on pages that are at fault: a check that
// finds nothing there is worth nothing.
func TestBrowserAudit(t *testing.T) {
	ctx := browsertest.Start(t)
	html := string(dossiers(t)["trailer"])
	const end, first = "</main>", `<h2 id="verdict-title">`
	for _, tt := range []struct{ name, old, new, want string }{
		{"wide", end, `<p class="role">` + strings.Repeat("x ", 400) + `</p></main>`, "wide in"},
		{"heading", first, "<h5>x</h5>" + first, "comes after a heading"},
		{"anchor", `href="#inputs"`, `href="#nowhere"`, "leads to"},
		{"caption", `<caption id="digests">Everything that went in</caption>`, "", "no caption"},
		{"scope", `<th scope="row" class="short"`, `<th`, "no scope"},
		{"picture", `aria-hidden="true" focusable="false"><g`, `><g`, "a picture has no name"},
		{"contrast", end, `<svg viewBox="0 0 9 9" aria-hidden="true"><text fill="#999">pale</text></svg></main>`, "contrast"},
		{"texts", "<text ", `<text x="100" y="100">one on the other</text><text x="101" y="100">another</text><text `, "lie on each other"},
		{"label", " whole</label>", `</label><input type="text">`, "has no label"},
		{"request", end, `<link rel="stylesheet" href="https://depot.example/x.css"></main>`, "the browser says"},
		{"script", end, `<script>alert(1)</script></main>`, "the browser says"},
		{"style", end, `<p style="color:red">x</p></main>`, "the browser says"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if !strings.Contains(html, tt.old) {
				t.Fatalf("the page does not hold %q", tt.old)
			}
			tb := open(t, ctx, []byte(strings.Replace(html, tt.old, tt.new, 1)), browsertest.Media("", "light"), browsertest.Size(390, 900))
			found := append(browsertest.Evaluate[[]string](tb, browsertest.Audit), tb.Noted()...)
			if all := strings.Join(found, "\n"); !strings.Contains(all, tt.want) {
				t.Errorf("got %q, want something that says %q", all, tt.want)
			}
		})
	}
}

// TestBrowserWithoutScripts uses the page as a browser does that runs none.
func TestBrowserWithoutScripts(t *testing.T) {
	tb := open(t, browsertest.Start(t), dossiers(t)["gritter, faulty"], browsertest.WithoutScripts(), browsertest.Size(1280, 900))
	if got := browsertest.Call(tb, chromedp.Text(chromedp.CSS("#verdict .verdict"))); !strings.HasPrefix(got, "Outside the gate") {
		t.Errorf("got the verdict %q", got)
	}
	browsertest.Call(tb, chromedp.KeyEvent("\t"))
	if got := browsertest.Evaluate[string](tb, "document.activeElement.getAttribute('href')"); got != "#verdict" {
		t.Errorf("the first stop of the keyboard is %q, want the link to the verdict", got)
	}
	browsertest.Call(tb, chromedp.Click(chromedp.CSS(`nav a[href="#sheet-cut"]`)))
	if got := browsertest.Evaluate[string](tb, "location.hash"); got != "#sheet-cut" {
		t.Errorf("got %q after the link to the cut list", got)
	}
	const drawn = `document.querySelector('#schematic svg').getBoundingClientRect().width`
	before := browsertest.Evaluate[float64](tb, drawn)
	// by the keyboard: after the link the page may still be scrolling, and a
	// click would land beside the button
	browsertest.Call(tb, chromedp.Focus(chromedp.CSS(`input[value=double]`)))
	browsertest.Call(tb, chromedp.KeyEvent(" "))
	if after := browsertest.Evaluate[float64](tb, drawn); after < 2*before {
		t.Errorf("the drawing is %g wide, and %g when twice as large", before, after)
	}
	if got := browsertest.Evaluate[float64](tb, "document.documentElement.scrollWidth"); got > 1280 {
		t.Errorf("with a large drawing the page is %g wide", got)
	}
	for _, fault := range tb.Noted() {
		t.Error(fault)
	}
}

// TestBrowserMarks follows a mark of the schematic to its finding, and a
// finding to its mark.
func TestBrowserMarks(t *testing.T) {
	tb := open(t, browsertest.Start(t), dossiers(t)["gritter, faulty"], browsertest.Size(1280, 900))
	const leading = `[...document.querySelectorAll('.finding a[href^="#mark-"]')].map((a) => [a.textContent.match(/\d+/)[0], document.querySelector(a.getAttribute('href'))]).filter(([n, m]) => m && m.closest('svg') && m.id === 'mark-' + n && m.textContent.includes(n)).length`
	if got, all := browsertest.Evaluate[int](tb, leading), browsertest.Evaluate[int](tb, `document.querySelectorAll('.finding a[href^="#mark-"]').length`); got == 0 || got != all {
		t.Errorf("%d of %d findings lead to a mark of their number", got, all)
	}
	browsertest.Call(tb, chromedp.Click(chromedp.CSS(`#schematic svg .top-view a path`)))
	hash, at := browsertest.Evaluate[string](tb, "location.hash"), browsertest.Evaluate[string](tb, "document.querySelector(':target').tagName")
	if !strings.HasPrefix(hash, "#finding-") || at != "ARTICLE" {
		t.Errorf("a mark leads to %q, a %q", hash, at)
	}
}

// papers are what is printed on [mm]: ISO 216, and ASME Y14.1.
var papers = []struct {
	name          string
	width, height float64
}{{"A4", 210, 297}, {"Letter", 215.9, 279.4}}

// What a kit of 84 points that passes may take.
const (
	mostPages = 20
	mostBytes = 2 << 20
)

const (
	mmAnInch     = 25.4
	pxAnInch     = 96 // CSS Values 4, 6.2
	pointsAnInch = 72
)

// TestBrowserPrints prints dossiers: on more than one page, upright and
// across, with nothing wider than the paper, black on white also where the
// screen is dark.
func TestBrowserPrints(t *testing.T) {
	ctx := browsertest.Start(t)
	pages := dossiers(t)
	pages["hostile"] = hostileKit(t)
	if n := len(pages["84 points"]); n > mostBytes {
		t.Errorf("84 points take %d bytes, want at most %d", n, mostBytes)
	}
	for _, name := range append([]string{"hostile"}, names...) {
		one := open(t, ctx, pages[name], browsertest.Media("", "dark"), browsertest.Size(1280, 900))
		for _, p := range papers {
			t.Run(name+"/"+p.name, func(t *testing.T) {
				tb := one.In(t)
				if p.name == "A4" || name == "84 points" || *full || *shots != "" { // the other paper is held by its width below
					if n := prints(tb, name+"-"+p.name, p.width, p.height); name == "84 points" && n > mostPages {
						t.Errorf("%d pages, want at most %d", n, mostPages)
					}
				}
				fits(tb, p.width-2*15, "main>section:not(.landscape)")
				fits(tb, p.height-2*11, "main>section.landscape")
			})
		}
	}
}

// prints prints a dossier, and counts its pages.
func prints(tb *browsertest.Tab, name string, w, h float64) int {
	tb.T.Helper()
	upright, across := onPaper(tb, name, w, h)
	if upright < 3 || across < 1 {
		tb.T.Errorf("got %d pages upright and %d across, want some of both", upright, across)
	}
	return upright + across
}

// onPaper prints the page, and counts the sheets of paper.
func onPaper(tb *browsertest.Tab, name string, w, h float64) (upright, across int) {
	t := tb.T
	t.Helper()
	browsertest.Call(tb, browsertest.Media("", "dark"))
	pdf := browsertest.Call(tb, func(ctx context.Context, _ *chromedp.Target) ([]byte, error) {
		got, err := chromedp.Call(ctx, page.PrintToPDF, page.PrintToPDFParams{PaperWidth: w / mmAnInch, PaperHeight: h / mmAnInch})
		return got.Data, err
	})
	if *shots != "" {
		save(tb, name+".pdf", pdf)
	}
	for _, box := range regexp.MustCompile(`/MediaBox \[0 0 ([0-9.]+) ([0-9.]+)\]`).FindAllSubmatch(pdf, -1) {
		var x, y float64
		if _, err := fmt.Sscan(string(box[1])+" "+string(box[2]), &x, &y); err != nil {
			t.Fatal(err)
		}
		x, y = x/pointsAnInch*mmAnInch, y/pointsAnInch*mmAnInch
		switch {
		case near(x, w) && near(y, h):
			upright++
		case near(x, h) && near(y, w):
			across++
		default:
			t.Errorf("a page is %.1f x %.1f mm", x, y)
		}
	}
	return upright, across
}

func near(a, b float64) bool { return a-b < 0.6 && b-a < 0.6 }

// printed looks for what does not fit the width of the paper.
const printed = `(() => {
	const out = [];
	for (const s of document.querySelectorAll(%q)) for (const e of s.querySelectorAll('table,svg,pre,p,td,th,dd,li')) {
		if (e.closest('.unseen')) continue;
		const right = e.getBoundingClientRect().right;
		if (right > innerWidth + 1) out.push(s.id + ': ' + e.tagName + ' reaches to ' + right + ' of ' + innerWidth);
		if (e.clientWidth && e.scrollWidth > e.clientWidth + 1) out.push(s.id + ': ' + e.tagName + ' is cut: ' + e.textContent.slice(0, 40));
	}
	const page = getComputedStyle(document.documentElement);
	if (page.color !== 'rgb(0, 0, 0)' || page.backgroundColor !== 'rgb(255, 255, 255)') out.push('printed ' + page.color + ' on ' + page.backgroundColor);
	for (const e of document.querySelectorAll('table.data>thead')) if (getComputedStyle(e).display !== 'table-header-group') out.push('a head is not repeated: ' + getComputedStyle(e).display);
	return out.slice(0, 10);
})()`

// fits holds sections to the width that they have on paper.
func fits(tb *browsertest.Tab, mm float64, sections string) {
	tb.T.Helper()
	browsertest.Call(tb, browsertest.Media("print", "dark"))
	browsertest.Call(tb, browsertest.Size(int64(mm/mmAnInch*pxAnInch), 900))
	for _, p := range browsertest.Evaluate[[]string](tb, fmt.Sprintf(printed, sections)) {
		tb.T.Errorf("on %.0f mm: %s", mm, p)
	}
}
