package facts_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"kitgauge/checker/facts"
)

// groundKit is a two-axle truck of 4 m wheelbase, with a body that tips, and a
// station for every case.
const groundKit = `
vehicle:
  outline: {from: [-6 m, -1.2 m, 0 m], to: [2 m, 1.2 m, 3 m]}
bodies: [{id: frame, name: frame, sprung: true}, {id: front, name: front axle, sprung: false}, {id: rear, name: rear axle, sprung: false},
  {id: knuckle, name: knuckle, sprung: false}, {id: hopper, name: hopper, sprung: true}, {id: cab, name: cab, sprung: true}]
joints:
  - {id: f, name: front springs, role: suspension, kind: prismatic, parent: frame, child: front, axis: [0, 0, 1], range: {from: -100 mm, to: 80 mm}}
  - {id: r, name: rear springs, role: suspension, kind: prismatic, parent: frame, child: rear, axis: [0, 0, 1], range: {from: -120 mm, to: 200 mm}}
  - {id: k, name: kingpin, role: steering, kind: revolute, parent: front, child: knuckle, pivot: [0 m, 800 mm, 500 mm], axis: [0, 0, 1], range: {from: -40 deg, to: 40 deg}}
  - {id: t, name: hinge, role: tipping, kind: revolute, parent: frame, child: hopper, pivot: [-5 m, 0 m, 1 m], axis: [0, -1, 0], range: {from: 0 deg, to: 50 deg}}
  - {id: c, name: cab springs, role: suspension, kind: prismatic, parent: frame, child: cab, axis: [0, 0, 1], range: {from: -30 mm, to: 40 mm}}
points:
  - {id: P1, name: Pin, body: rear, position: [-4 m, 0 m, 500 mm], thread: M10x1, access: tight}
pump:
  part: PUMP
  body: frame
  position: [-2 m, 800 mm, 1 m]
  up: [0, 0, 1]
  filler: [-2 m, 900 mm, 420 mm]
  filler_side: left
bundles:
  - id: B
    name: bundle
    route:
      - {id: s, body: frame, position: [0 m, 0 m, 310 mm], hold: clip}
zones:
  - {id: wheel, name: wheel, kind: wheel, shape: box, body: knuckle, from: [-500 mm, 900 mm, 0 m], to: [500 mm, 1150 mm, 1 m]}
`

// square is the height above a slope of what is so high above it by the plumb
// line of the vehicle.
func square(height, slope float64) float64 { return height / math.Hypot(1, slope) }

// Closed forms: where one axle compresses, the line from axle to axle; what is
// beyond an axle sinks by more, and what is on an axle keeps its height.
func TestGroundClearanceOverTheRange(t *testing.T) {
	deg := math.Pi / 180
	behind := func(q float64) float64 { // of a place 0.6 m behind the hinge and 0.4 m below it
		return 1 - 0.6*math.Sin(q) - 0.4*math.Cos(q)
	}
	for _, tt := range []struct {
		name, body, position string
		want                 float64
		when                 string
	}{
		{"over the front axle", "frame", "[0 m, 0 m, 310 mm]", square(0.310-0.080, 0.05), "front springs at 80 mm, rear springs at -120 mm"},
		{"over the rear axle", "frame", "[-4 m, 0 m, 310 mm]", square(0.310-0.200, 0.075), "front springs at -100 mm, rear springs at 200 mm"},
		{"midway, both pressed together", "frame", "[-2 m, 0 m, 310 mm]", square(0.310-0.140, 0.03), "front springs at 80 mm, rear springs at 200 mm"},
		{"1 m in front of the front axle", "frame", "[1 m, 0 m, 310 mm]", square(0.310-(0.080+0.200/4), 0.05), "front springs at 80 mm, rear springs at -120 mm"},
		{"2 m behind the rear axle", "frame", "[-6 m, 0 m, 700 mm]", square(0.700-(0.200+0.300/2), 0.075), "front springs at -100 mm, rear springs at 200 mm"},
		{"on the axle", "rear", "[-4 m, 0 m, 310 mm]", 0.310, ""},
		{"on what is steered", "knuckle", "[0 m, 900 mm, 310 mm]", 0.310, ""},
		{"on the cab, over the front axle", "cab", "[0 m, 0 m, 310 mm]", square(0.310-0.080-0.030, 0.05), "front springs at 80 mm, rear springs at -120 mm, cab springs at -30 mm"},
	} {
		f := fromText(t, groundKit, mountedParts, "body: frame, position: [0 m, 0 m, 310 mm]", "body: "+tt.body+", position: "+tt.position)
		s := f.Stations[0]
		// The corner that is the lowest counts square to the ground: the flatter
		// one may be lower by some tenths of a millimetre.
		if !s.Least.Known || s.Least.V > tt.want+1e-9 || s.Least.V < tt.want-1e-3 || (tt.when != s.When.V && s.Least.V == tt.want) {
			t.Errorf("%s: got %v with %q (%s), want %v with %q", tt.name, s.Least.V, s.When.V, s.Least.Why, tt.want, tt.when)
		}
	}
	// A tipped body hangs lower behind its hinge: by the closed form the lowest
	// is where the arm's angle is upright, or at the end of the range.
	f := fromText(t, groundKit, mountedParts, "body: frame, position: [0 m, 0 m, 310 mm]", "body: hopper, position: [-5.6 m, 0 m, 600 mm]")
	want := behind(50 * deg)
	if s := f.Stations[0]; !strings.Contains(s.When.V, "hinge at 50 deg") || s.Least.V > want-0.2 || s.Least.V < want-0.4 {
		t.Errorf("tipped: got %v with %q, want %v less the bump of 200 mm and some pitch", s.Least.V, s.When.V, want)
	}
	fmt.Sprint(facts.Height{})
}
