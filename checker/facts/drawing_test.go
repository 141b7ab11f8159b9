package facts_test

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"kitgauge/checker"
)

// TestRoutes holds the routes that are drawn to the spans that the rules look
// at: each ends one stop, between two bodies, and moves as its figures say
// (identities).
func TestRoutes(t *testing.T) {
	c := checker.New(checker.Options{NoSettings: true, Packs: []string{}})
	for _, name := range []string{"trailer", "loader", "gritter"} {
		file := filepath.Join("../../examples", name, name+".kit.yaml")
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		results, err := c.Check(file, text)
		if err != nil {
			t.Fatal(err)
		}
		k := results[0].Facts
		routes := k.Routes()
		if got, want := len(routes), len(k.Bundles)+len(k.Lines); got != want {
			t.Errorf("%s: got %d routes, want %d", name, got, want)
		}
		ends, leaving := 0, 0
		for _, r := range routes {
			for i, stop := range r.Stops {
				leaving += len(stop.Leaving)
				if stop.Span == nil {
					continue
				}
				if stop.Span != k.Spans[ends] || r.Stops[i-1].Body == stop.Body {
					t.Errorf("%s: %s ends at %s of %s", name, stop.Span.Place(), stop.Name, r.Place)
				}
				ends++
			}
		}
		if ends != len(k.Spans) {
			t.Errorf("%s: got %d spans on the routes, want %d", name, ends, len(k.Spans))
		}
		bundled := 0
		for _, l := range k.Lines {
			if l.Bundle.To != nil {
				bundled++
			}
		}
		if leaving != bundled {
			t.Errorf("%s: got %d lines leaving their bundle, want %d", name, leaving, bundled)
		}
		for _, s := range k.Spans {
			m, err := k.Motion(s)
			if err != nil {
				t.Errorf("%s: %v", s.Place(), err)
				continue
			}
			if math.Abs(m.Shortest.Distance-s.Shortest.V) > 1e-12 || math.Abs(m.Longest.Distance-s.Longest.V) > 1e-12 {
				t.Errorf("%s: got %g to %g, want %g to %g", s.Place(), m.Shortest.Distance, m.Longest.Distance, s.Shortest.V, s.Longest.V)
			}
		}
	}
}
