package faultsheet

import (
	"encoding/json"
	"math"
	"testing"

	"kitgauge/checker/facts"
	"kitgauge/checker/kit"
	"kitgauge/checker/source"
	"kitgauge/checker/value"
)

// TestMirroredDistances: a reflection keeps every distance, so the kit of the
// mirror-image vehicle has those of the kit, to 0.1 mm.
func TestMirroredDistances(t *testing.T) {
	p := newPlayer(t)
	file, _ := kit.ReadFile(&source.Document{Root: p.catalogue})
	compute := func(v any) *facts.Kit {
		text, err := json.Marshal(v)
		if err != nil {
			t.Fatal(err)
		}
		docs, problems := source.Parse("kit", text)
		if len(problems) > 0 {
			t.Fatal(problems[0])
		}
		catalogue, _ := kit.NewCatalogue([]*kit.File{file}, "")
		k, _ := kit.Read(docs[0])
		k.Resolve(catalogue)
		limit := func(string) value.Number { return value.Known(0.1) }
		return facts.Compute(k, facts.Options{Limit: limit})
	}
	for _, name := range []string{"gritter", "loader", "trailer"} {
		var plain, turned any
		for _, v := range []*any{&plain, &turned} {
			if err := json.Unmarshal(p.kits[name].Root.JSON(), v); err != nil {
				t.Fatal(err)
			}
		}
		a, b := compute(plain), compute(mirror(turned))
		if len(a.Approaches) != len(b.Approaches) || len(a.Spans) != len(b.Spans) || len(a.Spans) == 0 {
			t.Fatalf("%s: %d approaches and %d spans, mirrored %d and %d", name, len(a.Approaches), len(a.Spans), len(b.Approaches), len(b.Spans))
		}
		alike := func(place, what string, x, y value.Number, within float64) {
			if x.Known != y.Known || math.Abs(x.V-y.V) > within {
				t.Errorf("%s: %s: %s is %v, mirrored %v", name, place, what, x, y)
			}
		}
		for i, x := range a.Approaches {
			alike(x.Place(), "the distance", x.Distance, b.Approaches[i].Distance, 1e-4)
		}
		for i, x := range a.Spans {
			y := b.Spans[i]
			alike(x.Place(), "the radius", x.LoopRadius, y.LoopRadius, 1e-4)
			alike(x.Place(), "the sag", x.LoopSag, y.LoopSag, 1e-4)
			alike(x.Place(), "the height", x.Lowest, y.Lowest, 1e-4)
			alike(x.Place(), "the distance from the pump", x.PumpGap, y.PumpGap, 1e-4)
			alike(x.Place(), "the distance from a bundle", x.BundleGap, y.BundleGap, 1e-4)
		}
	}
}
