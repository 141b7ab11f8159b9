package facts

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/routing"
	"kitgauge/checker/source"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// KitRouting is every route of the kit, taken apart.
type KitRouting struct {
	Stations      []*StationFit
	Segments      []*Segment
	Stretches     []*Stretch
	Corners       []*Corner
	Approaches    []*Approach
	OutlineKnown  value.Flag   `key:"outline_known"`
	VehicleLength value.Number `key:"vehicle_length" dim:"length"`
	walks         []*walk      // the bundles' in their order, then the lines'
}

// LineRouting is how a line is laid, and what has to be cut for it.
type LineRouting struct {
	BundleNamed value.Flag   `key:"bundle_named"` // known or not
	LeavesKnown value.Flag   `key:"leaves_known"` // its break-out is a station of its bundle
	Traced      value.Flag   `key:"traced"`       // its way is known from the pump to its point
	RouteLength value.Number `key:"route_length" dim:"length"`
	FreeLengths value.Number `key:"free_lengths" dim:"length"`
	Insertion   value.Number `key:"insertion" dim:"length"`
	Needed      value.Number `key:"needed_length" dim:"length"` // without anything to trim
	TailLength  value.Number `key:"tail_length" dim:"length"`   // from its bundle to its point
}

// StationFit is a station with its place on a route.
type StationFit struct {
	*kit.Station
	Placed value.Flag   `key:"placed"`
	Ground value.Number `key:"ground_clearance" dim:"length"` // at rest
	StationSurvey
	place string
}

// Place names the station.
func (s *StationFit) Place() string { return s.place }

// Source is the station's place in the file.
func (s *StationFit) Source() *source.Node { return s.Node }

// Segment is a piece of a route from one stop to the next.
type Segment struct {
	From      value.Text   `key:"from"`
	To        value.Text   `key:"to"`
	Length    value.Number `key:"length" dim:"length"` // straight, at rest
	AfterLong value.Flag   `key:"after_long"`          // so was the one before it longer than the vehicle
	place     string
	node      *source.Node
}

// Place names the segment by its ends.
func (s *Segment) Place() string { return s.place }

// Source is the stop at which the segment arrives.
func (s *Segment) Source() *source.Node { return s.node }

// Stretch is a run on one body between two stops that hold the tubes.
type Stretch struct {
	From    value.Text   `key:"from"`
	To      value.Text   `key:"to"`
	Length  value.Number `key:"length" dim:"length"`
	Ties    value.Count  `key:"ties"` // between its ends
	Gap     value.Number `key:"gap" dim:"length"`
	GapFrom value.Text   `key:"gap_from"` // where it begins
	place   string
	node    *source.Node
}

// Place names the stretch by its ends.
func (s *Stretch) Place() string { return s.place }

// Source is the stop at which the stretch ends.
func (s *Stretch) Source() *source.Node { return s.node }

// Corner is a turn of a route on one body.
type Corner struct {
	Radius     value.Number `key:"radius" dim:"length"` // stated, or the largest that fits
	Stated     value.Flag   `key:"stated"`
	Turn       value.Number `key:"turn" dim:"angle"`
	BendRadius value.Number `key:"bend_radius" dim:"length"` // the least that its tubes and conduit take
	place      string
	node       *source.Node
}

// Place names the corner by its station.
func (c *Corner) Place() string { return c.place }

// Source is the station at which the route turns.
func (c *Corner) Source() *source.Node { return c.node }

// walk is a run with its stops named, so that each piece of it has a place.
type walk struct {
	run
	names []string
	line  *kit.Line // nil for a bundle
	own   int       // the first stop that is its own, after the pump and the bundle
	first int       // the first hop that is its own
}

// walk names the stops of every run.
func (f *Kit) walk() {
	for _, r := range f.runs() {
		w := &walk{run: r, own: 1, first: max(1, r.from)}
		if r.whole == nil {
			w.line = r.lines(0)[0]
			w.own = len(r.stops) - len(w.line.Tail)
			if w.line.Point.To != nil {
				w.own--
			}
		}
		for i, s := range r.stops {
			w.names = append(w.names, w.nameAt(i, s.station))
		}
		f.walks = append(f.walks, w)
	}
}

func (w *walk) nameAt(i int, s *kit.Station) string {
	switch {
	case s == nil:
		return w.stops[i].name
	case s.ID.Known:
		return s.ID.V
	case w.whole != nil:
		return fmt.Sprintf("station %d", i)
	case i < w.own:
		return fmt.Sprintf("station %d", i+1)
	}
	return fmt.Sprintf("tail %d", i-w.own+1)
}

func (w *walk) between(i, j int) string {
	return fmt.Sprintf("%s, %s to %s", w.place, w.names[i], w.names[j])
}

// placed reports whether a stop has a body and a position.
func (s *stop) placed() bool { return s.body != nil && s.position.Known() }

// hop is the straight distance of a stop from the one before, where both are
// placed.
func (w *walk) hop(i int) (float64, bool) {
	a, b := w.stops[i-1], w.stops[i]
	if !a.placed() || !b.placed() {
		return 0, false
	}
	return settled(distanceOf(a.position, b.position)), true
}

func (w *walk) fixed(i int) bool { return w.stops[i-1].body == w.stops[i].body }

// settled rounds a length to the nanometre, so that two stations at 4.7 m and
// 4.3 m are 400 mm apart and not a hair more.
func settled(v float64) float64 { return math.Round(v*1e9) / 1e9 }

// astray reports whether a hop is longer than the vehicle: one of its ends is
// not where the file says.
func (f *Kit) astray(w *walk, i int) bool {
	d, known := w.hop(i)
	return known && f.VehicleLength.Known && d > f.VehicleLength.V
}

// routing takes every route apart and holds it against the zones.
func (f *Kit) routing() {
	f.outline()
	f.walk()
	bundles := map[*kit.Bundle]*walk{}
	for _, w := range f.walks {
		if f.stopped() {
			return
		}
		if w.whole != nil {
			bundles[w.whole] = w
		}
		f.segments(w)
		f.stretches(w)
		f.corners(w)
	}
	for i, l := range f.Lines {
		f.lineRouting(l, bundles[l.Line.Bundle.To], f.walks[len(f.Kit.Bundles)+i])
	}
	f.approaches()
}

func (f *Kit) outline() {
	o := f.Kit.Vehicle.Outline
	known := o.From.Known() && o.To.Known()
	f.OutlineKnown = value.Known(known)
	f.VehicleLength = value.Unknown[float64]("the outline of the vehicle is not stated")
	if known {
		f.VehicleLength = value.Known(max(o.To.X.V-o.From.X.V, o.From.X.V-o.To.X.V))
	}
}

// segments lists the stations of a walk and the hops between them.
func (f *Kit) segments(w *walk) {
	for i := w.own; i < len(w.stops); i++ {
		f.station(w, i)
	}
	for i := w.first; i < len(w.stops); i++ {
		d, known := w.hop(i)
		if !known {
			continue
		}
		f.Segments = append(f.Segments, &Segment{
			From: value.Known(w.names[i-1]), To: value.Known(w.names[i]), Length: value.Known(d),
			AfterLong: value.Known(i > w.first && f.astray(w, i-1)),
			place:     w.between(i-1, i), node: w.stops[i].node,
		})
	}
}

// station lists a station. A tail's stop that is its point is none.
func (f *Kit) station(w *walk, i int) {
	s := w.stops[i].station
	if s == nil {
		return
	}
	name := w.names[i]
	if s.ID.Known {
		name = "station " + name
	}
	fit := &StationFit{Station: s, place: w.place + ", " + name}
	fit.Placed = value.Known(s.Position.Known())
	if s.Position.Node != nil && !s.Position.Known() {
		fit.Placed = value.Unknown[bool](s.Position.X.Reason("the position of " + fit.place))
	}
	var need value.Need
	z := need.Number("the height of "+fit.place, s.Position.Z)
	ground := need.Number("the outline of the vehicle", f.Kit.Vehicle.Outline.From.Z)
	fit.Ground = need.Unknown()
	if !need.Missing() {
		fit.Ground = value.Known(settled(z - ground))
	}
	f.Stations = append(f.Stations, fit)
}

// stretches cuts the runs on one body at the stops that hold the tubes.
func (f *Kit) stretches(w *walk) {
	start := w.first - 1
	for i := w.first; i < len(w.stops); i++ {
		_, known := w.hop(i)
		if !known || !w.fixed(i) || f.astray(w, i) {
			f.stretch(w, start, i-1)
			start = i
			continue
		}
		if w.stops[i].held {
			f.stretch(w, start, i)
			start = i
		}
	}
	f.stretch(w, start, len(w.stops)-1)
}

func (f *Kit) stretch(w *walk, from, to int) {
	if from < 0 || to <= from {
		return
	}
	s := &Stretch{
		From: value.Known(w.names[from]), To: value.Known(w.names[to]),
		place: w.between(from, to), node: w.stops[to].node,
	}
	var need value.Need
	var ties []float64
	length := 0.0
	for i := from + 1; i <= to; i++ {
		for _, t := range w.stops[i].ties {
			ties = append(ties, length+need.Number("the distance of a tie before "+w.names[i], t.At))
		}
		d, _ := w.hop(i)
		length += d
	}
	s.Length, s.Ties = value.Known(length), value.Known(int64(len(ties)))
	s.Gap, s.GapFrom = need.Unknown(), value.Known(w.names[from])
	if !need.Missing() {
		gap, err := routing.WidestGap(length, ties)
		s.Gap = value.Result(settled(gap.Length()), err)
		if gap.From > 0 {
			s.GapFrom = value.Known(fmt.Sprintf("the tie %s past %s", units.Format(gap.From, units.Length, f.Family()), w.names[from]))
		}
	}
	f.Stretches = append(f.Stretches, s)
}

// corners lists the turns of a walk on one body. The place where a line
// leaves its bundle is a corner of the line.
func (f *Kit) corners(w *walk) {
	for i := max(w.first-1, 0); i+1 < len(w.stops); i++ {
		corner := w.stops[i]
		after := w.stops[i+1]
		before := corner
		switch {
		case i > 0:
			before = w.stops[i-1]
		case w.whole == nil && w.own == 1 && corner.station != nil: // it leaves at the first station
			before = f.pumpStop()
		default:
			continue // the run begins at the pump
		}
		same := before.body == corner.body && corner.body == after.body
		if !same || !before.placed() || !corner.placed() || !after.placed() {
			continue
		}
		f.corner(w, i, [3]r3.Vec{before.position.Vec(), corner.position.Vec(), after.position.Vec()})
	}
}

func (f *Kit) corner(w *walk, i int, at [3]r3.Vec) {
	lines := w.lines(i + 1)
	turn, err := routing.CornerRadius(at[0], at[1], at[2])
	if len(lines) == 0 || (err == nil && turn.Straight) || f.astray(w, i+1) || (i > 0 && f.astray(w, i)) {
		return
	}
	c := &Corner{
		Radius: value.Result(settled(turn.Radius), err), Turn: value.Result(turn.Turn, err), Stated: value.Known(false),
		place: fmt.Sprintf("%s, at %s", w.place, w.names[i]), node: w.stops[i].node,
	}
	if s := w.stops[i].station; s != nil && s.BendRadius.Node != nil {
		c.Radius, c.Stated = s.BendRadius, value.Known(true)
	}
	var need value.Need
	tightest := 0.0
	for _, l := range lines {
		if l.Tube.To == nil {
			need.Lack(l.Tube.Reason("the tube of " + lineName(l)))
			continue
		}
		tightest = max(tightest, need.Number("the bend radius of "+l.Tube.To.Place(), l.Tube.To.BendRadius))
	}
	if conduit := w.conduit(i + 1); conduit != nil {
		tightest = max(tightest, need.Number("the bend radius of "+conduit.Place(), conduit.BendRadius))
	}
	c.BendRadius = value.Known(tightest)
	if need.Missing() {
		c.BendRadius = need.Unknown()
	}
	f.Corners = append(f.Corners, c)
}

// conduit is what covers the tubes on a hop; nil where nothing does.
func (w *walk) conduit(hop int) *kit.Conduit {
	if w.whole == nil || w.stops[hop].station.Uncovered.V {
		return nil
	}
	return w.whole.Conduit.To
}
