package kit_test

import (
	"slices"
	"strings"
	"testing"

	"kitgauge/checker/kit"
	"kitgauge/checker/source"
)

const referenceKit = `
bodies: [{id: chassis}, {id: axle}]
joints: [{id: springs, parent: chassis, child: axle}]
points: [{id: P1, body: chassis, grease: GREASE}]
pump: {part: PUMP, body: chassis, grease: GREASE, bolts: {part: BOLT}, outlets: [{number: 1, element: ELEMENT}]}
lines: [{number: 1, point: P1, bundle: B, tube: TUBE, pump_fitting: FITTING, point_fitting: FITTING, tail: [{body: axle, part: TIE}]}]
bundles: [{id: B, conduit: CONDUIT, route: [{body: chassis, part: TIE}]}]
zones: [{id: wheel, body: axle}]
feed: {fuse: FUSE, cable: CABLE, connectors: [{part: CONNECTOR}]}
parts_list: [{part: TUBE}]
`

const referenceParts = `
title: parts
parts:
  - {number: PUMP, kind: pump}
  - {number: ELEMENT, kind: element}
  - {number: TUBE, kind: tube}
  - {number: CONDUIT, kind: conduit}
  - {number: FITTING, kind: fitting}
  - {number: FUSE, kind: fuse}
  - {number: CABLE, kind: cable}
  - {number: CONNECTOR, kind: connector}
  - {number: GREASE, kind: grease}
  - {number: BOLT, kind: bolt}
  - {number: TIE, kind: tie}
`

// resolve reads the kit with a text replaced in it, and returns it with what
// leads nowhere.
func resolve(t *testing.T, old, new string) (*kit.Kit, []*source.Problem) {
	t.Helper()
	if !strings.Contains(referenceKit, old) {
		t.Fatalf("%q is not in the kit", old)
	}
	file, problems := kit.ReadFile(parse(t, "a/test.parts.yaml", referenceParts))
	catalogue, more := kit.NewCatalogue([]*kit.File{file}, "")
	k, unread := kit.Read(parse(t, "k", strings.Replace(referenceKit, old, new, 1)))
	for _, p := range slices.Concat(problems, more, unread) {
		t.Fatal(p)
	}
	return k, k.Resolve(catalogue)
}

func TestReferences(t *testing.T) {
	k, problems := resolve(t, "", "")
	for _, p := range problems {
		t.Error(p)
	}
	l := k.Lines[0]
	if l.Point.To != k.Points[0] || l.Bundle.To != k.Bundles[0] || l.Tail[0].Body.To != k.Bodies[1] || k.Joints[0].Child.To != k.Bodies[1] {
		t.Error("a reference within the kit leads somewhere else")
	}
	if l.Tube.To == nil || l.Tube.To.Number.V != "TUBE" || k.Pump.Part.To.Place() != "part PUMP" {
		t.Error("a reference to the catalogue leads somewhere else")
	}
	if to, found, why := l.Tube.Target(); to != l.Tube.To || !found || why != "" {
		t.Errorf("got %v, found %v, %q", to, found, why)
	}
}

// Where a reference leads nowhere, the reason names what is nearest, and is
// told at the place of the reference.
func TestReferenceProblems(t *testing.T) {
	tests := []struct{ old, new, want string }{
		{"tube: TUBE", "tube: TUBES", `no part "TUBES" in test.parts.yaml; nearest is "TUBE"`},
		{"tube: TUBE", "tube: XQ7", `no part "XQ7" in test.parts.yaml`},
		{"tube: TUBE", "tube: FUSE", `part "FUSE" is a fuse; a tube is needed here`},
		{"tube: TUBE", "tube: ELEMENT", `part "ELEMENT" is an element; a tube is needed here`},
		{"element: ELEMENT", "element: TIE", `part "TIE" is a tie; an element is needed here`},
		{"child: axle", "child: axel", `no body "axel" in this kit; nearest is "axle"`},
		{"id: wheel, body: axle", "id: wheel, body: moon", `no body "moon" in this kit`},
		{"parts_list: [{part: TUBE}]", "parts_list: [{part: TUBA}]", `no part "TUBA" in test.parts.yaml`},
		{"bolts: {part: BOLT}", "bolts: {part: BLOT}", `no part "BLOT" in test.parts.yaml; nearest is "BOLT"`},
	}
	for _, tt := range tests {
		_, problems := resolve(t, tt.old, tt.new)
		if len(problems) != 1 || problems[0].Message != tt.want || problems[0].Node == nil || problems[0].Pos.Line == 0 {
			t.Errorf("%s: got %v, want %s", tt.new, problems, tt.want)
		}
	}
	// A line's point and bundle are for the rules to report.
	k, problems := resolve(t, "point: P1, bundle: B", "point: P2, bundle: BB")
	if len(problems) > 0 || k.Lines[0].Point.Why != `no point "P2" in this kit; nearest is "P1"` || k.Lines[0].Bundle.To != nil {
		t.Errorf("got %v, %q", problems, k.Lines[0].Point.Why)
	}
	k, problems = resolve(t, "tube: TUBE, ", "")
	if len(problems) > 0 || k.Lines[0].Tube.Reason("the tube") != "the tube is not stated" {
		t.Errorf("not stated: got %v, %q", problems, k.Lines[0].Tube.Reason("the tube"))
	}
}

func TestNoCatalogue(t *testing.T) {
	k, _ := kit.Read(parse(t, "k", "feed: {fuse: FUSE}"))
	empty, _ := kit.NewCatalogue(nil, "")
	if problems := k.Resolve(empty); len(problems) != 1 || problems[0].Message != `no catalogue could be read, so part "FUSE" is not known` {
		t.Errorf("got %v", problems)
	}
}

func TestCatalogueProblems(t *testing.T) {
	for _, tt := range []struct{ text, want string }{
		{"[]", "c:1:1: this is not a parts catalogue; a catalogue has title, revision and parts"},
		{"title: x", "c:1:1: the catalogue has no list of parts; write parts: with an item for each"},
		{"parts: 5", "c:1:1: the catalogue has no list of parts"},
		{"parts: [{number: A, kind: fuse, rating: 5}]", `c:1:41: rating: "5" has no unit: a current takes A, mA`},
		{"parts: [{number: A, kind: grease, yield_halving: 25 degC}]", `c:1:50: yield_halving: "25 degC" is a temperature; a difference of temperatures is written in K`},
		{"parts: [{number: A, kind: tube, temperature: {from: x}}]", `c:1:53: from: "x" does not begin with a number`},
	} {
		_, problems := kit.ReadFile(parse(t, "c", tt.text))
		if len(problems) != 1 || !strings.HasPrefix(problems[0].Error(), tt.want) {
			t.Errorf("%s: got %v, want %s", tt.text, problems, tt.want)
		}
	}
	for _, text := range []string{"parts: [{number: A}]", "parts: [{number: A, kind: spoon}]", "parts: [5]", "parts: []"} {
		if _, problems := kit.ReadFile(parse(t, "c", text)); len(problems) > 0 {
			t.Errorf("%s: got %v; the schema reports it", text, problems)
		}
	}
}

// A number given twice is told at the second, with the place of the first,
// which is kept.
func TestPartNumberTwice(t *testing.T) {
	first, _ := kit.ReadFile(parse(t, "a.parts.yaml", "parts: [{number: A, kind: fuse}, {number: B, kind: tie}]"))
	second, _ := kit.ReadFile(parse(t, "b.parts.yaml", "parts: [{number: A, kind: tube}]"))
	c, problems := kit.NewCatalogue([]*kit.File{first, second}, "")
	if len(problems) != 1 || problems[0].Error() != `b.parts.yaml:1:18: part "A" is already at a.parts.yaml:1:9; give it a number of its own, or remove one of the two` {
		t.Errorf("got %v", problems)
	}
	if p := c.Part("A"); p == nil || p.Kind.V != "fuse" || c.Part("C") != nil {
		t.Errorf("got %v for part A", p)
	}
}

func TestIsCatalogue(t *testing.T) {
	for text, want := range map[string]bool{"parts: []": true, "header: {}\nparts: []": false, "points: []": false, "[]": false, "x": false} {
		if got := kit.IsCatalogue(parse(t, "c", text).Root); got != want {
			t.Errorf("%q: got %v, want %v", text, got, want)
		}
	}
	if kinds := kit.Kinds(); !slices.IsSorted(kinds) || len(kinds) != 17 {
		t.Errorf("got kinds %v", kinds)
	}
}
