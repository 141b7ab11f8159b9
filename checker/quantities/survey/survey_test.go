package survey_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/quantities/motion"
	"kitgauge/checker/quantities/survey"
)

func vec(x, y, z float64) r3.Vec { return r3.Vec{X: x, Y: y, Z: z} }

func near(a, b r3.Vec) bool { return r3.Norm(r3.Sub(a, b)) < 1e-9 }

// The angles of a half-turn, a right angle and between diagonals (identity).
func TestAngle(t *testing.T) {
	for _, tt := range []struct {
		name, source string
		a, b         r3.Vec
		want         float64
	}{
		{"parallel", "limit", vec(0, 0, 2), vec(0, 0, 1), 0},
		{"opposite", "limit: lines have no direction", vec(0, 0, -2), vec(0, 0, 1), 0},
		{"across", "limit", vec(3, 0, 0), vec(0, 5, 0), math.Pi / 2},
		{"space diagonal of a cube and an edge", "limit: acos(1/sqrt(3))", vec(1, 1, 1), vec(1, 0, 0), math.Acos(1 / math.Sqrt(3))},
		{"almost parallel", "limit: the tangent", vec(1e-8, 0, 1), vec(0, 0, 1), 1e-8},
	} {
		got, err := survey.Angle(tt.a, tt.b)
		if err != nil || math.Abs(got-tt.want) > 1e-12 {
			t.Errorf("%s: got %g, %v, want %g (%s)", tt.name, got, err, tt.want, tt.source)
		}
	}
	for _, a := range []r3.Vec{{}, {X: math.NaN()}, {X: math.Inf(1)}} {
		if _, err := survey.Angle(a, vec(1, 0, 0)); err == nil {
			t.Errorf("%v: got no error, want one", a)
		}
	}
}

func TestFromAxis(t *testing.T) {
	got, err := survey.FromAxis(vec(3, 9, 4), vec(0, 1, 0), vec(0, 7, 0))
	if err != nil || math.Abs(got-5) > 1e-12 {
		t.Errorf("got %g, %v, want 5 (identity: 3-4-5)", got, err)
	}
	if _, err := survey.FromAxis(vec(1, 1, 1), vec(0, 0, 0), r3.Vec{}); err == nil {
		t.Error("got no error of an axis without direction, want one")
	}
}

// TestMirrored moves a place by a joint, and its mirror image by the mirrored
// joint: the two end up as mirror images. The motion itself is that of package
// motion, which is held against Rodrigues' formula.
func TestMirrored(t *testing.T) {
	rng := rand.New(rand.NewPCG(8855, 11))
	random := func() r3.Vec { return vec(rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()) }
	for range 2000 {
		m := survey.Motion{Slides: rng.IntN(3) == 0, Axis: random(), From: -rng.Float64(), To: rng.Float64()}
		pivot, p := random(), random()
		kind := motion.Revolute
		if m.Slides {
			kind = motion.Prismatic
		}
		mirrored := m.Mirrored(random())
		for _, at := range []struct{ own, twin float64 }{{m.From, mirrored.From}, {m.To, mirrored.To}} {
			twin := at.twin
			if swapped := mirrored.From != m.From; swapped {
				twin = mirrored.From + mirrored.To - at.twin
			}
			a, errA := motion.Place([]motion.Joint{{Kind: kind, Pivot: pivot, Axis: m.Axis, From: m.From, To: m.To}}, []float64{at.own}, p)
			b, errB := motion.Place([]motion.Joint{{Kind: kind, Pivot: survey.Mirror(pivot), Axis: mirrored.Axis, From: mirrored.From, To: mirrored.To}}, []float64{twin}, survey.Mirror(p))
			if errA != nil || errB != nil || !near(survey.Mirror(a), b) {
				t.Fatalf("%+v: got %v and %v, want mirror images (%v, %v)", m, a, b, errA, errB)
			}
		}
	}
}

func TestMirroredKingpin(t *testing.T) {
	left := survey.Motion{Axis: vec(0, -0.1, 1), From: -0.66, To: 0.77}
	got := left.Mirrored(survey.Up)
	if !near(got.Axis, vec(0, 0.1, 1)) || got.From != -0.77 || got.To != 0.66 {
		t.Errorf("got %+v; a kingpin leans the other way on the right, and the inner wheel turns more (identity)", got)
	}
}

func TestBeyond(t *testing.T) {
	box := survey.NewBox(vec(1, 1, 3), vec(-6, -1, 0))
	for _, tt := range []struct {
		p    r3.Vec
		far  float64
		face survey.Face
	}{
		{vec(0, 0, 1), 0, survey.Inside}, {vec(1, 1, 3), 0, survey.Inside}, {vec(3, 0, 0), 2, survey.Front},
		{vec(-7, 0, 0), 1, survey.Rear}, {vec(0, 2, 1), 1, survey.Left}, {vec(0, -4, 1), 3, survey.Right},
		{vec(0, 0, 9), 6, survey.Above}, {vec(2, 0, -5), 5, survey.Below},
	} {
		if far, face := box.Beyond(tt.p); far != tt.far || face != tt.face {
			t.Errorf("%v: got %g %q, want %g %q (identity)", tt.p, far, face, tt.far, tt.face)
		}
	}
}

func TestBestSlip(t *testing.T) {
	meant := vec(-3.18, 0.44, 0.7)
	cost := func(p r3.Vec) float64 { return r3.Norm(r3.Sub(p, meant)) }
	for _, tt := range []struct {
		name, coordinate string
		written          r3.Vec
	}{
		{"sign", "x", vec(3.18, 0.44, 0.7)}, {"factor of 10", "z", vec(-3.18, 0.44, 7)}, {"a digit short", "y", vec(-3.18, 0.044, 0.7)},
		{"inches", "z", vec(-3.18, 0.44, 0.7*25.4)}, {"metres", "x", vec(-3180, 0.44, 0.7)},
	} {
		got, least, ok := survey.BestSlip(tt.written, cost)
		if !ok || got.Coordinate != tt.coordinate || least > 1e-9 || math.Abs(got.Value-survey.Of(meant, tt.coordinate)) > 1e-9 {
			t.Errorf("%s: got %+v, %g; want %s put right (identity)", tt.name, got, least, tt.coordinate)
		}
	}
	if _, _, ok := survey.BestSlip(r3.Vec{}, cost); ok {
		t.Error("got a slip of three noughts, want none")
	}
}

func TestIsSlip(t *testing.T) {
	for _, tt := range []struct {
		a, b float64
		want bool
	}{{48, -48, true}, {4.8, 48, true}, {25.4, 1, true}, {48, 47, false}, {48, 24, false}, {0, 0, false}} {
		if _, got := survey.IsSlip(tt.a, tt.b, 0.01); got != tt.want {
			t.Errorf("%g and %g: got %t, want %t", tt.a, tt.b, got, tt.want)
		}
	}
}

func TestDetour(t *testing.T) {
	if got := survey.Detour(vec(0, 0, 0), vec(3, 4, 0), vec(3, 0, 0)); math.Abs(got-6) > 1e-12 {
		t.Errorf("got %g, want 6: 5 and 4 for 3 (identity: 3-4-5)", got)
	}
}

// TestSlot takes a stop out of its place on a route and puts it elsewhere.
func TestSlot(t *testing.T) {
	route := []r3.Vec{vec(0, 0, 0), vec(1, 0, 0), vec(2, 0, 0), vec(4, 0, 0), vec(3, 0, 0), vec(5, 0, 0)}
	after, detour, present, ok := survey.Slot(route, 3)
	if !ok || after != 4 || detour > 1e-12 || math.Abs(present-2) > 1e-12 {
		t.Errorf("got %d, %g, %g, %t; want it after stop 4 without a detour, for 2 (identity)", after, detour, present, ok)
	}
	if _, _, _, ok := survey.Slot(route, 1); ok {
		t.Error("got a better place of a stop that lies on its way")
	}
	if _, _, _, ok := survey.Slot(route, 5); ok {
		t.Error("got a better place of the end of a route")
	}
}

func TestKeys(t *testing.T) {
	for _, tt := range []struct{ text, key, side string }{
		{"Kingpin upper bush, left", "kingpin upper bush *", "left"}, {"Kingpin upper bush, RH", "kingpin upper bush *", "right"},
		{"kingpin-left", "kingpin *", "left"}, {"Spring, left and right", "Spring, left and right", ""},
		{"Towing eye", "towing eye", ""}, {"Nearside spring", "nearside spring", ""},
	} {
		if key, side := survey.Key(tt.text); key != tt.key || side != tt.side {
			t.Errorf("%q: got %q, %q; want %q, %q (common practice, no source)", tt.text, key, side, tt.key, tt.side)
		}
	}
	for _, tt := range []struct{ text, key, side string }{
		{"FL3", "f* 3", "left"}, {"FR3", "f* 3", "right"}, {"RR", "r*", "right"}, {"P4", "P4", ""}, {"wheel-l", "wheel *", "left"},
	} {
		if key, side := survey.IDKey(tt.text); key != tt.key || side != tt.side {
			t.Errorf("%q: got %q, %q; want %q, %q (common practice, no source)", tt.text, key, side, tt.key, tt.side)
		}
	}
	if got := survey.Words("FL3-upper_Bush"); !slices.Equal(got, []string{"fl", "3", "upper", "bush"}) {
		t.Errorf("got %q", got)
	}
}

func TestOpposed(t *testing.T) {
	upper, lower := survey.Opposed("Kingpin upper bush, left"), survey.Opposed("Kingpin lower bush, left")
	if len(upper) != 1 || len(lower) != 1 || upper[0].Key != lower[0].Key || !upper[0].IsMore || lower[0].IsMore || upper[0].Of != "z" {
		t.Errorf("got %+v and %+v; want one key, upper being more of z", upper, lower)
	}
	for _, other := range []string{"Kingpin lower pin, left", "Kingpin lower bush, right", "Kingpin bush"} {
		for _, o := range survey.Opposed(other) {
			if o.Key == upper[0].Key {
				t.Errorf("%q: got the key of another name", other)
			}
		}
	}
	if got := survey.Opposed("Front spring, rear eye"); len(got) != 2 {
		t.Errorf("got %+v, want front and rear each", got)
	}
}
