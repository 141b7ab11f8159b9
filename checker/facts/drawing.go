package facts

import (
	"fmt"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/elastica"
	"kitgauge/checker/quantities/motion"
	"kitgauge/checker/source"
)

// Route is the way of a bundle from the pump, or of one line from where it
// leaves its bundle, as the rules see it.
type Route struct {
	Place  string
	Bundle *kit.Bundle // nil where it is a line's own
	Line   *kit.Line   // nil where it is a bundle's
	Stops  []Stop
}

// Stop is the pump, a station or a point on a route.
type Stop struct {
	Name     string
	Body     *kit.Body // nil where it is not known
	Position kit.Vector
	Station  *kit.Station // nil for the pump and for a point
	Span     *Span        // the free span that ends here; nil where there is none
	Leaving  []string     // the numbers of the lines that leave the bundle here
	Node     *source.Node
}

// Routes lists the bundles' routes, then those of the lines.
func (f *Kit) Routes() []Route {
	spans := f.Spans // found in the order of the routes
	var routes []Route
	for _, w := range f.graph.Routes {
		r := Route{Place: w.Place, Bundle: w.Bundle, Line: w.Line}
		for i := w.First - 1; i < len(w.Stops); i++ {
			s := w.Stops[i]
			stop := Stop{Name: w.Names[i], Body: s.Body, Position: s.Position, Station: s.Station, Node: s.Node}
			if w.Bundle != nil {
				stop.Leaving = leaving(w, i)
			}
			if i >= w.First && w.Spans(i) {
				stop.Span, spans = spans[0], spans[1:]
			}
			r.Stops = append(r.Stops, stop)
		}
		routes = append(routes, r)
	}
	return routes
}

// leaving names the lines that are in the hop to a stop and not in the next.
func leaving(w *kit.Route, i int) []string {
	stay := map[*kit.Line]bool{}
	for _, l := range w.Lines(i + 1) {
		stay[l] = true
	}
	var numbers []string
	for _, l := range w.Lines(i) {
		if !stay[l] {
			numbers = append(numbers, l.Short())
		}
	}
	return numbers
}

// SpanMotion is how the ends of a span move: each side of the chain counts
// from the nearest common body outwards.
type SpanMotion struct {
	Chain             motion.Chain
	A, B              []*kit.Joint // those of the chain
	From, To          r3.Vec       // the ends, at rest
	Shortest, Longest motion.Extreme
}

// Motion returns how the ends of a span move, and where they are nearest and
// farthest.
func (f *Kit) Motion(s *Span) (SpanMotion, error) {
	a, b, found := s.ends()
	if !found || !slices.Contains(f.Spans, s) {
		return SpanMotion{}, fmt.Errorf("a position of %s is not known", s.place)
	}
	chain, err := s.chain.Motion().Result()
	if err != nil {
		return SpanMotion{}, err
	}
	m := SpanMotion{Chain: chain, A: s.chain.A, B: s.chain.B, From: a, To: b}
	m.Shortest, m.Longest, err = chain.Extremes(a, b)
	return m, err
}

// ends are the positions of a span's ends.
func (s *Span) ends() (a, b r3.Vec, known bool) {
	stops := s.hop.route.Stops
	p, q := stops[s.hop.stop-1].Position, stops[s.hop.stop].Position
	return p.Vec(), q.Vec(), p.Known() && q.Known()
}

// AtRest is the curve of a span with every joint at rest and its free length
// as stated. It is false where there is none.
func (s *Span) AtRest() (elastica.Curve, bool) {
	if !s.FreeLength.Known {
		return elastica.Curve{}, false
	}
	rest := motion.Extreme{A: make([]float64, len(s.chain.A)), B: make([]float64, len(s.chain.B))}
	return s.Curve(rest, s.FreeLength.V)
}
