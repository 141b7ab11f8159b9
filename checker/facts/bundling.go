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
	SameID        value.Text   `key:"same_id"`   // the name of an earlier bundle with its id
	PulledIn      value.Flag   `key:"pulled_in"` // into a conduit that is not split open
}

// packer keeps the circle of each set of tubes: bundles of a kit are often
// alike.
type packer map[string]value.Number

// bundle packs the tubes of a bundle along its route.
func (p packer) bundle(g *kit.Graph, r *kit.Route) BundlePacking {
	b := BundlePacking{
		ConduitNamed: value.Known(r.Bundle.Conduit.ID.Node != nil), PulledIn: value.Known(r.Bundle.Pulled.V),
		Serves: serves(g, r.Bundle), Repeated: repeated(r.Bundle),
	}
	b.along(r)
	full := fullest(r)
	b.Fullest, b.FullestAt = value.Known[int64](0), value.Known("")
	if full > 0 {
		b.Fullest, b.FullestAt = value.Known(int64(len(r.Lines(full)))), value.Known(r.Names[full-1]+" to "+r.Names[full])
	}
	tubes := value.Try(func(n *value.Need) ([]float64, error) {
		if full == 0 {
			n.Stop("nothing of " + r.Place + " lies under conduit")
		}
		var diameters []float64
		for _, l := range r.Lines(full) {
			t := tubeOf(n, l)
			diameters = append(diameters, n.Number("the outer diameter of "+t.Place(), t.Outer))
		}
		return diameters, nil
	})
	b.Enclosing = p.circle(tubes)
	value.Fill(func(n *value.Need) error {
		diameters, enclosing := tubes.Of(n), n.Number("the circle round the tubes", b.Enclosing)
		conduit := r.Bundle.Conduit.Of(n, "the conduit of "+r.Place)
		inner := n.Number("the inner diameter of "+conduit.Place(), conduit.Inner)
		if len(diameters) > 0 {
			b.Room = value.Result(bundling.Room(inner, enclosing))
			b.Fill = value.Result(bundling.Fill(diameters, inner))
		}
		return nil
	}, &b.Room, &b.Fill)
	return b
}

// along goes along the bundle.
func (b *BundlePacking) along(r *kit.Route) {
	b.CrossingLines, b.CrossingAt = value.Known[int64](0), value.Known("")
	members := len(r.Lines(0))
	for i := 1; i < len(r.Stops); i++ {
		lines := int64(len(r.Lines(i)))
		if lines == 0 && members > 0 {
			b.Idle = append(b.Idle, r.Names[i])
			continue
		}
		if r.Bare(i) && (i+1 == len(r.Stops) || !r.Bare(i+1)) {
			b.Uncovered = append(b.Uncovered, r.Names[bareFrom(r, i)]+" to "+r.Names[i])
		}
		if r.Spans(i) && lines > b.CrossingLines.V {
			b.CrossingLines, b.CrossingAt = value.Known(lines), value.Known(r.Names[i-1]+" to "+r.Names[i])
		}
	}
}

// fullest is the first hop under conduit, 0 where none is: lines only leave on
// the way, so none after it holds more.
func fullest(r *kit.Route) int {
	for i := 1; i < len(r.Stops); i++ {
		if !r.Bare(i) && (len(r.Lines(i)) > 0 || len(r.Lines(0)) == 0) {
			return i
		}
	}
	return 0
}

// bareFrom is the stop at which the bare piece begins that ends at a stop.
func bareFrom(r *kit.Route, stop int) int {
	for stop > 0 && r.Bare(stop) {
		stop--
	}
	return stop
}

// circle is the diameter of the least circle round the tubes.
func (p packer) circle(tubes value.Maybe[[]float64]) value.Number {
	return value.Compute(func(n *value.Need) (float64, error) {
		diameters := tubes.Of(n)
		slices.SortFunc(diameters, func(a, b float64) int { return cmp.Compare(b, a) })
		key := fmt.Sprint(diameters)
		if _, known := p[key]; !known {
			packed, err := bundling.EnclosingCircle(diameters)
			p[key] = value.Result(packed.Diameter, err)
		}
		return n.Number("the circle", p[key]), nil
	})
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
func serves(g *kit.Graph, b *kit.Bundle) []string {
	var served, sides, own []string
	add := func(list *[]string, s string) {
		if !slices.Contains(*list, s) {
			*list = append(*list, s)
		}
	}
	home := g.Kit.Pump.Body.To
	for _, l := range g.Kit.Lines {
		p := l.Point.To
		if l.Bundle.To != b || p == nil || p.Body.To == nil || home == nil {
			continue
		}
		body, axle := assembly(g, home, p.Body.To)
		side := sideOf(p.Position.Y)
		sided := side == "left" || side == "right"
		switch {
		case body == nil && sided:
			add(&own, side)
		case body == nil: // on the way
		case axle && sided:
			add(&sides, side)
			add(&served, body.Label()+" ("+side+")")
		case axle:
			// a point in the middle goes with either side
		default:
			add(&served, body.Label())
		}
	}
	for _, side := range own {
		if len(sides) == 1 && side != sides[0] {
			add(&served, home.Label()+" ("+side+")")
		}
	}
	return served
}

// assembly is the outermost body, seen from home, that carries the body; nil
// where it is home itself. An axle is sprung or steered.
func assembly(g *kit.Graph, home, body *kit.Body) (outer *kit.Body, axle bool) {
	joints := g.Between(home, body).B
	if len(joints) == 0 {
		return nil, false
	}
	role := joints[0].Role.V
	return joints[0].Child.To, role == "suspension" || role == "steering"
}

// sideOf is the side of the vehicle on which a place lies: left, right or
// middle; "" where the place is not known.
func sideOf(y value.Number) string {
	switch {
	case !y.Known:
		return ""
	case y.V > middle:
		return "left"
	case y.V < -middle:
		return "right"
	}
	return "middle"
}
