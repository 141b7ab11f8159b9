package routing_test

import (
	"math"
	"strings"
	"testing"

	"kitgauge/checker/quantities/motion"
	"kitgauge/checker/quantities/routing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

func vec(x, y, z float64) r3.Vec { return r3.Vec{X: x, Y: y, Z: z} }

// near reports whether got is within tol of want; never true for NaN.
func near(got, want, tol float64) bool { return math.Abs(got-want) <= tol }

func drawVec(t *rapid.T, size float64, name string) r3.Vec {
	f := rapid.Float64Range(-size, size)
	return vec(f.Draw(t, name+".x"), f.Draw(t, name+".y"), f.Draw(t, name+".z"))
}

func checkError(t *testing.T, err error, want string) {
	t.Helper()
	if err == nil || !strings.HasPrefix(err.Error(), want) {
		t.Errorf("got the error %v, want one that starts %q", err, want)
	}
}

// Identity: a sum of lengths.
func TestCut(t *testing.T) {
	cut := routing.Cut{Route: 3.2, Free: 0.45, Insertion: 0.03, Trim: 0.02}
	if got, err := cut.Length(); err != nil || !near(got, 3.7, 1e-12) {
		t.Errorf("got %g, %v, want 3.7 (limit: a sum)", got, err)
	}
	for want, bad := range map[string]routing.Cut{
		"the route of -1 m":        {Route: -1},
		"the free length of NaN m": {Free: math.NaN()},
		"the insertion of +Inf m":  {Insertion: math.Inf(1)},
		"the trim of 2000 m":       {Trim: 2000},
	} {
		_, err := bad.Length()
		checkError(t, err, want)
	}
}

func TestWidestGap(t *testing.T) {
	for _, tt := range []struct {
		name   string
		length float64
		ties   []float64
		want   routing.Gap
	}{
		{"no ties", 1.5, nil, routing.Gap{From: 0, To: 1.5}},
		{"between ties", 2, []float64{0.1, 0.5, 1.5, 1.9}, routing.Gap{From: 0.5, To: 1.5}},
		{"any order", 2, []float64{1.5, 0.1, 1.9, 0.5}, routing.Gap{From: 0.5, To: 1.5}},
		{"before the first", 2, []float64{1.25, 1.5}, routing.Gap{From: 0, To: 1.25}},
		{"after the last", 2, []float64{0.5, 0.75}, routing.Gap{From: 0.75, To: 2}},
		{"first of equals", 1, []float64{0.25, 0.5, 0.75}, routing.Gap{From: 0, To: 0.25}},
		{"ties at the ends and twice", 1, []float64{0, 0.75, 0.75, 1}, routing.Gap{From: 0, To: 0.75}},
		{"no length", 0, []float64{0}, routing.Gap{}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got, err := routing.WidestGap(tt.length, tt.ties)
			if err != nil || got != tt.want || got.Length() != tt.want.To-tt.want.From {
				t.Errorf("got %+v, %v, want %+v (limit: by hand)", got, err, tt.want)
			}
		})
	}
	for _, bad := range []float64{-0.1, 1.1, math.NaN(), math.Inf(1)} {
		_, err := routing.WidestGap(1, []float64{0.5, bad})
		checkError(t, err, "tie 2 at ")
	}
	_, err := routing.WidestGap(math.Inf(1), nil)
	checkError(t, err, "the run of +Inf m")
}

func TestCornerRadius(t *testing.T) {
	o := vec(0, 0, 0)
	for _, tt := range []struct {
		name, source         string
		before, at, after    r3.Vec
		wantTurn, wantRadius float64
	}{
		{"right angle", "limit: R = T", vec(-0.4, 0, 0), o, vec(0, 0.4, 0), math.Pi / 2, 0.2},
		{"shorter leg rules", "limit: R = T", vec(-0.4, 0, 0), o, vec(0, 0, 0.1), math.Pi / 2, 0.05},
		{"60 degrees", "limit: R = T sqrt(3)", vec(-2, 0, 0), o, vec(1, math.Sqrt(3), 0), math.Pi / 3, math.Sqrt(3)},
		{"120 degrees", "limit: circle inscribed in an equilateral triangle of side 2, R = 1/sqrt(3)", vec(-2, 0, 0), o, vec(-1, math.Sqrt(3), 0), 2 * math.Pi / 3, 1 / math.Sqrt(3)},
		{"doubling back", "limit: no room", vec(-1, 0, 0), o, vec(-1, 0, 0), math.Pi, 0},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got, err := routing.CornerRadius(tt.before, tt.at, tt.after)
			if err != nil {
				t.Fatal(err)
			}
			if got.Straight || !near(got.Turn, tt.wantTurn, 1e-12) || !near(got.Radius, tt.wantRadius, 1e-12) {
				t.Errorf("got %+v, want turn %g, radius %g (%s)", got, tt.wantTurn, tt.wantRadius, tt.source)
			}
		})
	}
	if got, err := routing.CornerRadius(vec(-1, -2, 3), o, vec(2, 4, -6)); err != nil || !got.Straight || got.Radius != 0 {
		t.Errorf("got %+v, %v, want a straight corner", got, err)
	}
	_, err := routing.CornerRadius(o, o, vec(1, 0, 0))
	checkError(t, err, "two points of the run lie at the same place")
	_, err = routing.CornerRadius(vec(1, 0, 0), o, vec(math.NaN(), 0, 0))
	checkError(t, err, "coordinate NaN")
}

// The circle must touch both legs at the tangent points: its centre lies
// radius / cos(turn/2) from the corner on the bisector and radius from each leg.
func TestCornerCircleTouchesLegs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		corner := drawVec(t, 2, "corner")
		in := r3.Add(vec(1.5, 0, 0), drawVec(t, 1, "in"))
		out := drawVec(t, 2, "out")
		if r3.Norm(r3.Cross(in, out)) < 0.05 {
			t.Skip("straight or doubling back")
		}
		got, err := routing.CornerRadius(r3.Sub(corner, in), corner, r3.Add(corner, out))
		if err != nil {
			t.Fatal(err)
		}
		bisector := r3.Unit(r3.Sub(r3.Unit(out), r3.Unit(in)))
		centre := r3.Add(corner, r3.Scale(got.Radius/math.Cos(got.Turn/2), bisector))
		tangent := math.Min(r3.Norm(in), r3.Norm(out)) / 2
		for _, leg := range []r3.Vec{r3.Scale(-1, r3.Unit(in)), r3.Unit(out)} {
			touch := r3.Add(corner, r3.Scale(tangent, leg))
			spoke := r3.Sub(touch, centre)
			if !near(r3.Norm(spoke), got.Radius, 1e-8) || !near(r3.Dot(spoke, leg), 0, 1e-8) {
				t.Errorf("got %+v, want a circle that touches both legs at %g", got, tangent)
			}
		}
	})
}

func BenchmarkMovingClearance(b *testing.B) {
	kingpin := motion.Joint{Pivot: vec(1.4, 0.95, 0.5), Axis: vec(-0.05, 0.12, 1), From: -0.7, To: 0.7}
	bounce := motion.Joint{Kind: motion.Prismatic, Axis: vec(0, 0, 1), From: -0.08, To: 0.08}
	roll := motion.Joint{Pivot: vec(1.4, 0, 0.55), Axis: vec(1, 0, 0), From: -0.105, To: 0.105}
	tip := motion.Joint{Pivot: vec(-2.2, 0, 1.1), Axis: vec(0, -1, 0), From: 0, To: 0.87}
	joints := []motion.Joint{bounce, roll, kingpin, tip}
	tube := routing.Segment{A: vec(1.15, 0.45, 0.8), B: vec(1.48, 0.88, 0.62)}
	wheel := routing.Box{Centre: vec(1.4, 1.25, 0.5), Half: vec(0.5, 0.15, 0.5)}
	rod := routing.Capsule{Axis: routing.Segment{A: vec(1.0, 0.4, 0.4), B: vec(1.1, -0.4, 0.4)}, Radius: 0.03}
	for _, bm := range []struct {
		name string
		in   routing.Moving
	}{
		{"fixed", routing.Moving{Segment: tube, Zone: wheel}},
		{"1 joint", routing.Moving{Joints: joints, Segment: tube, Zone: wheel, ZoneOn: []int{2}}},
		{"2 joints", routing.Moving{Joints: joints, Segment: tube, Zone: wheel, End: []int{0, 2}, ZoneOn: []int{0, 2}}},
		{"3 joints, wheel", routing.Moving{Joints: joints, Segment: tube, Zone: wheel, End: []int{0, 1}, ZoneOn: []int{0, 1, 2}}},
		{"3 joints, rod", routing.Moving{Joints: joints, Segment: tube, Zone: rod, End: []int{0, 1, 2}, ZoneOn: []int{0, 1}}},
		{"4 joints", routing.Moving{Joints: joints, Segment: tube, Zone: rod, Start: []int{3}, End: []int{0, 1, 2}, ZoneOn: []int{0}}},
	} {
		b.Run(bm.name, func(b *testing.B) {
			for b.Loop() {
				if _, err := routing.MovingClearance(bm.in); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// Identity: half the outer diameter lies between the inner surface of a bend and
// its centre line.
func TestCentreRadius(t *testing.T) {
	if got, err := routing.CentreRadius(0.075, 0.0134); err != nil || math.Abs(got-0.0817) > 1e-12 {
		t.Errorf("CentreRadius(75 mm, 13.4 mm) = %g, %v; want 81.7 mm", got, err)
	}
	for _, bad := range [][2]float64{{-1, 0}, {0, -1}, {math.NaN(), 0}, {0, math.Inf(1)}} {
		if got, err := routing.CentreRadius(bad[0], bad[1]); err == nil {
			t.Errorf("CentreRadius(%v) = %g; want an error", bad, got)
		}
	}
}
