package facts

import (
	"fmt"
	"strings"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/environment"
	"kitgauge/checker/value"
)

// PumpEnvironment is what the designation of the grease in the pump says of
// cold, heat and water. A limit that the designation leaves open below or
// above the ambient range is not known.
type PumpEnvironment struct {
	GreaseLowest  value.Number `key:"grease_lowest" dim:"temperature"`
	GreaseHighest value.Number `key:"grease_highest" dim:"temperature"`
	GreaseWater   value.Text   `key:"grease_water"`
	GreaseStands  value.Flag   `key:"grease_stands_water"`
	GreaseGrade   value.Text   `key:"grease_grade"` // NLGI, by the designation
}

// PointEnvironment is whether the grease suits a point.
type PointEnvironment struct {
	GreaseHighest value.Number `key:"grease_highest" dim:"temperature"` // of the grease in the pump
	OtherGrease   value.Flag   `key:"other_grease"`                     // asks for another than the pump's
}

// KitEnvironment is what the kit says of the greases that were there before.
type KitEnvironment struct {
	Former       []*EarlierGrease
	UnknownCount value.Count `key:"unknown_grease"` // points that had a nipple, and no former grease stated
	UnknownWhere value.Text  `key:"unknown_grease_where"`
}

// EarlierGrease is a grease from greasing by hand, held against the one in
// the pump.
type EarlierGrease struct {
	*kit.FormerGrease
	Rated         value.Flag `key:"rated"` // a chart has the pair
	Mix           value.Text `key:"mix"`   // compatible, borderline or incompatible
	Basis         value.Text `key:"basis"`
	Where         value.Text `key:"where"`
	UnknownPoints []string   `key:"unknown_points"`
	place         string
}

// Place names the grease by its designation.
func (e *EarlierGrease) Place() string { return e.place }

// designation reads what the grease in the pump is designated as.
func designation(k *kit.Kit) value.Maybe[environment.Designation] {
	return value.Try(func(n *value.Need) (environment.Designation, error) { return designated(grease(n, k)).Of(n), nil })
}

// designated is the designation of a grease, taken apart.
func designated(g *kit.Grease) value.Maybe[environment.Designation] {
	return value.Try(func(n *value.Need) (environment.Designation, error) {
		return environment.Parse(n.Text("the designation of "+g.Place(), g.Designation))
	})
}

func pumpEnvironment(k *kit.Kit, d value.Maybe[environment.Designation]) PumpEnvironment {
	ambient := k.Vehicle.Ambient
	return PumpEnvironment{
		GreaseLowest: value.Compute(func(n *value.Need) (float64, error) {
			return reach(d.Of(n).Lowest, "lowest", ambient.From, -1)
		}),
		GreaseHighest: value.Compute(func(n *value.Need) (float64, error) {
			return reach(d.Of(n).Highest, "highest", ambient.To, +1)
		}),
		GreaseWater: value.Compute(func(n *value.Need) (string, error) { return waterWords[d.Of(n).Water], nil }),
		GreaseGrade: value.Compute(func(n *value.Need) (string, error) { return d.Of(n).NLGI, nil }),
		GreaseStands: value.Compute(func(n *value.Need) (bool, error) {
			return d.Of(n).Stands(n.Text("the wash-down of the vehicle", k.Vehicle.WashDown))
		}),
	}
}

func pointEnvironment(k *kit.Kit, p *kit.Point, d value.Maybe[environment.Designation]) PointEnvironment {
	return PointEnvironment{
		GreaseHighest: value.Compute(func(n *value.Need) (float64, error) {
			return reach(d.Of(n).Highest, "highest", p.Temperature, +1)
		}),
		OtherGrease: otherGrease(p.Grease, k.Pump.Grease),
	}
}

// waterWords say in a sentence how a grease behaves in water.
var waterWords = map[environment.Water]string{
	environment.WaterUnknown:   "says nothing of water",
	environment.Dry:            "is for dry places",
	environment.StaticHumidity: "is for damp air without washing",
	environment.Washing:        "stands washing",
	environment.Resistant:      "stands water",
	environment.NotResistant:   "does not stand water",
}

// reach is the limit as a number. A limit that lies beyond the figure of the
// designation is known only where the figure itself is enough: side is -1 for
// the lowest temperature, +1 for the highest.
func reach(l environment.Limit, which string, need value.Number, side float64) (float64, error) {
	switch {
	case !l.Known:
		return 0, fmt.Errorf("the designation does not state the %s temperature of the grease: take it from the data sheet", which)
	case l.Beyond && need.Known && side*(need.V-l.Temperature) > 0:
		return 0, fmt.Errorf("the designation does not say how far the %s temperature of the grease goes: take it from the data sheet", which)
	}
	return l.Temperature, nil
}

func otherGrease(asked, pump kit.Ref[kit.Grease]) value.Flag {
	switch {
	case asked.ID.Node == nil:
		return value.Known(false)
	case !asked.ID.Known || !pump.ID.Known:
		return value.Unknown[bool](pump.Reason("the grease of the pump"))
	}
	return value.Known(asked.ID.V != pump.ID.V)
}

// formerGreases holds each grease of before against the one in the pump, and
// lists the points of which nobody knows what was in them: those that had a
// nipple, and that no former grease names.
func formerGreases(k *kit.Kit) KitEnvironment {
	var e KitEnvironment
	ids, told := map[string]bool{}, map[string]bool{}
	for _, p := range k.Points {
		ids[p.ID.V] = p.ID.Known
	}
	everywhere := false
	for i, g := range k.Vehicle.GreasedBefore {
		former := &EarlierGrease{FormerGrease: g, Where: value.Known("every point"), place: formerName(g, i)}
		var names []string
		for _, p := range g.Points {
			told[p.V] = true
			names = append(names, p.V)
			if !ids[p.V] {
				former.UnknownPoints = append(former.UnknownPoints, p.V)
			}
		}
		if len(names) > 0 {
			former.Where = value.Known(pointList(names))
		}
		everywhere = everywhere || len(names) == 0
		former.mix(k)
		e.Former = append(e.Former, former)
	}
	e.unknownGrease(k.Points, func(p *kit.Point) bool { return everywhere || told[p.ID.V] })
	return e
}

// unknownGrease lists the points that had a nipple and no grease told.
func (e *KitEnvironment) unknownGrease(points []*kit.Point, told func(*kit.Point) bool) {
	nipples := 0
	var names []string
	for _, p := range points {
		if !p.NippleRemoved.V {
			continue
		}
		nipples++
		if !told(p) {
			names = append(names, p.ID.Or("?"))
		}
	}
	const most = 8 // names in a message
	where := pointList(names)
	switch {
	case nipples > 1 && len(names) == nipples:
		where = fmt.Sprintf("any of the %d points that had a nipple", nipples)
	case len(names) > most+1:
		where = fmt.Sprintf("%s and %d more", pointList(names[:most]), len(names)-most)
	}
	e.UnknownCount, e.UnknownWhere = value.Known(int64(len(names))), value.Known(where)
}

// pointList names points in a sentence.
func pointList(ids []string) string {
	if len(ids) == 1 {
		return "point " + ids[0]
	}
	return "points " + strings.Join(ids, ", ")
}

func formerName(g *kit.FormerGrease, i int) string {
	return "former grease " + g.Designation.Or(g.Thickener.Or(fmt.Sprint(i+1)))
}

// mix looks the two thickeners up in the charts.
func (e *EarlierGrease) mix(k *kit.Kit) {
	value.Fill(func(n *value.Need) error {
		before := n.Text("the thickener of "+e.place, e.Thickener)
		g := grease(n, k)
		v, err := environment.Compatible(before, n.Text("the thickener of "+g.Place(), g.Thickener))
		e.Mix, e.Basis = value.Known(string(v.Mix)), value.Known(v.Basis)
		return err
	}, &e.Mix, &e.Basis)
	e.Rated = value.Known(e.Mix.Known)
}
