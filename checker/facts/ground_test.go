package facts_test

import (
	"math"
	"strings"
	"testing"

	"kitgauge/checker/value"
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
		if !s.Least.Known || math.Abs(s.Least.V-tt.want) > 2e-9 || tt.when != s.When.V {
			t.Errorf("%s: got %v with %q (%s), want %v with %q", tt.name, s.Least.V, s.When.V, s.Least.Why, tt.want, tt.when)
		}
	}
}

// A tipped body hangs lower behind its hinge: closed form of the place and of
// the ground below it, with the rear springs pressed together.
func TestTippedBody(t *testing.T) {
	f := fromText(t, groundKit, mountedParts, "body: frame, position: [0 m, 0 m, 310 mm]", "body: hopper, position: [-5.6 m, 0 m, 600 mm]")
	sin, cos := math.Sincos(50 * math.Pi / 180)
	x, z := -5-0.6*cos+0.4*sin, 1-0.6*sin-0.4*cos
	want := square(z-(-0.1-0.075*x), 0.075)
	s := f.Stations[0]
	if !s.Least.Known || math.Abs(s.Least.V-want) > 2e-9 || s.When.V != "front springs at -100 mm, rear springs at 200 mm, hinge at 50 deg" {
		t.Errorf("got %v with %q (%s), want %v", s.Least.V, s.When.V, s.Least.Why, want)
	}
}

// With springs of 200 mm either way a station at 310 mm comes down to 110 mm,
// and a filler at 420 mm to 220 mm; the other way the filler goes up.
func TestBumpOfSingleAxle(t *testing.T) {
	f := fromText(t, groundKit, mountedParts,
		"range: {from: -100 mm, to: 80 mm}", "range: {from: -200 mm, to: 200 mm}", "  - {id: r, name: rear springs, role: suspension", "  - {id: r, name: bracket, role: slide")
	const up, down = "front springs at 200 mm", "front springs at -200 mm"
	s, p := f.Stations[0], f.Pump
	for _, tt := range []struct {
		name  string
		got   value.Number
		when  value.Text
		want  float64
		stand string
	}{
		{"station", s.Least, s.When, 0.110, up},
		{"filler at its lowest", p.FillerLeast, p.FillerLow, 0.220, up},
		{"filler at its highest", p.FillerMost, p.FillerHigh, 0.620, down},
		{"pump at its lowest", p.LeastHeight, p.LowestWhen, 0.220, up},
		{"the side", p.LeastInset, p.OutWhen, 0.3, ""},
	} {
		if !tt.got.Known || math.Abs(tt.got.V-tt.want) > 1e-9 || tt.when.V != tt.stand {
			t.Errorf("%s: got %v with %q (%s), want %v with %q", tt.name, tt.got.V, tt.when.V, tt.got.Why, tt.want, tt.stand)
		}
	}
}

// What is not known of a suspension is told; what does not move a place is not
// asked for.
func TestUnknownGround(t *testing.T) {
	for _, tt := range []struct{ from, to, want string }{
		{", range: {from: -100 mm, to: 80 mm}", "", "the range of joint front springs is not stated"},
		{"axis: [0, 0, 1], range: {from: -100 mm", "range: {from: -100 mm", "the axis of joint front springs is not stated"},
		{"  outline: {from: [-6 m, -1.2 m, 0 m], to: [2 m, 1.2 m, 3 m]}", "  wash_down: none", "the ground (lowest side of the vehicle's outline) is not stated"},
		{"{id: s, body: frame, ", "{id: s, ", "the body of bundle B, station s is not stated"},
		{", range: {from: 0 deg, to: 50 deg}", "", ""},
		{"kind: prismatic, parent: frame, child: front, axis: [0, 0, 1], range: {from: -100 mm, to: 80 mm}", "kind: revolute, parent: frame, child: front, pivot: [0 m, 0 m, 500 mm], axis: [1, 0, 0], range: {from: -50 deg, to: 50 deg}", "joint front springs: it leans an axle by up to 50 deg; up to 45 can be judged"},
	} {
		f := fromText(t, groundKit, mountedParts, tt.from, tt.to)
		if got := f.Stations[0].Least; got.Why != tt.want {
			t.Errorf("%q instead of %q: got %q, want %q", tt.to, tt.from, got.Why, tt.want)
		}
	}
}

// A cab on springs is no axle, a body that hangs on its axle goes down with it,
// and what leans or swings an axle counts as far as it lifts the wheels.
func TestHowBodiesStand(t *testing.T) {
	const front = "{id: f, name: front springs, role: suspension, kind: prismatic, parent: frame, child: front, axis: [0, 0, 1], range: {from: -100 mm, to: 80 mm}}"
	const rear = "{id: r, name: rear springs, role: suspension, kind: prismatic, parent: frame, child: rear, axis: [0, 0, 1], range: {from: -120 mm, to: 200 mm}}"
	for _, tt := range []struct {
		name     string
		pairs    []string
		want, by float64
		when     string
	}{
		{"the frame hangs on its front axle", []string{front, "{id: f, name: front springs, role: suspension, kind: prismatic, parent: front, child: frame, axis: [0, 0, 1], range: {from: -80 mm, to: 100 mm}}"},
			square(0.23, 0.05), 2e-9, "front springs at -80 mm, rear springs at -120 mm"},
		{"the axle tilts; the station is 600 mm out", []string{
			front, "{id: f, name: pendulum, role: suspension, kind: revolute, parent: frame, child: front, pivot: [0 m, 0 m, 500 mm], axis: [1, 0, 0], range: {from: -10 deg, to: 10 deg}}",
			rear, "{id: r, name: rear springs, role: slide, kind: prismatic, parent: frame, child: rear, axis: [0, 0, 1], range: {from: 0 mm, to: 0 mm}}",
			"position: [0 m, 0 m, 310 mm]", "position: [0 m, 600 mm, 310 mm]"},
			(0.310 - 0.6*math.Tan(10*math.Pi/180)) * math.Cos(10*math.Pi/180), 1e-9, "pendulum at 10 deg"},
		{"an arm swings the axle", []string{
			front, "{id: f, name: arm, role: suspension, kind: revolute, parent: frame, child: front, pivot: [1 m, 0 m, 500 mm], axis: [0, 1, 0], range: {from: -5 deg, to: 5 deg}}",
			rear, "{id: r, name: rear springs, role: slide, kind: prismatic, parent: frame, child: rear, axis: [0, 0, 1], range: {from: 0 mm, to: 0 mm}}"},
			0.310 - math.Sin(5*math.Pi/180), 1e-9, "arm at 5 deg"},
	} {
		s := fromText(t, groundKit, mountedParts, tt.pairs...).Stations[0]
		if !s.Least.Known || math.Abs(s.Least.V-tt.want) > tt.by || s.When.V != tt.when {
			t.Errorf("%s: got %v with %q (%s), want %v with %q", tt.name, s.Least.V, s.When.V, s.Least.Why, tt.want, tt.when)
		}
	}
}

// Bodies that hang on each other in a circle, each on springs, come to a height
// or a reason.
func TestBodiesInACircle(t *testing.T) {
	const front = "role: suspension, kind: prismatic, parent: frame, child: front"
	const hinge = "role: tipping, kind: revolute, parent: frame, child: hopper"
	f := fromText(t, groundKit, mountedParts, front, "role: suspension, kind: prismatic, parent: hopper, child: front",
		hinge, "role: tipping, kind: revolute, parent: frame, child: hopper", "parent: frame, child: cab", "parent: cab, child: frame",
		"id: k, name: kingpin, role: steering, kind: revolute, parent: front, child: knuckle", "id: k, name: kingpin, role: boom, kind: revolute, parent: hopper, child: frame",
		"body: frame, position: [0 m, 0 m, 310 mm]", "body: hopper, position: [0 m, 0 m, 310 mm]")
	if s := f.Stations[0].Least; s.Known == (s.Why != "") || math.IsNaN(s.V) {
		t.Errorf("got %v (%s)", s.V, s.Why)
	}
}

// A trailer goes down with the truck's coupling in front and with its own axle
// behind.
func TestCoupledTrailer(t *testing.T) {
	f := fromText(t, groundKit, mountedParts,
		"{id: cab, name: cab, sprung: true}]", "{id: cab, name: cab, sprung: true}, {id: bed, name: bed, sprung: true}, {id: third, name: third axle, sprung: false}]",
		"  - {id: c, name: cab", "  - {id: w, name: fifth wheel, role: articulation, kind: revolute, parent: frame, child: bed, pivot: [-4 m, 0 m, 1 m], axis: [0, 0, 1], range: {from: -60 deg, to: 60 deg}}\n  - {id: q, name: third springs, role: suspension, kind: prismatic, parent: bed, child: third, axis: [0, 0, 1], range: {from: -50 mm, to: 60 mm}}\n  - {id: c, name: cab",
		"points:", "points:\n  - {id: P2, name: Hub, body: third, position: [-12 m, 0 m, 500 mm], thread: M10x1, access: tight}",
		"body: frame, position: [0 m, 0 m, 310 mm]", "body: bed, position: [-8 m, 0 m, 310 mm]")
	s := f.Stations[0]
	// Midway: half of the truck's 200 mm at the coupling and half of the 60 mm.
	if want := square(0.310-0.130, 0.140/8); !s.Least.Known || math.Abs(s.Least.V-want) > 1e-9 || !strings.Contains(s.When.V, "third springs at 60 mm") || !strings.Contains(s.When.V, "rear springs at 200 mm") {
		t.Errorf("got %v with %q (%s), want %v", s.Least.V, s.When.V, s.Least.Why, want)
	}
}
