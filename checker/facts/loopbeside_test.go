package facts_test

import (
	"testing"

	"kitgauge/checker/facts"
)

// rubKit is two tubes of 330 mm over 181.4 mm along x, free to bow to any
// side, GAP apart: one from the frame to an axle, one from the frame to a boom.
const rubKit = `
vehicle: {outline: {from: [-1 m, -1 m, 0 m], to: [2 m, 2 m, 2 m]}}
bodies: [{id: frame}, {id: axle}, {id: boom}]
joints:
  - {id: j, role: suspension, kind: prismatic, parent: frame, child: axle, axis: [1, 0, 0], range: {from: 0 mm, to: 1 mm}}
  - {id: k, role: articulation, kind: prismatic, parent: frame, child: boom, axis: [0, -1, 0], range: {from: 0 mm, to: 50 mm}}
pump: {part: PUMP, body: frame, position: [-300 mm, 500 mm, 1 m]}
points: [{id: P, body: axle, position: [300 mm, 0 mm, 1 m]}, {id: Q, body: boom, position: [300 mm, GAP, 1 m]}]
lines:
  - {number: 1, point: P, tube: TUBE, tail: [
      {body: frame, position: [0 mm, 0 mm, 1 m], hold: none},
      {body: axle, position: [181.4 mm, 0 mm, 1 m], hold: none, free_length: 330 mm}]}
  - {number: 2, point: Q, tube: TUBE, tail: [
      {body: frame, position: [0 mm, GAP, 1 m], hold: none},
      {body: SECOND, position: [181.4 mm, GAP, 1 m], hold: none, free_length: 330 mm}]}
`

// Two loops whose ends stay 300 mm apart and 50 mm less bow towards each other
// by their sag, and are the nearer by what the boom moves; those that hang on
// the same two bodies may be tied to each other.
func TestLoopsBeside(t *testing.T) {
	rub := func(pairs ...string) *facts.Span { return fromText(t, rubKit, spanParts, pairs...).Spans[0] }
	s := rub("GAP", "310 mm", "SECOND", "boom")
	// The farthest places of both stand against each other halfway between
	// their ends, where the boom's end has come 50 mm nearer: 310 - 25 mm.
	want := 0.310 - 0.025 - 2*s.LoopSag.V
	if !s.BundleGap.Known || s.BundleGap.V < want-0.2*s.LoopSag.V || s.BundleGap.V > want+0.002 {
		t.Errorf("got %v (%s), want %v or a little less", s.BundleGap.V, s.BundleGap.Why, want)
	}
	if s.BundleNear.V != "line 2, tail 1 to tail 2" || s.BundleWhen.V == "" {
		t.Errorf("got %q with %q", s.BundleNear.V, s.BundleWhen.V)
	}
	if s := rub("GAP", "200 mm", "SECOND", "boom"); s.BundleGap.V != 0 || !s.BundleGap.Known {
		t.Errorf("got %v (%s), want 0", s.BundleGap.V, s.BundleGap.Why)
	}
	if s := rub("GAP", "200 mm", "SECOND", "axle"); s.BundleGap.Known {
		t.Errorf("got %v of loops that may be tied to each other", s.BundleGap.V)
	}
	if s := rub("GAP", "700 mm", "SECOND", "boom"); s.BundleGap.Known {
		t.Errorf("got %v of loops far from each other", s.BundleGap.V)
	}
}
