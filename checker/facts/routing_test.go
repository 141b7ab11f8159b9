package facts_test

import (
	"strconv"
	"strings"
	"testing"

	"kitgauge/checker/facts"
	"kitgauge/checker/value"
)

// laidKit is a bundle with two lines, laid along the axes so that its lengths
// can be added up by hand, and a knuckle that turns half round.
const laidKit = `
vehicle:
  outline: {from: [-5 m, -1 m, 100 mm], to: [1 m, 1 m, 2 m]}
bodies:
  - {id: chassis}
  - {id: knuckle}
joints:
  - {id: kingpin, role: steering, kind: revolute, parent: chassis, child: knuckle, pivot: [-150 mm, 300 mm, 0 mm], axis: [0, 0, 1], range: {from: 0 deg, to: 180 deg}}
points:
  - {id: P1, body: chassis, position: [-600 mm, 0 mm, 700 mm]}
  - {id: P2, body: knuckle, position: [-600 mm, 700 mm, 1 m]}
pump: {body: chassis, position: [0 mm, 0 mm, 1 m]}
lines:
  - {number: 1, bundle: B, leaves_at: b-2, point: P1, tube: TUBE, cut_length: 940 mm, pump_fitting: IN, point_fitting: OUT}
  - {number: 2, bundle: B, leaves_at: b-3, point: P2, tube: TUBE, cut_length: 1400 mm, pump_fitting: IN, point_fitting: OUT, last_free_length: 350 mm}
bundles:
  - id: B
    conduit: CONDUIT
    route:
      - {id: b-1, body: chassis, position: [-300 mm, 0 mm, 1 m], hold: clip}
      - {id: b-2, body: chassis, position: [-600 mm, 0 mm, 1 m], hold: none}
      - {id: b-3, body: chassis, position: [-600 mm, 400 mm, 1 m], hold: clip, ties: [{at: 60 mm}]}
zones:
  - {id: exhaust, kind: heat, shape: capsule, body: chassis, from: [-300 mm, 0 mm, 700 mm], to: [-300 mm, 0 mm, 700 mm], radius: 50 mm}
  - {id: wheel, kind: wheel, shape: capsule, body: knuckle, from: [-150 mm, 500 mm, 1 m], to: [-150 mm, 500 mm, 1 m], radius: 60 mm}
`

const laidParts = `
title: parts
parts:
  - {number: TUBE, kind: tube, outer: 4 mm, bend_radius: 25 mm, temperature: {to: 90 degC}}
  - {number: CONDUIT, kind: conduit, inner: 10 mm, bend_radius: 40 mm, temperature: {to: 105 degC}}
  - {number: IN, kind: fitting, insertion: 12 mm}
  - {number: OUT, kind: fitting, insertion: 8 mm}
`

func laid(t *testing.T, pairs ...string) *facts.Kit {
	t.Helper()
	return fromText(t, laidKit, laidParts, pairs...)
}

// find returns the thing of that place.
func find[T interface{ Place() string }](t *testing.T, list []T, place string) T {
	t.Helper()
	var places []string
	for _, x := range list {
		if x.Place() == place {
			return x
		}
		places = append(places, x.Place())
	}
	t.Fatalf("nothing at %q; there is %s", place, strings.Join(places, "; "))
	panic("unreachable")
}

const millimetre = 1e-3

func TestLineLengths(t *testing.T) {
	f := laid(t)
	for _, tt := range []struct {
		source string
		got    value.Number
		want   float64
	}{
		{"limit: legs of 300, 300 and 300", f.Lines[0].RouteLength, 900},
		{"limit: no span", f.Lines[0].FreeLengths, 0},
		{"limit: 12 and 8", f.Lines[0].Insertion, 20},
		{"limit: the sum", f.Lines[0].Needed, 920},
		{"limit: from b-2 to the point", f.Lines[0].TailLength, 300},
		{"limit: legs of 300, 300 and 400", f.Lines[1].RouteLength, 1000},
		{"limit: the last free length", f.Lines[1].FreeLengths, 350},
		{"limit: the sum", f.Lines[1].Needed, 1370},
	} {
		if !tt.got.Known || tt.got.V < tt.want*millimetre-1e-8 || tt.got.V > tt.want*millimetre+1e-8 {
			t.Errorf("%s: got %v (%s), want %v mm", tt.source, tt.got.V, tt.got.Why, tt.want)
		}
	}
}

func TestMemberLength(t *testing.T) {
	f := laid(t,
		"{id: b-3, body: chassis,", "{id: b-3, free_length: 500 mm, member_lengths: [{line: 2, length: 520 mm}], body: knuckle,")
	if got := f.Lines[1].FreeLengths; !near(got, 0.52) {
		t.Errorf("line 2 has its own length in the span: got %v (%s), want 0.52", got.V, got.Why)
	}
}

func TestUntraced(t *testing.T) {
	for _, tt := range []struct {
		line  int
		pairs []string
		why   string
	}{
		{0, []string{"position: [-300 mm, 0 mm, 1 m], ", ""}, "a position or a body is not known between the pump and b-1"},
		{0, []string{"body: chassis, position: [0 mm, 0 mm, 1 m]", "body: chassis"}, "a position or a body is not known between the pump and b-1"},
		{0, []string{"[-300 mm, 0 mm, 1 m]", "[-30 m, 0 mm, 1 m]"}, "the way from the pump to b-1 is longer than the vehicle"},
		{1, []string{", last_free_length: 350 mm", ""}, "the free length from b-3 to point P2 is not stated"},
		{0, []string{"leaves_at: b-2, ", ""}, "where line 1 leaves its bundle is not known"},
		{0, []string{"leaves_at: b-2", "leaves_at: b-9"}, "where line 1 leaves its bundle is not known"},
		{0, []string{"bundle: B, leaves_at: b-2, ", ""}, "line 1 is in no bundle and is not single"},
		{0, []string{"point: P1, ", ""}, "the point of line 1 is not stated"},
		{0, []string{"point: P1, ", "point: P9, "}, `no point "P9" in this kit; nearest is "P1"`},
	} {
		l := laid(t, tt.pairs...).Lines[tt.line]
		if l.Traced.V || !l.Traced.Known {
			t.Errorf("%q: line %d is traced", tt.pairs, tt.line+1)
		}
		if l.Needed.Known || l.Needed.Why != tt.why {
			t.Errorf("%q: got %v %q, want %q", tt.pairs, l.Needed.Known, l.Needed.Why, tt.why)
		}
	}
}

func TestUnknownInsertion(t *testing.T) {
	for _, tt := range []struct{ old, new, why string }{
		{", insertion: 12 mm", "", "the insertion of part IN is not stated"},
		{", point_fitting: OUT", "", "the fitting at the point of line 1 is not stated"},
	} {
		l := laid(t, tt.old, tt.new).Lines[0]
		if l.Needed.Known || l.Needed.Why != tt.why || !l.Traced.V {
			t.Errorf("%q: got %q, traced %v; want %q, traced", tt.old, l.Needed.Why, l.Traced.V, tt.why)
		}
	}
}

func TestStations(t *testing.T) {
	f := laid(t, "position: [-300 mm, 0 mm, 1 m], ", "", "[-600 mm, 0 mm, 1 m]", "[-600 mm, 0 mm, 1 yard]")
	first, second := f.Stations[0], f.Stations[1]
	if !first.Placed.Known || first.Placed.V {
		t.Errorf("a station without a position: got %+v", first.Placed)
	}
	if second.Placed.Known || second.Placed.Why == "" {
		t.Errorf("a station whose position cannot be read: got %+v", second.Placed)
	}
	if got := laid(t).Stations[0].Ground; !near(got, 0.9) {
		t.Errorf("the outline begins 100 mm above the datum: got %v (%s), want 0.9", got.V, got.Why)
	}
	if got := laid(t, "  outline: {from: [-5 m, -1 m, 100 mm], to: [1 m, 1 m, 2 m]}\n", "  supply: 24 V\n"); got.OutlineKnown.V || got.VehicleLength.Known {
		t.Error("an outline that is not stated is known")
	}
}

func TestOrder(t *testing.T) {
	f := laid(t, "[-600 mm, 0 mm, 1 m]", "[-60 m, 0 mm, 1 m]")
	into := find(t, f.Segments, "bundle B, b-1 to b-2")
	out := find(t, f.Segments, "bundle B, b-2 to b-3")
	if into.AfterLong.V || !out.AfterLong.V {
		t.Errorf("one station too far away is one fault: got %v and %v", into.AfterLong.V, out.AfterLong.V)
	}
	if !near(into.Length, 59.7) || !near(f.VehicleLength, 6) {
		t.Errorf("got %v of %v, want 59.7 of 6", into.Length.V, f.VehicleLength.V)
	}
	if len(f.Corners) != 0 {
		t.Errorf("a corner is judged at %s", f.Corners[0].Place())
	}
}

func TestStretches(t *testing.T) {
	// b-2 holds nothing, so one stretch goes from b-1 to b-3: 300 + 400 mm,
	// with a tie 60 mm past b-2
	s := find(t, laid(t).Stretches, "bundle B, b-1 to b-3")
	if !near(s.Length, 0.7) || !near(s.Gap, 0.36) || s.GapFrom.V != "b-1" || s.Ties.V != 1 {
		t.Errorf("got a gap of %v (%s) from %s in %v", s.Gap.V, s.Gap.Why, s.GapFrom.V, s.Length.V)
	}
	s = find(t, laid(t, "at: 60 mm", "at: 10 mm").Stretches, "bundle B, b-1 to b-3")
	if !near(s.Gap, 0.39) || s.GapFrom.V != "the tie 310 mm past b-1" {
		t.Errorf("got a gap of %v (%s) from %s", s.Gap.V, s.Gap.Why, s.GapFrom.V)
	}
	for _, s := range laid(t).Stretches {
		if strings.HasSuffix(s.Place(), "point P2") {
			t.Errorf("the free span to point P2 is taken for a fixed run: %s", s.Place())
		}
	}
}

func TestUnknownTie(t *testing.T) {
	s := find(t, laid(t, "at: 60 mm", "").Stretches, "bundle B, b-1 to b-3")
	if want := "the distance of a tie before b-3 is not stated"; s.Gap.Known || s.Gap.Why != want {
		t.Errorf("got %v %q, want %q", s.Gap.Known, s.Gap.Why, want)
	}
	s = find(t, laid(t, "at: 60 mm", "at: 2 m").Stretches, "bundle B, b-1 to b-3")
	if s.Gap.Known || s.Gap.Why == "" {
		t.Errorf("a tie beyond the run: got %v %q", s.Gap.V, s.Gap.Why)
	}
}

func TestStretchOfWholeMillimetres(t *testing.T) {
	// 4.7 m less 4.3 m is more than 0.4 m in floating point
	f := laid(t, "[-300 mm, 0 mm, 1 m]", "[-4.3 m, 0 mm, 1 m]", "[-600 mm, 0 mm, 1 m], hold: none", "[-4.7 m, 0 mm, 1 m], hold: clip")
	if s := find(t, f.Stretches, "bundle B, b-1 to b-2"); s.Gap.V != 0.4 {
		t.Errorf("got %.17g, want 0.4", s.Gap.V)
	}
}

func TestCorners(t *testing.T) {
	f := laid(t)
	for _, tt := range []struct {
		place        string
		radius, bend float64
	}{
		// a right angle takes a tangent of its own radius, here half of the
		// shorter leg of 300 mm; the conduit is stiffer than the tube
		{"bundle B, at b-2", 150, 40},
		{"line 1, at b-2", 150, 25},
	} {
		c := find(t, f.Corners, tt.place)
		if !near(c.Radius, tt.radius*millimetre) || !near(c.BendRadius, tt.bend*millimetre) || c.Stated.V {
			t.Errorf("%s: got %v (%s) and %v (%s), want %v and %v mm", tt.place, c.Radius.V, c.Radius.Why, c.BendRadius.V, c.BendRadius.Why, tt.radius, tt.bend)
		}
	}
	if len(f.Corners) != 2 {
		t.Errorf("got %d corners, want 2: nothing turns at b-1, and a free span bends as it likes", len(f.Corners))
	}
	c := find(t, laid(t, "hold: none", "hold: none, bend_radius: 30 mm").Corners, "bundle B, at b-2")
	if !near(c.Radius, 0.03) || !c.Stated.V {
		t.Errorf("a stated radius: got %v, stated %v", c.Radius.V, c.Stated.V)
	}
	c = find(t, laid(t, "bend_radius: 25 mm, ", "").Corners, "line 1, at b-2")
	if want := "the bend radius of part TUBE is not stated"; c.BendRadius.Known || c.BendRadius.Why != want {
		t.Errorf("got %q, want %q", c.BendRadius.Why, want)
	}
}

func TestFirstBreakOut(t *testing.T) {
	// a line that leaves at the first station turns there from the pump's leg
	f := laid(t, "leaves_at: b-2", "leaves_at: b-1")
	find(t, f.Corners, "line 1, at b-1")
	if got := f.Lines[0].RouteLength; !near(got, 0.3+0.424264069) { // 300 and 300 mm across
		t.Errorf("got %v (%s)", got.V, got.Why)
	}
}

// A line that does not say where it leaves its bundle is measured from
// nowhere: it has no corner at the bundle's end, and no way from there.
func TestNoBreakOut(t *testing.T) {
	for _, stated := range []string{"", "leaves_at: gone, "} {
		f := laid(t, "leaves_at: b-2, ", stated)
		for _, c := range f.Corners {
			if strings.HasPrefix(c.Place(), "line 1,") {
				t.Errorf("%q: got a corner at %s, want none", stated, c.Place())
			}
		}
		for _, s := range f.Segments {
			if strings.HasPrefix(s.Place(), "line 1,") {
				t.Errorf("%q: got the segment %s, want none", stated, s.Place())
			}
		}
	}
}

// TestWhatABendRadiusCountsTo: like is compared with like, the centre line of
// the bend with that of the tube. Identity: 25 mm + 4 mm / 2.
func TestWhatABendRadiusCountsTo(t *testing.T) {
	for stated, want := range map[string]string{
		"":                         "25",
		"material: PA 12, ":        "25",
		"material: rubber hose, ":  "27",
		"bend_to: inner surface, ": "27",
		"bend_to: centre line, ":   "25",
		"bend_to: centre line, material: rubber hose, ": "25",
		"bend_to: inner surface, outer: 6 mm, ":         "28",
	} {
		pairs := []string{"bend_radius: 25 mm, ", stated + "bend_radius: 25 mm, "}
		if strings.Contains(stated, "outer") {
			pairs = append(pairs, "outer: 4 mm, ", "")
		}
		c := find(t, laid(t, pairs...).Corners, "line 1, at b-2")
		if got := strconv.FormatFloat(c.BendRadius.V*1000, 'g', 6, 64); !c.BendRadius.Known || got != want {
			t.Errorf("%q: got a bend radius of %s mm (%s), want %s", stated, got, c.BendRadius.Why, want)
		}
	}
	c := find(t, laid(t, "bend_radius: 25 mm, ", "bend_to: inner surface, bend_radius: 25 mm, ", "outer: 4 mm, ", "").Corners, "line 1, at b-2")
	if c.BendRadius.Known || !strings.Contains(c.BendRadius.Why, "the outer diameter of part TUBE is not stated") {
		t.Errorf("got %q, want the outer diameter named as missing", c.BendRadius.Why)
	}
}
