package drawing_test

import (
	"io"
	"math"
	"slices"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/facts"
	"kitgauge/checker/finding"
	"kitgauge/checker/internal/heavy"
	"kitgauge/checker/report/drawing"
)

// many is a kit of more spans than are drawn.
func many(t *testing.T) *checker.Result {
	t.Helper()
	text := heavy.Kit(heavy.Shape{Lines: 10, Bundles: 10, Stations: 16, Joints: 4})
	r, err := checker.New(checker.Options{NoSettings: true, Packs: []string{}, ReadFile: func(_, file string) ([]byte, error) { return nil, io.ErrUnexpectedEOF }}).Check("a.kit.yaml", text)
	if err != nil {
		t.Fatal(err)
	}
	if n := len(r[0].Facts.Spans); n <= drawing.MostSpans {
		t.Fatalf("only %d spans", n)
	}
	return r[0]
}

// Of many spans those are drawn about which something is found, and then those
// nearest to a limit, in the order of the kit.
func TestChosenSpans(t *testing.T) {
	r := many(t)
	spans := r.Facts.Spans
	var found []finding.Finding
	for i := len(spans) - 5; i < len(spans); i++ {
		n := spans[i].Source()
		found = append(found, finding.Finding{Rule: "slack/x", Severity: finding.Minor, Status: finding.Violated, Place: spans[i].Place(), Pos: n.Pos(), Pointer: n.Pointer()})
	}
	chosen := drawing.NewSpans(drawing.Input{Kit: r.Facts, Findings: found}).Chosen()
	if len(chosen) != drawing.MostSpans {
		t.Fatalf("%d are drawn, want %d", len(chosen), drawing.MostSpans)
	}
	for i := len(spans) - 5; i < len(spans); i++ {
		if !slices.Contains(chosen, spans[i]) {
			t.Errorf("%s has a finding and is not drawn", spans[i].Place())
		}
	}
	at := -1
	least, most := 0.0, math.Inf(-1)
	first := true
	share := func(s *facts.Span) float64 { return s.Slack.V / s.Longest.V }
	for i, s := range spans[:len(spans)-5] {
		switch {
		case slices.Contains(chosen, s):
			if j := slices.Index(chosen, s); j <= at {
				t.Errorf("span %d is out of order", i)
			} else {
				at = j
			}
			if s.Slack.Known && !s.LoopRadius.Known {
				most = max(most, share(s))
			}
		case s.Slack.Known && (first || share(s) < least):
			least, first = share(s), false
		}
	}
	if !first && least < most {
		t.Errorf("one with a slack of %g of its length is left out, and one of %g drawn", least, most)
	}
}
