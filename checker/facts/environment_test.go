package facts_test

import (
	"strings"
	"testing"

	"kitgauge/checker/facts"
	"kitgauge/checker/value"
)

// paperKit is a pump with two lines, one bundle and a feed, with all that the
// rules of climate and paperwork look at.
const paperKit = `
header: {number: K-1, revision: B, title: Two points, status: draft, owner: A yard, drawn_by: I. Sandvik, date: 2026-09-14}
vehicle:
  ambient: {from: -30 degC, to: 35 degC}
  wash_down: hose
  greased_before: [{designation: KP2K-30, thickener: lithium, points: [P1, P2]}]
bodies: [{id: frame}, {id: axle}]
points:
  - {id: P1, name: "Spring pin, left", body: frame, position: [0 m, 500 mm, 0 m], nipple_removed: true}
  - {id: P2, name: "Spring pin, right", body: frame, position: [0 m, -500 mm, 0 m], nipple_removed: true}
pump:
  part: PUMP
  body: frame
  position: [0 m, 0 m, 0 m]
  grease: GREASE
  first_fill: 2 l
  bolts: {part: BOLT, count: 3}
  outlets: [{number: 1, element: ELEMENT}, {number: 2, element: ELEMENT}]
lines:
  - {number: 1, outlet: 1, point: P1, tube: TUBE, bundle: B, cut_length: 3 m, pump_fitting: STUD, point_fitting: STUD, pump_marker: "1", point_marker: "1"}
  - {number: 2, outlet: 2, point: P2, tube: TUBE, bundle: B, cut_length: 4 m, pump_fitting: STUD, point_fitting: STUD, pump_marker: "2", point_marker: "2"}
bundles:
  - id: B
    conduit: CONDUIT
    route:
      - {id: b-1, body: frame, position: [300 mm, 400 mm, 0 m], part: TIE}
      - {id: b-2, body: frame, position: [300 mm, 1400 mm, 0 m], uncovered: true}
      - {id: b-3, body: axle, position: [300 mm, 1600 mm, 0 m], free_length: 350 mm}
feed: {fuse: FUSE, cable: CABLE, length: 6 m, return: cable, connectors: [{name: end, part: PLUG}]}
documents:
  schematic: {number: K-1-S, revision: B}
  call_out_sheet: {number: K-1-C, revision: B, rows: [{line: 1, name: "Spring pin, left"}, {line: 2, name: "Spring pin, right"}]}
  instructions: {number: K-1-I, revision: B}
  safety_notice: Grease under pressure goes through the skin.
parts_list: [{part: TUBE, length: 8 m}]
`

const paperParts = `
title: parts
parts:
  - {number: PUMP, kind: pump, temperature: {from: -35 degC, to: 70 degC}}
  - {number: ELEMENT, kind: element}
  - {number: TUBE, kind: tube, temperature: {from: -40 degC, to: 90 degC}}
  - {number: STUD, kind: fitting, temperature: {from: -40 degC, to: 100 degC}}
  - {number: CONDUIT, kind: conduit, temperature: {from: -40 degC, to: 105 degC}}
  - {number: TIE, kind: tie, temperature: {from: -40 degC, to: 85 degC}}
  - {number: CABLE, kind: cable, temperature: {from: -40 degC, to: 105 degC}}
  - {number: FUSE, kind: fuse}
  - {number: PLUG, kind: connector}
  - {number: BOLT, kind: bolt}
  - {number: GREASE, kind: grease, designation: KP2K-40, thickener: lithium}
  - {number: OTHER, kind: grease, designation: K2G-20, thickener: calcium}
`

// papers reads the kit with the texts in pairs replaced in it, and works it
// out.
func papers(t *testing.T, pairs ...string) *facts.Kit {
	t.Helper()
	return fromText(t, paperKit, paperParts, pairs...)
}

const zeroCelsius = 273.15

func TestGreaseLimits(t *testing.T) {
	for _, tt := range []struct {
		source, designation string
		lowest, highest     float64 // degC
		grade               string
		stands              bool
	}{
		{"DIN 51502 (printed: a lubricant maker's copy of the table)", "KP2K-30", -30, 120, "2", true},
		{"DIN 51502, letter F (printed: the same)", "K1F-20", -20, 80, "1", false},
		{"ISO 6743-9 (temperatures printed: GB/T 7631.8; letters from memory)", "ISO-L-XCCHB1", -30, 120, "1", true},
		{"ISO 6743-9, water letter A (from memory)", "ISO-L-XDBAA2", -40, 90, "2", false},
	} {
		p := papers(t, "designation: KP2K-40", "designation: "+tt.designation).Pump
		if !near(p.GreaseLowest, tt.lowest+zeroCelsius) || !near(p.GreaseHighest, tt.highest+zeroCelsius) {
			t.Errorf("%s: %s: got %v to %v K, want %v to %v degC", tt.source, tt.designation, p.GreaseLowest, p.GreaseHighest, tt.lowest, tt.highest)
		}
		if p.GreaseGrade.V != tt.grade || !p.GreaseStands.Known || p.GreaseStands.V != tt.stands {
			t.Errorf("%s: %s: got grade %q and stands a hose %v, want %q and %v", tt.source, tt.designation, p.GreaseGrade.V, p.GreaseStands, tt.grade, tt.stands)
		}
	}
}

// An open end of a designation is known as far as its figure goes.
func TestOpenLimits(t *testing.T) {
	const open = "designation: ISO-L-XEGHA2" // colder than -40, hotter than 180 degC
	p := papers(t, "designation: KP2K-40", open).Pump
	if !near(p.GreaseLowest, -40+zeroCelsius) || !near(p.GreaseHighest, 180+zeroCelsius) {
		t.Errorf("within the figures: got %v to %v, want -40 and 180 degC", p.GreaseLowest, p.GreaseHighest)
	}
	f := papers(t, "designation: KP2K-40", open, "from: -30 degC, to: 35 degC", "from: -45 degC, to: 35 degC",
		"id: P1,", "id: P1, temperature: 190 degC,")
	wantWhy(t, f.Pump.GreaseLowest.Why, "does not say how far the lowest temperature of the grease goes")
	wantWhy(t, f.Points[0].GreaseHighest.Why, "does not say how far the highest temperature of the grease goes")
}

func wantWhy(t *testing.T, got, want string) {
	t.Helper()
	if !strings.Contains(got, want) {
		t.Errorf("got the reason %q, want %q", got, want)
	}
}

func TestUnknownClimate(t *testing.T) {
	lowest := func(f *facts.Kit) string { return f.Pump.GreaseLowest.Why }
	stands := func(f *facts.Kit) string { return f.Pump.GreaseStands.Why }
	mix := func(f *facts.Kit) string { return f.Former[0].Mix.Why }
	for _, tt := range []struct {
		of    func(*facts.Kit) string
		pairs []string
		why   string
	}{
		{lowest, []string{"  grease: GREASE\n", ""}, "the grease of the pump is not stated"},
		{lowest, []string{"  grease: GREASE\n", "  grease: GREASY\n"}, `no part "GREASY" in test.parts.yaml; nearest is "GREASE"`},
		{lowest, []string{", designation: KP2K-40", ""}, "the designation of part GREASE is not stated"},
		{lowest, []string{"designation: KP2K-40", "designation: KP2Z-40"}, `"Z" is no letter for`},
		{lowest, []string{"designation: KP2K-40", "designation: KP2K"}, "lowest temperature"},
		{stands, []string{"  wash_down: hose\n", ""}, "the wash-down of the vehicle is not stated"},
		{stands, []string{"designation: KP2K-40", "designation: KP2N-40"}, "in water to agreement"},
		{mix, []string{"KP2K-30, thickener: lithium", "KP2K-30"}, "the thickener of former grease KP2K-30 is not stated"},
		{mix, []string{"KP2K-40, thickener: lithium", "KP2K-40"}, "the thickener of part GREASE is not stated"},
		{mix, []string{"KP2K-30, thickener: lithium", "KP2K-30, thickener: tallow"}, `thickener "tallow" is not known`},
		{mix, []string{"KP2K-30, thickener: lithium", "KP2K-30, thickener: calcium sulfonate", "KP2K-40, thickener: lithium", "KP2K-40, thickener: sodium"}, "no chart at hand has calcium sulfonate with sodium"},
		{mix, []string{"  grease: GREASE\n", ""}, "the grease of the pump is not stated"},
	} {
		wantWhy(t, tt.of(papers(t, tt.pairs...)), tt.why)
	}
}

func TestFormerGrease(t *testing.T) {
	for _, tt := range []struct{ before, now, want string }{
		// printed: US Bureau of Reclamation FIST 2-4, table 2
		{"lithium", "lithium", "compatible"},
		{"lithium complex", "lithium", "compatible"},
		{"calcium", "lithium", "borderline"},
		{"clay", "lithium", "incompatible"},
		{"lithium", "polyurea", "incompatible"},
	} {
		f := papers(t, "KP2K-30, thickener: lithium", "KP2K-30, thickener: "+tt.before, "KP2K-40, thickener: lithium", "KP2K-40, thickener: "+tt.now)
		if got := f.Former[0].Mix; got.V != tt.want {
			t.Errorf("%s meets %s: got %q (%s), want %q", tt.before, tt.now, got.V, got.Why, tt.want)
		}
	}
}

func TestUnknownGrease(t *testing.T) {
	for _, tt := range []struct {
		pairs []string
		count int64
		where string
	}{
		{nil, 0, ""},
		{[]string{", points: [P1, P2]", ""}, 0, ""}, // no points: every point
		{[]string{"[P1, P2]", "[P1]"}, 1, "point P2"},
		{[]string{"[P1, P2]", "[P7]"}, 2, "any of the 2 points that had a nipple"},
		{[]string{"[P1, P2]", "[P7]", "-500 mm, 0 m], nipple_removed: true", "-500 mm, 0 m]"}, 1, "point P1"},
	} {
		f := papers(t, tt.pairs...)
		if f.UnknownCount.V != tt.count || tt.count > 0 && f.UnknownWhere.V != tt.where {
			t.Errorf("%q: got %d, %q; want %d, %q", tt.pairs, f.UnknownCount.V, f.UnknownWhere.V, tt.count, tt.where)
		}
	}
	if f := papers(t, "[P1, P2]", "[P1, P7]"); len(f.Former[0].UnknownPoints) != 1 || f.Former[0].UnknownPoints[0] != "P7" {
		t.Errorf("got the unknown points %q, want P7", f.Former[0].UnknownPoints)
	}
}

func TestOtherGrease(t *testing.T) {
	for _, tt := range []struct {
		pairs []string
		want  value.Flag
	}{
		{nil, value.Known(false)},
		{[]string{"id: P1,", "id: P1, grease: GREASE,"}, value.Known(false)},
		{[]string{"id: P1,", "id: P1, grease: OTHER,"}, value.Known(true)},
		{[]string{"id: P1,", "id: P1, grease: OTHER,", "  grease: GREASE\n", ""}, value.Unknown[bool]("the grease of the pump is not stated")},
	} {
		if got := papers(t, tt.pairs...).Points[0].OtherGrease; got != tt.want {
			t.Errorf("%q: got %+v, want %+v", tt.pairs, got, tt.want)
		}
	}
}
