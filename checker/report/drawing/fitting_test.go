package drawing_test

import (
	"strings"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/report/drawing"
)

// TestFitting holds the tables to what a fitter has to know: how the pump is put
// on, and the notes of the kit.
func TestFitting(t *testing.T) {
	c := checker.New(checker.Options{NoSettings: true, Packs: []string{}})
	const name = "examples/gritter/gritter.kit.yaml"
	r := check(t, c, "../../../"+name, []byte(kitText(t, name)))
	for _, paper := range drawing.Papers() {
		var all strings.Builder
		for _, s := range drawing.Sheets(drawing.Input{Kit: r.Facts, Paper: paper}) {
			all.Write(s.SVG)
		}
		for _, want := range []string{"FG-B8, M8, 8.8", "drilling template DT-36", "not stated: as the makers of pump and bolts say", "Crosses to the right hinge along the rear cross member."} {
			if n := strings.Count(all.String(), ">"+want+"<"); n != 1 {
				t.Errorf("%s: %q stands %d times on the sheets, want once", paper, want, n)
			}
		}
	}
}
