package dossier_test

import (
	"bytes"
	"fmt"
	"maps"
	"slices"
	"testing"

	"github.com/chromedp/chromedp"

	"kitgauge/checker/browsertest"
	"kitgauge/checker/report/booklet"
)

// few leaves a few rows of each table and list: what is made of one template a
// hundred times need not be looked at as often.
const few = `for (const b of document.querySelectorAll('tbody, .ticks')) [...b.children].slice(4).forEach((c) => c.remove())`

// TestBrowserAxe: axe finds nothing serious or critical in dossiers and booklets,
// light or dark: with -full in all of them.
func TestBrowserAxe(t *testing.T) {
	ctx, text := browsertest.Start(t), browsertest.Axe(t, top)
	pages := dossiers(t)
	if !*full { // these have every section, with findings and without
		maps.DeleteFunc(pages, func(name string, _ []byte) bool { return name != "gritter, faulty" && name != "trailer" })
	}
	maps.Copy(pages, booklets(t))
	for _, name := range slices.Sorted(maps.Keys(pages)) {
		t.Run(name, func(t *testing.T) {
			tb := open(t, ctx, pages[name], browsertest.Media("", "light"), browsertest.Size(1280, 900))
			browsertest.Call(tb, chromedp.Evaluate[chromedp.Void](few))
			found := browsertest.Judge(tb, text, false)
			browsertest.Call(tb, browsertest.Media("", "dark"))
			for _, problem := range append(found, browsertest.Judge(tb, text, true)...) {
				t.Error(problem)
			}
		})
	}
}

// TestBrowserBooklets looks at booklets as at dossiers, on a phone and at a
// desk, and prints them.
func TestBrowserBooklets(t *testing.T) {
	ctx := browsertest.Start(t)
	pages := booklets(t)
	for _, name := range slices.Sorted(maps.Keys(pages)) {
		t.Run(name, func(t *testing.T) {
			tb := open(t, ctx, pages[name], browsertest.Media("", "light"), browsertest.Size(390, 900))
			for _, colours := range []string{"light", "dark"} {
				browsertest.Call(tb, browsertest.Media("", colours))
				for _, px := range []int64{390, 1280} {
					browsertest.Call(tb, browsertest.Size(px, 900))
					for _, p := range browsertest.Evaluate[[]string](tb, browsertest.Audit) {
						t.Errorf("%s, %d wide: %s", colours, px, p)
					}
					keep(tb, fmt.Sprintf("%s-%s-%d", name, colours, px), px)
				}
			}
			for _, p := range papers {
				fits(tb, p.width-2*15, "main>section")
				if upright, across := onPaper(tb, name+"-"+p.name, p.width, p.height); upright < 3 || across > 0 {
					t.Errorf("%s: %d pages upright and %d across", p.name, upright, across)
				}
			}
			for _, fault := range tb.Noted() {
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
