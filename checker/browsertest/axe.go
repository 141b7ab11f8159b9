package browsertest

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"kitgauge/checker/npmtest"
)

// Axe is the text of axe-core, which other people wrote: rules for what the Web
// Content Accessibility Guidelines 2.2 ask. The top is that of the repository.
func Axe(t *testing.T, top string) string {
	t.Helper()
	text, err := os.ReadFile(npmtest.Find(t, npmtest.Install(t, filepath.Join(top, "testdata", "axe")), "axe.min.js"))
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// Judge lists what axe finds serious or critical in a page, by its colours
// alone where the rest has been looked at.
func Judge(tb *Tab, text string, colours bool) []string {
	tb.T.Helper()
	options := "{resultTypes: ['violations']}"
	if colours {
		options = "{resultTypes: ['violations'], runOnly: ['color-contrast']}"
	}
	Call(tb, chromedp.Evaluate[chromedp.Void](text+";0"))
	const run = `axe.run(document, OPTIONS).then((r) => r.violations.filter((v) => v.impact === 'serious' || v.impact === 'critical')
		.map((v) => v.impact + ' ' + v.id + ': ' + v.nodes.length + ' as ' + v.nodes[0].html.slice(0, 120)))`
	return Call(tb, chromedp.Evaluate[[]string](strings.Replace(run, "OPTIONS", options, 1), chromedp.EvalAwaitPromise))
}
