package facts_test

import (
	"slices"
	"testing"

	"kitgauge/checker/value"
)

func TestPacking(t *testing.T) {
	b := laid(t).Bundles[0]
	for _, tt := range []struct {
		source string
		got    value.Number
		want   float64
	}{
		{"limit: two circles of 4 mm side by side", b.Enclosing, 8e-3},
		{"limit: 10 mm over 8 mm", b.Room, 1.25},
		{"limit: 2 x 16 / 100", b.Fill, 0.32},
	} {
		if !near(tt.got, tt.want) {
			t.Errorf("%s: got %v (%s), want %v", tt.source, tt.got.V, tt.got.Why, tt.want)
		}
	}
	if b.Fullest.V != 2 || b.FullestAt.V != "the pump to b-1" {
		t.Errorf("got %d lines at %s", b.Fullest.V, b.FullestAt.V)
	}
	if b.CrossingLines.V != 0 || len(b.Idle) != 0 || len(b.Uncovered) != 0 || len(b.Repeated) != 0 {
		t.Errorf("got %+v", b.BundlePacking)
	}
}

func TestPackingUnderConduit(t *testing.T) {
	const route = "{id: b-1, body: chassis,"
	// bare from the pump to b-2, where line 1 leaves: one tube is covered
	b := laid(t, route, "{id: b-1, uncovered: true, body: chassis,", "{id: b-2, ", "{id: b-2, uncovered: true, ").Bundles[0]
	if !near(b.Enclosing, 4e-3) || b.FullestAt.V != "b-2 to b-3" {
		t.Errorf("got %v (%s) at %s", b.Enclosing.V, b.Enclosing.Why, b.FullestAt.V)
	}
	if want := []string{"the pump to b-2"}; !slices.Equal(b.Uncovered, want) {
		t.Errorf("got %q, want %q", b.Uncovered, want)
	}
	b = laid(t, "hold: clip", "hold: clip, uncovered: true", "hold: none", "hold: none, uncovered: true").Bundles[0]
	if want := "nothing of bundle B lies under conduit"; b.Enclosing.Why != want || b.Fullest.V != 0 {
		t.Errorf("got %q and %d, want %q", b.Enclosing.Why, b.Fullest.V, want)
	}
}

func TestUnknownPacking(t *testing.T) {
	for _, tt := range []struct{ old, new, why string }{
		{"outer: 4 mm, ", "", "the outer diameter of part TUBE is not stated"},
		{", tube: TUBE", "", "the tube of line 1 is not stated"},
		{"kind: conduit, inner: 10 mm", "kind: conduit", "the inner diameter of part CONDUIT is not stated"},
		{"    conduit: CONDUIT\n", "", "the conduit of bundle B is not stated"},
	} {
		b := laid(t, tt.old, tt.new).Bundles[0]
		if b.Room.Known || b.Room.Why != tt.why || b.Fill.Why != tt.why {
			t.Errorf("%q: got %q and %q, want %q", tt.old, b.Room.Why, b.Fill.Why, tt.why)
		}
	}
}

func TestIdleAndRepeated(t *testing.T) {
	b := laid(t, "leaves_at: b-3", "leaves_at: b-2").Bundles[0]
	if want := []string{"b-3"}; !slices.Equal(b.Idle, want) {
		t.Errorf("got %q, want %q", b.Idle, want)
	}
	b = laid(t, "{id: b-3", "{id: b-1").Bundles[0]
	if want := []string{"b-1"}; !slices.Equal(b.Repeated, want) {
		t.Errorf("got %q, want %q", b.Repeated, want)
	}
}

func TestCrossing(t *testing.T) {
	b := laid(t, "{id: b-2, body: chassis", "{id: b-2, body: knuckle").Bundles[0]
	if b.CrossingLines.V != 2 || b.CrossingAt.V != "b-1 to b-2" {
		t.Errorf("got %d at %s, want 2 at b-1 to b-2", b.CrossingLines.V, b.CrossingAt.V)
	}
}

func TestServes(t *testing.T) {
	for _, tt := range []struct {
		what  string
		pairs []string
		want  []string
	}{
		{"one side of an axle, with a point on the way in the middle", nil, []string{"knuckle (left)"}},
		{"both sides", []string{"{id: P1, body: chassis, position: [-600 mm, 0 mm", "{id: P1, body: knuckle, position: [-600 mm, -400 mm"}, []string{"knuckle (right)", "knuckle (left)"}},
		{"a point on the way, on the other side", []string{"position: [-600 mm, 0 mm, 700 mm]", "position: [-600 mm, -400 mm, 700 mm]"}, []string{"knuckle (left)", "chassis (right)"}},
		{"a body that tips is one place", []string{"role: steering", "role: tipping", "position: [-600 mm, 0 mm, 700 mm]", "position: [-600 mm, -400 mm, 700 mm]"}, []string{"knuckle"}},
	} {
		if got := laid(t, tt.pairs...).Bundles[0].Serves; !slices.Equal(got, tt.want) {
			t.Errorf("%s: got %q, want %q", tt.what, got, tt.want)
		}
	}
}
