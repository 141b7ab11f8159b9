package dossier_test

import (
	"testing"

	"kitgauge/checker/browsertest"
)

// TestBrowserAxe: axe finds nothing serious or critical in any dossier, light
// or dark.
func TestBrowserAxe(t *testing.T) {
	ctx, text := browsertest.Start(t), browsertest.Axe(t, top)
	pages := dossiers(t)
	for _, name := range names {
		t.Run(name, func(t *testing.T) {
			tb := open(t, ctx, pages[name], browsertest.Media("", "light"), browsertest.Size(1280, 900))
			found := browsertest.Judge(tb, text, false)
			browsertest.Call(tb, browsertest.Media("", "dark"))
			for _, problem := range append(found, browsertest.Judge(tb, text, true)...) {
				t.Error(problem)
			}
		})
	}
}
