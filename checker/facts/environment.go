package facts

import (
	"fmt"
	"strings"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/environment"
	"kitgauge/checker/source"
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

// Source is the grease's place in the file.
func (e *EarlierGrease) Source() *source.Node { return e.Node }

// environment holds grease and parts against climate and wash-down.
func (f *Kit) environment() {
	f.greaseLimits()
	f.formerGreases()
	f.partsInUse()
}

// greaseLimits reads the designation of the grease in the pump.
func (f *Kit) greaseLimits() {
	p := &f.Pump
	d, why := f.designation()
	ambient := f.Kit.Vehicle.Ambient
	p.GreaseLowest = reach(d.Lowest, why, "lowest", ambient.From, -1)
	p.GreaseHighest = reach(d.Highest, why, "highest", ambient.To, +1)
	for _, point := range f.Points {
		point.GreaseHighest = reach(d.Highest, why, "highest", point.Temperature, +1)
		point.OtherGrease = f.otherGrease(point.Point)
	}
	p.GreaseWater, p.GreaseGrade = value.Unknown[string](why), value.Unknown[string](why)
	if why == "" {
		p.GreaseWater, p.GreaseGrade = value.Known(waterWords[d.Water]), value.Known(d.NLGI)
	}
	p.GreaseStands = f.stands(d, why)
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

func (f *Kit) designation() (environment.Designation, string) {
	var need value.Need
	grease := f.Kit.Pump.Grease.To
	if grease == nil {
		return environment.Designation{}, f.Kit.Pump.Grease.Reason("the grease of the pump")
	}
	text := need.Text("the designation of "+grease.Place(), grease.Designation)
	if need.Missing() {
		return environment.Designation{}, need.Why()
	}
	d, err := environment.Parse(text)
	if err != nil {
		return d, err.Error()
	}
	return d, ""
}

// reach is the limit as a number. A limit that lies beyond the figure of the
// designation is known only where the figure itself is enough: side is -1 for
// the lowest temperature, +1 for the highest.
func reach(l environment.Limit, why, which string, need value.Number, side float64) value.Number {
	switch {
	case why != "":
		return value.Number{Why: why}
	case !l.Known:
		return value.Number{Why: "the designation does not state the " + which + " temperature of the grease: take it from the data sheet"}
	case l.Beyond && need.Known && side*(need.V-l.Temperature) > 0:
		return value.Number{Why: "the designation does not say how far the " + which + " temperature of the grease goes: take it from the data sheet"}
	}
	return value.Known(l.Temperature)
}

func (f *Kit) stands(d environment.Designation, why string) value.Flag {
	var need value.Need
	if why != "" {
		need.Lack(why)
	}
	class := need.Text("the wash-down of the vehicle", f.Kit.Vehicle.WashDown)
	if need.Missing() {
		return value.Unknown[bool](need.Why())
	}
	ok, err := d.Stands(class)
	if err != nil {
		return value.Unknown[bool](err.Error())
	}
	return value.Known(ok)
}

func (f *Kit) otherGrease(p *kit.Point) value.Flag {
	pump := f.Kit.Pump.Grease
	switch {
	case p.Grease.ID.Node == nil:
		return value.Known(false)
	case !p.Grease.ID.Known || !pump.ID.Known:
		return value.Unknown[bool](pump.Reason("the grease of the pump"))
	}
	return value.Known(p.Grease.ID.V != pump.ID.V)
}

// formerGreases holds each grease of before against the one in the pump, and
// lists the points of which nobody knows what was in them: those that had a
// nipple, and that no former grease names.
func (f *Kit) formerGreases() {
	ids, told := map[string]bool{}, map[string]bool{}
	for _, p := range f.Points {
		ids[p.ID.V] = p.ID.Known
	}
	everywhere := false
	for i, g := range f.Kit.Vehicle.GreasedBefore {
		e := &EarlierGrease{FormerGrease: g, Where: value.Known("every point"), place: formerName(g, i)}
		var names []string
		for _, p := range g.Points {
			told[p.V] = true
			names = append(names, p.V)
			if !ids[p.V] {
				e.UnknownPoints = append(e.UnknownPoints, p.V)
			}
		}
		if len(names) > 0 {
			e.Where = value.Known(pointList(names))
		}
		everywhere = everywhere || len(names) == 0
		f.mix(e)
		f.Former = append(f.Former, e)
	}
	f.unknownGrease(func(p *Point) bool { return everywhere || told[p.ID.V] })
}

// unknownGrease lists the points that had a nipple and no grease told.
func (f *Kit) unknownGrease(told func(*Point) bool) {
	nipples := 0
	var names []string
	for _, p := range f.Points {
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
	f.UnknownCount, f.UnknownWhere = value.Known(int64(len(names))), value.Known(where)
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
func (f *Kit) mix(e *EarlierGrease) {
	var need value.Need
	before := need.Text("the thickener of "+e.place, e.Thickener)
	now := ""
	if grease := f.Kit.Pump.Grease.To; grease != nil {
		now = need.Text("the thickener of "+grease.Place(), grease.Thickener)
	} else {
		need.Lack(f.Kit.Pump.Grease.Reason("the grease of the pump"))
	}
	if !need.Missing() {
		v, err := environment.Compatible(before, now)
		if err == nil {
			e.Rated, e.Mix, e.Basis = value.Known(true), value.Known(string(v.Mix)), value.Known(v.Basis)
			return
		}
		need.Lack(err.Error())
	}
	e.Rated = value.Known(false)
	e.Mix, e.Basis = value.Unknown[string](need.Why()), value.Unknown[string](need.Why())
}
