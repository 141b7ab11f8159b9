package facts

import (
	"fmt"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/catalogue"
	"kitgauge/checker/quantities/routing"
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
}

// LineRouting is how a line is laid, and what has to be cut for it.
type LineRouting struct {
	BundleNamed value.Flag   `key:"bundle_named"`               // known or not
	LeavesKnown value.Flag   `key:"leaves_known"`               // its break-out is a station of its bundle
	TubeTaken   value.Number `key:"fittings_take" dim:"length"` // the tube that both its fittings take, where it is another
	UsualPump   value.Text   `key:"usual_at_pump"`              // the fitting that most other lines have in its place, or ""
	UsualPoint  value.Text   `key:"usual_at_point"`             // the same of the other end
	LeavesNear  value.Text   `key:"leaves_near"`                // the station of its bundle that is nearest to its point, where it is said to leave at one of another bundle
	LeavesSpelt value.Text   `key:"leaves_spelt"`               // the station that is meant by a misspelt one, where one alone is nearest
	Traced      value.Flag   `key:"traced"`                     // its way is known from the pump to its point
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
	Ground value.Number `key:"ground_clearance" dim:"length"`       // at rest
	Least  value.Number `key:"least_ground_clearance" dim:"length"` // over the range of the joints
	Raise  value.Number `key:"raise" dim:"length"`                  // how far up it has to be moved to stay above the limit
	When   value.Text   `key:"lowest_when"`                         // how the joints stand there, "" at rest
	Told   value.Flag   `key:"told_before"`                         // why its least height is not known was told of another station
	Lowest value.Flag   `key:"lowest_of_body"`                      // of the stations on its body
	Beside value.Count  `key:"low_beside"`                          // how many others on its body come below the limit, and are above it at rest

	SameAs kit.Ref[StationFit] `key:"same_as"` // the first of its bundle with its id, where that is another
	StationSurvey
	place string
}

// Place names the station.
func (s *StationFit) Place() string { return s.place }

// Segment is a piece of a route from one stop to the next.
type Segment struct {
	spot
	From      value.Text   `key:"from"`
	To        value.Text   `key:"to"`
	Length    value.Number `key:"length" dim:"length"` // straight, at rest
	AfterLong value.Flag   `key:"after_long"`          // so was the one before it longer than the vehicle
}

// Stretch is a run on one body between two stops that hold the tubes.
type Stretch struct {
	spot
	From    value.Text   `key:"from"`
	To      value.Text   `key:"to"`
	Length  value.Number `key:"length" dim:"length"`
	Ties    value.Count  `key:"ties"` // between its ends
	Gap     value.Number `key:"gap" dim:"length"`
	GapFrom value.Text   `key:"gap_from"` // where it begins
	Route   *kit.Route
	Ends    [2]int // its stops there
}

// Held are the distances from its first stop of all that holds the tubes, both
// ends included, in rising order; none where one is not known.
func (s *Stretch) Held() []float64 {
	var at []float64
	if why := value.Why(func(n *value.Need) error {
		at = tiesAlong(n, s.Route, s.Ends[0], s.Ends[1])
		return nil
	}); why != "" {
		return nil
	}
	at = append(at, 0, s.Length.V)
	slices.Sort(at)
	return at
}

// Corner is a turn of a route on one body.
type Corner struct {
	spot
	Radius     value.Number `key:"radius" dim:"length"` // stated, or the largest that fits
	Stated     value.Flag   `key:"stated"`
	Turn       value.Number `key:"turn" dim:"angle"`
	BendRadius value.Number `key:"bend_radius" dim:"length"` // the least that its tubes and conduit take
}

// outlineKnown reports whether the outline is stated; one that is and cannot be
// read is not known.
func outlineKnown(o *kit.Outline) value.Flag {
	return value.Compute(func(n *value.Need) (bool, error) {
		if o.From.Node == nil || o.To.Node == nil {
			return false, nil
		}
		o.From.Of(n, "a corner of the vehicle's outline")
		o.To.Of(n, "a corner of the vehicle's outline")
		return true, nil
	})
}

// routeFacts takes every route apart.
func routeFacts(g *kit.Graph, feet *footing, o *Options) KitRouting {
	outline := &g.Kit.Vehicle.Outline
	k := KitRouting{OutlineKnown: outlineKnown(outline), VehicleLength: g.Length}
	for at, r := range g.Routes {
		if o.stopped() {
			break
		}
		own := len(k.Stations)
		for i := r.Own; i < len(r.Stops); i++ {
			if s := r.Stops[i].Station; s != nil { // a tail's stop that is its point is none
				k.Stations = append(k.Stations, station(r, i, feet, o))
			}
		}
		if at < len(g.Kit.Bundles) { // lines leave it at stations, by their ids
			sameStations(k.Stations[own:])
		}
		k.segments(r)
		k.stretches(r, g.Kit.Family())
		for i := r.First - 1; i < len(r.Stops); i++ {
			if at, found := g.Corner(r, i); found {
				k.corner(r, i, at)
			}
		}
	}
	k.lowest(outline, o)
	return k
}

// sameStations finds the stations of a bundle that have the id of one before.
func sameStations(stations []*StationFit) {
	first := map[string]*StationFit{}
	for _, s := range stations {
		switch to := first[s.ID.V]; {
		case !s.ID.Known:
		case to != nil:
			s.SameAs = kit.Ref[StationFit]{ID: s.ID, To: to}
		default:
			first[s.ID.V] = s
		}
	}
}

// lowest marks the station of each body that comes lowest while the joints
// move: where one is moved too far, so are the others there. What is far
// outside the vehicle is a slip of the pen, and is none of them.
func (k *KitRouting) lowest(outline *kit.Outline, o *Options) {
	limit, astray := o.limit("routing/ground").V, o.limit("routing/astray").V
	lowest, low := map[*kit.Body]*StationFit{}, map[*kit.Body]int64{}
	for _, s := range k.Stations {
		body := s.Body.To
		if outline.From.Known() && outline.To.Known() && outside(s.Position.Vec(), outline) > astray {
			continue
		}
		if first := lowest[body]; s.Least.Known && (first == nil || s.Least.V < first.Least.V) {
			lowest[body] = s
		}
		if s.Least.Known && s.Least.V < limit && s.Ground.V >= limit {
			low[body]++
		}
	}
	for _, s := range k.Stations {
		is := lowest[s.Body.To] == s
		s.Lowest, s.Beside = value.Known(is), value.Known(low[s.Body.To])
		if is && s.Beside.V > 0 && s.Ground.V >= limit {
			s.Beside.V--
		}
	}
}

// outside is how far a place is outside the outline.
func outside(at r3.Vec, o *kit.Outline) float64 {
	a, b := o.From.Vec(), o.To.Vec()
	return max(min(a.X, b.X)-at.X, at.X-max(a.X, b.X), min(a.Y, b.Y)-at.Y, at.Y-max(a.Y, b.Y), min(a.Z, b.Z)-at.Z, at.Z-max(a.Z, b.Z), 0)
}

func station(r *kit.Route, i int, feet *footing, o *Options) *StationFit {
	s, name := r.Stops[i].Station, r.Names[i]
	if s.ID.Known {
		name = "station " + name
	}
	fit := &StationFit{Station: s, place: r.Place + ", " + name, Placed: value.Known(s.Position.Node != nil)}
	if fit.Placed.V {
		fit.Placed = value.Compute(func(n *value.Need) (bool, error) {
			s.Position.Of(n, "the position of "+fit.place)
			return true, nil
		})
	}
	fit.Ground = value.Compute(func(n *value.Need) (float64, error) {
		z := n.Number("the height of "+fit.place, s.Position.Z)
		return kit.Settled(z - n.Number("the ground", feet.level)), nil
	})
	value.Fill(func(n *value.Need) error {
		at := s.Position.Of(n, "the position of "+fit.place)
		body := feet.stand(s.Body.Of(n, "the body of "+fit.place))
		limit := o.limit("routing/ground").V
		low := body.least(n, at, limit)
		fit.Least, fit.When = value.Known(low.V), value.Known(low.When)
		if fit.Raise = value.Known(0.0); low.V >= limit {
			return nil
		}
		fit.Raise = untilKept(at, r3.Vec{Z: 1}, limit, func(at r3.Vec) float64 { return body.least(n, at, limit).V })
		return nil
	}, &fit.Least, &fit.When, &fit.Raise)
	fit.Told = value.Known(feet.told[fit.Least.Why])
	feet.told[fit.Least.Why] = !fit.Least.Known
	return fit
}

// segments lists the hops of a route between stops that are placed.
func (k *KitRouting) segments(r *kit.Route) {
	for i := r.First; i < len(r.Stops); i++ {
		if d, known := r.Hop(i); known {
			k.Segments = append(k.Segments, &Segment{
				From: value.Known(r.Names[i-1]), To: value.Known(r.Names[i]), Length: value.Known(d),
				AfterLong: value.Known(i > r.First && r.Astray(i-1)),
				spot:      spot{r.From(i-1, i), r.Stops[i].Node},
			})
		}
	}
}

// stretches cuts the runs on one body at the stops that hold the tubes.
func (k *KitRouting) stretches(r *kit.Route, family units.Family) {
	start := r.First - 1
	cut := func(from, to int) {
		if from >= 0 && to > from {
			k.Stretches = append(k.Stretches, stretch(r, from, to, family))
		}
	}
	for i := r.First; i < len(r.Stops); i++ {
		_, known := r.Hop(i)
		if !known || !r.Fixed(i) || r.Astray(i) {
			cut(start, i-1)
			start = i
			continue
		}
		if r.Stops[i].Held {
			cut(start, i)
			start = i
		}
	}
	cut(start, len(r.Stops)-1)
}

func stretch(r *kit.Route, from, to int, family units.Family) *Stretch {
	s := &Stretch{
		From: value.Known(r.Names[from]), To: value.Known(r.Names[to]), GapFrom: value.Known(r.Names[from]),
		spot:  spot{r.From(from, to), r.Stops[to].Node},
		Route: r, Ends: [2]int{from, to},
	}
	length, ties := 0.0, 0
	for i := from + 1; i <= to; i++ {
		d, _ := r.Hop(i)
		length += d
		ties += len(r.Stops[i].Ties)
	}
	s.Length, s.Ties = value.Known(length), value.Known(int64(ties))
	s.Gap = value.Compute(func(n *value.Need) (float64, error) {
		gap, err := routing.WidestGap(length, tiesAlong(n, r, from, to))
		if gap.From > 0 {
			s.GapFrom = value.Known(fmt.Sprintf("the tie %s past %s", units.Format(gap.From, units.Length, family), r.Names[from]))
		}
		return kit.Settled(gap.Length()), err
	})
	return s
}

// tiesAlong are the distances of the ties from the first stop of a stretch.
func tiesAlong(n *value.Need, r *kit.Route, from, to int) []float64 {
	var ties []float64
	length := 0.0
	for i := from + 1; i <= to; i++ {
		for _, t := range r.Stops[i].Ties {
			ties = append(ties, length+n.Number("the distance of a tie before "+r.Names[i], t.At))
		}
		d, _ := r.Hop(i)
		length += d
	}
	return ties
}

// corner lists a turn of a route on one body.
func (k *KitRouting) corner(r *kit.Route, i int, at [3]r3.Vec) {
	turn, err := routing.CornerRadius(at[0], at[1], at[2])
	if len(r.Lines(i+1)) == 0 || (err == nil && turn.Straight) || r.Astray(i+1) || (i > 0 && r.Astray(i)) {
		return
	}
	c := &Corner{
		Radius: value.Result(kit.Settled(turn.Radius), err), Turn: value.Result(turn.Turn, err), Stated: value.Known(false),
		BendRadius: value.Compute(func(n *value.Need) (float64, error) { return tightest(n, r.Lines(i+1), r.Conduit(i+1)), nil }),
		spot:       spot{fmt.Sprintf("%s, at %s", r.Place, r.Names[i]), r.Stops[i].Node},
	}
	if s := r.Stops[i].Station; s != nil && s.BendRadius.Node != nil {
		c.Radius, c.Stated = s.BendRadius, value.Known(true)
	}
	k.Corners = append(k.Corners, c)
}

// tightest is the least radius to which tubes and conduit may be bent; the
// conduit is nil where nothing covers them.
func tightest(n *value.Need, lines []*kit.Line, conduit *kit.Conduit) float64 {
	radius := 0.0
	for _, l := range lines {
		radius = max(radius, tubeBend(n, tubeOf(n, l)))
	}
	if conduit != nil {
		radius = max(radius, conduitBend(n, conduit))
	}
	return radius
}

// tubeBend is the least radius of a tube's centre line. A hose's counts to the
// inner surface of the bend, a tube's to the centre line, where the catalogue
// does not say.
func tubeBend(n *value.Need, t *kit.Tube) float64 {
	hose := t.Material.Known && catalogue.MaterialOf(t.Material.V).Name == "rubber"
	return centreBend(n, t.Place(), t.BendRadius, t.Outer, t.BendTo, hose)
}

// conduitBend is the least radius of a conduit's centre line.
func conduitBend(n *value.Need, c *kit.Conduit) float64 {
	return centreBend(n, c.Place(), c.BendRadius, c.Outer, c.BendTo, false)
}

// centreBend turns a bend radius into that of the centre line; inside is what
// it counts to where nothing is stated.
func centreBend(n *value.Need, place string, radius, outer value.Number, to value.Text, inside bool) float64 {
	least := n.Number("the bend radius of "+place, radius)
	if to.Node != nil {
		inside = n.Text("what the bend radius of "+place+" counts to", to) == "inner surface"
	}
	if !inside {
		return least
	}
	centre, err := routing.CentreRadius(least, n.Number("the outer diameter of "+place, outer))
	if err != nil {
		n.Stop(place + ": " + err.Error())
	}
	return centre
}
