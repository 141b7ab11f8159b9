package facts_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"kitgauge/checker/facts"
	"kitgauge/checker/value"
)

// spanKit is a bundle over two joints, to a knuckle that hangs on a sprung
// axle, and a single line to a point on the axle.
const spanKit = `
bodies: [{id: chassis}, {id: axle}, {id: knuckle, name: left knuckle}, {id: toolbox}]
joints:
  - {id: springs, role: suspension, kind: prismatic, parent: chassis, child: axle, axis: [0, 0, 1], range: {from: -90 mm, to: 80 mm}}
  - {id: kingpin, role: steering, kind: revolute, parent: axle, child: knuckle, pivot: [0 mm, 860 mm, 500 mm], axis: [0, -0.1, 1], range: {from: -38 deg, to: 44 deg}}
points:
  - {id: P1, body: knuckle, position: [-60 mm, 880 mm, 540 mm]}
  - {id: P2, body: axle, position: [-100 mm, 300 mm, 500 mm]}
pump: {part: PUMP, body: chassis, position: [-400 mm, 500 mm, 900 mm]}
lines:
  - {number: 1, point: P1, tube: TUBE, bundle: B}
  - {number: 2, point: P1, tube: TUBE, bundle: B}
  - {number: 3, point: P2, tube: TUBE, single: true, last_free_length: 520 mm, last_ties: [{at: 100 mm}],
     tail: [{body: chassis, position: [-100 mm, 350 mm, 900 mm], hold: clip}]}
bundles:
  - id: B
    conduit: CONDUIT
    route:
      - {id: b1, body: chassis, position: [-200 mm, 600 mm, 860 mm], hold: clip}
      - {id: b2, body: chassis, position: [-100 mm, 700 mm, 820 mm]} # b2 holds nothing
      - {id: b3, body: knuckle, position: [-60 mm, 880 mm, 640 mm], hold: clip, free_length: 480 mm}
`

const spanParts = `
title: parts
parts:
  - {number: PUMP, kind: pump}
  - {number: TUBE, kind: tube, bend_radius: 25 mm}
  - {number: CONDUIT, kind: conduit, bend_radius: 40 mm}
`

func spanned(t testing.TB, pairs ...string) []*facts.Span {
	t.Helper()
	return fromText(t, spanKit, spanParts, pairs...).Spans
}

// swept is the least and the greatest distance over a grid of the two joints'
// positions, each motion by gonum's quaternion rotation.
func swept(a, b r3.Vec, steps int) (least, most float64) {
	pivot, axis := r3.Vec{Y: 0.86, Z: 0.5}, r3.Vec{Y: -0.1, Z: 1}
	least = math.Inf(1)
	for i := range steps + 1 {
		turn := (-38 + 82*float64(i)/float64(steps)) * math.Pi / 180
		turned := r3.Add(pivot, r3.NewRotation(turn, r3.Unit(axis)).Rotate(r3.Sub(b, pivot)))
		for j := range steps + 1 {
			travel := -0.09 + 0.17*float64(j)/float64(steps)
			d := r3.Norm(r3.Sub(r3.Add(turned, r3.Vec{Z: travel}), a))
			least, most = min(least, d), max(most, d)
		}
	}
	return least, most
}

// The extremes of a span are those of a sweep through both joints with
// gonum's spatial/r3. Between two steps of the sweep no distance changes by
// more than 0.2 mm.
func TestSpanAgainstSweep(t *testing.T) {
	s := spanned(t)[0]
	least, most := swept(r3.Vec{X: -0.1, Y: 0.7, Z: 0.82}, r3.Vec{X: -0.06, Y: 0.88, Z: 0.64}, 1000)
	if math.Abs(s.Shortest.V-least) > 2e-4 || math.Abs(s.Longest.V-most) > 2e-4 {
		t.Errorf("got %.5f to %.5f m (%s); want %.5f to %.5f m, recomputed with gonum v0.17.0", s.Shortest.V, s.Longest.V, s.Longest.Why, least, most)
	}
	if got, want := s.Slack.V, 0.48-most; math.Abs(got-want) > 2e-4 {
		t.Errorf("got a slack of %.5f m, want %.5f", got, want)
	}
}

// Wherever the span arrives on the knuckle, it comes out as in the sweep.
func TestAnySpanAgainstSweep(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		mm := func(name string, from, to int) int { return rapid.IntRange(from, to).Draw(rt, name) }
		x, y, z := mm("x", -400, 400), mm("y", 500, 1200), mm("z", 200, 900)
		s := spanned(t, "[-60 mm, 880 mm, 640 mm]", fmt.Sprintf("[%d mm, %d mm, %d mm]", x, y, z))[0]
		least, most := swept(r3.Vec{X: -0.1, Y: 0.7, Z: 0.82}, r3.Scale(1e-3, r3.Vec{X: float64(x), Y: float64(y), Z: float64(z)}), 200)
		// a step of the sweep is 7.2 mrad at up to 0.75 m, and 0.85 mm
		if !s.Longest.Known || s.Longest.V < most-1e-4 || s.Longest.V > most+4e-3 || s.Shortest.V > least+1e-4 || s.Shortest.V < least-4e-3 {
			rt.Errorf("got %.5f to %.5f m (%s); want %.5f to %.5f m", s.Shortest.V, s.Longest.V, s.Longest.Why, least, most)
		}
	})
}

// chordKit is one joint between two stations.
const chordKit = `
bodies: [{id: chassis}, {id: arm}]
joints: [{id: j, role: boom, kind: revolute, parent: chassis, child: arm, pivot: [0 mm, 0 mm, 0 mm], axis: [0, 0, 1], range: {from: 0 deg, to: 80 deg}}]
pump: {part: PUMP, body: chassis, position: [364.005 mm, 0 mm, 0 mm]}
points: [{id: P, body: arm, position: [364.005 mm, 0 mm, 0 mm]}]
lines: [{number: 1, point: P, tube: TUBE, last_free_length: 525 mm}]
`

func TestSpanPublishedValues(t *testing.T) {
	turn := fromText(t, chordKit, spanParts).Spans[0]
	slide := fromText(t, chordKit, spanParts, "kind: revolute", "kind: prismatic", "axis: [0, 0, 1]", "axis: [1, 0, 0]",
		"{from: 0 deg, to: 80 deg}", "{from: 0 mm, to: 50 mm}", "arm, position: [364.005 mm", "arm, position: [864.005 mm").Spans[0]
	for _, tt := range []struct {
		source string
		got    value.Number
		want   float64
	}{
		{"recomputed: chord 2 r sin(t/2), r 0.364005 m, t 80 deg", turn.Longest, 0.467956},
		{"limit: both ends at one place", turn.Shortest, 0},
		{"limit: a slide along the line of both ends", slide.Shortest, 0.5},
		{"limit: a slide along the line of both ends", slide.Longest, 0.55},
		{"limit: 525 mm less 550 mm", slide.Slack, -0.025},
		{"recomputed: half a wave of 1.05 chords (Love, art. 263), R/d = 0.75890", slide.LoopRadius, 0.758896502 * 0.5},
		{"recomputed: half a wave of 1.05 chords (Love, art. 263), sag/d = 0.14368", slide.LoopSag, 0.143680874 * 0.5},
	} {
		if !tt.got.Known || math.Abs(tt.got.V-tt.want) > 1e-5 {
			t.Errorf("%s: got %v (%s), want %v", tt.source, tt.got.V, tt.got.Why, tt.want)
		}
	}
	if got, want := turn.LongestAt.V, "j at 80 deg"; got != want {
		t.Errorf("got longest with %q, want %q", got, want)
	}
}

func TestSpanPlaces(t *testing.T) {
	spans := spanned(t)
	var got []string
	for _, s := range spans {
		got = append(got, fmt.Sprintf("%s: %s, lines %v, over %v", s.Place(), s.Kind.V, s.Members, s.Joints))
	}
	want := []string{
		"bundle B, span chassis to left knuckle: steered, lines [1 2], over [springs kingpin]",
		"line 3, span chassis to axle: sprung, lines [3], over [springs]",
	}
	if !slices.Equal(got, want) {
		t.Errorf("got %q\nwant %q", got, want)
	}
	if s := spans[1]; s.Ties.V != 1 || s.InBundle.V || s.StatedAs.V != "last_free_length of line 3" {
		t.Errorf("line 3: got %d ties, in a bundle %v, stated as %q", s.Ties.V, s.InBundle.V, s.StatedAs.V)
	}
	if s := spans[0]; s.StatedAs.V != "free_length of station b3" || s.BendRadius.V != 0.04 {
		t.Errorf("bundle: got stated as %q, bend radius %v; the conduit bends least, at 40 mm", s.StatedAs.V, s.BendRadius.V)
	}
}

// The strictest role of the joints names the span: an articulation moves
// furthest, a sprung axle least (common practice, no source).
func TestSpanRole(t *testing.T) {
	for _, tt := range []struct{ springs, kingpin, want string }{
		{"suspension", "steering", "steered"}, {"steering", "suspension", "steered"}, {"suspension", "suspension", "sprung"},
		{"boom", "steering", "articulated"}, {"steering", "drawbar", "articulated"}, {"tipping", "suspension", "articulated"},
	} {
		s := spanned(t, "springs, role: suspension", "springs, role: "+tt.springs, "kingpin, role: steering", "kingpin, role: "+tt.kingpin)[0]
		if s.Kind.V != tt.want {
			t.Errorf("%s and %s: got %q, want %q", tt.springs, tt.kingpin, s.Kind.V, tt.want)
		}
	}
}

// The grip of a span is the way back along the route to the nearest clip or
// tie on the same body.
func TestGrip(t *testing.T) {
	const b2 = "820 mm]} # b2"
	back := math.Sqrt(0.1*0.1 + 0.1*0.1 + 0.04*0.04) // from b2 to b1
	for _, tt := range []struct {
		name     string
		pairs    []string
		from, to float64
		held     bool
	}{
		{"a clip at b1 only", nil, back, 0, true},
		{"a clip at b2", []string{b2, "820 mm], hold: clip} # b2"}, 0, 0, true},
		{"a tie at b2", []string{b2, "820 mm], hold: tie} # b2"}, 0, 0, true},
		{"a grommet holds nothing", []string{b2, "820 mm], hold: grommet} # b2"}, back, 0, true},
		{"a tie on the run, 100 mm from b1", []string{b2, "820 mm], ties: [{at: 100 mm}]} # b2"}, back - 0.1, 0, true},
		{"the nearer of two ties", []string{b2, "820 mm], ties: [{at: 120 mm}, {at: 30 mm}]} # b2"}, back - 0.12, 0, true},
		{"nothing on the knuckle", []string{"640 mm], hold: clip,", "640 mm],"}, back, 0, false},
	} {
		s := spanned(t, tt.pairs...)[0]
		if math.Abs(s.GripFrom.V-tt.from) > 1e-9 || s.HeldTo.V != tt.held || s.GripTo.Known != tt.held {
			t.Errorf("%s: got grip from %v, held at the end %v (%v, %s); want %v, %v", tt.name, s.GripFrom.V, s.HeldTo.V, s.GripTo.Known, s.GripTo.Why, tt.from, tt.held)
		}
	}
}

func TestMemberLengths(t *testing.T) {
	const stated = "free_length: 480 mm"
	for _, tt := range []struct {
		own         string
		least, most float64
		strangers   []string
	}{
		{"", 0.48, 0.48, nil},
		{", member_lengths: [{line: 2, length: 470 mm}]", 0.47, 0.48, nil},
		{", member_lengths: [{line: 2, length: 470 mm}, {line: 1, length: 495 mm}]", 0.47, 0.495, nil},
		{", member_lengths: [{line: 3, length: 400 mm}]", 0.48, 0.48, []string{"3"}},
	} {
		s := spanned(t, stated, stated+tt.own)[0]
		if s.Least.V != tt.least || s.Most.V != tt.most || math.Abs(s.Spread.V-(tt.most-tt.least)) > 1e-12 || !slices.Equal(s.Strangers, tt.strangers) {
			t.Errorf("%q: got %v to %v, spread %v, strangers %v; want %v to %v, %v", tt.own, s.Least.V, s.Most.V, s.Spread.V, s.Strangers, tt.least, tt.most, tt.strangers)
		}
		if math.Abs(s.Slack.V-(tt.least-s.Longest.V)) > 1e-12 || math.Abs(s.Surplus.V-(tt.most-s.Shortest.V)) > 1e-12 {
			t.Errorf("%q: the slack is the shortest tube's, the surplus the longest's: got %v, %v", tt.own, s.Slack.V, s.Surplus.V)
		}
	}
}

// What is not stated leaves unknown what rests on it, with the reason.
func TestUnknownSpans(t *testing.T) {
	slack := func(s *facts.Span) string { return s.Slack.Why }
	longest := func(s *facts.Span) string { return s.Longest.Why }
	const range2 = ", range: {from: -38 deg, to: 44 deg}"
	for _, tt := range []struct {
		old, new string
		of       func(*facts.Span) string
		want     string
	}{
		{range2, "", longest, "the range of joint kingpin is not stated"},
		{range2, "", slack, "the range of joint kingpin is not stated"},
		{range2, ", range: {from: -38 deg}", longest, "the range of joint kingpin is not stated"},
		{range2, ", range: {from: 44 deg, to: -38 deg}", longest, "range"},
		{", axis: [0, -0.1, 1]", "", longest, "the axis of joint kingpin is not stated"},
		{"axis: [0, -0.1, 1]", "axis: [0, 0, 0]", longest, "axis"},
		{", pivot: [0 mm, 860 mm, 500 mm]", "", longest, "the pivot of joint kingpin is not stated"},
		{"kind: revolute, ", "", longest, "the kind of joint kingpin is not stated"},
		{", position: [-60 mm, 880 mm, 640 mm]", "", longest, "a position of bundle B, span chassis to left knuckle is not stated"},
		{"[-60 mm, 880 mm, 640 mm]", "[-60 mm, 880 mm]", longest, "position is not a list of three"},
		{", free_length: 480 mm", "", slack, "the free length of bundle B, span chassis to left knuckle is not stated"},
		{"free_length: 480 mm", "free_length: 480", slack, "free_length"},
		{", role: steering", "", func(s *facts.Span) string { return s.Kind.Why }, "the role of joint kingpin is not stated"},
		{", bend_radius: 40 mm", "", func(s *facts.Span) string { return s.BendRadius.Why }, "the bend radius of part CONDUIT is not stated"},
		{"kind: tube, bend_radius: 25 mm", "kind: tube", func(s *facts.Span) string { return s.BendRadius.Why }, "the bend radius of part TUBE is not stated"},
		{"point: P1, tube: TUBE", "point: P1", func(s *facts.Span) string { return s.BendRadius.Why }, "the tube of line 1 is not stated"},
		{"child: knuckle", "child: toolbox", longest, "no joint joins chassis and left knuckle"},
		{"860 mm], hold: clip", "860 mm]", func(s *facts.Span) string { return s.GripFrom.Why }, ""},
		{"position: [-200 mm, 600 mm, 860 mm], ", "", func(s *facts.Span) string { return s.GripFrom.Why }, "the position of station b1 is not known"},
	} {
		s := spanned(t, tt.old, tt.new)[0]
		got := tt.of(s)
		if tt.want == "" && got != "" || !strings.Contains(got, tt.want) || tt.want != "" && got == "" {
			t.Errorf("%q for %q: got %q, want %q in it", tt.new, tt.old, got, tt.want)
		}
	}
	s := spanned(t, "child: knuckle", "child: toolbox")[0]
	if s.Joined.V {
		t.Error("chassis and knuckle count as joined without a joint between them")
	}
}

// A stop without a body makes no span that could be wrong; it is listed.
func TestUnplacedStops(t *testing.T) {
	f := fromText(t, spanKit, spanParts, "id: b2, body: chassis,", "id: b2,", "id: P2, body: axle,", "id: P2,")
	if got, want := f.Unplaced, []string{"station b2", "point P2"}; !slices.Equal(got, want) {
		t.Errorf("got %q without a body, want %q", got, want)
	}
	f = fromText(t, spanKit, spanParts, "tail: [{body: chassis,", "tail: [{", "pump: {part: PUMP, body: chassis,", "pump: {part: PUMP,")
	if got, want := f.Unplaced, []string{"the pump", "station 1 of line 3"}; !slices.Equal(got, want) {
		t.Errorf("got %q without a body, want %q", got, want)
	}
}

// Where a tail begins is not known when its bundle or its break-out is
// misspelt: then no span is made up from the pump.
func TestTailOfUnknownStart(t *testing.T) {
	tail := "single: true, last_free_length: 520 mm, last_ties: [{at: 100 mm}],\n     tail: [{body: chassis,"
	for _, start := range []string{"bundle: BB, ", "bundle: B, leaves_at: b9, "} {
		spans := spanned(t, tail, start+"tail: [{body: knuckle,")
		for _, s := range spans {
			if strings.HasPrefix(s.Place(), "line 3, span chassis") {
				t.Errorf("%s: got %q", start, s.Place())
			}
		}
	}
}

func TestCrossings(t *testing.T) {
	f := fromText(t, spanKit, spanParts)
	if got := f.Joints[0].Crossings.V; got != 2 {
		t.Errorf("springs: got %d crossings, want 2", got)
	}
	if got := f.Joints[1].Crossings.V; got != 1 {
		t.Errorf("kingpin: got %d crossings, want 1", got)
	}
}
