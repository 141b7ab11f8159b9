package dossier_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"kitgauge/checker/npmtest"
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

// TestBrowserAxe: axe finds nothing serious or critical in any dossier, light
// or dark.
func TestBrowserAxe(t *testing.T) {
	ctx, text := browser(t), axe(t)
	pages := dossiers(t)
	for _, name := range names {
		t.Run(name, func(t *testing.T) {
			tb := open(t, ctx, pages[name], media("", "light"), size(1280, 900))
			found := tb.judge(text, false)
			call(tb, media("", "dark"))
			for _, problem := range append(found, tb.judge(text, true)...) {
				t.Error(problem)
			}
		})
	}
}
