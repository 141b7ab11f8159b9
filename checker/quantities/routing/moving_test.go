package routing_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"kitgauge/checker/quantities/motion"
	"kitgauge/checker/quantities/routing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// refPlace carries p through the joints listed, by gonum's rotations.
func refPlace(joints []motion.Joint, list []int, q []float64, p r3.Vec) r3.Vec {
	for i := len(list) - 1; i >= 0; i-- {
		j := joints[list[i]]
		if j.Kind == motion.Prismatic {
			p = r3.Add(p, r3.Scale(q[list[i]], r3.Unit(j.Axis)))
			continue
		}
		p = r3.Add(j.Pivot, r3.NewRotation(q[list[i]], j.Axis).Rotate(r3.Sub(p, j.Pivot)))
	}
	return p
}

// refMoved carries the whole scene to the joint values q, in the vehicle frame.
func refMoved(in routing.Moving, q []float64) (routing.Segment, routing.Zone) {
	s := seg(refPlace(in.Joints, in.Start, q, in.Segment.A), refPlace(in.Joints, in.End, q, in.Segment.B))
	carry := func(p r3.Vec) r3.Vec { return refPlace(in.Joints, in.ZoneOn, q, p) }
	if c, ok := in.Zone.(routing.Capsule); ok {
		return s, routing.Capsule{Axis: seg(carry(c.Axis.A), carry(c.Axis.B)), Radius: c.Radius}
	}
	if c, ok := in.Zone.(routing.Cylinder); ok {
		return s, routing.Cylinder{Axis: seg(carry(c.Axis.A), carry(c.Axis.B)), Radius: c.Radius}
	}
	b := in.Zone.(routing.Box)
	x, y := b.X, b.Y
	if x == (r3.Vec{}) {
		x, y = vec(1, 0, 0), vec(0, 1, 0)
	}
	centre := carry(b.Centre)
	return s, routing.Box{
		Centre: centre, Half: b.Half,
		X: r3.Sub(carry(r3.Add(b.Centre, r3.Unit(x))), centre),
		Y: r3.Sub(carry(r3.Add(b.Centre, r3.Unit(y))), centre),
	}
}

// checkClearance fails unless the clearance is attained where it says.
func checkClearance(t *testing.T, in routing.Moving, got routing.Clearance) {
	t.Helper()
	if len(got.Joints) != len(in.Joints) {
		t.Fatalf("got %d joint values, want %d", len(got.Joints), len(in.Joints))
	}
	for i, j := range in.Joints {
		if !(got.Joints[i] >= j.From && got.Joints[i] <= j.To) {
			t.Errorf("joint %d: got %g, want a value from %g to %g", i, got.Joints[i], j.From, j.To)
		}
	}
	s, z := refMoved(in, got.Joints)
	if want := refDistance(s, z); !near(got.Distance, want, 2e-8) {
		t.Errorf("got %.12g, want %.12g, the distance at its own joint values", got.Distance, want)
	}
	checkNearest(t, got.Nearest, s, z)
}

func TestMovingClearance(t *testing.T) {
	hinge := motion.Joint{Axis: vec(0, 0, 3), From: -math.Pi / 3, To: math.Pi / 3}
	turn := motion.Joint{Axis: vec(0, 0, 1), From: 0, To: 40}
	slide := motion.Joint{Kind: motion.Prismatic, Axis: vec(0, 0, 2), From: -0.1, To: 0.3}
	sphere := func(at r3.Vec, r float64) routing.Zone { return routing.Capsule{Axis: seg(at, at), Radius: r} }
	spoke := seg(vec(1, 0, 0), vec(2, 0, 0))
	for _, tt := range []struct {
		name, source string
		in           routing.Moving
		want         float64
		tol          float64
	}{
		{"nothing moves", "limit: 3-4-5 less the radius",
			routing.Moving{Segment: spoke, Zone: sphere(vec(4, 3, 4), 1)}, math.Sqrt(29) - 1, 1e-12},
		{"both on one body", "limit: 2 apart whatever the joint does",
			routing.Moving{Joints: []motion.Joint{hinge}, Segment: spoke, Zone: sphere(vec(4, 0, 0), 0),
				Start: []int{0}, End: []int{0}, ZoneOn: []int{0}}, 2, 1e-12},
		{"tube swings past", "limit: the tip's circle, centre distance 5, radius 2",
			routing.Moving{Joints: []motion.Joint{turn}, Segment: spoke, Zone: sphere(vec(-3, 4, 0), 1),
				Start: []int{0}, End: []int{0}}, 2, routing.ClearanceTolerance},
		{"zone swings past", "limit: as the tube",
			routing.Moving{Joints: []motion.Joint{turn}, Segment: spoke, Zone: sphere(vec(-3, 4, 0), 1),
				ZoneOn: []int{0}}, 2, routing.ClearanceTolerance},
		{"stops short", "limit: at 60 deg the inner end (1, sqrt 3)/2 is sqrt 7 from (-2, sqrt 3)",
			routing.Moving{Joints: []motion.Joint{hinge}, Segment: spoke, Zone: sphere(vec(-2, math.Sqrt(3), 0), 0),
				Start: []int{0}, End: []int{0}}, math.Sqrt(7), routing.ClearanceTolerance},
		{"one end moves", "limit: the fixed end stays nearest",
			routing.Moving{Joints: []motion.Joint{slide}, Segment: spoke, Zone: sphere(vec(0.5, 0, 0), 0.1),
				End: []int{0}}, 0.4, routing.ClearanceTolerance},
		{"rises under a plate", "limit: gap of 1 less the travel of 0.3",
			routing.Moving{Joints: []motion.Joint{slide}, Segment: spoke,
				Zone:  routing.Box{Centre: vec(1.5, 0, 1.5), Half: vec(5, 5, 0.5)},
				Start: []int{0}, End: []int{0}}, 0.7, routing.ClearanceTolerance},
		{"runs into the box", "limit: contact is 0",
			routing.Moving{Joints: []motion.Joint{turn}, Segment: spoke,
				Zone: routing.Box{Centre: vec(-1.5, 0, 0), Half: vec(0.1, 0.1, 0.1)}, Start: []int{0}, End: []int{0}}, 0, 0},
		{"two bodies", "limit: tips of two spokes, 1 - 1/4 - 1/4 apart at best",
			routing.Moving{
				Joints:  []motion.Joint{turn, {Pivot: vec(1, 0, 0), Axis: vec(0, 0, 1), From: -4, To: 4}},
				Segment: seg(vec(0, 0.1, 0), vec(0, 0.25, 0)), Zone: sphere(vec(1, 0.25, 0), 0),
				Start: []int{0}, End: []int{0}, ZoneOn: []int{1}}, 0.5, routing.ClearanceTolerance},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got, err := routing.MovingClearance(tt.in)
			if err != nil {
				t.Fatal(err)
			}
			if !(got.Distance >= tt.want-1e-9 && got.Distance <= tt.want+tt.tol+1e-9) {
				t.Errorf("got %.9g, want %.9g, at most %g more (%s)", got.Distance, tt.want, tt.tol, tt.source)
			}
			checkClearance(t, tt.in, got)
		})
	}
}

// randomMoving is a tree of up to three joints with the three items anywhere on it.
func randomMoving(rng *rand.Rand) routing.Moving {
	in := routing.Moving{Segment: randomSegment(rng, vec(1, 0, 0)), Zone: randomZone(rng)}
	bodies := [][]int{nil} // the joints that move each body; the first is the root
	for i := range rng.IntN(4) {
		j := motion.Joint{Pivot: randomVec(rng, 1), Axis: randomVec(rng, 1)}
		j.From = -rng.Float64()
		j.To = j.From + 1.5*rng.Float64()
		if rng.IntN(3) == 0 {
			j = motion.Joint{Kind: motion.Prismatic, Axis: randomVec(rng, 1), From: -0.3 * rng.Float64(), To: 0.3 * rng.Float64()}
		}
		in.Joints = append(in.Joints, j)
		parent := bodies[rng.IntN(len(bodies))]
		bodies = append(bodies, append(parent[:len(parent):len(parent)], i))
	}
	in.Start, in.End, in.ZoneOn = bodies[rng.IntN(len(bodies))], bodies[rng.IntN(len(bodies))], bodies[rng.IntN(len(bodies))]
	return in
}

func TestMovingClearanceAgainstSampling(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		in := randomMoving(rand.New(rand.NewPCG(8855, rapid.Uint64().Draw(rt, "seed"))))
		got, err := routing.MovingClearance(in)
		if errors.Is(err, motion.ErrTooComplex) && len(in.Joints) > 2 {
			rt.Skip("not certified, and said so")
		}
		if err != nil {
			rt.Fatal(err)
		}
		checkClearance(t, in, got)
		n := len(in.Joints)
		steps := []int{1, 200, 24, 10}[n]
		q := make([]float64, n)
		for k := range int(math.Pow(float64(steps), float64(n))) {
			for i, j := range in.Joints {
				q[i] = j.From + (j.To-j.From)*float64(k%steps)/float64(max(1, steps-1))
				k /= steps
			}
			s, z := refMoved(in, q)
			near, err := routing.Distance(s, z)
			if err != nil {
				rt.Fatal(err)
			}
			if near.Distance < got.Distance-routing.ClearanceTolerance {
				rt.Fatalf("got %.9g, want no more than %.9g as at %v", got.Distance, near.Distance, q)
			}
		}
	})
}

func TestMovingClearanceErrors(t *testing.T) {
	joint := motion.Joint{Axis: vec(0, 0, 1), From: -1, To: 1}
	good := routing.Moving{
		Joints: []motion.Joint{joint, joint}, Segment: seg(vec(1, 0, 0), vec(2, 0, 0)),
		Zone: routing.Box{Centre: vec(5, 0, 0)}, Start: []int{0}, End: []int{0, 1},
	}
	if _, err := routing.MovingClearance(good); err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		name string
		edit func(*routing.Moving)
		want string
	}{
		{"no zone", func(m *routing.Moving) { m.Zone = nil }, "there is no zone"},
		{"bad zone", func(m *routing.Moving) { m.Zone = routing.Capsule{Radius: -1} }, "the capsule's radius"},
		{"bad segment", func(m *routing.Moving) { m.Segment.A.X = math.NaN() }, "coordinate NaN"},
		{"joint after the last", func(m *routing.Moving) { m.End = []int{0, 2} }, "joint 3 is not one of the 2 joints"},
		{"joint before the first", func(m *routing.Moving) { m.ZoneOn = []int{-1} }, "joint 0 is not one of the 2 joints"},
		{"bad joint", func(m *routing.Moving) { m.Joints = []motion.Joint{joint, {}} }, "joint 2: the axis has no direction"},
		{"bad joint without effect", func(m *routing.Moving) {
			m.Joints = []motion.Joint{joint, joint, {Axis: vec(1, 0, 0), From: math.NaN()}}
		}, "joint 3: the range"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			in := good
			tt.edit(&in)
			_, err := routing.MovingClearance(in)
			checkError(t, err, tt.want)
		})
	}
}

// A search that cannot be certified is an error and comes soon, never a guess.
func TestMovingClearanceTooComplex(t *testing.T) {
	in := routing.Moving{Segment: seg(vec(6, 0, 0), vec(6.5, 0, 0)), Zone: routing.Box{Centre: vec(3, 3, 3), Half: vec(0.1, 0.1, 2.9)}}
	for i := range 7 { // many equal ways to keep 0.1 m away from the top of the box
		axis := vec(0, 0, 1)
		in.Joints = append(in.Joints, motion.Joint{Pivot: vec(float64(i), 0, 0), Axis: axis, From: -3, To: 3})
		in.Start, in.End = append(in.Start, i), append(in.End, i)
	}
	if got, err := routing.MovingClearance(in); !errors.Is(err, motion.ErrTooComplex) {
		t.Errorf("got %+v, %v, want %v", got, err, motion.ErrTooComplex)
	}
}

// The search is right only if no bound ever lies above a distance in its box.
func TestClearanceBoundHolds(t *testing.T) {
	rng := rand.New(rand.NewPCG(8855, 4))
	for k := range 3000 {
		in := randomMoving(rng)
		n := len(in.Joints)
		lo, hi, q := make([]float64, n), make([]float64, n), make([]float64, n)
		size := math.Pow(10, -2*rng.Float64())
		for i := range q {
			lo[i] = rng.NormFloat64()
			hi[i] = lo[i] + size*rng.Float64()
		}
		low, err := in.Bound(lo, hi)
		if err != nil {
			t.Fatal(err)
		}
		for range 40 {
			for i := range q { // ends more often than not
				q[i] = lo[i] + (hi[i]-lo[i])*math.Max(0, math.Min(1, 2*rng.Float64()-0.5))
			}
			s, z := refMoved(in, q)
			near, err := routing.Distance(s, z)
			if err != nil {
				t.Fatal(err)
			}
			if !(low <= near.Distance+1e-9) {
				t.Fatalf("case %d: got the bound %.12g, want at most %.12g as at %v", k, low, near.Distance, q)
			}
		}
	}
}

// Beyond never says yes where MovingClearance, which is held to dense sampling
// above, finds a nearer place, and does say yes where the distance is well
// below the clearance of a motion that is simple enough.
func TestBeyond(t *testing.T) {
	said := 0
	rapid.Check(t, func(rt *rapid.T) {
		in := randomMoving(rand.New(rand.NewPCG(8855, rapid.Uint64().Draw(rt, "seed"))))
		distance := rapid.Float64Range(0, 2).Draw(rt, "distance")
		far, err := routing.Beyond(in, distance)
		if err != nil {
			rt.Fatal(err)
		}
		if !far {
			return
		}
		said++
		got, err := routing.MovingClearance(in)
		if err == nil && got.Distance <= distance-routing.ClearanceTolerance {
			rt.Errorf("Beyond(%g) = true; the clearance is %g", distance, got.Distance)
		}
	})
	if said == 0 {
		t.Error("Beyond said yes to nothing")
	}
}
