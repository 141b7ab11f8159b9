package facts_test

import (
	"fmt"
	"math"
	"testing"

	"kitgauge/checker/facts"
	"kitgauge/checker/quantities/routing"
)

func TestHeatKeep(t *testing.T) {
	// A silencer as a ball of 100 mm, 250 mm off; tube for 90 degC in conduit
	// for 105. Distances beyond the usual: recomputed by package routing, which
	// is held against published ones there.
	const ball, place = "radius: 50 mm}\n  - {id: wheel", "line 1, b-2 to point P1, near exhaust"
	hot := func(more string) string { return "radius: 50 mm" + more + "}\n  - {id: wheel" }
	for _, tt := range []struct {
		more, tube, says, helps string
		keep                    float64
	}{
		{"", "{to: 90 degC}", "", "", 0.15},
		{", shielded: true", "{to: 90 degC}", "", "", 0.075},
		{", temperature: 95 degC", "{to: 90 degC}", "", "", 0.15},
		{", temperature: 80 degC", "{to: 90 degC}", " for what stands the 80 degC that it becomes", "", 0.038},
		{", temperature: 350 degC", "{to: 400 degC}", " for what stands the 350 degC that it becomes", "", 0.038},
		{", temperature: 1050 degC", "{to: 90 degC}", " where 1050 degC shine on what stands 90 degC", ", or fit a heat shield and state it, or take tubes that stand 1050 degC", math.NaN()},
		{", temperature: 3500 degC", "{to: 90 degC}", "", "", 0.15}, // a slip, of which the survey tells
	} {
		f := laid(t, ball, hot(tt.more), "outer: 4 mm, bend_radius: 25 mm, temperature: {to: 90 degC}", "outer: 4 mm, bend_radius: 25 mm, temperature: "+tt.tube,
			"  outline: {", "  ambient: {from: -30 degC, to: 35 degC}\n  outline: {")
		a := find(t, f.Approaches, place)
		farther := math.IsNaN(tt.keep) && a.HeatKeep.V > 0.25 && a.HeatKeep.V < 0.5
		if !farther && math.Abs(a.HeatKeep.V-tt.keep) > 1e-9 || a.HeatSays.V != tt.says || a.HeatHelps.V != tt.helps {
			t.Errorf("%s, %s: got %v m, %q, %q; want %v m, %q, %q", tt.more, tt.tube, a.HeatKeep.V, a.HeatSays.V, a.HeatHelps.V, tt.keep, tt.says, tt.helps)
		}
	}
}

// The fitting at a point by the same law as a tube: at the distance that is
// told a thin tube is as warm as the fitting stands. The ball has its middle
// 300 mm from the point.
func TestFittingHeat(t *testing.T) {
	asked := func(celsius int) []*facts.FittingZone {
		return laid(t, "radius: 50 mm}\n  - {id: wheel", fmt.Sprintf("radius: 50 mm, temperature: %d degC}\n  - {id: wheel", celsius),
			"insertion: 8 mm", "insertion: 8 mm, temperature: {to: 60 degC}",
			"  outline: {", "  ambient: {from: -30 degC, to: 35 degC}\n  outline: {").HotEnds
	}
	z := find(t, asked(1050), "line 1, fitting at the point, near exhaust")
	if !near(z.Distance, 0.25) || z.Stands.V != 333.15 || !z.Shield.Known {
		t.Errorf("got %v m (%s), a fitting that stands %v K, a shield helps %v (%s)", z.Distance.V, z.Distance.Why, z.Stands.V, z.Shield.V, z.Shield.Why)
	}
	warm, err := routing.Heat{Zone: routing.Capsule{Radius: 0.05}, Temperature: 1323.15, Ambient: 308.15}.TubeTemperature(z.HeatKeep.V)
	if err != nil || math.Abs(warm-333.15) > 0.01 {
		t.Errorf("at %v m a tube becomes %v K, %v; want 333.15", z.HeatKeep.V, warm, err)
	}
	if n := len(asked(55)); n != 0 {
		t.Errorf("a zone of 55 degC and a fitting for 60: %d distances are asked, want none", n)
	}
	if n := len(asked(3500)); n != 0 {
		t.Errorf("a zone hotter than any: %d distances are asked, want none", n)
	}
}
