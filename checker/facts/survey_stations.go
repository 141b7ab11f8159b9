package facts

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/survey"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

func (s *surveyor) pressure(v float64) string { return units.Format(v, units.Pressure, s.Family()) }

// pointBodies doubts the body of a point that its line would reach over a
// joint without a free length, where its twin, or else what else is reached
// from there, is on the body of the last station.
func (s *surveyor) pointBodies() {
	beside := map[*kit.Stop][]*Point{}
	for _, p := range s.Points {
		if last := s.last[p.Point].at; last != nil {
			beside[last] = append(beside[last], p)
		}
	}
	byID := map[string]*Point{}
	for _, p := range s.Points {
		byID[p.ID.V] = p
	}
	for _, w := range s.graph.Routes {
		if w.Line == nil || w.Line.Point.To == nil || len(w.Stops) < 2 {
			continue
		}
		last, end := w.Stops[len(w.Stops)-2], w.Stops[len(w.Stops)-1]
		if last.Body == nil || end.Body == nil || last.Body == end.Body || end.FreeLength.Node != nil {
			continue
		}
		p := s.pointOf(w.Line.Point.To)
		if p == nil || last.Station == nil {
			continue
		}
		if twin := byID[p.Twin.V]; p.Twin.Known && twin != nil {
			s.bodyByTwin(p, twin, last)
			continue
		}
		s.bodyByNeighbours(p, beside[last], last)
	}
}

func (s *surveyor) pointOf(p *kit.Point) *Point {
	for _, o := range s.Points {
		if o.Point == p {
			return o
		}
	}
	return nil
}

// image is the body on which the mirror image of a thing on b is.
func (s *surveyor) image(b *kit.Body) *kit.Body {
	if m := s.mirrorOf[b]; m != nil {
		return m
	}
	return b
}

func (s *surveyor) bodyByTwin(p, twin *Point, last *kit.Stop) {
	if b := twin.Body.To; b != nil && s.image(b) == last.Body {
		p.BodyMeant = value.Known(last.Body.Label())
		p.BodyBy = value.Known(fmt.Sprintf("%s before it is on %s and its twin %s on %s", last.Name, last.Body.Label(), twin.ID.Or("?"), b.Label()))
	}
}

func (s *surveyor) bodyByNeighbours(p *Point, beside []*Point, last *kit.Stop) {
	var same []*Point
	for _, o := range beside {
		switch {
		case o == p:
		case o.Body.To == last.Body:
			same = append(same, o)
		default:
			return
		}
	}
	if len(same) == 0 && s.returns(p, last) {
		p.BodyMeant = value.Known(last.Body.Label())
		p.BodyBy = value.Known(fmt.Sprintf("the line has left that body, and %s before it is on %s", last.Name, last.Body.Label()))
	}
	if len(same) > 0 {
		p.BodyMeant = value.Known(last.Body.Label())
		p.BodyBy = value.Known(fmt.Sprintf("%s before it, and %s, are on %s", last.Name, pointIDs(same), last.Body.Label()))
	}
}

// returns reports whether a line comes back, at its point, to a body that it
// has left over a span with a free length.
func (s *surveyor) returns(p *Point, last *kit.Stop) bool {
	for _, w := range s.graph.Routes {
		if w.Line == nil || w.Line.Point.To != p.Point {
			continue
		}
		stated := false
		for i := len(w.Stops) - 2; i >= 0; i-- {
			if w.Stops[i].Body != last.Body {
				return stated && w.Stops[i].Body == p.Body.To
			}
			stated = w.Stops[i].FreeLength.Node != nil
		}
	}
	return false
}

// stationsStand looks at every route.
func (s *surveyor) stationsStand() {
	first := map[string]string{}
	for _, b := range s.Bundles {
		b.SameID = sameID(first, b.ID, b.Name.Or(b.ID.V))
	}
	of := map[*kit.Station]*StationFit{}
	for _, t := range s.Stations {
		of[t.Station] = t
		s.outside(&t.PlaceSurvey, t.Position)
	}
	after := s.followers()
	s.doubtfulAt = map[*kit.Stop]bool{}
	for i, l := range s.Lines {
		if w := s.graph.Routes[len(s.Kit.Kit.Bundles)+i]; l.Point.To != nil && s.doubtful[l.Point.To] {
			s.doubtfulAt[w.Stops[len(w.Stops)-1]] = true
		}
	}
	s.stationTwins(of)
	for _, w := range s.graph.Routes {
		for i := max(1, w.Own); i < len(w.Stops); i++ {
			st := of[w.Stops[i].Station]
			if w.Stops[i].Station == nil || st == nil {
				continue
			}
			s.detour(w, i, st, after)
			s.order(w, i, st, of[w.Stops[i-1].Station])
			s.stationBody(w, i, st, after)
			s.freeWithin(w, i, st, of[w.Stops[i-1].Station])
			s.bend(w, i, st)
		}
		onlyFarthest(w, of)
	}
}

// followers lists the stops that come after each stop of any route.
func (s *surveyor) followers() map[*kit.Stop][]*kit.Stop {
	out := map[*kit.Stop][]*kit.Stop{}
	for _, w := range s.graph.Routes {
		for i := max(1, w.First); i < len(w.Stops); i++ {
			out[w.Stops[i-1]] = append(out[w.Stops[i-1]], w.Stops[i])
		}
	}
	return out
}

// detour looks for the slip that explains why a route goes far out of its way.
func (s *surveyor) detour(w *kit.Route, i int, st *StationFit, after map[*kit.Stop][]*kit.Stop) {
	at, before := w.Stops[i], w.Stops[i-1]
	if !at.Position.Known() || !before.Position.Known() {
		return
	}
	var next []r3.Vec
	for _, n := range after[at] {
		if n.Station == nil && s.doubtfulAt[n] || n.Station != nil && s.beyond(n) > s.limit("outside") {
			return // it is that one that lies elsewhere
		}
		if n.Position.Known() {
			next = append(next, n.Position.Vec())
		}
	}
	if len(next) == 0 {
		return
	}
	cost := func(q r3.Vec) float64 {
		sum := 0.0
		for _, n := range next {
			sum += survey.Detour(before.Position.Vec(), q, n)
		}
		return sum / float64(len(next))
	}
	now := cost(at.Position.Vec())
	if exchangedWithNext(w, i) {
		return // it is the order that is wrong
	}
	slip, least, ok := survey.BestSlip(at.Position.Vec(), cost)
	most := survey.Wayward
	if before.Name == "the pump" {
		most = 1 // it may be the pump that is elsewhere
		if s.pumpElsewhere() {
			return
		}
	}
	if ok && now > most && least < survey.Explained*now && least < survey.Wayward {
		st.Detour = value.Known(kit.Settled(now))
		name, v := slip.Coordinate, slip.Value
		hops := func(q r3.Vec) float64 {
			far := r3.Norm(r3.Sub(q, before.Position.Vec()))
			for _, n := range next {
				far = max(far, r3.Norm(r3.Sub(q, n)))
			}
			return far
		}
		if most := s.options.limit("routing/tie_gap"); most.Known && hops(slip.At) > most.V {
			// another slip may leave it where it can be held
			suits := func(q r3.Vec) bool {
				return hops(q) <= most.V && cost(q) < survey.Explained*now && cost(q) < survey.Wayward
			}
			if n, to, ok := s.digit(at.Position.Vec(), suits); ok {
				name, v = n, to
			}
		}
		st.Meant = value.Known(name + ": " + s.length(v))
		st.MeantBy = value.Known("it would then lie between its neighbours")
	}
}

// exchangedWithNext reports whether the route goes nearly straight on once a
// stop and the next have changed places.
func exchangedWithNext(w *kit.Route, i int) bool {
	if i+2 >= len(w.Stops) {
		return false
	}
	var p [4]r3.Vec
	for k := range p {
		if !w.Stops[i-1+k].Position.Known() {
			return false
		}
		p[k] = w.Stops[i-1+k].Position.Vec()
	}
	far := func(a, b r3.Vec) float64 { return r3.Norm(r3.Sub(a, b)) }
	straight := far(p[0], p[3])
	now := far(p[0], p[1]) + far(p[1], p[2]) + far(p[2], p[3]) - straight
	then := far(p[0], p[2]) + far(p[2], p[1]) + far(p[1], p[3]) - straight
	return then < survey.Saved*now
}

// onlyFarthest keeps the detour of the farthest of two neighbours: a station
// that lies far away makes a detour of the next one as well.
func onlyFarthest(w *kit.Route, of map[*kit.Station]*StationFit) {
	for i := max(1, w.Own); i+1 < len(w.Stops); i++ {
		a, b := of[w.Stops[i].Station], of[w.Stops[i+1].Station]
		if a == nil || b == nil || !a.Detour.Known || !b.Detour.Known {
			continue
		}
		less := a
		if a.Detour.V > b.Detour.V {
			less = b
		}
		less.Detour, less.Meant, less.MeantBy = value.Number{}, value.Text{}, value.Text{}
	}
}

// order looks whether a station lies on another piece of its route.
func (s *surveyor) order(w *kit.Route, i int, st, before *StationFit) {
	if before != nil && before.Order.Known || st.TwinOff.Known || s.besideUntwinned(w, i) {
		return // the two are exchanged, and the first has been named
	}
	for _, t := range w.Stops[i-1 : min(i+2, len(w.Stops))] {
		if s.beyond(t) > s.limit("outside") {
			return // which is said of that one
		}
	}
	var route []r3.Vec
	for _, t := range w.Stops {
		if !t.Position.Known() {
			return
		}
		route = append(route, t.Position.Vec())
	}
	slot, least, now, ok := survey.Slot(route, i)
	if !ok || slot+1 < w.Own || now < survey.Return || least > survey.Saved*now || 2*turnsBack(route, i) < 1 {
		return
	}
	st.Order, st.Next = value.Known(w.Names[slot]), value.Known(w.Names[slot+1])
	st.TurnsFor = value.Known(kit.Settled(now - least))
}

// beyond is how far a stop lies outside of the outline [m].
func (s *surveyor) beyond(t *kit.Stop) float64 {
	if !s.boxKnown || !t.Position.Known() {
		return 0
	}
	out, _ := s.box.Beyond(t.Position.Vec())
	return out
}

// turnsBack is the share of the shorter hop at a stop by which the route goes
// back on itself.
func turnsBack(route []r3.Vec, i int) float64 {
	in, out := r3.Sub(route[i], route[i-1]), r3.Sub(route[i+1], route[i])
	n := r3.Norm(in) * r3.Norm(out)
	if n == 0 {
		return 0
	}
	return -r3.Dot(in, out) / n
}

// stationBody doubts the body of a station at which the free length stands one
// hop too late or too early.
func (s *surveyor) stationBody(w *kit.Route, i int, st *StationFit, after map[*kit.Stop][]*kit.Stop) {
	at, before := w.Stops[i], w.Stops[i-1]
	if at.Body == nil || before.Body == nil {
		return
	}
	next := after[at]
	crossesIn, statedIn := at.Body != before.Body, at.FreeLength.Node != nil
	wrongOut, onBefore, onNext := 0, 0, map[*kit.Body]int{}
	for _, n := range next {
		if n.Body == nil {
			continue
		}
		if (n.Body != at.Body) != (n.FreeLength.Node != nil) {
			wrongOut++
		}
		if n.Body == before.Body {
			onBefore++
		}
		onNext[n.Body]++
	}
	switch {
	case len(next) == 0:
	case crossesIn && !statedIn && wrongOut == len(next):
		s.bodyOf(st, before.Body, fmt.Sprintf("%s before it is on %s and no free length is stated to it; one is where the route goes on", before.Name, before.Body.Label()))
		if onBefore == len(next) {
			st.BodyBy = value.Known(fmt.Sprintf("%s before it and %s after it are on %s, and no free length is stated", before.Name, next[0].Name, before.Body.Label()))
		}
	case !crossesIn && statedIn && wrongOut == len(next) && len(onNext) == 1:
		s.bodyOf(st, next[0].Body, fmt.Sprintf("a free length is stated to it, and %s after it is on %s", next[0].Name, next[0].Body.Label()))
	}
}

func (s *surveyor) bodyOf(st *StationFit, b *kit.Body, by string) {
	st.BodyMeant, st.BodyBy = value.Known(b.Label()), value.Known(by)
}

// bend finds the least radius that what lies at a station takes.
func (s *surveyor) bend(w *kit.Route, i int, st *StationFit) {
	if st.BendRadius.Node == nil || len(w.Lines(i)) == 0 {
		return
	}
	for _, c := range s.Corners {
		if c.node == w.Stops[i].Node {
			return // it is judged as a corner
		}
	}
	conduit := w.Conduit(i)
	if conduit != nil && !conduit.BendRadius.Known {
		conduit = nil // the tubes alone are looked at
	}
	most := value.Compute(func(n *value.Need) (float64, error) { return tightest(n, w.Lines(i), conduit), nil })
	if most.Known {
		st.Tightest = most
	}
}
