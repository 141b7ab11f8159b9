package facts_test

import (
	"math"
	"strings"
	"testing"

	"kitgauge/checker/facts"
	"kitgauge/checker/value"
)

// mountedKit is a pump with one line, a zone on the frame and one on an axle.
const mountedKit = `
vehicle:
  outline: {from: [-3 m, -1 m, -0.5 m], to: [1 m, 1 m, 2 m]}
  wash_down: hose
bodies: [{id: frame, name: frame, sprung: true}, {id: axle, name: axle, sprung: false}, {id: cab, name: cab}]
joints:
  - {id: springs, name: springs, role: suspension, kind: prismatic, parent: frame, child: axle, axis: [0, 0, 1], range: {from: -100 mm, to: 200 mm}}
points:
  - {id: P1, name: Pin, body: frame, position: [0 m, 0 m, 0 m], thread: M10x1, access: tight}
pump:
  part: PUMP
  body: frame
  position: [0 m, 0 m, 1 m]
  up: [0, 0, 1]
  filler: [0 m, 100 mm, 1 m]
  filler_side: left
  side_free: true
  bolts: {part: BOLT, count: 4, spacing: 100 mm, width: 100 mm, overhang: 0 mm, acceleration: 5 gn}
lines:
  - {number: 1, outlet: 1, point: P1, tube: TUBE, pump_fitting: STUD, point_fitting: ELBOW}
zones:
  - {id: pipe, name: pipe, kind: heat, shape: capsule, body: frame, from: [-1 m, 500 mm, 1 m], to: [1 m, 500 mm, 1 m], radius: 100 mm}
  - {id: wheel, name: wheel, kind: wheel, shape: capsule, body: axle, from: [0 m, -500 mm, 500 mm], to: [0 m, 500 mm, 500 mm], radius: 100 mm}
  - {id: box, name: battery box, kind: moving, shape: box, body: frame, from: [-300 mm, -100 mm, 500 mm], to: [-200 mm, 200 mm, 1500 mm]}
  - {id: sheet, name: sheet, kind: edge, shape: box, body: frame, from: [0 m, 0 m, 0 m], to: [1 m, 1 m, 1 m]}
`

const mountedParts = `
title: parts
parts:
  - {number: PUMP, kind: pump, enclosure: IP66/IP67, tilt: 15 deg, bolt_count: 4, bolt_size: M8, mass: 6 kg, outlet_thread: M10 x 1.0}
  - {number: BOLT, kind: bolt, size: M8, property_class: "8.8"}
  - {number: TUBE, kind: tube, outer: 4 mm, inner: 2.5 mm, pressure: 120 bar}
  - {number: STUD, kind: fitting, thread: M10x1, tube_outer: 4 mm, pressure: 250 bar, angle: 0 deg}
  - {number: ELBOW, kind: fitting, thread: M10x1 keg, tube_outer: 5/32 in, pressure: 250 bar, angle: 90 deg}
`

// mounted reads the kit with the texts in pairs replaced in it, and works it
// out.
func mounted(t *testing.T, pairs ...string) *facts.Kit {
	t.Helper()
	return fromText(t, mountedKit, mountedParts, pairs...)
}

func TestPumpMounting(t *testing.T) {
	f := mounted(t)
	p := f.Pump
	const g = 9.80665 // m/s2
	for _, tt := range []struct {
		source string
		got    value.Number
		want   float64
		share  float64
	}{
		{"limit: 1 m above the datum, 0.5 m from there to the ground", p.FillerHeight, 1.5, 1e-9},
		{"limit: the same", p.LowestHeight, 1.5, 1e-9},
		{"limit: 1 m less 0.1 m", p.FillerDepth, 0.9, 1e-9},
		{"limit: the left side", p.Inset, 0.9, 1e-9},
		{"limit: upright", p.Lean, 0, 1e-9},
		{"recomputed: without overhang the worst is shear, sqrt(3) m a / 4 (von Mises)", p.BoltLoad, math.Sqrt(3) * 6 * 6 * g / 4, 1e-6},
		{"from memory: ISO 898-1, 36.6 mm2 x 580 MPa", p.BoltProof, 36.6e-6 * 580e6, 1e-2},
		{"limit: coarse where no pitch is stated, ISO 261", p.BoltPitch, 1.25e-3, 1e-9},
		{"limit: straight across", f.PumpZones[0].Distance, 0.3, 1e-3},
		{"limit: from 0.5 m below to 0.3 m as the axle rises", f.PumpZones[1].Distance, 0.2, 1e-2},
		{"limit: to the box's face", f.PumpZones[2].Distance, 0.2, 1e-3},
	} {
		if !tt.got.Known || math.Abs(tt.got.V-tt.want) > tt.share*math.Max(1e-3, math.Abs(tt.want)) {
			t.Errorf("%s: got %v (%s), want %v", tt.source, tt.got.V, tt.got.Why, tt.want)
		}
	}
	if p.InsetSide.V != "left" || !p.OnSprung.V || !p.SizeFits.V || !p.EnclosureFits.V || p.NeedsCover.V != "IPX5" {
		t.Errorf("got side %q, sprung %v, size %v, enclosure %v for %q; want left, true, true, true for IPX5",
			p.InsetSide.V, p.OnSprung.V, p.SizeFits.V, p.EnclosureFits.V, p.NeedsCover.V)
	}
	if len(f.PumpZones) != 3 {
		t.Errorf("got %d zones; want 3, as an edge does not matter to the pump", len(f.PumpZones))
	}
}

// The outline may be written from any corner, and the ground is its lowest
// side.
func TestOutlineFromAnyCorner(t *testing.T) {
	f := mounted(t, "from: [-3 m, -1 m, -0.5 m], to: [1 m, 1 m, 2 m]", "from: [1 m, -1 m, 2 m], to: [-3 m, 1 m, -0.5 m]")
	if p := f.Pump; p.FillerHeight.V != 1.5 || p.FillerDepth.V != 0.9 || p.Inset.V != 0.9 {
		t.Errorf("got %v high, %v deep, %v inside; want 1.5, 0.9, 0.9", p.FillerHeight.V, p.FillerDepth.V, p.Inset.V)
	}
}

func TestBoltSizes(t *testing.T) {
	for _, tt := range []struct {
		bolt string
		fits bool
	}{
		{"size: M8", true}, {"size: M8x1.25", true}, {"size: M8, pitch: 1.25 mm", true},
		{"size: M8, pitch: 1 mm", false}, {"size: M8x1", false}, {"size: M6", false}, {"size: 5/16-18 UNC", false},
	} {
		p := mounted(t, "kind: bolt, size: M8", "kind: bolt, "+tt.bolt).Pump
		if !p.SizeFits.Known || p.SizeFits.V != tt.fits {
			t.Errorf("%s for M8: got %v (%s), want %v", tt.bolt, p.SizeFits.V, p.SizeFits.Why, tt.fits)
		}
	}
}

// Any number of bolts is laid out; more of them carry less each.
func TestBoltNumbers(t *testing.T) {
	before := math.Inf(1)
	for _, n := range []string{"2", "3", "4", "6", "9"} {
		load := mounted(t, "count: 4", "count: "+n, "overhang: 0 mm", "overhang: 80 mm").Pump.BoltLoad
		if !load.Known || load.V >= before {
			t.Errorf("%s bolts: got %v N (%s); want less than %v", n, load.V, load.Why, before)
		}
		before = load.V
	}
}

func TestUnknownMounting(t *testing.T) {
	height := func(f *facts.Kit) string { return f.Pump.FillerHeight.Why }
	depth := func(f *facts.Kit) string { return f.Pump.FillerDepth.Why }
	inset := func(f *facts.Kit) string { return f.Pump.Inset.Why }
	load := func(f *facts.Kit) string { return f.Pump.BoltLoad.Why }
	factor := func(f *facts.Kit) string { return f.Pump.BoltFactor.Why }
	size := func(f *facts.Kit) string { return f.Pump.SizeFits.Why }
	lean := func(f *facts.Kit) string { return f.Pump.Lean.Why }
	sprung := func(f *facts.Kit) string { return f.Pump.OnSprung.Why }
	cover := func(f *facts.Kit) string { return f.Pump.EnclosureFits.Why }
	wheel := func(f *facts.Kit) string { return f.PumpZones[1].Distance.Why }
	for _, tt := range []struct {
		from, to string
		of       func(*facts.Kit) string
		want     string
	}{
		{"  filler: [0 m, 100 mm, 1 m]\n", "", height, "the filler of the pump is not stated"},
		{"  outline: {from: [-3 m, -1 m, -0.5 m], to: [1 m, 1 m, 2 m]}\n", "", height, "the ground (lowest side of the vehicle's outline) is not stated"},
		{"  outline: {from: [-3 m, -1 m, -0.5 m], to: [1 m, 1 m, 2 m]}\n", "", inset, "the outline of the vehicle is not stated"},
		{"  filler_side: left\n", "", depth, "the side of the filler (filler_side) is not stated"},
		{"filler_side: left", "filler_side: below", depth, `"below" is no side of the vehicle`},
		{"up: [0, 0, 1]", "up: [0, 0, 0]", lean, "has no direction"},
		{"  body: frame\n  position", "  position", sprung, "the body of the pump is not stated"},
		{"  body: frame\n  position", "  body: cab\n  position", sprung, "whether cab is sprung is not stated"},
		{"spacing: 100 mm, ", "", load, "the spacing of the pump's bolts is not stated"},
		{"width: 100 mm, ", "", load, "the width of the pump's bolts is not stated"},
		{", acceleration: 5 gn", "", factor, "the acceleration that the pump's bolts stand is not stated"},
		{"mass: 6 kg, ", "", load, "the mass of part PUMP is not stated"},
		{"count: 4, spacing", "count: 1, spacing", load, "from 2 to 100"},
		{", property_class: \"8.8\"", "", factor, "the property class of part BOLT is not stated"},
		{"property_class: \"8.8\"", "property_class: \"8\"", factor, "no property class"},
		{"property_class: \"8.8\"", "property_class: \"12.9\", finish: hot-dip galvanised", factor, "part BOLT: ISO 10684 galvanises up to property class 10.9"},
		{"kind: bolt, size: M8", "kind: bolt, finish: hot-dip galvanised, size: M6", factor, "from M8 on"},
		{"bolt_size: M8, ", "", size, "the bolt size of part PUMP is not stated"},
		{"kind: bolt, size: M8", "kind: bolt, size: big", size, `part BOLT: "big" is no thread designation`},
		{"bolts: {part: BOLT, ", "bolts: {", size, "the part of the pump's bolts is not stated"},
		{"part: PUMP", "part: OTHER", load, `no part "OTHER"`},
		{"  wash_down: hose\n", "", cover, "the wash-down of the vehicle is not stated"},
		{"enclosure: IP66/IP67, ", "", cover, "the enclosure of part PUMP is not stated"},
		{"enclosure: IP66/IP67", "enclosure: tight", cover, "does not begin with IP"},
		{"shape: capsule, body: axle", "shape: capsule, body: cab", wheel, "no joint joins frame and cab"},
		{"shape: capsule, body: axle", "shape: capsule", wheel, "the body of zone wheel is not stated"},
		{", range: {from: -100 mm, to: 200 mm}", "", wheel, "the range of joint springs is not stated"},
		{"to: [0 m, 500 mm, 500 mm], radius: 100 mm", "to: [0 m, 500 mm, 500 mm]", wheel, "the radius of zone wheel is not stated"},
	} {
		if got := tt.of(mounted(t, tt.from, tt.to)); !strings.Contains(got, tt.want) {
			t.Errorf("%q instead of %q: got the reason %q, want %q", tt.to, tt.from, got, tt.want)
		}
	}
}

// Identity: proof load of M8, 8.8: 36.6 mm2 x 580 MPa, with the thread undersized
// for the zinc 33.2 mm2 x 580 MPa (areas: ISO 898-1; ISO 10684, from memory).
func TestFinishOfABolt(t *testing.T) {
	for finish, want := range map[string]float64{"plain": 21200, "electroplated": 21200, "zinc flake": 21200, "hot-dip galvanised": 19256} {
		k := mounted(t, "kind: bolt, ", "kind: bolt, finish: "+finish+", ")
		if got := k.Pump.BoltProof; !got.Known || math.Abs(got.V-want) > 0.003*want {
			t.Errorf("%s: got a proof load of %v N, want %g", finish, got, want)
		}
	}
}
