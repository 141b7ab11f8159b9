package facts_test

import (
	"math"
	"strings"
	"testing"

	"kitgauge/checker/facts"
)

func TestLineEnds(t *testing.T) {
	f := mounted(t)
	if len(f.Ends) != 2 || len(f.Fittings) != 2 {
		t.Fatalf("got %d ends and %d kinds of fitting; want 2 and 2", len(f.Ends), len(f.Fittings))
	}
	pump, point := f.Ends[0], f.Ends[1]
	if pump.Place() != "line 1, at the pump" || point.Place() != "line 1, at the point" {
		t.Errorf("got %q and %q", pump.Place(), point.Place())
	}
	// DIN 158-1: M10x1 keg goes into a parallel M10x1 hole
	for _, e := range f.Ends {
		if !e.Readable.V || !e.GoesIn.V || e.NeededThread.V != "M10x1" {
			t.Errorf("%s: readable %v, goes in %v (%s), needs %q; want both and M10x1", e.Place(), e.Readable.V, e.GoesIn.V, e.WhyNot.V, e.NeededThread.V)
		}
	}
	if pump.Tight.V || !point.Tight.V {
		t.Errorf("tight: got %v and %v, want only the point", pump.Tight.V, point.Tight.V)
	}
	wantWhy(t, mounted(t, ", access: tight", "").Ends[1].Tight.Why, "the access of point P1 (Pin) is not stated")
	// 5/32 in is 3.96875 mm
	if pump.TubeApart.V != 0 || math.Abs(point.TubeApart.V-0.03125e-3) > 1e-12 {
		t.Errorf("tubes: got %v and %v m apart, want 0 and 0.03125 mm", pump.TubeApart.V, point.TubeApart.V)
	}
}

// What cannot be read is a fault of the point, the pump or the fitting, once,
// and leaves the line's end without a verdict.
func TestUnreadableThreads(t *testing.T) {
	none := func(*facts.Kit) string { return "" }
	point := func(f *facts.Kit) string { return f.Points[0].ThreadProblem.V }
	pump := func(f *facts.Kit) string { return f.Pump.OutletThreadProblem.V }
	elbow := func(f *facts.Kit) string { return f.Fittings[1].ThreadProblem.V }
	for _, tt := range []struct {
		from, to string
		atPump   bool // readable there
		atPoint  bool
		of       func(*facts.Kit) string
		want     string
	}{
		{"thread: M10x1, access", "thread: M10 by 1, access", true, false, point, "is no thread designation"},
		{", thread: M10x1, access", ", access", true, false, point, "its thread is not stated"},
		{", outlet_thread: M10 x 1.0", "", false, true, pump, "the thread of the outlets of part PUMP is not stated"},
		{"thread: M10x1 keg", "thread: 1/8 BSP", true, false, elbow, "leaves open whether the thread is taper or parallel"},
		{"point: P1", "point: P9", true, false, none, ""},
		{"part: PUMP", "part: OTHER", false, true, pump, `no part "OTHER"`},
	} {
		f := mounted(t, tt.from, tt.to)
		if f.Ends[0].Readable.V != tt.atPump || f.Ends[1].Readable.V != tt.atPoint {
			t.Errorf("%q: readable %v and %v, want %v and %v", tt.to, f.Ends[0].Readable.V, f.Ends[1].Readable.V, tt.atPump, tt.atPoint)
		}
		if got := tt.of(f); !strings.Contains(got, tt.want) {
			t.Errorf("%q: got the reason %q, want %q", tt.to, got, tt.want)
		}
	}
}

func TestUnknownFittings(t *testing.T) {
	for _, tt := range []struct{ from, to, problem, tube string }{
		{", point_fitting: ELBOW", "", "the fitting here is not stated", ""},
		{"point_fitting: ELBOW", "point_fitting: ELBOWS", `nearest is "ELBOW"`, ""},
		{", tube_outer: 5/32 in", "", "", "the tube that part ELBOW takes (tube_outer) is not stated"},
		{"outer: 4 mm, inner", "inner", "", "the outer diameter of part TUBE is not stated"},
		{"tube: TUBE, ", "", "", "the tube of line 1 is not stated"},
	} {
		e := mounted(t, tt.from, tt.to).Ends[1]
		if !strings.Contains(e.Problem.V, tt.problem) || (e.Problem.V == "") != (tt.problem == "") {
			t.Errorf("%q: got the problem %q, want %q", tt.to, e.Problem.V, tt.problem)
		}
		if e.TubeApart.Known || !strings.Contains(e.TubeApart.Why, tt.tube) {
			t.Errorf("%q: got the reason %q, want %q", tt.to, e.TubeApart.Why, tt.tube)
		}
	}
}
