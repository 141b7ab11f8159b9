package facts

import (
	"cmp"
	"slices"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/environment"
	"kitgauge/checker/quantities/survey"
	"kitgauge/checker/value"
)

// Stock is what the catalogues of a kit list, for remedies that name a part:
// each list goes from the smallest to the largest, so that the first that fits
// is the one to take. What the air of this vehicle is too cold or too warm for
// is left out, and of the kinds of which a kit has one, the part in use.
type Stock struct {
	Pumps    []*StockPump    `key:"pumps"`    // by outlets, then by reservoir
	Elements []*kit.Element  `key:"elements"` // by stroke volume
	Tubes    []*StockTube    `key:"tubes"`    // by bore, then by pressure
	Conduits []*StockConduit `key:"conduits"` // by inner diameter
	Fittings []*kit.Fitting  `key:"fittings"` // by angle
	Fuses    []*kit.Fuse     `key:"fuses"`    // by rating
	Cables   []*kit.Cable    `key:"cables"`   // by area
	Greases  []*StockGrease  `key:"greases"`
	Bolts    []*kit.Bolt     `key:"bolts"`
	Ties     []*kit.Tie      `key:"ties"`
}

// StockPump is a pump of the catalogues.
type StockPump struct {
	*kit.Pump
	Sealed value.Flag `key:"sealed"` // for the wash-down of the vehicle
}

// StockTube is a tube of the catalogues.
type StockTube struct {
	*kit.Tube
	Rigid value.Flag `key:"rigid"` // of metal, and no hose
}

// StockConduit is a conduit of the catalogues.
type StockConduit struct {
	*kit.Conduit
	Bends value.Number `key:"bends" dim:"length"` // the least radius of its middle
}

// StockGrease is a grease of the catalogues, with what its designation says.
type StockGrease struct {
	*kit.Grease
	Lowest  value.Number `key:"lowest" dim:"temperature"`
	Highest value.Number `key:"highest" dim:"temperature"`
	Stands  value.Flag   `key:"stands_water"` // as the vehicle is washed
	Pumped  value.Flag   `key:"pumped"`       // its grade is one of those of the kit's pump
}

// stock sorts what the catalogues list.
func stock(k *kit.Kit) Stock {
	return Stock{
		Pumps:    stockPumps(k),
		Elements: stocked(k, "element", func(a, b *kit.Element) int { return size(a.StrokeVolume, b.StrokeVolume) }),
		Tubes:    stockTubes(k),
		Conduits: stockConduits(k),
		Fittings: stocked(k, "fitting", func(a, b *kit.Fitting) int { return size(a.Angle, b.Angle) }),
		Fuses:    stocked(k, "fuse", func(a, b *kit.Fuse) int { return size(a.Rating, b.Rating) }),
		Cables:   stockCables(k),
		Greases:  stockGreases(k),
		Bolts:    stocked[kit.Bolt](k, "bolt", nil),
		Ties:     stocked[kit.Tie](k, "tie", nil),
	}
}

func stockPumps(k *kit.Kit) []*StockPump {
	var list []*StockPump
	for _, p := range besides(k.Pump.Part.To, stocked(k, "pump", func(a, b *kit.Pump) int {
		return cmp.Or(cmp.Compare(a.Outlets.V, b.Outlets.V), size(a.Reservoir, b.Reservoir))
	})) {
		list = append(list, &StockPump{p, value.Compute(func(n *value.Need) (bool, error) {
			needs, err := environment.IngressFor(n.Text("the wash-down of the vehicle", k.Vehicle.WashDown))
			if err != nil {
				return false, err
			}
			return environment.IngressCovers(n.Text("the enclosure of "+p.Place(), p.Enclosure), needs)
		})})
	}
	return list
}

func stockCables(k *kit.Kit) []*kit.Cable {
	return besides(k.Feed.Cable.To, stocked(k, "cable", func(a, b *kit.Cable) int { return size(a.Area, b.Area) }))
}

func stockTubes(k *kit.Kit) []*StockTube {
	var out []*StockTube
	for _, t := range stocked(k, "tube", func(a, b *kit.Tube) int {
		return cmp.Or(size(a.Inner, b.Inner), size(a.Pressure, b.Pressure))
	}) {
		out = append(out, &StockTube{t, value.Known(survey.Rigid(t.Material.V))})
	}
	return out
}

func stockConduits(k *kit.Kit) []*StockConduit {
	var list []*StockConduit
	for _, c := range stocked(k, "conduit", func(a, b *kit.Conduit) int { return size(a.Inner, b.Inner) }) {
		list = append(list, &StockConduit{c, value.Compute(func(n *value.Need) (float64, error) { return conduitBend(n, c), nil })})
	}
	return list
}

func stockGreases(k *kit.Kit) []*StockGrease {
	var list []*StockGrease
	for _, g := range besides(k.Pump.Grease.To, stocked[kit.Grease](k, "grease", nil)) {
		d, ambient := designated(g), k.Vehicle.Ambient
		list = append(list, &StockGrease{
			Grease:  g,
			Lowest:  value.Compute(func(n *value.Need) (float64, error) { return reach(d.Of(n).Lowest, "lowest", ambient.From, -1) }),
			Highest: value.Compute(func(n *value.Need) (float64, error) { return reach(d.Of(n).Highest, "highest", ambient.To, +1) }),
			Stands: value.Compute(func(n *value.Need) (bool, error) {
				return d.Of(n).Stands(n.Text("the wash-down of the vehicle", k.Vehicle.WashDown))
			}),
			Pumped: value.Compute(func(n *value.Need) (bool, error) {
				return gradeFault(n, k, g) == "", nil
			}),
		})
	}
	return list
}

func size(a, b value.Number) int { return cmp.Compare(a.V, b.V) }

// besides leaves a part out of a list.
func besides[T any](used *T, list []*T) []*T {
	return slices.DeleteFunc(list, func(p *T) bool { return p == used })
}

// stocked lists the parts of one kind that stand the coldest and the warmest
// air of the vehicle, as far as their kind has a range.
func stocked[T any](k *kit.Kit, kind string, order func(a, b *T) int) []*T {
	return slices.DeleteFunc(listed(k, kind, order), func(p *T) bool {
		r, has := madeFor(p)
		return has && !stands(r.From, r.To, k.Vehicle.Ambient.From, k.Vehicle.Ambient.To)
	})
}

// stands reports whether a range that is stated reaches from the coldest to the
// warmest, as far as they are known.
func stands(from, to, coldest, warmest value.Number) bool {
	return (!coldest.Known || from.Known && from.V <= coldest.V) && (!warmest.Known || to.Known && to.V >= warmest.V)
}

// listed lists the parts of one kind, as the catalogues do where no order is
// given.
func listed[T any](k *kit.Kit, kind string, order func(a, b *T) int) []*T {
	if k.Parts == nil {
		return nil
	}
	var list []*T
	for _, e := range k.Parts.OfKind(kind) {
		if p, is := e.(*T); is {
			list = append(list, p)
		}
	}
	if order != nil {
		slices.SortStableFunc(list, order)
	}
	return list
}
