package kit_test

import (
	"slices"
	"testing"

	"kitgauge/checker/kit"
	"kitgauge/checker/source"
	"kitgauge/checker/units"
)

// What the model says of places, along keys and lists, without a value.
func TestSite(t *testing.T) {
	docs, problems := source.Parse("k.kit.yaml", []byte(`
greased_before: []
vehicle: {greased_before: [{points: [P]}]}
joints: [{kind: prismatic, parent: a, range: {from: 1}}]
lines: [{number: 1, outlet: 1, point: P, tube: T, leaves_at: s, tail: [{body: b, part: X}]}]
parts_list: [{part: T}]
`))
	if len(problems) > 0 {
		t.Fatal(problems[0])
	}
	root := docs[0].Root
	for pointer, want := range map[string]kit.Target{
		"/vehicle/greased_before/0/points/0": {Thing: "point"},
		"/joints/0/parent":                   {Thing: "body"},
		"/lines/0/number":                    {},
		"/lines/0/outlet":                    {Thing: "outlet", Once: true},
		"/lines/0/point":                     {Thing: "point", Once: true},
		"/lines/0/tube":                      {Thing: "part", Kinds: []string{"tube"}},
		"/lines/0/leaves_at":                 {Thing: "station", In: "bundle"},
		"/lines/0/tail/0/part":               {Thing: "part", Kinds: []string{"clip", "grommet", "tie"}},
		"/parts_list/0/part":                 {Thing: "part", Once: true},
		"/greased_before":                    {}, // no member of the kit itself
	} {
		got := kit.KitSite().Of(root.Lookup(pointer)).Target()
		if got.Thing != want.Thing || !slices.Equal(got.Kinds, want.Kinds) || got.In != want.In || got.Once != want.Once {
			t.Errorf("%s: got %+v, want %+v", pointer, got, want)
		}
	}
	from := kit.KitSite().Of(root.Lookup("/joints/0/range/from"))
	for kind, want := range map[string]units.Dimension{"prismatic": units.Length, "revolute": units.Angle} {
		if got, known := from.Dimension(func(string) string { return kind }); !known || got != want {
			t.Errorf("the range of a %s joint is %v, want %v", kind, got, want)
		}
	}
}

// Where things are listed, what their names stand under, and by which keys
// they are named.
func TestSiteLists(t *testing.T) {
	root := kit.KitSite()
	for thing, want := range map[string]string{"body": "bodies", "line": "lines", "bundle": "bundles", "station": ""} {
		if got := root.ListOf(thing); got != want {
			t.Errorf("%s: listed under %q, want %q", thing, got, want)
		}
	}
	if got := root.Get("bundles").Item("").ListOf("station"); got != "route" {
		t.Errorf("the stations of a bundle are under %q", got)
	}
	if got, want := kit.KeysTo("body"), []string{"body", "child", "parent"}; !slices.Equal(got, want) {
		t.Errorf("a body is named under %v, want %v", got, want)
	}
	part := kit.CatalogueSite().Get("parts").Item("tube")
	if key, thing := part.NameKey(); key != "number" || thing != "part" || !part.Get("inner").HasDim {
		t.Errorf("a tube has its name under %q as %q", key, thing)
	}
}
