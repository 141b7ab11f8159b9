package motion_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/quantities/motion"
)

// riseAt is the most and the least that the ground rises under a place.
func riseAt(t *testing.T, axles []motion.Axle, x, y, wheelbase float64) (low, high float64) {
	t.Helper()
	g := motion.Ground{Axles: axles, Wheelbase: wheelbase}
	low, high, _, _, err := g.Rises(r3.Vec{X: x, Y: y})
	if err != nil {
		t.Fatal(err)
	}
	return low, high
}

// Identity: the straight line through two ends of travel, between them and
// beyond; with three axles the line that the third allows.
func TestStances(t *testing.T) {
	front, rear := motion.Axle{X: 0, Low: -0.10, High: 0.08}, motion.Axle{X: -4, Low: -0.12, High: 0.20}
	two := []motion.Axle{front, rear}
	bogie := []motion.Axle{front, {X: -3.4, Low: -0.05, High: 0.05}, {X: -4.6, Low: -0.05, High: 0.05}}
	for _, tt := range []struct {
		name      string
		axles     []motion.Axle
		x, y      float64
		low, high float64
	}{
		{"one axle goes evenly", []motion.Axle{front}, -3, 0, -0.10, 0.08},
		{"over the front axle", two, 0, 0, -0.10, 0.08},
		{"over the rear axle", two, -4, 0, -0.12, 0.20},
		{"a quarter of the way", two, -1, 0, -0.105, 0.11},
		{"1 m in front", two, 1, 0, -0.10 - 0.30/4, 0.08 + 0.20/4},
		{"2 m behind", two, -6, 0, -0.12 - 0.20/2, 0.20 + 0.30/2},
		// Behind a bogie of 1.2 m the front axle holds the pitch: the line is
		// through the front's lower end and the bogie's last upper one.
		{"1 m behind a bogie", bogie, -5.6, 0, -0.05 - 0.13/4.6, 0.05 + 0.15/4.6},
		{"wheels on both sides are one axle", []motion.Axle{{X: 0, Y: 1, Low: -0.1, High: 0.1}, {X: 0.1, Y: -1, Low: -0.2, High: 0.05}}, 3, 0, -0.2, 0.1},
		{"a tandem axle alone goes evenly", bogie[1:], 4, 0, -0.05, 0.05},
		{"an axle that leans", []motion.Axle{{X: 0, Y: 0.1, TiltLow: -0.2, TiltHigh: 0.1}}, 0, 0.6, -0.1, 0.05},
		{"the same, to the right", []motion.Axle{{X: 0, Y: 0.1, TiltLow: -0.2, TiltHigh: 0.1}}, 0, -0.4, -0.05, 0.1},
		{"rest is always among them", []motion.Axle{{X: 0, Low: 0.01, High: 0.02}}, 0, 0, 0, 0.02},
	} {
		low, high := riseAt(t, tt.axles, tt.x, tt.y, motion.OneGroup)
		if math.Abs(low-tt.low) > 1e-12 || math.Abs(high-tt.high) > 1e-12 {
			t.Errorf("%s: got %g to %g, want %g to %g", tt.name, low, high, tt.low, tt.high)
		}
	}
}

// The ground never lies anywhere but between the corners: random planes that
// every axle allows.
func TestStancesHold(t *testing.T) {
	axles := []motion.Axle{{X: 0, Low: -0.1, High: 0.08}, {X: -3.4, Low: -0.05, High: 0.06}, {X: -4.6, Low: -0.04, High: 0.05}}
	seen := 0
	for i := range 400 {
		for j := range 400 {
			offset, slope := -0.2+0.4*float64(i)/399, -0.1+0.2*float64(j)/399
			keeps := true
			for _, a := range axles {
				y := offset + slope*a.X
				keeps = keeps && a.Low <= y && y <= a.High
			}
			if !keeps {
				continue
			}
			seen++
			for _, x := range []float64{2, 0, -2, -4, -7} {
				if low, high := riseAt(t, axles, x, 0, motion.OneGroup); offset+slope*x < low-1e-9 || offset+slope*x > high+1e-9 {
					t.Fatalf("at %g the ground is at %g, outside %g to %g", x, offset+slope*x, low, high)
				}
			}
		}
	}
	if seen < 1000 {
		t.Errorf("only %d planes were held against the corners", seen)
	}
}

// Identity: a slide, an arm and a pendulum by the closed form of each.
func TestRise(t *testing.T) {
	deg := math.Pi / 180
	wheel := r3.Vec{X: 0, Y: 0.2, Z: 0.5}
	for _, tt := range []struct {
		name                          string
		joint                         motion.Joint
		low, high, tiltLow, tiltHigh  float64
		y, atLow, atHigh, groundLevel float64
	}{
		{name: "upright slide", joint: motion.Joint{Kind: motion.Prismatic, Axis: r3.Vec{Z: 2}, From: -0.1, To: 0.2}, low: -0.1, high: 0.2, y: 0.2, atLow: -0.1, atHigh: 0.2},
		{name: "slide the other way", joint: motion.Joint{Kind: motion.Prismatic, Axis: r3.Vec{Z: -1}, From: -0.1, To: 0.2}, low: -0.2, high: 0.1, y: 0.2, atLow: 0.2, atHigh: -0.1},
		{name: "leaning slide", joint: motion.Joint{Kind: motion.Prismatic, Axis: r3.Vec{X: 3, Z: 4}, From: -0.1, To: 0.2}, low: -0.08, high: 0.16, y: 0.2, atLow: -0.1, atHigh: 0.2},
		{name: "arm ahead of the wheel", joint: motion.Joint{Pivot: r3.Vec{X: 1, Z: 0.5}, Axis: r3.Vec{Y: 1}, From: -10 * deg, To: 20 * deg}, low: -math.Sin(10 * deg), high: math.Sin(20 * deg), y: 0.2, atLow: -10 * deg, atHigh: 20 * deg},
		{name: "pendulum", joint: motion.Joint{Pivot: r3.Vec{Z: 0.6}, Axis: r3.Vec{X: 1}, From: -10 * deg, To: 8 * deg}, low: -0.6 * (1/math.Cos(10*deg) - 1), tiltLow: -math.Tan(10 * deg), tiltHigh: math.Tan(8 * deg), atLow: -10 * deg, atHigh: 8 * deg},
		{name: "pendulum the other way", joint: motion.Joint{Pivot: r3.Vec{Z: 0.6}, Axis: r3.Vec{X: -1}, From: -10 * deg, To: 8 * deg}, low: -0.6 * (1/math.Cos(10*deg) - 1), tiltLow: -math.Tan(8 * deg), tiltHigh: math.Tan(10 * deg), atLow: 8 * deg, atHigh: -10 * deg},
		{name: "turntable", joint: motion.Joint{Axis: r3.Vec{Z: 1}, From: -1, To: 1}, y: 0.2},
	} {
		got, err := motion.Rise(tt.joint, wheel, tt.groundLevel)
		if err != nil {
			t.Fatalf("%s: %v", tt.name, err)
		}
		for i, pair := range [][2]float64{{got.Low, tt.low}, {got.High, tt.high}, {got.TiltLow, tt.tiltLow}, {got.TiltHigh, tt.tiltHigh}, {got.Y, tt.y}, {got.AtLow, tt.atLow}, {got.AtHigh, tt.atHigh}} {
			if math.Abs(pair[0]-pair[1]) > 1e-12 {
				t.Errorf("%s: figure %d: got %g, want %g", tt.name, i, pair[0], pair[1])
			}
		}
	}
}

func TestUnusableStances(t *testing.T) {
	nan := math.NaN()
	up := r3.Vec{Z: 1}
	slide := motion.Joint{Kind: motion.Prismatic, Axis: up, To: 0.1}
	if _, err := motion.Stances(nil, 0, 0, 0); err == nil {
		t.Error("no axle was accepted")
	}
	for _, a := range []motion.Axle{{X: nan}, {High: math.Inf(1)}, {TiltHigh: nan}} {
		if _, err := motion.Stances([]motion.Axle{a}, 0, 0, 0); err == nil {
			t.Errorf("%v was accepted", a)
		}
	}
	if _, err := motion.Rise(slide, r3.Vec{X: nan}, 0); err == nil {
		t.Error("a wheel without a place was accepted")
	}
	if _, err := motion.Rise(motion.Joint{Axis: r3.Vec{X: 1}, From: -1, To: 1}, r3.Vec{}, 0); err == nil {
		t.Error("a lean of 57 deg was accepted")
	}
	for _, dir := range []r3.Vec{{}, {Z: 2}, {X: nan}} {
		if _, _, err := motion.Lowest([]motion.Joint{slide}, r3.Vec{}, dir, nil); err == nil {
			t.Errorf("the direction %v was accepted", dir)
		}
	}
	turn := motion.Joint{Axis: r3.Vec{X: 1}, From: -1, To: 1}
	other := motion.Joint{Axis: r3.Vec{Y: 1}, From: -1, To: 1}
	if _, _, err := motion.Lowest([]motion.Joint{turn, other}, r3.Vec{Y: 1}, up, &motion.Budget{Boxes: 3}); err != motion.ErrSpent {
		t.Errorf("got %v of a budget that is used up, want %v", err, motion.ErrSpent)
	}
	if _, _, err := motion.Lowest(make([]motion.Joint, 17), r3.Vec{}, up, nil); err != motion.ErrTooComplex {
		t.Errorf("got %v of 17 joints, want %v", err, motion.ErrTooComplex)
	}
}

// Identity: a rod that turns about a level axis is lowest where it hangs
// straight down, or at the end of its range.
func TestLowest(t *testing.T) {
	turn := motion.Joint{Pivot: r3.Vec{Z: 1}, Axis: r3.Vec{Y: 1}}
	for _, tt := range []struct{ from, to, want, at float64 }{
		{-0.2, 1, 1 - math.Sin(1), 1}, {0, 3, 0, math.Pi / 2}, {-1, 0, 1, 0}, {-7, 7, 0, math.Pi/2 - 2*math.Pi}, {0.3, 0.3, 1 - math.Sin(0.3), 0.3},
	} {
		turn.From, turn.To = tt.from, tt.to
		h, at, err := motion.Lowest([]motion.Joint{turn}, r3.Vec{X: 1, Z: 1}, r3.Vec{Z: 1}, nil)
		if err != nil || math.Abs(h-tt.want) > 1e-12 || math.Abs(at[0]-tt.at) > 1e-9 {
			t.Errorf("%g to %g: got %g at %v (%v), want %g at %g", tt.from, tt.to, h, at, err, tt.want, tt.at)
		}
	}
}
