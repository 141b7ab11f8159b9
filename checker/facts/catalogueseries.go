package facts

import (
	"cmp"
	"math"
	"reflect"
	"slices"
	"strings"
	"unicode"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/catalogue"
	"kitgauge/checker/source"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// EntryFigure is a number of a catalogue entry beside those of its series: the
// entries of its kind and maker whose numbers begin with the same letters.
type EntryFigure struct {
	Name      value.Text `key:"name"`  // the member: "line limit"
	Value     value.Text `key:"value"` // with its unit
	Usual     value.Text `key:"usual"` // what the series has: "12 m", "6 kg to 14 kg"
	Likely    value.Text `key:"likely"`
	Slip      value.Text `key:"slip"` // how the two are apart, "" where no slip of the pen explains it
	Stray     value.Flag `key:"stray"`
	Order     value.Text `key:"order"`    // the part of another size against which it is in the wrong order
	OrderIs   value.Text `key:"order_is"` // its size and this figure: "1.5 mm2 and 16 A"
	OrderTo   value.Text `key:"order_to"` // the least, or the most, that puts it in order
	OrderLess value.Flag `key:"order_at_most"`
	Size      value.Text `key:"size"` // of its own part: "area 2.5 mm2"
	FigureRange
	part *kit.Part
	node *source.Node
}

// FigureRange is a number beside what parts of its kind have, whatever their
// series: the limits of the pack by its key.
type FigureRange struct {
	Key     value.Text   `key:"key"`    // kind and member: "tube_outer"
	Usually value.Text   `key:"limits"` // what parts of its kind have: "2 mm to 25 mm"
	Meant   value.Text   `key:"meant"`  // what it is with the decimal point put right, or ""
	Length  value.Number `key:"length" dim:"length"`
	Area    value.Number `key:"area" dim:"area"`
	Volume  value.Number `key:"volume" dim:"volume"`
	Press   value.Number `key:"pressure" dim:"pressure"`
	Time    value.Number `key:"time" dim:"time"`
	Angle   value.Number `key:"angle" dim:"angle"`
	Voltage value.Number `key:"voltage" dim:"voltage"`
	Current value.Number `key:"current" dim:"current"`
	Ohm     value.Number `key:"resistance" dim:"resistance"`
	Warmth  value.Number `key:"warmth" dim:"temperature"`
	Density value.Number `key:"density" dim:"density"`
	Thick   value.Number `key:"viscosity" dim:"kinematic_viscosity"`
	Ratio   value.Number `key:"ratio" dim:"plain_number"`
}

// rangeOf puts a number where the rule of its dimension finds it.
func rangeOf(k *kit.Kit, x figure, kind string, o *Options) FigureRange {
	r := FigureRange{Key: value.Known(kind + "_" + strings.ReplaceAll(x.name, " ", "_")), Usually: value.Known(""), Meant: value.Known("")}
	name := ""
	for _, of := range []struct {
		name string
		dim  units.Dimension
		to   *value.Number
	}{
		{"length", units.Length, &r.Length}, {"area", units.Area, &r.Area}, {"volume", units.Volume, &r.Volume},
		{"pressure", units.Pressure, &r.Press}, {"time", units.Time, &r.Time}, {"angle", units.Angle, &r.Angle},
		{"voltage", units.Voltage, &r.Voltage}, {"current", units.Current, &r.Current}, {"resistance", units.Resistance, &r.Ohm}, {"warmth", units.Temperature, &r.Warmth},
		{"density", units.Density, &r.Density}, {"viscosity", units.KinematicViscosity, &r.Thick}, {"ratio", units.Plain, &r.Ratio},
	} {
		if of.dim == x.dim {
			*of.to, name = x.cell, of.name
		}
	}
	least, most := o.limit("catalogue/least_"+name+"."+r.Key.V), o.limit("catalogue/most_"+name+"."+r.Key.V)
	if !least.Known || !most.Known {
		return r
	}
	r.Usually.V = likeWritten(least.V, x, k.Family()) + " to " + likeWritten(most.V, x, k.Family())
	if meant, sure := catalogue.Into(x.cell.V, least.V, most.V); sure && x.dim != units.Temperature {
		r.Meant.V = likeWritten(meant, x, k.Family())
	}
	return r
}

// Place names the part.
func (x *EntryFigure) Place() string { return partName(x.part) }

// Source is the figure's place in the catalogue.
func (x *EntryFigure) Source() *source.Node { return x.node }

// figure is a number of an entry with its member and dimension.
type figure struct {
	name string // the keys to it, with spaces: "temperature from"
	dim  units.Dimension
	cell value.Number
}

// figures lists the numbers of a struct of the catalogue, those of its ranges
// included.
func figures(entry any) []figure { return figuresIn(reflect.ValueOf(entry).Elem(), "", "") }

func figuresIn(v reflect.Value, prefix, dim string) []figure {
	var out []figure
	for i := range v.NumField() {
		f := v.Type().Field(i)
		named := f.Tag.Get("dim")
		if named == "inherit" {
			named = dim
		}
		name := strings.ReplaceAll(f.Tag.Get("key"), "_", " ")
		switch {
		case f.Type == numberType:
			d, ok := units.Named(named)
			if named == "temperature_difference" {
				d, ok = units.Temperature, false // its unit is written otherwise; judged by its band
			}
			if ok {
				out = append(out, figure{strings.TrimSpace(prefix + " " + name), d, v.Field(i).Interface().(value.Number)})
			}
		case f.Type == reflect.TypeFor[kit.Range]():
			out = append(out, figuresIn(v.Field(i), name, named)...)
		}
	}
	return out
}

// series is what entries are compared within.
func series(entry any) string {
	p := kit.Common(entry)
	key := p.Maker.V + "\x00" + letters(p.Number.V)
	switch e := entry.(type) {
	case *kit.Grease:
		key += "\x00" + e.Grade.V
	case *kit.Tube:
		key += "\x00" + e.Material.V
	}
	return key
}

// letters is what stands before the first digit of a number.
func letters(number string) string {
	if i := strings.IndexFunc(number, unicode.IsDigit); i >= 0 {
		return number[:i]
	}
	return number
}

// figuresOf holds the numbers of an entry against those of its series.
func figuresOf(k *kit.Kit, entry any, o *Options) []*EntryFigure {
	part, key := kit.Common(entry), series(entry)
	peers := map[string][]value.Number{}
	for _, other := range k.Parts.OfKind(part.Kind.V) {
		if other == entry || series(other) != key {
			continue
		}
		for _, x := range figures(other) {
			if x.cell.Known {
				peers[x.name] = append(peers[x.name], x.cell)
			}
		}
	}
	var out []*EntryFigure
	for _, x := range figures(entry) {
		if !x.cell.Known {
			continue
		}
		e := beside(k, x, peers[x.name], part)
		e.FigureRange = rangeOf(k, x, part.Kind.V, o)
		if !e.Stray.V {
			inOrder(k, e, x, entry, o)
		}
		out = append(out, e)
	}
	return out
}

// beside judges one number by its peers, of which there have to be two.
func beside(k *kit.Kit, x figure, peers []value.Number, part *kit.Part) *EntryFigure {
	out := &EntryFigure{
		Name: value.Known(x.name), Value: value.Known(written(x.cell)), Usual: value.Known(""),
		Likely: value.Known(""), Slip: value.Known(""), Stray: value.Known(false), part: part, node: x.cell.Node,
	}
	if len(peers) < 2 {
		return out
	}
	slices.SortStableFunc(peers, func(a, b value.Number) int { return cmp.Compare(a.V, b.V) })
	low, high := peers[0], peers[len(peers)-1]
	if common, agree := agreed(peers); agree && !slices.Contains(sized, x.name) {
		low, high = common, common
	}
	out.Usual = value.Known(written(low))
	if low.V != high.V {
		out.Usual.V += " to " + written(high)
	}
	says, likely := catalogue.Figure{
		Value: x.cell.V, Dimension: x.dim.String(), Sized: slices.Contains(sized, x.name), Low: low.V, High: high.V, Count: len(peers),
	}.Slip()
	if says == "" {
		return out
	}
	out.Slip, out.Stray = value.Known(says), value.Known(true)
	out.Likely = out.Usual
	if low.V != high.V {
		out.Likely = value.Known(likeWritten(likely, x, k.Family()))
	}
	return out
}

// agreed returns the value that three quarters of the sorted peers, and two at
// least, have alike.
func agreed(peers []value.Number) (common value.Number, agree bool) {
	common = peers[len(peers)/2]
	n := 0
	for _, p := range peers {
		if catalogue.Near(p.V, common.V, catalogue.Alike) {
			n++
		}
	}
	return common, n >= 2 && 4*n >= 3*len(peers)
}

// sized are the figures that grow with the size of the part: that the others
// agree says little of them.
var sized = []string{"reservoir", "mass", "draw", "stroke volume", "outer", "inner", "tube outer", "bend radius", "area", "rating"}

// ordered are the figures that go up, or down, with the size of a part of one
// make. Common practice, no source.
var ordered = []struct {
	kind, size, figure string
	falls              bool
	alike              []string // figures that have to be the same before the two are compared
}{
	{"cable", "area", "rating", false, []string{"rated at", "insulation limit"}},
	{"conduit", "inner", "bend radius", false, nil},
	{"tube", "outer", "bend radius", false, nil},
	{"fuse", "rating", "resistance", true, nil},
}

// inOrder holds a figure against the parts of its make in other sizes: those
// of its series with the same words in their descriptions. Of a pair in the
// wrong order that one is named which goes less with the others.
func inOrder(k *kit.Kit, e *EntryFigure, x figure, entry any, options *Options) {
	own := figures(entry)
	belied := slices.ContainsFunc(mentionsOf(k, entry), func(m *Mention) bool { return !m.Agrees.V })
	if belied || hollowWrong(own) || bendOff(own, kit.Common(entry).Kind.V, options) {
		return // another rule says so
	}
	for _, o := range ordered {
		if o.kind != kit.Common(entry).Kind.V || o.figure != x.name {
			continue
		}
		size := own[indexFigure(own, o.size)]
		var all []sizedFigure
		for _, other := range k.Parts.OfKind(o.kind) {
			of := figures(other)
			if other != entry && series(other) == series(entry) && wordsOnly(other) == wordsOnly(entry) && same(own, of, o.alike) {
				all = append(all, sizedFigure{kit.Common(other).Number.V, of[indexFigure(of, o.size)].cell, of[indexFigure(of, o.figure)].cell, o.falls})
			}
		}
		self := sizedFigure{kit.Common(entry).Number.V, size.cell, x.cell, o.falls}
		if worst, wrong := self.disorder(all); wrong {
			e.Order, e.Size = value.Known(worst.number), value.Known(o.size+" "+written(size.cell))
			e.OrderIs = value.Known(written(worst.size) + " and " + written(worst.figure))
			e.OrderTo = value.Known(likeWritten(worst.figure.V, x, k.Family()))
			e.OrderLess = value.Known((size.cell.V > worst.size.V) == o.falls)
		}
	}
}

// bendOff reports whether a bend radius does not go with the diameter, which
// rules of their own say.
func bendOff(own []figure, kind string, o *Options) bool {
	bend, outer := indexFigure(own, "bend radius"), indexFigure(own, "outer")
	if bend < 0 || outer < 0 || !own[bend].cell.Known || !own[outer].cell.Known {
		return false
	}
	least, most := o.limit("catalogue/"+kind+"_bend_least"), o.limit("catalogue/"+kind+"_bend_most")
	times := own[bend].cell.V / own[outer].cell.V
	return least.Known && times < least.V || most.Known && times > most.V
}

// wordsOnly is a description and a number without their digits: what parts of
// one make have alike, whatever their size.
func wordsOnly(entry any) string {
	p := kit.Common(entry)
	return strings.Join(strings.FieldsFunc(p.Description.V+" / "+p.Number.V, func(r rune) bool { return !unicode.IsLetter(r) }), " ")
}

// same reports whether two entries agree in figures, or neither states them.
func same(a, b []figure, names []string) bool {
	for _, n := range names {
		x, y := a[indexFigure(a, n)].cell, b[indexFigure(b, n)].cell
		if x.Known != y.Known || x.V != y.V {
			return false
		}
	}
	return true
}

// sizedFigure is a part with its size and a figure that follows it.
type sizedFigure struct {
	number       string
	size, figure value.Number
	falls        bool
}

func (f sizedFigure) known() bool {
	return f.size.Known && f.figure.Known && f.size.V > 0 && f.figure.V > 0
}

// against reports whether two are in the wrong order.
func (f sizedFigure) against(o sizedFigure) bool {
	small, large := f, o
	if f.size.V > o.size.V {
		small, large = o, f
	}
	if small.size.V == large.size.V {
		return false
	}
	if f.falls {
		return large.figure.V > small.figure.V
	}
	return large.figure.V < small.figure.V
}

// share is what a figure has for its size, which is much the same in a series.
func (f sizedFigure) share() float64 {
	if f.falls {
		return math.Log(f.figure.V * f.size.V)
	}
	return math.Log(f.figure.V / f.size.V)
}

// disorder finds the part that is most against this one, where it is rather
// this one that is wrong.
func (f sizedFigure) disorder(others []sizedFigure) (worst sizedFigure, wrong bool) {
	if !f.known() {
		return worst, false
	}
	for _, o := range others {
		if !o.known() || !f.against(o) || f.doubt(others, o) < o.doubt(append(slices.Clone(others), f), f) {
			continue
		}
		if f.doubt(others, o) == o.doubt(append(slices.Clone(others), f), f) && f.size.V < o.size.V {
			continue // of two that nothing tells apart, the larger
		}
		if !wrong || math.Abs(o.figure.V-f.figure.V) > math.Abs(worst.figure.V-f.figure.V) {
			worst, wrong = o, true
		}
	}
	return worst, wrong
}

// doubt is how far the share of a part is from the middle one of the others of
// its make, the one it is compared with left out.
func (f sizedFigure) doubt(others []sizedFigure, but sizedFigure) float64 {
	var shares []float64
	for _, o := range others {
		if o.known() && o.number != f.number && o.number != but.number {
			shares = append(shares, o.share())
		}
	}
	if len(shares) == 0 {
		return 0
	}
	slices.Sort(shares)
	middle := (shares[(len(shares)-1)/2] + shares[len(shares)/2]) / 2
	return math.Abs(f.share() - middle)
}
