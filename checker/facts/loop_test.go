package facts_test

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mathext"

	"kitgauge/checker/facts"
	"kitgauge/checker/value"
)

// loopKit is a tube of 330 mm over 181.4 mm along x, over a slide of a
// millimetre, with the hold of both clips to be filled in, and a wheel 30 mm
// below the line between them.
const loopKit = `
vehicle: {outline: {from: [-1 m, -1 m, 0 m], to: [2 m, 1 m, 2 m]}}
bodies: [{id: frame}, {id: axle}]
joints: [{id: j, role: suspension, kind: prismatic, parent: frame, child: axle, axis: [1, 0, 0], range: {from: 0 mm, to: 1 mm}}]
pump: {part: PUMP, body: frame, position: [-300 mm, 0 mm, 1 m]}
points: [{id: P, body: axle, position: [300 mm, 0 mm, 1 m]}]
lines:
  - {number: 1, point: P, tube: TUBE, tail: [
      {body: frame, position: [-100 mm, 0 mm, 1 m], hold: clip},
      {body: frame, position: [0 mm, 0 mm, 1 m], hold: HOLD},
      {body: axle, position: [181.4 mm, 0 mm, 1 m], hold: HOLD, free_length: 330 mm}]}
zones: [{id: wheel, kind: wheel, shape: box, body: frame, from: [-500 mm, -50 mm, 500 mm], to: [600 mm, 50 mm, 970 mm]}]
`

func looped(t *testing.T, pairs ...string) (*facts.Kit, *facts.Span) {
	t.Helper()
	f := fromText(t, loopKit, spanParts, pairs...)
	return f, f.Spans[0]
}

// A loop of 112 mm and more reaches a wheel that is 30 mm from the line
// between its clips.
func TestLoopBesideWheel(t *testing.T) {
	f, s := looped(t, "HOLD", "none")
	if s.LoopSag.V < 0.112 || s.LoopSag.V > 0.125 {
		t.Errorf("got a sag of %v (%s)", s.LoopSag.V, s.LoopSag.Why)
	}
	if a := find(t, f.Approaches, "line 1, tail 2 to tail 3, near wheel"); !a.Distance.Known || a.Distance.V != 0 {
		t.Errorf("got %v (%s), want 0", a.Distance.V, a.Distance.Why)
	}
	// With the wheel beyond the loop the distance is what the sag leaves, or a
	// little less: the loop may bow to any side.
	f, s = looped(t, "HOLD", "none", "970 mm]", "850 mm]")
	a := find(t, f.Approaches, "line 1, tail 2 to tail 3, near wheel")
	if want := 0.15 - s.LoopSag.V; a.Distance.V > want+1e-4 || a.Distance.V < want-0.2*s.LoopSag.V {
		t.Errorf("got %v (%s), want %v or a little less", a.Distance.V, a.Distance.Why, want)
	}
	if want := 1 - s.LoopSag.V; s.Lowest.V > want+1e-4 || s.Lowest.V < want-0.2*s.LoopSag.V {
		t.Errorf("the loop is %v (%s) above the ground, want %v or a little less", s.Lowest.V, s.Lowest.Why, want)
	}
}

// TestClips: what holds the tube, and where it comes from, tell how it leaves
// its clips. 330 mm over 181.4 mm bend to 70.9 mm free to swivel, and to 35.5 mm
// in clips along the chord (by shooting, in the plane; a loop that tips over
// sideways bends a few per cent less).
func TestClips(t *testing.T) {
	m := 0.0 // of half a wave: 2 E/K - 1 = chord/length
	for step := 0.5; step > 1e-12; step /= 2 {
		if 2*mathext.CompleteE(m+step)/mathext.CompleteK(m+step)-1 > 0.1814/0.33 {
			m += step
		}
	}
	swivel := 0.33 / (4 * math.Sqrt(m) * mathext.CompleteK(m))
	for _, tt := range []struct {
		name     string
		pairs    []string
		from, to float64
	}{
		{"nothing holds it", []string{"HOLD", "none"}, swivel * 0.999, swivel * 1.001},
		{"a grommet", []string{"HOLD", "grommet"}, swivel * 0.999, swivel * 1.001},
		{"clips, no run after the second", []string{"HOLD", "clip", "P, body: axle", "P, body: frame", "[300 mm", "[-300 mm"}, 0.045, 0.06},
		{"what holds it is not stated", []string{", hold: HOLD", ""}, 0.0354, 0.0375},
	} {
		_, s := looped(t, tt.pairs...)
		if !s.LoopRadius.Known || s.LoopRadius.V < tt.from || s.LoopRadius.V > tt.to {
			t.Errorf("%s: got %v (%s), want %v to %v", tt.name, s.LoopRadius.V, s.LoopRadius.Why, tt.from, tt.to)
		}
	}
}

// A clip across the span is where the tube is tightest, and is said so.
func TestSteepClip(t *testing.T) {
	_, s := looped(t, "[-100 mm, 0 mm, 1 m]", "[-20 mm, 0 mm, 900 mm]", "HOLD", "clip", "330 mm", "200 mm")
	if s.LoopClip != value.Known("frame") || !strings.Contains(s.LoopHow.V, "the tube leaves the clip on the frame at 78.69 deg to the span") {
		t.Errorf("got %q: %s", s.LoopClip.V, s.LoopHow.V)
	}
	if s.LoopRadius.V > 0.05 || s.LoopAt.V != "j at 1 mm" {
		t.Errorf("got %v with %s", s.LoopRadius.V, s.LoopAt.V)
	}
}

// A tube that is too short everywhere has no loop, and one too short
// somewhere has one where it is not.
func TestShortLoop(t *testing.T) {
	if _, s := looped(t, "HOLD", "clip", "330 mm", "181 mm"); s.LoopRadius.Known || s.LoopRadius.Why != "the tube is too short wherever the joints stand" {
		t.Errorf("got %v (%s)", s.LoopRadius.V, s.LoopRadius.Why)
	}
	if _, s := looped(t, "HOLD", "clip", "330 mm", "182 mm"); !s.LoopRadius.Known || s.Slack.V > 0 {
		t.Errorf("got %v (%s), slack %v", s.LoopRadius.V, s.LoopRadius.Why, s.Slack.V)
	}
}

// bundleKit is the span of loopKit in a bundle that ends behind it, with two
// lines that go on along x and to a place to be filled in.
const bundleKit = `
vehicle: {outline: {from: [-1 m, -1 m, 0 m], to: [2 m, 1 m, 2 m]}}
bodies: [{id: frame}, {id: axle}]
joints: [{id: j, role: suspension, kind: prismatic, parent: frame, child: axle, axis: [1, 0, 0], range: {from: 0 mm, to: 1 mm}}]
pump: {part: PUMP, body: frame, position: [-300 mm, 0 mm, 1 m]}
points: [{id: P, body: axle, position: [300 mm, 0 mm, 1 m]}, {id: Q, body: axle, position: [QX, QY, 1 m]}]
lines:
  - {number: 1, bundle: B, leaves_at: b-3, point: P, tube: TUBE}
  - {number: 2, bundle: B, leaves_at: b-3, point: Q, tube: TUBE}
bundles:
  - {id: B, route: [
      {id: b-1, body: frame, position: [-100 mm, 0 mm, 1 m], hold: clip},
      {id: b-2, body: frame, position: [0 mm, 0 mm, 1 m], hold: clip},
      {id: b-3, body: axle, position: [181.4 mm, 0 mm, 1 m], hold: LAST, free_length: 330 mm}]}
`

// TestBundleEnd: the last clip of a bundle holds it in the direction in which
// all its lines go on from there, within 30 deg of each other, and else in
// none. The radii are those of TestClips: in clips along the chord, and with
// the second free to swivel.
func TestBundleEnd(t *testing.T) {
	for _, tt := range []struct {
		name     string
		pairs    []string
		held     bool
		from, to float64
	}{
		{"both along x", []string{"QX", "310 mm", "QY", "0 mm", "LAST", "clip"}, true, 0.0345, 0.0375},
		{"29 deg apart, which turns the clip by 14.5", []string{"QX", "281.4 mm", "QY", "55.4 mm", "LAST", "clip"}, true, 0.03, 0.042},
		{"31 deg apart", []string{"QX", "281.4 mm", "QY", "60.1 mm", "LAST", "clip"}, false, 0.045, 0.06},
		{"one goes back", []string{"QX", "100 mm", "QY", "0 mm", "LAST", "clip"}, false, 0.045, 0.06},
		{"one goes to another body", []string{"Q, body: axle", "Q, body: frame", "QX", "310 mm", "QY", "0 mm", "LAST", "clip"}, false, 0.045, 0.06},
		{"first along x in a tail", []string{"QX", "281.4 mm", "QY", "300 mm", "LAST", "clip",
			"point: Q, tube: TUBE", "point: Q, tube: TUBE, tail: [{body: axle, position: [250 mm, 0 mm, 1 m], hold: clip}]"}, true, 0.0345, 0.0375},
		{"nothing holds it there", []string{"QX", "310 mm", "QY", "0 mm", "LAST", "none"}, true, 0.045, 0.06},
	} {
		s := fromText(t, bundleKit, spanParts, tt.pairs...).Spans[0]
		if !s.LoopRadius.Known || s.LoopRadius.V < tt.from || s.LoopRadius.V > tt.to {
			t.Errorf("%s: got %v (%s), want %v to %v", tt.name, s.LoopRadius.V, s.LoopRadius.Why, tt.from, tt.to)
		}
		if said := strings.Contains(s.LoopSwivel.V, "free to swivel at its end, b-3"); !s.LoopSwivel.Known || said == tt.held {
			t.Errorf("%s: got %q", tt.name, s.LoopSwivel.V)
		}
	}
}
