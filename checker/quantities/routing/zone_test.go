package routing_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"kitgauge/checker/quantities/routing"

	"gonum.org/v1/gonum/spatial/r3"
)

// refDistance is the distance of a segment from a zone by a search along the
// segment for the least distance of a point, which is convex along it.
func refDistance(s routing.Segment, z routing.Zone) float64 {
	lo, hi := 0.0, 1.0
	f := func(t float64) float64 {
		return refPoint(r3.Add(r3.Scale(1-t, s.A), r3.Scale(t, s.B)), z)
	}
	for range 100 { // 0.68^100 is below 1e-16
		a, b := lo+(hi-lo)*0.34, lo+(hi-lo)*0.66
		if f(a) <= f(b) {
			hi = b
		} else {
			lo = a
		}
	}
	return math.Min(f(lo), math.Min(f(0), f(1)))
}

// refPoint is the distance of a point from a zone, by gonum's vectors and
// rotations only.
func refPoint(p r3.Vec, z routing.Zone) float64 {
	switch z := z.(type) {
	case routing.Capsule:
		d := r3.Sub(z.Axis.B, z.Axis.A)
		t := 0.0
		if n := r3.Norm2(d); n > 0 {
			t = math.Max(0, math.Min(1, r3.Dot(r3.Sub(p, z.Axis.A), d)/n))
		}
		return math.Max(0, r3.Norm(r3.Sub(p, r3.Add(z.Axis.A, r3.Scale(t, d))))-z.Radius)
	case routing.Cylinder:
		middle, up := r3.Scale(0.5, r3.Add(z.Axis.A, z.Axis.B)), r3.Sub(z.Axis.B, z.Axis.A)
		half := r3.Norm(up) / 2
		if up = r3.Unit(up); half == 0 {
			up = r3.Vec{Z: 1}
		}
		p = r3.Sub(p, middle)
		h := r3.Dot(p, up)
		return math.Hypot(math.Max(0, math.Abs(h)-half), math.Max(0, r3.Norm(r3.Sub(p, r3.Scale(h, up)))-z.Radius))
	case routing.Box:
		x, y := r3.Vec{X: 1}, r3.Vec{Y: 1}
		if z.X != (r3.Vec{}) {
			x, y = r3.Unit(z.X), r3.Unit(z.Y)
		}
		p = r3.Sub(p, z.Centre)
		over := func(axis r3.Vec, half float64) float64 { return math.Max(0, math.Abs(r3.Dot(p, axis))-half) }
		return r3.Norm(r3.Vec{X: over(x, z.Half.X), Y: over(y, z.Half.Y), Z: over(r3.Cross(x, y), z.Half.Z)})
	}
	panic("unknown zone")
}

// checkNearest fails unless the two points lie on the segment and on the zone
// and are the distance apart.
func checkNearest(t *testing.T, got routing.Nearest, s routing.Segment, z routing.Zone) {
	t.Helper()
	if d := r3.Norm(r3.Sub(got.OnSegment, got.OnZone)); !near(d, got.Distance, 1e-9) {
		t.Errorf("got points %g apart, want the distance %g", d, got.Distance)
	}
	if d := refPoint(got.OnSegment, routing.Capsule{Axis: s}); !(d < 1e-9) {
		t.Errorf("got a point %g off the segment, want it on the segment", d)
	}
	if d := refPoint(got.OnZone, z); !(d < 1e-9) {
		t.Errorf("got a point %g off the zone, want it on the zone", d)
	}
}

func seg(a, b r3.Vec) routing.Segment { return routing.Segment{A: a, B: b} }

func TestKnownDistances(t *testing.T) {
	o := vec(0, 0, 0)
	line := func(a, b r3.Vec) routing.Zone { return routing.Capsule{Axis: seg(a, b)} }
	cube := routing.Box{Half: vec(1, 1, 1)}
	for _, tt := range []struct {
		name, source string
		segment      routing.Segment
		zone         routing.Zone
		want         float64
	}{
		{"opposite edges of a regular tetrahedron", "limit: edge / sqrt(2), edge 2 sqrt(2)",
			seg(vec(1, 1, 1), vec(-1, -1, 1)), line(vec(1, -1, -1), vec(-1, 1, -1)), 2},
		{"space diagonal and skew edge of a unit cube", "limit: 1 / sqrt(2)",
			seg(o, vec(1, 1, 1)), line(vec(1, 0, 0), vec(1, 1, 0)), 1 / math.Sqrt2},
		{"skew face diagonals of a unit cube", "limit: 1 / sqrt(3)",
			seg(o, vec(1, 0, 1)), line(vec(1, 0, 0), vec(1, 1, 1)), 1 / math.Sqrt(3)},
		{"parallel, overlapping", "limit: 3-4-5 offset", seg(o, vec(2, 0, 0)), line(vec(1, 3, 4), vec(3, 3, 4)), 5},
		{"parallel, end to end", "limit: 1-2-2 offset of the ends", seg(o, vec(2, 0, 0)), line(vec(3, 2, 2), vec(9, 2, 2)), 3},
		{"in one line", "limit: gap of 1", seg(o, vec(2, 0, 0)), line(vec(5, 0, 0), vec(3, 0, 0)), 1},
		{"crossing", "limit: share a point", seg(vec(-1, 0, 0), vec(1, 0, 0)), line(vec(0, -1, 0), vec(0, 1, 0)), 0},
		{"point and point", "limit: 3-4-5", seg(o, o), line(vec(3, 4, 0), vec(3, 4, 0)), 5},
		{"point and segment", "limit: foot of the perpendicular", seg(vec(0, 0, 7), vec(0, 0, 7)), line(vec(-1, 0, 0), vec(1, 0, 0)), 7},
		{"capsule", "limit: 5 less the radius", seg(o, vec(2, 0, 0)), routing.Capsule{Axis: seg(vec(1, 3, 4), vec(3, 3, 4)), Radius: 1.5}, 3.5},
		{"capsule touched", "limit: 5 less 5", seg(o, vec(2, 0, 0)), routing.Capsule{Axis: seg(vec(1, 3, 4), vec(3, 3, 4)), Radius: 5}, 0},
		{"capsule entered", "limit: never negative", seg(o, vec(2, 0, 0)), routing.Capsule{Axis: seg(vec(1, 3, 4), vec(3, 3, 4)), Radius: 6}, 0},
		{"sphere", "limit: 7 less the radius", seg(vec(-4, 0, 7), vec(4, 0, 7)), routing.Capsule{Axis: seg(o, o), Radius: 2}, 5},
		{"beyond the flat end of a cylinder", "limit: gap of 2", seg(vec(0.5, -9, 3), vec(0.5, 9, 3)), routing.Cylinder{Axis: seg(o, vec(0, 0, 1)), Radius: 1}, 2},
		{"beside a cylinder", "limit: 3-4-5 less the radius", seg(vec(3, 4, 0.5), vec(3, 4, 9)), routing.Cylinder{Axis: seg(o, vec(0, 0, 1)), Radius: 2}, 3},
		{"rim of a cylinder", "limit: 3-4-5 offset from the rim", seg(vec(4, 0, 5), vec(8, 0, 5)), routing.Cylinder{Axis: seg(o, vec(0, 0, 1)), Radius: 1}, 5},
		{"through a cylinder", "limit: shares points", seg(vec(-9, 0, 0.5), vec(9, 0, 0.5)), routing.Cylinder{Axis: seg(o, vec(0, 0, 1)), Radius: 1}, 0},
		{"where a capsule has its round end", "limit: outside of the flat end", seg(vec(0, 0, 1.5), vec(0.1, 0, 1.5)), routing.Cylinder{Axis: seg(o, vec(0, 0, 1)), Radius: 1}, 0.5},
		{"disc", "limit: no length", seg(vec(0, 0, 2), vec(0.5, 0, 2)), routing.Cylinder{Axis: seg(o, o), Radius: 1}, 2},
		{"box face", "limit: gap of 2", seg(vec(-9, 0.3, 3), vec(9, 0.2, 3)), cube, 2},
		{"box edge", "limit: line x + y = 4 from the edge x = y = 1", seg(vec(4, 0, 0), vec(0, 4, 0)), cube, math.Sqrt2},
		{"box corner", "limit: 1-2-2 offset from the corner", seg(vec(2, 3, 3), vec(9, 9, 9)), cube, 3},
		{"box touched", "limit: on a face", seg(vec(0, 0, 1), vec(0, 0, 5)), cube, 0},
		{"box run through", "limit: shares points", seg(vec(-9, 0, 0), vec(9, 0.1, 0)), cube, 0},
		{"inside the box", "limit: never negative", seg(o, vec(0.1, 0, 0)), cube, 0},
		{"box turned by 45 deg", "limit: the edge comes to sqrt(2) from the centre",
			seg(vec(3, -1, 0.5), vec(3, 1, 0.5)), routing.Box{Half: vec(1, 1, 1), X: vec(2, 2, 0), Y: vec(-1, 1, 0)}, 3 - math.Sqrt2},
		{"plate", "limit: half length 0", seg(vec(0, 0, 2), vec(1, 0, 3)), routing.Box{Half: vec(5, 5, 0)}, 2},
		{"point and box of no size", "limit: 3-4-5", seg(o, o), routing.Box{Centre: vec(0, 3, 4)}, 5},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got, err := routing.Distance(tt.segment, tt.zone)
			if err != nil {
				t.Fatal(err)
			}
			if !near(got.Distance, tt.want, 1e-12) {
				t.Errorf("got %.15g, want %.15g (%s)", got.Distance, tt.want, tt.source)
			}
			checkNearest(t, got, tt.segment, tt.zone)
		})
	}
}

func randomVec(rng *rand.Rand, size float64) r3.Vec {
	return r3.Scale(size, vec(rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()))
}

// randomSegment is now and then of no length, and nearly parallel to dir.
func randomSegment(rng *rand.Rand, dir r3.Vec) routing.Segment {
	a := randomVec(rng, 1)
	switch rng.IntN(5) {
	case 0:
		return seg(a, a)
	case 1:
		return seg(a, r3.Add(a, dir))
	case 2:
		return seg(a, r3.Add(a, r3.Add(dir, randomVec(rng, math.Pow(10, -12*rng.Float64())))))
	}
	return seg(a, r3.Add(a, randomVec(rng, 1)))
}

func randomZone(rng *rand.Rand) routing.Zone {
	switch rng.IntN(3) {
	case 0:
		return routing.Capsule{Axis: randomSegment(rng, vec(1, 0, 0)), Radius: 0.3 * rng.Float64()}
	case 1:
		a := randomVec(rng, 1) // of some length: a disc that turns does not face up any more
		return routing.Cylinder{Axis: seg(a, r3.Add(a, randomVec(rng, 0.3))), Radius: 0.6 * rng.Float64()}
	}
	box := routing.Box{Centre: randomVec(rng, 1), Half: vec(rng.Float64(), 0.5*rng.Float64(), 0.1*rng.Float64())}
	if rng.IntN(3) > 0 {
		turn := r3.NewRotation(3*rng.NormFloat64(), randomVec(rng, 1))
		box.X, box.Y = turn.Rotate(vec(2, 0, 0)), turn.Rotate(vec(0, 0.5, 0))
	}
	return box
}

func TestDistancesAgainstSearch(t *testing.T) {
	rng := rand.New(rand.NewPCG(8855, 3))
	for k := range 10000 {
		z := randomZone(rng)
		dir := vec(1, 0, 0)
		switch z := z.(type) {
		case routing.Capsule:
			dir = r3.Sub(z.Axis.B, z.Axis.A)
		case routing.Cylinder:
			dir = r3.Sub(z.Axis.B, z.Axis.A)
		case routing.Box:
			if z.X != (r3.Vec{}) {
				dir = z.X
			}
		}
		s := randomSegment(rng, dir)
		got, err := routing.Distance(s, z)
		if err != nil {
			t.Fatal(err)
		}
		// The search cannot tell distances apart nearer than the root of rounding.
		if want := refDistance(s, z); !near(got.Distance, want, 2e-8) {
			t.Errorf("case %d: got %.12g, want %.12g for %+v, %+v", k, got.Distance, want, s, z)
		}
		checkNearest(t, got, s, z)
	}
}

func TestZoneErrors(t *testing.T) {
	good := seg(vec(0, 0, 0), vec(1, 0, 0))
	nan, inf := math.NaN(), math.Inf(1)
	for _, tt := range []struct {
		name    string
		segment routing.Segment
		zone    routing.Zone
		want    string
	}{
		{"segment not a number", seg(vec(0, nan, 0), vec(0, 0, 0)), routing.Box{}, "coordinate NaN"},
		{"segment infinite", seg(vec(0, 0, 0), vec(0, 0, inf)), routing.Capsule{}, "coordinate +Inf"},
		{"capsule not a number", good, routing.Capsule{Axis: seg(vec(nan, 0, 0), vec(0, 0, 0))}, "capsule: coordinate NaN"},
		{"radius negative", good, routing.Capsule{Radius: -1}, "the capsule's radius of -1 m"},
		{"radius not a number", good, routing.Capsule{Radius: nan}, "the capsule's radius of NaN m"},
		{"centre too far", good, routing.Box{Centre: vec(0, 0, 1e4)}, "box: coordinate 10000"},
		{"half length negative", good, routing.Box{Half: vec(1, -1, 1)}, "the box's half length of -1 m"},
		{"one direction missing", good, routing.Box{Half: vec(1, 1, 1), X: vec(1, 0, 0)}, "box: a direction has no length"},
		{"other direction missing", good, routing.Box{Half: vec(1, 1, 1), Y: vec(1, 0, 0)}, "box: a direction has no length"},
		{"directions not square", good, routing.Box{Half: vec(1, 1, 1), X: vec(1, 0, 0), Y: vec(1, 1, 0)}, "box: its two directions are not at right angles"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, err := routing.Distance(tt.segment, tt.zone)
			checkError(t, err, tt.want)
		})
	}
}

// Distances of two segments (identity: 3-4-5, parallels, a common point).
func TestApart(t *testing.T) {
	s := routing.Segment{A: vec(0, 0, 0), B: vec(1, 0, 0)}
	for _, tt := range []struct {
		name string
		to   routing.Segment
		want float64
	}{
		{"skew, above each other", routing.Segment{A: vec(0.5, -1, 2), B: vec(0.5, 1, 2)}, 2},
		{"parallel", routing.Segment{A: vec(0, 3, 0), B: vec(1, 3, 0)}, 3},
		{"end to end, 3-4-5", routing.Segment{A: vec(4, 4, 0), B: vec(9, 9, 0)}, 5},
		{"crossing", routing.Segment{A: vec(0.2, -1, 0), B: vec(0.2, 1, 0)}, 0},
		{"of no length", routing.Segment{A: vec(0, 0, 7), B: vec(0, 0, 7)}, 7},
	} {
		if got, err := routing.Apart(s, tt.to); err != nil || math.Abs(got-tt.want) > 1e-12 {
			t.Errorf("%s: got %g, %v, want %g", tt.name, got, err, tt.want)
		}
	}
	if _, err := routing.Apart(s, routing.Segment{B: vec(math.NaN(), 0, 0)}); err == nil {
		t.Error("got no error of a place that is no number, want one")
	}
}
