package facts

import (
	"cmp"
	"fmt"
	"slices"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/bundling"
	"kitgauge/checker/value"
)

// BundlePacking is how the tubes of a bundle fill its conduit, and what the
// bundle serves.
type BundlePacking struct {
	ConduitNamed  value.Flag   `key:"conduit_named"` // known or not
	Fullest       value.Count  `key:"most_lines"`    // under conduit, side by side
	FullestAt     value.Text   `key:"most_lines_at"`
	Enclosing     value.Number `key:"enclosing" dim:"length"` // diameter of the circle round them
	Room          value.Number `key:"room" dim:"plain_number"`
	Fill          value.Number `key:"fill" dim:"plain_number"`
	Uncovered     []string     `key:"uncovered"` // where it has no conduit
	CrossingLines value.Count  `key:"crossing_lines"`
	CrossingAt    value.Text   `key:"crossing_at"`
	Serves        []string     `key:"serves"`    // each side of an axle, each body that moves
	Idle          []string     `key:"idle"`      // stations beyond its last line
	Repeated      []string     `key:"repeated"`  // station ids that stand twice
	PulledIn      value.Flag   `key:"pulled_in"` // into a conduit that is not split open
}

// bundling packs the tubes of every bundle.
func (f *Kit) bundling() {
	p := packer{}
	for i, b := range f.Bundles {
		if f.stopped() {
			return
		}
		w := f.walks[i]
		b.ConduitNamed = value.Known(b.Conduit.ID.Node != nil)
		b.PulledIn = value.Known(b.Pulled.V)
		b.Serves = f.serves(b)
		b.Repeated = repeated(b.Bundle)
		f.sections(b, w, p)
	}
}

// sections goes along the bundle. Lines only leave on the way, so the first
// piece under conduit is its fullest.
func (f *Kit) sections(b *Bundle, w *walk, p packer) {
	b.Fullest, b.CrossingLines = value.Known[int64](0), value.Known[int64](0)
	b.FullestAt, b.CrossingAt = value.Known(""), value.Known("")
	full := 0
	for i := 1; i < len(w.stops); i++ {
		lines := w.lines(i)
		if len(lines) == 0 && len(b.Lines) > 0 {
			b.Idle = append(b.Idle, w.names[i])
			continue
		}
		where := w.names[i-1] + " to " + w.names[i]
		if full == 0 && !w.bare(i) {
			full = i
		}
		if w.bare(i) && (i+1 == len(w.stops) || !w.bare(i+1)) {
			b.Uncovered = append(b.Uncovered, w.names[w.bareFrom(i)]+" to "+w.names[i])
		}
		crosses := w.stops[i-1].body != nil && w.stops[i].body != nil && !w.fixed(i)
		if n := int64(len(lines)); crosses && n > b.CrossingLines.V {
			b.CrossingLines, b.CrossingAt = value.Known(n), value.Known(where)
		}
	}
	if full == 0 {
		why := "nothing of " + b.Place() + " lies under conduit"
		b.Enclosing, b.Room, b.Fill = value.Unknown[float64](why), value.Unknown[float64](why), value.Unknown[float64](why)
		return
	}
	lines := w.lines(full)
	b.Fullest, b.FullestAt = value.Known(int64(len(lines))), value.Known(w.names[full-1]+" to "+w.names[full])
	p.pack(b, lines)
}

// bare reports whether a bundle has no conduit on a hop.
func (w *walk) bare(hop int) bool { return w.stops[hop].station.Uncovered.V }

// bareFrom is the stop at which the bare piece begins that ends at a stop.
func (w *walk) bareFrom(stop int) int {
	for stop > 0 && w.bare(stop) {
		stop--
	}
	return stop
}

// packer keeps the circle of each set of tubes: bundles of a kit are often
// alike.
type packer map[string]value.Number

// pack finds the circle round the tubes, and how it suits the conduit.
func (p packer) pack(b *Bundle, lines []*kit.Line) {
	var need value.Need
	diameters := make([]float64, 0, len(lines))
	for _, l := range lines {
		if l.Tube.To == nil {
			need.Lack(l.Tube.Reason("the tube of " + lineName(l)))
			continue
		}
		diameters = append(diameters, need.Number("the outer diameter of "+l.Tube.To.Place(), l.Tube.To.Outer))
	}
	b.Enclosing = need.Unknown()
	if !need.Missing() {
		b.Enclosing = p.circle(diameters)
	}
	enclosing := need.Number("the circle round the tubes", b.Enclosing)
	inner := 0.0
	if b.Conduit.To == nil {
		need.Lack(b.Conduit.Reason("the conduit of " + b.Place()))
	} else {
		inner = need.Number("the inner diameter of "+b.Conduit.To.Place(), b.Conduit.To.Inner)
	}
	b.Room, b.Fill = need.Unknown(), need.Unknown()
	if !need.Missing() && len(diameters) > 0 {
		b.Room = value.Result(bundling.Room(inner, enclosing))
		b.Fill = value.Result(bundling.Fill(diameters, inner))
	}
}

func (p packer) circle(diameters []float64) value.Number {
	slices.SortFunc(diameters, func(a, b float64) int { return cmp.Compare(b, a) })
	key := fmt.Sprint(diameters)
	if known, ok := p[key]; ok {
		return known
	}
	packed, err := bundling.EnclosingCircle(diameters)
	p[key] = value.Result(packed.Diameter, err)
	return p[key]
}

// repeated lists the station ids of a bundle that stand more than once.
func repeated(b *kit.Bundle) []string {
	seen := map[string]int{}
	var twice []string
	for _, s := range b.Route {
		if seen[s.ID.V]++; s.ID.Known && seen[s.ID.V] == 2 {
			twice = append(twice, s.ID.V)
		}
	}
	return twice
}

// middle is how near to the middle of the vehicle a point belongs to neither
// side [m]. Common practice, no source.
const middle = 0.1

// serves lists what the lines of a bundle serve: of an axle its sides, any
// other body that moves against the pump's as a whole. Points on the pump's
// own body lie on the way, and count only where they are on another side than
// the axle that is served.
func (f *Kit) serves(b *Bundle) []string {
	var served, sides, own []string
	add := func(list *[]string, s string) {
		if s != "" && !slices.Contains(*list, s) {
			*list = append(*list, s)
		}
	}
	home := f.Kit.Pump.Body.To
	for _, l := range f.Kit.Lines {
		p := l.Point.To
		if l.Bundle.To != b.Bundle || p == nil || p.Body.To == nil || home == nil {
			continue
		}
		body, axle := f.assembly(home, p.Body.To)
		side := sideOf(p.Position)
		switch {
		case body == nil:
			add(&own, side)
		case axle && side != "":
			add(&sides, side)
			add(&served, bodyName(body)+" ("+side+")")
		case axle:
			// a point in the middle goes with either side
		default:
			add(&served, bodyName(body))
		}
	}
	for _, side := range own {
		if len(sides) == 1 && side != sides[0] {
			add(&served, bodyName(home)+" ("+side+")")
		}
	}
	return served
}

// assembly is the outermost body, seen from home, that carries the body; nil
// where it is home itself. An axle is sprung or steered.
func (f *Kit) assembly(home, body *kit.Body) (outer *kit.Body, axle bool) {
	joints := f.between(home, body).b
	if len(joints) == 0 {
		return nil, false
	}
	role := joints[0].Role.V
	return joints[0].Child.To, role == "suspension" || role == "steering"
}

func sideOf(p kit.Vector) string {
	switch {
	case !p.Known():
		return ""
	case p.Y.V > middle:
		return "left"
	case p.Y.V < -middle:
		return "right"
	}
	return ""
}
