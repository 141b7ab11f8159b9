package drawing_test

import (
	"bytes"
	"math"
	"regexp"
	"strings"
	"testing"

	"kitgauge/checker/report/drawing"
)

// TestSpanToScale measures chord and tube on the paper: they are the distance
// and the free length of the kit (identities).
func TestSpanToScale(t *testing.T) {
	for name, r := range examples(t) {
		for _, s := range r.Facts.Spans {
			var b bytes.Buffer
			if err := drawing.Span(&b, drawing.Input{Kit: r.Facts, Findings: r.Findings}, s); err != nil {
				t.Errorf("%s: %v", name, err)
				continue
			}
			d := read(t, b.Bytes())
			if err := d.legible(); err != nil {
				t.Errorf("%s, %s: %v", name, s.Place(), err)
			}
			scale := regexp.MustCompile(`true length, 1:([0-9.]+)<`).FindSubmatch(b.Bytes())
			k := 1000 / number(t, string(scale[1]))
			chords, tubes := d.inPlane()
			for i, want := range []float64{s.Shortest.V, s.Longest.V} {
				if got := chords[i+1] / k; math.Abs(got-want) > 0.02/k {
					t.Errorf("%s, %s: the chord is drawn %.5f m long, want %.5f m", name, s.Place(), got, want)
				}
			}
			// as it is seen the tube may come towards the reader, and look shorter
			if got, want := tubes[1]/k, s.Most.V; got > 1.002*want || got < 0.8*want {
				t.Errorf("%s, %s: the tube is drawn %.5f m long, want %.5f m", name, s.Place(), got, want)
			}
		}
	}
}

// inPlane is the length of the dimension lines and of the tubes in true
// length, from left to right.
func (d *drawn) inPlane() (chords, tubes []float64) {
	for _, s := range d.shapes {
		switch {
		case s.class == "chord":
			chords = append(chords, math.Hypot(s.path[1][0]-s.path[0][0], s.path[1][1]-s.path[0][1]))
		case s.class == "bundle" && len(tubes) < len(chords):
			length := 0.0
			for i := 1; i < len(s.path); i++ {
				length += math.Hypot(s.path[i][0]-s.path[i-1][0], s.path[i][1]-s.path[i-1][1])
			}
			tubes = append(tubes, length)
		}
	}
	return chords, tubes
}

// TestSpanView: a steered knuckle turns about the upright, so it is seen from
// above; springs move up and down, so they are seen from the side.
func TestSpanView(t *testing.T) {
	r := examples(t)["gritter.kit.yaml"]
	seen := 0
	for _, s := range r.Facts.Spans {
		var b bytes.Buffer
		if err := drawing.Span(&b, drawing.Input{Kit: r.Facts}, s); err != nil {
			t.Fatal(err)
		}
		above := strings.Contains(b.String(), "As seen from above")
		if s.Kind.V == "steered" || s.Kind.V == "sprung" {
			seen++
			if above != (s.Kind.V == "steered") {
				t.Errorf("%s (%s): seen from above is %t", s.Place(), s.Kind.V, above)
			}
		}
	}
	if seen < 4 {
		t.Errorf("got %d steered and sprung spans, want some", seen)
	}
}

// TestSpanUnknown: what keeps a span from being drawn is said.
func TestSpanUnknown(t *testing.T) {
	r := examples(t)["gritter.kit.yaml"]
	s := *r.Facts.Spans[0]
	err := drawing.Span(&bytes.Buffer{}, drawing.Input{Kit: r.Facts}, &s) // not one of the kit's
	if err == nil || !strings.Contains(err.Error(), "cannot be drawn: a position of bundle FL") {
		t.Errorf("got %v", err)
	}
}
