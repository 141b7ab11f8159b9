package facts_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"kitgauge/checker/facts"
	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/motion"
	"kitgauge/checker/quantities/routing"
	"kitgauge/checker/value"
)

func TestApproaches(t *testing.T) {
	f := laid(t)
	for _, tt := range []struct {
		source, place, when string
		want                float64
	}{
		{"limit: 300 mm above the ball's centre, radius 50 mm, conduit 5 mm round its centre line", "bundle B, the pump to b-1, near exhaust", "", 245},
		{"limit: 300 mm beside it, tube 2 mm round", "line 1, b-2 to point P1, near exhaust", "", 248},
		// the ball's centre goes round the kingpin at 200 mm, so half round it
		// is 100 mm from the centre line
		{"limit: half a turn", "bundle B, the pump to b-1, near wheel", "kingpin at 180 deg", 35},
	} {
		a := find(t, f.Approaches, tt.place)
		if !a.Distance.Known || math.Abs(a.Distance.V-tt.want*millimetre) > routing.ClearanceTolerance || a.When.V != tt.when {
			t.Errorf("%s: %s: got %v (%s) with %q, want %v mm with %q", tt.place, tt.source, a.Distance.V, a.Distance.Why, a.When.V, tt.want, tt.when)
		}
	}
	a := find(t, f.Approaches, "bundle B, the pump to b-1, near exhaust")
	if !near(a.TubeRating, zeroCelsius+90) || !near(a.ConduitRating, zeroCelsius+105) || !a.Covered.V {
		t.Errorf("got %v and %v, covered %v", a.TubeRating.V, a.ConduitRating.V, a.Covered.V)
	}
	a = find(t, f.Approaches, "line 1, b-2 to point P1, near exhaust")
	if a.Covered.V || a.ConduitRating.Known {
		t.Error("a tail has no conduit")
	}
}

// TestOutside: what is kept is kept by the outside of what lies there. Two
// tubes side by side are as wide as both; of three equal ones the circle is
// 1 + 2/sqrt(3) times as wide as one (geometry).
func TestOutside(t *testing.T) {
	const place = "bundle B, the pump to b-1, near exhaust"
	line := func(n int) string {
		return fmt.Sprintf("  - {number: %d, bundle: B, leaves_at: b-3, point: P2, tube: TUBE}\n", n)
	}
	for _, tt := range []struct {
		name  string
		pairs []string
		off   float64
	}{
		{"a conduit of 13 mm outside", []string{"CONDUIT, kind: conduit,", "CONDUIT, kind: conduit, outer: 13 mm,"}, 6.5},
		{"one whose outside is not stated", nil, 5},
		{"two bare tubes", []string{"{id: b-1,", "{id: b-1, uncovered: true,"}, 4},
		{"three bare tubes", []string{"{id: b-1,", "{id: b-1, uncovered: true,", "bundles:\n", line(3) + "bundles:\n"}, 2 * (1 + 2/math.Sqrt(3))},
		{"no part states a diameter", []string{"outer: 4 mm, ", "", "inner: 10 mm, ", ""}, 0},
	} {
		a := find(t, laid(t, tt.pairs...).Approaches, place)
		if want := 250 - tt.off; !a.Distance.Known || math.Abs(a.Distance.V-want*millimetre) > routing.ClearanceTolerance {
			t.Errorf("%s: got %v (%s), want %v mm", tt.name, a.Distance.V, a.Distance.Why, want)
		}
	}
}

func TestUnknownZone(t *testing.T) {
	for _, tt := range []struct {
		place string
		pairs []string
		why   string
	}{
		{"zone exhaust", []string{", radius: 50 mm", ""}, "the radius of zone exhaust is not stated"},
		{"zone exhaust", []string{"shape: capsule, body: chassis, from", "shape: capsule, from"}, "the body of zone exhaust is not stated"},
		{"zone exhaust", []string{"kind: heat, shape: capsule, ", "kind: heat, "}, "the shape of zone exhaust is not stated"},
		{"zone exhaust", []string{"from: [-300 mm, 0 mm, 700 mm], to", "to"}, "from of zone exhaust is not stated"},
		{"zone wheel", []string{", range: {from: 0 deg, to: 180 deg}", ""}, "the range of joint kingpin is not stated"},
		{"zone wheel", []string{"child: knuckle", "child: chassis", "{id: P2, body: knuckle", "{id: P2, body: chassis"}, "no joint joins chassis and knuckle"},
	} {
		f := laid(t, tt.pairs...)
		n := 0
		for _, a := range f.Approaches {
			if a.Distance.Known {
				continue
			}
			n++
			if a.Place() != tt.place || a.Distance.Why != tt.why {
				t.Errorf("%q: got %q at %s, want %q at %s", tt.pairs, a.Distance.Why, a.Place(), tt.why, tt.place)
			}
		}
		if n != 1 {
			t.Errorf("%q: said %d times, want once", tt.pairs, n)
		}
	}
}

func TestPassage(t *testing.T) {
	// the bundle goes through an edge at b-2, where two of its hops meet
	const edge = "zones:\n  - {id: edge, kind: edge, shape: box, body: chassis, from: [-610 mm, -50 mm, 900 mm], to: [-590 mm, 50 mm, 1.1 m]}\n"
	count := func(f *facts.Kit, place string) (n int, grommet bool) {
		for _, a := range f.Approaches {
			if a.Kind.V == "edge" && a.Place() == place {
				n++
				grommet = a.Grommet.V
			}
		}
		return n, grommet
	}
	if n, grommet := count(laid(t, "zones:\n", edge), "bundle B, b-1 to b-2, near edge"); n != 1 || grommet {
		t.Errorf("got %d, grommet %v; want one passage without", n, grommet)
	}
	if n, grommet := count(laid(t, "zones:\n", edge, "hold: none", "hold: grommet"), "bundle B, b-1 to b-2, near edge"); n != 1 || !grommet {
		t.Errorf("got %d, grommet %v; want one passage with", n, grommet)
	}
}

// TestNoApproachIsMissed holds the cheap bound against the distance itself: a
// segment that comes near a zone somewhere in the joints' range is listed.
func TestNoApproachIsMissed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		chassis, axle, knuckle := &kit.Body{}, &kit.Body{}, &kit.Body{}
		springs := drawnJoint(t, "prismatic", chassis, axle, 0.3)
		kingpin := drawnJoint(t, "revolute", axle, knuckle, 3)
		// a ball and a short segment leave the bound little to spare
		zone := &kit.Zone{
			Kind: value.Known("wheel"), Shape: value.Known("capsule"), Body: kit.Ref[kit.Body]{To: knuckle},
			From: drawnVector(t, "zone"), Radius: value.Known(0.05),
		}
		zone.To = zone.From
		ends := []*kit.Body{chassis, axle, knuckle}
		on := rapid.IntRange(0, 2)
		start, end := ends[on.Draw(t, "start")], ends[on.Draw(t, "end")]
		pump := drawnVector(t, "pump")
		point := &kit.Point{Body: kit.Ref[kit.Body]{To: end}, Position: pump}
		point.Position.X = value.Known(pump.X.V + 0.02)
		k := &kit.Kit{
			Joints: []*kit.Joint{springs, kingpin}, Zones: []*kit.Zone{zone}, Points: []*kit.Point{point},
			Pump:  kit.PumpFit{Body: kit.Ref[kit.Body]{To: start}, Position: pump},
			Lines: []*kit.Line{{Single: value.Known(true), Point: kit.Ref[kit.Point]{To: point}}},
		}
		least := exact(t, k, map[*kit.Body][]int{axle: {0}, knuckle: {0, 1}})
		got := facts.Compute(k, facts.Options{}).Approaches
		if least < 0.2-routing.ClearanceTolerance && len(got) != 1 {
			t.Fatalf("a segment that comes within %v m is not listed", least)
		}
		for _, a := range got {
			if math.Abs(a.Distance.V-least) > routing.ClearanceTolerance {
				t.Fatalf("got %v (%s), want %v", a.Distance.V, a.Distance.Why, least)
			}
		}
	})
}

// TestWholeTravel moves a ball straight at a segment, as far as the joint
// goes: nothing of the bound is to spare.
func TestWholeTravel(t *testing.T) {
	at := func(x, z float64) kit.Vector {
		return kit.Vector{X: value.Known(x), Y: value.Known(0.0), Z: value.Known(z)}
	}
	for _, tt := range []struct {
		kind string
		axis kit.Vector
		ball kit.Vector // its centre at rest
		to   float64
	}{
		{"prismatic", at(1, 0), at(-0.45, 0), 0.3},   // slides to x = -0.15
		{"revolute", at(0, 1), at(1.35, 0), math.Pi}, // turns about x = 0.6 to x = -0.15
	} {
		chassis, axle := &kit.Body{}, &kit.Body{}
		point := &kit.Point{Body: kit.Ref[kit.Body]{To: chassis}, Position: at(0.001, 0)}
		k := &kit.Kit{
			Points: []*kit.Point{point},
			Joints: []*kit.Joint{{
				Kind: value.Known(tt.kind), Parent: kit.Ref[kit.Body]{To: chassis}, Child: kit.Ref[kit.Body]{To: axle},
				Pivot: at(0.6, 0), Axis: tt.axis, Range: kit.Range{From: value.Known(0.0), To: value.Known(tt.to)},
			}},
			Zones: []*kit.Zone{{
				Kind: value.Known("wheel"), Shape: value.Known("capsule"), Body: kit.Ref[kit.Body]{To: axle},
				From: tt.ball, To: tt.ball, Radius: value.Known(0.0),
			}},
			Pump:  kit.PumpFit{Body: kit.Ref[kit.Body]{To: chassis}, Position: at(0, 0)},
			Lines: []*kit.Line{{Single: value.Known(true), Point: kit.Ref[kit.Point]{To: point}}},
		}
		got := facts.Compute(k, facts.Options{}).Approaches
		if len(got) != 1 || math.Abs(got[0].Distance.V-0.15) > routing.ClearanceTolerance {
			t.Errorf("%s: got %d approaches, want one at 0.15", tt.kind, len(got))
		}
	}
}

func drawnVector(t *rapid.T, name string) kit.Vector {
	c := func(axis string) value.Number {
		return value.Known(rapid.Float64Range(-1, 1).Draw(t, name+" "+axis))
	}
	return kit.Vector{X: c("x"), Y: c("y"), Z: c("z")}
}

func drawnJoint(t *rapid.T, kind string, parent, child *kit.Body, most float64) *kit.Joint {
	at := rapid.Float64Range(0, most)
	return &kit.Joint{
		Kind: value.Known(kind), Parent: kit.Ref[kit.Body]{To: parent}, Child: kit.Ref[kit.Body]{To: child},
		Pivot: drawnVector(t, "pivot"),
		Axis:  kit.Vector{X: value.Known(0.3), Y: value.Known(-0.2), Z: value.Known(1.0)},
		Range: kit.Range{From: value.Known(-at.Draw(t, kind+" from")), To: value.Known(at.Draw(t, kind+" to"))},
	}
}

// exact is the least distance of the pump's only line from the only zone,
// straight from package routing.
func exact(t *rapid.T, k *kit.Kit, movedBy map[*kit.Body][]int) float64 {
	var joints []motion.Joint
	for i, j := range k.Joints {
		joints = append(joints, motion.Joint{
			Kind: [...]motion.Kind{motion.Prismatic, motion.Revolute}[i], Pivot: j.Pivot.Vec(), Axis: j.Axis.Vec(),
			From: j.Range.From.V, To: j.Range.To.V,
		})
	}
	z, p := k.Zones[0], k.Points[0]
	c, err := routing.MovingClearance(routing.Moving{
		Joints:  joints,
		Segment: routing.Segment{A: k.Pump.Position.Vec(), B: p.Position.Vec()},
		Zone:    routing.Capsule{Axis: routing.Segment{A: z.From.Vec(), B: z.To.Vec()}, Radius: z.Radius.V},
		Start:   movedBy[k.Pump.Body.To], End: movedBy[p.Body.To], ZoneOn: movedBy[z.Body.To],
	})
	if err != nil {
		t.Skip(err)
	}
	return c.Distance
}
