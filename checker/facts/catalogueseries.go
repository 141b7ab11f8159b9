package facts

import (
	"cmp"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"unicode"

	"kitgauge/checker/kit"
	"kitgauge/checker/source"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// EntryFigure is a number of a catalogue entry beside those of its series: the
// entries of its kind and maker whose numbers begin with the same letters.
type EntryFigure struct {
	Name   value.Text  `key:"name"`  // the member: "line limit"
	Value  value.Text  `key:"value"` // with its unit
	Usual  value.Text  `key:"usual"` // what the series has: "12 m", "6 kg to 14 kg"
	Likely value.Text  `key:"likely"`
	Slip   value.Text  `key:"slip"` // how the two are apart, "" where no slip of the pen explains it
	Stray  value.Flag  `key:"stray"`
	Peers  value.Count `key:"peers"`
	part   *kit.Part
	node   *source.Node
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
func figuresOf(k *kit.Kit, entry any) []*EntryFigure {
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
		if others := peers[x.name]; x.cell.Known && len(others) > 1 {
			out = append(out, beside(k, x, others, part))
		}
	}
	return out
}

// beside judges one number by its peers.
func beside(k *kit.Kit, x figure, peers []value.Number, part *kit.Part) *EntryFigure {
	slices.SortStableFunc(peers, func(a, b value.Number) int { return cmp.Compare(a.V, b.V) })
	low, high := peers[0], peers[len(peers)-1]
	out := &EntryFigure{
		Name: value.Known(x.name), Value: value.Known(written(x.cell)), Peers: value.Known(int64(len(peers))),
		Likely: value.Known(""), Slip: value.Known(""), Stray: value.Known(false), part: part, node: x.cell.Node,
	}
	if common, agree := agreed(peers); agree && !slices.Contains(sized, x.name) {
		low, high = common, common
	}
	out.Usual = value.Known(written(low))
	if low.V != high.V {
		out.Usual.V += " to " + written(high)
	}
	says, likely := slipOf(x, low.V, high.V, len(peers))
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
// least, have to within 2 %.
func agreed(peers []value.Number) (common value.Number, agree bool) {
	common = peers[len(peers)/2]
	n := 0
	for _, p := range peers {
		if math.Abs(p.V-common.V) <= 0.02*math.Abs(common.V) {
			n++
		}
	}
	return common, n >= 2 && 4*n >= 3*len(peers)
}

// sized are the figures that grow with the size of the part: that the others
// agree says little of them.
var sized = []string{"reservoir", "mass", "draw", "stroke volume", "outer", "inner", "tube outer", "bend radius", "area", "rating"}

// slip is a factor by which people mistake a figure.
type slip struct {
	factor float64
	says   string // of a figure that is too great by it; %s stands for "great" or "small"
	flat   bool   // tells only where the others of the series agree
}

// slips by dimension; those of the decimal point hold for all.
var (
	decimal = []slip{{10, "ten times too %s", false}, {100, "a hundred times too %s", false}, {1000, "a thousand times too %s", false}}
	slips   = map[units.Dimension][]slip{
		units.Length:   {{25.4, "too %s by the 25.4 between mm and in", false}, {304.8, "too %s by the 304.8 between mm and ft", true}, {1 / 0.3048, "too %s by the 3.28 between m and ft", true}, {1e6, "a million times too %s", true}},
		units.Area:     {{645.16, "too %s by the 645 between mm2 and in2", true}},
		units.Volume:   {{16.387, "too %s by the 16.4 between cm3 and in3", true}, {3.785, "too %s by the 3.8 between l and gal", true}, {29.57, "too %s by the 29.6 between cm3 and fl oz", true}},
		units.Pressure: {{14.504, "too %s by the 14.5 between bar and psi", true}, {6.895, "too %s by the 6.9 between kPa and psi", true}},
		units.Mass:     {{2.2046, "too %s by the 2.2 between kg and lb", true}, {35.27, "too %s by the 35 between kg and oz", true}, {28.35, "too %s by the 28 between g and oz", true}},
		units.Time:     {{60, "too %s by the 60 between min and s or h", true}, {3600, "too %s by the 3600 between h and s", true}, {24, "too %s by the 24 between h and d", true}},
		units.Angle:    {{180 / math.Pi, "too %s by the 57 between deg and rad", true}},
	}
)

// slipOf tells which slip puts a number among those from low to high, which
// count peers have, and what it should have been.
func slipOf(x figure, low, high float64, count int) (says string, likely float64) {
	v := x.cell.V
	if x.dim == units.Temperature {
		return temperatureSlip(v, low, high)
	}
	flat := low == high
	if !(v > 0 && low > 0) || !flat && (count < 3 || v >= low/2.5 && v <= high*2.5) || v >= low && v <= high {
		return "", 0
	}
	room := 0.0
	if flat {
		room = 0.01
	}
	for _, s := range append(slices.Clone(slips[x.dim]), decimal...) {
		if s.flat && (!flat || slices.Contains(sized, x.name)) {
			continue
		}
		if right := v / s.factor; right >= low*(1-room) && right <= high*(1+room) {
			return fmt.Sprintf(s.says, "great"), right
		}
		if !flat && x.dim == units.Pressure {
			continue // one for low pressure beside others is no slip
		}
		if right := v * s.factor; right >= low*(1-room) && right <= high*(1+room) {
			return fmt.Sprintf(s.says, "small"), right
		}
	}
	return "", 0
}

// temperatureSlip knows a lost sign and degrees Fahrenheit written as Celsius.
func temperatureSlip(v, low, high float64) (says string, likely float64) {
	const freezing, near = 273.15, 0.6
	if low != high || math.Abs(v-low) <= near {
		return "", 0
	}
	c, want := v-freezing, low-freezing
	switch {
	case math.Abs(c+want) <= near && math.Abs(c) > near:
		return "of the wrong sign", low
	case math.Abs((c-32)/1.8-want) <= near:
		return "in degF where degC is written", low
	case math.Abs(c/10-want) <= near/10 && math.Abs(want) > 1, math.Abs(c*10-want) <= near && math.Abs(want) > 1:
		return "ten times off", low
	}
	return "", 0
}
