package dossier_test

import (
	"bytes"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"kitgauge/checker/npmtest"
	"kitgauge/checker/report/booklet"
)

// axe is the text of axe-core, which other people wrote: rules for what the Web
// Content Accessibility Guidelines 2.2 ask.
func axe(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile(npmtest.Find(t, npmtest.Install(t, filepath.Join(top, "testdata", "axe")), "axe.min.js"))
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// judge lists what axe finds serious or critical in a page, by its colours
// alone where the rest has been looked at.
func (tb *tab) judge(text string, colours bool) []string {
	tb.t.Helper()
	options := "{resultTypes: ['violations']}"
	if colours {
		options = "{resultTypes: ['violations'], runOnly: ['color-contrast']}"
	}
	call(tb, chromedp.Evaluate[chromedp.Void](text+";0"))
	const run = `axe.run(document, OPTIONS).then((r) => r.violations.filter((v) => v.impact === 'serious' || v.impact === 'critical')
		.map((v) => v.impact + ' ' + v.id + ': ' + v.nodes.length + ' as ' + v.nodes[0].html.slice(0, 120)))`
	return call(tb, chromedp.Evaluate[[]string](strings.Replace(run, "OPTIONS", options, 1), chromedp.EvalAwaitPromise))
}

// alike leaves a few rows of each table, and a few of the same articles: what is
// made of one template a hundred times need not be looked at as often.
const alike = `for (const b of document.querySelectorAll('tbody, .ticks')) [...b.children].slice(4).forEach((c) => c.remove())`

// TestBrowserAxe: axe finds nothing serious or critical in any dossier or
// booklet, light or dark.
func TestBrowserAxe(t *testing.T) {
	ctx, text := browser(t), axe(t)
	pages := dossiers(t)
	maps.Copy(pages, booklets(t))
	for _, name := range slices.Sorted(maps.Keys(pages)) {
		t.Run(name, func(t *testing.T) {
			tb := open(t, ctx, pages[name], media("", "light"), size(1280, 900))
			call(tb, chromedp.Evaluate[chromedp.Void](alike))
			found := tb.judge(text, false)
			call(tb, media("", "dark"))
			for _, problem := range append(found, tb.judge(text, true)...) {
				t.Error(problem)
			}
		})
	}
}

// TestBrowserBooklets looks at booklets as at dossiers, on a phone and at a
// desk, and prints them.
func TestBrowserBooklets(t *testing.T) {
	ctx, audit := browser(t), auditText(t)
	pages := booklets(t)
	for _, name := range slices.Sorted(maps.Keys(pages)) {
		t.Run(name, func(t *testing.T) {
			tb := open(t, ctx, pages[name], media("", "light"), size(390, 900))
			for _, colours := range []string{"light", "dark"} {
				call(tb, media("", colours))
				for _, px := range []int64{390, 1280} {
					call(tb, size(px, 900))
					for _, p := range evaluate[[]string](tb, audit) {
						t.Errorf("%s, %d wide: %s", colours, px, p)
					}
					tb.keep(fmt.Sprintf("%s-%s-%d", name, colours, px), px)
				}
			}
			for _, p := range papers {
				tb.fits(p.width-2*15, "main>section")
				if upright, across := tb.paper(name+"-"+p.name, p.width, p.height); upright < 3 || across > 0 {
					t.Errorf("%s: %d pages upright and %d across", p.name, upright, across)
				}
			}
			for _, fault := range tb.noted() {
				t.Error(fault)
			}
		})
	}
}

// booklets makes the installer's booklet of two kits.
func booklets(t *testing.T) map[string][]byte {
	t.Helper()
	pages := map[string][]byte{}
	for name, language := range map[string]string{"loader": "de", "gritter, faulty": "en"} {
		file, text := readKit(t, name)
		r, in := check(t, newChecker(), file, text)
		words, err := booklet.OwnWords().Language(language)
		if err != nil {
			t.Fatal(err)
		}
		var b bytes.Buffer
		if err := booklet.Write(&b, booklet.Input{Run: in.Run, Facts: r.Facts, Language: words}); err != nil {
			t.Fatal(err)
		}
		pages["booklet, "+name] = b.Bytes()
	}
	return pages
}
