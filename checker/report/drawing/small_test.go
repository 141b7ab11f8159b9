package drawing_test

import (
	"bytes"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/internal/fleet"
	"kitgauge/checker/report/drawing"
)

// TestSmallLegible: on half a page too, no text of a span lies on another or is
// cut.
func TestSmallLegible(t *testing.T) {
	c := checker.New(checker.Options{ReadFile: fleet.ReadFile, NoSettings: true, Packs: []string{}})
	for seed := range uint64(9) {
		k, err := fleet.New(seed, 4+int(seed*29%81), fleet.Options{})
		if err != nil {
			t.Fatal(err)
		}
		r := check(t, c, "fleet.kit.yaml", k.YAML())
		spans := drawing.NewSpans(drawing.Input{Kit: r.Facts})
		for _, s := range r.Facts.Spans {
			var b bytes.Buffer
			if err := spans.WriteSmall(&b, s, "small"); err != nil {
				t.Errorf("seed %d: %v", seed, err)
				continue
			}
			if err := read(t, b.Bytes()).within(0, 0); err != nil {
				t.Errorf("seed %d, %s: %v", seed, s.Place(), err)
			}
		}
	}
}
